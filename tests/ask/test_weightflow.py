"""Where the weight goes: nothing is lost on the way, and the plan's own figures come out."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from planner.ask.weight_flow import (
    ADDED,
    CASE,
    FATES,
    SMALL,
    STAGES,
    Node,
    WeightFlow,
    weight_flow,
)
from planner.core.errors import RulesConflictError
from planner.solve import Options
from planner.solve.plan import Plan
from tests.outside.shops import mixed_shops, shops, write_shop
from tests.planning import plan_of
from tests.planning import shipped_plan as shipped

SCENARIOS = ["one-lamb", "corner-shop", "holiday", "whole-animal"]
ANY = Options(share=0.02)  # any plan will do
CLOSE = 1e-6
SHOPS = settings(
    deadline=None,
    suppress_health_check=list(HealthCheck),
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    max_examples=60,
)


def into(flow: WeightFlow, number: int) -> float:
    return sum(link.weight for link in flow.links if link.target == number)


def out_of(flow: WeightFlow, number: int) -> float:
    return sum(link.weight for link in flow.links if link.source == number)


def between(flow: WeightFlow, source: str, target: str) -> float:
    """Pounds from nodes of one name to nodes of another."""
    return sum(
        link.weight
        for link in flow.links
        if (flow.nodes[link.source].name, flow.nodes[link.target].name) == (source, target)
    )


def named(flow: WeightFlow, stage: str) -> dict[str, Node]:
    return {node.name: node for node in flow.nodes if node.stage == stage}


def assert_sound(plan: Plan) -> None:
    flow = weight_flow(plan)
    scenario = plan.scenario
    for number, node in enumerate(flow.nodes):
        comes = node.stage == "hangs" or node.name == ADDED
        ends = node.stage == "fate"
        if not comes:
            assert into(flow, number) == pytest.approx(node.weight, abs=CLOSE)
        if not ends:
            assert out_of(flow, number) == pytest.approx(node.weight, abs=CLOSE)
    assert all(
        STAGES.index(flow.nodes[link.source].stage) < STAGES.index(flow.nodes[link.target].stage)
        for link in flow.links
    )
    assert all(link.weight > 0 for link in flow.links)
    hangs = named(flow, "hangs")
    for recipe in scenario.recipes:
        bought = {each.lot: each.head for each in plan.bought}
        lots = [lot for lot in scenario.lots if lot.recipe.species == recipe.species]
        heads = [bought.get(lot.index, 0) if lot.up_to else lot.count for lot in lots]
        weight = sum(head * lot.weight for head, lot in zip(heads, lots, strict=True))
        shown = hangs[recipe.species].weight if recipe.species in hangs else 0.0
        assert shown == pytest.approx(weight, abs=CLOSE)
    case = sum(each.amount for each in scenario.case if not scenario.cuts[each.cut].by_each)
    assert (hangs[CASE].weight if CASE in hangs else 0.0) == pytest.approx(case, abs=CLOSE)
    assert_the_lines_of_the_plan_come_out(plan, flow)
    loss = sum(
        each.weight * scenario.lots[each.lot].recipe.pieces[each.piece].ways[each.way].loss
        for each in plan.breaks
    )
    for batch in plan.batches:
        blend = scenario.blends[batch.blend]
        loss += sum(batch.takes.values()) * (1 + blend.added) * blend.loss
    fates = named(flow, "fate")
    assert (fates["loss"].weight if "loss" in fates else 0.0) == pytest.approx(loss, abs=1e-4)


def assert_the_lines_of_the_plan_come_out(plan: Plan, flow: WeightFlow) -> None:
    lines = {line.cut: line for line in plan.cuts}
    seen = set()
    for number, node in enumerate(flow.nodes):
        if node.stage not in ("cut", "blend") or node.name == ADDED:
            continue
        told = [lines[name] for name in node.together or (node.name,)]
        seen |= {line.cut for line in told}
        if any(line.by_each for line in told):
            continue
        ends = {"sold": 0.0, "left": 0.0, "out of date": 0.0, "blended": 0.0}
        for link in flow.links:
            if link.source == number and flow.nodes[link.target].name != "loss":
                target = flow.nodes[link.target]
                ends["blended" if target.stage == "blend" else target.name] += link.weight
        assert ends["sold"] == pytest.approx(sum(line.sold for line in told), abs=1e-4)
        assert ends["left"] == pytest.approx(sum(line.left for line in told), abs=1e-4)
        assert ends["out of date"] == pytest.approx(sum(line.wasted for line in told), abs=1e-4)
        assert ends["blended"] == pytest.approx(sum(line.blended for line in told), abs=1e-4)
    assert seen == {
        line.cut
        for line in plan.cuts
        if line.made > CLOSE or (line.on_hand > CLOSE and not line.by_each)
    }
    whole = [
        (flow.nodes[link.target].name, link.weight)
        for link in flow.links
        if flow.nodes[link.source].stage in ("hangs", "piece")
    ]
    for fate, wasted in (("left", False), ("out of date", True)):
        pounds = sum(each.weight for each in plan.uncut if each.wasted is wasted)
        assert sum(w for name, w in whole if name == fate) == pytest.approx(pounds, abs=CLOSE)


@pytest.mark.parametrize("name", SCENARIOS)
def test_a_shipped_week_is_in_balance(name):
    assert_sound(shipped(name))


@SHOPS
@given(shop=shops())
def test_a_random_shop_is_in_balance(shop):
    assert_in_balance(shop)


@pytest.mark.thorough
@SHOPS
@given(shop=mixed_shops())
def test_a_random_shop_of_several_species_is_in_balance(shop):
    assert_in_balance(shop)


def assert_in_balance(shop):
    with TemporaryDirectory() as folder:
        try:
            plan = plan_of(write_shop(shop, Path(folder)), ANY)
        except RulesConflictError:
            return
    assert_sound(plan)


@pytest.mark.parametrize("name", SCENARIOS)
def test_only_small_cuts_of_a_kind_are_put_together(name):
    plan = shipped(name)
    flow = weight_flow(plan)
    for node in flow.nodes:
        assert len(node.together) != 1
        if node.together:
            cuts = plan.scenario.cuts
            assert len({cuts[each].kind for each in node.together}) == 1 or node.stage == "blend"
            assert node.weight / len(node.together) < SMALL * flow.weight
    assert [node.name for node in flow.nodes if node.stage == "fate"] == [
        fate for fate in FATES if fate in named(flow, "fate")
    ]


RECIPE = """\
species: stag
unit: lb
root: carcass
pieces:
  carcass:
    keeps: 7 days
    ways:
      break:
        minutes: 1
        gives: {front: 2 at 20%, back: 1 at 40%, liver: 10%, fat: 6%, loss: 4%}
  front:
    keeps: 5 days
    ways:
      open: {minutes: 1, gives: {fillet: 1 at 25%, trim: 75%}}
  back:
    keeps: 5 days
    ways:
      open: {minutes: 1, gives: {fillet: 1 at 12.5%, trim: 87.5%}}
  fillet:
    keeps: 5 days
    ways:
      trim: {minutes: 1, gives: {eye: 1 at 90%, loss: 10%}}
  eye:
    keeps: 5 days
    ways:
      slice: {minutes: 1, gives: {medallions: 5 at 20%}}
cuts:
  liver: {kind: offal, keeps: 2 days}
  fat: {kind: fat, keeps: 2 days}
  trim: {kind: trim, lean: 80%, keeps: 2 days}
  medallions: {kind: steak, keeps: 5 days, sold by: each}
blends:
  burger: {from: [trim], added: 10%, loss: 5%, minutes: 0.1 per lb, keeps: 2 days}
"""

WEEK = """\
title: Invented, worked by hand
starts: 2026-11-30
days: 1
recipes: [stag.yaml]
rail:
  - {stag: 1 head at 100 lb}
  - {front: 1 at 50 lb, keeps: 1 day}
case:
  medallions: {amount: 5, keeps: 1 day}
  liver: {amount: 2 lb, keeps: 1 day}
demand:
  medallions: {price: 20/each, want: 15}
  liver: {price: 5/lb, want: 12 lb}
  burger: {price: 9/lb, want: 209 lb}
rules:
  - at least 3 front: open
  - at least 1 back: open
  - at least 4 eye: slice
"""


@pytest.fixture
def stag(tmp_path: Path) -> WeightFlow:
    (tmp_path / "stag.yaml").write_text(RECIPE)
    (tmp_path / "week.yaml").write_text(WEEK)
    return weight_flow(plan_of(tmp_path / "week.yaml"))


def test_a_week_worked_by_hand(stag):
    # 100 lb give 40 of front, 40 of back; with the boxed front of 50 lb 90 of front
    assert named(stag, "hangs")["stag"].weight == pytest.approx(150)
    assert named(stag, "piece")["front"].weight == pytest.approx(90)
    assert named(stag, "piece")["back"].weight == pytest.approx(40)
    # what passes the pieces by
    assert between(stag, "stag", "liver") == pytest.approx(10)
    assert between(stag, "stag", "fat") == pytest.approx(6)
    assert between(stag, "stag", "loss") == pytest.approx(4)
    # a fillet is a quarter of a front, an eighth of the back, and counts as what gave it;
    # 90% of it are medallions
    assert between(stag, "front", "medallions") == pytest.approx(90 * 0.25 * 0.9)
    assert between(stag, "back", "medallions") == pytest.approx(40 * 0.125 * 0.9)
    assert between(stag, "front", "loss") == pytest.approx(90 * 0.25 * 0.1)
    # four fillets make 20 medallions; with the 5 of the case, of no weight, 15 of 25 are sold
    made = (90 * 0.25 + 40 * 0.125) * 0.9
    assert between(stag, "medallions", "sold") == pytest.approx(made * 15 / 25)
    # liver: 2 lb of the case and 10 made, all sold
    assert between(stag, CASE, "liver") == pytest.approx(2)
    assert between(stag, "liver", "sold") == pytest.approx(12)
    # 102.5 lb of trim, a tenth added, a twentieth of that lost
    assert between(stag, "trim", "burger") == pytest.approx(102.5)
    assert between(stag, ADDED, "burger") == pytest.approx(10.25)
    assert between(stag, "burger", "loss") == pytest.approx(102.5 * 1.1 * 0.05)
    assert between(stag, "burger", "sold") == pytest.approx(102.5 * 1.1 * 0.95)
    assert stag.weight == pytest.approx(150 + 2 + 10.25)


def test_a_cut_may_be_called_like_the_case(tmp_path):
    (tmp_path / "stag.yaml").write_text(RECIPE.replace("liver", "case").replace("stag", "case"))
    week = WEEK.replace("liver", "case").replace("stag.yaml", "STAG").replace("stag", "case")
    (tmp_path / "week.yaml").write_text(week.replace("STAG", "stag.yaml"))
    flow = weight_flow(plan_of(tmp_path / "week.yaml"))
    assert [round(node.weight) for node in flow.nodes if node.stage == "hangs"] == [2, 150]
