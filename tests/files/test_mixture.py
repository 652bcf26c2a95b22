"""Which mixtures there are: the greedy answer held against linear programs solved by scipy."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from planner.core.recipe import Blend, Cut, Limit
from planner.files.fat_range import impossible
from tests.solve.test_properties import SHOPS

NEAR = 1e-6
TWENTIETHS = st.integers(0, 20).map(lambda n: n / 20)


@st.composite
def blends(draw) -> tuple[Blend, dict[str, Cut]]:
    """A blend of one to six cuts of up to three species, with limits on species and on cuts."""
    cuts = {
        f"cut {n}": Cut(f"cut {n}", draw(st.sampled_from("abc")), "trim", 2, lean=lean)
        for n, lean in enumerate(draw(st.lists(TWENTIETHS, min_size=1, max_size=6)))
    }
    groups = [(name,) for name in cuts]
    for species in sorted({cut.species for cut in cuts.values()}):
        groups.append(tuple(name for name, cut in cuts.items() if cut.species == species))
    limits = []
    for takes in draw(st.lists(st.sampled_from(groups), max_size=5)):
        least = draw(TWENTIETHS | st.just(0.0))
        most = draw(TWENTIETHS.filter(lambda n, low=least: n >= low) | st.just(1.0))
        limits.append(Limit("a limit", takes, least, most))
    made = Cut("mix", "mixed", "ground", 2)
    return Blend(made, tuple(cuts), (0.0, 1.0), 0.0, 0.0, tuple(limits)), cuts


def extremes(blend: Blend, cuts: dict[str, Cut]) -> tuple[float, float] | None:
    """Least and most fat that a mixture can have, by linear programming; None without one."""
    fat = np.array([cuts[name].fat for name in blend.takes])
    rows, bounds = [], []
    for limit in blend.limits:
        counted = np.array([float(name in limit.takes) for name in blend.takes])
        rows += [counted, -counted]
        bounds += [limit.most, -limit.least]
    ends = [
        linprog(
            sign * fat,
            A_ub=np.array(rows) if rows else None,
            b_ub=bounds or None,
            A_eq=np.ones((1, len(fat))),
            b_eq=[1.0],
        )
        for sign in (1, -1)
    ]
    assert {each.status for each in ends} in ({0}, {2}), "solved, or infeasible"
    return (ends[0].fun, -ends[1].fun) if ends[0].status == 0 else None


@settings(SHOPS, max_examples=400)
@given(blends())
def test_there_is_a_mixture_just_where_a_linear_program_finds_one(pair):
    blend, cuts = pair
    why = impossible(blend, cuts)
    if extremes(blend, cuts) is None:
        assert why == "no mixture for mix keeps all limits on what goes in"
    else:
        assert why is None


@settings(SHOPS, max_examples=400)
@given(blends(), TWENTIETHS, TWENTIETHS)
def test_the_fat_it_can_have_is_that_of_two_linear_programs(pair, one, other):
    blend, cuts = pair
    ends = extremes(blend, cuts)
    if ends is None:
        return
    leanest, fattest = ends

    def told(low: float, high: float) -> str | None:
        return impossible(replace(blend, fat=(low, high)), cuts)

    assert told(leanest, leanest) is None and told(fattest, fattest) is None
    low, high = sorted((one, other))
    assert (told(low, high) is None) == (leanest <= high + NEAR and fattest >= low - NEAR)
    for why in (told(0.0, leanest - NEAR), told(fattest + NEAR, 1.0)):
        assert why is not None and "-0%" not in why
        shares = [float(each) / 100 for each in re.findall(r"([\d.e-]+)%", why.split(": ")[1])]
        assert (shares[0], shares[-1]) == pytest.approx((leanest, fattest), abs=5e-4)


def trims(*leans: float | None, species: str = "lamb") -> dict[str, Cut]:
    names = [f"{species} {n}" for n in range(len(leans))]
    return {
        name: Cut(name, species, "trim", 2, lean=lean)
        for name, lean in zip(names, leans, strict=True)
    }


@pytest.mark.parametrize(
    ("fat", "possible"),
    [((0.15, 0.15), True), ((0.30, 0.30), True), ((0.0, 0.149), False), ((0.301, 1.0), False)],
)
def test_two_trims_reach_what_lies_between_them(fat, possible):
    cuts = trims(0.85, 0.70)
    blend = Blend(Cut("mix", "lamb", "ground", 2), tuple(cuts), fat, 0.0, 0.0)
    assert (impossible(blend, cuts) is None) == possible


def test_a_mixture_worked_by_hand():
    """At least 60% of 15% fat, at most 10% clear fat, the rest 20% fat.

    The fattest is 0.6 x 15 + 0.1 x 100 + 0.3 x 20 = 9 + 10 + 6 = 25%, the leanest all lamb, 15%.
    """
    cuts = {**trims(0.85), "hog trim": Cut("hog trim", "hog", "trim", 2, lean=0.8)}
    cuts["hog fat"] = Cut("hog fat", "hog", "fat", 2)
    limits = (
        Limit("lamb", ("lamb 0",), 0.6, 1.0),
        Limit("hog fat", ("hog fat",), 0.0, 0.1),
    )
    blend = Blend(Cut("mix", "mixed", "ground", 2), tuple(cuts), (0.25, 0.3), 0.0, 0.0, limits)
    assert impossible(blend, cuts) is None
    why = impossible(replace(blend, fat=(0.26, 0.3)), cuts)
    assert why is not None and "26% to 30% of fat" in why and "15% to 25%" in why


def test_two_limits_on_one_cut_that_cannot_both_hold():
    """Such as `trim 85: at least 65%` and `lamb trim 85: at most 40%`."""
    cuts = trims(0.85, 0.7)
    limits = (Limit("lamb 0", ("lamb 0",), 0.65, 1.0), Limit("lamb 0", ("lamb 0",), 0.0, 0.4))
    blend = Blend(Cut("mix", "mixed", "ground", 2), tuple(cuts), (0.0, 1.0), 0.0, 0.0, limits)
    assert impossible(blend, cuts) == "no mixture for mix keeps all limits on what goes in"


def test_what_has_no_known_fat_still_has_limits():
    cuts = trims(None, None)
    limits = (Limit("a", ("lamb 0",), 0.0, 0.4), Limit("b", ("lamb 1",), 0.0, 0.5))
    blend = Blend(Cut("stock", "lamb", "bone", 2), tuple(cuts), (0.0, 1.0), 0.0, 0.0, limits)
    assert impossible(blend, cuts) == "no mixture for stock keeps all limits on what goes in"
    assert impossible(replace(blend, limits=limits[:1]), cuts) is None
