"""What each cut costs: published tests, textbook figures, and what must always add up."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import typer
import yaml
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from planner.ask.lot_cost import read_costs, with_costs
from planner.ask.main_cut import main_cut
from planner.ask.price import price_plan, price_week
from planner.ask.pricing import CutCost, Pricing
from planner.ask.yield_test import WayTest, YieldTest
from planner.commands import price as command
from planner.core.errors import InputError
from planner.core.scenario import Scenario
from planner.files.find import shipped_folder
from planner.show.data import json_text
from planner.show.price import price_text as text_of
from planner.show.price_data import price_data
from planner.solve.options import Options
from planner.solve.plan import plan_week
from tests.outside.shops import shops, write_shop
from tests.planning import TIGHT, read
from tests.solve.test_properties import SHOPS, plan_or_none

CARDS = yaml.safe_load(
    (Path(__file__).parent.parent / "published" / "yield-tests.yaml").read_text(encoding="utf-8")
)
KG = 0.45359237
PLENTY = 90_000


def price_text(pricing: Pricing) -> str:
    """With all tables."""
    return text_of(pricing, tables=True)


def cents(value: float | None) -> float:
    assert value is not None
    return round(value + 1e-9, 2)


def cut_of(pricing: Pricing, name: str) -> CutCost:
    return next(each for each in pricing.cuts if each.cut == name)


def way_of(pricing: Pricing, piece: str, way: str, source: str | None = None) -> WayTest:
    return next(
        each
        for each in pricing.ways
        if (each.piece, each.way) == (piece, way) and source in (None, each.source)
    )


@pytest.fixture
def shop_of(tmp_path) -> Callable[..., Scenario]:
    """A scenario of one day out of recipes, lots and demand as they are written in a file."""

    def write(
        recipes: dict[str, Any] | list[dict[str, Any]],
        rail: list[dict[str, Any]],
        demand: dict[str, Any],
        **more: Any,
    ) -> Scenario:
        names = []
        for recipe in recipes if isinstance(recipes, list) else [recipes]:
            names.append(f"{recipe['species']}.yaml")
            (tmp_path / names[-1]).write_text(yaml.safe_dump(recipe, sort_keys=False))
        scenario = {
            "title": "An invented shop",
            "starts": "2026-11-30",
            "days": 1,
            "recipes": names,
            "rail": rail,
            "demand": demand,
            **more,
        }
        path = tmp_path / "shop.yaml"
        path.write_text(yaml.safe_dump(scenario, sort_keys=False))
        return read(path)

    return write


def loin_recipe(
    gives: dict[str, float], kinds: dict[str, str], pounds: float, **loss: float
) -> dict[str, Any]:
    """A recipe with one piece and one way, which gives these pounds."""
    shares = {name: f"{each / pounds * 100:.12f}%" for name, each in {**gives, **loss}.items()}
    return {
        "species": "lamb",
        "root": "loin",
        "pieces": {"loin": {"keeps": 1, "ways": {"test": {"gives": shares}}}},
        "cuts": {name: {"kind": kinds.get(name, "roast"), "keeps": 1} for name in gives},
    }


# Butcher test card for a lamb loin, a teaching exercise in food cost control.
def test_the_card_of_a_loin_comes_out_to_the_cent(shop_of):
    card = CARDS["loin"]
    parts, value = dict(card["parts_lb"]), card["value_per_lb"]
    loss = parts.pop("loss in cutting")
    kinds = {"fat": "fat", "kidneys": "offal", "flanks": "trim"}
    scenario = shop_of(
        loin_recipe(parts, kinds, card["bought_lb"], loss=loss),
        [{"lamb": f"1 at {card['bought_lb']} lb", "cost": f"{card['price_per_lb']}/lb"}],
        {name: {"price": f"{each}/lb", "want": PLENTY} for name, each in value.items()},
    )
    [way] = price_week(scenario, 0.4).ways
    test = way.test
    assert cents(test.cost) == card["total_cost"]
    assert {name: cents(each) for name, each in test.credits.items()} == {
        name: cents(each * parts[name]) for name, each in value.items()
    }
    assert cents(test.usable_cost) == card["usable_value"]
    assert cents(test.cost_per_lb) == card["cost_per_usable_lb"]
    assert cents(test.factor) == card["cost_factor_per_lb"]
    assert cents(test.portion(card["portion_oz"] / 16)) == card["portion_cost"]
    assert (way.main, way.price, way.margin) == ("usable", None, None)
    assert way.cost == test.cost_per_lb


# USDA Leaflet 74, Boning Lamb Cuts (K. F. Warner, 1931).
def test_the_leaflet_on_boning_comes_out_to_the_cent(shop_of):
    card = CARDS["boning"]
    usable, bought = card["usable_lb"], card["bought_lb"]
    scenario = shop_of(
        loin_recipe({"boned": usable}, {}, bought, loss=bought - usable),
        [{"lamb": f"3 at {bought} lb", "cost": f"{card['price_per_lb']}/lb"}],
        {"boned": {"price": "0.84/lb", "want": PLENTY}},
    )
    pricing = price_week(scenario, 0.4)
    [way] = pricing.ways
    assert cents(way.test.cost_per_lb) == card["cost_per_usable_lb"]
    assert way.margin == pytest.approx(0.5)
    assert cents(pricing.price_for(way.cost)) == 0.70
    assert cents(cut_of(pricing, "boned").cost_of_one) == card["cost_per_usable_lb"]


def dairy() -> dict[str, Any]:
    return {
        "species": "milk",
        "root": "raw",
        "pieces": {
            "raw": {"keeps": 1, "ways": {"separate": {"gives": {"cream": "25%", "skim": "75%"}}}}
        },
        "cuts": {"cream": {"kind": "roast", "keeps": 1}, "skim": {"kind": "roast", "keeps": 1}},
    }


# Horngren, Datar, Rajan, Cost Accounting, joint products and byproducts, the example of the dairy
# (from memory): 400,000 for 25,000 gallons of cream at 8 and 75,000 of skim at 4. A gallon is a
# pound here, and a hundredth of them is bought.
def test_sales_value_at_split_off_as_in_the_textbook(shop_of):
    scenario = shop_of(
        dairy(),
        [{"milk": "1 at 1000 lb", "cost": "4/lb"}],
        {"cream": {"price": "8/lb", "want": "200 lb"}, "skim": {"price": "4/lb", "want": "300 lb"}},
    )
    pricing = price_week(scenario, 0.2)
    for name, cost, of_one, price in (("cream", 1600, 6.40, 8), ("skim", 2400, 3.20, 4)):
        cut = cut_of(pricing, name)
        assert (cut.cost, cut.cost_of_one) == (pytest.approx(cost), pytest.approx(of_one))
        assert cut.margin == pytest.approx(0.20)
        assert pricing.price_for(cut.cost_of_one) == pytest.approx(price)


# The same example (from memory), processed further: buttercream sells for 500,000 after 280,000 of
# separable cost, condensed milk for 1,100,000 after 520,000. Joint cost 110,000 and 290,000.
def test_net_realizable_value_as_in_the_textbook(shop_of):
    recipe = dairy()
    for cut in recipe["cuts"].values():
        cut |= {"kind": "trim", "lean": "90%"}
    recipe["blends"] = {
        name: {
            "from": [of],
            "fat": "0% to 100%",
            "keeps": 1,
            "minutes": f"{minutes / weight:.9f} per lb",
        }
        for name, of, minutes, weight in (
            ("buttercream", "cream", 2800, 250),
            ("condensed", "skim", 5200, 750),
        )
    }
    demand = {
        name: {"price": f"{sales / weight:.9f}/lb", "want": PLENTY}
        for name, sales, weight in (("buttercream", 5000, 250), ("condensed", 11000, 750))
    }
    scenario = shop_of(recipe, [{"milk": "1 at 1000 lb", "cost": "4/lb"}], demand)
    pricing = price_week(scenario, 0.2, bench_cost=1.0)
    assert cut_of(pricing, "buttercream").cost == pytest.approx(1100 + 2800, rel=1e-6)
    assert cut_of(pricing, "condensed").cost == pytest.approx(2900 + 5200, rel=1e-6)
    assert pricing.lots[0].value == pytest.approx(2200 + 5800, rel=1e-6)
    assert pricing.cost == pytest.approx(4000 + 2800 + 5200, rel=1e-6)


def small(shop: Any, *changes: tuple[str, str], lots: str = "") -> Scenario:
    """One goat of 40 lb that costs 200, and one bucket of time."""
    text = shop.week.read_text()
    first, rest = text.index("  - {goat: 3 head"), text.index("traffic:")
    text = text[:first] + f"  - {{goat: 1 head at 40 lb, cost: 5/lb}}\n{lots}" + text[rest:]
    text = text.replace("days: 6", "days: 1").replace("traffic: {mon: 8, fri: 25, sat: 30}\n", "")
    text = text.replace("{mon: 2 lb, fri: 6 lb, sat: 8 lb}", "90 lb")
    text = text.replace("{fri: 2, sat: 3}", "9").replace("day: fri", "day: mon")
    text = text.replace("amount: 9 lb", "amount: 1 lb")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    shop.week.write_text(text)
    return read(shop.week)


ROAST, TRIM, BONES = 2 * 8.8 * 0.70, 2 * 8.8 * 0.11, 40 * 0.20 + 2 * 8.8 * 0.19  # lb of one goat


def test_one_goat_as_worked_by_hand(shop):
    """12.32 lb of roast, two legs, 11.34 lb of bones of which 10 sell, 1.94 lb of trim to grind."""
    pricing = price_week(small(shop), 0.5, options=TIGHT)
    values = {
        "shoulder roast": ROAST * 12.99,
        "leg roast": 2 * 60,
        "ground goat": TRIM * 9.99,
        "bones": 10 * 2.99,
    }
    rate = 200 / sum(values.values())
    for name, value in values.items():
        cut = cut_of(pricing, name)
        assert cut.cost == pytest.approx(rate * value, rel=1e-5), name
        assert cut.margin == pytest.approx(1 - rate, rel=1e-5), name
        assert pricing.price_for(cut.cost_of_one) == pytest.approx(2 * rate * cut.price, rel=1e-5)
    assert cut_of(pricing, "trim 85").cost == 0  # all of it went on to the grind
    assert cut_of(pricing, "bones").amount == pytest.approx(10, rel=1e-5)


def test_the_case_of_last_week_bears_no_cost(shop):
    stocked = small(
        shop, ("demand:", "case: {shoulder roast: 6 lb, bones: 4 lb, trim 85: 3 lb}\ndemand:")
    )
    pricing = price_week(stocked, 0.5, options=TIGHT)
    roast, bones, ground = (
        cut_of(pricing, name) for name in ("shoulder roast", "bones", "ground goat")
    )
    assert roast.amount == roast.made == pytest.approx(ROAST)
    assert bones.amount == pytest.approx(10 * BONES / (BONES + 4), rel=1e-5)
    assert ground.made == pytest.approx(TRIM + 3, rel=1e-5)
    assert ground.cost / (TRIM * 9.99) == pytest.approx(roast.cost / (ROAST * 12.99), rel=1e-5)
    assert sum(pricing.places.values()) == pytest.approx(200)


@pytest.mark.parametrize(
    ("keeps", "place"), [("5 days", "left whole"), ("1 day", "out of date uncut")]
)
def test_pieces_left_or_wasted_take_their_part_out(shop, keeps, place):
    shop.spoil("recipe", ('imps: "233"\n    keeps: 5 days', f'imps: "233"\n    keeps: {keeps}'))
    scenario = small(shop, ("at least 1 leg: whole", "at most 1 leg: whole"))
    pricing = price_week(scenario, 0.5, options=TIGHT)
    [uncut] = pricing.uncut
    assert (uncut.uncut.piece, uncut.uncut.count) == ("leg", 1)
    assert uncut.cost == pytest.approx(cut_of(pricing, "leg roast").cost)
    assert pricing.places[place] == uncut.cost
    assert f"  {place} " in price_text(pricing)
    assert sum(pricing.places.values()) == pytest.approx(200)


def test_each_lot_is_shared_over_its_own_cuts(shop):
    scenario = small(shop, lots="  - {leg: 2 at 6.1 lb, cost: 9/lb}\n")
    pricing = price_week(scenario, 0.5, options=TIGHT)
    goat, legs = pricing.lots
    assert (legs.paid, legs.value) == (pytest.approx(2 * 6.1 * 9), pytest.approx(2 * 60))
    assert cut_of(pricing, "leg roast").cost == pytest.approx(legs.paid + goat.rate * 120)
    bought = way_of(pricing, "leg", "whole", "leg")
    assert bought.bought and bought.cost == pytest.approx(6.1 * 9)
    assert bought.test.factor == pytest.approx(1 / 0.97)
    shared = way_of(pricing, "leg", "whole", "goat")
    assert not shared.bought
    assert shared.cost == pytest.approx(goat.rate * 60)
    assert "leg, 6.1 lb, bought at $9.00/lb" in price_text(pricing)
    assert "leg of goat, 6.4 lb, charged $" in price_text(pricing)


def test_a_way_that_brings_less_leaves_less(shop):
    """The best way of a piece leaves its part of the cost; another carries the same charge."""
    pricing = price_week(small(shop), 0.5, options=TIGHT)
    rate = pricing.lots[0].rate
    roast, trim = way_of(pricing, "shoulder", "boneless roast"), way_of(pricing, "shoulder", "trim")
    bones = 10 * 2.99 / BONES  # what a pound of bones brings, sold or not
    ground = rate * 0.11 * 9.99
    charge = rate * (0.70 * 12.99 + 0.11 * 9.99 + 0.19 * bones)
    assert roast.test.price == pytest.approx(trim.test.price) == pytest.approx(charge, rel=1e-4)
    expected = (charge - 0.19 * bones - ground) / 0.70
    assert roast.cost == pytest.approx(expected, rel=1e-4)
    assert roast.margin == pytest.approx(1 - expected / 12.99, rel=1e-4)
    assert (trim.main, trim.count, roast.count) == ("trim 85", 0, 2)
    assert trim.test.usable_share == pytest.approx(0.80)
    assert trim.margin < roast.margin


def test_bench_time_is_charged_to_ways_lots_and_blends(shop):
    scenario = small(shop)
    free, paid = (price_week(scenario, 0.5, cost, TIGHT) for cost in (0.0, 0.6))
    minutes = sum(each.minutes for each in paid.plan.bench)
    assert paid.cost == pytest.approx(200 + 0.6 * minutes)
    assert sum(paid.places.values()) == pytest.approx(paid.cost)
    assert paid.lots[0].bench == pytest.approx(0.6 * (16 + 2 * 11 + 2 * 3))
    assert way_of(paid, "leg", "whole").test.labour == pytest.approx(0.6 * 3)
    assert way_of(paid, "leg", "whole").cost > way_of(free, "leg", "whole").cost
    assert "bench time is $" in price_text(paid)


def test_without_any_price_nothing_is_shared_and_the_program_says_so(shop_of):
    recipe = loin_recipe({"eye": 5, "fat": 1}, {"fat": "fat"}, 6)
    pricing = price_week(shop_of(recipe, [{"lamb": "1 at 6 lb", "cost": "7/lb"}], {}), 0.4)
    assert pricing.places["not shared"] == pytest.approx(42)
    assert sum(pricing.places.values()) == pytest.approx(42)
    assert pricing.margin is None
    [way] = pricing.ways  # what was bought has a price, so what to ask for the eye is known
    assert way.cost == pytest.approx(42 / 5)
    text = price_text(pricing)
    assert "lot lamb: nothing it gives has a price, so its cost is not shared" in text
    assert "14.00" in text
    json.loads(json_text(price_data(pricing)))


def test_a_price_of_nothing_is_no_price(shop_of):
    recipe = loin_recipe({"eye": 4, "tail": 2}, {}, 6)
    want = {"eye": {"price": "20/lb", "want": "4 lb"}, "tail": {"price": "0/lb", "want": "2 lb"}}
    pricing = price_week(shop_of(recipe, [{"lamb": "1 at 6 lb", "cost": "7/lb"}], want), 0.4)
    eye, tail = (cut_of(pricing, name) for name in ("eye", "tail"))
    assert (eye.cost, tail.cost, tail.price, tail.margin) == (pytest.approx(42), 0, None, None)
    assert "nobody pays for it: " in price_text(pricing)


def test_a_cut_only_ordered_has_the_price_of_its_orders(shop_of):
    recipe = loin_recipe({"eye": 6}, {}, 6)
    orders = [{"day": "mon", "amount": "2 lb", "price": "20/lb"}]
    orders += [{"day": "mon", "amount": "4 lb", "price": "17/lb"}]
    scenario = shop_of(recipe, [{"lamb": "1 at 6 lb", "cost": "9/lb"}], {"eye": {"orders": orders}})
    pricing = price_week(scenario, 0.4)
    assert cut_of(pricing, "eye").price == pytest.approx(18)
    assert cut_of(pricing, "eye").margin == pytest.approx(0.5)


def test_a_priced_cut_that_is_ground_hands_its_cost_on_by_weight(shop_of):
    recipe = loin_recipe({"stew": 6}, {"stew": "stew"}, 6)
    recipe["cuts"]["stew"]["lean"] = "80%"
    recipe["blends"] = {"mince": {"from": ["stew"], "fat": "0% to 30%", "keeps": 1}}
    demand = {
        "stew": {"price": "12/lb", "want": "2 lb"},
        "mince": {"price": "10/lb", "want": "9 lb"},
    }
    pricing = price_week(shop_of(recipe, [{"lamb": "1 at 6 lb", "cost": "8/lb"}], demand), 0.4)
    stew, mince = cut_of(pricing, "stew"), cut_of(pricing, "mince")
    assert (stew.amount, stew.cost) == (pytest.approx(2), pytest.approx(16))
    assert (mince.made, mince.cost, mince.margin) == tuple(map(pytest.approx, (4, 32, 0.2)))


def test_kilograms_cost_the_same_as_pounds(shop_of):
    recipe = loin_recipe({"eye": 4, "fat": 2}, {"fat": "fat"}, 6)
    rates = {"lb": (7.0, 20.0, 1.0), "kg": (7 / KG, 20 / KG, KG)}
    shown = {}
    for unit, (cost, price, weight) in rates.items():
        scenario = shop_of(
            recipe,
            [{"lamb": f"1 at {6 * weight:.9f} {unit}", "cost": f"{cost:.9f}/{unit}"}],
            {"eye": {"price": f"{price:.9f}/{unit}", "want": f"{9 * weight:.9f} {unit}"}},
            unit=unit,
        )
        shown[unit] = price_data(price_week(scenario, 0.4))
    eyes = {unit: next(each for each in data["cuts"] if each["cut"] == "eye")
            for unit, data in shown.items()}  # fmt: skip
    ways = {unit: data["ways"][0] for unit, data in shown.items()}
    for rate in ("cost of one", "price", "price for margin"):
        assert eyes["lb"][rate] == pytest.approx(eyes["kg"][rate] * KG, rel=1e-6)
    assert ways["lb"]["cost per usable"] == pytest.approx(ways["kg"]["cost per usable"] * KG)
    assert ways["lb"]["factor"] == pytest.approx(ways["kg"]["factor"]) == pytest.approx(1.5)
    assert eyes["lb"]["margin"] == pytest.approx(eyes["kg"]["margin"], rel=1e-6)
    assert eyes["kg"]["sold by"] == "kg"


def test_species_do_not_pay_for_each_other(shop_of):
    lamb = loin_recipe({"lamb eye": 4}, {}, 4)
    hog = loin_recipe({"hog eye": 8}, {}, 8) | {"species": "hog"}
    demand = {name: {"price": "20/lb", "want": "9 lb"} for name in ("lamb eye", "hog eye")}
    rail = [{"lamb": "1 at 4 lb", "cost": "10/lb"}, {"hog": "1 at 8 lb"}]
    scenario = shop_of([lamb, hog], rail, demand)
    costs = read_costs(scenario, ["hog: 4/lb"])
    pricing = price_week(with_costs(scenario, costs), 0.4)
    lamb_eye, hog_eye = (cut_of(pricing, name) for name in ("lamb eye", "hog eye"))
    assert (lamb_eye.cost_of_one, hog_eye.cost_of_one) == (pytest.approx(10), pytest.approx(4))
    assert {each.source for each in pricing.ways} == {"lamb", "hog"}


@SHOPS
@given(shops(), st.sampled_from([0.0, 0.6]))
def test_in_every_shop_costs_add_up_and_a_lot_leaves_one_margin(pair, bench_cost):
    with TemporaryDirectory() as folder:
        scenario = read(write_shop(pair, Path(folder)))
    if any(not lot.cost for lot in scenario.lots):
        scenario = with_costs(scenario, {"": 3.0})
    plan = plan_or_none(scenario)
    if plan is None:
        return
    pricing = price_plan(plan, 0.4, bench_cost)
    assert pricing.paid == pytest.approx(plan.paid + plan.buying)
    minutes = sum(each.minutes for each in plan.bench)
    assert pricing.cost == pytest.approx(pricing.paid + bench_cost * minutes)
    assert sum(pricing.places.values()) == pytest.approx(pricing.cost, abs=1e-6)
    assert all(each.cost >= 0 for each in (*pricing.cuts, *pricing.uncut))
    for test in pricing.ways:
        assert 0 < test.test.usable_share <= 1 + 1e-9
        assert test.margin is None or test.margin < 1 or test.cost <= 0
    for free in pricing.free:
        assert cut_of(pricing, free).cost == 0
    rates = [lot.rate for lot in pricing.lots if lot.value and lot.cost]
    blends = scenario.recipes[0].blends
    for cut in pricing.cuts:
        if cut.price and cut.cost and not cut.byproduct and cut.cut not in blends and rates:
            rate = cut.cost_of_one / cut.price
            assert min(rates) - 1e-6 <= rate <= max(rates) + 1e-6
    assert max(map(len, price_text(pricing).splitlines())) <= 100
    json.loads(json_text(price_data(pricing)))


def test_the_shipped_week_adds_up_as_printed():
    scenario = read(shipped_folder("scenarios") / "corner-shop.yaml")
    pricing = price_week(scenario, 0.45)
    plan, text = pricing.plan, price_text(pricing)
    assert sum(pricing.places.values()) == pytest.approx(4 * 58 * 7.10 + 2 * 55 * 7.60)
    assert plan.paid + plan.buying == pytest.approx(pricing.cost)
    cuts = text.split("CUTS")[1].split("by-products:")[0].splitlines()[2:-1]
    printed = [float(line.split()[-5]) for line in cuts]
    assert sum(printed) == pytest.approx(pricing.places["cuts"], abs=0.005 * len(cuts))
    assert max(map(len, text.splitlines())) <= 100
    rates = [lot.rate for lot in pricing.lots]
    assert all(
        1 - max(rates) - 1e-9 <= cut.margin <= 1 - min(rates) + 1e-9
        for cut in pricing.cuts
        if cut.cost and not cut.byproduct
    )
    assert {each.way for each in pricing.ways} >= {"frenched", "stew", "boned and rolled"}
    assert not {each.way for each in pricing.ways} & {"block break", "split"}


@pytest.mark.parametrize("name", ["one-lamb", "corner-shop", "holiday", "whole-animal"])
def test_without_all_the_answer_fits_a_screen(name):
    """Of every shipped week, whether prices have to rise for the margin or not, or time ran out."""
    plan = plan_week(read(shipped_folder("scenarios") / f"{name}.yaml"), Options(share=0.02))
    plan = replace(plan, status="time limit")
    for target in (0.1, 0.4, 0.75):
        lines = text_of(price_plan(plan, target)).splitlines()
        assert len(lines) <= 24 and max(map(len, lines)) <= 100
        assert ("  worth: what the higher price brings" in "\n".join(lines)) == (target == 0.75)
        assert lines[-1].endswith("--all")


def test_what_the_higher_prices_are_worth_is_what_the_margin_lacks():
    """With all at the price for the margin, the cuts that bear the cost leave just that."""
    plan = plan_week(read(shipped_folder("scenarios") / "one-lamb.yaml"), TIGHT)
    pricing = price_plan(plan, 0.7)
    sold = [each for each in pricing.cuts if each.made and not each.byproduct and each.price]
    lacking = sum(each.cost for each in sold) / 0.3 - sum(x.price * x.amount for x in sold)
    assert f", ${lacking:,.2f} in all." in text_of(pricing)


def test_a_piece_is_credited_at_what_it_is_charged_with():
    scenario = read(shipped_folder("scenarios") / "one-lamb.yaml")
    pricing = price_week(scenario, 0.4)
    charged = way_of(pricing, "sirloin", "kebab").test.cost
    for way in ("frenched", "seam out", "steaks"):
        assert way_of(pricing, "leg", way).test.credits["sirloin"] == pytest.approx(charged)
    assert 0 < charged < way_of(pricing, "leg", "steaks").test.cost / 3


def test_the_main_cut_is_what_brings_the_most():
    scenario = read(shipped_folder("scenarios") / "corner-shop.yaml")
    pieces = scenario.recipes[0].pieces
    mains = {
        (piece, way): main_cut(scenario, pieces[piece].ways[way])
        for piece, way in (
            ("leg", "seam out"), ("leg", "steaks"), ("rack", "frenched"), ("shoulder", "chops"),
            ("shoulder", "trim"), ("carcass", "block break"), ("carcass", "spit"),
        )
    }  # fmt: skip
    assert list(mains.values()) == [
        "inside round", "leg steaks", "frenched rack", "blade chops", "trim 85", None, "whole lamb",
    ]  # fmt: skip


def test_a_cut_sold_by_each_is_weighed_at_the_weight_on_the_rail(shop_of):
    recipe = loin_recipe({"stew": 3, "eye": 3}, {}, 6)
    recipe["cuts"]["eye"]["sold by"] = "each"
    recipe["pieces"]["loin"]["ways"]["test"]["gives"] = {"stew": "50%", "eye": "1 at 50%"}
    prices = {"stew": {"price": "10/lb", "want": 9}, "eye": {"price": "25/each", "want": 9}}
    scenario = shop_of(recipe, [{"lamb": "1 at 6 lb", "cost": "1/lb"}], prices)
    way = scenario.recipes[0].pieces["loin"].ways["test"]
    assert main_cut(scenario, way) == "stew"  # 3 lb bring 30
    assert main_cut(scenario, way, 4.0) == "eye"  # 2 lb bring 20


def test_of_cuts_without_a_price_the_heaviest_stands_for_the_way(shop_of):
    recipe = loin_recipe({"shank": 1, "eye": 2, "tip": 1}, {}, 4)
    demand = {"shank": {"price": "9/lb", "want": 9}}
    scenario = shop_of(recipe, [{"lamb": "1 at 4 lb", "cost": "6/lb"}], demand)
    [way] = price_week(scenario, 0.4).ways
    assert (way.main, way.price, way.cost) == ("eye", None, pytest.approx(6))


def test_offal_alone_may_be_what_a_piece_is_cut_for(shop_of):
    recipe = loin_recipe({"liver": 2, "lights": 4}, {"liver": "offal", "lights": "offal"}, 6)
    demand = {"liver": {"price": "5/lb", "want": 9}}
    scenario = shop_of(recipe, [{"lamb": "1 at 6 lb", "cost": "1/lb"}], demand)
    assert main_cut(scenario, scenario.recipes[0].pieces["loin"].ways["test"]) == "liver"


def test_the_card_itself():
    card = YieldTest(weight=10, cost=0, usable=8, credits={})
    assert (card.factor, card.cost_per_lb) == (None, 0)


def test_by_products_that_pay_for_a_way_leave_it_no_cost(shop_of):
    recipe = loin_recipe({"eye": 4, "fat": 2}, {"fat": "fat"}, 6)
    demand = {"eye": {"price": "2/lb", "want": 9}, "fat": {"price": "30/lb", "want": 9}}
    lots = [{"lamb": "1 at 6 lb", "cost": "7/lb"}]
    pricing = price_week(shop_of(recipe, lots, demand), 0.4)  # 42 paid, 60 taken for the fat
    [way] = pricing.ways
    assert way.test.credits_pay
    text = price_text(pricing)
    words = next(each.split() for each in text.splitlines() if each.split()[:1] == [way.way])
    assert (words[3], words[4], words[-1]) == ("-", "-", "-")
    note = "a `-` under cost: its by-products alone pay for it"
    assert text.count(note) == 1
    usual = demand | {"fat": {"price": "1/lb", "want": 9}}
    assert note not in price_text(price_week(shop_of(recipe, lots, usual), 0.4))


def test_the_notes_are_true_of_bench_time_and_of_the_unit(shop_of):
    recipe = loin_recipe({"eye": 6}, {}, 6)
    for unit, word in (("lb", "pound"), ("kg", "kilogram")):
        lots = [{"lamb": f"1 at 6 {unit}", "cost": f"7/{unit}"}]
        demand = {"eye": {"price": f"20/{unit}", "want": f"6 {unit}"}}
        scenario = shop_of(recipe, lots, demand, unit=unit)
        for bench, but in ((0.0, ""), (0.6, " but for bench time")):
            said = " ".join(price_text(price_week(scenario, 0.4, bench)).split())
            assert f"earn the same margin{but}:" in said
            assert f"cost of a usable {word} for each $ paid a {word}" in said


def test_a_plan_cut_short_says_so_under_the_title(shop_of):
    recipe = loin_recipe({"eye": 6}, {}, 6)
    lots = [{"lamb": "1 at 6 lb", "cost": "7/lb"}]
    plan = plan_week(shop_of(recipe, lots, {"eye": {"price": "20/lb", "want": 6}}))
    late = price_text(price_plan(replace(plan, status="time limit"), 0.4))
    assert late.split("\n\n")[1].startswith("Stopped by the time limit after")
    assert late.count("Stopped by") == 1


@pytest.fixture
def run():
    app = typer.Typer(rich_markup_mode=None, pretty_exceptions_enable=False)
    app.command(epilog=command.EXAMPLE)(command.price)

    def call(*words: str | Path) -> Any:
        return CliRunner().invoke(app, [str(word) for word in words])

    return call


def test_the_command_prints_for_a_person_and_for_machines(run):
    text = run("one-lamb", "--margin", "45%", "--all")
    assert text.exit_code == 0
    assert text.stdout.startswith(
        "One lamb, an invented shop\n\nThe head costs $411.80 and the day takes $833"
    )
    assert "\n\nCUTS (lb, or each)" in text.stdout
    assert "for 45%" in text.stdout and "estimates from planned yields" in text.stdout
    data = json.loads(run("one-lamb", "--margin", "45%", "--within", "0.01", "--json").stdout)
    assert (data["format"], data["target"], data["cost"]) == ("breakplan/1", 0.45, 411.8)
    assert sum(data["places"].values()) == pytest.approx(411.8)
    borne = sum(each["cost"] for each in (*data["cuts"], *data["whole"]))
    assert borne == pytest.approx(411.8)
    for cut in data["cuts"]:
        if cut["price for margin"]:
            assert cut["cost of one"] == pytest.approx(0.55 * cut["price for margin"])
            assert cut["cost of one"] * cut["bears"] == pytest.approx(cut["cost"])


WRONG = [
    (["--margin", "100%"], '--margin: no price leaves "100%": a margin is a share of the price'),
    (["--margin", "120%"], '--margin: "120%" is more than a share can be (100)'),
    (["--margin", "45"], '--margin: "45" has no % sign: write 45%'),
    (
        ["--bench-cost", "dear"],
        '--bench-cost: cannot read "dear"; write an amount of money such as',
    ),
    (["--cost", "7.10/lb"], "--cost: every lot on the rail has its cost"),
    (["--cost", "7.10/each"], "--cost: a price by weight is expected here, such as 22.99/lb"),
    (["--cost", "lamb: dear"], '--cost: cannot read "dear"; write a price such as 22.99/lb'),
    (["--cost", ": 7/lb"], '--cost: ": 7/lb" names no lot; write "lamb: 7.10/lb", or 7.10/lb'),
]


@pytest.mark.parametrize(("words", "message"), WRONG)
def test_a_wrong_option_is_named(run, words, message):
    ran = run("one-lamb", *words)
    assert isinstance(ran.exception, InputError)
    assert str(ran.exception).startswith(message)


def test_a_lot_without_a_cost_is_asked_for(run, shop):
    def said(*words: str) -> str:
        return str(run(shop.week, *words).exception)

    assert said() == (
        "rail: no cost given for leg, 2 at 6.1 lb; write cost: 7.10/lb in its line, "
        'or pass --cost "leg: 7.10/lb"'
    )
    assert said("--cost", "goat: 7/lb").startswith(
        '--cost: no lot without a cost is called "goat"; known: leg'
    )
    assert said("--cost", "leg: 7/lb", "--cost", "leg: 8/lb") == "--cost: two costs for leg"
    assert said("--cost", "leg: 7/lb", "--cost", "8/lb") == (
        "--cost: every lot without a cost is named already: leg"
    )
    for given_cost, paid in (("7/lb", 85.4), ("leg: 0/lb", 0.0)):
        data = json.loads(run(shop.week, "--cost", given_cost, "--json").stdout)
        assert data["lots"][2]["paid"] == pytest.approx(paid)
