"""A changed plan beside today's, for a person and for machines."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from planner.ask.decisions import FATES
from planner.ask.plan_difference import FIGURES, LineChange, Pair, PlanDifference
from planner.ask.whatif import WhatIf
from planner.core.plan_lines import CutLine
from planner.core.quantities import POUNDS
from planner.show.cautions import KEEPS
from planner.show.data import CHANGE, Data, head, one, rows, shape
from planner.show.difference import sentence
from planner.show.json import plan_data
from planner.show.layout import WIDTH, clip, cut_name, paragraphs, section, table, wrapped
from planner.show.species import UNCUT, Group, by_species, grouped_table, species_table
from planner.solve.plan import CENT


def whatif_text(answer: WhatIf) -> str:
    """The answer in a sentence, and its proof; then what differs: orders, ways, cuts, totals."""
    beside = answer.beside
    changes = answer.verdict != "nothing changes"
    tables = (_orders(beside), _ways(beside), _cuts(beside), _totals(beside)) if changes else ()
    return paragraphs(
        clip(beside.before.scenario.title, WIDTH),
        [line for each in answer.changes for line in wrapped(f"{each.kind}: {each.text}")],
        wrapped(sentence(answer)),
        wrapped(_proof(answer)),
        *tables,
        wrapped(KEEPS) if any(each.kind == "keeps" for each in answer.changes) else "",
    )


def _arrow(before: str, after: str) -> str:
    return before if before == after else f"{before} -> {after}"


def _orders(beside: PlanDifference) -> list[str]:
    """Orders that are filled differently, or dropped."""
    scenario = beside.before.scenario

    def state(cut: str, short: float | None, unknown: str) -> str:
        if short is None:
            return unknown
        return f"SHORT {scenario.show_amount(cut, short)}" if short else "filled"

    lines = []
    for each in beside.orders:
        what = f"{scenario.show_amount(each.cut, each.ordered)} {clip(each.cut, 26)}"
        was, now = state(each.cut, each.before, "new"), state(each.cut, each.after, "dropped")
        told = f"{clip(each.buyer, 24)}: {what} - {_arrow(was, now)}"
        lines += wrapped(f"{scenario.day_labels[each.day]}  {told}", 2)
    return section("ORDERS", lines)


def _ways(beside: PlanDifference) -> list[str]:
    """How many are cut in each way, bought, or not cut, where that differs."""
    scenario = beside.before.scenario
    days = scenario.day_labels
    bought = [(each.lot, f"bought, {days[each.lot.arrives]}", each.head) for each in beside.bought]
    fates = dict(zip(FATES, UNCUT, strict=True))
    changes = [
        *((lot.recipe.species, lot.piece, what, head) for lot, what, head in bought),
        *((each.species, each.piece, each.fate, each.count) for each in beside.ways),
        *((each.species, each.piece, fates[each.fate], each.count) for each in beside.whole),
    ]

    def row(change: tuple[str, str, str, Pair]) -> list[str]:
        _, piece, what, count = change
        return [clip(piece, 34), clip(what, 34), f"{count.before:.0f} -> {count.after:.0f}"]

    left = ("left", "left", "left")
    shown = species_table(scenario, changes, row, (), left, lambda each: each[0])
    return ["WAYS", shown] if changes else []


def _cuts(beside: PlanDifference) -> list[str]:
    """The cuts that differ as shown."""
    scenario = beside.before.scenario
    rows = [(each, _cut_row(each, scenario.unit)) for each in beside.cuts]
    groups = [Group("", [["", "made", "sold, ground", "wasted", "left", scenario.money]])]
    differing = [(each, row) for each, row in rows if any("->" in figure for figure in row)]
    for species, group in by_species(scenario, differing, lambda pair: pair[0].before.species):
        named = (
            (clip(cut_name(each.before.cut, each.before.by_each), 24), row) for each, row in group
        )
        groups.append(Group(species, [[name, *row] for name, row in named]))
    align = ("left", *["right"] * 5)
    shown = [f"CUTS ({scenario.unit})", grouped_table(groups, (), align, WIDTH, (0,))]
    return shown if differing else []


def _cut_row(cut: LineChange[CutLine], unit: str) -> list[str]:
    digits, one = (0, 1.0) if cut.before.by_each else (1, POUNDS[unit])

    def amount(pair: Pair) -> str:
        before, after = (f"{value / one:.{digits}f}" for value in (pair.before, pair.after))
        return _arrow(*("-" if float(text) == 0 else text for text in (before, after)))

    def money(value: float) -> str:
        return f"{value:,.0f}" if value >= 0.5 else "-"

    figures = (("made",), ("sold", "blended"), ("wasted",), ("left",))
    amounts = [amount(cut.pair(*each)) for each in figures]
    return [*amounts, _arrow(money(cut.before.revenue), money(cut.after.revenue))]


def _totals(beside: PlanDifference) -> list[str]:
    """Trim, fat and bones, bench time and money; what neither plan has is left out."""
    scenario = beside.before.scenario
    rows: list[list[str]] = []

    def add(name: str, pair: Pair, show: Callable[[float], str]) -> None:
        before, after, change = map(show, (pair.before, pair.after, abs(pair.change)))
        sign = "-" if pair.change < 0 else "+"
        if {before, after} != {show(0.0)}:
            rows.append([name, before, after, "-" if change == show(0.0) else f"{sign}{change}"])

    weight, minutes = scenario.units.weight, "{:,.0f} min".format
    money = scenario.units.money
    for kind in beside.kinds:
        name = "bones" if kind.kind == "bone" else kind.kind
        add(f"{name} made", kind.made, weight)
        add(f"{name} not sold or ground", kind.over, weight)
    add("bench time", beside.minutes, minutes)
    add("overtime", beside.overtime, minutes)
    for name, pair in beside.money.items():
        add(name, pair, money)
    if beside.paid.differs:
        add("(paid for head on the rail)", beside.paid, money)
    shown = table([["", "today", "changed", ""], *rows], (), ("left", "right", "right", "right"))
    return ["TOTALS", shown] if rows else []


def _proof(answer: WhatIf) -> str:
    """How close both plans are to the best, and what that leaves open."""
    if answer.verdict == "nothing changes":
        return ""
    beside = answer.beside
    near = [plan.scenario.units.money(plan.within) for plan in (beside.before, beside.after)]
    told = f"today's plan is within {near[0]} of %s, the changed one within {near[1]}"
    if not (beside.before.orders_proven and beside.after.orders_proven):
        said = f"With the orders as filled here, {told % 'the best possible'}. Whether more of "
        said += "the orders could be filled was not settled in the time given."
    elif not answer.settled:
        said = f"Known so far: {told % 'the best possible'}."
    elif max(beside.before.within, beside.after.within) < CENT:
        said = "This is proven: no plan beats either of the two."
    else:
        said = f"This is proven: {told % 'the best possible'}."
    return f"{said} What else differs may in part be chance: other plans may earn as much."


DIFFERENCE = shape("least: number, most: number, settled, verdict")

_NUMBERS = shape("before: number, after: number")
_WEIGHTS = shape("before: weight, after: weight")
_BESIDE = shape(
    "paid: numbers, minutes: numbers, overtime: numbers, kinds: kind, cuts: cut, ways: way,"
    "whole: whole, bought: bought, orders: order, bench: bench",
    numbers=_NUMBERS,
    kind=shape("kind, made: weights, over: weights", weights=_WEIGHTS),
    cut=shape(
        "cut = before.cut, species = before.species, sold by = before.by_each: sold,"
        f"{','.join(f'{name} = self: {name}_pair' for name in FIGURES)}",
        **{
            f"{name}_pair": shape(f"before = before.{name}: {kind}, after = after.{name}: {kind}")
            for name in FIGURES
            for kind in ["number" if name == "revenue" else "amount of before.cut"]
        },
    ),
    way=shape(
        "species, piece, way = fate, before = count.before: count, after = count.after: count"
    ),
    whole=shape(
        "species, piece, state = fate, before = count.before: count,after = count.after: count"
    ),
    bought=shape("lot = lot.index, before = head.before: count, after = head.after: count"),
    order=shape(
        "day: day, cut, for = buyer, ordered: amount, short = self: short",
        short=shape("before: amount, after: amount"),
    ),
    bench=shape(
        "day = before.day: day, minutes = self: minutes, overtime = self: overtime",
        minutes=shape("before = before.minutes: number, after = after.minutes: number"),
        overtime=shape("before = before.overtime: number, after = after.overtime: number"),
    ),
)


def whatif_data(answer: WhatIf) -> dict[str, Any]:
    """The whole of its JSON; see `answer_data`."""
    return {**head(answer.beside.before.scenario), **answer_data(answer)}


def answer_data(answer: WhatIf, *, with_before: bool = True) -> dict[str, Any]:
    """The answer as the maps and lists of its JSON; today's plan may be left out.

    `difference` has what the best plans differ by, by proof; `before` and `after` are the plans as
    `breakplan week` has them. Of cuts, ways and orders only those that differ are listed.
    """
    beside = answer.beside
    return {
        "changes": rows(CHANGE, answer.changes),
        "difference": one(DIFFERENCE, answer),
        **({"before": plan_data(beside.before)} if with_before else {}),
        "after": plan_data(beside.after),
        **Data(beside.before.scenario).one(_BESIDE, beside),
        "sentence": sentence(answer),
    }
