"""How a shop reads and writes amounts and prices."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.core.units import Quantity, Units, figure

POUNDS = Units("lb", "$")
KILOS = Units("kg", "EUR")


@pytest.mark.parametrize(
    ("units", "quantity", "shown", "exact"),
    [
        (POUNDS, Quantity(4.234), "4.2 lb", "4.234 lb"),
        (POUNDS, Quantity(1234.5), "1,234.5 lb", "1,234.5 lb"),
        (POUNDS, Quantity(0.02), "less than 0.1 lb", "0.02 lb"),
        (POUNDS, Quantity(0.0004), "less than 0.1 lb", "less than 0.001 lb"),
        (POUNDS, Quantity(3, by_each=True), "3", "3"),
        (KILOS, Quantity(2 / 0.45359237), "2.0 kg", "2 kg"),
    ],
)
def test_amounts_for_people(units, quantity, shown, exact):
    assert (units.show(quantity), units.exact(quantity)) == (shown, exact)


@pytest.mark.parametrize(
    ("units", "price", "by_each", "shown"),
    [
        (POUNDS, 22.99, False, "$22.99/lb"),
        (POUNDS, 9.0, True, "$9.00 each"),
        (KILOS, 10 * 0.45359237, False, "10.00 EUR/kg"),
    ],
)
def test_rates_for_people(units, price, by_each, shown):
    assert units.rate(price, by_each) == shown


def test_figures_for_machines():
    assert KILOS.number(Quantity(1 / 0.45359237)) == 1.0
    assert KILOS.number(Quantity(3.0, by_each=True)) == 3.0
    assert KILOS.price(0.45359237) == 1.0
    assert (POUNDS.by(True), KILOS.by(False)) == ("each", "kg")
    assert str(figure(-1e-12)) == "0.0"


@given(
    st.sampled_from([POUNDS, KILOS]),
    st.integers(0, 10**9).map(lambda thousandths: thousandths / 1000),
    st.booleans(),
)
def test_what_is_written_is_read_as_the_same(units, number, by_each):
    """Whatever was entered in the unit of the file comes back to the last digit."""
    text = f"{number:.0f}" if by_each else f"{number:.3f}"
    if float(text) > 1e6 or (not by_each and number < 0.001):
        return
    meant = units.read(text, by_each)
    assert units.read(units.written(meant), by_each) == meant


@pytest.mark.parametrize(
    ("text", "by_each", "said"),
    [
        ("3 each", False, "trim is weighed"),
        ("3 lb", True, "trim is counted"),
        ("2.5", True, "trim is counted"),
        ("0.0001 lb", False, "less than a scale can weigh"),
    ],
)
def test_amounts_that_cannot_be_meant(text, by_each, said):
    with pytest.raises(ValueError, match=said):
        POUNDS.read(text, by_each, "trim")


@pytest.mark.parametrize(("text", "by_each"), [("9/each", False), ("22.99/lb", True)])
def test_prices_that_cannot_be_meant(text, by_each):
    with pytest.raises(ValueError, match="ribs is sold by"):
        POUNDS.read_rate(text, by_each, "ribs")
    assert POUNDS.read_rate(text, not by_each) == float(text.partition("/")[0])
