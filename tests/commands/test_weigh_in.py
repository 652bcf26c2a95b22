"""`breakplan weigh-in`: the day's plan weighed at a prompt or from a table."""

from __future__ import annotations

import csv
import io
import json
import re
import time
from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from planner.commands import prompt as asking
from planner.commands import shop_folder as folder_commands
from planner.commands.program import app
from planner.core.errors import BreakplanError
from planner.core.units import Quantity
from planner.files.shop_file import read_shop
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    Entry,
    PlanKept,
    Weighed,
)
from planner.journal.store import Journal
from planner.shop.entering.block_checks import too_many_cut
from planner.shop.entering.block_reader import read_break
from planner.shop.entering.catalog import Catalog
from planner.shop.entering.context import context_of
from planner.shop.entering.day_plan import WeighedBreak
from planner.shop.entering.weighing import Weighing
from planner.shop.plans.posted import FORMAT, KeptBatch, KeptBreak, KeptPlan
from planner.shop.stock.on_hand import stand_at
from tests.conftest import Ran
from tests.shops import shop_folder

pytestmark = pytest.mark.clock

MON, TUE, WED, SAT = (date(2026, 11, day) for day in (23, 24, 25, 28))

LEGS = KeptBreak(
    WED,
    "lamb leg",
    "boneless",
    2,
    17.7,
    (
        Weighed("lamb boneless leg", None, 12.39),
        Weighed("lamb trim 80", None, 1.416),
        Weighed("lamb bones", None, 3.54),
    ),
)
LOIN = KeptBreak(
    WED,
    "lamb loin",
    "racks",
    1,
    11.8,
    (
        Weighed("lamb frenched rack", 2, 7.08),
        Weighed("lamb trim 80", None, 2.36),
        Weighed("lamb bones", None, 2.124),
    ),
)
GROUND = KeptBatch(WED, "lamb ground lamb", 4.0, (Weighed("lamb trim 80", None, 4.0),))

# Of three head of 59 lb: six legs of 8.85 lb, six shoulders of 7.08, three loins of 11.8.
BEFORE: tuple[Entry, ...] = (
    Delivery(MON, "lamb carcass", 3, (59.0, 59.0, 59.0)),
    BreakDone(MON, "lamb carcass", "block break", 3),
    BreakDone(TUE, "lamb loin", "chops", 2),
)

_EMPTY: tuple[tuple[str, Any], ...] = (
    ("bool", False),
    ("Facts", {}),
    ("tuple", ()),
    ("float", 0.0),
    ("str", ""),
)


def kept(breaks: Sequence[KeptBreak], batches: Sequence[KeptBatch] = ()) -> KeptPlan:
    """A plan with these breaks, and nothing else in it."""
    said: dict[str, Any] = {
        "format": FORMAT,
        "first": MON,
        "until": SAT,
        "breaks": tuple(breaks),
        "batches": tuple(batches),
    }
    for each in fields(KeptPlan):
        empty = next((value for word, value in _EMPTY if str(each.type).startswith(word)), None)
        said.setdefault(each.name, empty)
    return KeptPlan(**said)


PLAN = kept((LEGS, LOIN), (GROUND,))


def stocked(folder: Path, *entries: Entry, plan: KeptPlan | None = PLAN) -> Path:
    with Journal(folder / "journal.db", create=True) as journal:
        for each in BEFORE:
            journal.add([each])
        if plan:
            journal.add([PlanKept(MON, plan.text())])
        for each in entries:
            journal.add([each])
    return folder


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return stocked(shop_folder(tmp_path))


@pytest.fixture(autouse=True)
def wednesday(clock_at: Callable[[date], None]) -> None:
    clock_at(WED)


def run(folder: Path, *words: str | Path, typed: str = "") -> Ran:
    result = CliRunner().invoke(
        app, ["weigh-in", "--shop", str(folder), *map(str, words)], input=typed
    )
    if isinstance(result.exception, BreakplanError):
        return Ran(result.exception.exit_code, result.stdout, f"{result.stderr}{result.exception}")
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return Ran(result.exit_code, result.stdout, result.stderr)


def entered(folder: Path) -> list[Entry]:
    """What was entered for the day, plans not counted."""
    with Journal(folder / "journal.db") as journal:
        found = [each.entry for each in journal.recorded()]
    return [each for each in found if each.day == WED and not isinstance(each, PlanKept)]


# -- at the prompt


def test_the_plan_is_asked_for_in_its_order_and_entered_in_one_writing(shop: Path):
    ran = run(
        shop,
        typed="w\n17.4\n12.1\n1.5\n3.5\n"  # both legs
        "w\n11.6\n6.9\n2.4\n\n"  # the loin, bones not weighed
        "3.8\n\n\n",  # ground lamb, from as much as the plan had for it
    )
    assert ran.code == 0
    assert entered(shop) == [
        BreakDone(
            WED,
            "lamb leg",
            "boneless",
            2,
            17.4,
            (
                Weighed("lamb boneless leg", None, 12.1),
                Weighed("lamb trim 80", None, 1.5),
                Weighed("lamb bones", None, 3.5),
            ),
        ),
        BreakDone(
            WED,
            "lamb loin",
            "racks",
            1,
            11.6,
            (Weighed("lamb frenched rack", 2, 6.9), Weighed("lamb trim 80", None, 2.4)),
        ),
        BatchMade(WED, "lamb ground lamb", 3.8, (Weighed("lamb trim 80", None, 3.8),)),
    ]
    with Journal(shop / "journal.db") as journal:
        assert len({each.writing for each in journal.recorded()[-3:]}) == 1


def test_the_prompts_show_what_is_planned_and_what_is_expected(shop: Path):
    ran = run(shop, typed="1\n9.2\n\n\n\n")
    assert "leg: boneless, 2 planned (17.7 lb)" in ran.err
    assert "it weighed, 8.8 lb expected: " in ran.err  # half of 17.7, which is 8.85
    assert "  boneless leg, 6.4 lb expected: " in ran.err  # 70% of 9.2
    assert "loin: racks, 1 planned (11.8 lb)" in ran.err


def test_what_was_weighed_is_told_beside_what_was_expected(shop: Path):
    out = run(shop, typed="1\n9.2\n6.6\nstop\n").out
    assert re.search(r"boneless leg +6\.6 lb +6\.4 lb +71\.7% +70\.0%", out)
    undo = re.search(r"To undo it: breakplan journal undo (\d+)", out)
    with Journal(shop / "journal.db") as journal:
        assert undo and journal.recorded()[-1].number == int(undo[1])


def test_none_cut_is_no_entry_and_asks_for_no_weights(shop: Path):
    ran = run(shop, typed="0\n0\n0\n\n")
    assert ran.code == 0 and not entered(shop)
    assert "weighed" not in ran.err.replace("not weighed", "")
    assert "nothing was entered" in ran.out


def test_enter_alone_says_that_all_is_as_planned(shop: Path):
    run(shop, typed="\n" * 30)
    assert entered(shop) == [
        BreakDone(WED, "lamb leg", "boneless", 2),
        BreakDone(WED, "lamb loin", "racks", 1),
        BatchMade(WED, "lamb ground lamb", 4.0, (Weighed("lamb trim 80", None, 4.0),)),
    ]


def test_an_impossible_roast_is_asked_about_at_once_with_what_is_expected(shop: Path):
    ran = run(shop, typed="1\n8.9\n14\nyes\nstop\n")
    told = re.search(
        r"14\.0 lb of boneless leg from 1 leg of 8\.9 lb: ([0-9.]+) to ([0-9.]+) lb is expected",
        ran.err,
    )
    assert told and float(told[1]) < 0.7 * 8.9 < float(told[2]) < 8.9
    (found,) = entered(shop)
    assert isinstance(found, BreakDone)
    assert found.gave == (Weighed("lamb boneless leg", None, 14.0),)


def test_what_is_doubted_may_be_typed_again_and_is_else_dropped(shop: Path):
    run(shop, typed="1\n8.9\n14\n6.4\nstop\n")
    (found,) = entered(shop)
    assert isinstance(found, BreakDone) and found.gave[0].pounds == 6.4


def test_kilograms_for_pounds_are_named(shop: Path):
    ran = run(shop, typed="1\n4.0\nyes\nstop\n")  # 8.85 lb are 4.0 kg
    assert "1 leg of 4.0 lb: 6.7 to 11.0 lb is expected; did you mean kg?" in ran.err


HEADS = "piece,way,count,weight,gave,gave count,gave weight\n"


@pytest.mark.parametrize(
    ("typed", "rows"),
    [
        ("7\nyes\nnext\nstop\n", "leg,boneless,7,,,,\n"),
        ("1\n4.0\nyes\nstop\n", "leg,boneless,1,4.0,,,\n"),
        ("1\n8.9\n14\nyes\nstop\n", "leg,boneless,1,8.9,boneless leg,,14\n"),
        (
            "1\n8.9\n5.5\n0.5\n1.0\nyes\nstop\n",
            "leg,boneless,1,8.9,boneless leg,,5.5\n,,,,trim 80,,0.5\n,,,,bones,,1.0\n",
        ),
        ("n\n1\n11.8\n3, 7\nyes\nstop\n", "loin,racks,1,11.8,frenched rack,3,7\n"),
        ("n\nn\n9\nyes\nstop\n", "ground lamb,,,9,,,\n"),
        ("n\nn\n4.5\n30\nyes\nstop\n", "ground lamb,,,4.5,trim 80,,30\n"),
    ],
)
def test_what_is_typed_and_what_is_in_a_table_draw_the_same_warning_and_entry(
    shop: Path, tmp_path: Path, typed: str, rows: str
):
    asked = run(shop, typed=typed).err
    (by_hand,) = entered(shop)
    with Journal(shop / "journal.db") as journal:
        journal.undo()
    path = tmp_path / "wed.csv"
    path.write_text(HEADS + rows)
    ran = run(shop, path)
    assert ran.code == 2 and not entered(shop)
    told = [each.partition(": ")[2] for each in ran.err.splitlines() if "wed.csv:" in each]
    sentences = [re.split("[;]? [Ii]f it is right, add --yes", each)[0] for each in told]
    plain = " ".join(asked.split())
    assert any(each in plain for each in sentences), (sentences, plain)
    assert run(shop, path, "--yes").code == 0
    assert entered(shop) == [by_hand]


def test_what_is_in_nothing_is_asked_about_at_the_last_thing(shop: Path):
    ran = run(shop, typed="1\n8.9\n5.5\n0.5\n1.0\nyes\nstop\n")
    assert "1.9 lb of 1 leg of 8.9 lb is unaccounted for" in ran.err
    (found,) = entered(shop)
    assert isinstance(found, BreakDone) and len(found.gave) == 3


def test_more_pieces_than_are_there_are_asked_about(shop: Path):
    ran = run(shop, typed="7\nstop\n")
    assert "7 leg cut: 6 should be on hand" in ran.err and not entered(shop)
    run(shop, "--yes", typed="7\nstop\n")
    (found,) = entered(shop)
    assert isinstance(found, BreakDone) and found.count == 7


def test_pieces_that_the_same_weigh_in_gave_are_there(tmp_path: Path):
    carcass = KeptBreak(WED, "lamb carcass", "block break", 1, 60.0, ())
    folder = shop_folder(tmp_path)
    with Journal(folder / "journal.db", create=True) as journal:
        journal.add([Delivery(WED, "lamb carcass", 1, (60.0,))])
        plan = kept((carcass, replace(LEGS, pounds=18.0)))
        journal.add([PlanKept(MON, plan.text())])
    ran = run(folder, typed="w\n60\n\n\n\n\n\n3\nstop\n")
    assert "3 leg cut: 2 should be on hand" in ran.err
    assert "carcass cut" not in ran.err


def test_back_goes_to_the_question_before_across_breaks(shop: Path):
    run(shop, typed="0\n\nback\nback\n1\n8.9\nback\nback\n2\n17.0\nstop\n")
    found, loin = entered(shop)
    assert isinstance(found, BreakDone)
    assert (found.piece, found.count, found.pounds) == ("lamb leg", 2, 17.0)
    assert loin == BreakDone(WED, "lamb loin", "racks", 1), "it was said before going back"
    assert "This is the first." in run(shop, typed="back\nstop\n").err


def test_back_and_then_stop_loses_nothing_that_was_typed(shop: Path):
    ran = run(shop, typed="1\n8.9\n6.2\nback\nstop\n")
    assert "  boneless leg, 6.2 lb expected [6.2 lb]: " in ran.err
    (found,) = entered(shop)
    assert isinstance(found, BreakDone)
    assert (found.count, found.pounds, found.gave[0].pounds) == (1, 8.9, 6.2)


def test_enter_keeps_what_back_went_over_and_skip_takes_it_away(shop: Path):
    run(shop, typed="1\n8.9\n6.2\nback\nback\nback\n\n8.8\n\nskip\nstop\n")
    (found,) = entered(shop)
    assert isinstance(found, BreakDone)
    assert (found.count, found.pounds) == (1, 8.8)
    assert found.gave == (Weighed("lamb boneless leg", None, 6.2),)


def test_another_number_of_pieces_drops_the_weights_of_the_first(shop: Path):
    run(shop, typed="1\n8.9\n6.2\nback\nback\nback\n2\nstop\n")
    assert entered(shop) == [BreakDone(WED, "lamb leg", "boneless", 2)]


@pytest.mark.parametrize("no", ["n", "none", "0", "skip"])
def test_a_job_takes_one_answer_unless_it_is_weighed(shop: Path, no: str):
    ran = run(shop, typed=f"{no}\n\ny\n\n")
    assert entered(shop) == [
        BreakDone(WED, "lamb loin", "racks", 1),
        BatchMade(WED, "lamb ground lamb", 4.0, (Weighed("lamb trim 80", None, 4.0),)),
    ]
    assert ran.err.count("cut? (Enter: yes; ") == 2 and "expected" not in ran.err


def test_next_leaves_the_rest_of_a_job_unweighed(shop: Path):
    run(shop, typed="w\n17.4\n12.1\nnext\nw\nnext\nw\nnext\n\n")
    assert entered(shop) == [
        BreakDone(
            WED, "lamb leg", "boneless", 2, 17.4, (Weighed("lamb boneless leg", None, 12.1),)
        ),
        BreakDone(WED, "lamb loin", "racks", 1),
        BatchMade(WED, "lamb ground lamb", 4.0, (Weighed("lamb trim 80", None, 4.0),)),
    ]


def test_all_takes_the_rest_as_planned_and_asks_only_what_is_doubted(tmp_path: Path):
    folder = stocked(shop_folder(tmp_path / "a"))
    ran = run(folder, typed="n\nall\n\n")
    assert len(entered(folder)) == 2 and "anything else?" in ran.err
    many = replace(LOIN, count=5, pounds=59.0)
    folder = stocked(shop_folder(tmp_path / "b"), plan=kept((LEGS, many), (GROUND,)))
    ran = run(folder, typed="all\n\n1\nnext\n\n")
    assert "5 loin cut: 1 should be on hand" in ran.err
    assert [type(each) for each in entered(folder)] == [BreakDone, BreakDone, BatchMade]


def test_all_can_be_gone_back_on(shop: Path):
    run(shop, typed="all\nback\nn\nstop\n")
    assert [type(each) for each in entered(shop)] == [BreakDone, BreakDone]


def test_pieces_that_came_later_were_not_there_yet(tmp_path: Path):
    folder = shop_folder(tmp_path)
    with Journal(folder / "journal.db", create=True) as journal:
        journal.add([Delivery(WED, "lamb carcass", 2, (59.0, 59.0))])
    ran = run(folder, "--day", "tue", typed="carcass: block break\nstop\n")
    assert "1 carcass cut: none should be on hand (some came on wed 25 nov)" in ran.err
    assert not any(isinstance(each, BreakDone) for each in entered(folder))
    assert "should be on hand" not in run(folder, typed="carcass: block break\nstop\n").err


def test_what_is_learned_is_learned_from_the_recipe_as_written(tmp_path: Path):
    gave = (
        Weighed("lamb boneless leg", None, 6.84),
        Weighed("lamb trim 80", None, 0.54),
        Weighed("lamb bones", None, 1.44),
    )
    tests = [
        BreakDone(date(2026, 11, 9 + at), "lamb leg", "boneless", 1, 9.0, gave) for at in range(10)
    ]
    folder = stocked(shop_folder(tmp_path), *tests, plan=None)
    found = folder_commands.read_week(folder_commands.open_shop(folder), WED)
    learned = Weighing(found.week, found.recorded, WED, found.written.recipes)
    written = Weighing(found.written, found.recorded, WED)

    def deviations(weighing: Weighing) -> list[float | None]:
        return [each.deviation for each in weighing.cutting("leg", "boneless", 1).expected]

    def shares(weighing: Weighing) -> list[float]:
        return [each.share for each in weighing.cutting("leg", "boneless", 1).expected]

    assert None not in deviations(learned)
    assert shares(learned) != shares(written)
    spreads = [each.spread for each in learned._learned["leg", "boneless"].values()]
    assert spreads == [each.spread for each in written._learned["leg", "boneless"].values()]


def test_what_others_entered_meanwhile_is_asked_about(shop: Path, monkeypatch: pytest.MonkeyPatch):
    others = BreakDone(WED, "lamb leg", "boneless", 2)
    line = asking.Asker._line

    def meanwhile(asker: asking.Asker, prompt: str) -> str | None:
        if "2 cut?" in prompt:
            with Journal(shop / "journal.db") as journal:
                journal.add([others])
        return line(asker, prompt)

    monkeypatch.setattr(asking.Asker, "_line", meanwhile)
    ran = run(shop, typed="\nstop\n\n")
    assert entered(shop) == [others] and "What you typed would come on top of it." in ran.err
    assert "lamb leg,boneless,2" in ran.err, "what was typed is not lost"
    run(shop, typed="\nstop\n")
    ran = run(shop, "--yes", typed="leg: boneless\nnext\nstop\n")
    assert "by others" not in ran.err


def test_ctrl_c_enters_nothing(shop: Path, monkeypatch: pytest.MonkeyPatch):
    answers = iter(["1", "8.9"])

    def line(*_: object) -> str:
        for each in answers:
            return each
        raise KeyboardInterrupt

    monkeypatch.setattr(asking.Asker, "_line", line)
    ran = run(shop)
    assert ran.code == 130 and "Nothing was entered." in ran.err and not entered(shop)


def test_what_else_was_cut_or_made_is_taken_at_the_end(shop: Path):
    ran = run(
        shop,
        typed="0\n0\n0\nshouldr: 2 roast\nshoulder: 2 roasts\n14.0\n9.6\n\n\n"
        "shoulder: mince\nground lamb: 2 lb\n2\n\n",
    )
    assert 'no piece is called "shouldr"; did you mean "shoulder"?' in ran.err
    assert 'no way to cut shoulder is called "mince"; its ways are roast, trim' in ran.err
    assert "all 2 weighed, 14.2 lb expected: " in ran.err
    assert entered(shop) == [
        BreakDone(
            WED, "lamb shoulder", "roast", 2, 14.0, (Weighed("lamb shoulder roast", None, 9.6),)
        ),
        BatchMade(WED, "lamb ground lamb", 2.0, (Weighed("lamb trim 80", None, 2.0),)),
    ]


def test_what_was_entered_before_is_not_asked_for_again(tmp_path: Path):
    done = BreakDone(WED, "lamb leg", "boneless", 1)
    folder = stocked(shop_folder(tmp_path), done, BreakDone(WED, "lamb loin", "racks", 1))
    ran = run(folder, typed="\n\n\n\n\n\n\n\n")
    assert "leg: boneless, 1 planned (8.8 lb), 1 entered before" in ran.err
    assert "entered already: loin: racks" in ran.err
    assert entered(folder)[2:] == [
        done,
        BatchMade(WED, "lamb ground lamb", 4.0, (Weighed("lamb trim 80", None, 4.0),)),
    ]
    again = run(folder, typed="stop\n")
    assert "nothing is left to weigh in" in again.err


def test_a_plan_made_after_the_work_has_what_is_left(tmp_path: Path):
    folder = shop_folder(tmp_path)
    with Journal(folder / "journal.db", create=True) as journal:
        for each in (*BEFORE, BreakDone(WED, "lamb leg", "boneless", 1)):
            journal.add([each])
        journal.add([PlanKept(WED, PLAN.text())])
    assert "leg: boneless, 2 planned" in run(folder, typed="stop\n").err


def test_without_a_plan_it_says_so_and_takes_what_is_typed(tmp_path: Path):
    folder = stocked(shop_folder(tmp_path), plan=None)
    ran = run(folder, typed="2 leg: boneless\n17.6\n12.2\n\n\n\n")
    assert "No plan is kept for wed 25 nov" in ran.err
    (found,) = entered(folder)
    assert found == BreakDone(
        WED, "lamb leg", "boneless", 2, 17.6, (Weighed("lamb boneless leg", None, 12.2),)
    )


def test_what_no_recipe_knows_any_more_is_said_and_left_out(tmp_path: Path):
    old = replace(LOIN, way="saddle")
    folder = stocked(shop_folder(tmp_path), plan=kept((LEGS, old)))
    ran = run(folder, typed="stop\n")
    assert "no longer in any recipe: lamb loin: saddle" in ran.err
    assert "1 job" in ran.err


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("leg: 2 steaks", ("leg", 2, "steaks")),
        ("leg: steaks", ("leg", 1, "steaks")),
        ("3 leg: bone-in leg", ("leg", 3, "bone-in leg")),
        ("2 double rack : split", ("double rack", 2, "split")),
        ("leg", None),
        ("leg: 0 steaks", None),
        ("2 leg: 3 steaks", None),
        (": steaks", None),
    ],
)
def test_breaks_are_read(text: str, found: tuple[str, int, str] | None):
    if found:
        assert read_break(text) == found
    else:
        with pytest.raises(ValueError, match="leg"):
            read_break(text)


def test_what_was_weighed_is_what_is_there_afterwards(shop: Path):
    run(shop, typed="w\n17.4\n12.1\n1.5\n3.5\nstop\n")
    with Journal(shop / "journal.db") as journal:
        recorded = journal.recorded()
    stand = stand_at(read_shop(shop)[0].week(WED), recorded, WED, "now")
    assert stand.amount("boneless leg") == pytest.approx(12.1)
    assert stand.pieces("leg") == 4


def test_weigh_ins_of_days_before_narrow_what_is_expected(tmp_path: Path):
    # ten weigh-ins that agree, of a leg that gives 76% and not the recipe's 70%
    tests = [
        BreakDone(
            date(2026, 11, 9 + at),
            "lamb leg",
            "boneless",
            1,
            9.0,
            (
                Weighed("lamb boneless leg", None, 6.84),
                Weighed("lamb trim 80", None, 0.54),
                Weighed("lamb bones", None, 1.44),
            ),
        )
        for at in range(10)
    ]
    plain = stocked(shop_folder(tmp_path / "plain"), plan=None)
    folder = stocked(shop_folder(tmp_path / "tested"), *tests, plan=None)
    found = {}
    for name, each in (("plain", plain), ("tested", folder)):
        err = run(each, typed="leg: boneless\n9.0\n1\nstop\n").err
        told = re.search(r": ([0-9.]+) to ([0-9.]+) lb is expected", err)
        assert told
        found[name] = float(told[1]), float(told[2])
    low, high = found["tested"]
    assert high - low < found["plain"][1] - found["plain"][0]
    assert low < 0.76 * 9 < high and (low + high) / 2 > 0.72 * 9


@pytest.mark.parametrize("columns", [60, 80, 100])
def test_no_line_is_wider_than_there_is_room(
    shop: Path, columns: int, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("COLUMNS", str(columns))
    ran = run(shop, typed="?\n1\n8.9\n14\nyes\n9\nyes\n9\nyes\n\n11\n6\n\n\n4\n?\n\n\n")
    told = [each for each in ran.err.splitlines() if not each.startswith("type it again")]
    assert [x for x in (*told, *ran.out.splitlines()) if len(x) > columns] == []


def test_json_has_what_was_entered(shop: Path):
    told = json.loads(run(shop, "--json", typed="1\n9.2\n6.6\nstop\n").out)
    (legs,) = told["breaks"]
    assert (legs["piece"], legs["count"], legs["planned"], legs["weight"]) == ("leg", 1, 2, 9.2)
    assert legs["reckoned"] == pytest.approx(8.85)
    assert legs["gave"][0]["expected"] == pytest.approx(0.7 * 9.2)
    assert told["batches"] == [] and len(told["entries"]) == 1
    assert json.loads(run(shop, "--json").out)["writing"] is None


# -- tables


def form(folder: Path, path: Path) -> list[dict[str, str]]:
    assert run(folder, "--csv-form", path).code == 0
    return list(csv.DictReader(io.StringIO(path.read_text("utf-8-sig"))))


def fill(path: Path, rows: list[dict[str, str]], delimiter: str = ",") -> Path:
    with open(path, "w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), delimiter=delimiter)
        writer.writeheader()
        writer.writerows(rows)
    return path


def test_the_form_has_the_days_list_with_what_is_expected(shop: Path, tmp_path: Path):
    rows = form(shop, tmp_path / "wed.csv")
    assert [(each["piece"], each["way"], each["count"]) for each in rows if each["piece"]] == [
        ("lamb leg", "boneless", "2"),
        ("lamb loin", "racks", "1"),
        ("lamb ground lamb", "", ""),
    ]
    assert [each["gave"] for each in rows[:3]] == [
        "lamb boneless leg",
        "lamb trim 80",
        "lamb bones",
    ]
    assert rows[0]["expected gave weight"] == "12.39" and rows[3]["gave count"] == "2"
    assert not entered(shop)


def test_a_form_that_was_filled_in_is_what_is_typed(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    rows = form(shop, path)
    rows[0] |= {"weight": "17,4", "gave weight": "12,1"}
    rows[1]["gave weight"] = "1,5"
    rows[2]["gave weight"] = "1,6 kg"
    rows[3] |= {"weight": "11,6", "gave count": "1", "gave weight": "3,4"}
    rows[6]["weight"] = "3,8"
    assert run(shop, fill(path, rows, ";")).code == 0
    legs, loin, ground = entered(shop)
    assert isinstance(legs, BreakDone) and isinstance(loin, BreakDone)
    assert (legs.count, legs.pounds) == (2, 17.4)
    assert [each.pounds for each in legs.gave] == pytest.approx([12.1, 1.5, 1.6 / 0.45359237])
    assert loin.gave == (Weighed("lamb frenched rack", 1, 3.4),)
    assert ground == BatchMade(WED, "lamb ground lamb", 3.8, (Weighed("lamb trim 80", None, 3.8),))


def test_a_form_as_it_is_says_that_all_was_done_as_planned(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    form(shop, path)
    ran = run(shop, path)
    assert ran.code == 2 and not entered(shop), "it may have been forgotten to be filled in"
    told = "nothing was filled in: all 3 jobs are taken as done as planned"
    assert f"{told}; if it is right, add --yes" in ran.err
    assert run(shop, path, "--yes").code == 0
    by_table = entered(shop)
    with Journal(shop / "journal.db") as journal:
        journal.undo()
    run(shop, typed="\n" * 30)
    assert by_table == entered(shop)


def test_a_form_is_never_written_over_a_file(shop: Path):
    before = (shop / "shop.yaml").read_bytes()
    ran = run(shop, "--csv-form", shop / "shop.yaml")
    assert ran.code == 2 and (shop / "shop.yaml").read_bytes() == before
    assert "shop.yaml: already exists, and is left alone: name another file" in ran.err
    assert "lamb leg,boneless" in run(shop, "--csv-form", "-").out


def test_a_form_knows_its_day(shop: Path, tmp_path: Path, clock_at: Callable[[date], None]):
    path = tmp_path / "wed.csv"
    rows = form(shop, path)
    assert {each["day"] for each in rows if each["piece"]} == {"2026-11-25"}
    rows[0]["gave weight"] = "12.1"
    fill(path, rows)
    clock_at(date(2026, 11, 26))
    ran = run(shop, path, "--day", "thu", "--yes")
    assert ran.code == 2 and not entered(shop), "it is no matter of being sure"
    assert "wed.csv:2: this is of wed 25 nov, and --day says thu 26 nov" in ran.err
    ran = run(shop, path)
    assert ran.code == 0 and "Weighed in, wed 25 nov: 3 pieces cut, 1 batch made." in ran.out
    assert {each.day for each in entered(shop)} == {WED} and len(entered(shop)) == 3


def test_a_table_is_of_one_day_that_has_come(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    path.write_text(
        "day,piece,way,count,gave,gave weight\n"
        "2026-11-24,leg,boneless,1,,\n2026-11-25,leg,boneless,1,,\n"
    )
    ran = run(shop, path, "--yes")
    assert ran.code == 2 and not entered(shop)
    assert "wed.csv:3: this is of wed 25 nov, and line 2 is of tue 24 nov: a table is of one" in (
        ran.err
    )
    path.write_text("day,piece,way,count,gave,gave weight\n2026-11-26,leg,boneless,1,,\n")
    ran = run(shop, path, "--yes")
    assert ran.code == 2 and "wed.csv:2: this is of thu 26 nov, which is still to come" in ran.err


@pytest.mark.parametrize(("back", "code"), [(7, 0), (8, 2)])
def test_an_old_form_needs_a_yes_unless_its_day_is_said(
    shop: Path, tmp_path: Path, back: int, code: int, clock_at: Callable[[date], None]
):
    path = tmp_path / "wed.csv"
    path.write_text("day,piece,way,count,gave,gave weight\n2026-11-25,leg,boneless,1,,\n")
    clock_at(WED + timedelta(back))
    ran = run(shop, path)
    assert ran.code == code and len(entered(shop)) == (0 if code else 1)
    if code:
        assert "this is of wed 25 nov, 8 days ago; if it is right, add --yes" in ran.err
        said = run(shop, path, "--yes")
        assert said.code == 0 and "kept: " in said.err
        with Journal(shop / "journal.db") as journal:
            journal.undo()
        assert run(shop, path, "--day", "2026-11-25").code == 0


def test_a_form_that_was_entered_before_is_asked_about_job_by_job(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    rows = form(shop, path)
    rows[0]["gave weight"] = "12.1"
    fill(path, rows)
    assert run(shop, path).code == 0
    before = entered(shop)
    ran = run(shop, path)
    assert ran.code == 2 and entered(shop) == before
    for line, told in (
        (2, "leg: boneless has already been entered (entry 5)"),
        (5, "loin: racks has already been entered (entry 6)"),
        (8, "ground lamb has already been entered (entry 7)"),
    ):
        number = told[-2]
        undo = f"to enter it again: --yes; to undo it: breakplan journal undo {number}"
        assert f"wed.csv:{line}: {told}; {undo}" in ran.err
    assert "missing" not in ran.err and len(ran.err.splitlines()) == 3
    ran = run(shop, path, "--yes")
    assert ran.code == 0 and ran.err.count("kept: ") == 3
    assert entered(shop) == before * 2


def test_a_form_made_before_what_was_typed_is_asked_about(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    rows = form(shop, path)
    rows[0]["gave weight"] = "12.1"
    run(shop, typed="1\n8.8\nnext\n\nn\n\n")  # of two legs one, the loin, no batch
    ran = run(shop, fill(path, rows))
    assert ran.code == 2 and len(entered(shop)) == 2
    assert "leg: boneless has already been entered (entry 5)" in ran.err
    assert "loin: racks has already been entered (entry 6)" in ran.err
    assert "ground lamb" not in ran.err
    rows[0] |= {"count": "1", "gave weight": "6.1"}  # what is left of the plan is no question
    assert run(shop, fill(path, [*rows[:3], *rows[6:]])).code == 0
    assert [each.count for each in entered(shop) if isinstance(each, BreakDone)] == [1, 1, 1]
    again = run(shop, path)
    assert again.code == 2 and "leg: boneless has already been entered (entry 7)" in again.err


def test_a_batch_is_entered_already_where_no_plan_has_it_any_more(tmp_path: Path):
    made = BatchMade(WED, "lamb ground lamb", 3.0, (Weighed("lamb trim 80", None, 3.0),))
    folder = stocked(shop_folder(tmp_path), made, plan=None)
    path = tmp_path / "wed.csv"
    path.write_text("day,piece,way,count,gave,gave weight\n2026-11-25,ground lamb,,,,\n")
    ran = run(folder, path)
    assert ran.code == 2 and "ground lamb has already been entered (entry 4)" in ran.err
    assert "missing" not in ran.err
    assert run(folder, path, "--yes").code == 0 and entered(folder) == [made, made]


def test_what_is_typed_and_was_entered_before_is_asked_about(shop: Path):
    run(shop, typed="all\n\n")
    before = entered(shop)
    ran = run(shop, typed="leg: 2 boneless\nn\nground lamb: 4 lb\nn\n\n")
    assert (
        " ".join(ran.err.split()).count("has already been entered") == 2 and entered(shop) == before
    )
    assert "leg: boneless has already been entered (entry 5); to undo it: breakplan journal" in (
        " ".join(ran.err.split())
    )
    run(shop, typed="leg: 2 boneless\nyes\nnext\n\n")
    assert entered(shop) == [*before, BreakDone(WED, "lamb leg", "boneless", 2)]
    # of another number it is other pieces
    assert "already" not in run(shop, typed="leg: 1 boneless\nn\n\n").err.replace(
        "entered already: ", ""
    )


def test_a_batch_far_above_the_meat_there_is_is_asked_about(shop: Path, tmp_path: Path):
    ran = run(shop, typed="n\nn\n9 lb\nn\n\n")
    assert not entered(shop)
    assert "9.0 lb of ground lamb: " in ran.err and "and 4.0 lb was planned" in ran.err
    path = tmp_path / "wed.csv"
    path.write_text("piece,way,count,weight,gave,gave weight\nground lamb,,,9,,\n")
    ran = run(shop, path)
    assert ran.code == 2 and "should be on hand" in ran.err and not entered(shop)
    # as planned, and of the trim that the same table says was cut, it is none
    path.write_text("piece,way,count,weight,gave,gave weight\nground lamb,,,4.5,,\n")
    assert run(shop, path).code == 0
    path.write_text(
        "piece,way,count,weight,gave,gave weight\nground lamb,,,15,,\nshoulder,trim,4,,,\n"
    )
    assert "should be on hand" not in run(shop, path).err


def test_a_batch_that_was_not_weighed_is_as_planned(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    rows = form(shop, path)
    batch = next(each for each in rows if each["piece"] == "lamb ground lamb")
    assert (batch["expected weight"], batch["weight"]) == ("4.00", "")
    rows[0]["gave weight"] = "12.1"
    assert run(shop, fill(path, rows)).code == 0
    assert entered(shop)[-1] == BatchMade(
        WED, "lamb ground lamb", 4.0, (Weighed("lamb trim 80", None, 4.0),)
    )


def test_the_form_of_several_species_and_all_their_blends_is_read_back(tmp_path: Path):
    # as `breakplan start` lays it out: blends of one species in a file of blends, and names that
    # two recipes have
    folder = tmp_path / "both"
    assert CliRunner().invoke(app, ["start", str(folder), "--species", "lamb,hog"]).exit_code == 0
    week = read_shop(folder)[0].week(WED)
    catalog = Catalog(week)
    breaks = [
        KeptBreak(WED, piece.full, name, 1, 20.0, ())
        for piece in catalog.pieces.values()
        for name in catalog.ways(piece)
    ]
    batches = [
        KeptBatch(
            WED,
            catalog.cuts[name].full,
            2.0,
            tuple(Weighed(catalog.cuts[each].full, None, 1.0) for each in blend.takes),
        )
        for name, blend in week.blends.items()
    ]
    assert len(batches) > 4 and len(breaks) > 30
    with Journal(folder / "journal.db", create=True) as journal:
        journal.add([PlanKept(MON, kept(breaks, batches).text())])
    path = tmp_path / "wed.csv"
    form(folder, path)
    ran = run(folder, path, "--yes")
    assert ran.code == 0, ran.err
    assert len(entered(folder)) == len(breaks) + len(batches)


def test_a_job_is_one_line_of_what_is_told(shop: Path):
    out = run(shop, typed="\nw\n11.6\n6.9\nnext\n\n\n").out
    assert re.search(r"^  leg: boneless, 2 +17\.7 lb$", out, re.MULTILINE)
    assert re.search(r"^  loin: racks, 1 +11\.6 lb +11\.8 lb$", out, re.MULTILINE)
    assert re.search(r"^  +2 frenched rack +6\.9 lb +7\.0 lb +59\.5% +60\.0%$", out, re.MULTILINE)
    assert len(out.splitlines()) == 9


def test_examples_are_in_the_unit_of_the_shop(tmp_path: Path):
    folder = stocked(shop_folder(tmp_path, ("unit: lb", "unit: kg")))
    ran = run(folder, typed="?\nw\nheavy\nnext\n\n?\n\n?\n")
    told = "\n".join(each for each in ran.err.splitlines() if "planned" not in each)
    assert "2.9 kg" in told and 'cannot read "heavy"; type a weight such as 2.9 or 2.9 kg' in told
    assert not re.search(r"\d lb", told)


def test_a_form_without_a_plan_has_heads_only(tmp_path: Path):
    folder = stocked(shop_folder(tmp_path), plan=None)
    path = tmp_path / "wed.csv"
    assert "No plan is kept" in run(folder, "--csv-form", path).out
    assert list(csv.DictReader(io.StringIO(path.read_text("utf-8-sig")))) == []


def test_pieces_weighed_one_by_one_are_breaks_of_their_own(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    path.write_text(
        "piece,way,count,weight,gave,gave weight\n"
        "leg,boneless,1,8.9,boneless leg,6.2\n"
        "leg,boneless,1,8.9,bones,1.8\n"
        "leg,boneless,1,8.6,boneless leg,6.1\n"
        ",,,,bones,1.7\n"
        "leg,boneless,1,8.6,boneless leg,6.0\n"
        "shoulder,trim,1,,,\nshoulder,trim,0,,,\n"
    )
    assert run(shop, path).code == 0
    found = [each for each in entered(shop) if isinstance(each, BreakDone)]
    assert [(each.piece, each.pounds, len(each.gave)) for each in found] == [
        ("lamb leg", 8.9, 2),
        ("lamb leg", 8.6, 2),
        ("lamb leg", 8.6, 1),
        ("lamb shoulder", None, 0),
    ]


def test_a_table_of_more_jobs_than_a_day_has_is_one_fault(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    path.write_text(HEADS + "leg,boneless,1,8.9,bones,,2\n" * 50_000)
    began = time.process_time()
    ran = run(shop, path)
    assert time.process_time() - began < 5
    assert ran.code == 2 and not entered(shop)
    assert ran.err == (f"{path}: 50,000 breaks and batches, and nobody does more than 300 a day")


def test_every_fault_of_a_table_is_told_with_its_line_and_nothing_is_entered(
    shop: Path, tmp_path: Path
):
    path = tmp_path / "wed.csv"
    path.write_text(
        "piece,way,count,weight,gave,gave count,gave weight\n"
        ",,,,bones,,1\n"
        "lag,boneless,1,,,,\n"
        "leg,bonless,1,,,,\n"
        "leg,boneless,,8.8,,,\n"
        "leg,boneless,1.5,,,,\n"
        "leg,boneless,1,8.8,frenched rack,,2\n"
        ",,,,boneless leg,1,6\n"
        ",,,,bones,,-2\n"
        ",,,,,,3\n"
        "leg,,,,,,\n"
        "ground lamb,,,4,loin chops,,4\n"
        "leg,boneless,1,8.8,boneless leg,,14\n"
        "shoulder,trim,0,,trim 80,,4\n"
        "ground lamb,,,0,trim 80,,3\n"
    )
    ran = run(shop, path)
    assert ran.code == 2 and not entered(shop)
    lines = {int(each) for each in re.findall(r"wed\.csv:(\d+): ", ran.err)}
    assert lines == set(range(2, 16)), ran.err
    assert 'did you mean "leg"?' in ran.err and 'did you mean "boneless"?' in ran.err
    assert "if it is right, add --yes" in ran.err


def test_what_is_doubted_in_a_table_is_kept_with_yes(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    path.write_text("piece,way,count,weight,gave,gave weight\nleg,boneless,1,8.8,boneless leg,14\n")
    assert run(shop, path).code == 2 and not entered(shop)
    ran = run(shop, path, "--yes")
    assert ran.code == 0 and "kept: " in ran.err
    (found,) = entered(shop)
    assert isinstance(found, BreakDone) and found.gave[0].pounds == 14.0


def test_that_a_form_is_written_is_told_as_json(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    assert json.loads(run(shop, "--csv-form", path, "--json").out) == {
        "format": "breakplan-weigh-in-form/1",
        "written": str(path),
        "day": "2026-11-25",
        "plan": 4,
        "jobs": 3,
    }
    assert path.exists()
    ran = run(shop, "--csv-form", "-", "--json")
    assert ran.code == 2 and not ran.out and "--json: does not go with --csv-form -" in ran.err


def test_a_form_and_a_table_at_once_are_refused(shop: Path, tmp_path: Path):
    path = tmp_path / "wed.csv"
    form(shop, path)
    assert run(shop, path, "--csv-form", tmp_path / "other.csv").code == 2


def test_a_counted_cooler_is_followed_too(tmp_path: Path):
    folder = shop_folder(tmp_path)
    with Journal(folder / "journal.db", create=True) as journal:
        journal.add([Count(TUE, "open", "lamb leg", Quantity(2, by_each=True), None, 18.0)])
        recorded = journal.recorded()
    week = read_shop(folder)[0].week(WED)
    weighing = Weighing(week, recorded, WED, week.recipes)
    cutting = weighing.cutting("leg", "boneless", 3)
    assert cutting.pounds == pytest.approx(27.0)
    context = context_of(weighing.catalog, recorded, WED, weighed=weighing)

    def doubted(count: int) -> bool:
        answer = WeighedBreak(cutting, weighing.entry(cutting, count, None, ()))
        return any(too_many_cut(answer, context))

    assert doubted(3) and not doubted(2)
