"""The shipped week of a whole-animal shop: planned as anybody would, checked from the outside."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

import pytest

from planner.files.find import shipped_folder
from planner.show.json import plan_data
from planner.solve import Options
from planner.solve.plan import Plan, plan_week
from tests.outside.checker import check
from tests.planning import read

pytestmark = pytest.mark.thorough  # a plan of a quarter of a minute

WEEK: Path = shipped_folder("scenarios") / "whole-animal.yaml"


@pytest.fixture(scope="module")
def plan() -> Plan:
    """At the default tolerance; the time is generous, for other tests run beside it."""
    return plan_week(read(WEEK), Options(seconds=240))


def test_it_is_the_week_of_such_a_shop(plan):
    lots = [(lot.recipe.species, lot.piece, lot.count) for lot in plan.scenario.lots]
    assert lots == [
        ("lamb", "carcass", 2),
        ("hog", "side", 2),
        ("beef", "hindquarter", 1),
        ("beef", "forequarter", 1),
    ]
    shared = {name for name, cut in plan.scenario.cuts.items() if cut.species == "mixed"}
    assert {"lamb and pork sausage", "beef and lamb patties"} <= shared


def test_it_is_planned_within_the_tolerance_and_the_checker_finds_nothing(plan):
    assert plan.status in ("within tolerance", "proven")
    assert plan.within <= 0.001 * plan.score + 2  # ties may weigh a little more
    assert not plan.short
    assert check(WEEK, plan_data(plan)) == []


def test_what_comes_in_of_each_species_is_what_becomes_of_it(plan):
    """Weighed from the breaks: what every way gives and loses, and what is left whole."""
    scenario = plan.scenario
    came, became = defaultdict(float), defaultdict(float)
    for lot in scenario.lots:
        came[lot.recipe.species] += lot.count * lot.weight
    for each in plan.breaks:
        way = scenario.lots[each.lot].recipe.pieces[each.piece].ways[each.way]
        gone = way.loss + sum(given.count * given.share for given in way.cuts)
        became[each.species] += gone * each.weight
    for each in plan.uncut:
        became[scenario.lots[each.lot].recipe.species] += each.weight
    assert dict(became) == pytest.approx(dict(came))


def test_shared_grind_keeps_its_limits(plan):
    """Fat and species recomputed from what went in; batches whole."""
    scenario = plan.scenario
    shared = [batch for batch in plan.batches if scenario.cuts[batch.blend].species == "mixed"]
    assert shared
    for batch in shared:
        blend, weight = scenario.blends[batch.blend], sum(batch.takes.values())
        share = {
            species: sum(p for c, p in batch.takes.items() if scenario.cuts[c].species == species)
            / weight
            for species in ("lamb", "hog", "beef")
        }
        for limit in blend.limits:
            reached = share.get(limit.name, batch.takes.get(limit.name, 0.0) / weight)
            assert limit.least - 1e-6 <= reached <= limit.most + 1e-6
        if batch.fat is not None:
            fat = sum(p * scenario.cuts[c].fat for c, p in batch.takes.items()) / weight
            assert blend.fat[0] - 1e-6 <= fat <= blend.fat[1] + 1e-6
        if blend.batch:
            assert batch.made / blend.batch == pytest.approx(batch.batches, abs=1e-6)
