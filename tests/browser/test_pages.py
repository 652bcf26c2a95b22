"""The pages in a real browser: on screen, on a phone, on a tablet, on paper, and read aloud."""

from __future__ import annotations

import re

import pytest
from typer.testing import CliRunner

from planner.ask.morning import mornings
from planner.ask.trays import letters
from planner.commands.program import app
from planner.show.page import morning_page, week_page
from planner.solve import Options
from planner.solve.plan import Plan
from tests.planning import plan_of
from tests.two_measures import thorough

SIX = 6 * 60
"""Six in the morning."""

PIXELS_OF_12_POINT = 16.0

SIZES = ("A4", "Letter")

SCRIPT = "<script>alert(1)</script><img src=x onerror=alert(2)>"
HEBREW = "תמונה של כבש"
LONG = "a-very-long-buyer-indeed-" * 5


def week_of(plan: Plan, **how) -> str:
    return week_page(plan, mornings(plan, range(plan.scenario.days), **how), SIX)


def day_of(plan: Plan, day: int, cutters: int = 1) -> str:
    (morning,) = mornings(plan, [day], cutters)
    return morning_page(morning, SIX)


@pytest.fixture
def hostile(shop) -> Plan:
    """A week whose every name is out to break the page."""
    shop.spoil(
        "recipe",
        ("  shoulder roast: {kind", f'  "{SCRIPT}": {{kind'),
        ("gives: {shoulder roast: 70%,", f'gives: {{"{SCRIPT}": 70%,'),
        ("boneless roast: {minutes: 11,", f'"{HEBREW}": {{minutes: 11,'),
        ("  trim 70: {kind", '  "</style><b>trim": {kind'),
        ("{trim 85: 50%, trim 70: 30%,", '{trim 85: 50%, "</style><b>trim": 30%,'),
        ("bones: 19%, trim 85: 11%", 'bones: 19%, "</style><b>trim": 11%'),
        ("from: [trim 85, trim 70]", 'from: [trim 85, "</style><b>trim"]'),
    )
    shop.spoil(
        "scenario",
        ("title: An invented goat week", f'title: "{SCRIPT} {LONG}"'),
        ("  shoulder roast:\n    price", f'  "{SCRIPT}":\n    price'),
        ("  shoulder roast: {amount", f'  "{SCRIPT}": {{amount'),
        ("for: the corner bistro", f'for: "{LONG[:60]}{SCRIPT}"'),
        ("  - all shoulder: boneless roast\n", f'  - all shoulder: "{HEBREW}"\n'),
    )
    return plan_of(shop.week, Options())


def test_a_page_opens_from_disk_alone_and_has_nothing_to_complain_of(opened, corner_shop):
    for html in (week_of(corner_shop), day_of(corner_shop, 3, cutters=2)):
        found = opened(html)
        assert found.said == []
        assert found.asked == [found.file.as_uri()]
        assert found.page.locator("article.day").first.is_visible()


def test_it_is_read_without_any_script(opened, corner_shop):
    html = week_of(corner_shop)
    assert "<script" not in html
    found = opened(html, java_script_enabled=False)
    assert found.page.get_by_role("heading", name="thu 3 dec", exact=False).first.is_visible()
    assert found.page.get_by_text("1 shoulder: stew").first.is_visible()


@pytest.mark.parametrize("size", ["A4", *thorough("Letter")])
def test_a_day_of_an_ordinary_week_is_one_sheet(opened, corner_shop, size):
    sheets = opened(week_of(corner_shop)).pdf(size)
    assert len(sheets) == corner_shop.scenario.days
    for sheet, day in zip(
        sheets, ("MON 30", "TUE 1", "WED 2", "THU 3", "FRI 4", "SAT 5"), strict=True
    ):
        assert day in sheet
        assert "HACCP" in sheet  # the cautions are at its foot
    for day in range(corner_shop.scenario.days):
        assert len(opened(day_of(corner_shop, day)).pdf(size)) == 1


@pytest.mark.parametrize("size", ["Letter", *thorough("A4")])
def test_a_day_before_a_feast_is_two_sheets_at_most(opened, holiday, size):
    sheets = opened(week_of(holiday)).pdf(size)
    begins = [n for n, text in enumerate(sheets) if re.search(r"\d+ (NOV|DEC)", text)]
    assert len(begins) == holiday.scenario.days
    assert all(b - a <= 2 for a, b in zip(begins, [*begins[1:], len(sheets)], strict=True))


@pytest.mark.parametrize("size", ["A4", *thorough("Letter")])
def test_the_overview_is_printed_only_where_that_is_ticked(opened, corner_shop, size):
    found = opened(week_of(corner_shop))
    days = len(found.pdf(size))
    found.page.get_by_label("Print the overview").check()
    sheets = found.pdf(size)
    assert len(sheets) > days
    assert "SCORE" in sheets[0]


def test_the_list_is_black_on_white_and_twelve_points_on_paper(opened, corner_shop):
    found = opened(day_of(corner_shop, 3), dark=True)  # paper is white whatever the screen is
    found.page.emulate_media(media="print", color_scheme="dark")
    body = "getComputedStyle(document.body)"
    assert found.page.evaluate(f"{body}.color") == "rgb(0, 0, 0)"
    assert found.page.evaluate(f"{body}.backgroundColor") == "rgb(255, 255, 255)"
    small = found.page.evaluate(
        """least => [...document.querySelectorAll('.list tbody')].flatMap(body =>
            [...body.querySelectorAll('*')].filter(each =>
                each.offsetParent && !each.closest('.tool, .lots, .code') &&
                [...each.childNodes].some(n => n.nodeType === 3 && n.data.trim()) &&
                parseFloat(getComputedStyle(each).fontSize) < least)
            .map(each => each.outerHTML))""",
        PIXELS_OF_12_POINT,
    )
    assert small == []


def test_every_expected_weight_has_a_box_for_the_actual_one(opened, corner_shop):
    (morning,) = mornings(corner_shop, [3])
    found = opened(morning_page(morning, SIX))
    things = sum(len(job.gives) for job in morning.jobs)
    assert things > 10
    assert found.page.locator(".list td.gives input.write").count() >= things
    for job in morning.jobs:
        for thing in job.gives:
            label = rf"lb: (\d+ )?{thing.name} of {job.count} {job.piece}: {job.way}, expected "
            assert (
                found.page.get_by_label(re.compile(rf"{label}{thing.pounds:.1f} lb$")).count() == 1
            )
    for tray in morning.trays:
        assert (
            found.page.get_by_label(f"tray {letters(morning.plan)[tray.cut]} {tray.cut}").count()
            == 1
        )


def test_ticks_and_write_ins_are_for_fingers_on_a_tablet(opened, corner_shop):
    found = opened(day_of(corner_shop, 3), width=820, height=1180, has_touch=True)
    ticks = found.page.get_by_role("checkbox")
    assert ticks.count() > 15
    for at in (0, ticks.count() - 1):
        box = ticks.nth(at).locator("xpath=..").bounding_box()  # its label takes the tap
        assert box["width"] >= 44
        assert box["height"] >= 44
        ticks.nth(at).locator("xpath=..").tap()
        assert ticks.nth(at).is_checked()
    write = found.page.locator("input.write").first
    write.tap()
    write.fill("18.2")
    assert write.input_value() == "18.2"
    assert write.bounding_box()["height"] >= 36


@pytest.mark.parametrize("width", [320, 1100, *thorough(375, 820)])
def test_nothing_runs_over_the_side_of_a_screen(opened, corner_shop, holiday, hostile, width):
    for html in (week_of(corner_shop), day_of(holiday, 3, cutters=2), week_of(hostile)):
        page = opened(html, width=width).page
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_names_that_are_out_to_break_it_are_shown_as_text(opened, hostile):
    found = opened(week_of(hostile))
    assert found.said == []
    assert found.asked == [found.file.as_uri()]
    assert found.page.locator("script, main img, main style, main b > *").count() == 0
    assert found.page.get_by_text("<script>alert(1)</script>").first.is_visible()
    assert found.page.get_by_text("</style><b>trim").count()
    hebrew = found.page.locator(".list bdi", has_text="תמונה").first
    assert hebrew.is_visible()
    row = found.page.locator(".list tr", has=found.page.locator("bdi", has_text="תמונה")).first
    tick, minutes = row.locator("td.tick").bounding_box(), row.locator("td.mins").bounding_box()
    assert tick["x"] < minutes["x"]  # the row runs from left to right all the same
    for size in SIZES:
        assert len(found.pdf(size)) == hostile.scenario.days


@pytest.mark.parametrize(("width", "dark"), thorough((375, True), (1100, False)))
def test_axe_finds_nothing_serious(opened, axe, corner_shop, holiday, hostile, width, dark):
    pages = [week_of(corner_shop), day_of(holiday, 3, cutters=2), week_of(hostile)]
    for html in pages:
        assert opened(html, width=width, dark=dark).loud(axe) == []


def test_axe_would_find_what_is_wrong(opened, axe, corner_shop):
    """The check above can fail: text of little contrast, a box without a name."""
    html = day_of(corner_shop, 3)
    pale = html.replace("</style>", "body { color: #bbb; background: #fff; }</style>")
    assert any(each.startswith("color-contrast") for each in opened(pale).loud(axe))
    nameless = re.sub(r' aria-label="done: [^"]*"', "", html)
    assert any(each.startswith("label") for each in opened(nameless).loud(axe))


def test_a_dark_screen_is_dark(opened, corner_shop):
    light, dark = (
        opened(day_of(corner_shop, 3), dark=dark).page.evaluate(
            "getComputedStyle(document.body).backgroundColor"
        )
        for dark in (False, True)
    )
    assert light == "rgb(255, 255, 255)"
    assert sum(map(int, re.findall(r"\d+", dark))) < 120


def test_it_is_read_aloud_in_order(opened, corner_shop):
    page = opened(week_of(corner_shop)).page
    levels = page.evaluate(
        "[...document.querySelectorAll('h1,h2,h3,h4')].map(each => Number(each.tagName[1]))"
    )
    assert levels[0] == 1
    assert all(b - a <= 1 for a, b in zip(levels, levels[1:], strict=False))
    assert page.get_by_role("table").count() > 6
    assert page.locator("table").count() == page.locator("table > caption").count()
    assert page.get_by_role("img").count() >= 3  # the pictures, which have words too
    assert page.locator("svg[role=img]:not([aria-labelledby])").count() == 0


@pytest.mark.thorough
def test_both_commands_write_it(opened, tmp_path):
    for command in (["week", "one-lamb"], ["morning", "one-lamb", "--cutters", "2"]):
        out = tmp_path / f"{command[0]}.html"
        printed = CliRunner().invoke(app, [*command, "--page", str(out)])
        assert printed.exit_code == 0, printed.output
        assert printed.stdout == f"written: {out}\n"
        assert len(opened(out.read_text(encoding="utf-8")).pdf("A4")) == 1
