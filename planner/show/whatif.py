"""A changed plan beside today's, for a person and for machines."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from planner.ask.plan_difference import Beside, CutChange, Pair
from planner.ask.whatif import WhatIf
from planner.core.quantities import POUNDS, show_money, show_weight
from planner.show.amounts import show_amount
from planner.show.cautions import KEEPS
from planner.show.data import CHANGE, Data, head, json_text, rows, shape
from planner.show.difference import sentence
from planner.show.json import plan_data
from planner.show.layout import WIDTH, clip, table, wrapped
from planner.show.species import Group, by_species, grouped_table, inset
from planner.solve.plan import CENT

NAME = 24
LEAST_NAME = 12


def whatif_text(answer: WhatIf) -> str:
    """The answer in a sentence, and its proof; then what differs: orders, ways, cuts, totals."""
    beside = answer.beside
    parts = [
        clip(beside.before.scenario.title, WIDTH),
        "\n".join(line for each in answer.changes for line in wrapped(f"{each.kind}: {each.text}")),
        "\n".join(wrapped(sentence(answer))),
        "\n".join(wrapped(_proof(answer))),
    ]
    if answer.verdict != "nothing changes":
        parts += [_orders(beside), _ways(beside), _cuts(beside), _totals(beside)]
    if any(each.kind == "keeps" for each in answer.changes):
        parts.append("\n".join(wrapped(KEEPS)))
    return "\n\n".join(part for part in parts if part)


def _arrow(before: str, after: str) -> str:
    return before if before == after else f"{before} -> {after}"


def _orders(beside: Beside) -> str:
    """Orders that are filled differently, or dropped."""
    scenario = beside.before.scenario

    def state(cut: str, short: float | None, otherwise: str) -> str:
        if short is None:
            return otherwise
        return f"SHORT {show_amount(scenario, cut, short)}" if short else "filled"

    lines = []
    for each in beside.orders:
        what = f"{show_amount(scenario, each.cut, each.ordered)} {clip(each.cut, 26)}"
        was, now = state(each.cut, each.before, "new"), state(each.cut, each.after, "dropped")
        told = f"{clip(each.buyer, 24)}: {what} - {_arrow(was, now)}"
        lines += wrapped(f"{scenario.day_labels[each.day]}  {told}", 2)
    return "\n".join(["ORDERS", *lines]) if lines else ""


def _ways(beside: Beside) -> str:
    """How many are cut in each way, bought, or not cut, where that differs."""
    scenario = beside.before.scenario
    rows: list[tuple[str, list[str]]] = []

    def add(species: str, piece: str, what: str, count: Pair) -> None:
        number = f"{count.before:.0f} -> {count.after:.0f}"
        rows.append((species, [clip(piece, 34), clip(what, 34), number]))

    for bought in beside.bought:
        day = scenario.day_labels[bought.day]
        add(bought.species, bought.piece, f"bought, {day}", bought.head)
    for each in beside.ways:
        add(each.species, each.piece, each.way, each.count)
    for whole in beside.whole:
        fate = "OUT OF DATE uncut" if whole.wasted else "left whole, in date"
        add(whole.species, whole.piece, fate, whole.count)
    groups = [
        Group(species, [row for _, row in group])
        for species, group in by_species(scenario, rows, lambda row: row[0])
    ]
    return f"WAYS\n{grouped_table(groups, (), ('left', 'left', 'left'))}" if rows else ""


def _cuts(beside: Beside) -> str:
    """The cuts that differ as shown; their names are clipped to what the figures leave."""
    scenario = beside.before.scenario
    unit, money, margin = scenario.unit, scenario.money, inset(scenario)
    shown = [(each, _cut_row(each, unit)) for each in beside.cuts]
    shown = [(each, row) for each, row in shown if any("->" in figure for figure in row)]
    if not shown:
        return ""
    heads = ("made", "sold, ground", "wasted", "left", money)
    figures = [heads, *(row for _, row in shown)]
    room = WIDTH - sum(2 + max(map(len, column)) for column in zip(*figures, strict=True)) - 2
    width = max(LEAST_NAME, min(NAME, room - margin))
    groups = [
        Group(species, [[_name(each, width), *row] for each, row in group])
        for species, group in by_species(scenario, shown, lambda pair: pair[0].species)
    ]
    groups.insert(0, Group("", [["", *heads]]))
    return f"CUTS ({unit})\n{grouped_table(groups, (), ('left', *['right'] * 5))}"


def _name(cut: CutChange, width: int) -> str:
    each = " (each)" if cut.by_each else ""
    return f"{clip(cut.cut, width - len(each))}{each}"


def _cut_row(cut: CutChange, unit: str) -> list[str]:
    digits, one = (0, 1.0) if cut.by_each else (1, POUNDS[unit])

    def amount(pair: Pair) -> str:
        before, after = (f"{value / one:.{digits}f}" for value in (pair.before, pair.after))
        return _arrow(*("-" if float(text) == 0 else text for text in (before, after)))

    def money(value: float) -> str:
        return f"{value:,.0f}" if value >= 0.5 else "-"

    amounts = [amount(pair) for pair in (cut.made, cut.used, cut.wasted, cut.left)]
    return [*amounts, _arrow(money(cut.revenue.before), money(cut.revenue.after))]


def _totals(beside: Beside) -> str:
    """Trim, fat and bones, bench time and money; what neither plan has is left out."""
    scenario = beside.before.scenario
    rows = [["", "today", "changed", ""]]

    def add(name: str, pair: Pair, show: Callable[[float], str]) -> None:
        before, after, change = map(show, (pair.before, pair.after, abs(pair.change)))
        sign = "-" if pair.change < 0 else "+"
        if {before, after} != {show(0.0)}:
            rows.append([name, before, after, "-" if change == show(0.0) else f"{sign}{change}"])

    def money(value: float) -> str:
        return show_money(value, scenario.money)

    def weight(pounds: float) -> str:
        return show_weight(pounds, scenario.unit)

    def minutes(number: float) -> str:
        return f"{number:,.0f} min"

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
    if len(rows) == 1:
        return ""
    return f"TOTALS\n{table(rows, (), ('left', 'right', 'right', 'right'))}"


def _proof(answer: WhatIf) -> str:
    """How close both plans are to the best, and what that leaves open."""
    if answer.verdict == "nothing changes":
        return ""
    beside = answer.beside
    near = [show_money(plan.within, plan.scenario.money) for plan in (beside.before, beside.after)]
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


def whatif_json(answer: WhatIf) -> str:
    """The answer as JSON text.

    `difference` has what the best plans differ by, by proof; `before` and `after` are the plans as
    `breakplan week` has them. Of cuts, ways and orders only those that differ are listed.
    """
    return json_text({**head(answer.beside.before.scenario), **answer_data(answer)})


DIFFERENCE = shape("least: number, most: number, settled, verdict")

_NUMBERS = shape("before: number, after: number")
_WEIGHTS = shape("before: weight, after: weight")
_SUMS = shape("paid: numbers, minutes: numbers, overtime: numbers", numbers=_NUMBERS)
_KIND = shape("kind, made: weights, over: weights", weights=_WEIGHTS)
_CUT = shape("cut, species, sold by = by_each: sold")
_WAY = shape("species, piece, way, before = count.before: count, after = count.after: count")
_WHOLE = shape(
    "species, piece, state = wasted: state, before = count.before: count,after = count.after: count"
)
_BOUGHT = shape("lot, before = head.before: count, after = head.after: count")
_ORDER = shape(
    "day: day, cut, for = buyer, ordered: amount, short = self: short",
    short=shape("before: amount, after: amount"),
)
_BENCH = shape("day: day, minutes: numbers, overtime: numbers", numbers=_NUMBERS)


def answer_data(answer: WhatIf, *, with_before: bool = True) -> dict[str, Any]:
    """The answer as the maps and lists of its JSON; today's plan may be left out."""
    beside, data = answer.beside, Data(answer.beside.before.scenario)

    def cut(each: CutChange) -> dict[str, Any]:
        figures = ("made", "sold", "blended", "wasted", "left")
        amounts = _WEIGHTS if not each.by_each else _NUMBERS
        told = {name: data.one(amounts, getattr(each, name)) for name in figures}
        return {**data.one(_CUT, each), **told, "revenue": data.one(_NUMBERS, each.revenue)}

    return {
        "changes": rows(CHANGE, answer.changes),
        "difference": data.one(DIFFERENCE, answer),
        **({"before": plan_data(beside.before)} if with_before else {}),
        "after": plan_data(beside.after),
        **data.one(_SUMS, beside),
        "kinds": data.all(_KIND, beside.kinds),
        "cuts": [cut(each) for each in beside.cuts],
        "ways": data.all(_WAY, beside.ways),
        "whole": data.all(_WHOLE, beside.whole),
        "bought": data.all(_BOUGHT, beside.bought),
        "orders": data.all(_ORDER, beside.orders),
        "bench": data.all(_BENCH, beside.bench),
        "sentence": sentence(answer),
    }
