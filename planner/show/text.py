"""A plan for a person: short lines, plain words, totals last, in the columns there are."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from planner.core.errors import told, warned
from planner.core.plan_lines import Batch, Break, Uncut, way_cut
from planner.core.quantities import show_count, show_share
from planner.core.scenario import Lot, Scenario
from planner.files.check import Checked
from planner.files.file_kind import NAMES
from planner.show.case import case_text
from planner.show.cautions import ALL, SHORT
from planner.show.dates import show_bench, show_date, show_minutes
from planner.show.later import HEAD, later_words
from planner.show.layout import (
    WIDTH,
    clip,
    listed,
    paragraphs,
    section,
    table,
    wrapped,
)
from planner.show.missing import missing_words
from planner.show.species import (
    FEW,
    UNCUT,
    Group,
    grouped_table,
    lines_by_species,
    lot_label,
    lot_name,
    piece_name,
)
from planner.solve.plan import CENT, Plan


def plan_text(plan: Plan, width: int = WIDTH) -> str:
    """The whole plan: breaks by day, the case, orders, blends, money and proof.

    Lines have at most `width` columns, if these are 60 or more.
    """
    missing, later = missing_words(plan.scenario), later_words(plan)
    return paragraphs(
        [clip(plan.scenario.title, width), span(plan)],
        [line for each in missing for line in wrapped(each, 0, width, 2)],
        *(_day(plan, day, width) for day in range(plan.scenario.days)),
        case_text(plan, width),
        orders_text(plan, width),
        section(HEAD, [line for each in later for line in wrapped(each, 2, width, 5)]),
        section("BLENDS", _blends(plan, width)),
        section("NOT CUT", _whole(plan, width)),
        _money(plan, width),
        wrapped(proof(plan), 0, width),
        wrapped(SHORT, 0, width),
    )


def proof(plan: Plan) -> str:
    """One sentence: how far from the best possible the plan can be at most."""
    score, bound = (plan.scenario.units.money(each) for each in (plan.score, plan.bound))
    if plan.within < CENT:
        said = (
            f"Proven: within these rules no plan beats {score}, "
            "a bench minute weighed at a tenth of a cent."
        )
    else:
        share = f" ({plan.within / abs(plan.score):.2%})" if plan.score else ""
        within = plan.scenario.units.money(plan.within)
        said = f"Best possible at most {bound}: this plan is within {within}{share} of it."
    if plan.parts > 1:
        said = (
            f"Too much to plan as a whole: planned in {plan.parts} parts one after the other in "
            f"{plan.seconds:.1f} s. {said}"
        )
    elif plan.status == "time limit":
        said = f"Stopped by the time limit after {plan.seconds:.1f} s. {said}"
    if not plan.orders_proven:
        said += " Whether more of the orders could be filled was not settled in that time."
    return said


def cautions_text(width: int = WIDTH) -> str:
    """All cautions."""
    return "\n".join(["CAUTIONS", *(line for each in ALL for line in wrapped(each, 2, width, 2))])


def checked_text(found: Sequence[Checked]) -> str:
    """What was found in files: one line a fault, then one line a file."""
    lines = []
    for each in found:
        lines += [*told(each.problems), *warned(each.warnings)]
        if each.problems:
            lines.append(f"{each.file}: {show_count(len(each.problems), 'fault')}")
        else:
            warnings = f", {show_count(len(each.warnings), 'warning')}" if each.warnings else ""
            lines.append(f"{each.file}: a sound {NAMES[each.kind or 'scenario']}{warnings}")
    return "\n".join(lines)


def span(plan: Plan) -> str:
    """`mon 30 nov to sat 5 dec 2026`: the days of the period."""
    scenario = plan.scenario
    first, last = scenario.starts, scenario.date(scenario.days - 1)
    text = show_date(scenario, 0)
    if scenario.days > 1:
        year = f" {first.year}" if first.year != last.year else ""
        text += f"{year} to {show_date(scenario, scenario.days - 1)}"
    return f"{text} {last.year}"


def show_made(scenario: Scenario, batch: Batch) -> str:
    """`15.0 lb in 3 batches`."""
    number = f" in {show_count(batch.batches, 'batch', 'batches')}" if batch.batches else ""
    return f"{scenario.units.weight(batch.made)}{number}"


def show_fat(scenario: Scenario, batch: Batch) -> str:
    """`fat 20.0%`; empty where nobody knows it, and of what is rendered: that is what it is."""
    rendered = scenario.cuts[batch.blend].kind == "fat"
    return "" if batch.fat is None or rendered else f"fat {show_share(batch.fat)}"


def _day(plan: Plan, day: int, width: int) -> list[str]:
    """A day's work: what comes in, what is cut and ground, what is put aside and marked down."""
    lots = [lot for lot in plan.scenario.lots if lot.arrives == day]
    pieces = _many_pieces(lots)
    told = {lot.index for lot in pieces}
    whole = [lot for lot in lots if lot.index not in told]
    lines = [line for lot in whole for line in wrapped(f"in: {_arrival(plan, lot)}", 2, width)]
    lines += listed("in the cooler", _by_piece(plan, pieces), width)
    lines += _breaks(plan, [each for each in plan.breaks if each.day == day], width)
    ground = [
        f"{each.blend} {show_made(plan.scenario, each)}"
        f"{f' ({show_minutes(each.minutes)})' if each.minutes else ''}"
        for each in _ground(plan)
        if each.day == day
    ]
    lines += listed("grind", ground, width)
    aside, marked = [], []
    for sale in (each for each in plan.sales if each.day == day):
        sold = f"{plan.scenario.show_amount(sale.cut, sale.amount)} {clip(sale.cut, 40)}"
        if sale.order is not None:
            aside.append(f"{sold} for {sale.to}")
        elif sale.to == "markdown":
            marked.append(f"{sold} at {plan.scenario.show_rate(sale.cut, sale.price)}")
    lines += [*listed("set aside", aside, width), *listed("mark down", marked, width)]
    date, bench = show_date(plan.scenario, day).upper(), show_bench(plan.bench[day])
    return section(f"{date:<{width - 30}}{bench:>30}", lines)


def _many_pieces(lots: Sequence[Lot]) -> list[Lot]:
    """Lots of pieces on hand, where there are so many that a line for each says less than one."""
    pieces = [lot for lot in lots if lot.piece not in lot.recipe.roots and not lot.up_to]
    return pieces if len(pieces) > FEW else []


def _by_piece(plan: Plan, lots: Sequence[Lot]) -> list[str]:
    """`9 shoulder, 5.5 to 7.6 lb each`: pieces of many lots, a text for each kind."""
    kinds: dict[str, list[Lot]] = {}
    for lot in lots:
        kinds.setdefault(lot.piece, []).append(lot)
    texts = []
    for alike in kinds.values():
        weight = plan.scenario.units.weight
        light, heavy = (weight(pick(lot.weight for lot in alike)) for pick in (min, max))
        weights = heavy if light == heavy else f"{light.split()[0]} to {heavy}"
        name = lot_name(plan.scenario, alike[0])
        texts.append(f"{sum(lot.count for lot in alike)} {name}, {weights} each")
    return texts


def _arrival(plan: Plan, lot: Lot) -> str:
    counted = lot.recipe.calls(lot.word, lot.piece)  # the word says it already
    name = lot.recipe.species if counted else lot_name(plan.scenario, lot)
    what = f"{name}, {plan.scenario.units.weight(lot.weight)} each"
    number = f"{lot.count} {lot.word}".strip()
    if not lot.up_to:
        return f"{number} {what}"
    return f"up to {number} {what}: buy {plan.head(lot) or 'none'}"


def _breaks(plan: Plan, breaks: Sequence[Break], width: int) -> list[str]:
    """One line a break; where several lots are cut, each lot's under a line of its own.

    Many lots of pieces are one: whoever takes a shoulder from the cooler takes the oldest.
    """
    numbers = sorted({each.lot for each in breaks})
    several = len(numbers) > 1
    said = several and width < WIDTH  # by the lot, which saves room
    pieces = {lot.index for lot in _many_pieces([plan.scenario.lots[each] for each in numbers])}

    def source(each: Break) -> str:
        if each.lot in pieces:
            return "the cooler"
        return lot_label(plan.scenario, each.lot, width - 7)

    groups = [
        Group(
            "",
            [_break_row(plan, each, species=not said) for each in group],
            above=[f"  from {name}"] if several else (),
        )
        for name, group in groupby(breaks, key=source)
    ]
    align = ("right", "left", "left", "left", "right", "right")
    return grouped_table(groups, (), align, width, (1, 2, 3)).split("\n") if breaks else []


def _break_row(plan: Plan, each: Break, *, species: bool = True) -> list[str]:
    way = way_cut(plan.scenario, each)
    piece = each.piece.removeprefix(f"{each.species} ")
    if species:
        piece = piece_name(plan.scenario, each.species, each.piece)
    weight = plan.scenario.units.weight(each.weight)
    names = [clip(piece, 26), clip(each.way, 28), clip(way.tool, 12)]
    return [f"{each.count}", *names, weight, show_minutes(each.minutes)]


def _ground(plan: Plan) -> list[Batch]:
    """Batches that do not show as nothing."""
    return [each for each in plan.batches if plan.scenario.units.shows(each.made)]


def orders_text(plan: Plan, width: int = WIDTH) -> str:
    """Every order by day, filled or how far short, and what binds; empty where there is none."""
    scenario = plan.scenario
    short = {each.order: each for each in plan.short}
    lines = []
    for order in sorted(scenario.orders, key=lambda order: (order.day, order.index)):
        cut = scenario.cuts[order.cut]
        amount = scenario.show_amount(cut.name, order.amount)
        who, what = clip(order.buyer, 28), f"{amount} {clip(cut.name, 32)}"
        text = f"{scenario.day_labels[order.day]}  {who}: {what}"
        if order.index not in short:
            lines += wrapped(f"{text} - filled", 2, width, 5)
            continue
        missing = short[order.index]
        said = f"{text} - SHORT {scenario.show_amount(cut.name, missing.short)}"
        lines += wrapped(said, 2, width, 5)
        if missing.binds:
            binds = clip("; ".join(missing.binds), WIDTH - 20)
            lines += wrapped(f"what binds: {binds}", 7, width)
    return "\n".join(section("ORDERS", lines))


def _blends(plan: Plan, width: int) -> list[str]:
    scenario = plan.scenario

    def show(batch: Batch, room: int) -> list[str]:
        parts = ", ".join(
            f"{cut} {scenario.units.weight(pounds)}"
            for cut, pounds in batch.takes.items()
            if scenario.units.shows(pounds)
        )
        fat = show_fat(scenario, batch)
        made = f"{clip(batch.blend, 40)} {show_made(scenario, batch)}{fat and ', '}{fat}"
        head = f"{scenario.day_labels[batch.day]}  {made}"
        return [*wrapped(head, 2, room, 5), *wrapped(f"from {parts}", 7, room)]

    return lines_by_species(
        scenario, _ground(plan), show, lambda each: scenario.cuts[each.blend].species, width
    )


def _whole(plan: Plan, width: int) -> list[str]:
    scenario = plan.scenario

    def show(each: Uncut, room: int) -> list[str]:
        weight = scenario.units.weight(each.weight)
        which = f" ({lot_label(plan.scenario, each.lot)})" if len(scenario.lots) > 1 else ""
        return wrapped(
            f"{each.count} {clip(each.piece, 60)}, {weight}: {UNCUT[each.wasted]}{which}", 2, room
        )

    return lines_by_species(
        scenario, plan.uncut, show, lambda each: scenario.lots[each.lot].recipe.species, width
    )


def money_rows(plan: Plan) -> list[tuple[str, str]]:
    """What the score is made of, line by line; the score last."""
    rows = [("revenue", plan.revenue)]
    spending = {"overtime": plan.overtime, "head bought": plan.buying, "disposal": plan.disposal}
    rows += [(name, -value) for name, value in spending.items() if value]
    if plan.carry:
        rows.append(("value of closing stock", plan.carry))
    rows.append(("SCORE", plan.score))
    return [(name, plan.scenario.units.money(value)) for name, value in rows]


def _money(plan: Plan, width: int) -> list[str]:
    lines = ["MONEY", table(money_rows(plan), (), ("left", "right"))]
    if plan.paid:
        paid = plan.scenario.units.money(plan.paid)
        lines += wrapped(f"(head already on the rail, paid either way: {paid})", 2, width, 1)
    return lines
