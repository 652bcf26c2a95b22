"""A plan held against the checker and the second model."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from .checker import MINUTE_TIE, check, tie_weight
from .reader import read_shop
from .second_best import best_score

SLACK = 2e-4  # what solvers' tolerances of 1e-6 on stock and orders can be worth in money


def disagreements(
    scenario_path: str | Path, plan: dict[str, Any] | None, asked: float | None = None
) -> list[str]:
    """Sentences on everything a plan claims that the two deny.

    `plan` is None where the program says that the rules cannot be kept. Plans are compared by
    score less tie weights, because the best plan by that measure is the one that is asked for;
    a plan may fall behind by no more than it states in `within`, and by no more than was `asked`
    (money) where that is given.
    """
    best = best_score(scenario_path, 1e-9)
    if plan is None or not best.feasible:
        return [] if plan is None and not best.feasible else [f"plan {plan}, model {best}"]
    found = check(scenario_path, plan)
    if found:
        return found
    slack = SLACK + 1e-6 * abs(best.objective)
    buyers = {order.buyer for order in read_shop(scenario_path).orders}
    sales = [row for row in plan["sales"] if row["to"] in buyers]
    filled = sum(row["amount"] * row["price"] for row in sales)
    if abs(filled - best.filled) > slack:
        found.append(f"orders filled are worth {filled:.6f}, could be {best.filled:.6f}")
    reached = plan["score"] - tie_weight(scenario_path, plan)
    most = best.bound
    if reached > most + slack:  # a few grains of an order less may be worth a carcass
        most = best_score(scenario_path, 1e-9, filled=filled).bound
    if reached > most + slack:
        found.append(f"the plan reaches {reached:.6f}, at most {most:.6f} is possible")
    allowed = plan["within"] if asked is None else min(asked, plan["within"])
    # Nights are left out here: how many a surplus lies depends on whether the old or the fresh is
    # sold first, which no score depends on. The second model may sell the fresh and bin the old.
    minutes = MINUTE_TIE * sum(row["minutes"] for row in plan["bench"])
    reached = plan["score"] - minutes
    if reached < best.objective - allowed - slack:
        found.append(f"the plan reaches {reached:.6f}, {best.objective:.6f} is possible")
    # `bound` counts the ties of its own plan, so they come off before it is held against a plan
    # that may have more minutes and, for them, a little more score.
    if plan["bound"] - minutes < best.objective - slack:
        found.append(f"best possible is said {plan['bound']:.6f}, {best.score:.6f} is possible")
    return found
