"""The second model solved: the best week, orders first."""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from .reader import read_shop
from .second_model import SecondModel


@dataclass(frozen=True)
class Answer:
    """What the second model found.

    `score` is the pure score at its plan, `objective` the score less the tie weights, `bound`
    the proven upper limit of `objective`, `filled` the order value (`ordered` if all is filled).
    """

    feasible: bool
    score: float = 0.0
    objective: float = 0.0
    bound: float = 0.0
    filled: float = 0.0
    ordered: float = 0.0
    all_filled: bool = True
    seconds: float = 0.0


def best_week(
    model: SecondModel, objective: np.ndarray, gap: float, order_value: float | None = None
):
    """milp's result for the most of an objective, orders first; and whether all are filled.

    With an `order_value` plans are asked to fill that much and no more.
    """
    lower = np.zeros(len(model.upper))
    if order_value is not None:
        for room in (
            1e-8,
            1e-6,
        ):  # a few grains less may be worth a carcass: the second if it must be
            hold = [(model.order_value, order_value - room * max(1.0, order_value), np.inf)]
            result = model.solve(objective, lower, hold, gap)
            if result.x is not None:
                break
        return result, False
    every = lower.copy()
    every[model.shortfalls] = np.array(model.upper)[model.shortfalls]
    result = model.solve(objective, every, [], gap)
    all_filled = result.x is not None
    if not all_filled and model.shortfalls:
        value = model.vector(model.order_value)
        most = model.solve(value, lower, [], 0.0)
        if most.x is not None:
            result, _ = best_week(model, objective, gap, value @ most.x)
            assert result.x is not None, result.message
    assert result.x is not None or result.status == 2, result.message
    return result, all_filled


def best_score(
    scenario_path: str | Path,
    gap: float = 1e-6,
    ties: bool = True,
    filled: float | None = None,
) -> Answer:
    """The best score of a scenario, orders first.

    With ``ties=False`` the tie weights are left out, so that `objective` and `bound` are pure.
    With an order value `filled` the best of the plans that fill that much.
    """
    began = time.perf_counter()
    model = SecondModel(read_shop(scenario_path))
    money, order_value = model.vector(model.money), model.vector(model.order_value)
    objective = money - model.vector(model.ties) if ties else money
    result, all_filled = best_week(model, objective, gap, filled)
    if result.x is None:
        return Answer(False, seconds=time.perf_counter() - began)
    return Answer(
        True,
        money @ result.x,
        objective @ result.x,
        -result.mip_dual_bound,
        order_value @ result.x,
        sum(order.amount * order.price for order in model.shop.orders),
        all_filled,
        time.perf_counter() - began,
    )
