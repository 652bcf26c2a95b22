"""What keeps an order from being filled, and that lifting it fills more."""

from __future__ import annotations

import pytest

from tests.planning import plan_of

ORDER = "- {day: fri, amount: 9 lb, for: the corner bistro}"


@pytest.mark.parametrize(
    ("changes", "binds"),
    [
        ([(ORDER, "- {day: fri, amount: 300 lb, for: a regiment}")], ("head", "shelf life")),
        (
            [
                (ORDER, "- {day: fri, amount: 20 lb, for: the corner bistro}"),
                ("bench: {mon: 240, tue: 241, wed: 242, thu: 300, fri: 301, sat: 120}",
                 "bench: {mon: 240, wed: 20}"),
                ("  shoulder roast: {amount: 6 lb, keeps: 2 days}\n", ""),
                ("overtime: {up to: 60, cost: 0.75}", "overtime: {up to: 1, cost: 0.75}"),
                ("  - {goat: 3 head at 40 lb, arrives: mon, cost: 5.10/lb}",
                 "  - {goat: 3 head at 40 lb, arrives: tue, cost: 5.10/lb}"),
            ],
            ("day of delivery", "bench time"),
        ),
        ([("all shoulder: boneless roast", "all shoulder: trim")],
         ("shelf life", 'the rule "all shoulder: trim"')),
        (
            [
                (ORDER, "- {day: mon, amount: 30 lb, for: the corner bistro}"),
                ("  - {goat: 3 head at 40 lb, arrives: mon, cost: 5.10/lb}",
                 "  - {goat: 3 head at 40 lb, arrives: tue, cost: 5.10/lb}"),
            ],
            ("day of delivery",),
        ),
        (
            [
                (ORDER, "- {day: sat, amount: 30 lb, for: the corner bistro}"),
                ("bench: {mon: 240, tue: 241, wed: 242, thu: 300, fri: 301, sat: 120}",
                 "bench: {mon: 240}"),
                ("  shoulder roast: {amount: 6 lb, keeps: 2 days}",
                 "  shoulder roast: {amount: 6 lb, keeps: 1 day}"),
            ],
            ("bench time", "shelf life"),
        ),
    ],
    ids=["head", "bench and delivery", "rule", "delivery", "shelf life and bench"],
)  # fmt: skip
def test_what_binds_is_what_alone_would_help(shop, changes, binds):
    # the roast in the case is out of date by friday, so a longer shelf life helps mostly
    shop.spoil("scenario", *changes)
    (short,) = plan_of(shop.week).short
    assert short.binds == binds


def test_orders_that_take_from_each_other(shop):
    two = "- {day: fri, amount: 40 lb, for: one inn}\n      - {day: fri, amount: 40 lb, for: two}"
    shop.spoil("scenario", (ORDER, two))
    plan = plan_of(shop.week)
    assert sum(each.short for each in plan.short) > 0
    assert all("other orders" in each.binds for each in plan.short)


def test_limits_that_only_together_would_help(shop):
    shop.spoil(
        "scenario",
        (ORDER, "- {day: mon, amount: 30 lb, for: the corner bistro}"),
        ("bench: {mon: 240, tue: 241, wed: 242, thu: 300, fri: 301, sat: 120}", "bench: {sat: 9}"),
        ("  - {goat: 3 head at 40 lb, arrives: mon, cost: 5.10/lb}",
         "  - {goat: 3 head at 40 lb, arrives: tue, cost: 5.10/lb}"),
        ("  - at least 1 leg: whole\n", ""),
    )  # fmt: skip
    (short,) = plan_of(shop.week).short
    assert short.binds == ("day of delivery", "bench time")


def test_orders_that_can_all_be_filled_are(shop):
    plan = plan_of(shop.week)
    assert plan.short == ()
    assert sum(sale.amount for sale in plan.sales if sale.to == "the corner bistro") == 9.0


def test_an_order_that_nothing_on_the_rail_can_fill(shop):
    shop.spoil(
        "scenario",
        ("  - {goat: 3 head at 40 lb, arrives: mon, cost: 5.10/lb}\n", ""),
        ("  - {goat: up to 2 head at 42 lb, arrives: wed, cost: 6.95/lb}\n", ""),
        ("  shoulder roast: {amount: 6 lb, keeps: 2 days}\n", ""),
    )
    (short,) = plan_of(shop.week).short  # only boxed legs hang there, and the order is for shoulder
    assert short.binds == ("head: nothing on the rail gives more of it",)


def test_an_order_that_misses_less_than_its_hundredth(shop):
    shop.spoil(
        "scenario",
        (ORDER, "- {day: fri, amount: 100 lb, for: the corner bistro}"),
        ("bench: {mon: 240, tue: 241, wed: 242, thu: 300, fri: 301, sat: 120}",
         "bench: {fri: 1000}"),
    )  # fmt: skip
    (short,) = plan_of(shop.week).short
    shop.spoil("scenario", ("amount: 100 lb", f"amount: {100 - short.short + 0.2:.2f} lb"))
    (short,) = plan_of(shop.week).short
    assert short.short == pytest.approx(0.2, abs=0.01)
    assert "head" in short.binds


def test_an_order_at_no_price_is_filled_last_and_says_so(shop):
    free = "orders: [{day: fri, amount: 2 lb, for: the staff, price: 0}]"
    shop.spoil(
        "scenario",
        ("amount: 9 lb, for: the corner bistro", "amount: 900 lb, for: a regiment"),
        ("bones: {price: 2.99/lb, want: 10 lb}", f"bones: {{price: 2.99/lb, want: 99 lb, {free}}}"),
    )
    regiment, staff = plan_of(shop.week).short
    assert "head" in regiment.binds
    assert staff.binds == ("its price: what earns nothing is filled last",)
