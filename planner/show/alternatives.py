"""Named alternatives compared in one table, for a person and for machines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.ask.whatif import Compared, Comparison, WhatIf
from planner.show.cautions import KEEPS
from planner.show.data import head, one, shape
from planner.show.difference import earned_range, sentence
from planner.show.json import plan_data
from planner.show.layout import WIDTH, clip, fitted_table, paragraphs, wrapped
from planner.show.whatif import answer_data
from planner.solve.plan import Plan

HEADS = ("", "earns", "paid for head", "bench", "trim over", "orders short")


def comparison_text(comparison: Comparison) -> str:
    """Today's plan, the alternatives by what they earn, and a sentence on each."""
    answers = [(row.name, row.answer) for row in comparison.rows if row.answer]
    longer = any(each.kind == "keeps" for row in comparison.rows for each in row.changes)
    return paragraphs(
        clip(comparison.today.scenario.title, WIDTH),
        _table(answers) if answers else "",
        *(wrapped(f"{clip(row.name, 60)}: {_told(row)}") for row in comparison.rows),
        wrapped(KEEPS) if longer else "",
    )


def _table(answers: Sequence[tuple[str, WhatIf]]) -> str:
    """Names give way to the figures; head is told where it costs more or less."""
    first = answers[0][1].beside
    score = f"score {first.before.scenario.units.money(first.before.score)}"
    figures = (first.paid.before, first.minutes.before, first.kinds[0].over.before)
    rows = [_row("today", score, first.before, *figures)]
    for name, answer in answers:
        beside = answer.beside
        figures = (beside.paid.after, beside.minutes.after, beside.kinds[0].over.after)
        alike = {"nothing changes": "changes nothing", "no difference": "no difference"}
        earns = alike.get(answer.verdict) or earned_range(answer)
        rows.append(_row(name, earns, beside.after, *figures))
    shown = [HEADS, *rows]
    if not any(answer.beside.paid.differs for _, answer in answers):
        shown = [(*row[:2], *row[3:]) for row in shown]
    return fitted_table(shown, (), ("left", *["right"] * (len(shown[0]) - 1)), WIDTH, (0,))


def _row(
    name: str, earns: str, plan: Plan, paid: float, minutes: float, over: float
) -> tuple[str, ...]:
    money, weight = plan.scenario.units.money(paid), plan.scenario.units.weight(over)
    bench, short = f"{minutes:,.0f} min", f"{len(plan.short) or '-'}"
    return clip(name, 30), earns, money, bench, weight, short


def _told(row: Compared) -> str:
    if row.answer:
        return sentence(row.answer)
    return f"cannot be kept: {'; '.join(row.conflict)}" if row.conflict else row.trouble


_TROUBLE = shape("changes: change, cannot = trouble, conflict")


def comparison_data(comparison: Comparison) -> dict[str, Any]:
    """The comparison as the maps and lists of its JSON.

    An alternative without a plan has `cannot`, and in `conflict` the rules and limits that clash.
    """
    return {
        **head(comparison.today.scenario),
        "before": plan_data(comparison.today),
        "alternatives": [
            {
                "name": row.name,
                **(
                    answer_data(row.answer, with_before=False) if row.answer else one(_TROUBLE, row)
                ),
            }
            for row in comparison.rows
        ],
    }
