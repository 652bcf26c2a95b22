"""Case stock that keeps longer than the cut freshly made, and recipes of great depth."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.outside.compare import disagreements
from tests.planning import TIGHT, json_of, plan_of

CHOPS = """
species: lamb
root: carcass
pieces:
  carcass: {keeps: 3 days, ways: {all: {minutes: 5, gives: {chops: 100%}}}}
cuts:
  chops: {kind: chop, keeps: 2 days}
"""

WEEK = """
title: Ten pounds of old chops and fifty of wednesday's
starts: 2026-11-30
days: DAYS
recipes: [lamb.yaml]
rail: [{lamb: 1 head at 50 lb, arrives: wed, keeps: 1 day}]
case: {chops: {amount: 10 lb, keeps: 3 days}}     # to be used on mon, tue, wed
demand:
  chops: DEMAND
carry: 50%
disposal: 1/lb
"""


def written(folder: Path, recipe: str, scenario: str) -> Path:
    (folder / "lamb.yaml").write_text(recipe)
    (folder / "shop.yaml").write_text(scenario)
    return folder / "shop.yaml"


@pytest.mark.parametrize(
    ("days", "demand", "score"),
    [
        # thursday's chops can only be wednesday's; the old ones are binned: 50 x 10 - 10
        (4, "{price: 10/lb, want: {thu: 70 lb}}", 490.0),
        # nothing is sold, wednesday's fifty are carried at half: 50 x 5 - 10
        (3, "{price: 10/lb}", 240.0),
        # the old ones go at the markdown on tuesday: 10 x 3 + 50 x 5
        (3, "{price: 10/lb, markdown: {price: 3/lb, want: {tue: 10 lb}}}", 280.0),
        # old ones first on wednesday, so that thursday has all the fresh: 10 x 10 + 50 x 10
        (4, "{price: 10/lb, want: {wed: 10 lb, thu: 70 lb}}", 600.0),
    ],
)
def test_old_stock_does_not_grow_young(tmp_path, days, demand, score):
    week = WEEK.replace("DAYS", str(days)).replace("DEMAND", demand)
    path = written(tmp_path, CHOPS, week)
    plan = json_of(path)
    assert plan is not None
    assert plan["score"] == pytest.approx(score)
    assert disagreements(path, plan, asked=TIGHT.amount) == []


def test_a_recipe_may_be_deep_and_wide(tmp_path):
    """Values and shares are worked out once for each piece, however many paths lead to it."""
    deep = [f"  p{n}: {{keeps: 9 days, ways: {{a: {{gives: {{p{n + 1}: 1 at 100%}}}}, "
            f"b: {{gives: {{p{n + 1}: 1 at 100%}}}}}}}}" for n in range(400)]  # fmt: skip
    recipe = "\n".join(
        [
            "species: lamb",
            "root: p0",
            "pieces:",
            *deep,
            "  p400: {keeps: 9 days, ways: {a: {gives: {chops: 100%}}}}",
            "cuts:",
            "  chops: {kind: chop, keeps: 2 days}",
        ]
    )
    week = WEEK.replace("DAYS", "3").replace("DEMAND", "{price: 10/lb}")
    plan = plan_of(written(tmp_path, recipe, week.replace("keeps: 1 day}", "keeps: 3 days}")))
    assert plan.score == pytest.approx(50 * 5 - 10)
