"""What goes into the journal comes out again; what cannot be true does not go in."""

from __future__ import annotations

import sqlite3
import time
import unicodedata
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.errors import InputError
from planner.core.name_rules import checked_text
from planner.core.signs import is_seen, shown_line
from planner.core.units import Quantity
from planner.journal.entries import (
    KINDS,
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Entry,
    Filled,
    OrderTaken,
    PlanKept,
    Sold,
    Undone,
    Wasted,
    Weighed,
    YieldsWritten,
)
from planner.journal.fields import fields_of
from planner.journal.store import Journal

MON = date(2026, 11, 30)
TUE = date(2026, 12, 1)

SALE = Sold(MON, "shoulder roast", Quantity(4.5), 58.46)
ORDER = OrderTaken(TUE, "leg roast", Quantity(3, by_each=True), "an invented bistro", 55.0)
PLAN = PlanKept(MON, '{"breaks": []}')

ONE_OF_EACH: tuple[Entry, ...] = (
    Delivery(MON, "goat carcass", 2, (40.5, 41.0), 5.10),
    Count(MON, "open", "goat shoulder", Quantity(4, by_each=True), MON - timedelta(2), 33.4),
    BreakDone(
        MON, "goat leg", "whole", 2, 12.8, (Weighed("leg roast", 2, 12.4), Weighed("b", 0, None))
    ),
    BatchMade(MON, "ground goat", 11.2, (Weighed("trim 85", None, 9.0),)),
    SALE,
    Wasted(MON, "bones", Quantity(3.25)),
    ORDER,
    YieldsWritten(MON, "goat leg", "whole", 14.0),
)


@pytest.fixture
def journal(tmp_path: Path):
    with Journal(tmp_path / "journal.db", create=True) as journal:
        yield journal


def refusal(journal: Journal, *entries: Entry) -> str:
    """What is said about entries that cannot be entered, after the name of the file."""
    before = journal.recorded(undone=True)
    with pytest.raises(InputError) as caught:
        journal.add(entries)
    assert journal.recorded(undone=True) == before
    (problem,) = caught.value.problems
    assert problem.line == 0 and problem.file.endswith("journal.db")
    assert "\n" not in problem.message
    return problem.message


# --- what comes back


names = st.text(min_size=1, max_size=120).filter(
    lambda text: text.strip() and all(map(is_seen, text))
)
days = st.dates(date(1900, 1, 1), date(2200, 12, 31))
numbers = st.floats(0, 1e12)
weights = st.floats(1e-6, 1e12)
pieces = st.integers(0, 1_000_000)
heads = st.integers(1, 30)
flags = st.booleans()
weighed = st.one_of(
    st.builds(Weighed, names, pieces, st.none() | numbers),
    st.builds(Weighed, names, st.none(), numbers),
)
several = st.lists(weighed, max_size=5).map(tuple)


def counted(of: type[Entry], **fields) -> st.SearchStrategy[Entry]:
    """Entries with an amount: any number of pounds, or whole ones of each."""
    return st.one_of(
        st.builds(of, day=days, quantity=st.builds(Quantity, numbers), **fields),
        st.builds(of, day=days, quantity=st.builds(Quantity, pieces, st.just(True)), **fields),
    )


DRAWN: dict[type[Entry], st.SearchStrategy[Entry]] = {
    Delivery: heads.flatmap(
        lambda head: st.builds(
            Delivery,
            days,
            names,
            st.just(head),
            st.lists(weights, min_size=head, max_size=head).map(tuple)
            | weights.map(lambda pounds: (pounds,)),
            st.none() | numbers,
        )
    ),
    Count: counted(Count, at=st.sampled_from(["open", "close"]), what=names, pounds=numbers)
    .flatmap(lambda count: st.sampled_from([None, count.day, date(1900, 1, 1)]).map(
        lambda made: replace(count, made=made)
    )),
    BreakDone: st.builds(
        BreakDone, days, names, names, st.integers(1, 1_000_000), st.none() | weights, several
    ),
    BatchMade: st.builds(BatchMade, days, names, numbers, several),
    Sold: counted(Sold, cut=names, money=st.none() | numbers, sold_out=flags),
    Wasted: counted(Wasted, what=names),
    OrderTaken: counted(OrderTaken, cut=names, buyer=names, price=st.none() | numbers),
    Filled: st.builds(Filled, days, st.just(1), numbers),
    PlanKept: st.builds(PlanKept, days, st.text("{}[]:,\"ab 0'ü肉", min_size=1).filter(str.strip)),
    YieldsWritten: st.builds(YieldsWritten, days, names, names, numbers),
    Undone: st.builds(Undone, days, st.just(2)),
}  # fmt: skip


@pytest.fixture(scope="module")
def long_journal(tmp_path_factory: pytest.TempPathFactory):
    """A journal for many examples: its first entry is an order by weight."""
    with Journal(tmp_path_factory.mktemp("long") / "journal.db", create=True) as journal:
        journal.add([replace(ORDER, quantity=Quantity(3))])
        yield journal


def test_every_kind_of_entry_is_drawn():
    assert set(DRAWN) == set(get_args(Entry))


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.lists(st.one_of([DRAWN[kind] for kind in DRAWN if kind is not Undone]), min_size=1))
def test_what_goes_in_comes_out(long_journal: Journal, entries: list[Entry]):
    told = long_journal.add(entries)
    assert [recorded.entry for recorded in told] == entries
    assert len({recorded.writing for recorded in told}) == 1
    kept = {recorded.number: recorded for recorded in long_journal.recorded()}
    assert [kept[recorded.number] for recorded in told] == list(told)
    for kind in {type(entry) for entry in entries}:
        of_kind = long_journal.recorded(kinds=[kind])
        assert of_kind == tuple(one for one in kept.values() if type(one.entry) is kind)


@settings(max_examples=20, deadline=None, derandomize=True)
@given(DRAWN[Undone])
def test_an_undoing_comes_out(tmp_path_factory: pytest.TempPathFactory, undone: Undone):
    with Journal(tmp_path_factory.mktemp("undone") / "journal.db", create=True) as journal:
        journal.add([PLAN])
        journal.add([SALE])
        (recorded,) = journal.add([undone])
        assert recorded.entry == undone
        assert journal.recorded(undone=True)[-1] == recorded


def test_the_tables_hold_what_the_entries_declare(tmp_path: Path):
    Journal(tmp_path / "journal.db", create=True).close()
    connection = sqlite3.connect(tmp_path / "journal.db")

    def columns(table: str) -> set[str]:
        return {each[1] for each in connection.execute(f'PRAGMA table_info("{table}")')} - {"entry"}

    for kind in KINDS:
        apart = [each for each in fields_of(kind.made_of) if each.table]
        own = {name for each in fields_of(kind.made_of) if not each.table for name in each.columns}
        assert columns(kind.table) == own - {"day"}
        for each in apart:
            of_things = {part.name for part in fields_of(Weighed)}
            wanted = of_things if each.value == "things" else {each.name}
            assert columns(each.table) - {"place"} == wanted
    connection.close()


def test_types_come_back_as_they_were(journal: Journal):
    journal.add([Sold(MON, "leg roast", Quantity(2, by_each=True), None, True)])
    (recorded,) = journal.recorded()
    sold = recorded.entry
    assert isinstance(sold, Sold)
    assert (sold.quantity.by_each, sold.sold_out, type(sold.quantity.amount)) == (True, True, float)
    assert sold.quantity.by_each is True and sold.sold_out is True


def test_numbers_of_numpy_are_numbers(journal: Journal):
    journal.add([YieldsWritten(MON, "goat leg", "whole", np.float64(12.25))])
    (recorded,) = journal.recorded()
    assert recorded.entry == YieldsWritten(MON, "goat leg", "whole", 12.25)


def test_entries_stay_when_the_journal_is_closed(tmp_path: Path):
    path = tmp_path / "journal.db"
    with Journal(path, create=True) as journal:
        told = journal.add(ONE_OF_EACH)
    with Journal(path, create=True) as journal:  # `create` never takes the place of one
        assert journal.recorded() == told
    assert [entry.name for entry in tmp_path.iterdir()] == ["journal.db"]


def test_when_it_was_entered_is_kept_in_utc(tmp_path: Path):
    evening = datetime(2026, 11, 30, 20, 15, 30, 250, tzinfo=timezone(timedelta(hours=-6)))
    with Journal(tmp_path / "j.db", create=True, clock=lambda: evening) as journal:
        journal.add([SALE])
        journal.undo()
        sold, undone = journal.recorded(undone=True)
    assert sold.entered == datetime(2026, 12, 1, 2, 15, 30, 250, tzinfo=UTC)
    assert sold.entered.utcoffset() == timedelta(0)
    assert undone.entry == Undone(MON, 1), "the day is that of the shop, not that of Greenwich"


def test_numbers_are_counted_on_and_never_used_twice(journal: Journal):
    assert [(one.number, one.writing) for one in journal.add([SALE, ORDER])] == [(1, 1), (2, 1)]
    refusal(journal, SALE, Filled(TUE, 77, 1))
    journal.undo(1)
    assert [(one.number, one.writing) for one in journal.add([SALE])] == [(4, 3)]


def test_no_entries_make_no_writing(journal: Journal):
    assert journal.add([]) == ()
    assert journal.add([SALE])[0].writing == 1


# --- what does not go in


YEARS = "the day must be in the years 1900 to 2200, not "
CONTROL = "the {} must be on one line without control or hidden signs, but has U+{} in it:"
ONE_OR_EACH = "one weight for all or one for each"


@pytest.mark.parametrize(
    ("entry", "sentence"),
    [
        (replace(SALE, quantity=Quantity(-0.5)), "the amount is below 0"),
        (replace(SALE, quantity=Quantity(float("nan"))), "the amount is not a number"),
        (replace(SALE, quantity=Quantity(float("inf"))), "the amount is too large to be true"),
        (replace(SALE, quantity=Quantity(10**400)), "the amount is too large to be true"),
        (replace(SALE, quantity=Quantity(True)), "the amount is not a number"),
        (replace(SALE, quantity=Quantity("4")), "the amount is not a number"),
        (replace(SALE, money=-1.0), "the money is below 0"),
        (
            replace(SALE, quantity=Quantity(4.5, by_each=True)),
            "the amount is counted and must be whole, not 4.5",
        ),
        (replace(SALE, cut=" \t"), "the cut is blank"),
        (replace(SALE, cut="x" * 121), f"the cut has 121 characters, 120 at most: '{'x' * 30}...'"),
        (replace(SALE, cut="a\x1b[31mb"), f"{CONTROL.format('cut', '001B')} 'a\\u001b[31mb'"),
        (replace(SALE, day=date(1899, 12, 31)), f"{YEARS}1899-12-31"),
        (replace(SALE, day=date(2201, 1, 1)), f"{YEARS}2201-01-01"),
        (replace(SALE, day=datetime(2026, 11, 30, 8)), "the day must be a date without a time"),
        (replace(ORDER, price=-2.0), "the price is below 0"),
        (
            replace(ORDER, quantity=Quantity(2.5, by_each=True)),
            "the amount is counted and must be whole, not 2.5",
        ),
        (replace(ORDER, buyer="the\nb"), f"{CONTROL.format('buyer', '000A')} 'the\\u000ab'"),
        (Delivery(MON, "goat", 0, (40.0,)), "the head must be from 1 to 1000000"),
        (Delivery(MON, "goat", 2.0, (40.0,)), "the head must be a whole number"),
        (Delivery(MON, "goat", 3, (40.0, 41.0)), f"3 head have {ONE_OR_EACH}, not 2"),
        (Delivery(MON, "goat", 3, ()), f"3 head have {ONE_OR_EACH}, not 0"),
        (Delivery(MON, "goat", 1, (0.0,)), "the weight must be above 0"),
        (Delivery(MON, "goat", 1, (40.0,), -1.0), "the cost is below 0"),
        (
            Count(MON, "noon", "bones", Quantity(1)),
            "the moment of a count must be 'open' or 'close'",
        ),
        (
            Count(MON, "open", "bones", Quantity(1), TUE),
            "it was made on 2026-12-01, after it was counted on 2026-11-30",
        ),
        (Count(MON, "open", "leg", Quantity(1, by_each=True), None, -1.0), "the weight is below 0"),
        (BreakDone(MON, "goat leg", "whole", 0), "the count must be from 1 to 1000000"),
        (BreakDone(MON, "goat leg", "whole", 10**30), "the count must be from 1 to 1000000"),
        (BreakDone(MON, "goat leg", "whole", 1, 0.0), "the weight before must be above 0"),
        (
            BreakDone(MON, "goat leg", "whole", 1, None, (Weighed("bones", None, None),)),
            "bones was neither counted nor weighed",
        ),
        (
            BreakDone(MON, "goat leg", "whole", 1, None, (Weighed("bones", -1, None),)),
            "the count of bones must be from 0 to 1000000",
        ),
        (
            BatchMade(MON, "ground goat", 4.0, (Weighed("trim", None, -1.0),)),
            "the weight of trim is below 0",
        ),
        (
            PlanKept(MON, "x" * 4_000_001),
            f"the plan has 4000001 characters, 4000000 at most: '{'x' * 30}...'",
        ),
        (YieldsWritten(MON, "leg", "whole", -1.0), "the number of tests is below 0"),
        (Filled(MON, 0, 1.0), "there is no order with such a number"),
        (Filled(MON, 7, 1.0), "entry 7 is not an order"),
        (Filled(MON, 10**14, 1.0), "entry 100000000000000 is not an order"),
        (Filled(MON, 10**30, 1.0), "there is no order with such a number"),
        (Undone(MON, 9), "there is no writing 9"),
        (Undone(MON, -9), "there is no writing with such a number"),
    ],
)
def test_what_cannot_be_true_is_refused(journal: Journal, entry: Entry, sentence: str):
    assert refusal(journal, entry) == sentence
    assert refusal(journal, SALE, entry).startswith("entry 2 of 2: ")


def test_a_writing_is_entered_whole_or_not_at_all(journal: Journal):
    message = refusal(journal, *ONE_OF_EACH, Filled(TUE, 5, 1), SALE)
    assert message == "entry 9 of 10: entry 5 is not an order"


def test_an_order_is_filled_only_while_it_counts(journal: Journal):
    (order,) = journal.add([ORDER])
    journal.add([Filled(TUE, order.number, 2)])
    assert (
        refusal(journal, Filled(TUE, order.number, 0.5))
        == "order 1 is counted, and 0.5 is not whole"
    )
    journal.undo()
    journal.undo()
    assert refusal(journal, Filled(TUE, order.number, 1)) == "order 1 was undone"


def test_an_order_that_was_filled_is_undone_after_the_filling(journal: Journal):
    (order,) = journal.add([ORDER])
    (filled,) = journal.add([Filled(TUE, order.number, 2)])
    with pytest.raises(InputError, match="order 1 was filled by entry 2: undo that first"):
        journal.undo(order.writing)
    journal.undo(filled.writing)
    assert journal.undo(order.writing) == (order,)


# --- undoing


def test_undoing_takes_back_a_whole_writing_and_keeps_it(journal: Journal):
    kept = journal.add([SALE])
    wrong = journal.add([ORDER, SALE])
    assert journal.undo(day=TUE) == wrong
    assert journal.recorded() == kept
    everything = journal.recorded(undone=True)
    assert everything[:3] == kept + wrong
    assert [one.entry for one in everything[3:]] == [Undone(TUE, 2)]


def test_without_a_number_the_last_that_counts_and_is_no_plan_is_undone(journal: Journal):
    first, second = journal.add([SALE]), journal.add([ORDER])
    (plan,) = journal.add([PLAN])
    assert journal.undo() == second
    assert journal.undo() == first
    with pytest.raises(InputError, match=r"journal\.db: there is nothing to undo"):
        journal.undo()
    assert journal.recorded() == (plan,)


def test_shares_in_a_recipe_are_undone_only_by_their_number(journal: Journal):
    sale = journal.add([SALE])
    shares = journal.add([YieldsWritten(MON, "goat leg", "whole", 14.0)])
    assert journal.undo() == sale
    assert journal.undo(shares[0].writing) == shares


@pytest.mark.parametrize(
    ("writing", "sentence"),
    [
        (1, "entry 1 is a plan, and plans cannot be undone"),
        (2, "entry 2 is undone already"),
        (3, "entry 3 undid something: enter again what should count"),
        (4, "there is no writing 4"),
        (0, "there is no writing with such a number"),
        (10**30, "there is no writing with such a number"),
    ],
)
def test_what_is_not_undone(journal: Journal, writing: int, sentence: str):
    journal.add([PLAN])
    journal.add([SALE])
    journal.undo()
    before = journal.recorded(undone=True)
    with pytest.raises(InputError) as caught:
        journal.undo(writing)
    assert caught.value.problems[0].message == sentence
    if 0 < writing < 10**15:
        assert refusal(journal, Undone(MON, writing)) == sentence
    assert journal.recorded(undone=True) == before


def test_an_undoing_stands_alone(journal: Journal):
    journal.add([SALE])
    assert refusal(journal, SALE, Undone(MON, 1)) == "entry 2 of 2: an undoing is entered alone"


# --- the tables guard themselves too


def filled_tables(path: Path) -> sqlite3.Connection:
    """A journal with at least a row in every table, opened past the store."""
    with Journal(path, create=True) as journal:
        journal.add(ONE_OF_EACH)
        journal.add([Filled(TUE, 7, 1), PLAN])
        journal.add([SALE])
        journal.undo()
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA foreign_keys = ON")
    return connection


def tables(connection: sqlite3.Connection) -> list[str]:
    query = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    return [name for (name,) in connection.execute(query)]


def test_nothing_is_changed_or_taken_away(tmp_path: Path):
    connection = filled_tables(tmp_path / "journal.db")
    entered = [table for table in tables(connection) if table != "state"]
    assert len(entered) == 16
    for table in entered:
        before = connection.execute(f'SELECT * FROM "{table}"').fetchall()
        assert before, f"{table} is empty, and this test would prove nothing"
        column = connection.execute(f'SELECT * FROM "{table}"').description[-1][0]
        for change in (
            f'UPDATE "{table}" SET "{column}" = "{column}"',
            f'DELETE FROM "{table}"',
            f'INSERT OR REPLACE INTO "{table}" SELECT * FROM "{table}"',
        ):
            with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                connection.execute(change)
        assert connection.execute(f'SELECT * FROM "{table}"').fetchall() == before
    connection.close()


@pytest.mark.parametrize(
    "bad",
    [
        "INSERT INTO entry (writing, kind, day) VALUES (1, 'stolen', '2026-11-30')",
        "INSERT INTO entry (writing, kind, day) VALUES (1, 'sold', '1899-12-31')",
        "INSERT INTO entry (writing, kind, day) VALUES (1, 'sold', 'monday')",
        "INSERT INTO entry (writing, kind, day) VALUES (99, 'sold', '2026-11-30')",
        "INSERT INTO writing (entered) VALUES ('yesterday')",
        "INSERT INTO wasted VALUES (11, 'bones', -1.0, 0)",
        "INSERT INTO wasted VALUES (11, 'bones', 9e999, 0)",
        "INSERT INTO wasted VALUES (11, 'bones', 'much', 0)",
        "INSERT INTO wasted VALUES (11, 'bones', NULL, 0)",
        "INSERT INTO wasted VALUES (11, '', 1.0, 0)",
        "INSERT INTO wasted VALUES (11, x'00', 1.0, 0)",
        "INSERT INTO wasted VALUES (11, 'bones', 1.0, 2)",
        "INSERT INTO wasted VALUES (99, 'bones', 1.0, 0)",
        "INSERT INTO delivery VALUES (11, 'goat', 1.5, NULL)",
        "INSERT INTO delivery VALUES (11, 'goat', 0, NULL)",
        "INSERT INTO filled VALUES (11, 5, 1.0)",
        "INSERT INTO undone VALUES (11, 3)",
    ],
)
def test_the_tables_refuse_what_the_store_would(tmp_path: Path, bad: str):
    connection = filled_tables(tmp_path / "journal.db")
    connection.execute("INSERT INTO wasted SELECT 11, 'bones', 1.0, 0 WHERE 0")  # the form is right
    with pytest.raises(sqlite3.IntegrityError, match="CHECK|FOREIGN KEY|NOT NULL|UNIQUE"):
        connection.execute(bad)
    connection.close()


# --- opening


def test_opening_is_quick_and_reading_writes_nothing(tmp_path: Path):
    path = tmp_path / "journal.db"
    with Journal(path, create=True) as journal:
        journal.add(ONE_OF_EACH)
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    took = []
    for _ in range(20):
        began = time.process_time()
        with Journal(path) as journal:
            took.append(time.process_time() - began)
            journal.recorded()
            assert journal._connection.total_changes == 0
    assert min(took) < 0.010
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before


def test_what_is_entered_reaches_the_disk_at_once(journal: Journal):
    connection = journal._connection
    for pragma, least in (
        ("synchronous", 2),
        ("foreign_keys", 1),
        ("fullfsync", 1),
        ("busy_timeout", 5000),
    ):
        assert connection.execute(f"PRAGMA {pragma}").fetchone()[0] >= least
    assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_a_closed_journal_is_a_mistake_of_ours_not_of_the_user(tmp_path: Path):
    journal = Journal(tmp_path / "journal.db", create=True)
    journal.close()
    journal.close()
    with pytest.raises(sqlite3.ProgrammingError):
        journal.recorded()


# --- texts


@given(st.text())
def test_what_is_safe_steers_nothing(text: str):
    shown = shown_line(text)
    assert len(shown) >= len(text) and shown_line(shown) == shown
    assert not any(unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") for sign in shown)
    turns = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
    assert turns.isdisjoint(map(unicodedata.bidirectional, shown))
    shown.encode()


@given(st.text(min_size=1))
def test_a_text_is_let_through_as_it_is_or_not_at_all(text: str):
    if text.strip() and len(text) <= 120 and all(map(is_seen, text)):
        assert checked_text(text, "the name") == text
    else:
        with pytest.raises(ValueError, match="^the name ") as caught:
            checked_text(text, "the name")
        assert shown_line(str(caught.value)) == str(caught.value)


@pytest.mark.parametrize(
    "sign", ["\0", "\t", "\n", "\r", "\x1b", "\x7f", "\x9b", "\u2028", "\u202e", "\u2066", "\ud800"]
)
def test_signs_that_a_terminal_obeys(sign: str):
    with pytest.raises(ValueError, match=f"U\\+{ord(sign):04X}"):
        checked_text(f"a{sign}b", "the name")
    assert shown_line(f"a{sign}b") == f"a\\u{ord(sign):04x}b"


@pytest.mark.parametrize(
    "text", ["naïve café", "מרפק", "肩 ロース", "e\u0301t\u0301", "🐐 leg", "a 'b'"]
)
def test_names_of_all_scripts_may_stand(text: str):
    assert checked_text(text, "the name") == text == shown_line(text)
