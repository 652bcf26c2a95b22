"""Named alternatives compared in one table, for a person and for machines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.ask.whatif import Compared, Comparison, WhatIf
from planner.core.quantities import show_money, show_weight
from planner.show.cautions import KEEPS
from planner.show.data import CHANGE, head, json_text, rows
from planner.show.difference import earned_range, sentence
from planner.show.json import plan_data
from planner.show.layout import WIDTH, clip, table, wrapped
from planner.show.whatif import answer_data
from planner.solve.plan import Plan

HEADS: tuple[str, ...] = ("earns", "paid for head", "bench", "trim over", "orders short")
NAME = 30
LEAST_NAME = 12


def comparison_text(comparison: Comparison) -> str:
    """Today's plan, the alternatives by what they earn, and a sentence on each."""
    today = comparison.today
    answers = [(row.name, row.answer) for row in comparison.rows if row.answer]
    parts = [clip(today.scenario.title, WIDTH)]
    if answers:
        parts.append(_table(answers))
    parts += ["\n".join(wrapped(f"{clip(row.name, 60)}: {_told(row)}")) for row in comparison.rows]
    if any(each.kind == "keeps" for row in comparison.rows for each in row.changes):
        parts.append("\n".join(wrapped(KEEPS)))
    return "\n\n".join(parts)


def _table(answers: Sequence[tuple[str, WhatIf]]) -> str:
    """Names are clipped to what the figures leave; head is told where it costs more or less."""
    first = answers[0][1].beside
    score = f"score {show_money(first.before.score, first.before.scenario.money)}"
    figures = (first.paid.before, first.minutes.before, first.trim.over.before)
    rows = [_row(score, first.before, *figures)]
    for _, answer in answers:
        beside = answer.beside
        figures = (beside.paid.after, beside.minutes.after, beside.trim.over.after)
        rows.append(_row(_earned(answer), beside.after, *figures))
    shown = [HEADS, *rows]
    if not any(answer.beside.paid.differs for _, answer in answers):
        shown = [(row[0], *row[2:]) for row in shown]
    room = WIDTH - sum(2 + max(map(len, column)) for column in zip(*shown, strict=True)) - 2
    names = ("", "today", *(name for name, _ in answers))
    width = max(LEAST_NAME, min(NAME, room))
    shown = [(clip(name, width), *row) for name, row in zip(names, shown, strict=True)]
    return table(shown, (), ("left", *["right"] * (len(shown[0]) - 1)))


def _row(earns: str, plan: Plan, paid: float, minutes: float, over: float) -> tuple[str, ...]:
    money, weight = show_money(paid, plan.scenario.money), show_weight(over, plan.scenario.unit)
    return earns, money, f"{minutes:,.0f} min", weight, f"{len(plan.short) or '-'}"


def _earned(answer: WhatIf) -> str:
    if answer.verdict == "nothing changes":
        return "changes nothing"
    if answer.verdict == "no difference":
        return "no difference"
    return earned_range(answer)


def _told(row: Compared) -> str:
    if row.answer:
        return sentence(row.answer)
    return f"cannot be kept: {'; '.join(row.conflict)}" if row.conflict else row.trouble


def comparison_json(comparison: Comparison) -> str:
    """The comparison as JSON text.

    An alternative without a plan has `cannot`, and in `conflict` the rules and limits that clash.
    """
    return json_text(
        {
            **head(comparison.today.scenario),
            "before": plan_data(comparison.today),
            "alternatives": [{"name": row.name, **_data(row)} for row in comparison.rows],
        }
    )


def _data(row: Compared) -> dict[str, Any]:
    if row.answer:
        return answer_data(row.answer, with_before=False)
    return {
        "changes": rows(CHANGE, row.changes),
        "cannot": row.trouble,
        "conflict": list(row.conflict),
    }
