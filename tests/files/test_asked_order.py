"""Orders as a person says them: read as a file is read, and faults told the same way."""

import tempfile
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.errors import InputError
from planner.core.scenario import Demand, Order
from planner.files.asked_order import (
    SOMEBODY,
    WrittenOrder,
    order_of,
    split_order,
    with_orders,
)
from planner.files.scenario_file import read_scenario
from planner.files.scenario_shape import OrderShape
from tests.files.test_scenario_file import HOG

ROAST = "shoulder roast"


def read_order(scenario, text, buyer=SOMEBODY, price=None, index=None):
    return order_of(scenario, split_order(text, buyer, price), index)


def read(shop):
    return read_scenario(shop.week, "week.yaml")[0]


def faults(scenario, text, buyer=SOMEBODY, price=None):
    with pytest.raises(InputError) as caught:
        read_order(scenario, text, buyer, price)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("text", "cut", "day", "amount"),
    [
        ("shoulder roast: 9 lb on fri", ROAST, 4, 9),
        ("shoulder roast: 9 lb fri", ROAST, 4, 9),
        ("shoulder roast:9lb on FRI", ROAST, 4, 9),
        ("  goat shoulder roast :  9   on  mon ", ROAST, 0, 9),
        ("shoulder roast: 24 oz on 2026-12-04", ROAST, 4, 1.5),
        ("shoulder roast: 1 kg 2026-12-05", ROAST, 5, 1 / 0.45359237),
        ("shoulder roast: 500 g On sat", ROAST, 5, 0.5 / 0.45359237),
        ("leg roast: 2 on fri", "leg roast", 4, 2),
        ("leg roast: 2 each fri", "leg roast", 4, 2),
        ("ground goat: .5 lb on tue", "ground goat", 1, 0.5),
    ],
)
def test_an_order_is_read(shop, text, cut, day, amount):
    order = read_order(read(shop), text)
    assert (order.cut, order.day, order.buyer) == (cut, day, "an order")
    assert order.amount == pytest.approx(amount, rel=1e-12)
    assert (order.index, order.own_price) == (1, False)  # the week has one order
    assert order.price == {ROAST: 12.99, "leg roast": 60, "ground goat": 9.99}[cut]


def test_the_buyer_who_is_not_named_is_the_one_of_files():
    assert OrderShape.model_fields["buyer"].default == SOMEBODY


def test_buyer_price_and_number_are_taken(shop):
    order = read_order(read(shop), "shoulder roast: 9 lb on fri", " the inn ", "$14.50/lb", 7)
    assert order == Order(7, ROAST, 4, 9, 14.5, "the inn")
    assert order.own_price
    assert read_order(read(shop), "leg roast: 1 fri", price="55").price == 55
    assert read_order(read(shop), "trim 85: 1 lb fri", price="22.0462262185/kg").price == (
        pytest.approx(10, rel=1e-9)
    )


def test_bare_numbers_take_the_unit_of_the_scenario(shop):
    shop.spoil("scenario", ("unit: lb", "unit: kg"))
    order = read_order(read(shop), "shoulder roast: 2 on fri", price="8")
    assert order.amount == pytest.approx(2 / 0.45359237, rel=1e-12)
    assert order.price == pytest.approx(8 * 0.45359237, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", 'a colon after the cut is missing in ""; write an order such as "boneless leg: 9 lb'),
        ("shoulder roast 9 lb on fri", "a colon after the cut is missing in"),
        (": 9 lb on fri", "the cut is missing in"),
        ("shoulder roast:", "the day is missing in"),
        ("shoulder roast: 9 lb", "the day is missing in"),
        ("shoulder roast: 9", "the day is missing in"),
        ("shoulder roast: 9 lb on", "the day is missing in"),
        ("shoulder roast: on fri", "the amount is missing in"),
        ("shoulder roast: fri", "the amount is missing in"),
        ("sholder roast: 9 lb on fri",
         'no cut called "sholder roast" in goat; did you mean "shoulder roast"?'),
        ("lamb shoulder roast: 9 lb on fri", 'no cut called "lamb shoulder roast" in goat; did'),
        ("leg: 2 on fri", "leg is a piece, not a cut; its ways give leg roast"),
        ("shoulder roast: nine lb on fri", 'cannot read "nine lb"; write an amount such as 58 lb'),
        ("shoulder roast: 9 stone on fri", '"9 stone": no unit called "stone"; use lb, kg, oz'),
        ("shoulder roast: -9 lb on fri", '"-9 lb" is negative'),
        ("shoulder roast: 0 lb on fri", "an order for 0 lb of shoulder roast asks for nothing"),
        ("leg roast: 0 on fri", "an order for 0 of leg roast asks for nothing"),
        ("leg roast: 1.5 on fri", "leg roast is counted: write a whole number such as 3"),
        ("leg roast: 9 lb on fri", "leg roast is counted: write a whole number such as 3"),
        ("shoulder roast: 2 each on fri", "shoulder roast is weighed: write a weight"),
        ("shoulder roast: 9 lb on fryday", 'no day called "fryday"; did you mean "friday"?'),
        ("shoulder roast: 9 lb on sun", "sun is outside the period (mon 2026-11-30 to sat 2026"),
        ("shoulder roast: 9 lb on 2026-12-07", "2026-12-07 is outside the period"),
        ("shoulder roast: 9 lb on 2026-12-32", "there is no day 2026-12-32 in the calendar"),
        ("trim 85: 9 lb on fri",
         "this order for trim 85 has no price, nor has the cut; give one with --price"),
    ],
)  # fmt: skip
def test_a_faulty_order_is_told_exactly(shop, text, said):
    (problem,) = faults(read(shop), text)
    assert problem.startswith(f"ORDER: {said}")


@pytest.mark.parametrize(
    ("buyer", "price", "said"),
    [
        ("walk-in", None, '--for: "walk-in" cannot be a buyer; the plan uses that name for'),
        (" markdown", None, '--for: "markdown" cannot be a buyer'),
        ("", None, "--for: nothing is written here"),
        ("x" * 121, None, "--for: the name has 121 characters, 120 at most"),
        (
            "a\nb",
            None,
            "--for: the text must be on one line without control or hidden signs, but has U+000A",
        ),
        (
            "a\x1b[2Jb",
            None,
            "--for: the text must be on one line without control or hidden signs, but has U+001B",
        ),
        ("the inn", "14.50/stone", '--price: "14.50/stone": no unit called "stone"'),
        ("the inn", "a lot", '--price: cannot read "a lot"; write a price such as 22.99/lb'),
        ("the inn", "", "--price: cannot read"),
        ("the inn", "-3", '--price: "-3" is negative'),
        ("the inn", "9/each", "--price: shoulder roast is sold by weight: write a price such as"),
    ],
)
def test_faulty_options_are_told_by_their_names(shop, buyer, price, said):
    (problem,) = faults(read(shop), "shoulder roast: 9 lb on fri", buyer, price)
    assert problem.startswith(said)


def test_all_faults_are_told_together(shop):
    found = faults(read(shop), "sholder roast: nine lb on sunday", "walk-in", "x")
    assert [each.split(":")[0] for each in found] == ["--for", "--price", *["ORDER"] * 3]


def test_a_weekday_that_comes_twice_needs_its_date(shop):
    shop.spoil("scenario", ("days: 6", "days: 14"), ("day: fri", "day: 2026-12-04"))
    shop.spoil("scenario", ("arrives: mon", "keeps: 6"), ("arrives: wed", "keeps: 7"))
    (problem,) = faults(read(shop), "shoulder roast: 9 lb on fri")
    assert problem == (
        "ORDER: fri comes 2 times in the period; write one of 2026-12-04, 2026-12-11"
    )
    assert read_order(read(shop), "shoulder roast: 9 lb on 2026-12-11").day == 11


def test_a_name_of_two_recipes_needs_its_species(shop):
    (shop.folder / "hog.yaml").write_text(HOG)
    shop.spoil("scenario", ("recipes: [goat.yaml]", "recipes: [goat.yaml, hog.yaml]"),
               ("  bones: 4 lb", "  goat bones: 4 lb"),
               ("  bones: {price", "  goat bones: {price"))  # fmt: skip
    (problem,) = faults(read(shop), "bones: 1 lb fri")
    assert problem == 'ORDER: more than one recipe has "bones"; write "goat bones" or "hog bones"'
    assert read_order(read(shop), "hog bones: 1 lb fri", price="1/lb").cut == "hog bones"
    assert read_order(read(shop), "hog chops: 1 lb fri", price="1/lb").cut == "chops"


def test_the_words_are_kept():
    written = split_order(" goat bones : 9  lb On 2026-12-04", " the inn ", "14.50 / lb")
    assert written == WrittenOrder("goat bones", "9 lb", "2026-12-04", "the inn", "14.50 / lb")
    assert written.words() == {
        "day": "2026-12-04", "amount": "9 lb", "for": "the inn", "price": "14.50 / lb"
    }  # fmt: skip
    assert split_order("bones: 9 lb fri").words() == {"day": "fri", "amount": "9 lb"}


@pytest.mark.parametrize(
    ("cut", "written"),
    [
        (ROAST, "      - {day: sat, amount: 3 lb, for: the inn}\n"),
        ("bones", None),
        ("trim 85", "  trim 85: {orders: [{day: sat, amount: 3 lb, for: the inn, price: 4/lb}]}\n"),
    ],
)
def test_the_scenario_with_an_order_is_that_of_the_file_with_it(shop, cut, written):
    price = "4/lb" if cut == "trim 85" else None
    before = read(shop)
    order = read_order(before, f"{cut}: 3 lb on sat", "the inn", price)
    after = with_orders(before, [order])
    if cut == "bones":
        new = "want: 10 lb, orders: [{day: sat, amount: 3 lb, for: the inn}]}"
        shop.spoil("scenario", ("want: 10 lb}", new))
    elif cut == ROAST:
        last = "for: the corner bistro}\n"
        shop.spoil("scenario", (last, last + written))
    else:
        shop.spoil("scenario", ("rules:\n", written + "rules:\n"))
    read_again = read(shop)
    assert after.demand == read_again.demand
    assert after.orders == read_again.orders
    assert [each.own_price for each in after.orders] == [False, price is not None]
    assert before.orders == after.orders[:1]  # and the first is left alone
    if cut == "trim 85":
        assert after.demand[cut] == Demand(cut, None, (0.0,) * 6, 0.0, (0.0,) * 6)
        assert cut not in before.demand


def test_several_orders_are_numbered_by_the_caller(shop):
    week = read(shop)
    orders = [read_order(week, "bones: 1 lb on sat", index=1 + n) for n in range(3)]
    assert [each.index for each in with_orders(week, orders).orders] == [0, 1, 2, 3]


@settings(deadline=None)
@given(st.text(max_size=60), st.text(max_size=20), st.none() | st.text(max_size=20))
def test_any_text_is_an_order_or_a_fault(text, buyer, price):
    order, problems = order_or_problems(text, buyer, price)
    assert (order is None) == bool(problems)
    assert all(str(each).isprintable() for each in problems)
    assert {each.file for each in problems} <= {"ORDER", "--for", "--price"}


@settings(deadline=None)
@given(
    st.sampled_from(["chops", "hog chops", "leg", " "]),
    st.sampled_from(["2 lb", "9", "1 each", "x", "", "0 kg", "3.5oz"]),
    st.sampled_from([" on ", " ", " ON ", "", " on on ", " by "]),
    st.sampled_from(["mon", "2026-11-30", "fri", "", "noon", "on"]),
)
def test_only_whole_orders_are_taken(cut, amount, on, day):
    order, problems = order_or_problems(f"{cut}:{amount}{on}{day}", "the inn", "3/lb")
    whole = cut in ("chops", "hog chops") and amount in ("2 lb", "9", "3.5oz")
    whole &= on in (" on ", " ", " ON ", " on on ") and day in ("mon", "2026-11-30")
    assert (order is not None) == whole == (not problems)


def order_or_problems(text, buyer, price):
    try:
        return read_order(WEEK_OF_HOGS, text, buyer, price), ()
    except InputError as error:
        return None, error.problems


def _week_of_hogs():
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "hog.yaml").write_text(HOG)
        week = Path(folder) / "week.yaml"
        week.write_text("starts: 2026-11-30\ndays: 2\nrecipes: [hog.yaml]\n")
        return read_scenario(week, "week.yaml")[0]


WEEK_OF_HOGS = _week_of_hogs()


def test_an_order_of_parts_is_that_of_its_text(shop):
    week = read(shop)
    parts = WrittenOrder("goat bones", "1 lb", "sat", "the inn", "3/lb")
    assert order_of(week, parts) == read_order(week, "goat bones: 1 lb on sat", "the inn", "3/lb")
    assert week.starts == date(2026, 11, 30)
