"""A plan for a person: short lines, plain words, totals last, at most 100 columns."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from textwrap import indent, wrap

from tabulate import tabulate

from planner.files.check import Checked
from planner.lines import Batch, Break
from planner.measures import POUNDS, show_count, show_money, show_share, show_weight
from planner.plan import Plan
from planner.scenario import Lot
from planner.show.cautions import SHORT

WIDTH = 100
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def plan_text(plan: Plan) -> str:
    """The whole plan: breaks by day, the case, orders, blends, money and proof."""
    parts = [
        _head(plan),
        *(_day(plan, day) for day in range(plan.scenario.days)),
        _case(plan),
        _orders(plan),
        _blends(plan),
        _whole(plan),
        _money(plan),
        proof(plan),
        SHORT,
    ]
    return "\n\n".join(part for part in parts if part)


def proof(plan: Plan) -> str:
    """One sentence: how far from the best possible the plan can be at most."""
    money = plan.scenario.money
    if plan.status == "proven" or plan.within < 0.005:  # to the cent
        said = (
            f"Proven: within these rules no plan earns more than {show_money(plan.score, money)}."
        )
    else:
        share = f" ({plan.within / abs(plan.score):.2%})" if plan.score else ""
        said = (
            f"Best possible at most {show_money(plan.bound, money)}: "
            f"this plan is within {show_money(plan.within, money)}{share} of it."
        )
    if plan.status == "time limit":
        said = f"Stopped by the time limit after {plan.seconds:.1f} s. {said}"
    if not plan.orders_proven:
        said += " Whether more of the orders could be filled was not settled in that time."
    return said


def checked_text(found: Sequence[Checked]) -> str:
    """What was found in files: one line a fault, then one line a file."""
    lines = []
    for each in found:
        lines += [str(problem) for problem in each.problems]
        lines += [f"odd: {oddity}" for oddity in each.oddities]
        if each.problems:
            lines.append(f"{each.file}: {show_count(len(each.problems), 'fault')}")
        else:
            odd = (
                f", {show_count(len(each.oddities), 'oddity', 'oddities')}" if each.oddities else ""
            )
            lines.append(f"{each.file}: a sound {each.kind}{odd}")
    return "\n".join(lines)


def _date(plan: Plan, day: int) -> str:
    when = plan.scenario.starts + timedelta(days=day)
    return f"{when:%a} {when.day} {MONTHS[when.month - 1]}".lower()


def _head(plan: Plan) -> str:
    scenario = plan.scenario
    first, last = _date(plan, 0), _date(plan, scenario.days - 1)
    span = first if scenario.days == 1 else f"{first} to {last}"
    return f"{_clip(scenario.title, WIDTH)}\n{span} {scenario.starts.year}"


def _day(plan: Plan, day: int) -> str:
    breaks = [each for each in plan.breaks if each.day == day]
    batches = [each for each in plan.batches if each.day == day]
    lots = [lot for lot in plan.scenario.lots if lot.arrives == day]
    if not (breaks or batches or lots):
        return ""
    bench = plan.bench[day]
    used = f"{bench.minutes:.0f} min"
    if bench.available is not None:
        used = f"{bench.minutes:.0f} of {bench.available:.0f} min"
    if bench.overtime:
        used += f", {bench.overtime:.1f} over"
    lines = [f"{_date(plan, day).upper():<{WIDTH - 30}}{used:>30}"]
    lines += [f"  in: {_arrival(plan, lot)}" for lot in lots]
    rows = [_break_row(plan, each) for each in breaks] + [
        _grind_row(plan, each) for each in batches
    ]
    if rows:
        right = ("right", "left", "left", "right", "right")
        lines.append(_table(rows, (), right))
    return "\n".join(lines)


def _arrival(plan: Plan, lot: Lot) -> str:
    unit = plan.scenario.unit
    name = lot.recipe.species if lot.piece == lot.recipe.root else lot.piece
    weight = f"{name}, {show_weight(lot.weight, unit)} each"
    if not lot.up_to:
        return f"{lot.count} {_words(lot.word, weight)}"
    head = sum(each.head for each in plan.bought if each.lot == lot.index)
    return f"{head} of up to {lot.count} {_words(lot.word, weight)}: buy {head or 'none'}"


def _words(word: str, rest: str) -> str:
    return f"{word} {rest}" if word else rest


def _break_row(plan: Plan, each: Break) -> list[str]:
    several = len(plan.scenario.recipes) > 1 and not each.piece.startswith(each.species)
    piece = f"{each.species} {each.piece}" if several else each.piece
    weight = show_weight(each.weight, plan.scenario.unit)
    return [
        f"{each.count}",
        _clip(piece, 30),
        _clip(each.way, 34),
        weight,
        f"{each.minutes:.0f} min",
    ]


def _grind_row(plan: Plan, batch: Batch) -> list[str]:
    weight = show_weight(batch.made, plan.scenario.unit)
    return ["", "grind", _clip(batch.blend, 34), weight, f"{batch.minutes:.0f} min"]


def _case(plan: Plan) -> str:
    """The case by cut; what was wanted but neither there nor made goes into a line below."""
    unit = plan.scenario.unit
    rows, missed = [], []
    for line in plan.cuts:
        figures = (line.on_hand, line.made, line.sold, line.blended, line.wasted, line.left)
        shown = [_figure(plan, line.by_each, value) for value in (*figures, line.unmet)]
        if any(each != "-" for each in shown[:-1]):
            name = f"{_clip(line.cut, 26)}{' (each)' if line.by_each else ''}"
            rows.append([name, *shown, f"{line.revenue:,.2f}" if line.revenue else "-"])
        elif shown[-1] != "-":
            missed.append(f"{_clip(line.cut, 32)} {shown[-1]}")
    if not rows:
        return ""
    heads = ("", "had", "made", "sold", "ground", "wasted", "left", "short", plan.scenario.money)
    lines = [f"CASE ({unit})", _table(rows, heads, ("left", *["right"] * 8))]
    if missed:
        lines += _wrapped(f"wanted but not cut: {', '.join(missed)}", 2)
    return "\n".join(lines)


def _figure(plan: Plan, by_each: bool, value: float) -> str:
    """A figure of the case table; a dash for what rounds to nothing."""
    text = f"{value:.0f}" if by_each else f"{value / POUNDS[plan.scenario.unit]:.1f}"
    return "-" if float(text) == 0 else text


def _orders(plan: Plan) -> str:
    scenario = plan.scenario
    if not scenario.orders:
        return ""
    short = {each.order: each for each in plan.short}
    lines = ["ORDERS"]
    for order in scenario.orders:
        cut = scenario.cuts[order.cut]
        amount = _of_cut(plan, cut.by_each, order.amount)
        who, what = _clip(order.buyer, 28), f"{amount} {_clip(cut.name, 32)}"
        text = f"  {scenario.day_labels[order.day]}  {who}: {what}"
        if order.index not in short:
            lines.append(f"{text} - filled")
            continue
        missing = short[order.index]
        lines.append(f"{text} - SHORT {_of_cut(plan, cut.by_each, missing.short)}")
        if missing.binds:
            lines.append(f"       what binds: {_clip('; '.join(missing.binds), WIDTH - 20)}")
    return "\n".join(lines)


def _of_cut(plan: Plan, by_each: bool, value: float) -> str:
    return f"{value:.0f}" if by_each else show_weight(value, plan.scenario.unit)


def _blends(plan: Plan) -> str:
    if not plan.batches:
        return ""
    unit = plan.scenario.unit
    lines = ["BLENDS"]
    for batch in plan.batches:
        parts = ", ".join(f"{cut} {show_weight(lb, unit)}" for cut, lb in batch.takes.items())
        day, made = plan.scenario.day_labels[batch.day], show_weight(batch.made, unit)
        lines.append(f"  {day}  {batch.blend} {made}, fat {show_share(batch.fat)}")
        lines += _wrapped(f"from {parts}", 7)
    return "\n".join(lines)


def _whole(plan: Plan) -> str:
    lines = []
    for each in plan.uncut:
        lot = plan.scenario.lots[each.lot]
        weight = show_weight(each.weight, plan.scenario.unit)
        fate = "OUT OF DATE uncut" if each.wasted else "left whole, in date"
        lines.append(f"  {show_count(each.count, each.piece, each.piece)}, {weight}: {fate}")
        if len(plan.scenario.lots) > 1:
            lines[-1] += f" (from the lot of {plan.scenario.day_labels[lot.arrives]})"
    return "\n".join(["NOT CUT", *lines]) if lines else ""


def _money(plan: Plan) -> str:
    scenario = plan.scenario
    sunk = sum(lot.count * lot.weight * lot.cost for lot in scenario.lots if not lot.up_to)
    rows = [("revenue", plan.revenue)]
    spending = {"overtime": plan.overtime, "head bought": plan.buying, "disposal": plan.disposal}
    rows += [(f"less {name}", -value) for name, value in spending.items() if value]
    if plan.carry:
        rows.append(("carried into the next period", plan.carry))
    rows.append(("SCORE", plan.score))
    shown = [[name, show_money(value, scenario.money)] for name, value in rows]
    text = f"MONEY\n{_table(shown, (), ('left', 'right'))}"
    if sunk:
        text += (
            f"\n  (head already on the rail, paid either way: {show_money(sunk, scenario.money)})"
        )
    return text


def _table(rows: Sequence[Sequence[str]], heads: Sequence[str], align: Sequence[str]) -> str:
    table = tabulate(rows, headers=heads, tablefmt="plain", colalign=align, disable_numparse=True)
    return indent(table, "  ")


def _clip(text: str, width: int) -> str:
    """Cut a text that is too long for its column; names are the user's and may be any length."""
    clean = " ".join(text.split())
    return clean if len(clean) <= width else clean[: width - 2] + ".."


def _wrapped(text: str, margin: int) -> list[str]:
    space = " " * margin
    return wrap(text, WIDTH, initial_indent=space, subsequent_indent=space)
