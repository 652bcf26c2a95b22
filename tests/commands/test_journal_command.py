"""`breakplan journal`: what is listed, entered, undone, exported, imported, and what is refused."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from datetime import date

import pytest

from planner.core.errors import InputError
from planner.core.units import Quantity, Units
from planner.files.asked_order import A_CUSTOMER
from planner.files.shop_file import read_shop
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Delivery,
    Filled,
    OrderTaken,
    PlanKept,
    Sold,
    Wasted,
    Weighed,
    YieldsWritten,
)
from planner.journal.store import Journal
from planner.shop.stock.on_hand import stand_at
from planner.show.entry_words import EntryWords
from planner.show.layout import columns_of
from tests.shops import shop_folder

pytestmark = pytest.mark.clock

THU = date(2026, 11, 26)  # a Thursday
TUE, FRI = date(2026, 11, 24), date(2026, 11, 27)


@pytest.fixture
def folder(tmp_path, monkeypatch, clock_at):
    made = shop_folder(tmp_path)
    Journal(made / "journal.db", create=True).close()
    clock_at(THU)
    monkeypatch.chdir(made)
    return made


@pytest.fixture
def journal(folder, breakplan):
    """The command in a shop folder."""
    return lambda *words: breakplan("journal", *words)


def entered(folder, undone=False):
    with Journal(folder / "journal.db") as opened:
        return opened.recorded(undone=undone)


def entries(folder):
    return [one.entry for one in entered(folder)]


def enter(folder, *things):
    with Journal(folder / "journal.db", create=True) as opened:
        for each in things:
            opened.add([each])


SOME = [
    Delivery(THU, "lamb carcass", 2, (57.5, 58.25), 7.1),
    Sold(TUE, "lamb loin chops", Quantity(3.5), 83.97, True),
    OrderTaken(FRI, "lamb boneless leg", Quantity(9.0), "the corner bistro", 15.99),
    Sold(THU, "lamb frenched rack", Quantity(2.0, by_each=True)),
    Wasted(THU, "lamb bones", Quantity(1.25)),
    BreakDone(THU, "lamb leg", "boneless", 2),
    Filled(THU, 3, 4.0),
]


def numbers(out):
    """The numbers of the entries that are listed."""
    heads = [line.split() for line in out.splitlines()]
    return [int(words[0]) for words in heads if words and words[0].isdecimal()]


def test_what_is_entered_is_echoed_with_its_day_and_number_and_how_to_undo_it(folder, journal):
    ran = journal("add", "sale loin chops: 3.5 lb sold out on tue", "waste bones: 1.2")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines() == [
        "Entered 2 entries:",
        "  1  tue 24 nov  sale   3.5 lb loin chops, sold out",
        "  2  thu 26 nov  waste  1.2 lb bones",
        "To undo them all: breakplan journal undo 1",
    ]
    first, second = entered(folder)
    assert first.entry == Sold(TUE, "lamb loin chops", Quantity(3.5), None, True)
    assert second.entry == Wasted(THU, "lamb bones", Quantity(1.2))
    assert first.writing == second.writing


def test_a_fault_in_one_of_several_enters_none(folder, journal):
    ran = journal("add", "sale loin chops: 3 lb", "sale lion chops: 3", "x")
    assert ran.code == 2 and len(ran.err.splitlines()) == 2
    assert 'did you mean "loin chops"?' in ran.err and 'no kind of entry is called "x"' in ran.err
    assert not (folder / "journal.db").exists() or not entries(folder)


def test_what_is_odd_needs_a_yes(folder, journal):
    ran = journal("add", "sale loin chops: 300 lb", "delivery lamb: 1 head at 580 lb")
    assert ran.code == 2 and not entries(folder)
    assert [line.endswith("; if it is right, add --yes") for line in ran.err.splitlines()] == [
        True
    ] * 2
    assert journal("add", "sale loin chops: 300 lb", "--yes").code == 0
    assert entries(folder) == [Sold(THU, "lamb loin chops", Quantity(300.0))]


def test_orders_are_taken_filled_and_open(folder, journal):
    order = "order boneless leg: 9 lb on fri for the corner bistro at 15.99/lb"
    assert (
        "1  fri 27 nov  order  9 lb boneless leg for the corner bistro at $15.99/lb"
        in journal("add", order).out
    )
    assert "5 lb boneless leg for the corner bistro" in journal("add", "filled 1: 5 lb").out
    listed = journal("--open").out.splitlines()
    assert listed[1].split()[:6] == ["1", "fri", "27", "nov", "4", "lb"]
    (data,) = json.loads(journal("--open", "--json").out)["entries"]
    assert (data["number"], data["amount"], data["left"], data["by"]) == (1, 9.0, 4.0, "lb")
    beyond = journal("add", "filled 1: 3 lb", "filled 1: 3 lb")
    assert beyond.code == 2 and "of which 1.0 lb is left; 3.0 lb is more" in beyond.err
    assert journal("add", "filled 1").code == 0
    assert entries(folder)[-1] == Filled(THU, 1, 4.0)
    assert journal("--open").out == "No open orders.\n"


def test_the_list_has_the_newest_last_and_a_screenful(folder, journal):
    enter(folder, *(Sold(THU, "lamb loin chops", Quantity(float(n))) for n in range(1, 31)))
    out = journal().out
    assert numbers(out) == [10, *range(11, 31)]  # the 10 of "10 earlier entries"
    assert out.startswith("  10 earlier entries: --all shows them\n")
    assert numbers(journal("--all").out) == list(range(1, 31))
    assert numbers(journal("--last", "3").out)[-3:] == [28, 29, 30]
    assert numbers(journal("7").out) == [7]


def test_filters(folder, journal):
    enter(folder, *SOME)
    assert numbers(journal("--kind", "sale").out) == [2, 4]
    assert numbers(journal("--kind", "sale", "--from", "wed").out) == [4]
    assert numbers(journal("--to", "tue").out) == [2]
    assert numbers(journal("--from", "tomorrow").out) == [3]
    assert numbers(journal("--what", "Boneless Leg").out) == [3, 7]  # what was picked up too
    assert numbers(journal("--what", "lamb").out) == [1]
    assert numbers(journal("--what", "leg").out) == [6]
    assert "no such entries" in journal("--kind", "plan").out
    for words, message in [
        (("--kind", "sales"), 'no kind of entry is called "sales"; did you mean "sale"?'),
        (("--what", "lion chops"), 'did you mean "loin chops"?'),
        (("--from", "wedn"), 'did you mean "wed"?'),
        (("--from", "thu", "--to", "tue"), "2026-11-24 is before 2026-11-26"),
        (("99",), "the journal has no entry 99"),
    ]:
        ran = journal(*words)
        assert (ran.code, ran.out) == (2, "") and message in ran.err


def test_a_name_that_no_recipe_has_any_more_is_listed_and_found(folder, journal):
    enter(folder, Sold(THU, "hog belly", Quantity(2.0)))
    assert "2 lb hog belly" in journal().out
    assert numbers(journal("--what", "belly").out) == [1]
    assert json.loads(journal("--json").out)["entries"][0]["what"] == "hog belly"


def test_json_has_figures_in_the_unit_of_the_shop(tmp_path, monkeypatch, breakplan):
    made = shop_folder(tmp_path, ("unit: lb", "unit: kg"))
    enter(made, *SOME)
    data = json.loads(breakplan("journal", "--shop", made, "--json").out)
    assert (data["format"], data["unit"], data["money"]) == ("breakplan/1", "kg", "$")
    by_number = {each["number"]: each for each in data["entries"]}
    assert by_number[1]["weights"] == pytest.approx([57.5 * 0.45359237, 58.25 * 0.45359237])
    assert by_number[1]["cost"] == pytest.approx(7.1 / 0.45359237)
    assert by_number[2] | {"entered": ""} == {
        "number": 2,
        "writing": 2,
        "entered": "",
        "undone": False,
        "kind": "sale",
        "day": "2026-11-24",
        "what": "lamb loin chops",
        "by": "kg",
        "money": 83.97,
        "amount": round(3.5 * 0.45359237, 9),
        "sold out": True,
    }
    assert by_number[4]["amount"] == 2.0 and by_number[4]["by"] == "each"
    assert by_number[7]["order"] == 3 and by_number[7]["amount"] == round(4 * 0.45359237, 9)


@pytest.mark.parametrize("columns", [60, 72, 100])
def test_no_line_is_too_wide_and_no_figure_is_cut(folder, journal, monkeypatch, columns):
    long = OrderTaken(date(2025, 1, 31), "lamb shoulder roast", Quantity(12.125), "肉" * 50, 12.34)
    enter(
        folder,
        *SOME,
        long,
        *[Delivery(THU, "lamb carcass", 9, tuple(57.125 + n for n in range(9)))],
    )
    monkeypatch.setenv("COLUMNS", str(columns))
    for words in ((), ("--open",), ("--undone",)):
        out = journal(*words).out
        assert max(map(columns_of, out.splitlines())) <= columns
        figures = set(out.replace(",", " ").split())
        assert {"12.125", "$12.34/lb"} <= figures
        assert words == ("--open",) or {"57.125", "65.125", "550.125"} <= figures
    journal("add", "sale loin chops: 1 lb", "waste bones: 1 lb")
    for words in (
        ("undo",),
        ("add", "sale loin chops: 2 lb"),
        ("import", "till.csv", *COLUMNS),
    ):
        (folder / "till.csv").write_text(TILL)
        out = journal(*words, *(("--skip-unknown", "--yes") if "import" in words else ())).out
        assert 0 < max(map(columns_of, out.splitlines())) <= columns


def test_undo_takes_back_the_last_writing_by_a_counter_entry(folder, journal):
    journal("add", "sale loin chops: 3 lb")
    journal("add", "sale loin chops: 4 lb", "waste bones: 1 lb")
    ran = journal("undo")
    assert ran.code == 0 and numbers(ran.out) == [2, 3] and "Undone 2 entries" in ran.out
    assert [each.quantity.amount for each in entries(folder)] == [3.0]
    assert numbers(journal().out) == [1]
    every = journal("--undone").out
    assert numbers(every) == [1, 2, 3, 4]
    assert "undone: 4 lb loin chops" in every and "entries 2 to 3 do not count" in every
    assert len(entered(folder, undone=True)) == 4  # nothing is ever taken out


def test_undo_of_an_entry_and_what_cannot_be_undone(folder, journal):
    enter(folder, *SOME, PlanKept(THU, "{}"))
    for number, message in [
        ("99", "the journal has no entry 99"),
        ("3", "order 3 was filled by entry 7: undo that first"),
        ("8", "entry 8 is a plan, and plans cannot be undone"),
    ]:
        ran = journal("undo", number)
        assert ran.code == 2 and ran.err.endswith(f": {message}")
    assert numbers(journal("undo", "2").out) == [2]
    assert "entry 2 is undone already" in journal("undo", "2").err
    assert "entry 9 undid something" in journal("undo", "9").err
    assert numbers(journal("undo", "7").out) == [7]
    data = json.loads(journal("undo", "3", "--json").out)
    assert [(each["number"], each["undone"]) for each in data["entries"]] == [(3, True)]
    assert [one.number for one in entered(folder)] == [1, 4, 5, 6, 8]


def test_a_plan_or_shares_entered_last_keep_an_undo_from_taking_what_was_before(folder, journal):
    journal("add", "sale loin chops: 4 lb", "waste bones: 1 lb")
    enter(folder, YieldsWritten(THU, "lamb leg", "whole", 9.0))
    ran = journal("undo")
    assert ran.code == 2 and len(entries(folder)) == 3
    assert "shares written into the recipe (entry 3)" in ran.err
    assert ran.err.endswith(
        "before it came 2 entries, 1 to 2. To undo them all: breakplan journal undo 2"
    )
    enter(folder, PlanKept(THU, "{}"))
    ran = journal("undo")
    assert ran.code == 2 and "the last thing entered is a plan (entry 4)" in ran.err
    assert numbers(journal("undo", "--yes").out) == [1, 2]
    assert numbers(journal("undo", "3").out) == [3]
    assert "there is nothing to undo" in journal("undo").err


def test_weights_that_are_in_a_recipe_are_not_undone_without_a_word(folder, journal):
    weighed = BreakDone(THU, "lamb leg", "boneless", 2, 17.0)
    enter(folder, weighed, YieldsWritten(THU, "lamb leg", "whole", 9.0))
    enter(folder, YieldsWritten(THU, "lamb leg", "boneless", 9.0))
    ran = journal("undo", "1")
    assert ran.code == 2 and entries(folder)[0] == weighed
    assert ran.err == (
        "undo: the weights of lamb leg: boneless were counted into the recipe by entry 3, and "
        "stay in its figures; if it is right, add --yes"
    )
    assert journal("undo", "1", "--yes").code == 0 and len(entries(folder)) == 2
    enter(folder, weighed)  # after the writing: not in it
    assert journal("undo", "5").code == 0


def test_the_same_again_and_what_is_not_there_need_a_yes(folder, journal):
    add = "order boneless leg: 9 lb on fri for Ann"
    assert journal("add", add).code == 0
    for words in ((add,), ("waste bones: 1 lb", "waste bones: 1 lb")):
        ran = journal("add", *words)
        assert ran.code == 2 and "the same" in ran.err
    assert journal("add", "delivery lamb: 58 lb").code == 0
    for said, message in [
        ("filled 1", "9.0 lb of boneless leg for order 1: none should be on hand on thu"),
        ("sale loin chops: 15 lb", "15.0 lb of loin chops: none should be on hand"),
        ("waste shoulder: 1", "1 of shoulder: none should be on hand"),
        ("break leg: 2 whole", "should be on hand"),
        ("delivery lamb: 58 lb at 710/lb", "carcass at $710.00/lb: no cut of it sells for more"),
        ("delivery lamb: 30 head at 58 lb", "30 head of carcass is many for this shop; at most 1"),
        ("order loin chops: 3 lb on sun", "2026-11-29 is a Sunday, and the shop is closed then"),
        ("order loin chops: 3 lb on fri at 1950", "$23.99/lb is the full price"),
        ("break leg: 1 whole weighing 8.7 lb gave whole leg 14 lb", "14.0 lb of whole leg"),
    ]:
        ran = journal("add", said)
        assert ran.code == 2 and message in ran.err, said
        assert ran.err.endswith("; if it is right, add --yes")
    assert len(entries(folder)) == 2
    assert journal("add", "break carcass: 1", "break leg: 2 whole").code == 0
    assert journal("add", "sale whole leg: 16 lb").code == 0  # 58 lb x 15% x 97% x 2


def test_how_far_off_a_day_is(folder, journal):
    out = journal("add", "delivery lamb: 58 lb on mon").out
    assert out.splitlines()[-1] == (
        "mon 30 nov is in 4 days. If it came on mon 23 nov, undo it and write: on last mon"
    )
    assert journal("add", "delivery lamb: 57 lb on 30 nov").out.endswith("is in 4 days.\n")
    assert journal("add", "order bones: 1 lb on fri").out.endswith("fri 27 nov is tomorrow.\n")
    assert " is " not in journal("add", "sale bones: 1 lb on mon").out


def test_what_the_list_prints_can_be_typed_again(folder, journal, monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")
    many = Delivery(THU, "lamb carcass", 3, (57.5, 58.25, 61.0))
    parts = (Weighed("lamb leg", 2, 17.5), Weighed("lamb bones", None, 8.0))
    enter(
        folder, *SOME[:6], many,
        OrderTaken(FRI, "lamb frenched rack", Quantity(2.0, by_each=True), A_CUSTOMER, 70.0),
        BreakDone(THU, "lamb carcass", "block break", 1, 58.0, parts),
        BatchMade(TUE, "lamb ground lamb", 4.0, (Weighed("lamb trim 80", None, 4.0),)),
        Wasted(TUE, "lamb shoulder", Quantity(2.0, by_each=True)), Filled(THU, 3, 4.0),
    )  # fmt: skip
    before = entries(folder)
    planned = journal("--last", "12").out
    joined = re.sub(r"\n {12,}", " ", re.sub(r" +2[0-9] nov [0-9:]+$", "", planned, flags=re.M))
    lines = [re.split(r"  +", line.strip(), maxsplit=3) for line in joined.splitlines()[1:]]
    assert len(lines) == len(before)
    for (number, day, kind, words), entry in zip(lines, before, strict=True):
        ran = journal("add", f"{kind} {words} {day}", "--dry-run", "--json")
        assert ran.code == 0, ran.err
        data = json.loads(ran.out)["entries"]
        kept = json.loads(journal(number, "--json").out)["entries"][0]
        assert entry and data[0] == {key: kept[key] for key in data[0]} | {"number": None}


def test_an_import_is_questioned_by_sort_with_its_lines(folder, journal):
    rows = [f"bones,{1 + n / 10},2026-0{1 + n}-1{n},{2 + n / 5}" for n in range(8)]
    (folder / "till.csv").write_text("cut,amount,day,money\n" + "\n".join(rows) + "\n")
    ran = journal("import", "till.csv")
    assert ran.code == 2 and not entries(folder)
    many, *closed = ran.err.splitlines()
    assert many == (
        "till.csv:2: 8 sales of more than 60 days ago (lines 2, 3, 4, 5 and 4 more); the first: "
        "2026-01-10 is 320 days ago; if it is right, add --yes"
    )
    assert all("a Sunday, and the shop is closed then" in each for each in closed)
    wrong = [
        "bones,1500,2026-11-24,3735", "loin chops,1.2,2026-11-24,1028.79",
        "whole leg,1,2026-11-22,14", "whole leg,1,2016-11-24,14", "whole leg,1,2027-11-24,14",
        "ribs,1,2026-11-24,1", "frenched rack,-1,2026-11-24,-76",
    ]  # fmt: skip
    (folder / "till.csv").write_text("cut,amount,day,money\n" + "\n".join([*rows, *wrong]))
    told = [line.split(":", 2)[1:] for line in journal("import", "till.csv").err.splitlines()]
    for line, part in [
        (2, "8 sales of more than 60 days ago"), (10, "1,500.0 lb of bones is a lot"),
        (11, "loin chops at $857.33/lb"), (12, "2026-11-22 is a Sunday"),
        (13, "2016-11-24 is 3654 days ago"), (14, "2027-11-24 is 363 days ahead"),
        (15, 'no cut is called "ribs"'), (16, "1 more was refunded than sold"),
    ]:  # fmt: skip
        assert any(int(number) == line and part in message for number, message in told), part
    ran = journal("import", "till.csv", "--skip-unknown", "--yes")
    assert (
        ran.code == 0 and len(entries(folder)) == 13 and "warning: line 10: 1,500.0 lb" in ran.err
    )


def test_the_open_orders_are_those_that_the_plan_has(folder, journal):
    enter(folder, *SOME[:3], Filled(THU, 3, 8.6))  # of 9 lb: nobody packs to the ounce
    assert journal("--open").out == "No open orders.\n"
    with Journal(folder / "journal.db") as opened:
        shop, _ = read_shop(folder)
        assert stand_at(shop.week(THU), opened.recorded(), THU, "now").orders == ()


def test_an_export_of_the_last_entries(folder, journal):
    enter(folder, *SOME)
    assert len(journal("export", "-", "--last", "2").out.splitlines()) == 3
    assert len(journal("export", "-", "2").out.splitlines()) == 2


def test_an_export_fills_an_empty_journal_with_the_same(folder, journal, tmp_path):
    enter(folder, *SOME[:2], Sold(THU, "lamb bones", Quantity(9.0)), *SOME[2:6])
    with Journal(folder / "journal.db") as opened:
        opened.undo(3)
        opened.add([Filled(THU, 4, 4.0), Filled(THU, 4, 1.0)])
    assert journal("export", "all.csv").out == "Wrote 8 entries to all.csv.\n"
    before = entered(folder)
    (folder / "journal.db").rename(tmp_path / "old.db")
    for each in folder.glob("journal.db-*"):
        each.unlink()
    assert journal("new").code == 0
    ran = journal("import", "all.csv")
    assert ran.code == 0 and numbers(ran.out) == list(range(1, 9))
    after = entered(folder)
    assert [one.entry for one in after[:6]] == [one.entry for one in before[:6]]
    assert [one.entry for one in after[6:]] == [Filled(THU, 3, 4.0), Filled(THU, 3, 1.0)]

    def groups(recorded):
        return [
            sum(one.writing == each for one in recorded)
            for each in sorted({o.writing for o in recorded})
        ]

    assert groups(after) == groups(before) == [1, 1, 1, 1, 1, 1, 2]


def test_several_writings_are_entered_all_or_not_at_all(folder):
    bones = Wasted(THU, "lamb bones", Quantity(1.0))
    with Journal(folder / "journal.db", create=True) as opened:
        opened.add([bones])
        with pytest.raises(InputError, match="not an order"):
            opened.add_writings(lambda first: [[bones], [Filled(THU, first, 1.0)]])
        assert [one.entry for one in opened.recorded()] == [bones]
        order = SOME[2]
        made = opened.add_writings(lambda first: [[order], [], [bones, Filled(THU, first, 1.0)]])
    assert [one.entry for one in made] == [order, bones, Filled(THU, made[0].number, 1.0)]
    assert [one.writing - made[0].writing for one in made] == [0, 1, 1]


def test_an_export_that_cannot_come_back_says_so(folder, journal):
    enter(folder, *SOME)
    assert (
        "1 pick-up of orders that are not among these"
        in journal("export", "-", "--kind", "filled").err
    )


def test_an_export_to_standard_output_is_the_file(folder, journal):
    enter(folder, *SOME)
    journal("export", "all.csv", "--kind", "sale")
    text = (folder / "all.csv").read_bytes().decode("utf-8-sig")
    assert journal("export", "-", "--kind", "sale").out.replace("\r\n", "\n") == text.replace(
        "\r\n", "\n"
    )
    assert text.count("\r\n") == 3


def test_an_export_never_overwrites(folder, journal):
    enter(folder, *SOME)
    (folder / "mine.csv").write_text("mine")
    for name in ("journal.db", "mine.csv"):
        ran = journal("export", name)
        assert ran.code == 2
        assert ran.err == f"{name}: already exists, and is left alone: name another file"
    assert len(entries(folder)) == len(SOME) and (folder / "mine.csv").read_text() == "mine"
    assert "cannot be written" in journal("export", "no/such/all.csv").err


TILL = """\
Item;Qty;Date;Total
LAMB LOIN CHP;1,25;24.11.2026;29,99
loin chops;0,75;24.11.2026;18,00
frenched rack;2;25.11.2026;152,00
Gift card;1;25.11.2026;50,00
"""
COLUMNS = ("--columns", "Item=cut,Qty=amount,Date=day,Total=money")
TAKEN = [
    Sold(TUE, "lamb loin chops", Quantity(2.0), 47.99),
    Sold(date(2026, 11, 25), "lamb frenched rack", Quantity(2.0, by_each=True), 152.0),
]


def test_a_till_s_file_is_entered_as_a_whole_or_not_at_all(folder, journal):
    (folder / "till.csv").write_text(TILL)
    ran = journal("import", "till.csv", *COLUMNS)
    assert ran.code == 2 and not entries(folder)
    assert ran.err.splitlines() == [
        'till.csv:2: no cut is called "LAMB LOIN CHP"; did you mean "loin chops"?',
        'till.csv:5: no cut is called "Gift card"',
    ]
    mapped = (*COLUMNS, "--items", "LAMB LOIN CHP=loin chops,Gift card=")
    dry = journal("import", "till.csv", *mapped, "--dry-run")
    assert dry.code == 0 and dry.out.startswith("Would enter 2 entries:\n") and not entries(folder)
    ran = journal("import", "till.csv", *mapped)
    assert entries(folder) == TAKEN
    assert ran.out.splitlines()[-2:] == [
        "To undo them all: breakplan journal undo 1",
        "4 lines read; 1 left out, of items not sold here.",
    ]
    again = journal("import", "till.csv", *mapped)
    assert again.code == 2 and entries(folder) == TAKEN
    assert again.err.splitlines() == [
        "till.csv:2: loin chops on 2026-11-24: 2.0 lb sold is in the journal already (entry 1)"
        "; if this file has all of that day, first: breakplan journal undo 1; "
        "if it is right, add --yes",
        "till.csv:4: frenched rack on 2026-11-25: 2 sold is in the journal already (entry 2); "
        "if this file has all of that day, first: breakplan journal undo 2; "
        "if it is right, add --yes",
    ]
    assert journal("import", "till.csv", *mapped, "--yes").code == 0
    assert entries(folder) == [*TAKEN, *TAKEN]
    assert journal("undo").code == 0 and entries(folder) == TAKEN


def test_items_may_stand_in_a_file(folder, journal):
    (folder / "till.csv").write_text(TILL)
    (folder / "names.csv").write_text("item,cut\nlamb loin chp,loin chops\nGift card,\n")
    assert journal("import", "till.csv", *COLUMNS, "--items", "names.csv").code == 0
    assert entries(folder) == TAKEN
    (folder / "names.csv").write_text("lamb loin chp,lion chops\nGift card,\nGIFT CARD,x\na,b,c\n")
    ran = journal("import", "till.csv", *COLUMNS, "--items", "names.csv", "--yes")
    assert ran.code == 2 and ran.err.splitlines() == [
        'names.csv:3: "GIFT CARD" is there twice',
        "names.csv:4: two columns are wanted: the item, and what it is called here",
    ]
    ran = journal("import", "till.csv", *COLUMNS, "--items", "a=lion chops", "--yes")
    assert ran.err == '--items: no cut or piece is called "lion chops"; did you mean "loin chops"?'
    assert "no such file" in journal("import", "till.csv", *COLUMNS, "--items", "no.csv").err


def test_a_skip_and_what_is_left_of_a_file(folder, journal):
    (folder / "till.csv").write_text(TILL)
    data = json.loads(journal("import", "till.csv", *COLUMNS, "--skip-unknown", "--json").out)
    assert [each["amount"] for each in data["entries"]] == [0.75, 2.0]
    (folder / "gifts.csv").write_text("cut,amount,day\nGift card,1,2026-11-25\n")
    ran = journal("import", "gifts.csv", "--skip-unknown")
    assert ran.err == ("gifts.csv: there is nothing to enter; 1 left out, of items not sold here")
    (folder / "gifts.csv").write_text("cut,amount,day\n")
    assert journal("import", "gifts.csv").err == "gifts.csv: there are no lines below the heads"


def test_words_about_a_file_that_mean_nothing_are_told_together(folder, journal):
    (folder / "till.csv").write_text(TILL)
    ran = journal(*("import", "till.csv", "--columns", "x", "--kind", "sales", "--day", "wedn"))
    assert ran.code == 2
    assert [line.split(":")[0] for line in ran.err.splitlines()] == ["--columns", "--day", "--kind"]
    for option, word in (("--dates", "ymd"), ("--decimal", "dot")):
        ran = journal("import", "till.csv", option, word)
        assert ran.code == 2 and option in ran.err and word in ran.err
    assert "no such file" in journal("import", "no.csv").err
    assert "this is a folder" in journal("import", ".").err


def test_a_file_of_other_kinds_and_of_one_day(folder, journal):
    (folder / "waste.csv").write_text("what,amount\nbones,2\nshoulder,1\n")
    assert journal("import", "waste.csv", "--kind", "waste", "--day", "tue").code == 0
    assert entries(folder) == [
        Wasted(TUE, "lamb bones", Quantity(2.0)),
        Wasted(TUE, "lamb shoulder", Quantity(1.0, by_each=True)),
    ]


def test_a_backup_is_a_journal_and_never_overwrites(folder, journal):
    enter(folder, *SOME)
    assert journal("backup", "copy.db").out == "Wrote a copy of the journal to copy.db.\n"
    with Journal(folder / "copy.db") as copy:
        assert copy.recorded() == entered(folder)
    assert journal("backup", "copy.db").code == 2


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--all", "--last", "3"), "--last: does not go with --all"),
        (("list", "--open", "--kind", "sale"), "--kind: does not go with --open"),
        (("export", "x.csv", "--last", "3", "--all"), "--last: does not go with --all"),
    ],
)
def test_options_that_do_not_go_together(journal, words, message):
    ran = journal(*words)
    assert (ran.code, ran.out, ran.err) == (2, "", message)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--add", "waste bones: 1 lb"), "--add: write breakplan journal add TEXT"),
        (("--undo",), "--undo: write breakplan journal undo [N]"),
        (("2", "--undo"), "--undo: write breakplan journal undo [N]"),
        (("--import=x.csv", "--yes"), "--import: write breakplan journal import FILE.csv"),
        (("--kind", "sale", "--export", "-"), "--export: write breakplan journal export FILE.csv"),
        (("list", "--backup", "x.db"), "--backup: write breakplan journal backup FILE"),
        (("--restore", "x.db"), "--restore: write breakplan journal restore COPY"),
        (("--new",), "--new: write breakplan journal new"),
    ],
)
def test_what_was_an_option_once_is_told_as_it_is_written_now(folder, journal, words, message):
    enter(folder, *SOME)
    ran = journal(*words)
    assert (ran.code, ran.out, ran.err) == (2, "", message)
    assert len(entered(folder, undone=True)) == len(SOME)


def test_without_a_command_it_lists(folder, journal, breakplan):
    enter(folder, *SOME)
    assert journal().out == journal("list").out
    assert journal("2").out == journal("list", "2").out and numbers(journal("2").out) == [2]
    assert journal("--kind", "sale").out == journal("list", "--kind", "sale").out
    before = breakplan("journal", "--shop", folder, "add", "waste bones: 1 lb")
    assert (before.code, len(entries(folder))) == (0, len(SOME) + 1)
    assert breakplan("journal", f"--shop={folder}", "undo").code == 0
    assert breakplan("journal", f"--shop={folder}", "2").out == journal("2").out


def test_an_entry_without_quotes_is_told_with_them(folder, journal):
    ran = journal("add", "waste", "bones:", "1", "lb")
    told = 'add: put each entry in quotes: breakplan journal add "waste bones: 1 lb"'
    assert (ran.code, ran.err) == (2, told)


@pytest.mark.parametrize(
    "command", ["list", "add", "undo", "import", "export", "backup", "restore", "new"]
)
def test_every_command_has_an_example_and_is_told_of(journal, command):
    assert f"\n  {command} " in journal("--help").out
    assert f"Example: breakplan journal {command}" in journal(command, "--help").out


def test_no_shop_and_no_journal_are_one_line(tmp_path, folder, journal, breakplan, monkeypatch):
    (folder / "journal.db").unlink()
    (folder / "till.csv").write_text("cut,amount,day\nbones,1,2026-11-24\n")
    for words in ((), ("add", "waste bones: 1 lb"), ("import", "till.csv"), ("undo",)):
        ran = journal(*words)
        assert ran.code == 2 and ran.err == (
            "journal.db: is not there: put a copy in its place with: breakplan journal restore "
            "COPY, or begin an empty one with: breakplan journal new"
        )
    assert journal("new").out == "Began an empty journal: journal.db\n"
    assert journal("add", "waste bones: 1 lb").code == 0
    again = journal("new")
    assert again.code == 2 and again.err == "journal.db: already exists, and is left alone"
    assert len(entries(folder)) == 1
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    ran = breakplan("journal")
    assert ran.code == 2 and "shop.yaml" in ran.err and len(ran.err.splitlines()) == 1


def test_nothing_in_a_file_or_an_option_steers_the_terminal(folder, journal):
    (folder / "till.csv").write_text("cut,amount,day\n\x1b[31mchops\u202e,1,2026-11-24\n")
    for ran in (
        journal("import", "till.csv"),
        journal("add", "sale \x1b[31m: 3"),
        journal("--what", "\x1b[2J"),
        journal("--kind", "\x1b[2J"),
        journal("add", "order loin chops: 2 lb on fri for \x1b]0;x\x07"),
    ):
        assert ran.code == 2
        assert not set(ran.err + ran.out) & set("\x1b\x07\u202e")


def test_no_text_of_an_entry_steers_the_terminal():
    words = EntryWords(Units("lb", "$"), {}, {}, {})
    told = words.words(OrderTaken(FRI, "lamb \x9bm", Quantity(9.0), "\x1b[31m\u202e\r\n"))
    assert not set(told) & set("\x1b\x9b\u202e\r\n") and "9 lb" in told


def test_help_is_quick_and_imports_nothing_heavy(folder):
    code = (
        "import sys; sys.argv = ['breakplan', 'journal', '--help']\n"
        "from planner.commands.program import app\n"
        "try: app()\n"
        "except SystemExit: pass\n"
        "heavy = {'highspy', 'pulp', 'numpy', 'scipy', 'sqlite3', 'yaml'}\n"
        "heavy |= {'planner.core.quantities'}\n"
        "sys.stderr.write(' '.join(sorted(heavy & set(sys.modules))))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert "Write a copy of the journal" in ran.stdout and "breakplan journal undo" in ran.stdout
    assert ran.stderr == ""
