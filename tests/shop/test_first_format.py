"""A shop folder whose journal was written when plans were kept as breakplan-kept/1.

In `shop_of_first_format.tar.gz` (invented) there are entries of 30 November and 1 December 2026,
made by that version: plans are 5, 15 and 17, and order 16 was taken between the last two of them.
"""

from __future__ import annotations

import json
import tarfile
from datetime import date
from pathlib import Path

import pytest

from planner.ask.changed_events import Happened
from planner.ask.changed_files import rewritten, same_files
from planner.files.shop_file import read_shop
from planner.journal.entries import PlanKept
from planner.journal.store import Journal
from planner.shop.plans.facts import differences, facts_of, in_days
from planner.shop.plans.posted import read_kept
from planner.shop.stock import on_hand as stand
from planner.shop.week import now
from planner.show.changes import fact_text

TUE = date(2026, 12, 1)
BUNDLE = Path(__file__).parent.parent / "shop_of_first_format.tar.gz"


@pytest.fixture
def folder(tmp_path, clock_at):
    with tarfile.open(BUNDLE) as bundle:
        bundle.extractall(tmp_path / "shop", filter="data")
    clock_at(TUE)
    return tmp_path / "shop"


def plans(folder):
    with Journal(folder / "journal.db") as journal:
        recorded = journal.recorded()
    return {each.number: each.entry.plan for each in recorded if isinstance(each.entry, PlanKept)}


def change(path, old, new):
    text = path.read_text()
    assert text.count(old) == 1
    path.write_text(text.replace(old, new))


def test_its_plans_are_read_and_say_what_the_files_say(folder):
    shop, _ = read_shop(folder)
    with Journal(folder / "journal.db") as journal:
        state = now.scenario_now(shop, journal.recorded(undone=True), TUE)
    for number, text in plans(folder).items():
        assert json.loads(text)["format"] == "breakplan-kept/1"
        kept = read_kept(text)
        if number == 5:  # kept before the first weigh-ins were learned from
            continue
        then, today = (in_days(each, TUE, kept.until) for each in (kept.week, facts_of(state.week)))
        assert today.keys() - then.keys() == {"other"}
        assert len(then["want"]) > 40 and len(then["yield"]) > 20 and len(then["offer"]) == 1
        assert not [*differences(then, {kind: today[kind] for kind in then}, 9)], number


def test_where_nothing_changed_nothing_is_said_to_have(folder, breakplan, monkeypatch):
    """The journal is replayed up to now, and once more as that plan knew it; learned from once."""
    calls = []

    def counted(module, name):
        was = getattr(module, name)

        def call(*given, **named):
            calls.append(name)
            return was(*given, **named)

        monkeypatch.setattr(module, name, call)

    for name in ("learned_recipes", "expected_wants"):
        counted(now, name)
    counted(stand, "StockBook")
    ran = breakplan("week", "--shop", folder, "--within", "5%")
    assert ran.code == 0
    assert ran.out.endswith("Nothing has changed since entry 17: its list stays.\n")
    assert sorted(calls) == ["StockBook", "StockBook", "expected_wants", "learned_recipes"]
    assert [*plans(folder)] == [5, 15, 17]
    ran = breakplan("morning", "--shop", folder)
    assert ran.code == 0 and "kept" not in ran.err and "cannot" not in ran.err
    assert [*plans(folder)] == [5, 15, 17]
    ran = breakplan("journal", "undo", "--shop", folder)
    assert ran.code == 2 and "entry 17" in ran.err and "undo 16" in ran.err


def otherwise(folder, entry):
    """What is told to be otherwise than a plan had it, and whether the files say the same."""
    shop, _ = read_shop(folder)
    with Journal(folder / "journal.db") as journal:
        state = now.scenario_now(shop, journal.recorded(undone=True), TUE)
    both = Happened(read_kept(plans(folder)[entry]), entry, state)
    told = [fact_text(state.scenario, fact) for fact in (*both.found(), *rewritten(both))]
    return sorted(told), same_files(both)


def test_only_what_happened_since_is_otherwise(folder, breakplan):
    order = "2 frenched rack for a birthday on sat"
    assert otherwise(folder, 17) == ([], True)
    assert otherwise(folder, 15) == ([f"a new order: {order}"], True)
    assert breakplan("journal", "undo", "16", "--shop", folder, "--yes").code == 0
    assert otherwise(folder, 17) == ([f"the order of {order} is dropped"], True)
    assert otherwise(folder, 15) == ([], True)


def test_what_is_written_otherwise_is_told(folder):
    change(folder / "shop.yaml", "carry: 40%  ", "carry: 30%  ")
    change(folder / "recipes" / "lamb.yaml", "rib chops: {minutes: 6,", "rib chops: {minutes: 7,")
    told = [
        "lamb rack: rib chops takes 7 min instead of 6",
        "what is carried over counts 30.0% of its price instead of 40.0%",
    ]
    assert otherwise(folder, 17) == (told, False)
