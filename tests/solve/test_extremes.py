"""Nothing is called proven that is not, whatever the sizes; and no plan sells what is not there."""

from dataclasses import replace

import pytest

from planner.core.errors import TooLargeError
from planner.show.json import plan_data
from planner.solve import Options
from planner.solve.plan import plan_week
from tests.outside.checker import check
from tests.planning import TIGHT, read

RECIPE = """
species: lamb
unit: lb
root: carcass
pieces:
  carcass:
    keeps: 7 days
    ways:
      whole: {minutes: 5, gives: {roast: 90%, trim 85: 0.01%, loss: 9.99%}}
      dice: {minutes: 9, gives: {stew: 70%, trim 85: 10%, loss: 20%}}
cuts:
  roast: {kind: roast, keeps: 5 days}
  stew: {kind: stew, keeps: 5 days}
  trim 85: {kind: trim, lean: 85%, keeps: 2 days}
"""


def shop(folder, body, recipe=RECIPE):
    (folder / "lamb.yaml").write_text(recipe)
    text = (
        f"title: t\nstarts: 2026-11-30\ndays: 2\nrecipes: [lamb.yaml]\nunit: lb\nmoney: $\n{body}"
    )
    path = folder / "shop.yaml"
    path.write_text(text)
    return path


def test_a_dear_trifle_is_not_sold_out_of_nothing(tmp_path):
    path = shop(
        tmp_path,
        "rail: [{lamb: 1 head at 50 lb}]\nbench: 0\n"
        "demand: {roast: {price: 100000/lb, want: {mon: 1 lb}}}\n",
    )
    scenario = read(path)
    trifle = replace(scenario.demand["roast"], want=(0.0000009, 0.0))
    plan = plan_week(replace(scenario, demand={"roast": trifle}), TIGHT)
    assert plan.sales == () and plan.score == 0
    assert plan.within == 0


@pytest.mark.parametrize("want", ["0.001 lb", "7.5 lb", "1000000 lb"])
@pytest.mark.parametrize("price", ["0.01/lb", "100000/lb"])
@pytest.mark.parametrize("head", ["1 head at 5 lb", "20 head at 5000 lb"])
def test_large_beside_small(tmp_path, want, price, head):
    path = shop(
        tmp_path,
        f"rail: [{{lamb: {head}}}]\n"
        f"demand:\n  roast: {{price: {price}, want: {{mon: {want}}}}}\n"
        f"  stew: {{price: 8/lb, want: {{tue: 3 lb}}}}\n"
        f"  trim 85: {{price: 900/lb, want: {{mon: 0.01 lb}}}}\n",
    )
    plan = plan_week(read(path), TIGHT)
    data = plan_data(plan)
    assert check(path, data) == []
    assert data["within"] >= 0


def halved(times):
    """A carcass that is halved again and again; what it sells is in the last halves."""
    pieces = "".join(
        f"  p{n}: {{keeps: 5 days, ways: {{halve: "
        f"{{minutes: 0, gives: {{p{n + 1}: 2 at 50%}}}}}}}}\n"
        for n in range(times)
    )
    last = (
        f"  p{times}: {{keeps: 5 days, ways: {{sell: {{minutes: 0, gives: {{roast: 100%}}}}}}}}\n"
    )
    return (
        f"species: lamb\nunit: lb\nroot: p0\npieces:\n{pieces}{last}"
        "cuts:\n  roast: {kind: roast, keeps: 5 days}\n"
    )


def halving(folder, times):
    """Two carcasses of 58 lb, halved so often, and customers for 100 lb at 10.00."""
    scenario = read(shop(folder, BODY, halved(2)))
    return read(shop(folder, BODY, halved(times))) if times <= 12 else grown(scenario, times)


BODY = "rail: [{lamb: 2 head at 58 lb}]\ndemand: {roast: {price: 10/lb, want: {mon: 100 lb}}}\n"


def grown(scenario, times):
    """The recipe of more halvings, past what a file may say of pieces no scale can weigh."""
    recipe = scenario.recipes[0]
    first, last = recipe.pieces["p0"], recipe.pieces["p2"]
    pieces = {}
    for n in range(times):
        way = first.ways["halve"]
        given = replace(way.pieces[0], name=f"p{n + 1}")
        pieces[f"p{n}"] = replace(
            first, name=f"p{n}", ways={"halve": replace(way, pieces=(given,))}
        )
    pieces[f"p{times}"] = replace(last, name=f"p{times}")
    larger = replace(recipe, pieces=pieces)
    lots = tuple(replace(lot, recipe=larger) for lot in scenario.lots)
    return replace(scenario, recipes=(larger,), lots=lots)


@pytest.mark.parametrize("times", [2, 8, 12, 16, 20])
def test_halves_of_halves_are_sold(tmp_path, times):
    plan = plan_week(halving(tmp_path, times), TIGHT)
    assert plan.score == pytest.approx(1000, abs=0.01)


def test_halves_past_counting_are_refused(tmp_path):
    with pytest.raises(TooLargeError, match="lot 1 gives 16,777,216 p23"):
        plan_week(halving(tmp_path, 40), Options(seconds=10))


def test_why_an_order_falls_short_of_a_hundred_thousand_head(tmp_path):
    """Lifting the head to fifty times as many must not lose the plan."""
    path = shop(
        tmp_path,
        "rail: [{lamb: 100000 head at 58 lb}]\nbench: 0\n"
        "demand: {roast: {price: 8/lb, orders: [{day: mon, amount: 9 lb, for: the inn}]}}\n",
        RECIPE.replace(
            "{roast: 90%, trim 85: 0.01%, loss: 9.99%}", "{leg: 4 at 20%, loss: 20%}"
        ).replace(
            "  carcass:\n",
            "  leg: {keeps: 2 days, ways: {w: {minutes: 1, gives: {roast: 100%}}}}\n  carcass:\n",
        ),
    )
    (short,) = plan_week(read(path), TIGHT).short
    assert short.short == 9 and "bench time" in short.binds
