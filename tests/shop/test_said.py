"""Entries as a person says them, and what is unlikely about them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.days import read_day
from planner.core.quantities import WEEKDAYS
from planner.core.signs import shown_line
from planner.core.units import Quantity
from planner.files.context import Setting
from planner.files.shop_file import read_shop
from planner.files.yamlfile import Document
from planner.journal.checks import check_entry
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    Recorded,
    Sold,
    Wasted,
    Weighed,
)
from planner.shop.entering.catalog import Catalog
from planner.shop.entering.context import context_of, warnings_of
from planner.shop.entering.entry_checks import ENTRY_CHECKS, not_on_hand, same_entry
from planner.shop.entering.entry_patterns import PATTERNS
from planner.shop.entering.entry_reader import EntryReader
from planner.shop.entering.orders import order_states, states_after
from tests.shops import shop_folder

THU = date(2026, 11, 26)  # a Thursday
MON, TUE = date(2026, 11, 23), date(2026, 11, 24)
FRI, WED = date(2026, 11, 27), date(2026, 12, 2)


def recorded(*entries):
    at = datetime(2026, 11, 26, 8, tzinfo=UTC)
    return [Recorded(number, 1, at, each) for number, each in enumerate(entries, 1)]


ORDER = OrderTaken(FRI, "lamb boneless leg", Quantity(9.0), "the corner bistro", 15.99)
RACKS = OrderTaken(FRI, "lamb frenched rack", Quantity(3.0, by_each=True), "Ann")
PICKED = Filled(THU, 1, 4.0)
ORDERS = recorded(ORDER, RACKS, PICKED)


@pytest.fixture(scope="module")
def catalog(tmp_path_factory):
    shop, _ = read_shop(shop_folder(tmp_path_factory.mktemp("said")))
    return Catalog(shop.week(THU))


@pytest.fixture(scope="module")
def reader(catalog):
    return EntryReader(catalog, THU, order_states(recorded(ORDER, RACKS, PICKED)))


KG = 1 / 0.45359237  # pounds: the international avoirdupois pound is 0.45359237 kg, exactly

RACK = "lamb frenched rack"

SAID = [
    ("delivery lamb: 3 head at 57.5 lb on wed", Delivery(WED, "lamb carcass", 3, (57.5,))),
    ("delivery lamb: 3 head at 57.5 lb", Delivery(THU, "lamb carcass", 3, (57.5,))),
    (
        "delivery lamb: 57.5 lb, 58 lb, 61 lb on wed at 7.10/lb",
        Delivery(WED, "lamb carcass", 3, (57.5, 58.0, 61.0), 7.1),
    ),
    (
        "delivery lamb: 2 head at 57.5, 58 lb at 7.10/lb on wed",
        Delivery(WED, "lamb carcass", 2, (57.5, 58.0), 7.1),
    ),
    ("delivery Leg: 2 at 9.1 lb on yesterday", Delivery(WED - timedelta(7), "lamb leg", 2, (9.1,))),
    ("delivery leg: 4 kg", Delivery(THU, "lamb leg", 1, (4 * KG,))),
    (
        "order boneless leg: 9 lb on fri for the corner bistro at 15.99/lb",
        OrderTaken(FRI, "lamb boneless leg", Quantity(9.0), "the corner bistro", 15.99),
    ),
    (
        "order boneless leg: 9 lb for the corner bistro at 15.99 on fri",
        OrderTaken(FRI, "lamb boneless leg", Quantity(9.0), "the corner bistro", 15.99),
    ),
    (
        "order boneless leg: 9 lb at 15.99/lb on fri for the house on hill",
        OrderTaken(FRI, "lamb boneless leg", Quantity(9.0), "the house on hill", 15.99),
    ),
    (
        "order frenched rack: 2 on thu",
        OrderTaken(THU, "lamb frenched rack", Quantity(2.0, by_each=True), "a customer"),
    ),
    ("filled 1", Filled(THU, 1, 5.0)),
    ("filled #1: 2.5 lb on wed", Filled(WED - timedelta(7), 1, 2.5)),
    ("filled 2: 1", Filled(THU, 2, 1.0)),
    ("sale loin chops: 3.5 lb on tue", Sold(TUE, "lamb loin chops", Quantity(3.5))),
    ("SALE Loin  Chops: 3.5", Sold(THU, "lamb loin chops", Quantity(3.5))),
    ("sale loin chops: 3.5 lb sold out", Sold(THU, "lamb loin chops", Quantity(3.5), None, True)),
    (
        "sale loin chops: 3.5 lb, sold out on tue",
        Sold(TUE, "lamb loin chops", Quantity(3.5), None, True),
    ),
    ("sale frenched rack: 2 for 152.00",
     Sold(THU, "lamb frenched rack", Quantity(2.0, by_each=True), 152.0)),
    ("sale frenched rack: 2 for $152 on mon",
     Sold(MON, "lamb frenched rack", Quantity(2.0, by_each=True), 152.0)),
    ("sale loin chops: 0 lb sold out", Sold(THU, "lamb loin chops", Quantity(0.0), None, True)),
    ("waste bones: 1.2 lb", Wasted(THU, "lamb bones", Quantity(1.2))),
    ("waste shoulder: 1 on last thu",
     Wasted(date(2026, 11, 19), "lamb shoulder", Quantity(1.0, by_each=True))),
    ("break shoulder: 4 roast on tue", BreakDone(TUE, "lamb shoulder", "roast", 4)),
    ("break carcass: 2", BreakDone(THU, "lamb carcass", "block break", 2)),
    ("break leg: 1 boneless on monday", BreakDone(MON, "lamb leg", "boneless", 1)),
    (
        "batch ground lamb: 8 lb from trim 80 6 lb, 2 lb bones on tue",
        BatchMade(
            TUE,
            "lamb ground lamb",
            8.0,
            (Weighed("lamb trim 80", None, 6.0), Weighed("lamb bones", None, 2.0)),
        ),
    ),
    ("batch ground lamb: 3", BatchMade(THU, "lamb ground lamb", 3.0)),
    ("batch 4 lb ground lamb", BatchMade(THU, "lamb ground lamb", 4.0)),
    ("break 2 leg: boneless on 24 nov", BreakDone(TUE, "lamb leg", "boneless", 2)),
    (
        "break leg: 2 boneless weighing 17 lb gave boneless leg 12 lb, bones 3,4 lb",
        BreakDone(
            THU, "lamb leg", "boneless", 2, 17.0,
            (Weighed("lamb boneless leg", None, 12.0), Weighed("lamb bones", None, 3.4)),
        ),
    ),
    (
        "break carcass: 1 weighing 58 lb; gave 2 legs of 17.5 lb in all, loin 11 lb, 1 shoulder",
        BreakDone(
            THU, "lamb carcass", "block break", 1, 58.0,
            (
                Weighed("lamb leg", 2, 17.5), Weighed("lamb loin", 1, 11.0),
                Weighed("lamb shoulder", 1, None),
            ),
        ),
    ),
    ("sale loin chops: 3,5 lb fri 27 nov", Sold(FRI, "lamb loin chops", Quantity(3.5))),
    ("sale loin chops: 3.5 lb on 24.11.2026", Sold(TUE, "lamb loin chops", Quantity(3.5))),
    ("sale loin chops: 2 lb 4 oz tue", Sold(TUE, "lamb loin chops", Quantity(2.25))),
    ("sale loin chops: 2 pounds for $1,012.50",
     Sold(THU, "lamb loin chops", Quantity(2.0), 1012.5)),
    (
        "order boneless leg: 9 lb on fri for Man Friday",
        OrderTaken(FRI, "lamb boneless leg", Quantity(9.0), "Man Friday"),
    ),
    (
        "order boneless leg: 9 lb for Ann at 15.99 fri",
        OrderTaken(FRI, "lamb boneless leg", Quantity(9.0), "Ann", 15.99),
    ),
    ("order 2 frenched racks for Ann on fri",
     OrderTaken(FRI, RACK, Quantity(2.0, by_each=True), "Ann")),
    (
        "delivery 2 carcasses of 57.5, 58 lb, 115.5 lb in all",
        Delivery(THU, "lamb carcass", 2, (57.5, 58.0)),
    ),
    ("filled order 1: 2.5 lb boneless leg for Ann", Filled(THU, 1, 2.5)),
]  # fmt: skip


@pytest.mark.parametrize(("text", "entry"), SAID, ids=[text for text, _ in SAID])
def test_what_is_said_is_entered(reader, text, entry):
    assert reader.read(text) == entry
    check_entry(entry)


FAULTS = [
    ("sel loin chops: 3", 'no kind of entry is called "sel"; begin with one of delivery,'),
    ("sales loin chops: 3", 'did you mean "sale"?'),
    ("count loin chops: 3 lb", "breakplan counts"),
    ("sale loin chops 3 lb", 'a colon is missing after the name of what it is; write it such'),
    ("sale loin chops:", "something is missing before or after the colon"),
    ("sale lion chops: 3 lb", 'did you mean "loin chops"?'),
    ("sale shoulder: 3 lb", "shoulder is a piece, not a cut"),
    ("sale loin chops: 3 lb on wedn", 'no day called "wedn"; did you mean "wed"?'),
    ("sale loin chops: 3 lb on 2026-02-30", "there is no day 2026-02-30"),
    ("sale loin chops: three", 'cannot read "three"; write it such as "sale'),
    ("sale loin chops: 3 each", "loin chops is weighed: write a weight such as 6 lb"),
    ("sale loin chops: -3 lb", '"-3 lb" is negative'),
    ("sale loin chops: 1,250 lb", "thousands or decimals?"),
    ("delivery lamb: 58,61 lb", "one weight or two?"),
    ("delivery lamb: 58 lb on 31 nov", 'there is no day 31 nov in the calendar'),
    ("delivery lamb: 58 lb on 27 nvo", 'no month called "nvo"; did you mean "nov"?'),
    ("sale loin chops: 3 lb on thu 27 nov", "2026-11-27 is fri 27 nov"),
    ("break leg: 2 boneless gave loin 3 lb", "leg: boneless gives no loin, but boneless leg,"),
    ("break leg: 2 boneless gave bones 3 lb, bones 2 lb", "bones is there twice"),
    ("sale frenched rack: 2.5", "frenched rack is counted: write a whole number"),
    ("sale frenched rack: 2 lb", "frenched rack is counted"),
    ("sale loin chops: sold out", "the amount is missing"),
    ("sale loin chops: 3 lb for plenty", "write an amount of money"),
    ("delivery lamb: 3 head", "the weight is missing"),
    ("delivery lamb: 3", "the weight is missing"),
    ("delivery lamb: 2 head at 57 lb, 58 lb, 59 lb", "2 head but 3 weights"),
    ("delivery lmab: 3 head at 58 lb", 'piece is called "lmab"; did you mean "lamb"?'),
    ("delivery lamb: 0 head at 58 lb", "the head must be"),
    ("delivery lamb: 1 head at 0 lb", "the weight must be above 0"),
    ("order leg: 2", "leg is a piece, not a cut"),
    ("order loin chops: 0 lb on fri", "asks for nothing"),
    ("order loin chops: 2 lb on fri for walk-in", "cannot be a buyer"),
    ("order frenched rack: 2 at 70/lb", "frenched rack is sold by each"),
    ("order loin chops: 2 lb at 7/each", "loin chops is sold by weight"),
    ("filled", "the number of the order is missing"),
    ("filled 3", "entry 3 is not an order; open orders are 1, 2"),
    ("filled 1: 2 each", "boneless leg is weighed"),
    ("filled 2: 2.5", "frenched rack is counted"),
    ("break shoulder: roast", "how many were cut is missing"),
    ("break shoulder: 4", "the way is missing (roast, trim)"),
    ("break shoulder: 4 rost", 'did you mean "roast"?'),
    ("break loin chops: 4 roast", "loin chops is a cut, not a piece"),
    ("batch loin chops: 8 lb", "loin chops is not a blend; known: ground lamb"),
    ("batch ground lamb: 8 lb from trim 80", "how much it took is not clear"),
    ("batch ground lamb: 8 lb from tirm 80 6 lb", 'did you mean "trim 80"?'),
]  # fmt: skip


@pytest.mark.parametrize(("text", "message"), FAULTS, ids=[text for text, _ in FAULTS])
def test_a_fault_is_told_with_the_nearest_word_or_the_pattern(reader, text, message):
    with pytest.raises(ValueError, match=r"^[^\n]+$") as told:
        reader.read(text)
    assert message in str(told.value)


def test_a_filled_order_is_picked_up_in_full_once(catalog):
    states = order_states(recorded(ORDER))
    first = EntryReader(catalog, THU, states).read("filled 1")
    with pytest.raises(ValueError, match="order 1 has been picked up in full"):
        EntryReader(catalog, THU, states_after(states, first)).read("filled 1")


def test_every_pattern_of_a_message_can_be_said(tmp_path):
    shop, _ = read_shop(shop_folder(tmp_path, recipe="shipped", shop=SHIPPED))
    order = OrderTaken(FRI, "lamb boneless leg", Quantity(9.0), "Ann")
    states = {12: order_states(recorded(order))[1]}
    reader = EntryReader(Catalog(shop.week(THU)), THU, states)
    for kind, pattern in PATTERNS.items():
        assert pattern.split()[0] == kind
        check_entry(reader.read(pattern))


SHIPPED = "title: An invented shop\nrecipes: [recipes/lamb.yaml]\nunit: lb\n"

WORDS = [
    *PATTERNS,
    "lamb",
    "loin chops",
    "leg",
    "on",
    "at",
    "for",
    "from",
    "3",
    "4 lb",
    "7/lb",
    ":",
]
WORDS += [
    ",",
    "wed",
    "sold out",
    "12",
    "boneless",
    "ground lamb",
    "1e9",
    "head",
    "\x1b[31m",
    "\u202e",
]


@settings(max_examples=300, deadline=None)
@given(st.lists(st.sampled_from(WORDS) | st.text(max_size=6), max_size=9))
def test_whatever_is_said_gives_an_entry_or_one_safe_line(reader, words):
    told = ""
    try:
        check_entry(reader.read(" ".join(words)))
    except ValueError as error:
        told = str(error) or "\n"
    assert told == shown_line(told)


@given(st.dates(date(2020, 1, 1), date(2030, 1, 1)), st.sampled_from(WEEKDAYS))
def test_a_weekday_is_the_nearest_and_today_counts(today, word):
    past = read_day(word, today, "past")
    coming = read_day(word, today, "coming")
    last = read_day(f"last {word}", today, "coming")
    assert {WEEKDAYS[each.weekday()] for each in (past, coming, last)} == {word}
    assert 0 <= (today - past).days < 7 and 0 <= (coming - today).days < 7
    assert 1 <= (today - last).days <= 7
    assert read_day(today.isoformat(), today, "past") == today


ODD = [
    ("sale loin chops: 300 lb", "300.0 lb of loin chops is a lot for this shop"),
    ("sale frenched rack: 60", "60 of frenched rack is a lot"),
    ("waste bones: 120 lb", "120.0 lb of bones is a lot"),
    ("delivery lamb: 1 head at 580 lb", "carcass of 580.0 lb: 25.0 to 115.0 lb is expected"),
    ("delivery lamb: 1 head at 22 lb", "did you mean kg?"),
    ("delivery leg: 1 at 58 lb", "leg of 58.0 lb: 3.8 to 17.2 lb is expected"),  # 15% of the above
    ("delivery lamb: 300 head at 58 lb", "300 head of carcass is many"),
    ("order loin chops: 3 lb on 2026-12-24", "2026-12-24 is 28 days ahead"),
    ("order loin chops: 3 lb on yesterday", "2026-11-25 is over, and this is an order for it"),
    ("sale loin chops: 3 lb on 2026-09-01", "2026-09-01 is 86 days ago"),
    ("sale loin chops: 3 lb on tomorrow", "2026-11-27 has not come yet"),
    ("filled 1: 6 lb", "is for 9.0 lb of boneless leg, of which 5.0 lb is left; 6.0 lb is more"),
    ("filled 2: 1 on last fri", "order 2 is for 2026-11-27, 7 days after 2026-11-20"),
    ("break shoulder: 500 roast", "500 shoulder is many to cut in a day"),
    ("batch ground lamb: 8 lb from trim 80 2 lb", "8.0 lb of ground lamb from 2.0 lb"),
    ("batch ground lamb: 8 lb from bones 8 lb", "bones does not go into ground lamb (only"),
]  # fmt: skip


def unlikely(catalog: Catalog, entry: Entry, before: Sequence[Recorded] = ()) -> list[str]:
    context = context_of(catalog, before, THU)
    return [each.sentence for each in warnings_of(entry, context, ENTRY_CHECKS)]


@pytest.mark.parametrize(("text", "message"), ODD, ids=[text for text, _ in ODD])
def test_what_is_odd_is_asked_about(catalog, reader, text, message):
    told = unlikely(catalog, reader.read(text), ORDERS)
    assert len(told) == 1 and message in told[0]


UNUSUAL = ("6 lb, 2 lb bones", "fri 27 nov", "1,012.50")


@pytest.mark.parametrize(
    "text", [text for text, _ in SAID if not any(each in text for each in UNUSUAL)]
)
def test_what_is_usual_is_not_asked_about(catalog, reader, text):
    assert unlikely(catalog, reader.read(text), ORDERS) == []


def test_what_was_there_before_is_usual(catalog, reader):
    entry = reader.read("sale loin chops: 300 lb")
    before = recorded(Sold(TUE, "lamb loin chops", Quantity(110.0)))
    assert unlikely(catalog, entry, before) == []
    heavy = reader.read("delivery lamb: 1 head at 150 lb")
    bought = recorded(Delivery(TUE, "lamb carcass", 1, (140.0,)))
    assert unlikely(catalog, heavy, bought) == []


def test_a_shop_in_kilograms_is_answered_in_kilograms(tmp_path):
    shop, _ = read_shop(shop_folder(tmp_path, ("unit: lb", "unit: kg")))
    reader = EntryReader(Catalog(shop.week(THU)), THU, {})
    for said in (
        "sale loin chops",
        "delivery lamb: 3",
        "sale loin chops: x",
        "batch ground lamb: ",
    ):
        with pytest.raises(ValueError, match="kg") as told:
            reader.read(said)
        assert " lb" not in str(told.value) and "/lb" not in str(told.value)


def test_a_blend_of_one_species_is_known_with_that_in_front(tmp_path):
    blends = "blends:\n  pet bones: {from: [bones], loss: 5%, minutes: 0.1 per lb, keeps: 3 days}\n"
    shop, _ = read_shop(shop_folder(tmp_path, more=blends))
    catalog = Catalog(shop.week(THU))
    assert [each.full for each in catalog if catalog.find(each.full) != each] == []
    assert catalog.find("pet bones").full == "lamb pet bones"
    setting = Setting.of(shop.week(THU), Document("test"))
    assert setting.cut_names.find("lamb pet bones") == "pet bones"


def test_the_very_same_is_noticed_and_another_is_not(catalog):
    context = context_of(catalog, recorded(ORDER, Sold(TUE, "lamb bones", Quantity(2.0))), THU)

    def told(entry: Entry, *before: Entry) -> list[str]:
        return [each.sentence for each in same_entry(entry, context.after(*before))]

    assert told(ORDER) == ["entry 1 says the same: this would enter it twice"]
    assert told(RACKS) == []
    assert told(Sold(TUE, "lamb bones", Quantity(2.1))) == []
    assert told(RACKS, RACKS) == ["the same entry is given twice"]


def test_what_is_not_followed_is_not_missed(catalog, reader):
    sale = reader.read("sale loin chops: 15 lb")

    def missed(entry: Entry, *before: Entry) -> int:
        return len([*not_on_hand(entry, context_of(catalog, recorded(*before), THU))])

    assert missed(sale, Sold(TUE, "lamb bones", Quantity(2.0))) == 0
    arrived = Delivery(TUE, "lamb carcass", 1, (58.0,))
    assert missed(sale, arrived) == 1
    assert missed(reader.read("sale loin chops: 3 lb"), arrived) == 0
