"""The USDA's lamb cutout put through the program.

Source of all figures: USDA Agricultural Marketing Service, National Estimated Lamb Carcass Cutout
(LM_XL502), Friday 20 February 2026. They stand in `published/usda-lamb-cutout.yaml`.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from planner.core.recipe import Recipe, piece_shares
from planner.files.find import shipped_folder
from planner.files.recipe_file import read_recipe
from planner.files.scenario_file import read_scenario
from planner.solve import Options
from planner.solve.plan import Plan, plan_week

PUBLISHED = Path(__file__).parent.parent / "published"
CUTOUT = yaml.safe_load((PUBLISHED / "usda-lamb-cutout.yaml").read_text())
GROSS = CUTOUT["gross"]
LINES = {line["name"]: line for lines in CUTOUT["lines"].values() for line in lines}
LAMB = shipped_folder("recipes") / "lamb.yaml"
EXACT = Options(share=0.0, amount=1e-6)
UNLIMITED = 100_000

# What lamb.yaml cuts and the report prices alike: cut -> line of the report.
WHOLESALE = {
    "eight-rib rack": "rack, 8-rib, medium",
    "cap-off rack": "rack, roast-ready, frenched",
    "whole breast": "breast",
    "square-cut shoulder": "shoulders, square-cut",
    "whole shank": "foreshank",
    "whole neck": "neck",
    "whole leg": "leg, trotter off",
    "boneless leg": "leg, boneless, tied",
    "ground lamb": "ground lamb",
    "fat": "fat and bone",
    "suet": "fat and bone",
    "bones": "fat and bone",
}
LOINS = ("loins, trimmed 1x1", "loins, trimmed 4x4")


def per_lb(line: str) -> float:
    """Money a pound; the report's prices are for 100 lb."""
    return LINES[line]["price"] / 100


def plan(folder: Path, recipe: str, lot: dict[str, str], demand: dict[str, Any]) -> Plan:
    scenario = {
        "title": "The cutout",
        "starts": "2026-02-20",
        "days": 1,
        "recipes": [recipe],
        "rail": [lot],
        "demand": demand,
    }
    path = folder / "scenario.yaml"
    path.write_text(yaml.safe_dump(scenario))
    return plan_week(read_scenario(path, path.name)[0], EXACT)


def write_cutout(folder: Path) -> None:
    """The report as a recipe: the carcass to its two saddles, each saddle to its lines."""
    halves = {name: f"1 at {share}%" for name, share in CUTOUT["share"].items()}
    pieces = {"carcass": {"keeps": 1, "ways": {"two saddles": {"gives": halves}}}}
    for saddle, lines in CUTOUT["lines"].items():
        gives = {
            "loss" if line["name"] == "shrink" else line["name"]: (
                f"{line['share'] / CUTOUT['share'][saddle] * 100:.12f}%"
            )
            for line in lines
        }
        pieces[saddle] = {"keeps": 1, "ways": {"wholesale": {"gives": gives}}}
    cuts = {name: {"kind": "roast", "keeps": 1} for name in LINES if name != "shrink"}
    recipe = {"species": "lamb", "root": "carcass", "pieces": pieces, "cuts": cuts}
    (folder / "cutout.yaml").write_text(yaml.safe_dump(recipe))


@pytest.fixture
def cutout(tmp_path):
    """Plan 100 lb on the rail, cut and sold as the report has it."""
    write_cutout(tmp_path)
    demand = {
        name: {"price": f"{per_lb(name):.6f}/lb", "want": f"{UNLIMITED} lb"}
        for name in LINES
        if name != "shrink"
    }
    return lambda lot: plan(tmp_path, "cutout.yaml", lot, demand)


# Published gross values per 100 lb, to their last digit.
@pytest.mark.parametrize("piece", GROSS)
def test_100_lb_are_worth_what_the_report_says(cutout, piece):
    made = cutout({piece: "1 at 100 lb"})
    assert made.score == pytest.approx(GROSS[piece], abs=1e-4)


# Published net value: gross less processing and packaging, here paid with the carcass.
def test_a_carcass_that_costs_the_processing_is_worth_the_net_value(cutout):
    made = cutout({"lamb": "up to 1 head at 100 lb", "cost": f"{CUTOUT['processing'] / 100}/lb"})
    assert made.score == pytest.approx(CUTOUT["net"], abs=1e-4)


def wholesale_demand(recipe: Recipe, loin: str) -> dict[str, Any]:
    """The report's prices for the cuts of lamb.yaml; a cut sold by each at what it weighs."""
    carcass, rack = CUTOUT["carcass_lb"], piece_shares(recipe, "carcass")["rack"]
    cap_off = recipe.pieces["rack"].ways["cap off"].cuts
    each = next(given.share for given in cap_off if given.name == "cap-off rack") * rack * carcass
    demand = {}
    for cut, line in {**WHOLESALE, "trimmed loin": loin}.items():
        by_each = cut in recipe.cuts and recipe.cuts[cut].by_each
        price = f"{per_lb(line) * each:.6f}/each" if by_each else f"{per_lb(line):.6f}/lb"
        demand[cut] = {"price": price, "want": UNLIMITED}
    return demand


# Published gross per 100 lb. The report sells loins trimmed two ways; lamb.yaml has one between.
@pytest.mark.parametrize("loin", LOINS)
def test_lamb_recipe_at_these_prices_is_worth_about_the_same(tmp_path, loin):
    recipe, _ = read_recipe(LAMB, LAMB.name)
    pounds = CUTOUT["carcass_lb"]
    demand = wholesale_demand(recipe, loin)
    made = plan(tmp_path, str(LAMB), {"lamb": f"1 head at {pounds} lb"}, demand)
    assert made.score / pounds * 100 == pytest.approx(GROSS["carcass"], rel=0.12)


def test_lamb_recipe_numbers_these_cuts_as_the_report_does():
    recipe, _ = read_recipe(LAMB, LAMB.name)
    ours = {cut: recipe.cuts[cut].imps for cut in WHOLESALE if cut in recipe.cuts}
    assert ours == {cut: LINES[WHOLESALE[cut]].get("imps") for cut in ours}
    assert all(recipe.cuts["trimmed loin"].imps == LINES[loin]["imps"] for loin in LOINS)
