"""What there was to sell on the days that are over, and what counts as nothing."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.scenario import Scenario
from planner.shop.stock.availability import is_nothing, shelves
from planner.shop.stock.on_hand import stand_at
from tests.outside.reader import read_shop
from tests.shop.test_stand import RANDOM, diaries, journal_of
from tests.shop_days import FRI, MON, THU, TUE, WED, broke, counted, head, recorded, shop_of, sold


@pytest.fixture
def lamb(tmp_path: Path) -> Scenario:
    return shop_of(tmp_path)


def test_what_is_cut_is_there_until_it_is_out_of_date(lamb):
    entries = recorded(head(50), broke("carcass", "block break"), broke("shoulder", "boned", 2))
    found = shelves(lamb, entries, (MON, TUE, WED, FRI), ("trim", "leg roast"))
    trim = pytest.approx(20 * 0.2)  # keeps two days
    assert [found[day].had["trim"] for day in found] == [trim, trim, 0, 0]
    assert [found[day].left["trim"] for day in found] == [trim, trim, 0, 0]
    assert found[FRI].left["leg roast"] == 0


def test_it_is_told_before_the_sales_and_with_the_closing_count(lamb):
    entries = recorded(
        counted("roast", 9, made=MON - timedelta(days=1)),
        counted("roast", 8),
        sold("roast", 3),
        counted("roast", 4.5, at="close", made=MON),
        counted("roast", 4, day=TUE, made=MON),
        sold("roast", 1, day=TUE),
    )
    found = shelves(lamb, entries, (MON, TUE), ["roast"])
    assert [(each.had["roast"], each.left["roast"]) for each in found.values()] == [
        (8, 4.5),
        (4, 3),
    ]
    assert shelves(lamb, entries, (), ["roast"]) == {}


@pytest.mark.parametrize(
    ("amount", "by_each", "had", "nothing"),
    [
        (0.1, False, 0.0, True),
        (0.11, False, 0.0, False),
        (0.25, False, 5.0, True),  # a recipe's yields are no closer
        (0.26, False, 5.0, False),
        (0.0, True, 0.0, True),
        (1.0, True, 50.0, False),  # what is counted is there or not
    ],
)
def test_what_is_too_little_to_sell_is_nothing(amount, by_each, had, nothing):
    assert is_nothing(amount, by_each=by_each, had=had) is nothing


@settings(RANDOM, max_examples=40)
@given(st.data())
def test_shelves_are_the_stands_of_the_days(data):
    with TemporaryDirectory() as name:
        shop = shop_of(Path(name))
        outside = read_shop(Path(name) / "shop.yaml")
    events = data.draw(diaries(outside))
    entries = journal_of(shop, events)
    found = shelves(shop, entries, [FRI, THU, WED, TUE, MON], list(shop.cuts))
    assert list(found) == [MON, TUE, WED, THU, FRI]
    for day in found:
        tonight = stand_at(shop, entries, day, "close")
        now = stand_at(shop, entries, day, "now")
        for cut in shop.cuts:
            had, left = found[day].had[cut], found[day].left[cut]
            assert left >= tonight.amount(cut) - 1e-9
            today = [e for e in events if (e["day"], e["what"]) == (day, cut)]
            if any(e["do"] == "count" and e["at"] == "close" for e in today):
                continue
            assert left == pytest.approx(now.amount(cut), abs=1e-9)
            if not any(e["do"] == "wasted" for e in today):  # which may be what is out of date
                gone = sum(e["amount"] for e in today if e["do"] == "sold")
                assert left == pytest.approx(max(0.0, had - gone), abs=1e-5)
