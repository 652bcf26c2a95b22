"""Rules on what goes into a blend: read, lifted, kept by the plan, explained where they clash."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

import pytest

from planner.core.errors import InputError, RulesConflictError
from planner.core.quantities import POUNDS
from planner.core.scenario import GrindRule, Rule, Scenario
from planner.files.changes import Change, read_changes
from planner.solve.plan import plan_week
from tests.planning import TIGHT, read

# of one side of 100 lb: 30 lb of trim 90, 20 lb of trim 50, 10 lb of fat, 36 lb of bones, a tongue
LAMB = """\
species: lamb
root: side
pieces:
  side:
    keeps: 2 days
    ways:
      bone out:
        minutes: 10
        gives: {trim 90: 30%, trim 50: 20%, fat: 10%, bones: 36%, tongue: 1 at 4%}
cuts:
  trim 90: {kind: trim, lean: 90%, keeps: 2 days}
  trim 50: {kind: trim, lean: 50%, keeps: 2 days}
  fat: {kind: fat, keeps: 2 days}
  bones: {kind: bone, keeps: 2 days}
  tongue: {kind: offal, keeps: 2 days, sold by: each}
blends:
  mince: {from: [trim 90, trim 50, fat], fat: at most 30%, keeps: 2 days}
"""
HOG = """\
species: hog
root: side
pieces:
  side: {keeps: 2 days, ways: {bone out: {gives: {trim 80: 60%, bones: 40%}}}}
cuts:
  trim 80: {kind: trim, lean: 80%, keeps: 2 days}
  bones: {kind: bone, keeps: 2 days}
"""
WEEK = """\
title: An invented block
starts: 2026-11-30
days: 2
recipes: [lamb.yaml, hog.yaml]
unit: lb
rail:
  - {lamb: 1 side at 100 lb}
bench: 60
blends:
  burger: {from: [trim 90, trim 50, trim 80], keeps: 2 days}
  stock bones: {from: [lamb bones, hog bones], keeps: 2 days}
demand:
  mince: {price: 10/lb, want: {tue: 100 lb}}
  burger: {price: 6/lb, want: {tue: 100 lb}}
rules:
"""
RULES = len(WEEK.splitlines()) + 1


@pytest.fixture
def block(tmp_path: Path) -> Callable[..., Path]:
    """The week with some rules, and with texts replaced."""
    (tmp_path / "lamb.yaml").write_text(LAMB)
    (tmp_path / "hog.yaml").write_text(HOG)

    def write(*rules: str, changes: tuple[tuple[str, str], ...] = ()) -> Path:
        text = WEEK if rules else WEEK.replace("rules:\n", "")
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        path = tmp_path / "week.yaml"
        path.write_text(text + "".join(f"  - {rule}\n" for rule in rules))
        return path

    return write


def told(path: Path) -> list[tuple[int, str]]:
    with pytest.raises(InputError) as caught:
        read(path)
    return [(each.line, each.message) for each in caught.value.problems]


# ---- read ----


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("at least 4 lb trim 50: mince", GrindRule("at least", 4, "trim 50", "mince")),
        ("at  least 4lb trim 50: mince", GrindRule("at least", 4, "trim 50", "mince")),
        ("at most 12.5 trim 50: mince", GrindRule("at most", 12.5, "trim 50", "mince")),
        ("at most 8 oz fat: mince", GrindRule("at most", 0.5, "fat", "mince")),
        ("at least 4 LBS lamb trim 90: burger", GrindRule("at least", 4, "trim 90", "burger")),
        ("at most 0 lb fat: mince", GrindRule("at most", 0, "fat", "mince")),
        ("never fat: mince", GrindRule("never", 0, "fat", "mince")),
        ("all lamb trim 50: lamb mince", GrindRule("all", 0, "trim 50", "mince")),
        ("never hog bones: stock bones", GrindRule("never", 0, "hog bones", "stock bones")),
        ("all lamb side: bone out", Rule("all", 0, "lamb side", "bone out", RULES)),
        ("at least 1 lamb side: bone out", Rule("at least", 1, "lamb side", "bone out", RULES)),
    ],
)
def test_a_rule_is_read(block, text, rule):
    (read_rule,) = read(block(text)).rules
    if isinstance(rule, GrindRule):
        rule = GrindRule(rule.verb, pytest.approx(rule.pounds), rule.cut, rule.blend, line=RULES)
    assert read_rule == rule


def test_units_of_a_rule(block):
    kilos = (("unit: lb", "unit: kg"),)
    path = block("at least 2 kg trim 50: mince", "at most 3 fat: mince", changes=kilos)
    least, most = read(path).rules
    assert (least.pounds, most.pounds) == pytest.approx((2 * POUNDS["kg"], 3 * POUNDS["kg"]))
    assert [str(each) for each in (least, most)] == [
        "at least 2 kg trim 50: mince",
        "at most 3 kg fat: mince",
    ]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("at least 4 lb trim50: mince", 'called "trim50" in lamb or hog; did you mean "trim 50"?'),
        ("at least 4 lb trim 80: mince", "trim 80 does not go into mince; it goes into burger"),
        ("never tongue: mince", "tongue does not go into mince; "),
        ("never bones: stock bones", 'write "lamb bones" or "hog bones"'),
        ("at least 4.5.6 lb trim 50: mince", 'cannot read "4.5.6 lb"'),
        ("at least 9000000 lb trim 50: mince", "more than an amount can be"),
        ("at least -4 lb trim 50: mince", "for the grind, at least 4 lb trim 85: lamb sausage"),
        ("at least lb trim 50: mince", "for the grind, at least 4 lb trim 85: lamb sausage"),
        ("at least trim 50: mince", "cannot read the rule"),
        ("at least 60% trim 50: mince", "cannot read the rule"),
        ("some trim 50: mince", "cannot read the rule"),
        ("at least 4 lb trim 50 mince", "no colon in"),
    ],
)
def test_a_fault_is_told_once_on_its_line(block, text, words):
    ((line, message),) = told(block("never fat: mince", text))
    assert line == RULES + 1 and words in message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("never trim 50: minse", 'no blend called "minse"; did you mean "mince"?'),
        ("never bones: stock bonse", '"bones"; write "lamb bones" or "hog bones"'),
        ("at least 4 lb lamb side: mince", "lamb side is a piece, not a cut"),
        ("at least 4 stone trim 50: mince", 'no unit called "stone"; use lb, kg, oz, g'),
        ("at least 4 each trim 50: mince", "trim 50 is weighed: write a weight such as 6 lb"),
        ("at least 4 lb burger: trim 50", "burger is a blend"),
        ("never burger: trim 50", "burger is a blend, not a piece; it is made from trim 90, tri"),
        ("never mince: burger", "mince is a blend"),
    ],
)
def test_a_slip_is_told_by_what_was_meant(block, text, words):
    ((line, message),) = told(block("never fat: mince", text))
    assert line == RULES + 1 and words in message


def test_a_rule_on_a_blend_that_cannot_be_made_says_why(block):
    (block().parent / "book.yaml").write_text(
        "takes from: [lamb, beef]\nblends:\n"
        "  patties: {from: [lamb trim 90, beef trim 80], beef: at least 50%, keeps: 2 days}\n"
    )
    book = (("recipes: [lamb.yaml, hog.yaml]", "recipes: [lamb.yaml, hog.yaml, book.yaml]"),)
    for text in ("never trim 90: patties", "at least 4 lb beef trim 80: patties"):
        assert told(block(text, changes=book)) == [
            (RULES, "patties cannot be made: it needs beef, and no recipe for beef is in use")
        ]


# ---- lifted ----


def form(scenario: Scenario) -> dict:
    return {**asdict(scenario), "rules": [str(rule) for rule in scenario.rules]}


@pytest.mark.parametrize(
    "lift",
    [
        "at most 4 lb trim 50: mince",
        "at most 4 trim 50: mince",
        "at most 64 oz lamb trim 50: lamb mince",
    ],
)
def test_a_rule_is_lifted_however_it_is_written(block, lift):
    without = form(read(block("never fat: mince")))
    scenario = read(block("at most 4 lb trim 50: mince", "never fat: mince"))
    assert form(read_changes(scenario, [Change("rule", f"lift {lift}")])) == without
    added = read_changes(read(block("never fat: mince")), [Change("rule", lift)])
    assert [rule.pounds for rule in added.rules] == [0, 4]
    again = read_changes(added, [Change("rule", "at most 4 lb trim 50: mince")])
    assert again == added, "a rule that is there already stays as it is"


def test_a_rule_that_is_not_there_cannot_be_lifted(block):
    scenario = read(block("at most 4 lb trim 50: mince"))
    for text in ("at most 5 lb trim 50: mince", "at least 4 lb trim 50: mince"):
        with pytest.raises(InputError) as caught:
            read_changes(scenario, [Change("rule", f"lift {text}")])
        assert [str(each) for each in caught.value.problems] == [
            f'--rule: no rule "{text}" to lift; the rules are "at most 4 lb trim 50: mince"'
        ]


def test_whatif_lifts_a_rule(block, breakplan):
    """30 lb of trim 90 and 4 lb of trim 50 are mince; with the rule lifted all 50 lb are.

    Their fat is (3 + 10) / 50 = 26%. What the rule keeps out of mince, 16 lb, is burger at 6.
    """
    path = block("at most 4 lb trim 50: mince", "never fat: mince")
    lift = "lift at most 4 lb trim 50: mince"
    ran = breakplan("whatif", path, "--rule", lift, "--json", "--within", "0.001")
    assert ran.code == 0
    data = json.loads(ran.out)
    assert data["before"]["score"] == pytest.approx(34 * 10 + 16 * 6, abs=0.01)
    assert data["after"]["score"] == pytest.approx(50 * 10, abs=0.01)


# ---- kept ----


def pounds_in(path: Path, cut: str, blend: str) -> float:
    plan = plan_week(read(path), TIGHT)
    return sum(each.takes.get(cut, 0.0) for each in plan.batches if each.blend == blend)


@pytest.mark.parametrize(
    ("rules", "cut", "blend", "pounds"),
    [
        # mince is dearer, and takes all: (3 + 10 + 2.86) / 52.86 = 30% fat, so x = 20 / 7 of fat
        ([], "trim 50", "mince", 20),
        ([], "fat", "mince", 20 / 7),
        (["at least 12 lb trim 50: burger"], "trim 50", "burger", 12),
        (["at least 12 lb trim 50: burger"], "trim 50", "mince", 8),
        (["at most 5 lb trim 50: mince"], "trim 50", "mince", 5),
        (["at most 5 lb trim 50: mince"], "trim 50", "burger", 15),
        (["at most 1 lb fat: mince"], "fat", "mince", 1),
        (["never fat: mince"], "fat", "mince", 0),
        (["all trim 50: burger"], "trim 50", "burger", 20),
        (["all trim 50: burger"], "trim 50", "mince", 0),
        (["all trim 90: burger", "never fat: mince"], "trim 90", "burger", 30),
        # then mince is of trim 50 alone, at 50% fat: none
        (["all trim 90: burger", "never fat: mince"], "trim 50", "mince", 0),
    ],
)
def test_a_rule_is_kept(block, rules, cut, blend, pounds):
    assert pounds_in(block(*rules), cut, blend) == pytest.approx(pounds, abs=1e-6)


def test_a_rule_is_kept_in_kilograms(block):
    kilos = (("unit: lb", "unit: kg"), ("1 side at 100 lb", "1 side at 50 kg"))
    path = block("at most 5 trim 50: mince", changes=kilos)
    assert pounds_in(path, "trim 50", "mince") == pytest.approx(5 / 0.45359237)


def test_a_rule_counts_over_all_days(block):
    """12 lb of each side's 20, whichever day they are ground on."""
    two = (("{lamb: 1 side", "{lamb: 1 side at 100 lb, arrives: tue}\n  - {lamb: 1 side"),)
    path = block("at least 24 lb trim 50: burger", changes=two)
    assert pounds_in(path, "trim 50", "burger") == pytest.approx(24, abs=1e-6)


# ---- where they clash ----


def clash(path: Path) -> tuple[list[str], str]:
    with pytest.raises(RulesConflictError) as caught:
        plan_week(read(path), TIGHT)
    return [each.split(" (rule")[0] for each in caught.value.conflict], str(caught.value)


@pytest.mark.parametrize(
    ("rules", "members", "most"),
    [
        (
            ["at least 25 lb trim 50: burger", "never fat: mince"],
            [0],
            ": at most 20.0 lb can go in",
        ),
        # with trim 90 alone the most: 0.1 x 30 + y = 0.3 (30 + y), so y = 60 / 7
        (["at least 9 lb fat: mince"], [0], ": at most 8.6 lb can go in"),
        (
            ["never fat: mince", "all trim 50: mince", "at least 12 lb trim 50: burger"],
            [1, 2],
            ": at most 0.0 lb can go in along with the others",
        ),
        (
            ["at most 2 lb trim 50: burger", "at least 12 lb trim 50: burger"],
            [0, 1],
            ": at most 2.0 lb can go in along with the others",
        ),
        (
            ["never lamb side: bone out", "at least 1 lb fat: mince"],
            [0, 1],
            ": at most 0.0 lb can go in along with the others",
        ),
    ],
)
def test_a_clash_names_the_rules_and_what_can_go_in(block, rules, members, most):
    conflict, text = clash(block(*rules))
    assert conflict == [rules[number] for number in members]
    line = f"(rule on line {RULES + members[-1]}){most}"
    assert text.splitlines()[-1].endswith(line)


def test_a_clash_in_kilograms(block):
    kilos = (("unit: lb", "unit: kg"), ("1 side at 100 lb", "1 side at 50 kg"))
    _, text = clash(block("at least 12 trim 50: burger", changes=kilos))
    assert "at least 12 kg trim 50: burger (rule on line" in text
    assert text.endswith("at most 10.0 kg can go in")


def test_a_clash_with_the_bench(block):
    """No time to bone the side out on either day."""
    conflict, _ = clash(block("at least 1 lb fat: mince", changes=(("bench: 60", "bench: 9"),)))
    assert conflict == [
        "at least 1 lb fat: mince",
        "bench on mon: 9 minutes",
        "bench on tue: 9 minutes",
    ]
