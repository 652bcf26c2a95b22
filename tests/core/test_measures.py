"""Weights, money, shares and days: what a person writes, read and printed."""

import contextlib
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.core import quantities as measures
from planner.core.quantities import Amount, LotSize, Portion
from planner.core.units import Units


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("58 lb", 58, "lb"),
        ("26.3 kg", 26.3, "kg"),
        ("12oz", 12, "oz"),
        ("  500 g ", 500, "g"),
        ("6 LBS", 6, "lb"),
        ("3", 3, None),
        (".5 lb", 0.5, "lb"),
        ("2 each", 2, "each"),
        ("0 lb", 0, "lb"),
    ],
)
def test_amounts(text, number, unit):
    assert measures.read_amount(text) == Amount(number, unit)


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("22.99/lb", 22.99, "lb"),
        ("9/each", 9, "each"),
        ("$22.99/lb", 22.99, "lb"),
        ("€ 48 / kg", 48, "kg"),
        ("R$9/kg", 9, "kg"),
        ("kr 120/kg", 120, "kg"),
        ("22.99", 22.99, None),
        ("0/lb", 0, "lb"),
    ],
)
def test_prices(text, number, unit):
    assert measures.read_price(text) == Amount(number, unit)


@pytest.mark.parametrize(
    ("read", "text", "value"),
    [
        (measures.read_share, "11.25%", 0.1125),
        (measures.read_share, "0 %", 0.0),
        (measures.read_money, "0.75", 0.75),
        (measures.read_days, "7 days", 7),
        (measures.read_days, "1 day", 1),
        (measures.read_period, "6", 6),
        (measures.read_minutes, "240", 240),
        (measures.read_minutes, "16 min", 16),
        (measures.read_minutes_per_weight, "0.3 per lb", 0.3),
        (measures.read_minutes_per_weight, "1 min per kg", 0.45359237),
        (measures.read_weight_of_day, "8%", 8),
        (measures.read_weight_of_day, "2.5", 2.5),
        (measures.read_portion, "2 at 11.5%", Portion(2, 0.115)),
        (measures.read_portion, "2%", Portion(None, 0.02)),
        (measures.read_share_range, "15% to 20%", (0.15, 0.20)),
        (measures.read_share_range, "20%", (0.0, 0.20)),
        (measures.read_date, "2026-11-30", date(2026, 11, 30)),
        (measures.read_tolerance, "0.05%", (0.0005, 0.0)),
        (measures.read_tolerance, "0.50", (0.0, 0.5)),
        (measures.read_lot_size, "3 head at 58 lb", LotSize(False, 3, "head", Amount(58, "lb"))),
        (measures.read_lot_size, "2 at 9.1 lb", LotSize(False, 2, "", Amount(9.1, "lb"))),
        (
            measures.read_lot_size,
            "up to 2 half carcasses at 27",
            LotSize(True, 2, "half carcasses", Amount(27, None)),
        ),
    ],
)
def test_other_values(read, text, value):
    assert read(text) == pytest.approx(value) if isinstance(value, float) else read(text) == value


@pytest.mark.parametrize(
    ("read", "text", "words"),
    [
        (measures.read_amount, "6lb.", "such as 58 lb"),
        (measures.read_amount, "six lb", "such as 58 lb"),
        (measures.read_amount, "", "such as 58 lb"),
        (measures.read_amount, "nan lb", "such as 58 lb"),
        (measures.read_amount, "inf", "such as 58 lb"),
        (measures.read_amount, "1e5 lb", "such as 58 lb"),
        (measures.read_amount, "\u0663 lb", "such as 58 lb"),
        (measures.read_amount, "12 stone", 'no unit called "stone"; use lb, kg, oz, g or each'),
        (measures.read_amount, "-4 lb", "is negative"),
        (measures.read_amount, "- 4 lb", "is negative"),
        (measures.read_amount, "1,200 lb", "thousands or decimals"),
        (measures.read_amount, "2000000 lb", "more than an amount can be (1,000,000)"),
        (
            measures.read_amount,
            "9" * 5000,
            "a text of 5,000 characters cannot be read; write an amount",
        ),
        (measures.read_price, "22,999/lb", "thousands or decimals"),
        (measures.read_price, "-22.99/lb", "is negative"),
        (measures.read_price, "$-22.99/lb", "is negative"),
        (measures.read_price, "-$22.99/lb", "is negative"),
        (measures.read_price, "<5/lb", "such as 22.99/lb"),
        (measures.read_price, "22.99 per lb", "such as 22.99/lb"),
        (measures.read_price, "900000/lb", "more than a price can be"),
        (measures.read_price, "9/head", 'no unit called "head"'),
        (measures.read_share, "40", '"40" has no % sign: write 40%'),
        (measures.read_share, "0.4", "write 0.4%, or 40% if that is meant"),
        (measures.read_share, "forty", "such as 11.25%"),
        (measures.read_share, "120%", "more than a share can be (100)"),
        (measures.read_share, "-5%", "is negative"),
        (measures.read_money, "0.75/min", "such as 0.75"),
        (measures.read_days, "0 days", "out of date from the start"),
        (measures.read_days, "2.5 days", "whole days"),
        (measures.read_days, "2 weeks", "whole days"),
        (measures.read_days, "-1 day", "is negative"),
        (
            measures.read_days,
            "9" * 5000,
            "a text of 5,000 characters cannot be read; write whole days",
        ),
        (measures.read_period, "0", "nothing to plan"),
        (measures.read_minutes, "16 h", "such as 240"),
        (measures.read_minutes, "999999", "more than minutes can be"),
        (measures.read_minutes_per_weight, "0.3", "0.3 per lb"),
        (measures.read_minutes_per_weight, "0.3 per oz", "0.3 per lb"),
        (measures.read_portion, "69", '"69" has no % sign: write 69%'),
        (measures.read_portion, "2 at 11.5", "has no % sign: write 2 at 11.5%"),
        (measures.read_portion, "half", "such as 2%"),
        (measures.read_portion, "2 x 11.5%", '"2 at 11.5%"'),
        (measures.read_portion, "0 at 5%", "gives nothing"),
        (measures.read_portion, "2 at 0%", "weighs more than nothing"),
        (measures.read_portion, "5000 at 1%", "more than a count can be"),
        (measures.read_share_range, "20% to 15%", "crossed"),
        (measures.read_share_range, "15 to 20", "has no % sign: write 15% to 20%"),
        (measures.read_share_range, "15 to 20%", "such as 15% to 20%"),
        (measures.read_share_range, "15% to 200%", "more than a share can be"),
        (measures.read_lot_size, "3 head", "such as 3 head at 58 lb"),
        (measures.read_lot_size, f"3 {'very ' * 9}head at 58 lb", "such as 3 head at 58 lb"),
        (measures.read_lot_size, "0 head at 58 lb", "empty lot"),
        (measures.read_lot_size, "3 head at 0 lb", "a weight such as 58 lb"),
        (measures.read_lot_size, "3 head at 2 each", "a weight such as 58 lb"),
        (measures.read_lot_size, "3 head at -58 lb", "is negative"),
        (measures.read_lot_size, "2.5 head at 58 lb", "such as 3 head at 58 lb"),
        (measures.read_date, "30.11.2026", "such as 2026-11-30"),
        (measures.read_date, "2026-11-31", "no day 2026-11-31 in the calendar"),
        (measures.read_date, "9999-12-31", "cannot be right"),
        (measures.read_tolerance, "-1", "is negative"),
        (measures.read_weight_of_day, "9" * 400, "more than a relative weight can be"),
    ],
)
def test_what_cannot_be_read(read, text, words):
    with pytest.raises(ValueError) as told:  # noqa: PT011  the words are checked below
        read(text)
    assert words in str(told.value)


READERS = [getattr(measures, name) for name in dir(measures) if name.startswith("read_")]


@given(st.text(alphabet="0123456789.,%/-$€ \n²٣５adeghlotkzup", max_size=20) | st.text())
def test_a_reader_gives_a_value_or_a_sentence(text):
    for read in READERS:
        with contextlib.suppress(ValueError):  # anything else fails the test
            read(text)


def test_units_of_weight():
    # 1 lb is 0.45359237 kg and 16 oz: international avoirdupois pound, NIST Handbook 44, appendix C
    assert measures.pounds(Amount(1, "kg"), "lb") == pytest.approx(1 / 0.45359237, rel=1e-12)
    assert measures.pounds(Amount(453.59237, "g"), "lb") == pytest.approx(1, rel=1e-12)
    assert measures.pounds(Amount(16, "oz"), "kg") == pytest.approx(1, rel=1e-12)
    assert measures.pounds(Amount(2, None), "kg") == pytest.approx(2 / 0.45359237, rel=1e-12)


def test_a_price_by_the_kilo_is_less_by_the_pound():
    assert measures.per_pound(Amount(10, "kg"), "lb") == pytest.approx(4.5359237)
    assert measures.per_pound(Amount(10, None), "lb") == 10


@pytest.mark.parametrize("convert", [measures.pounds, measures.per_pound])
def test_each_is_no_weight(convert):
    with pytest.raises(ValueError, match="expected here, such as"):
        convert(Amount(3, "each"), "lb")


@given(st.floats(0, 1e5), st.sampled_from(["lb", "kg"]))
def test_a_weight_shown_can_be_read_again(weight, unit):
    shown = Units(unit, "$").weight(weight).replace(",", "")
    again = measures.pounds(measures.read_amount(shown), "lb")
    assert again == pytest.approx(weight, abs=0.051 * measures.POUNDS[unit])


@pytest.mark.parametrize(
    ("value", "symbol", "shown"),
    [
        (1234.5, "$", "$1,234.50"),
        (-3.456, "$", "-$3.46"),
        (-0.001, "$", "$0.00"),
        (12, "EUR", "12.00 EUR"),
    ],
)
def test_money_shown(value, symbol, shown):
    assert Units("lb", symbol).money(value) == shown


def test_counts_and_shares_shown():
    assert measures.show_count(1, "fault") == "1 fault"
    assert measures.show_count(2, "oddity", "warnings") == "2 warnings"
    assert measures.show_share(0.182) == "18.2%"
