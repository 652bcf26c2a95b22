"""Entries out of CSV files and into them: our own, and the sales of any till."""

from __future__ import annotations

import codecs
import csv
import io
import time
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from planner.core.csv_cells import harmless, marked, unmarked
from planner.core.days import Order, read_day
from planner.core.errors import InputError
from planner.core.quantities import POUNDS
from planner.core.signs import shown_line
from planner.core.units import Quantity, Units, all_digits
from planner.files.shop_file import read_shop
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Filled,
    OrderTaken,
    PlanKept,
    Recorded,
    Sold,
    Undone,
    Wasted,
    Weighed,
    YieldsWritten,
)
from planner.shop.entering.catalog import Catalog
from planner.shop.entering.context import context_of
from planner.shop.entering.kinds import ENTERED
from planner.shop.tables.column_numbers import decimal_of, order_of, read_figure
from planner.shop.tables.columns import read_mapping, score_of
from planner.shop.tables.csv_file import sheet_of, text_of
from planner.shop.tables.implausible_sales import more_than_there
from planner.shop.tables.imported import Reading, read_lines
from planner.shop.tables.row_checks import warnings_in
from planner.show.journal_data import journal_csv
from tests.shops import shop_folder

DEC = date(2026, 12, 1)
CHOPS, RACK, LEG = "lamb loin chops", "lamb frenched rack", "lamb whole leg"
TILL_PLAIN = read_mapping("Item=cut,Qty=amount,Date=day", "--columns")
TILL = read_mapping("Item=cut,Qty=amount,Date=day,Total=money", "--columns")


@pytest.fixture(scope="module")
def catalog(tmp_path_factory):
    shop, _ = read_shop(shop_folder(tmp_path_factory.mktemp("csv")))
    return Catalog(shop.week(DEC))


@pytest.fixture(scope="module")
def kilo_things(tmp_path_factory):
    folder = shop_folder(tmp_path_factory.mktemp("kg"), ("unit: lb", "unit: kg"))
    shop, _ = read_shop(folder)
    return Catalog(shop.week(DEC))


@pytest.fixture(scope="module")
def euro_things(tmp_path_factory):
    folder = shop_folder(tmp_path_factory.mktemp("euro"), ("money: $", "money: €"))
    shop, _ = read_shop(folder)
    return Catalog(shop.week(DEC))


def read_entries(sheet, catalog, reading):
    found, faults = read_lines(sheet, catalog, reading)
    faults.stop()
    return found


def imported(catalog, text, mapping=None, **more):
    if isinstance(text, str):
        text = text.encode()
    sheet = sheet_of(text_of(text, "till.csv"), "till.csv", score_of(mapping))
    return read_entries(sheet, catalog, Reading(mapping=mapping, **more))


def sales(catalog, text, mapping=TILL, **more):
    return [
        each for line in imported(catalog, text, mapping, **more).lines for each in [line.entry]
    ]


def faults(catalog, text, mapping=TILL, **more):
    with pytest.raises(InputError) as told:
        imported(catalog, text, mapping, **more)
    return [str(problem) for problem in told.value.problems]


# Our own files: what is exported comes back.

NAME_LIKE = st.text(
    st.characters(exclude_categories=["C", "Z"]) | st.just(" "), min_size=1, max_size=20
)
BUYERS = NAME_LIKE.map(str.strip).filter(bool) | st.sampled_from(
    ["=1+1", "'=1", "''@x", "a;=b", '"+1', "-2", "\uff1d1", "Ann; Bob: 2 lb", 'the "corner" bistro']
)
POUND = (
    st.floats(0.001, 5000)
    | st.integers(1, 900).map(float)
    | st.floats(0.01, 50).map(lambda x: round(x, 2))
)
MONEY = st.none() | st.floats(0, 1e5)
DAY = st.dates(date(2020, 1, 1), date(2035, 1, 1))
EACH = st.integers(0, 500).map(float)
CUTS = st.sampled_from(["lamb loin chops", "lamb whole leg", "lamb bones", "lamb trim 80"])
PIECES = st.sampled_from(["lamb leg", "lamb shoulder", "lamb carcass"])
PARTS = st.lists(
    st.builds(Weighed, CUTS, st.none(), POUND)
    | st.builds(Weighed, PIECES, st.integers(0, 9), st.none() | POUND),
    max_size=3,
).map(tuple)


WEIGHED = st.builds(Quantity, POUND)
WHOLE = st.builds(Quantity, EACH, st.just(True))


@st.composite
def deliveries(draw):
    pounds = tuple(draw(st.lists(POUND, min_size=1, max_size=4)))
    head = len(pounds) if len(pounds) > 1 else draw(st.integers(1, 9))
    return Delivery(draw(DAY), draw(PIECES), head, pounds, draw(MONEY))


@st.composite
def counts(draw):
    day, old = draw(DAY), draw(st.none() | st.integers(0, 9))
    made = None if old is None else day - timedelta(old)
    at = draw(st.sampled_from(["open", "close"]))
    if draw(st.booleans()):
        return Count(day, at, draw(CUTS), Quantity(draw(POUND)), made)
    return Count(
        day, at, draw(PIECES), Quantity(draw(EACH), by_each=True), made, draw(st.none() | POUND)
    )


ENTRIES = st.one_of(
    deliveries(),
    counts(),
    st.builds(
        BreakDone, DAY, st.just("lamb shoulder"), st.sampled_from(["roast", "trim"]),
        st.integers(1, 9), st.none() | POUND, PARTS,
    ),
    st.builds(BatchMade, DAY, st.just("lamb ground lamb"), POUND, PARTS),
    st.builds(Sold, DAY, CUTS, WEIGHED | st.just(Quantity(0.0)), MONEY, st.booleans()),
    st.builds(Sold, DAY, st.just(RACK), WHOLE, MONEY, st.booleans()),
    st.builds(Wasted, DAY, CUTS, WEIGHED),
    st.builds(Wasted, DAY, PIECES, WHOLE),
    st.builds(OrderTaken, DAY, CUTS, WEIGHED, BUYERS, MONEY),
    st.builds(OrderTaken, DAY, st.just(RACK), WHOLE, BUYERS, MONEY),
    st.builds(PlanKept, DAY, st.sampled_from(['{"a": "=1;\\n+2"}', "=x", '"' * 3])),
    st.builds(YieldsWritten, DAY, st.just("lamb leg"), st.just("whole"), st.floats(0, 500)),
)  # fmt: skip


@st.composite
def journals(draw):
    """Entries in writings, with gaps in the numbers, and pick-ups of orders that stand above."""
    number, writing = draw(st.integers(1, 90)), draw(st.integers(1, 9))
    made = []
    for entry in draw(st.lists(ENTRIES, min_size=1, max_size=8)):
        orders = [one for one in made if isinstance(one.entry, OrderTaken)]
        if orders and draw(st.booleans()):
            order = draw(st.sampled_from(orders))
            amount = draw(EACH if order.entry.quantity.by_each else POUND)
            made.append(Recorded(number, writing, NOW, Filled(entry.day, order.number, amount)))
            number += 1
        made.append(Recorded(number, writing, NOW, entry))
        number += draw(st.integers(1, 3))
        writing += draw(st.integers(0, 2))
    return made


NOW = datetime(2026, 12, 1, 9, 30, tzinfo=UTC)


UNITS = {unit: Units(unit, "$") for unit in ("lb", "kg")}


def exported(entries, unit="lb"):
    orders = {one.number: one.entry for one in entries if isinstance(one.entry, OrderTaken)}
    return journal_csv(entries, orders, UNITS[unit])


def entries_again(catalog, text):
    return imported(catalog, text).writings(501)


def in_writings(entries, first):
    """What should come back: the same entries, numbered anew from `first` on."""
    numbers = {one.number: first + place for place, one in enumerate(entries)}
    groups = {}
    for one in entries:
        entry = one.entry
        if isinstance(entry, Filled):
            entry = replace(entry, order=numbers[entry.order])
        groups.setdefault(one.writing, []).append(entry)
    return tuple(map(tuple, groups.values()))


@settings(max_examples=120, deadline=None)
@given(journals())
def test_what_is_exported_comes_back_the_same(catalog, entries):
    text = exported(entries)
    assert entries_again(catalog, text) == in_writings(entries, 501)
    for row in csv.reader(io.StringIO(text)):
        for cell in row:
            assert harmless(cell) == cell  # a spreadsheet takes none for a formula


@settings(max_examples=40, deadline=None)
@given(journals(), st.sampled_from([("utf-16", ","), ("utf-8-sig", ";"), ("utf-8", "\t")]))
def test_it_comes_back_from_another_spreadsheet_too(catalog, entries, form):
    """Saved by a program with other separators and decimal commas."""
    encoding, delimiter = form
    rows = list(csv.reader(io.StringIO(exported(entries))))
    if delimiter == ";":
        heads = rows[0]
        rows = [
            [
                cell.replace(".", ",") if n and head.split(" (")[0] in FIGURES else cell
                for head, cell in zip(heads, row, strict=True)
            ]
            for n, row in enumerate(rows)
        ]
    text = io.StringIO()
    csv.writer(text, delimiter=delimiter).writerows(rows)
    again = read_entries(
        sheet_of(text_of(text.getvalue().encode(encoding), "x"), "x", score_of(None)),
        catalog,
        Reading(decimal="," if delimiter == ";" else "."),
    )
    assert again.writings(501) == in_writings(entries, 501)


FIGURES = ("amount", "weight", "weights", "price", "money", "parts", "tests")


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.001, 9000).map(lambda x: round(x, 3)), st.floats(0, 900).map(lambda x: round(x, 2))
)
def test_kilograms_come_back_to_the_last_digit(kilo_things, kilograms, per_kg):
    pounds, per_pound = kilograms * POUNDS["kg"], per_kg / POUNDS["kg"]
    order = OrderTaken(DEC, CHOPS, Quantity(pounds), "Ann", per_pound)
    (again,) = entries_again(kilo_things, exported([Recorded(1, 1, NOW, order)], "kg"))
    assert again == (order,)
    assert (
        float(UNITS["kg"].written(Quantity(pounds))) == kilograms
        and float(UNITS["kg"].written_rate(per_pound).removesuffix("/kg")) == per_kg
    )  # as typed


@given(st.floats(0, 1e12))
def test_digits_are_all_there_without_an_exponent(value):
    assert float(all_digits(value)) == value and "e" not in all_digits(value)


@given(st.floats(1e-6, 1e6))
def test_units_go_there_and_back(value):
    for unit, units in UNITS.items():
        weight, rate = units.written(Quantity(value)), units.written_rate(value)
        assert float(weight) * POUNDS[unit] == pytest.approx(value, rel=1e-15)
        assert float(rate.partition("/")[0]) / POUNDS[unit] == pytest.approx(value, rel=1e-15)


@given(st.text(st.sampled_from("'=+-@\t\r\n;\" aé\uff1d\u200b"), max_size=12) | st.text())
@example("'\t=")
def test_marks_against_formulas_are_taken_back(text):
    assert unmarked(marked(text)) == text
    assert harmless(marked(text)) == marked(text)
    if not text.startswith("'"):
        assert (
            unmarked(harmless(text)) == text
            or ";'" in text
            or "\n'" in text
            or "\t'" in text
            or "\r'" in text
        )


def test_undoings_are_not_exported_and_an_empty_journal_has_heads_alone():
    assert exported([Recorded(1, 1, NOW, Undone(DEC, 1))]) == exported([])
    assert exported([]).startswith("number,writing,entered,day,kind,what,way,amount (lb),")


def test_numbers_must_hold_together_in_our_own_file(catalog):
    head = "number,day,kind,what,amount (lb),order\n"
    order, filled = "3,2026-12-01,order,loin chops,4,\n", "4,2026-12-02,filled,,1,3\n"
    assert entries_again(catalog, head + order + filled)[0][1] == Filled(
        DEC + timedelta(1), 501, 1.0
    )
    assert faults(catalog, head + filled + order, None) == [
        "till.csv:2: order 3, which is filled, is not above in this file"
    ]
    assert faults(catalog, head + order + order, None) == [
        "till.csv:3: entry 3 is on line 2 already"
    ]
    unnumbered = faults(catalog, head + order.replace("3,", ",", 1), None)
    assert unnumbered == ["till.csv:2: the number of the entry is missing"]


def test_without_numbers_a_pick_up_is_of_an_order_in_the_journal(catalog):
    text = "day,order,amount (lb)\n2026-12-01,12,2.5\n"
    assert entries_again(catalog, "kind," + text.replace("\n2", "\nfilled,2"))[0] == (
        Filled(DEC, 12, 2.5),
    )
    assert imported(catalog, text, kind="filled").writings(1) == ((Filled(DEC, 12, 2.5),),)
    assert faults(catalog, text.replace(" (lb)", ""), None, kind="filled") == [
        'till.csv:2: by weight or by each? Call the column "amount (lb)" or "amount (each)"'
    ]


# The sales of a till.

PLAIN = "Item,Qty,Date,Total\nLoin chops,1.25,2026-12-01,29.99\nfrenched rack,2,2026-12-01,152\n"
SOLD = [
    Sold(DEC, CHOPS, Quantity(1.25), 29.99),
    Sold(DEC, RACK, Quantity(2.0, by_each=True), 152.0),
]


def test_a_plain_file(catalog):
    assert sales(catalog, PLAIN) == SOLD


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_any_separator_and_line_end(catalog, delimiter, end):
    assert sales(catalog, PLAIN.replace(",", delimiter).replace("\n", end)) == SOLD


@pytest.mark.parametrize(
    "encoded",
    [
        lambda text: text.encode("utf-8-sig"),
        lambda text: text.encode("utf-16"),
        lambda text: codecs.BOM_UTF16_BE + text.encode("utf-16-be"),
        lambda text: text.encode("utf-16-le"),
        lambda text: text.encode("utf-16-be"),
        lambda text: text.encode("cp1252"),
    ],
    ids=["utf-8-sig", "utf-16", "utf-16-be", "no mark le", "no mark be", "cp1252"],
)
def test_any_encoding(euro_things, encoded):
    text = PLAIN.replace("Item", "Artículo").replace("29.99", "€29.99")
    mapping = read_mapping("Artículo=cut,Qty=amount,Date=day,Total=money", "--columns")
    assert sales(euro_things, encoded(text), mapping) == SOLD


def test_lines_above_the_heads_are_passed_by_and_a_told_separator_counts(catalog):
    assert sales(catalog, "Sales of the day\n\nprinted,2026-12-02\n" + PLAIN) == SOLD
    assert sales(catalog, "sep=;\n" + PLAIN.replace(",", ";")) == SOLD
    below = faults(catalog, "Sales\n\n" + PLAIN + "ribs,2,2026-12-01,3\n")
    assert below == ['till.csv:6: no cut is called "ribs"']


def test_quoted_fields_go_over_lines_and_lines_are_counted(catalog):
    text = 'Note,Item,Qty,Date,Total\n"a ""b""\nc,d",loin chops,1.25,2026-12-01,29.99\n'
    text += "x,ribs,1,2026-12-01,1\n"
    assert faults(catalog, text) == ['till.csv:4: no cut is called "ribs"']
    assert sales(catalog, text, skip_unknown=True) == SOLD[:1]
    open_quote = faults(catalog, PLAIN + '"loin chops,1,2026-12-01,3\n')
    assert open_quote == ["till.csv:4: a quote is opened here and never closed"]
    assert faults(catalog, PLAIN + "loin chops, bone in,1,2026-12-01,3\n")[0] == (
        "till.csv:4: 5 values under 4 heads: put a value with a , in it in quotes"
    )


def test_decimal_commas_and_days_with_points(euro_things):
    text = (
        "Item;Qty;Date;Total\nLoin chops;1,25;01.12.2026;29,99 €\n"
        "frenched rack;2;1.12.26 10:15;1.152,00\n"
    )
    assert sales(euro_things, text) == [SOLD[0], replace(SOLD[1], money=1152.0)]


@pytest.mark.parametrize("cell", ["35.98 days", "20.29 EUR", "€20", "EUR 20", "3 lb", "£5"])
def test_what_is_no_money_of_the_shop_is_refused(catalog, cell):
    told = faults(catalog, PLAIN.replace("29.99", cell))
    assert told == [f'till.csv:2: Total: "{cell}" is not in $, the money of the shop']


@pytest.mark.parametrize("cell", ["$29.99", "29.99 USD", "US$ 29.99", "29.99$"])
def test_money_of_the_shop_may_say_so(catalog, cell):
    assert sales(catalog, PLAIN.replace("29.99", cell)) == SOLD


@pytest.mark.parametrize("price", ["9.99 days", "9.99 EUR/lb", "€9/lb"])
def test_what_is_no_price_of_the_shop_is_refused(catalog, price):
    text = f"kind,what,amount,unit,day,price\norder,loin chops,1,lb,2026-12-02,{price}\n"
    (told,) = faults(catalog, text, None)
    assert told.startswith("till.csv:2: price: ") and told.endswith(
        "is not in $, the money of the shop"
    )


@pytest.mark.parametrize("time", ["25:99", "24:60", "10:61", "10:30:99", "99:00", "10:300"])
def test_a_time_that_no_clock_shows_is_refused(catalog, time):
    (told,) = faults(catalog, PLAIN.replace("2026-12-01", f"2026-12-01 {time}", 1))
    assert told.startswith("till.csv:2: Date: ") and f"2026-12-01 {time}" in told


@pytest.mark.parametrize(
    "time", ["9:05", "23:59:60", "10:30 PM", "10:30:15.123", "T10:30+02:00", "10.30"]
)
def test_a_time_behind_a_day_is_passed_by(catalog, time):
    assert sales(catalog, PLAIN.replace("2026-12-01", f"2026-12-01 {time}", 1)) == SOLD


def test_a_byte_order_mark_may_stand_twice(catalog):
    assert sales(catalog, b"\xef\xbb\xbf" * 2 + PLAIN.encode()) == SOLD


def test_several_rows_of_a_cut_and_day_are_one_sale_and_refunds_come_off(catalog):
    text = (
        "Item,Qty,Date,Total\n"
        "loin chops,1.1,2026-12-01T09:00,20\nloin chops,2.2,2026-12-01 18:30:00,30\n"
        "loin chops,1,2026-12-02,20\nLOIN CHOPS,-0.3,2026-12-01,(5.00)\n"
        "bones,1,2026-12-01,2\nbones,-1,2026-12-01,-2\n"
    )
    found = imported(catalog, text, TILL)
    assert found.entries == (
        Sold(DEC, CHOPS, Quantity(3.0), 45.0),
        Sold(DEC + timedelta(1), CHOPS, Quantity(1.0), 20.0),
    )
    assert (found.rows, found.nothing, found.left_out) == (6, 1, 0)
    alone = "Item,Qty,Date,Total\nbones,1,2026-12-01,2\nbones,-2.5,2026-12-01,-4\n"
    found = imported(catalog, alone + "loin chops,1,2026-12-01,20\n", TILL)
    assert found.entries == (Sold(DEC, CHOPS, Quantity(1.0), 20.0),) and found.nothing == 1
    ((line, told),) = found.refunds
    assert line == 2 and told == (
        "of lamb bones on 2026-12-01 1.5 lb more was refunded than sold: nothing was sold then, "
        "and it is left out"
    )
    found = imported(catalog, alone.replace("-2.5", "-0.5"), TILL)
    assert found.entries == (Sold(DEC, "lamb bones", Quantity(0.5)),)  # of the money nobody knows
    assert "more money was refunded" in found.refunds[0][1]


def test_sold_out_units_and_a_bare_number(catalog, kilo_things):
    mapping = read_mapping("Item=cut,Qty=amount,UOM=unit,Date=day,Out=sold out", "--columns")
    text = (
        "Item,Qty,UOM,Date,Out\nloin chops,1,KG,2026-12-01,Yes\nbones,8,oz,2026-12-01,no\n"
        "frenched rack,2,EA,2026-12-01,\nwhole leg,3 lbs,,2026-12-01,\n"
    )
    kg = 1 / 0.45359237  # the international pound, exactly
    assert sales(catalog, text, mapping) == [
        Sold(DEC, CHOPS, Quantity(pytest.approx(kg)), None, True),
        Sold(DEC, "lamb bones", Quantity(0.5)),
        Sold(DEC, RACK, Quantity(2.0, by_each=True)),
        Sold(DEC, LEG, Quantity(3.0)),
    ]
    bare = "cut,amount,day\nloin chops,2,2026-12-01\n"
    assert sales(catalog, bare, None) == [Sold(DEC, CHOPS, Quantity(2.0))]
    assert sales(kilo_things, bare, None) == [Sold(DEC, CHOPS, Quantity(pytest.approx(2 * kg)))]
    headed = read_mapping("Item=cut,Weight=amount (oz),Date=day", "--columns")
    ounces = "Item,Weight,Date\nbones,8,2026-12-01\n"
    assert sales(catalog, ounces, headed) == [Sold(DEC, "lamb bones", Quantity(0.5))]


def test_sold_out_in_any_row_of_a_day_counts_also_where_nothing_was_sold(catalog):
    text = (
        "cut,amount,day,sold out\nbones,1,2026-12-01,\nbones,2,2026-12-01,yes\n"
        "loin chops,0,2026-12-01,yes\nwhole leg,0,2026-12-01,no\n"
    )
    found = imported(catalog, text)
    assert found.entries == (
        Sold(DEC, "lamb bones", Quantity(3.0), None, True),
        Sold(DEC, CHOPS, Quantity(0.0), None, True),
    )
    assert found.nothing == 1


def test_an_amount_has_one_unit(catalog):
    text = "cut,amount,unit,day\nbones,1 kg,lb,2026-12-01\nbones,1 lb,lb,2026-12-01\n"
    assert faults(catalog, text, None) == [
        "till.csv:2: amount: two units for one amount: kg and lb"
    ]
    text = "cut,amount (lb),amount (kg),day\nbones,1,1,2026-12-01\n"
    assert faults(catalog, text, None) == ["till.csv:2: there are two amounts; one is enough"]


def test_items_are_mapped_left_out_or_told_all_at_once(catalog):
    text = (
        PLAIN
        + "LMB LOIN,1,2026-12-01,5\nGIFT,1,2026-12-01,5\nGIFT,2,x,\nLoin chop s,1,2026-12-01,\n"
    )
    assert faults(catalog, text) == [
        'till.csv:4: no cut is called "LMB LOIN"',
        'till.csv:5: no cut is called "GIFT" (also on line 6)',
        'till.csv:7: no cut is called "Loin chop s"; did you mean "loin chops"?',
    ]
    items = {"lmb loin": "loin chops", "gift": "", "loin chop s": "loin chops"}
    found = imported(catalog, text, TILL, items=items)
    assert found.left_out == 2
    assert found.entries == (Sold(DEC, CHOPS, Quantity(3.25), 34.99), SOLD[1])
    skipped = imported(catalog, text + "Total,9,,\n,9,,\n", TILL, skip_unknown=True)
    assert skipped.left_out == 6 and skipped.entries == tuple(SOLD)


def test_each_faulty_line_is_named(catalog):
    rows = ["loin chops,x,2026-12-01,1", "loin chops,1,soon,1", "loin chops,,2026-12-01,1"]
    rows += [
        "frenched rack,1.5,2026-12-01,1",
        "shoulder,1,2026-12-01,1",
        "bones,1 each,2026-12-01,1",
    ]
    rows += ["frenched rack,1 kg,2026-12-01,1", "bones,1 foot,2026-12-01,", "bones,1,,2"]
    told = faults(catalog, "\n".join(["Item,Qty,Date,Total", *rows]))
    assert [each.split(": ", 1)[0] for each in told] == [f"till.csv:{n}" for n in range(2, 11)]
    for message, part in zip(
        told,
        ['"x" is not a number', 'no day called "soon"', "the amount is missing", "1.5 is not whole",
         "is a piece, not a cut", "sold by weight", "counted by each", "is not a unit", "no day"],
        strict=True,
    ):  # fmt: skip
        assert part in message
    many = faults(catalog, "\n".join(["Item,Qty,Date,Total", *["bones,x,2026-12-01,1"] * 33]))
    assert many == [f'till.csv:{line}: Qty: "x" is not a number' for line in range(2, 35)]


def test_all_that_is_wrong_with_a_row_of_any_kind_is_told_together(catalog):
    heads = "kind,what,way,amount,weight,weights,day"
    rows = ["break,leg,boned,1.5,x,,2026-11-24", "delivery,lamb,,1 lb,,,soon"]
    first, second = faults(catalog, "\n".join([heads, *rows]), None)
    for part in (
        'no way to cut leg is called "boned"',
        "write a whole number such as",
        '"x" is not a number',
    ):
        assert part in first
    for part in ('no day called "soon"', "a delivery has weights", "a whole number"):
        assert part in second


def test_what_is_counted_has_no_weight_in_a_column_of_units(catalog):
    text = "kind,what,amount,unit,weights,day\ndelivery,lamb,1,lb,58,2026-12-01\n"
    told = faults(catalog, text, None)
    assert told == ['till.csv:2: amount: "1": write a whole number such as 2']


def test_missing_and_doubtful_columns(catalog):
    assert (
        "no column has the amount or the day of a sale" in faults(catalog, "cut\nbones\n", None)[0]
    )
    (told,) = faults(catalog, "cut,amount\nbones,1\n", None)
    assert 'say which do: --columns "HEAD=day" (or --day DAY' in told
    assert sales(catalog, "cut,amount\nbones,1\n", None, day=DEC) == [
        Sold(DEC, "lamb bones", Quantity(1.0))
    ]
    assert faults(catalog, PLAIN, {"Item": "cut", "Qantity": "amount", "Dat": "day"}) == [
        'till.csv:1: no column has the head "Dat"; did you mean "Date"?',
        'till.csv:1: no column has the head "Qantity"; did you mean "Qty"?',
    ]
    assert faults(catalog, PLAIN, {"Item": "cutt"}) == [
        '--columns: "cutt" is not a column of ours; did you mean "cut"?'
    ]
    assert "two columns" in faults(catalog, PLAIN, {"Item": "cut", "Qty": "what"})[0]
    assert "nothing in this file" in faults(catalog, "", None)[0]


@pytest.mark.parametrize("text", ["Item", 'Item=cut,"x', "Item=cut,item=day", "=cut"])
def test_a_mapping_that_cannot_be_read(text):
    with pytest.raises(InputError, match=r"^--columns: [^\n]+$"):
        read_mapping(text, "--columns")


def test_a_mapping_takes_heads_with_commas_and_equal_signs():
    assert read_mapping('"Qty, net"=amount, a=b=cut', "x") == {"Qty, net": "amount", "a=b": "cut"}


# Figures and dates.

NUMBERS = [
    ("1,234.50", ".", 1234.5), ("1.234,50", ",", 1234.5), ("-3", ".", -3), ("3-", ".", -3),
    ("(3.50)", ".", -3.5), ("$12", ".", 12), ("-$12.10", ".", -12.1), ("US$ 5", ".", 5),
    ("12,00 €", ",", 12), ("EUR 7", ".", 7), ("1 234,5", ",", 1234.5),
    ("1\u00a0234.5", ".", 1234.5),
    ("1'234.50", ".", 1234.5), (".5", ".", 0.5), ("\u22122", ".", -2), ("1.234.567", ",", 1234567),
    ("1,250", ".", 1250), ("1,250", ",", 1.25), ("0", ".", 0), ("007", ".", 7),
]  # fmt: skip


@pytest.mark.parametrize(("text", "decimal", "number"), NUMBERS)
def test_numbers(text, decimal, number):
    assert read_figure(text, decimal).number == number


@pytest.mark.parametrize(
    "text", ["", "x", "1.2.3", "1,23", "12,34,567", "(3", "3)", "1e5", "--3", "1,2345"]
)
def test_what_is_no_number_with_a_decimal_point(text):
    with pytest.raises(ValueError, match="not a number"):
        read_figure(text, ".")


def test_a_unit_behind_a_number():
    assert read_figure("3.5 lb", ".").word == "lb" and read_figure("3.5KG.", ".").word == "KG"


@pytest.mark.parametrize(
    ("cells", "delimiter", "sign"),
    [
        (["1,25", "3"], ";", ","), (["1.25"], ";", "."), (["0.125", "1.250"], ";", "."),
        (["1,250"], ";", ","), (["1,250"], ",", "."), (["1.250"], ",", "."),
        (["1,234.5", "1,234"], ";", "."), (["1.234.567"], ";", ","), (["3", "x", ""], "\t", "."),
    ],
)  # fmt: skip
def test_the_sign_before_decimals(cells, delimiter, sign):
    assert decimal_of(enumerate(cells, 2), delimiter) == sign


@pytest.mark.parametrize(
    ("cells", "delimiter", "message"),
    [
        (["1.5", "1,25"], ";", "a point on line 2 (1.5), and a comma on line 3 (1,25)"),
        (
            ["1.250"],
            ";",
            "nothing tells whether 1.250 on line 2 has thousands or decimals",
        ),
        (["1,250"], "\t", "nothing tells whether 1,250"),
        (["1,250", "1.250"], ",", "nothing tells"),
    ],
)
def test_the_sign_before_decimals_is_asked_for(cells, delimiter, message):
    with pytest.raises(ValueError, match="line 2") as told:
        decimal_of(enumerate(cells, 2), delimiter)
    assert message in str(told.value)


def test_an_amount_of_a_thousand_is_asked_about_and_a_sum_of_money_is_not(catalog):
    text = 'cut,amount,day,money\nbones,"1,250",2026-12-01,3\n'
    assert faults(catalog, text, None) == [
        "till.csv: nothing tells whether 1,250 on line 2 has thousands or decimals; "
        "say --decimal point or --decimal comma"
    ]
    told = text + 'loin chops,2.5,2026-12-01,"1,250"\n'
    assert [each.quantity.amount for each in sales(catalog, told, None)] == [1250.0, 2.5]
    assert sales(catalog, text.replace('"1,250"', "2"), None)[0].quantity.amount == 2.0


def test_faults_of_a_whole_column_and_of_lines_are_told_in_one_run(catalog):
    text = "Item;Qty;Date;Total\nbones;1.250;3/2/2026;1\nribs;1;2/2/2026;1\nbones;x;soon;y\n"
    told = faults(catalog, text)
    assert [each.split(": ")[0] for each in told] == ["till.csv"] * 2 + ["till.csv:3", "till.csv:4"]
    assert "--decimal" in told[0] + told[1] and "--dates" in told[0] + told[1]
    wanted = ('"x" is not a number', 'no day called "soon"', '"y" is no')
    assert all(part in told[3] for part in wanted)


def test_a_sale_of_far_more_than_was_counted_or_made_is_doubted(catalog):
    recorded = [
        Recorded(1, 1, NOW, Count(DEC, "open", "lamb ground lamb", Quantity(1.0), None)),
        Recorded(2, 2, NOW, BatchMade(DEC, "lamb ground lamb", 4.0, ())),
    ]

    def doubts(*entries, before=recorded):
        found = more_than_there(entries, before, catalog.week)
        return [(place, warning.sentence) for place, warning in found]

    def sold(pounds, day=DEC, cut="lamb ground lamb"):
        return Sold(day, cut, Quantity(pounds))

    (told,) = doubts(sold(2.0, cut=CHOPS), sold(9.0))
    assert told == (
        1,
        "9.0 lb of ground lamb: 5.0 lb should be on hand on tue 1 dec",
    )
    assert not doubts(sold(8.0)), "a day's cuts may give more"
    assert not doubts(sold(30.0, cut=CHOPS)), "nobody has counted them"
    assert not doubts(sold(9.0), before=[]) and not doubts(sold(9.0, DEC - timedelta(1)))
    assert not doubts(sold(9.0, DEC + timedelta(20))), "that was long ago"
    # what is sold on the first day is not there on the second
    (told,) = doubts(sold(5.0), sold(5.0, DEC + timedelta(1)))
    assert told[0] == 1 and "none should be on hand" in told[1]


def test_such_a_sale_is_doubted_in_an_import_with_its_line(catalog):
    count = Recorded(1, 1, NOW, Count(DEC, "open", "lamb ground lamb", Quantity(5.0), None))
    found = imported(
        catalog, "Item,Qty,Date\nloin chops,2,2026-12-01\nground lamb,9,2026-12-01\n", TILL_PLAIN
    )
    (told,) = warnings_in(found, context_of(catalog, [count], DEC))
    assert told.line == 3 and "5.0 lb should be on hand" in told.warning.sentence


def test_a_person_may_say_it(catalog):
    text = "cut;amount;day\nbones;1.250;2026-12-01\n"
    assert "--decimal" in faults(catalog, text, None)[0]
    assert sales(catalog, text, None, decimal=".")[0].quantity.amount == 1.25
    assert sales(catalog, text, None, decimal=",")[0].quantity.amount == 1250


DATES = [
    "2026-12-01", "2026/12/1", "20261201", "01.12.2026", "1.12.26", "1. 12. 2026",
    "2026-12-01T10:15:00Z",
    "2026-12-01 10:15", "01.12.2026 10:15:00", "1 Dec 2026", "01-Dec-26", "December 1, 2026",
    "Dec 1 2026, 10:15 PM", "Tue 1 Dec 2026", "Tuesday, December 1, 2026", " 2026-12-01 ",
]  # fmt: skip


def printed(text: str, order: Order) -> date:
    """A date as a program writes it."""
    return read_day(text, date(2026, 12, 1), "past", order=order)


@pytest.mark.parametrize("text", DATES)
def test_dates_of_one_meaning(text):
    assert printed(text, "dmy") == printed(text, "mdy") == DEC


@pytest.mark.parametrize("text", ["12/1/2026", "12/1/26 10:15 AM", "12-01-2026"])
def test_dates_of_two_meanings(text):
    assert printed(text, "mdy") == DEC and printed(text, "dmy") == date(2026, 1, 12)


@pytest.mark.parametrize(
    "text", ["", "soon", "31.2.2026", "2026-13-01", "46357", "2026-12-01 x", "1/2", "1/2/3/4"]
)
def test_what_is_no_date(text):
    with pytest.raises(ValueError, match=r"no day called|calendar|the day or the month first"):
        printed(text, "dmy")


@given(
    st.lists(st.dates(date(2020, 1, 1), date(2029, 12, 31)), min_size=1),
    st.booleans(),
    st.sampled_from("/-"),
)
def test_the_whole_column_decides_or_asks(days, day_first, sign):
    def told(day):
        first, second = (day.day, day.month) if day_first else (day.month, day.day)
        return f"{first}{sign}{second}{sign}{day.year}"

    cells = [(n, told(day)) for n, day in enumerate(days)]
    plain = any(day.day > 12 for day in days)
    alike = all(day.day == day.month for day in days)
    if not plain and not alike:
        with pytest.raises(
            ValueError, match="nothing tells whether the day or the month comes first"
        ):
            order_of(cells)
        return
    order = order_of(cells)
    assert [printed(text, order) for _, text in cells] == days


def test_a_column_that_says_both_is_a_fault(catalog):
    assert order_of([(1, "1.12.2026"), (2, "2026-13-13")]) == "mdy"  # says nothing, so anything
    with pytest.raises(ValueError, match="the day comes first on line 1 .* month first|line 2"):
        order_of([(1, "13/1/2026"), (2, "1/13/2026")])
    text = "cut,amount,day\nbones,1,2/1/2026\n"
    assert faults(catalog, text, None)[0].startswith("till.csv: nothing tells whether the day")
    assert sales(catalog, text, None, order="dmy")[0].day == date(2026, 1, 2)


# Whatever is in a file, it is entries or clear lines.

BITS = ["Item", "Qty", "Date", "Total", "loin chops", "frenched rack", "1.25", "1,5", "2026-12-01"]
BITS += [
    "12/1/2026",
    ",",
    ";",
    "\t",
    "\n",
    "\r\n",
    '"',
    "'",
    "-1",
    "=1+1",
    "\ufeff",
    "sep=;\n",
    "kg",
    "number",
]
BITS += ["kind", "sale", "delivery", "filled", "day", "cut", "amount (lb)", "weights", "order", "1"]
HEADS = [
    "number",
    "writing",
    "day",
    "kind",
    "what",
    "way",
    "amount (lb)",
    "amount (each)",
    "weights (lb)",
]
HEADS += [
    "weight (lb)",
    "made",
    "at",
    "buyer",
    "price",
    "money",
    "sold out",
    "order",
    "parts",
    "tests",
]
CELLS = [
    "",
    "1",
    "2",
    "1.5",
    "2026-12-01",
    "lamb leg",
    "loin chops",
    "frenched rack",
    "roast",
    "shoulder",
]
CELLS += [
    "ground lamb",
    "9/each",
    "7/lb",
    "yes",
    "open",
    "57; 58",
    "lamb bones: 2 lb; x",
    "-3",
    "'=x",
    "lamb",
]


NOISE = st.lists(st.sampled_from(BITS) | st.text(max_size=3)).map(
    lambda parts: "".join(parts).encode("utf-8", "replace")
)


def stop_unless_told_well(catalog, raw, mapping):
    problems = []
    try:
        imported(catalog, raw, mapping).writings(1)
    except InputError as error:
        problems = list(error.problems) or [None]
    assert all(shown_line(problem.message) == problem.message for problem in problems)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=60) | NOISE, st.sampled_from([None, TILL]))
def test_noise_never_ends_in_a_traceback(catalog, raw, mapping):
    stop_unless_told_well(catalog, raw, mapping)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_rows_of_anything_under_our_heads_never_end_in_a_traceback(catalog, data):
    heads = data.draw(st.lists(st.sampled_from(HEADS), unique=True, min_size=3))
    cells = st.sampled_from(CELLS) | st.text(max_size=3)
    kinds = st.sampled_from([each for each in ENTERED if each != "plan"])
    rows = [
        [data.draw(kinds if head == "kind" else cells) for head in heads]
        for _ in range(data.draw(st.integers(1, 4)))
    ]
    text = io.StringIO()
    csv.writer(text).writerows([heads, *rows])
    stop_unless_told_well(catalog, text.getvalue().encode("utf-8", "replace"), None)


def test_a_long_cell_is_read_and_the_limit_of_the_process_stays(catalog):
    before = csv.field_size_limit()
    plan = PlanKept(DEC, '{"x": "' + "y" * 300_000 + '"}')
    assert entries_again(catalog, exported([Recorded(1, 1, NOW, plan)])) == ((plan,),)
    assert csv.field_size_limit() == before


def test_a_big_file_is_read_in_no_time(catalog):
    """50,000 lines are to take less than 10 s in all: a fifth of them here, in a fifth of it."""
    rows = (
        f"{n % 12 + 1}/{n % 28 + 1}/2025 10:15,loin chops,1.25 lb,$29.99" for n in range(10_000)
    )
    text = "\n".join(["Date,Item,Qty,Total", *rows])
    began = time.process_time()
    assert len(imported(catalog, text, TILL).lines) == 84
    assert time.process_time() - began < 2
