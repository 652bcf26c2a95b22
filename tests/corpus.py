"""Random shops, each planned once a run, that the tests of the questions share.

On a push there are a third of them, always the same; otherwise they are drawn anew. Which one a
test is about is told by its number: the same seed draws the same shops in the same order.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from hypothesis import given, seed, settings
from hypothesis import strategies as st

from planner.core.errors import RulesConflictError
from planner.core.scenario import Scenario
from planner.solve import Solution, solve
from planner.solve.plan import Plan, plan_week
from tests.outside.shops import Size, mixed_shops, shops
from tests.planning import TIGHT, once
from tests.solve.test_properties import SHOPS, scenario_of

SINGLE, MIXED = 40, 12

FIXED = 1  # the seed of the shops of every push: of these, all kinds that tests ask for are there
PASSED_BY = 3  # shops for each that is taken: hypothesis begins with the smallest
FOR_SALE = {"chops": "", "roast": "", "stew": "", "crown": "each"}


@dataclass(frozen=True)
class CorpusShop:
    """A shop and its best plan; both are None where its rules cannot be kept."""

    number: int
    scenario: Scenario
    solution: Solution | None
    plan: Plan | None


@st.composite
def busy_shops(draw: st.DrawFn) -> tuple[dict[str, Any], dict[str, Any]]:
    """Shops in which all but the by-products has a price: ways compete, prices break even."""
    recipe, scenario = draw(shops(Size(days=3, lots=2)))
    for cut, each in FOR_SALE.items():
        if cut in recipe["cuts"] and cut not in scenario["demand"]:
            unit, amount = each or scenario["unit"], draw(st.integers(2, 12))
            scenario["demand"][cut] = {
                "price": f"{draw(st.integers(300, 3000)) / 100:.2f}/{unit}",
                "want": f"{amount}" if each else f"{amount} {unit}",
            }
    return recipe, scenario


def _drawn(strategy: st.SearchStrategy[Any], many: int, number: int) -> list[Any]:
    """The last of many shops, no two of the same recipe: hypothesis likes to vary what it has."""
    found: list[Any] = []

    @seed(number)
    @settings(SHOPS, derandomize=False, database=None, max_examples=4 * PASSED_BY * many)
    @given(strategy)
    def collect(shop: Any) -> None:
        if len(found) < PASSED_BY * many and all(shop[0] != other[0] for other in found):
            found.append(shop)

    collect()
    return found[-many:]


def _planned(drawn: list[Any], first: int = 0) -> list[CorpusShop]:
    made = []
    for number, files in enumerate(drawn, first):
        scenario = scenario_of(files)
        try:
            plans = solve(scenario, TIGHT), plan_week(scenario, TIGHT)
        except RulesConflictError:
            plans = None, None
        made.append(CorpusShop(number, scenario, *plans))
    return made


@pytest.fixture(scope="session")
def corpus(drawn_of: Callable[[int], int], drawn_from: int | None) -> list[CorpusShop]:
    """Shops of one species; every other one has a price for all that can be sold."""
    number = FIXED if drawn_from is None else drawn_from

    def work() -> list[CorpusShop]:
        half = math.ceil(drawn_of(SINGLE) / 2)
        pairs = zip(_drawn(busy_shops(), half, number), _drawn(shops(), half, number), strict=False)
        return _planned([shop for pair in pairs for shop in pair])

    return once("corpus", work)


@pytest.fixture(scope="session")
def mixed_corpus(drawn_of: Callable[[int], int], drawn_from: int | None) -> list[CorpusShop]:
    """Shops of one species or two, with blends of both."""
    number = FIXED if drawn_from is None else drawn_from

    def work() -> list[CorpusShop]:
        return _planned(_drawn(mixed_shops(), drawn_of(MIXED), number), SINGLE)

    return once("mixed-corpus", work)
