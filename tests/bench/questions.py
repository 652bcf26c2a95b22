"""What a question costs, as a share of a cold plan of the same shop."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from tabulate import tabulate

from planner.ask.comparison import Comparer
from planner.ask.whatif import compare, whatif
from planner.ask.why import why
from planner.core.recipe import Piece
from planner.core.scenario import Rule, Scenario
from planner.files.changes import Alternative, Change, read_changes
from planner.solve import Options
from planner.solve.plan import plan_week
from tests.bench.measure import Answer, Task, scenario_of, timed

QUESTIONED = ("corner-shop", "week-02", "week-06", "week-14")

GOALS = {"changed": 0.6, "whatif": None, "why": 6.0, "alternatives": 5.0}
"""Times a cold plan, at most."""


def asked(file: str, what: str, seconds: float) -> Answer:
    """One kind of question put to a scenario; `wall` is what it took."""
    scenario, options = scenario_of(file), Options(seconds=seconds)
    if what == "cold":
        return {"wall": timed(lambda: plan_week(scenario, options))[0]}
    if what == "why":
        return {"wall": timed(lambda: why(scenario, None, options))[0]}
    rule = next(rules(scenario))
    changed = read_changes(scenario, [rule])
    if what == "whatif":
        wall, found = timed(lambda: whatif(Comparer(scenario, options), changed, [rule]))
        return {"wall": wall, "text": rule.text, "settled": found.settled}
    if what == "changed":  # once today's plan is there
        comparer = Comparer(scenario, options)
        comparer.plan()
        return {"wall": timed(lambda: comparer.plan(changed))[0], "text": rule.text}
    ten = list(alternatives(scenario))
    wall, compared = timed(lambda: compare(Comparer(scenario, options), ten))
    return {"wall": wall, "settled": sum(bool(row.answer) for row in compared.rows)}


def rules(scenario: Scenario) -> Iterator[Change]:
    """Rules that can be kept: a way that is never cut, of pieces with many first."""
    for piece in _pieces(scenario):
        for way in piece.ways.values():
            promised = {order.cut for order in scenario.orders}
            ruled = any(
                rule.piece == piece.name for rule in scenario.rules if isinstance(rule, Rule)
            )
            if not ruled and not promised & {given.name for given in way.cuts}:
                yield Change("rule", f"never {piece.name}: {way.name}")
                break


def _pieces(scenario: Scenario) -> Iterator[Piece]:
    """Pieces on the rail with at least three ways, those with the most ways first."""
    there = {name for lot in scenario.lots for name in lot.weights()}
    known = [
        piece
        for recipe in scenario.recipes
        for piece in recipe.pieces.values()
        if piece.name in there and piece.name not in recipe.roots and len(piece.ways) >= 3
    ]
    yield from sorted(known, key=lambda piece: -len(piece.ways))


def alternatives(scenario: Scenario) -> Iterator[Alternative]:
    """Ten of them: rules, prices, wants, minutes, a head more."""
    cuts = [name for name, demand in scenario.demand.items() if sum(demand.want) and demand.price]
    lot = next(each for each in scenario.lots if each.piece in each.recipe.roots)
    minutes = scenario.bench or (1.0,) * scenario.days
    days = [label for label, most in zip(scenario.day_labels, minutes, strict=True) if most]
    first, second, *_ = rules(scenario)
    changes = (
        first,
        second,
        Change("price", f"{cuts[0]}: +10%"),
        Change("price", f"{cuts[len(cuts) // 2]}: -10%"),
        Change("want", f"{cuts[1]}: +50%"),
        Change("want", f"{cuts[-1]}: +50%"),
        Change("bench", f"{days[-1]}: +30"),
        Change("bench", f"{days[0]}: +20"),
        Change("head", f"{_lot(scenario, lot.index)}: +1 head"),
        Change("price", f"{cuts[len(cuts) // 3]}: +5%"),
    )
    for change in changes:
        yield Alternative(change.text, (change,), read_changes(scenario, [change]))


def _lot(scenario: Scenario, index: int) -> str:
    lot = scenario.lots[index]
    return f"{lot.name} {scenario.day_labels[lot.arrives]} {lot.weight:g} lb"


def questioned(name: str, path: Path, say: Callable[[str], None]) -> dict[str, Any]:
    """All questions put to one scenario, each in a process of its own, the cold plan twice."""
    answers: dict[str, Any] = {"name": name}
    for what in ("cold", *GOALS, "cold"):
        say(f"{name}: {what}")
        answer = Task("question", {"file": str(path), "what": what, "seconds": 60.0}).run()
        if what not in answers or answer["wall"] < answers[what]["wall"]:
            answers[what] = answer
    return answers


def question_table(rows: Sequence[dict[str, Any]]) -> str:
    """As times a cold plan."""
    shown = [
        [
            row["name"],
            *(f"{row[what]['wall'] / row['cold']['wall']:.2f}" for what in GOALS),
            f"{row['cold']['wall']:.2f}",
        ]
        for row in rows
    ]
    shown.append(["at most", *(f"{goal:g}" if goal else "" for goal in GOALS.values()), ""])
    heads = ("times a cold plan", "changed plan", "whatif", "why", "ten", "cold s")
    align = ("left", *("right" for _ in heads[1:]))
    return tabulate(shown, heads, colalign=align, disable_numparse=True)
