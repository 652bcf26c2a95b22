"""A plan for a person: short lines, plain words, totals last, at most 100 columns."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from planner.files.check import Checked
from planner.files.kind import NAMES
from planner.lines import Batch, BenchDay, Break, CutLine, Sale
from planner.measures import POUNDS, WEEKDAYS, show_count, show_money, show_share, show_weight
from planner.plan import CENT, Plan
from planner.scenario import Lot
from planner.show.amounts import show_amount, show_rate
from planner.show.cautions import SHORT
from planner.show.layout import WIDTH, clip, listed, table, wrapped
from planner.show.species import (
    Group,
    by_species,
    grouped_table,
    heading,
    inset,
    lot_name,
    piece_name,
)

BREAK_COLUMNS = ("right", "left", "left", "left", "right", "right")
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
        "\n".join(wrapped(proof(plan), 0)),
        SHORT,
    ]
    return "\n\n".join(part for part in parts if part)


def proof(plan: Plan) -> str:
    """One sentence: how far from the best possible the plan can be at most."""
    score, bound = (show_money(each, plan.scenario.money) for each in (plan.score, plan.bound))
    if plan.within < CENT:
        said = (
            f"Proven: within these rules no plan beats {score}, "
            "a bench minute weighed at a tenth of a cent."
        )
    else:
        share = f" ({plan.within / abs(plan.score):.2%})" if plan.score else ""
        within = show_money(plan.within, plan.scenario.money)
        said = f"Best possible at most {bound}: this plan is within {within}{share} of it."
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
            lines.append(f"{each.file}: a sound {NAMES[each.kind or 'scenario']}{odd}")
    return "\n".join(lines)


def _date(plan: Plan, day: int) -> str:
    when = plan.scenario.starts + timedelta(days=day)
    return f"{WEEKDAYS[when.weekday()]} {when.day} {MONTHS[when.month - 1]}"


def _head(plan: Plan) -> str:
    scenario = plan.scenario
    first, last = scenario.starts, scenario.starts + timedelta(days=scenario.days - 1)
    span = _date(plan, 0)
    if scenario.days > 1:
        year = f" {first.year}" if first.year != last.year else ""
        span += f"{year} to {_date(plan, scenario.days - 1)}"
    return f"{clip(scenario.title, WIDTH)}\n{span} {last.year}"


def _day(plan: Plan, day: int) -> str:
    """A day's work: what comes in, what is cut and ground, what is put aside and marked down."""
    lots = [lot for lot in plan.scenario.lots if lot.arrives == day]
    lines = [line for lot in lots for line in wrapped(f"in: {_arrival(plan, lot)}", 2)]
    lines += _breaks(plan, [each for each in plan.breaks if each.day == day])
    batches = [each for each in _ground(plan) if each.day == day]
    lines += listed("grind", [f"{each.blend} {_grind(plan, each)}" for each in batches])
    sales = [sale for sale in plan.sales if sale.day == day]
    aside = [sale for sale in sales if sale.to not in ("walk-in", "markdown")]
    lines += listed("set aside", [f"{_sold(plan, sale)} for {sale.to}" for sale in aside])
    marked = [sale for sale in sales if sale.to == "markdown"]
    lines += listed(
        "mark down",
        [
            f"{_sold(plan, sale)} at {show_rate(plan.scenario, sale.cut, sale.price)}"
            for sale in marked
        ],
    )
    if not lines:
        return ""
    return "\n".join(
        [f"{_date(plan, day).upper():<{WIDTH - 30}}{_bench(plan.bench[day]):>30}", *lines]
    )


def _bench(bench: BenchDay) -> str:
    used = f"{bench.minutes:.0f} min"
    if bench.available is not None:
        used = f"{bench.minutes:.0f} of {bench.available:.0f} min"
    over = round(bench.overtime)
    return f"{used}, {over} over" if over else used


def _arrival(plan: Plan, lot: Lot) -> str:
    counted = lot.recipe.calls(lot.word, lot.piece)  # the word says it already
    name = lot.recipe.species if counted else lot_name(plan.scenario, lot)
    what = f"{name}, {show_weight(lot.weight, plan.scenario.unit)} each"
    number = f"{lot.count} {lot.word}".strip()
    if not lot.up_to:
        return f"{number} {what}"
    head = sum(each.head for each in plan.bought if each.lot == lot.index)
    return f"up to {number} {what}: buy {head or 'none'}"


def _from_lot(plan: Plan, number: int) -> str:
    """`mon lamb, 58.0 lb each`: which lot is meant."""
    lot = plan.scenario.lots[number]
    day, unit = plan.scenario.day_labels[lot.arrives], plan.scenario.unit
    name = clip(lot_name(plan.scenario, lot), 30)
    return f"{day} {name}, {show_weight(lot.weight, unit)} each"


def _breaks(plan: Plan, breaks: Sequence[Break]) -> list[str]:
    """One line a break; where several lots are cut, each lot's under a line of its own."""
    if not breaks:
        return []
    rows = table([_break_row(plan, each) for each in breaks], (), BREAK_COLUMNS).split("\n")
    if len({each.lot for each in breaks}) == 1:
        return rows
    lines, lot = [], -1
    for each, line in zip(breaks, rows, strict=True):
        if each.lot != lot:
            lot = each.lot
            lines.append(f"  from {_from_lot(plan, lot)}")
        lines.append(f"  {line}")
    return lines


def _break_row(plan: Plan, each: Break) -> list[str]:
    way = plan.scenario.lots[each.lot].recipe.pieces[each.piece].ways[each.way]
    piece = piece_name(plan.scenario, each.species, each.piece)
    weight = show_weight(each.weight, plan.scenario.unit)
    names = [clip(piece, 26), clip(each.way, 28), clip(way.tool, 12)]
    return [f"{each.count}", *names, weight, _minutes(each.minutes)]


def _minutes(minutes: float) -> str:
    return "<1 min" if 0 < minutes < 0.5 else f"{minutes:.0f} min"


def _grind(plan: Plan, batch: Batch) -> str:
    time = f" ({_minutes(batch.minutes)})" if batch.minutes else ""
    return f"{_made(plan, batch)}{time}"


def _ground(plan: Plan) -> list[Batch]:
    """Batches that do not show as nothing: half an ounce that fits is no work for the grinder."""
    unit = plan.scenario.unit
    nothing = show_weight(0.0, unit)
    return [each for each in plan.batches if show_weight(each.made, unit) != nothing]


def _made(plan: Plan, batch: Batch) -> str:
    """`15.0 lb in 3 batches`."""
    number = f" in {show_count(batch.batches, 'batch', 'batches')}" if batch.batches else ""
    return f"{show_weight(batch.made, plan.scenario.unit)}{number}"


def _sold(plan: Plan, sale: Sale) -> str:
    return f"{show_amount(plan.scenario, sale.cut, sale.amount)} {clip(sale.cut, 40)}"


def _case(plan: Plan) -> str:
    """The case by cut; what was wanted but neither there nor made goes into a line below."""
    unit, money = plan.scenario.unit, plan.scenario.money
    groups = [
        _case_group(plan, species, lines)
        for species, lines in by_species(plan.scenario, plan.cuts, lambda line: line.species)
    ]
    if not any(group.rows for group in groups):
        return ""
    heads = ("", "had", "made", "sold", "ground", "wasted", "left", "short", money)
    told = [group for group in groups if group.rows or group.below]
    return f"CASE ({unit})\n{grouped_table(told, heads, ('left', *['right'] * 8))}"


def _case_group(plan: Plan, species: str, lines: Sequence[CutLine]) -> Group:
    margin = inset(plan.scenario)
    rows, missed = [], []
    for line in lines:
        figures = (line.on_hand, line.made, line.sold, line.blended, line.wasted, line.left)
        shown = [_figure(plan, line.by_each, value) for value in (*figures, line.unmet)]
        if any(figure != "-" for figure in shown[:-1]):
            each, width = (" (each)", 23) if line.by_each else ("", 26)
            name = f"{clip(line.cut, width - margin)}{each}"
            rows.append([name, *shown, f"{line.revenue:,.2f}" if line.revenue else "-"])
        elif shown[-1] != "-":
            missed.append(f"{clip(line.cut, 32)} {shown[-1]}")
    below = wrapped(f"wanted but not cut: {', '.join(missed)}", 2 + margin) if missed else []
    return Group(species, rows, below)


def _figure(plan: Plan, by_each: bool, value: float) -> str:
    """A figure of the case table; a dash for what rounds to nothing."""
    amount = value if by_each else value / POUNDS[plan.scenario.unit]
    text = f"{amount:.0f}" if by_each or amount >= 10_000 else f"{amount:.1f}"
    return "-" if float(text) == 0 else text


def _orders(plan: Plan) -> str:
    scenario = plan.scenario
    if not scenario.orders:
        return ""
    short = {each.order: each for each in plan.short}
    lines = ["ORDERS"]
    for order in sorted(scenario.orders, key=lambda order: (order.day, order.index)):
        cut = scenario.cuts[order.cut]
        amount = show_amount(scenario, cut.name, order.amount)
        who, what = clip(order.buyer, 28), f"{amount} {clip(cut.name, 32)}"
        text = f"  {scenario.day_labels[order.day]}  {who}: {what}"
        if order.index not in short:
            lines.append(f"{text} - filled")
            continue
        missing = short[order.index]
        lines.append(f"{text} - SHORT {show_amount(scenario, cut.name, missing.short)}")
        if missing.binds:
            lines.append(f"       what binds: {clip('; '.join(missing.binds), WIDTH - 20)}")
    return "\n".join(lines)


def _blends(plan: Plan) -> str:
    scenario = plan.scenario
    groups = by_species(scenario, _ground(plan), lambda batch: scenario.cuts[batch.blend].species)
    lines = []
    for species, batches in groups:
        lines += heading(species)
        lines += [line for batch in batches for line in _batch(plan, batch)]
    return "\n".join(["BLENDS", *lines]) if lines else ""


def _batch(plan: Plan, batch: Batch) -> list[str]:
    unit, margin = plan.scenario.unit, inset(plan.scenario)
    shown = {cut: show_weight(pounds, unit) for cut, pounds in batch.takes.items()}
    parts = ", ".join(f"{cut} {text}" for cut, text in shown.items() if text[:4] != "0.0 ")
    fat = "" if batch.fat is None else f", fat {show_share(batch.fat)}"
    if plan.scenario.cuts[batch.blend].kind == "fat":
        fat = ""  # rendered: that is what it is
    day = f"{' ' * margin}  {plan.scenario.day_labels[batch.day]}"
    return [
        f"{day}  {clip(batch.blend, 40)} {_made(plan, batch)}{fat}",
        *wrapped(f"from {parts}", 7 + margin),
    ]


def _whole(plan: Plan) -> str:
    scenario = plan.scenario
    margin = 2 + inset(scenario)
    groups = by_species(scenario, plan.uncut, lambda each: scenario.lots[each.lot].recipe.species)
    lines: list[str] = []
    for species, uncut in groups:
        lines += heading(species)
        for each in uncut:
            weight = show_weight(each.weight, scenario.unit)
            fate = "OUT OF DATE uncut" if each.wasted else "left whole, in date"
            which = f" ({_from_lot(plan, each.lot)})" if len(scenario.lots) > 1 else ""
            said = f"{each.count} {clip(each.piece, 60)}, {weight}: {fate}{which}"
            lines += wrapped(said, margin)
    return "\n".join(["NOT CUT", *lines]) if lines else ""


def _money(plan: Plan) -> str:
    scenario = plan.scenario
    rows = [("revenue", plan.revenue)]
    spending = {"overtime": plan.overtime, "head bought": plan.buying, "disposal": plan.disposal}
    rows += [(name, -value) for name, value in spending.items() if value]
    if plan.carry:
        rows.append(("carried into the next period", plan.carry))
    rows.append(("SCORE", plan.score))
    shown = [[name, show_money(value, scenario.money)] for name, value in rows]
    text = f"MONEY\n{table(shown, (), ('left', 'right'))}"
    if plan.paid:
        paid = show_money(plan.paid, scenario.money)
        text += f"\n  (head already on the rail, paid either way: {paid})"
    return text
