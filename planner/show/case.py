"""The case by cut: one table, or two where there is no room for all figures side by side."""

from __future__ import annotations

from collections.abc import Sequence

from planner.core.plan_lines import CutLine
from planner.core.quantities import POUNDS
from planner.show.layout import WIDTH, clip, columns_of, cut_name, paragraphs, room_beside, wrapped
from planner.show.species import INSET, Group, by_species, grouped_table, inset
from planner.solve.plan import Plan

HEADS = ("", "had", "made", "sold", "ground", "wasted", "left", "short")
"""Names, then figures; the money that a cut brought stands last."""

FIRST = (0, 2, 3, 6, 7, 8)
SECOND = (0, 1, 4, 5)
"""Columns of the two tables."""

ENOUGH = 22  # columns in which most names can be read: with fewer, two tables are better than one

NOTHING = "-"


def case_text(plan: Plan, width: int = WIDTH) -> str:
    """Figures of each cut; what was wanted but neither there nor made stands in a line below.

    In a narrow terminal, what was had, ground and wasted goes into a second table, with a row only
    for cuts that have any of it.
    """
    groups = [
        _group(plan, species, lines, width)
        for species, lines in by_species(plan.scenario, plan.cuts)
    ]
    rows = [row for group in groups for row in group.rows]
    if not rows:
        return ""
    unit, heads = plan.scenario.unit, (*HEADS, plan.scenario.money)
    room = room_beside(rows, heads, width - inset(plan.scenario), (0,))
    if room >= min(ENOUGH, max(columns_of(row[0]) for row in rows)):
        align = ("left", *["right"] * (len(heads) - 1))
        told = [group for group in groups if group.rows or group.below]
        return f"CASE ({unit})\n{grouped_table(told, heads, align, width, (0,))}"
    aside = _part([Group(each.species, each.rows) for each in groups], heads, SECOND, width)
    return paragraphs(
        f"CASE ({unit})\n{_part(groups, heads, FIRST, width)}",
        aside and f"HAD, GROUND, WASTED ({unit})\n{aside}",
    )


def _part(groups: Sequence[Group], heads: Sequence[str], columns: Sequence[int], width: int) -> str:
    """Some columns of the rows that have a figure in them; empty where there is nothing to tell."""
    told = []
    for group in groups:
        rows = [[row[number] for number in columns] for row in group.rows]
        kept = [row for row in rows if any(figure != NOTHING for figure in row[1:])]
        if kept or group.below:
            told.append(Group(group.species, kept, group.below))
    if any(group.rows for group in told):  # as a row, heads take no more than they need
        told.insert(0, Group("", [[heads[number] for number in columns]]))
        return grouped_table(told, (), ("left", *["right"] * (len(columns) - 1)), width, (0,))
    return "\n".join(line for group in told for line in group.below)


def _group(plan: Plan, species: str, lines: Sequence[CutLine], width: int) -> Group:
    margin = inset(plan.scenario)
    rows, missed = [], []
    for line in lines:
        figures = (line.on_hand, line.made, line.sold, line.blended, line.wasted, line.left)
        shown = [_figure(plan, line.by_each, value) for value in (*figures, line.unmet)]
        if any(figure != NOTHING for figure in shown[:-1]):
            name = clip(cut_name(line.cut, line.by_each), (30 if line.by_each else 26) - margin)
            rows.append([name, *shown, f"{line.revenue:,.2f}" if line.revenue else NOTHING])
        elif shown[-1] != NOTHING:
            missed.append(f"{clip(line.cut, 32)} {shown[-1]}")
    said = f"wanted but not cut: {', '.join(missed)}"
    return Group(species, rows, wrapped(said, INSET + margin, width) if missed else [])


def _figure(plan: Plan, by_each: bool, value: float) -> str:
    """A figure of the case table; a dash for what rounds to nothing."""
    amount = value if by_each else value / POUNDS[plan.scenario.unit]
    text = f"{amount:.0f}" if by_each or amount >= 10_000 else f"{amount:.1f}"
    return NOTHING if float(text) == 0 else text
