"""Where things stand in flow and bench pictures, and text that has to fit."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import pytest

from planner.ask.weight_flow import weight_flow
from planner.core.plan_lines import BenchDay
from planner.show.pictures import Picture, bench_picture, flow_picture
from planner.show.pictures.flow import layout_of
from planner.show.pictures.flowlayout import lay_out
from planner.show.pictures.letters import clean, fitted, width
from planner.show.pictures.ranks import Band, Box, ranked
from tests.picture_checks import (
    BAD,
    SVG,
    assert_no_text_over_another,
    boxes,
    shipped,
    texts,
)


def days(*minutes: tuple[float, float | None, float]) -> tuple[BenchDay, ...]:
    return tuple(BenchDay(at, *each) for at, each in enumerate(minutes))


def bench_of(bench: tuple[BenchDay, ...]) -> Picture:
    plan = shipped("one-lamb")
    scenario = replace(plan.scenario, days=len(bench))
    return bench_picture(replace(plan, bench=bench, scenario=scenario))


def test_a_bar_says_what_it_shows():
    bench = days((191.2, 200, 0), (660, 570, 90), (0, 0, 0), (0, 120, 0), (0.2, 0, 0.2))
    picture = bench_of(bench)
    said = ["191 of 200 min", "660 of 570 min, 90 over", "no bench", "0 of 120 min", "0 of 0 min"]
    assert [line.split(": ")[1] for line in picture.words] == said
    svg = ET.fromstring(picture.svg)
    assert set(said) <= set(texts(svg))
    stripes = [each for each in svg.iter(f"{SVG}rect") if "url(" in each.get("style", "")]
    assert len(stripes) == 1
    used = [float(each.get("width")) for each in svg.iter(f"{SVG}rect") if each.get("fill-opacity")]
    assert used[0] / used[1] == pytest.approx(191.2 / 570, abs=0.001)
    assert float(stripes[0].get("width")) / used[1] == pytest.approx(90 / 570, abs=0.001)


def test_without_a_limit_the_bar_has_minutes_only():
    picture = bench_of(days((191.2, None, 0)))
    assert picture.words == ("mon: 191 min",)
    assert not [
        each for each in ET.fromstring(picture.svg).iter(f"{SVG}rect") if each.get("fill") == "none"
    ]


@pytest.mark.parametrize("number", [1, 12, 24])
def test_many_days_can_be_read(number):
    picture = bench_of(days(*[(1660.0 - at, 1570.0, 90.0 - at) for at in range(number)]))
    svg = ET.fromstring(picture.svg)
    assert len(picture.words) == number
    assert len(texts(svg)) == 2 * number
    assert_no_text_over_another(svg)


def test_bands_are_led_past_columns_and_do_not_cross_more_than_they_must():
    # two lines side by side, given crosswise, and one that passes the middle by
    boxes_ = [Box(0, 5), Box(0, 3), Box(1, 3), Box(1, 4), Box(2, 3), Box(2, 5)]
    bands = [Band(0, 3, 4), Band(1, 2, 3), Band(2, 4, 3), Band(3, 5, 4), Band(0, 5, 1)]
    order = ranked(boxes_, bands)
    assert len(order.boxes) == 7
    assert all(
        order.boxes[band.source].column + 1 == order.boxes[band.target].column
        for band in order.bands
    )
    assert sum(band.weight for band in order.bands) == 16
    place = {at: number for column in order.columns for number, at in enumerate(column)}
    for one, other in combinations(order.bands, 2):
        if order.boxes[one.source].column == order.boxes[other.source].column:
            left = place[one.source] - place[other.source]
            assert left * (place[one.target] - place[other.target]) >= 0


def test_fates_stand_in_their_order():
    svg = ET.fromstring(flow_picture(shipped("corner-shop")).svg)
    y = {text: top for _, top, _, _, text in boxes(svg)}
    fates = [y[fate] for fate in ("sold", "left", "out of date", "loss") if fate in y]
    assert len(fates) >= 3
    assert fates == sorted(fates)


def test_weights_of_the_flow_are_in_the_unit_of_the_scenario():
    plan = shipped("one-lamb")
    metric = replace(plan, scenario=replace(plan.scenario, unit="kg"))
    shown = texts(ET.fromstring(flow_picture(metric).svg))
    assert "26.3 kg" in shown  # 58 lb; one pound is 0.45359237 kg
    assert "cuts, kg" in shown


def test_text_is_made_to_fit_and_keeps_to_itself():
    assert fitted("loin chops", 200) == "loin chops"
    short = fitted("loin chops", 50)
    assert short.endswith("..") and short.startswith("lo")
    assert width(short) <= 50
    assert clean("a\u202eb\nc\x07") == "ab c"
    assert clean("\u05e9\u05dc") == "\u2068\u05e9\u05dc\u2069"
    assert fitted("anything", 0) == ".."
    for bad in (*BAD, "W" * 300, "\u8089" * 300, "\u05e9" * 300):
        cut = fitted(f"3 {clean(bad)}", 90)
        assert width(cut) <= 90
        assert cut.count("\u2068") == cut.count("\u2069")


@pytest.mark.parametrize("number", [3, 45, 120])
def test_labels_of_a_flow_have_room_however_many_and_long_they_are(number):
    long = [f"{at} {bad}" for at in range(number) for bad in [BAD[at % len(BAD)] * 5]]
    middle = [Box(1, 1.0 + at % 7) for at in range(number)]
    total = sum(box.weight for box in middle)
    layout = lay_out(
        ["comes in", "cuts, lb", "how it ends"],
        [Box(0, total, lines=2), *middle, Box(2, total, lines=2, held=True)],
        [Band(0, at + 1, box.weight) for at, box in enumerate(middle)]
        + [Band(at + 1, number + 1, box.weight) for at, box in enumerate(middle)],
        [(long[0], "1,234.5 lb"), *((name, "1,234.5") for name in long), (long[1], "9.9 lb")],
    )
    placed = [
        (text.x, text.y - 10.4, text.x + width(text.text, 14 if text.bold else 13), text.y + 2.6)
        for text in (*layout.heads, *(text for box in layout.boxes for text in box.label))
    ]
    for one, other in combinations(placed, 2):
        assert (
            one[2] <= other[0]
            or other[2] <= one[0]
            or one[3] <= other[1] + 0.1
            or other[3] <= one[1] + 0.1
        )
    assert all(right <= 760 and bottom <= layout.high for _, _, right, bottom in placed)
    for one, other in combinations(layout.boxes, 2):
        if one.x == other.x:
            assert one.y + one.high <= other.y or other.y + other.high <= one.y
    heights = {box.number: box.high for box in layout.boxes}
    assert heights[1] / heights[0] == pytest.approx(middle[0].weight / total) or heights[1] == 1
    ends = [box for box in layout.boxes if box.number in (0, number + 1)]
    assert ends[0].high == pytest.approx(ends[1].high)


def test_ribbons_fill_what_they_leave_and_enter():
    plan = shipped("corner-shop")
    layout = layout_of(plan.scenario, weight_flow(plan))
    lamb = max(layout.boxes, key=lambda box: box.high if box.x == 0 else 0.0)
    starts, widths = [], []
    for ribbon in layout.ribbons:
        places = [float(each) for each in re.findall(r"-?[\d.]+", ribbon.path)]
        left, start, foot = places[0], places[1], places[-1]
        if left == pytest.approx(lamb.x + 9) and lamb.y - 0.1 <= start <= lamb.y + lamb.high:
            starts.append(start)
            widths.append(foot - start)
    assert len(starts) > 5
    assert min(starts) == pytest.approx(lamb.y, abs=0.02)
    thin = sum(wide <= 0.6 for wide in widths)
    assert sum(widths) == pytest.approx(lamb.high, abs=0.05 + 0.6 * thin)


def test_the_words_of_the_flow_tell_every_band():
    plan = shipped("corner-shop")
    flow = weight_flow(plan)
    words = flow_picture(plan).words
    assert words[0].startswith("how it ends: sold ")
    for number, node in enumerate(flow.nodes):
        joined = [link for link in flow.links if link.source == number]
        told = [line for line in words if re.match(rf"(\d+ )?{node.name} [\d.,]+ lb: ", line)]
        assert len(told) == (1 if joined else 0)
        assert sum(line.count(" lb") for line in told) == len(joined) + len(told)
    together = [node for node in flow.nodes if node.together]
    assert together
    for node in together:
        assert f"{len(node.together)} {node.name}: {', '.join(node.together)}" in words
