"""What stands on a page, without a browser to look at it."""

from __future__ import annotations

import re

from planner.ask.morning import mornings
from planner.ask.trays import letters
from planner.show.page import morning_page, week_page
from planner.solve import Options
from planner.solve.plan import Plan
from tests.planning import plan_of

SIX = 360


def rows_of(html: str) -> list[str]:
    return [re.sub(r"<[^>]+>", " ", row) for row in re.findall(r"<tr>[\s\S]*?</tr>", html)]


def planned(shop, *changes: tuple[str, str]) -> Plan:
    shop.spoil("scenario", *changes)
    return plan_of(shop.week, Options())


def test_an_order_for_bones_stands_at_the_job_that_gives_nothing_else(shop):
    plan = planned(
        shop,
        ("  - all shoulder: boneless roast\n", "  - all shoulder: trim\n"),
        ("      - {day: fri, amount: 9 lb, for: the corner bistro}\n", "      []\n"),
        (
            "  bones: {price: 2.99/lb, want: 10 lb}",
            "  bones: {price: 2.99/lb, orders: [{day: sat, amount: 20 lb, for: a soup kitchen}]}",
        ),
    )
    found = [
        row
        for morning in mornings(plan, range(plan.scenario.days))
        for row in rows_of(morning_page(morning, SIX))
        if "shoulder: trim" in row
    ]
    assert any("a soup kitchen" in row and "bones" in row for row in found)


def test_every_job_batch_tray_and_order_of_the_week_is_on_its_page(shop):
    plan = planned(shop)
    days = mornings(plan, range(plan.scenario.days), 2)
    html = week_page(plan, days, SIX)
    sheets = re.split(r"<article", html)[1:]
    assert len(sheets) == plan.scenario.days
    for morning, sheet in zip(days, sheets, strict=True):
        text = " ".join(re.sub(r"<[^>]+>", " ", sheet).split())
        for job in morning.jobs:
            assert f"{job.piece}: {job.way}" in text
        for tray in morning.trays:
            assert f"{letters(morning.plan)[tray.cut]} {tray.cut}" in text
        for batch in morning.sheets:
            assert batch.batch.blend in text
        for wrap in morning.wraps:
            assert wrap.buyer in text
        assert "HACCP" in text


def test_a_page_asks_for_nothing_from_elsewhere(shop):
    html = week_page(plan := planned(shop), mornings(plan, range(plan.scenario.days)), SIX)
    assert "default-src 'none'" in html
    assert "http://" not in re.sub(r'xmlns="http://www.w3.org/2000/svg"', "", html)
    assert "https://" not in html and "<script" not in html and " onclick" not in html


def test_what_is_late_is_told_at_the_top_and_how_many_could_do_it(shop):
    plan = planned(shop)
    busiest = max(plan.bench, key=lambda day: day.minutes).day
    (morning,) = mornings(plan, [busiest], 1, until=plan.bench[busiest].minutes * 0.7)
    assert morning.rota.enough == 2
    html = morning_page(morning, SIX)
    assert html.index("CANNOT BE DONE IN TIME") < html.index('class="list"')
    assert "With 2 cutters it can." in html
