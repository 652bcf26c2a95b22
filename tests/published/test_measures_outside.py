"""Pounds and kilograms against their definition, and one plan in both."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from planner.core.quantities import pounds, read_amount
from planner.files.find import shipped_folder
from planner.files.scenario_file import read_scenario
from planner.solve import Options
from planner.solve.plan import Plan, plan_week

# International Yard and Pound Agreement (1959): one avoirdupois pound is 0.45359237 kg exactly.
KG_PER_LB = Fraction("0.45359237")


def in_pounds(text: str) -> float:
    return pounds(read_amount(text), "lb")


# Yard and Pound Agreement; as near as a float comes.
def test_a_pound_is_its_definition():
    assert in_pounds("0.45359237 kg") == 1
    assert in_pounds("453.59237 g") == pytest.approx(1, rel=1e-15)
    assert in_pounds("1 kg") == float(1 / KG_PER_LB)


# An avoirdupois pound has 16 ounces: Yard and Pound Agreement, by 28.349523125 g to the ounce.
def test_an_ounce_is_a_sixteenth_of_a_pound():
    assert in_pounds("16 oz") == 1
    assert in_pounds("28.349523125 g") == pytest.approx(in_pounds("1 oz"), rel=1e-15)


# Invented: a shop with everything in it that has a weight, with and without its unit.
SHOP = """
title: An invented shop, weighed twice
starts: 2026-11-30
days: 2
recipes: [lamb.yaml]
unit: lb
rail:
  - {lamb: 1 head at 58 lb}
  - {lamb: up to 1 head at 54, arrives: tue, cost: 5.90/lb}
  - {shoulder: 1 at 6.5 lb, arrives: tue, keeps: 1 day}
bench: {mon: 60, tue: 70}
overtime: {up to: 20, cost: 0.75}
case:
  trim 70: {amount: 3 lb, keeps: 2 days}
  bones: 5
  whole neck: {amount: 2 lb, keeps: 1 day}
demand:
  frenched rack: {price: 76/each, want: {tue: 1}}
  rib chops: {price: 25.99/lb, want: 2 lb}
  loin chops: {price: 23.99/lb, want: {tue: 9 lb}, markdown: {price: 15.99/lb, want: 3 lb}}
  whole leg: {price: 13.99/lb, want: 22}
  boneless leg: {price: 18.99, want: 12 lb}
  shoulder roast:
    price: 15.49/lb
    want: 12 lb
    orders: [{day: tue, amount: 9 lb, for: an invented inn, price: 14.25/lb}]
  riblets: {price: 8.99/lb, want: 3 lb}
  ground lamb: {price: 12.99/lb, want: 8 lb}
  lamb sausage: {price: 13.99/lb, want: 3 lb}
  bones: {price: 3.49/lb, want: 4 lb}
carry: 40%
disposal: 0.20/lb
"""
NUMBER = r"(\d+(?:\.\d+)?)"


def to_kg(text: str) -> str:
    """The same file in kilograms: weights, money for a weight, minutes for a weight."""

    def less(found: re.Match[str]) -> str:
        return f"{found[1]}{float(Fraction(found[2]) * KG_PER_LB):.15f}{found[3]}"

    def more(found: re.Match[str]) -> str:
        return f"{found[1]}{float(Fraction(found[2]) / KG_PER_LB):.15f}{found[3]}"

    text = re.sub(rf"(){NUMBER}( lb\b)", less, text)
    text = re.sub(rf"(){NUMBER}(/lb| per lb)\b", more, text)
    text = re.sub(rf"(head at |want: |bones: ){NUMBER}([,}}\n])", less, text)
    text = re.sub(rf"(price: ){NUMBER}([,}}])", more, text)
    return re.sub(r"\blb\b", "kg", text)


def planned(folder: Path, shop: str, recipe: str) -> Plan:
    folder.mkdir()
    (folder / "shop.yaml").write_text(shop)
    (folder / "lamb.yaml").write_text(recipe)
    scenario, _ = read_scenario(folder / "shop.yaml", "shop.yaml")
    return plan_week(scenario, Options(share=0.0, amount=1e-6))


def test_a_plan_in_kilograms_is_the_plan_in_pounds(tmp_path):
    recipe = (shipped_folder("recipes") / "lamb.yaml").read_text()
    in_lb = planned(tmp_path / "lb", SHOP, recipe)
    in_kg = planned(tmp_path / "kg", to_kg(SHOP), to_kg(recipe))
    assert (in_lb.scenario.unit, in_kg.scenario.unit) == ("lb", "kg")
    assert in_kg.score == pytest.approx(in_lb.score, rel=1e-6)
    for part in ("revenue", "buying", "overtime", "disposal", "carry"):
        money = getattr(in_lb, part)
        assert money > 0, f"this shop has no {part}"
        assert getattr(in_kg, part) == pytest.approx(money, abs=1e-3), part
    cut = [[(b.day, b.lot, b.piece, b.way, b.count) for b in p.breaks] for p in (in_lb, in_kg)]
    assert cut[0] == cut[1]
    assert [b.weight for b in in_kg.breaks] == pytest.approx([b.weight for b in in_lb.breaks])
    assert [b.made for b in in_kg.batches] == pytest.approx([b.made for b in in_lb.batches])
    assert sum(day.minutes for day in in_kg.bench) == pytest.approx(
        sum(day.minutes for day in in_lb.bench)
    )
