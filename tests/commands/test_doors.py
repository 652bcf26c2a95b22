"""Every door that takes a day takes the same words for it, and every one that takes an amount too.

Doors are options, prompts, files and the columns of tables.
"""

from __future__ import annotations

import csv
import shutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from planner.commands.journal_filters import Filters, wanted
from planner.commands.shop_folder import day_given
from planner.core.days import read_day
from planner.core.errors import InputError
from planner.core.quantities import Amount, read_price
from planner.core.scenario import Scenario
from planner.core.units import Quantity, Units
from planner.files.asked_order import order_of, split_order
from planner.files.changes import Change, read_changes
from planner.files.days import Period
from planner.files.shop_file import read_shop
from planner.files.write_order import write_orders
from planner.journal.entries import Entry, Recorded, Wasted
from planner.journal.store import Journal
from planner.shop.entering.block_reader import read_counted, read_weight
from planner.shop.entering.catalog import Catalog
from planner.shop.entering.entry_reader import EntryReader
from planner.shop.tables.csv_file import read_sheet
from planner.shop.tables.imported import Reading, read_lines
from planner.shop.tables.table import read_form
from tests.shops import shop_folder

TUE = date(2026, 12, 1)
NOW = datetime(2026, 12, 1, 8, tzinfo=UTC)
MON, WED = TUE - timedelta(1), TUE + timedelta(1)

DATES = ("{d} {m}", "{m} {d}", "{D} {M}", "{M} {D}", "{d}. {m}", "{m} {d} 2026", "{d}-{m}-2026",
         "{d} {m} 2026", "{d}.{n}.", "{d}.{n}.2026", "2026-{n}-{d:02}", "{w} {d} {m}",
         "{W}, {M} {d}, 2026", "2026/{n}/{d}")  # fmt: skip
"""How the same date is written."""


def written(day: date) -> list[str]:
    names = {"d": day.day, "m": f"{day:%b}".lower(), "D": f"{day.day:02}", "M": f"{day:%B}"}
    names |= {"n": day.month, "w": f"{day:%a}".lower(), "W": f"{day:%A}"}
    return [each.format(**names) for each in DATES]


WORDS = {
    MON: ["mon", "Mon", "monday", "Monday", "mon.", "yesterday", "last mon", "Last Monday"],
    WED: ["wed", "WED", "wednesday", "Wednesday", "wed.", "tomorrow", "next wed", "next Wednesday"],
}


@dataclass(frozen=True)
class Doors:
    """The doors of a shop folder, each by what it makes of a text."""

    shop: Path
    catalog: Catalog
    tmp_path: Path

    def past(self) -> Mapping[str, Callable[[str], date]]:
        return {
            "an option": lambda text: day_given("--day", text, "past"),
            "a filter": lambda text: self._filter(text, coming=False),
            "a sale said": lambda text: self._said("sale", text),
            "a break said": lambda text: (
                EntryReader(self.catalog, TUE, {}).read(f"break leg: 2 whole on {text}").day
            ),
            "a portion counted": self._portion,
            "a column of ours": self._column,
            "a column of a till": lambda text: self._till("sale", text),
        }

    def coming(self) -> Mapping[str, Callable[[str], date]]:
        return {
            "an option": lambda text: day_given("--from", text, "coming"),
            "a filter": lambda text: self._filter(text, coming=True),
            "an order said": lambda text: self._said("order", text),
            "orders of a table": lambda text: self._till("order", text),
            "the days of a period": lambda text: self.period(text, today=TUE),
            "an order asked for": self._asked,
            "a change": self._change,
        }

    def _filter(self, text: str, *, coming: bool) -> date:
        days = [TUE + timedelta(step) for step in range(-400, 400)]
        sales = [
            Recorded(number, number, NOW, Wasted(day, "lamb bones", Quantity(1.0)))
            for number, day in enumerate(days, 1)
        ]
        filters = Filters(begins=text)
        return wanted(filters, self.catalog, sales, sales, TUE, coming=coming)[0].entry.day

    def _said(self, kind: str, text: str) -> date:
        return EntryReader(self.catalog, TUE, {}).read(f"{kind} loin chops: 3.5 lb on {text}").day

    def _portion(self, text: str) -> date:
        text = text.replace(",", "")  # commas part the portions there
        (one,) = read_counted(f"3.5 {text}", self.catalog.find("loin chops"), TUE, Units("lb", "$"))
        assert one.amount == 3.5 and one.made
        return one.made

    def _column(self, text: str) -> date:
        path = self.tmp_path / "ours.csv"
        with path.open("w", newline="") as file:
            csv.writer(file).writerows([["cut", "day"], ["loin chops", text]])
        table = read_form(path, ("cut", "day"), ("cut",), Units("lb", "$"), TUE)
        found = table.day(table.rows[0])
        assert found
        return found

    def _till(self, kind: str, text: str) -> date:
        path = self.tmp_path / "till.csv"
        with path.open("w", newline="") as file:
            csv.writer(file).writerows([["cut", "amount", "day"], ["loin chops", "3", text]])
        found, faults = read_lines(read_sheet(path, None), self.catalog, Reading(kind))
        faults.stop()
        (entry,) = found.entries
        return entry.day

    def period(self, text: str, today: date | None) -> date:
        period = Period(MON, 7, today)
        return period.dates[period.one(text)]

    def _asked(self, text: str) -> date:
        week = self.catalog.week
        return week.date(order_of(week, split_order(f"loin chops: 3 lb on {text}")).day)

    def _change(self, text: str) -> date:
        week = self.catalog.week
        new = read_changes(week, [Change("want", f"loin chops {text}: 33 lb")])
        (day,) = [
            number
            for number, amount in enumerate(new.demand["loin chops"].want)
            if amount == pytest.approx(33)
        ]
        return week.date(day)


@pytest.fixture
def doors(tmp_path: Path, clock_at: Callable[[date], None]) -> Doors:
    clock_at(TUE)
    folder = shop_folder(tmp_path)
    shop, _ = read_shop(folder)
    Journal(folder / "journal.db", create=True).close()
    return Doors(folder, Catalog(shop.week(TUE)), tmp_path)


@pytest.mark.parametrize("word", [*WORDS[MON], *written(MON)])
def test_a_day_past_is_said_alike_at_every_door(doors: Doors, word: str) -> None:
    assert {name: read(word) for name, read in doors.past().items()} == dict.fromkeys(
        doors.past(), MON
    )


@pytest.mark.parametrize("word", [*WORDS[WED], *written(WED)])
def test_a_day_to_come_is_said_alike_at_every_door(doors: Doors, word: str) -> None:
    assert {name: read(word) for name, read in doors.coming().items()} == dict.fromkeys(
        doors.coming(), WED
    )


@pytest.mark.parametrize("word", ["wed", "Wednesday", *written(WED)])
def test_a_day_in_a_file_is_written_with_the_same_words(doors: Doors, word: str) -> None:
    assert doors.period(word, today=None) == WED


@pytest.mark.parametrize("word", ["today", "tomorrow", "yesterday", "last mon", "next wed"])
def test_a_day_in_a_file_stays_the_same_day(doors: Doors, word: str) -> None:
    with pytest.raises(ValueError, match=f'^"{word}" is another day tomorrow: write one such as'):
        doors.period(word, today=None)


def test_a_shop_says_its_weekdays_with_the_same_words(tmp_path: Path) -> None:
    folder = shop_folder(
        tmp_path,
        ("days: [mon, tue, wed, thu, fri, sat]", "days: [Monday, tues, wed, thurs, friday, sat]"),
        ("bench: {mon: 120,", "bench: {Monday: 120,"),
        ("{fri: 9 lb, sat: 18 lb}", "{friday: 9 lb, saturday: 18 lb}"),
    )
    plain = shop_folder(tmp_path / "plain")
    shops = [read_shop(each)[0] for each in (folder, plain)]
    weeks = [each.week(MON) for each in shops]
    assert weeks[0].bench == weeks[1].bench
    assert weeks[0].demand["whole leg"].want == weeks[1].demand["whole leg"].want
    assert shops[0].open_days == shops[1].open_days


def test_an_order_written_into_a_file_has_a_day_that_stays(shop, clock_at) -> None:
    clock_at(TUE)
    write_orders(shop.week, "week.yaml", [split_order("bones: 1 lb on tomorrow")])
    assert "{day: 2026-12-02, amount: 1 lb}" in shop.week.read_text()


SLIPS = {
    "wednsday": 'no day called "wednsday"; did you mean "wednesday"?',
    "tommorow": 'no day called "tommorow"; did you mean "tomorrow"?',
    "last mno": 'no day called "mno"; did you mean "mon"?',
    "2 dezember": 'no month called "dezember"; did you mean "december"?',
    "31 nov": "there is no day 31 nov in the calendar",
    "2026-02-29": "there is no day 2026-02-29 in the calendar",
    "tue 2 dec 2026": '"tue 2 dec 2026": 2026-12-02 is wed 2 dec',
    "blub": 'no day called "blub"; write one such as wed, 2 dec or 2026-12-02',
    "2 dec 1026": 'the year of "2 dec 1026" cannot be right',
}


@pytest.mark.parametrize(("slip", "said"), SLIPS.items(), ids=SLIPS)
def test_a_slip_is_told_alike_at_every_door(doors: Doors, slip: str, said: str) -> None:
    for name, read in {**doors.past(), **doors.coming()}.items():
        if name == "a change" and slip == "blub":
            continue  # it may be a part of the name
        with pytest.raises((ValueError, InputError)) as told:
            read(slip)
        assert said.lower() in str(told.value).lower(), name


def test_without_a_year_it_is_the_nearest_date_on_every_day_of_four_years() -> None:
    for days in range(4 * 366):
        today = date(2026, 1, 1) + timedelta(days)
        for step in (-150, -1, 0, 1, 150):
            meant = today + timedelta(step)
            if (meant.month, meant.day) != (2, 29):
                text = f"{meant.day} {meant:%b}"
                assert read_day(text, today, "past") == read_day(text, today, "coming") == meant
        for word in ("mon", "sun"):
            past, coming = (read_day(word, today, each) for each in ("past", "coming"))
            last, following = (
                read_day(f"{each} {word}", today, "past") for each in ("last", "next")
            )
            assert 0 <= (today - past).days < 7 and 0 <= (coming - today).days < 7
            assert last < today < following and (following - last).days in (7, 14)


AMOUNTS = ["3.5 lb", "3,5 lb", "3.5lb", "3.5 LB", "3.50 lbs", "3 1/2 lb", "3-1/2 lb", "3½ lb",
           "3 ½ lb", "3 lb 8 oz", "3 lb and 8 oz", "56 oz", "3.5 pounds", "3 1/2 pounds", "3.5",
           "3,5", "3½"]  # fmt: skip


def written_week(doors: Doors, more: str) -> Scenario:
    text = (doors.shop / "shop.yaml").read_text()
    plain = "loin chops: {price: 23.99/lb, want: 20 lb}"
    folder = doors.tmp_path / "again"
    shutil.copytree(doors.shop, folder)
    (folder / "shop.yaml").write_text(text.replace(plain, more))
    return read_shop(folder)[0].week(TUE)


def amounts(doors: Doors) -> Mapping[str, Callable[[str], float]]:
    """Pounds at every door that takes an amount of what is weighed."""
    catalog = doors.catalog
    week, chops = catalog.week, catalog.find("loin chops")

    def said(text: str) -> Entry:
        return EntryReader(catalog, TUE, {}).read(text)

    def cell(text: str) -> float:
        path = doors.tmp_path / "ours.csv"
        with path.open("w", newline="") as file:
            csv.writer(file).writerows([["cut", "amount"], ["loin chops", text]])
        table = read_form(path, ("cut", "amount"), ("cut",), Units("lb", "$"), TUE)
        return table.pounds(table.rows[0], "amount") or 0.0

    def till(text: str, kind: str = "waste") -> float:
        path = doors.tmp_path / "till.csv"
        with path.open("w", newline="") as file:
            csv.writer(file).writerows([["cut", "amount", "day"], ["loin chops", text, "tue"]])
        found, faults = read_lines(read_sheet(path, None), catalog, Reading(kind))
        faults.stop()
        return found.entries[0].quantity.amount

    def change(text: str) -> float:
        new = read_changes(week, [Change("want", f"loin chops wed: {text}")])
        return new.demand["loin chops"].want[2]

    return {
        "a file": lambda text: sum(
            written_week(doors, f'loin chops: {{price: 23.99/lb, want: "{text}"}}')
            .demand["loin chops"]
            .want
        ),
        "an order asked for": lambda text: (
            order_of(week, split_order(f"loin chops: {text} on wed")).amount
        ),
        "a change": change,
        "a sale said": lambda text: said(f"sale loin chops: {text} on tue").quantity.amount,
        "an order said": lambda text: (
            said(f"order loin chops: {text} on wed for Ann").quantity.amount
        ),
        "an order said, size first": lambda text: (
            said(f"order {text} loin chops on wed").quantity.amount if text[-1].isalpha() else 3.5
        ),
        "what a break gave": lambda text: (
            said(f"break leg: 1 boneless gave bones {text}").gave[0].pounds
        ),
        "what a batch took": lambda text: (
            said(f"batch ground lamb: 3 lb from trim 80 {text}").took[0].pounds
        ),
        "a count": lambda text: read_counted(text, chops, TUE, Units("lb", "$"))[0].amount,
        "a weight": lambda text: read_weight(text, Units("lb", "$")),
        "a column of ours": cell,
        "a column of a till": till,
    }


@pytest.mark.parametrize("text", AMOUNTS)
def test_an_amount_is_said_alike_at_every_door(doors: Doors, text: str) -> None:
    found = {name: read(text) for name, read in amounts(doors).items()}
    assert found == pytest.approx(dict.fromkeys(found, 3.5))


@pytest.mark.parametrize("text", ["1,250 lb", "3 stone", "1/0 lb", "three lb", "3.5.1 lb", "-3 lb"])
def test_what_is_no_amount_is_taken_at_no_door(doors: Doors, text: str) -> None:
    for name, read in amounts(doors).items():
        if name.startswith("a column") and text == "1,250 lb":
            continue  # its other cells tell
        with pytest.raises((ValueError, InputError)):
            print(name, read(text))


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [("7,10/lb", 7.1, "lb"), ("15,60 / kg", 15.6, "kg"), ("1,234.50/each", 1234.5, "each")],
)
def test_a_price_has_a_comma_or_a_point(text: str, number: float, unit: str) -> None:
    assert read_price(text) == Amount(number, unit)
