"""`breakplan counts`: what is typed, piped in or read from a table, and what becomes of it."""

from __future__ import annotations

import json
import os
import re
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from planner.commands import prompt as asking
from planner.commands.program import app
from planner.core.errors import BreakplanError, InputError, Problem
from planner.core.units import Quantity, Units
from planner.files.shop_file import read_shop
from planner.journal.entries import BreakDone, Count, Delivery, Entry, Sold, Wasted
from planner.journal.store import Journal
from planner.shop.entering.block_reader import CountedPortion, read_counted, read_weighed
from planner.shop.entering.catalog import Catalog, StockItem
from planner.shop.entering.context import context_of
from planner.shop.entering.count_checks import large_count, out_of_date
from planner.shop.entering.counting import Counting, CountLine, ItemCount
from tests.conftest import Ran
from tests.planning import SCENARIOS, read
from tests.running import BREAKPLAN, hear_signals
from tests.shops import shop_folder

pytestmark = pytest.mark.clock

MON, TUE, WED = (date(2026, 11, day) for day in (23, 24, 25))

CHOPS = StockItem("loin chops", "lamb loin chops", False, False, 3)
RACKS = StockItem("frenched rack", "lamb frenched rack", True, False, 4)
LEG = StockItem("leg", "lamb leg", True, True, 5)

WEEK_BEFORE: tuple[Entry, ...] = (Count(date(2026, 11, 16), "open", "lamb bones", Quantity(0.0)),)

# Of three head of 59 lb: six legs of 8.85 lb, six shoulders of 7.08, three loins of 11.8. Two loins
# to chops give 2 x 11.8 x 93% = 21.948 lb, of which 7.5 lb are sold: 14.448 are left.
BEFORE: tuple[Entry, ...] = (
    Delivery(MON, "lamb carcass", 3, (59.0, 59.0, 59.0)),
    BreakDone(MON, "lamb carcass", "block break", 3),
    BreakDone(TUE, "lamb loin", "chops", 2),
    Sold(TUE, "lamb loin chops", Quantity(7.5)),
)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return stocked(shop_folder(tmp_path))


def stocked(folder: Path, *entries: Entry) -> Path:
    with Journal(folder / "journal.db", create=True) as journal:
        for each in (*WEEK_BEFORE, *BEFORE, *entries):
            journal.add([each])
    return folder


@pytest.fixture(autouse=True)
def wednesday(clock_at: Callable[[date], None]) -> None:
    clock_at(WED)


def run(folder: Path, *words: str | Path, typed: str = "") -> Ran:
    result = CliRunner().invoke(
        app, ["counts", "--shop", str(folder), *map(str, words)], input=typed
    )
    if isinstance(result.exception, BreakplanError):
        return Ran(result.exception.exit_code, result.stdout, f"{result.stderr}{result.exception}")
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return Ran(result.exit_code, result.stdout, result.stderr)


def counts_in(folder: Path) -> list[Count]:
    """Counts of the journal since the first one."""
    with Journal(folder / "journal.db") as journal:
        found = [each.entry for each in journal.recorded() if isinstance(each.entry, Count)]
    return [each for each in found if each.day > date(2026, 11, 16)]


def asked(ran: Ran) -> list[str]:
    """Names that were asked for, in their order."""
    return re.findall(r"^(\w[^:(\n]*?)  (?:expected|counted) ", ran.err, re.MULTILINE)


# -- what is typed


@pytest.mark.parametrize(
    ("text", "portions"),
    [
        ("3.5", [CountedPortion(3.5)]),
        ("3.5 lb", [CountedPortion(3.5)]),
        ("3,5", [CountedPortion(3.5)]),
        ("0", [CountedPortion(0.0)]),
        ("8 oz", [CountedPortion(0.5)]),
        ("1.6 kg", [CountedPortion(1.6 / 0.45359237)]),
        ("3.5 mon", [CountedPortion(3.5, MON)]),
        ("3.5 monday", [CountedPortion(3.5, MON)]),
        ("3.5 wed", [CountedPortion(3.5, WED)]),
        ("3.5 thu", [CountedPortion(3.5, date(2026, 11, 19))]),
        ("3.5 made 2026-11-22", [CountedPortion(3.5, date(2026, 11, 22))]),
        ("3.5 mon, 2 tue", [CountedPortion(3.5, MON), CountedPortion(2.0, TUE)]),
        ("3,5 mon,2,25 tue", [CountedPortion(3.5, MON), CountedPortion(2.25, TUE)]),
        (
            "1 mon + 2 tue and 3",
            [CountedPortion(1.0, MON), CountedPortion(2.0, TUE), CountedPortion(3.0)],
        ),
    ],
)
def test_amounts_of_a_cut_are_read(text: str, portions: list[CountedPortion]):
    found = read_counted(text, CHOPS, WED, Units("lb", "$"))
    assert [each.made for each in found] == [each.made for each in portions]
    assert [each.amount for each in found] == pytest.approx([each.amount for each in portions])


@pytest.mark.parametrize(
    ("text", "portions"),
    [
        ("3", [CountedPortion(3.0)]),
        ("3 at 6.4 lb", [CountedPortion(3.0, None, 19.2)]),
        ("3 at 6.4", [CountedPortion(3.0, None, 19.2)]),
        ("3, 19 lb in all", [CountedPortion(3.0, None, 19.0)]),
        ("2 mon, 12 lb in all, 1 tue", [CountedPortion(2.0, MON, 12.0), CountedPortion(1.0, TUE)]),
        ("2 at 6 lb mon", [CountedPortion(2.0, MON, 12.0)]),
    ],
)
def test_pieces_are_read_with_their_weights(text: str, portions: list[CountedPortion]):
    found = read_counted(text, LEG, WED, Units("lb", "$"))
    assert [(each.amount, each.made) for each in found] == [
        (each.amount, each.made) for each in portions
    ]
    assert [each.pounds for each in found] == pytest.approx([each.pounds for each in portions])


def test_a_bare_number_takes_the_shops_unit():
    (found,) = read_counted("1.6", CHOPS, WED, Units("kg", "$"))
    assert found.amount == pytest.approx(1.6 / 0.45359237)


@pytest.mark.parametrize(
    ("text", "thing", "message"),
    [
        ("-3", CHOPS, "cannot read"),
        ("lots", CHOPS, "cannot read"),
        ("1,250", CHOPS, "thousands or decimals? Write a point, or no comma"),
        ("3 boxes", CHOPS, 'no day called "boxes"; write one such as wed, 2 dec'),
        ("3 2026-12-01", CHOPS, "2026-12-01 is still to come; the count is of 2026-11-25"),
        ("3 each", CHOPS, "is weighed"),
        ("3 at 6 lb", CHOPS, "is weighed"),
        ("3.5", RACKS, "is counted"),
        ("3 lb", RACKS, "is counted"),
        ("3 at 2 lb", RACKS, "is counted, not weighed"),
        ("3 at 0 lb", LEG, "weighs more than nothing"),
        ("0, 2 mon", CHOPS, "a portion of nothing"),
        ("9999999999", CHOPS, "more than an amount can be"),
        ("3 \x1b[2J", CHOPS, "cannot read"),
    ],
)
def test_what_cannot_be_read_is_told_without_signs_that_steer_a_terminal(
    text: str, thing: StockItem, message: str
):
    with pytest.raises(ValueError, match=re.escape(message)) as told:
        read_counted(text, thing, WED, Units("lb", "$"))
    assert "\x1b" not in str(told.value)


@given(
    st.lists(
        st.tuples(st.integers(1, 99999), st.sampled_from([None, MON, TUE, WED])),
        min_size=1,
        max_size=4,
    )
)
def test_what_is_written_is_what_is_read(parts: list[tuple[int, date | None]]):
    text = ", ".join(f"{number / 100:.2f} {made or ''}".strip() for number, made in parts)
    found = read_counted(text, CHOPS, WED, Units("lb", "$"))
    assert [(round(each.amount * 100), each.made) for each in found] == parts


def test_weights_of_what_is_counted():
    assert read_weighed("3.4", RACKS, 2, Units("lb", "$")) == (2, 3.4)
    assert read_weighed("1, 1.7 lb", RACKS, 2, Units("lb", "$")) == (1, 1.7)
    assert read_weighed("1 each", RACKS, 2, Units("lb", "$")) == (1, None)
    assert read_weighed("0", RACKS, 2, Units("lb", "$")) == (0, 0.0)
    assert read_weighed("6,8", CHOPS, None, Units("lb", "$")) == (None, 6.8)


def test_examples_are_in_the_unit_of_the_shop():
    for thing, text in ((LEG, "lots"), (CHOPS, "lots"), (LEG, "3 at nothing")):
        with pytest.raises(ValueError, match="type 3") as told:
            read_counted(text, thing, WED, Units("kg", "$"))
        assert " lb" not in str(told.value)


# -- what is doubted


def doubt_of(count: ItemCount, check, unit: str = "lb") -> str:
    week = replace(read(SCENARIOS / "corner-shop.yaml"), unit=unit)
    return "".join(each.sentence for each in check(count, context_of(Catalog(week), (), WED)))


def doubt_of_count(thing: StockItem, amount: float, could: float | None, unit: str) -> str:
    count = ItemCount(CountLine(thing, (), could), (CountedPortion(amount),))
    return doubt_of(count, large_count, unit)


def doubt_of_made(thing: StockItem, made: date | None) -> str:
    return doubt_of(
        ItemCount(CountLine(thing, (), None), (CountedPortion(1.0, made),)), out_of_date
    )


def test_more_than_can_be_there_is_doubted():
    assert not doubt_of_count(CHOPS, 12.0, 10.0, "lb")
    assert "at most 12.5 lb can be there" in doubt_of_count(CHOPS, 13.0, 10.0, "lb")
    assert "there can be none" in doubt_of_count(CHOPS, 1.0, 0.0, "lb")
    assert not doubt_of_count(CHOPS, 1.0, None, "lb")
    assert doubt_of_count(CHOPS, 30_000.0, None, "lb")
    assert "at most 4 can be there" in doubt_of_count(LEG, 5.0, 4.0, "lb")
    assert doubt_of_count(CHOPS, 22.0, 10.0 / 0.45359237 / 1.25, "kg") == ""
    assert doubt_of_count(CHOPS, 22.0, 8.0, "kg").endswith("did you mean lb?")


def test_older_than_it_keeps_is_doubted():
    assert not doubt_of_made(CHOPS, MON), "its third day is its last"
    assert "out of date after tue 24 nov" in doubt_of_made(CHOPS, MON - timedelta(days=1))
    assert not doubt_of_made(CHOPS, None)


def test_a_first_count_in_a_new_shop_is_not_doubted(tmp_path: Path):
    folder = shop_folder(tmp_path)
    Journal(folder / "journal.db", create=True).close()
    ran = run(folder, typed="loin chops: 40\n\n")
    assert ran.code == 0 and "can be there" not in ran.err
    (found,) = counts_in(folder)
    assert (found.what, found.quantity.amount, found.at) == ("lamb loin chops", 40.0, "open")


def empty(folder: Path, *entries: Entry) -> Path:
    with Journal(folder / "journal.db", create=True) as journal:
        for each in entries:
            journal.add([each])
    return folder


def test_a_day_of_which_nothing_is_known_is_held_against_what_a_week_sells(tmp_path: Path):
    folder = empty(shop_folder(tmp_path))
    ran = run(
        folder,
        typed="carcass: 26 at 58 lb\n0\nfrenched rack: 90\n2\nloin chops: 300\n3\n"
        "shoulder: 90 at 7 lb\nstop\n",
    )
    # of lamb a week wants 9 + 18, 4 + 6 + 6, 14, 20, 14, 10 and 2 racks of at most 20% x 30% x 115
    week = 9 + 18 + 16 + 14 + 20 + 14 + 10 + 2 * 0.2 * 0.3 * 115
    assert f"26 carcass weigh 1,508.0 lb: a week sells about {week:.1f} lb of lamb" in ran.err
    assert "90 frenched rack: a week sells about 2" in ran.err
    assert "300.0 lb of loin chops: a week sells about 20.0 lb" in ran.err
    assert "90 shoulder weigh 630.0 lb: a week sells about " in ran.err
    assert [each.quantity.amount for each in counts_in(folder)] == [0.0, 2.0, 3.0]


@pytest.mark.parametrize("typed", ["5 at 58", "12 at 9 kg", "2, 116 lb in all"])
def test_what_a_week_can_need_is_not_doubted(tmp_path: Path, typed: str):
    ran = run(empty(shop_folder(tmp_path)), typed=f"leg: {typed.replace('58', '8.7')}\nstop\n")
    assert "a week sells" not in ran.err


def test_more_than_was_delivered_is_asked_about_in_a_young_shop_too(tmp_path: Path):
    folder = empty(shop_folder(tmp_path), Delivery(TUE, "lamb carcass", 5, (58.0,)))
    ran = run(folder, typed="26\nyes\nstop\n")
    assert "26 carcass: at most 5 can be there" in ran.err
    assert counts_in(folder)[0].quantity.amount == 26.0


def test_a_weight_in_place_of_a_number_is_named(tmp_path: Path):
    folder = empty(
        shop_folder(tmp_path, ("unit: lb", "unit: kg")),
        Delivery(TUE, "lamb carcass", 5, (58.0,)),
    )
    ran = run(folder, typed="26\nstop\n")  # 58 lb are 26.3 kg
    assert "at most 5 can be there; did you mean 1 carcass at 26 kg?" in ran.err


def test_the_delivery_of_the_day_is_not_counted_at_its_opening(tmp_path: Path):
    folder = empty(shop_folder(tmp_path), Delivery(WED, "lamb carcass", 2, (58.0,)))
    ran = run(folder, typed="2 at 58\nstop\n")
    assert (
        "2 carcass come in and are added to this count (delivery of wed 25 nov): count without them"
        in ran.err
    )
    assert not counts_in(folder)
    assert "added to" not in run(folder, "--at", "close", typed="2\nstop\n").err


# -- pieces of which nobody knows the weight


def test_the_weight_of_pieces_is_asked_for_where_nobody_knows_it(tmp_path: Path):
    folder = empty(shop_folder(tmp_path))
    ran = run(folder, typed="carcass: 2\nn\n580\n58\nleg: 3\n\n")
    assert "what one weighs, in lb (not known yet): " in ran.err
    assert "carcass of 580.0 lb: 25.0 to 115.0 lb is expected; did you mean 58?" in ran.err
    found = {each.what: (each.quantity.amount, each.pounds) for each in counts_in(folder)}
    assert found["lamb carcass"] == (2.0, pytest.approx(116.0))


@pytest.mark.parametrize(
    ("typed", "pounds"), [("8.7", 26.1), ("26 lb in all", 26.0), ("4 kg each", 12 / 0.45359237)]
)
def test_the_weight_is_of_one_or_of_all(tmp_path: Path, typed: str, pounds: float):
    folder = empty(shop_folder(tmp_path))
    run(folder, typed=f"leg: 3 mon\n{typed}\nstop\n")
    (found,) = counts_in(folder)
    assert (found.quantity.amount, found.made) == (3.0, MON)
    assert found.pounds == pytest.approx(pounds)


def test_without_its_weight_a_piece_is_not_entered(tmp_path: Path):
    folder = empty(shop_folder(tmp_path))
    ran = run(folder, typed="bones: 2\ncarcass: 2\nback\n3\nstop\n")
    assert "carcass is left as it was: its weight is not known." in ran.err
    assert [each.what for each in counts_in(folder)] == ["lamb bones"]


def test_in_a_table_a_piece_without_a_weight_is_a_fault_of_its_line(tmp_path: Path):
    folder = empty(shop_folder(tmp_path, ("unit: lb", "unit: kg")))
    table = tmp_path / "wed.csv"
    table.write_text("what,amount,weight\nbones,1,\ncarcass,2,\n")
    for words in ((), ("--yes",)):
        ran = run(folder, table, *words)
        assert ran.code == 2 and not counts_in(folder)
        assert "wed.csv:3: the weight of a carcass is not known yet" in ran.err
        assert "such as 8.7 kg" in ran.err
    table.write_text("what,amount,weight\nbones,1,\ncarcass,2,52\n")
    assert run(folder, table).code == 0
    assert counts_in(folder)[1].pounds == pytest.approx(52 / 0.45359237)


# -- two at once


def test_what_others_counted_meanwhile_is_told_before_its_place_is_taken(
    shop: Path, monkeypatch: pytest.MonkeyPatch
):
    line = asking.Asker._line
    theirs = Count(WED, "open", "lamb loin chops", Quantity(11.0))

    def meanwhile(asker: asking.Asker, prompt: str) -> str | None:
        if prompt.startswith("loin chops"):
            with Journal(shop / "journal.db") as journal:
                journal.add([theirs, Sold(WED, "lamb bones", Quantity(1.0))])
        return line(asker, prompt)

    monkeypatch.setattr(asking.Asker, "_line", meanwhile)
    ran = run(shop, typed="12.6\nstop\n\n")
    assert "by others since you began:" in ran.err and "11 lb loin chops" in ran.err
    assert "bones" not in ran.err.partition("by others")[2]
    assert counts_in(shop) == [theirs] and "lamb loin chops,12.60" in ran.err
    run(shop, typed="12.6\nstop\nyes\n")
    assert counts_in(shop)[-1].quantity.amount == 12.6


def test_others_that_counted_something_else_are_no_matter(
    shop: Path, monkeypatch: pytest.MonkeyPatch
):
    line = asking.Asker._line

    def meanwhile(asker: asking.Asker, prompt: str) -> str | None:
        if prompt.startswith("loin chops"):
            with Journal(shop / "journal.db") as journal:
                journal.add([Count(WED, "open", "lamb bones", Quantity(1.0))])
                journal.undo()
                journal.add([Count(WED, "close", "lamb loin chops", Quantity(1.0))])
        return line(asker, prompt)

    monkeypatch.setattr(asking.Asker, "_line", meanwhile)
    ran = run(shop, typed="12.6\nstop\n")
    assert "by others" not in ran.err and counts_in(shop)[-1].quantity.amount == 12.6


def test_a_journal_without_breaks_does_not_tell_what_can_be_there(tmp_path: Path):
    folder = shop_folder(tmp_path)
    with Journal(folder / "journal.db", create=True) as journal:
        journal.add([Count(date(2026, 11, 2), "open", "lamb loin chops", Quantity(3.0))])
    assert "can be there" not in run(folder, typed="loin chops: 40\n\n").err


# -- at the prompt


def test_cut_by_cut_what_is_typed_is_entered_in_one_writing(shop: Path):
    ran = run(shop, typed="12.6 tue\n\n=\n\n3 at 8.7\nstop\n")
    assert ran.code == 0
    found = counts_in(shop)
    assert found[0] == Count(WED, "open", "lamb loin chops", Quantity(12.6), TUE)
    assert found[1].what == "lamb bones" and found[1].made in (MON, TUE)
    assert found[-1].what == "lamb leg"
    assert (found[-1].quantity.amount, found[-1].pounds) == (3.0, pytest.approx(26.1))
    with Journal(shop / "journal.db") as journal:
        assert len({each.writing for each in journal.recorded()[-len(found) :]}) == 1
        journal.undo()
    assert not counts_in(shop)


def test_what_is_expected_is_shown_with_the_day_it_was_made(shop: Path):
    ran = run(shop, typed="stop\n")
    assert "loin chops  expected 14.4 lb (made tue): " in ran.err
    assert "Nothing was counted, and nothing was entered." in ran.out
    assert not counts_in(shop)


def test_only_what_may_be_there_is_asked_for_and_all_with_all(shop: Path):
    some, every = asked(run(shop, typed="\n" * 30)), asked(run(shop, "--all", typed="\n" * 30))
    assert some == ["loin chops", "trim 80", "bones", "carcass", "leg", "shoulder", "loin"]
    week = read_shop(shop)[0].week(WED)
    assert set(every) == {each.name for each in Catalog(week)} > set(some)


def test_differences_are_told_at_full_price_and_how_to_undo(shop: Path):
    ran = run(shop, typed="12.6\nstop\n")
    assert re.search(r"loin chops +12\.6 lb +14\.4 lb +1\.8 lb less +-\$44\.33", ran.out)
    assert "At full price $44.33 less than expected." in ran.out
    undo = re.search(r"To undo it: breakplan journal undo (\d+)", ran.out)
    with Journal(shop / "journal.db") as journal:
        assert undo and int(undo[1]) == journal.recorded()[-1].number
    # 1.848 lb at 23.99 is 44.33
    assert pytest.approx(44.33, abs=0.01) == (14.448 - 12.6) * 23.99


def test_back_changes_the_answer_before_and_skip_takes_it_back(shop: Path):
    ran = run(shop, typed="5\nback\n\nback\n7\n0\nback\nskip\nstop\n")
    assert [(each.what, each.quantity.amount) for each in counts_in(shop)] == [
        ("lamb loin chops", 7.0)
    ]
    assert "typed 5.0 lb" in ran.err
    assert "This is the first." in run(shop, typed="back\nstop\n").err


def test_what_is_implausible_is_asked_about_and_kept_with_yes(shop: Path):
    ran = run(shop, typed="60\nyes\nstop\n")
    assert "60.0 lb of loin chops: at most 27.4 lb can be there" in ran.err
    assert counts_in(shop)[0].quantity.amount == 60.0
    # 21.948 lb were made, and a quarter more may be there
    assert pytest.approx(27.4, abs=0.05) == 21.948 * 1.25


@pytest.mark.parametrize(
    ("typed", "row"),
    [
        ("60", "loin chops,60,lb,,"),
        ("3.5 2026-11-01", "loin chops,3.5,lb,2026-11-01,"),
        ("\n\n\n\n6 at 4.0", "leg,6,each,,24"),
    ],
)
def test_what_is_typed_and_what_is_in_a_table_draw_the_same_warning_and_entry(
    shop: Path, tmp_path: Path, typed: str, row: str
):
    asked = " ".join(run(shop, typed=f"{typed}\nyes\nstop\n").err.split())
    by_hand = counts_in(shop)
    with Journal(shop / "journal.db") as journal:
        journal.undo()
    table = tmp_path / "wed.csv"
    table.write_text(f"what,amount,unit,made,weight\n{row}\n")
    ran = run(shop, table)
    assert ran.code == 2 and not counts_in(shop)
    told = re.search(r"wed\.csv:2: (.*?)[;]? [Ii]f it is right, add --yes", ran.err)
    assert told and told[1] in asked
    assert run(shop, table, "--yes").code == 0
    assert counts_in(shop) == by_hand and len(by_hand) == 1


def test_what_is_implausible_is_dropped_where_nobody_insists(shop: Path):
    run(shop, typed="60\n")
    assert not counts_in(shop)
    run(shop, typed="60\n6.0\nstop\n")
    assert counts_in(shop)[0].quantity.amount == 6.0
    kept = run(shop, "--yes", typed="60\nstop\n")
    assert "kept" in kept.err and counts_in(shop)[-1].quantity.amount == 60.0


def test_yes_where_nothing_was_doubted_is_no_answer(shop: Path):
    assert 'cannot read "yes"' in run(shop, typed="yes\nstop\n").err


def test_pieces_that_weigh_like_none_of_the_lot_are_asked_about(shop: Path):
    ran = run(shop, typed="\n\n\n\n6 at 4.0\nstop\n")
    assert "6 leg of 24.0 lb: " in ran.err and "did you mean kg?" in ran.err
    assert not counts_in(shop)


def test_anything_else_takes_names_freely_with_the_nearest_word_on_a_slip(shop: Path):
    ran = run(
        shop, typed="\n" * 7 + "bonless leg\nBoneless  Legs\n3 tue\n\nshoulder roast: 2\nyes\n\n"
    )
    assert 'no cut or piece is called "bonless leg"; did you mean "boneless leg"?' in ran.err
    assert "shoulder roast: by the journal there can be none" in ran.err
    found = {each.what: (each.quantity.amount, each.made) for each in counts_in(shop)}
    assert found == {"lamb shoulder roast": (2.0, None)}, "3 lb of boneless leg were doubted"


def test_help_is_told_and_the_question_put_again(shop: Path):
    ran = run(shop, typed="?\n3\nstop\n")
    assert "with the days it was made" in ran.err and counts_in(shop)[0].quantity.amount == 3.0


def test_ctrl_c_enters_nothing_and_says_so(shop: Path, monkeypatch: pytest.MonkeyPatch):
    answers = iter(["3\n"])

    def line(*_: object) -> str:
        try:
            return next(answers)
        except StopIteration:
            raise KeyboardInterrupt from None

    monkeypatch.setattr(asking.Asker, "_line", line)
    ran = run(shop)
    assert ran.code == 130 and "Nothing was entered." in ran.err and not counts_in(shop)


def test_a_second_count_of_the_same_moment_starts_from_the_first(shop: Path):
    run(shop, typed="12\nstop\n")
    ran = run(shop, typed="11\nstop\n")
    assert "loin chops  counted 12.0 lb" in ran.err
    assert re.search(r"loin chops +11\.0 lb +12\.0 lb +1\.0 lb less", ran.out)


def test_the_moment_is_by_the_clock_unless_said(shop: Path, clock_at: Callable[[date], None]):
    clock_at(datetime(2026, 11, 25, 18))
    run(shop, typed="5\nstop\n")
    run(shop, "--at", "open", typed="6\nstop\n")
    run(shop, "--day", "tue", typed="0\nstop\n")
    assert [(each.day, each.at) for each in counts_in(shop)] == [
        (WED, "close"),
        (WED, "open"),
        (TUE, "open"),
    ]


def test_at_the_close_what_is_out_of_date_tonight_is_still_there(tmp_path: Path):
    folder = stocked(shop_folder(tmp_path), Sold(WED, "lamb bones", Quantity(3.0)))
    ran = run(folder, "--at", "close", typed="=\n=\n=\nstop\n")
    assert "bones  expected 22.9 lb (24.8" not in ran.err
    # bones: 3 x 59 x 14% = 24.78 on Monday, good until tonight, and 2 x 11.8 x 5% = 1.18 on Tuesday
    assert "bones  expected 23.0 lb" in ran.err
    made = {each.made for each in counts_in(folder) if each.what == "lamb bones"}
    assert made == {MON, TUE}


def test_what_was_thrown_away_without_a_word_differs(tmp_path: Path):
    folder = stocked(shop_folder(tmp_path), Wasted(TUE, "lamb loin chops", Quantity(4.448)))
    assert "loin chops  expected 10.0 lb" in run(folder, typed="stop\n").err


@pytest.mark.parametrize("columns", [60, 80, 100])
def test_no_line_is_wider_than_there_is_room(
    shop: Path, columns: int, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("COLUMNS", str(columns))
    ran = run(shop, typed="?\n80\nyes\n=\n2 mon, 3 tue\n9\nyes\n2\n1\n0\n\n")
    assert max(map(len, f"{ran.out}\n{ran.err}".splitlines())) <= columns


# -- for machines, from tables


def test_json_has_what_the_text_has_and_prompts_stay_out_of_it(shop: Path):
    told = json.loads(run(shop, "--json", typed="12.6 tue\n\n\n\n4 at 8\nstop\n").out)
    assert (told["day"], told["at"], told["unit"]) == ("2026-11-25", "open", "lb")
    chops, legs = told["counted"]
    assert chops["difference"] == pytest.approx(-1.848) and chops["money"] == -44.33
    assert chops["portions"] == [{"amount": 12.6, "made": "2026-11-24", "weight": None}]
    assert legs["unit"] == "each" and legs["portions"][0]["weight"] == 32.0
    nothing = json.loads(run(shop, "--json").out)
    assert nothing["counted"] == [] and nothing["writing"] is None


def test_a_table_is_entered_as_it_stands(shop: Path, tmp_path: Path):
    table = tmp_path / "wed.csv"
    table.write_text(
        "what;amount;unit;made;pounds;note\n"
        "loin chops;1,5;kg;2026-11-24;;by the window\nLoin Chops;2,25;;mon;;\n"
        "leg;3;each;;26,1;\nshoulder;;;;;not looked at\nbones;0;lb;;;\n"
    )
    ran = run(shop, table)
    assert ran.code == 0 and "1 line without an amount: is left as it is" in ran.err
    assert [(each.what, each.made, each.pounds) for each in counts_in(shop)] == [
        ("lamb loin chops", TUE, None),
        ("lamb loin chops", MON, None),
        ("lamb leg", None, 26.1),
        ("lamb bones", None, None),
    ]
    amounts = [each.quantity.amount for each in counts_in(shop)]
    assert amounts == pytest.approx([1.5 / 0.45359237, 2.25, 3.0, 0.0])


def test_a_table_is_entered_whole_or_not_at_all_with_every_line_named(shop: Path, tmp_path: Path):
    table = tmp_path / "wed.csv"
    table.write_text(
        "what,amount,unit,made\nloin chops,3,lb,tue\nlion chops,3,lb,\nleg,2.5,,\n"
        "bones,-3,lb,\nloin chops,2,boxes,\nshoulder,1,lb,\nleg,1,,2027-01-01\n,4,,\n"
        "trim 80,40,,\n"
    )
    ran = run(shop, table)
    assert ran.code == 2 and not counts_in(shop)
    lines = [int(each) for each in re.findall(r"wed\.csv:(\d+): ", ran.err)]
    assert lines == [3, 4, 5, 6, 7, 8, 9, 10]
    assert 'wed.csv:3: no cut or piece is called "lion chops"; did you mean' in ran.err
    assert "if it is right, add --yes" in ran.err


@pytest.mark.parametrize("what", ["loin chops", "leg", "carcass"])
def test_a_figure_that_no_shop_has_is_told_and_not_even_kept_with_yes(shop, tmp_path, what):
    table = tmp_path / "wed.csv"
    table.write_text(f"what,amount\n{what},{'9' * 400}\n")
    ran = run(shop, table, "--yes")
    assert ran.code == 2 and not counts_in(shop)
    assert "wed.csv:2: amount: 999999999... (400 digits) is more than a shop has" in ran.err


def test_a_table_of_many_portions_is_read_in_no_time(shop: Path, tmp_path: Path):
    table = tmp_path / "wed.csv"
    table.write_text("what,amount\n" + "loin chops,0.001\n" * 5_000 + "lion chops,1\n")
    began = time.process_time()
    ran = run(shop, table)
    assert time.process_time() - began < 2
    assert ran.code == 2 and ran.err.count('did you mean "loin chops"') == 1


def test_a_doubted_line_of_a_table_is_kept_with_yes(shop: Path, tmp_path: Path):
    table = tmp_path / "wed.csv"
    table.write_text("what,amount\nloin chops,60\n")
    assert run(shop, table).code == 2
    ran = run(shop, table, "--yes")
    assert ran.code == 0 and "kept: " in ran.err and counts_in(shop)[0].quantity.amount == 60.0


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("thing,amount\nloin chops,3\n", 'no column is called "what"'),
        ("what,amount,mede\nloin chops,3,\n", 'did you mean "made"'),
        ("what,amount,what\nloin chops,3,\n", "two columns"),
        ("", "nothing in this file"),
    ],
)
def test_heads_that_are_not_right_are_told(shop: Path, tmp_path: Path, text: str, message: str):
    table = tmp_path / "wed.csv"
    table.write_text(text)
    ran = run(shop, table)
    assert ran.code == 2 and message in ran.err and "wed.csv" in ran.err
    assert "pounds" not in ran.err, "help does not name it"


def test_the_table_may_come_through_a_pipe(shop: Path):
    assert run(shop, "-", typed="what,amount\nloin chops,3\n").code == 0
    assert counts_in(shop)[0].quantity.amount == 3.0


def test_what_cannot_be_written_is_not_lost(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    def refuse(*_: object) -> None:
        raise InputError([Problem("journal.db", 0, "the disk is full")])

    with monkeypatch.context() as patch:
        patch.setattr(Journal, "add_writings", refuse)
        ran = run(shop, typed="12.6 tue\n\n\n\n3 at 8.7\nstop\n")
    assert ran.code == 2 and "the disk is full" in ran.err
    table = tmp_path / "saved.csv"
    table.write_text(
        ran.err[ran.err.index("what,amount") :].replace("journal.db:", "").rpartition("\n")[0]
    )
    assert run(shop, table).code == 0
    assert [(each.what, each.quantity.amount, each.pounds) for each in counts_in(shop)] == [
        ("lamb loin chops", 12.6, None),
        ("lamb leg", 3.0, 26.1),
    ]


@pytest.mark.parametrize("day", ["fri", "2026-11-26", "someday"])
def test_a_day_to_come_is_refused_and_a_weekday_is_the_last_one(shop: Path, day: str):
    ran = run(shop, "--day", day, typed="stop\n")
    assert ran.code == (0 if day == "fri" else 2)
    if day == "fri":
        assert "fri 20 nov" in ran.err


def test_counting_takes_the_place_of_what_was_expected(shop: Path):
    run(shop, typed="12.6 tue\nstop\n")
    with Journal(shop / "journal.db") as journal:
        recorded = journal.recorded()
    week = read_shop(shop)[0].week(WED)
    line = Counting(week, recorded, WED, "open").line(Catalog(week).find("loin chops"))
    assert line.amount == pytest.approx(12.6) and line.counted


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
@pytest.mark.parametrize("end", ["stop", "ctrl-c"])
def test_at_a_terminal(tmp_path: Path, end: str):
    import pty

    folder = shop_folder(tmp_path)
    now = datetime.now().astimezone()  # that of the process which is started
    with Journal(folder / "journal.db", create=True, clock=lambda: now) as journal:
        yesterday = now.date() - timedelta(days=1)
        journal.add([Count(yesterday, "open", "lamb loin chops", Quantity(4.2), yesterday)])
    ours, theirs = pty.openpty()
    program = subprocess.Popen(
        [*BREAKPLAN, "counts", "--shop", folder, "--at", "open"],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        close_fds=True,
        start_new_session=True,
        preexec_fn=_take_terminal,
    )
    os.close(theirs)
    try:
        _until(ours, lambda seen: "expected 4.2 lb" in seen)
        os.write(ours, b"3.5\n")
        _until(ours, lambda seen: "anything else?" in seen)
        os.write(ours, b"\n" if end == "stop" else b"\x03")
        wanted = "Entered as" if end == "stop" else "Nothing was entered."
        _until(ours, lambda seen: wanted in seen)
        code = program.wait(timeout=20)
    finally:
        if program.poll() is None:
            program.send_signal(signal.SIGKILL)
            program.wait()
        os.close(ours)
    assert code == (0 if end == "stop" else 130)
    with Journal(folder / "journal.db") as journal:
        amounts = [each.entry.quantity.amount for each in journal.recorded()]
    assert amounts == ([4.2, 3.5] if end == "stop" else [4.2])


def _take_terminal() -> None:
    """Ctrl-C goes to whoever has the terminal."""
    hear_signals()
    import fcntl
    import termios

    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


def _until(terminal: int, done: Callable[[str], bool]) -> str:
    """Read from the terminal until what is awaited was printed."""
    seen, ends = "", time.monotonic() + 30
    while not done(seen):
        ready, _, _ = select.select([terminal], [], [], max(0.0, ends - time.monotonic()))
        assert ready, f"not seen in time: {seen!r}"
        seen += os.read(terminal, 4096).decode()
    return seen
