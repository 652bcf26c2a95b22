"""Many weeks in one table, for a person and for machines; and what was wrong with some of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from planner.core.quantities import show_count
from planner.core.word_lists import first_few
from planner.many.weeks import WeekRow, Weeks
from planner.show.cautions import KEEPS
from planner.show.data import CHANGE, FORMAT, one, rows, shape
from planner.show.difference import earned_range
from planner.show.json import PROBLEM, plan_data
from planner.show.layout import WIDTH, paragraphs, shortened, table, wrapped
from planner.show.whatif import DIFFERENCE
from planner.solve.plan import CENT, Plan

HEADS = ("score", "earns", "within", "short", "seconds", "ended by")
ENDED = {
    "proven": "proof",
    "within tolerance": "tolerance",
    "held": "list",
    "time limit": "time limit",
}
NAMED = 3  # rows that are named where one fault is that of several


def weeks_text(weeks: Weeks) -> str:
    """One row for each plan, in the order asked for, and how many there are."""
    longer = any(each.kind == "keeps" for row in weeks.rows for each in row.changes)
    return paragraphs(
        _table(weeks.rows), wrapped(_counted(weeks)), wrapped(KEEPS) if longer else ""
    )


def _table(rows: Sequence[WeekRow]) -> str:
    """Names are shortened to what the figures leave; trouble stands across their columns."""
    shown = [HEADS, *(_figures(row, row.plan) if row.plan else ("",) * len(HEADS) for row in rows)]
    if not any(row.name for row in rows):
        shown = [(row[0], *row[2:]) for row in shown]
    figures = table(shown, (), (*["right"] * (len(shown[0]) - 1), "left")).split("\n")
    names = [f"  + {row.name}" if row.name else row.file for row in rows]
    room = max(20, WIDTH - 2 - max(map(len, figures)))
    width = min(room, max(map(len, names)))
    for number, row in enumerate(rows, start=1):
        if row.trouble:
            figures[number] = f"  {row.trouble.brief}"
    names = ["", *(shortened(name, width) for name in names)]
    lines = [f"  {name:<{width}}{line}" for name, line in zip(names, figures, strict=True)]
    return "\n".join(line.rstrip() for line in lines)


def _figures(row: WeekRow, plan: Plan) -> tuple[str, ...]:
    money = plan.scenario.units.money
    score = money(plan.score)
    within = money(plan.within) if plan.within >= CENT else "-"
    short = f"{len(plan.short) or '-'}{'' if plan.orders_proven else ', open'}"
    return score, _earns(row), within, short, f"{plan.seconds:.1f}", ENDED[plan.status]


def _earns(row: WeekRow) -> str:
    if row.effect is None:
        return ""
    alike = row.effect.verdict == "no difference"
    return "no difference" if alike else earned_range(row.effect)


def _counted(weeks: Weeks) -> str:
    planned = sum(row.plan is not None for row in weeks.rows)
    said = f"{planned} of {show_count(len(weeks.rows), 'plan')} made in {weeks.seconds:.1f} s."
    effects = [row.effect for row in weeks.rows if row.effect]
    if effects:
        said += " earns: how much the changes add to the best score; the two ends are proven."
    if not all(each.settled for each in effects):
        said += " open: not settled yet; --within 0.02% or less brings the ends closer."
    return said


def faults_text(weeks: Weeks) -> str:
    """What is wrong with rows that have no plan, each fault once; empty where all have one."""
    lines: dict[str, list[str]] = {}
    for row in weeks.rows:
        for text, own in _faults(row):
            lines.setdefault(text, []).extend([] if own else [row.file])
    return "\n".join(
        f"{text} ({first_few(list(dict.fromkeys(files)), NAMED)})" if files else text
        for text, files in lines.items()
    )


def _faults(row: WeekRow) -> Iterator[tuple[str, bool]]:
    """Each with whether it says itself whose it is."""
    if row.trouble is None:
        return
    if not row.trouble.problems:
        yield f"{row.label}: {row.trouble.message}", True
    for problem in row.trouble.problems:
        yield str(problem), problem.file in (row.file, row.path)


def weeks_data(weeks: Weeks) -> dict[str, Any]:
    """All rows as the maps and lists of their JSON, in the order of the table.

    A row has `plan`, or `error` and `exit code`. That of an alternative has its name and `changes`
    too, and `difference` where its file has a plan as it is; see `whatif`.
    """
    return {"format": FORMAT, "weeks": [_data(row) for row in weeks.rows]}


def _data(row: WeekRow) -> dict[str, Any]:
    data: dict[str, Any] = {"file": row.file}
    if row.name:
        data |= {"alternative": row.name, "changes": rows(CHANGE, row.changes)}
    if row.effect:
        data["difference"] = one(DIFFERENCE, row.effect)
    if row.plan:
        data["plan"] = plan_data(row.plan)
    if row.trouble:
        data |= one(_TROUBLE, row.trouble)
    return data


_TROUBLE = shape("error = message, exit code, problems?: problem, conflict?", problem=PROBLEM)
