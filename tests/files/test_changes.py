"""Changes in the scenario's own words: each equals the same thing written in the file."""

from __future__ import annotations

import random
from dataclasses import asdict
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.errors import InputError
from planner.core.quantities import POUNDS
from planner.files.changes import KINDS, Change, read_alternatives, read_changes
from planner.files.find import find
from planner.files.scenario_file import read_scenario
from planner.solve import Options
from planner.solve.plan import plan_week

KEY = {"rule": "rules", "price": "prices", "want": "wants", "drop-order": "drop orders"}

HOG = """\
species: hog
root: side
pieces:
  side: {keeps: 5 days, ways: {all: {gives: {loin: 1 at 40%, bones: 60%}}}}
  loin: {keeps: 4 days, ways: {chops: {gives: {chops: 100%}}}}
cuts:
  chops: {kind: chop, keeps: 3 days}
  bones: {kind: bone, keeps: 3 days}
"""

# in kg, two species that share bones, lots of one kind on a day, a cut by each
TWO = """\
title: An invented shop of goats and hogs
starts: 2026-11-30
days: 6
recipes: [goat.yaml, hog.yaml]
unit: kg
rail:
  - {goat: 3 head at 18.3 kg, arrives: mon}
  - {goat: 2 head at 21 kg, arrives: mon}
  - {hog: 4 sides at 45 kg, arrives: tue}
  - {loin: 2 at 18 kg, arrives: wed}
  - {loin: 1 at 18 kg, arrives: thu, keeps: 4 days}
case:
  goat bones: 3 kg
  chops: {amount: 2 kg, keeps: 3 days}
traffic: {mon: 1, tue: 1, fri: 2}
demand:
  chops: {price: 18/kg, want: {tue: 2 kg, fri: 4 kg}}
  leg roast:
    price: 60/each
    want: {mon: 1, fri: 2, sat: 2}
    orders:
      - {day: fri, amount: 1, for: a table of six}
      - {day: sat, amount: 2, for: "the inn: back door", price: 55/each}
  hog bones: {orders: [{day: tue, amount: 5 kg, for: a kennel, price: 1/kg}]}
rules:
  - all shoulder: trim
"""


@pytest.fixture
def two(shop) -> Path:
    (shop.folder / "hog.yaml").write_text(HOG)
    path = shop.folder / "two.yaml"
    path.write_text(TWO)
    return path


def read(path):
    return read_scenario(path, path.name)[0]


def shipped(name):
    return read(find(name, "scenarios", Path())[0])


def changed(scenario, *changes):
    return read_changes(scenario, [Change(*each.split(" ", 1)) for each in changes])


def form(value, key=""):
    """All of a scenario that matters, floats to 9 digits; where a rule stands does not."""
    if isinstance(value, dict):
        return {k: form(v, k) for k, v in value.items() if k != "line"}
    if isinstance(value, list | tuple):
        return [form(each) for each in value]
    return round(value, 9) if isinstance(value, float) else value


def told(scenario, *changes):
    with pytest.raises(InputError) as error:
        changed(scenario, *changes)
    return [str(each) for each in error.value.problems]


def same_as_written(path, folder, edits, changes):
    """Whether changes make of a file what the same edits by hand make of it."""
    text = path.read_text()
    before = text
    for old, new in edits:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    by_hand = folder / "by-hand.yaml"
    by_hand.write_text(text)
    scenario, wanted = read(path), form(asdict(read(by_hand)))
    got = changed(scenario, *changes)
    assert form(asdict(got)) == wanted
    if text != before:
        assert form(asdict(scenario)) != wanted, "the edits change something"
    recipes = {recipe.species: recipe for recipe in got.recipes}
    assert all(lot.recipe is recipes[lot.recipe.species] for lot in got.lots)
    assert [lot.index for lot in got.lots] == list(range(len(got.lots)))
    assert [order.index for order in got.orders] == list(range(len(got.orders)))
    return True


MONDAY = "{lamb: 4 head at 58 lb, arrives: mon, cost: 7.10/lb}"
WEDNESDAY = "{lamb: up to 2 head at 55 lb, arrives: wed, cost: 7.60/lb}"
LAST_RULE = "  - at most 2 leg: seam out        # only the head butcher seams\n"
BENCH = "bench: {mon: 180, tue: 160, wed: 200, thu: 200, fri: 200, sat: 110}"
GROUND = "want: {mon: 2 lb, wed: 2 lb, fri: 4 lb, sat: 5 lb}"
LOIN = "loin chops: {price: 23.99/lb, want: 16 lb"
CROWN = "price: 169/each\n"
BISTRO = "    orders: [{day: fri, amount: 9 lb, for: the corner bistro, price: 15.99/lb}]\n"
SCHOOL = "    orders: [{day: thu, amount: 10 lb, for: a school kitchen, price: 11.50/lb}]\n"
FRENCHED = "frenched rack: {price: 76/each, want: {fri: 2, sat: 2}}"


@pytest.mark.parametrize(
    ("edits", "changes"),
    [
        ([(LAST_RULE, LAST_RULE + "  - all shoulder: boneless roast\n")],
         ["rule all shoulder: boneless roast"]),
        ([], ["rule at  most 2 leg: seam out"]),
        ([(LAST_RULE, "")], ["rule lift at most 2 leg: seam out"]),
        ([("at most 2 leg: seam out", "at most 3 leg: seam out")],
         ["rule lift at most 2 leg: seam out", "rule at most 3 leg: seam out"]),
        ([("loin chops: {price: 23.99/lb", "loin chops: {price: 24.99/lb")],
         ["price loin chops: 24.99/lb"]),
        ([("loin chops: {price: 23.99/lb", "loin chops: {price: 26.389/lb")],
         ["price lamb loin chops: +10%"]),
        # the order for the crown roast has no price of its own, that for the roast has
        ([(CROWN, "price: 170.50/each\n")], ["price crown roast: +1.50"]),
        ([("price: 17.49/lb", "price: 18")], ["price shoulder roast: 18"]),
        ([("  suet: {", "  trim 85: {price: 8.50/lb}\n  suet: {")], ["price trim 85: $8.50/lb"]),
        ([("  suet: {", "  trim 85: {price: 8/lb, want: 20 lb}\n  suet: {")],
         ["want trim 85: 20 lb", "price trim 85: 8/lb"]),
        ([(GROUND, "want: {mon: 2.4 lb, wed: 2.4 lb, fri: 4.8 lb, sat: 6 lb}")],
         ["want ground lamb: +20%"]),
        ([(GROUND, "want: {mon: 1 lb, wed: 1 lb, fri: 2 lb, sat: 2.5 lb}")],
         ["want ground lamb: -6.5 lb"]),
        ([(GROUND, "want: 12 lb")], ["want ground lamb: 192 oz"]),
        ([(GROUND, "want: {mon: 2 lb, wed: 3 lb, fri: 6 lb}")],
         ["want ground lamb fri: +50%", "want ground lamb wed: +1 lb",
          "want ground lamb 2026-12-05: 0"]),
        ([(LOIN, "loin chops: {price: 23.99/lb, want: 20 lb")], ["want loin chops: +4 lb"]),
        # 4 x 1.2 = 4.8, so 5: 2.5 and 2.5, the earlier day first
        ([(FRENCHED, "frenched rack: {price: 76/each, want: {fri: 3, sat: 2}}")],
         ["want frenched rack: +20%"]),
        ([(FRENCHED, "frenched rack: {price: 76/each, want: 7}")], ["want frenched rack: 7"]),
        # 2 x 1.25 = 2.5, so 3
        ([(FRENCHED, "frenched rack: {price: 76/each, want: {fri: 3, sat: 2}}")],
         ["want frenched rack fri: +25%"]),
        ([(CROWN, CROWN + "    want: 2\n")], ["want crown roast: +2"]),
        ([(MONDAY, MONDAY.replace("4 head", "6 head"))], ["head lamb mon: 6 head"]),
        ([(MONDAY, MONDAY.replace("4 head", "5 head"))], ["head carcass 2026-11-30: +1 head"]),
        ([(MONDAY, MONDAY.replace("4 head", "3 sides"))], ["head lamb mon: 3 sides"]),
        ([(MONDAY, MONDAY.replace("4 head at 58", "4 at 60.5").replace("at 60", "head at 60"))],
         ["head lamb mon: 4 head at 60.5 lb"]),
        ([(MONDAY, "{lamb: up to 6 head at 58 lb, arrives: mon, cost: 8}")],
         ["head lamb mon: up to 6 head, cost: 8/lb"]),
        ([(WEDNESDAY, WEDNESDAY.replace("up to 2", "up to 1"))], ["head lamb 55 lb: -1"]),
        ([(WEDNESDAY, WEDNESDAY.replace("up to 2", "2"))], ["head lamb wed 55 lb: 2"]),
        ([(f"  - {WEDNESDAY}", f"  - {WEDNESDAY}\n  - {{lamb: 1 head at 50 lb, arrives: fri}}\n"
           "  - {rack: up to 3 at 3.1 lb, arrives: tue, cost: 9/lb}\n"
           "  - {lamb: 2 at 62 lb, cost: 7/lb}")],
         ["head lamb fri: 1 head at 50 lb", "head rack tue: up to 3 at 3.1 lb, cost 9/lb",
          "head lamb mon 62 lb: 2 cost 7"]),
        ([(BENCH, BENCH.replace("fri: 200", "fri: 360"))], ["bench fri: 360"]),
        ([(BENCH, BENCH.replace("fri: 200", "fri: 230"))], ["bench 2026-12-04: +30 min"]),
        ([(BENCH, BENCH.replace("sat: 110", "sat: 55"))], ["bench sat: -50%"]),
        ([(BENCH, "bench: 240")], ["bench all: 240"]),
        ([(BENCH, "bench: {mon: 190, tue: 170, wed: 210, thu: 210, sat: 120}")],
         ["bench fri: 0", "bench all: +10"]),  # closed on friday stays closed
        ([(BISTRO, "")],
         ["drop-order the corner bistro"]),
        ([(SCHOOL, "")],
         ["drop-order a school kitchen thu: ground lamb"]),
        ([("    orders: [{day: sat, amount: 1, for: a silver wedding}]\n", "")],
         ["drop-order a silver wedding: crown roast"]),
    ],
)  # fmt: skip
def test_a_change_of_the_corner_shop_equals_the_same_written_in_its_file(tmp_path, edits, changes):
    path = find("corner-shop", "scenarios", Path())[0]
    assert same_as_written(path, tmp_path, edits, changes)


LEGS = "want: {mon: 1, fri: 2, sat: 2}"


@pytest.mark.parametrize(
    ("edits", "changes"),
    [
        ([("price: 18/kg", "price: 19.50/kg")], ["price chops: 19.50"]),
        ([("price: 18/kg", "price: 9/lb")], ["price hog chops: 9/lb"]),
        ([("price: 60/each", "price: 66/each")], ["price leg roast: +10%"]),
        ([("{tue: 2 kg, fri: 4 kg}", "{tue: 3 kg, fri: 6 kg}")], ["want chops: +3"]),
        ([("{tue: 2 kg, fri: 4 kg}", "8 kg")], ["want chops: 8"]),
        # 5 x 1.4 = 7: 1.4, 2.8, 2.8
        ([(LEGS, "want: {mon: 1, fri: 3, sat: 3}")], ["want leg roast: +40%"]),
        # 5 x 0.7 = 3.5, so 4: 0.8, 1.6, 1.6
        ([(LEGS, "want: {mon: 1, fri: 2, sat: 1}")], ["want leg roast: -30%"]),
        # 7 by 1, 1, 2: 1.75, 1.75, 3.5
        ([(LEGS, "want: {mon: 2, tue: 2, fri: 3}")], ["want leg roast: 7"]),
        ([("hog bones: {orders", "hog bones: {price: 2/kg, want: {fri: 3 kg}, orders")],
         ["price hog bones: 2/kg", "want hog bones fri: 3"]),
        ([("3 head at 18.3 kg", "4 head at 18.3 kg")], ["head goat mon 18.3 kg: 4 head"]),
        ([("3 head at 18.3 kg", "4 head at 18.3 kg")], ["head goat mon: 4 head at 18.3"]),
        ([("2 head at 21 kg", "3 head at 21 kg")], ["head goat mon 21.04 kg: +1 head"]),
        ([("4 sides at 45 kg", "6 sides at 100 lb")], ["head hog: 6 at 100 lb"]),
        ([("2 at 18 kg", "5 at 18 kg")], ["head hog loin wed: 5"]),
        ([("rail:", "bench: 200\nrail:")], ["bench all: 200"]),
        ([("rail:", "bench: {mon: 200, tue: 200, wed: 9, thu: 200, fri: 200, sat: 200}\nrail:")],
         ["bench all: 200", "bench wed: 9"]),
        ([("      - {day: fri, amount: 1, for: a table of six}\n", "")],
         ["drop-order a table of six"]),
        ([('      - {day: sat, amount: 2, for: "the inn: back door", price: 55/each}\n', "")],
         ["drop-order the inn: back door sat: leg roast"]),
        ([("hog bones: {orders: [{day: tue, amount: 5 kg, for: a kennel, price: 1/kg}]}",
           "hog bones: {orders: []}")], ["drop-order a kennel"]),
    ],
)  # fmt: skip
def test_a_change_in_kg_with_two_species_equals_the_same_written(two, edits, changes):
    assert same_as_written(two, two.parent, edits, changes)


@pytest.mark.parametrize(
    ("old", "new", "change"),
    [
        ("side: {keeps: 5 days", "side: {keeps: 6 days", "keeps side: 6 days"),
        ("side: {keeps: 5 days", "side: {keeps: 4 days", "keeps hog: -1 day"),
        # one lot of loins keeps as loins do, the other has its own days, though they are as many
        ("loin: {keeps: 4 days", "loin: {keeps: 2 days", "keeps loin: 2"),
        # the chops in the case have their own days, though they are as many
        ("chops: {kind: chop, keeps: 3", "chops: {kind: chop, keeps: 5", "keeps chops: +2 days"),
        ("bones: {kind: bone, keeps: 3", "bones: {kind: bone, keeps: 1", "keeps hog bones: 1 day"),
    ],
)
def test_how_long_a_thing_keeps_equals_the_same_written_in_the_recipe(two, old, new, change):
    before = read(two)
    hog = two.parent / "hog.yaml"
    hog.write_text(hog.read_text().replace(old, new))
    wanted = read(two)
    got = changed(before, change)
    assert form(asdict(got)) == form(asdict(wanted)) != form(asdict(before))
    assert [lot.recipe for lot in got.lots if lot.recipe not in got.recipes] == []
    assert all(any(lot.recipe is each for each in got.recipes) for lot in got.lots)
    assert got.recipes[0] is before.recipes[0], "the other species is left alone"


def test_a_blend_and_plain_case_stock_follow_what_keeps(shop):
    before = read(shop.week)
    got = changed(before, "keeps bones: 2 days", "keeps ground goat: 4 days", "keeps leg: 3 days")
    assert [(each.cut, each.keeps) for each in got.case] == [("shoulder roast", 2), ("bones", 2)]
    assert (got.cuts["ground goat"].keeps, got.cuts["trim 85"].keeps) == (4, 2)
    assert got.recipes[0].pieces["leg"].keeps == 3
    assert got.lots[2].keeps == 2, "its own days left"
    assert before.cuts["ground goat"].keeps == 2, "what was read stays as it was"


def test_orders_follow_the_full_price_but_for_those_with_their_own(two):
    got = changed(read(two), "price leg roast: 55", "price leg roast: 70")
    assert [order.price for order in got.orders if order.cut == "leg roast"] == [70, 55]


def test_a_weekday_of_a_long_period_means_every_such_day_but_for_a_lot(shop):
    shop.spoil("scenario", ("days: 6", "days: 13"), ("fri, amount", "2026-12-11, amount"))
    shop.spoil(
        "scenario", ("arrives: mon", "arrives: 2026-11-30"), ("arrives: wed", "arrives: sun")
    )
    week = read(shop.week)
    got = changed(week, "want bones fri: 3 lb", "bench wed: 9", "drop-order the corner bistro fri")
    assert [day for day, want in enumerate(got.demand["bones"].want) if want == 3] == [4, 11]
    assert [day for day, minutes in enumerate(got.bench) if minutes == 9] == [2, 9]
    assert got.orders == ()
    assert told(week, "head goat mon: 4 head") == [
        "--head: mon comes 2 times in the period; write one of 2026-11-30, 2026-12-07"
    ]
    assert told(week, "head goat: 4 head") == [
        '--head: "goat: 4 head" may mean several lots; write goat 2026-11-30 or goat 2026-12-06'
    ]


SHOP_LOTS = "goat mon 40 lb, goat wed 42 lb, leg mon 6.1 lb"
ADD = "to add one, write its day and the weight of one: lamb mon: 4 head at 58 lb"
HEAD_FORM = "write 4 head, up to 6 head, +1 head, 4 head at 60 lb, or 4 head at 60 lb, cost 7.10/lb"
RULE_FORM = (
    "write all, never, at least 1 or at most 1, then a piece and a way: never rack: rib chops; "
    "or, for the grind, at least 4 lb trim 85: lamb sausage"
)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ("rule all shoulder trim", 'cannot read "all shoulder trim"; write it like "never rack: rib'
         ' chops"'),
        ("rule some shoulder: trim", f'cannot read the rule "some shoulder: trim"; {RULE_FORM}'),
        ("rule all sholder: trim", 'no piece called "sholder" in goat; did you mean "shoulder"?'),
        ("rule all shoulder: boneles roast", 'no way called "boneles roast" to cut a shoulder; did '
         'you mean "boneless roast"? (boneless roast, trim)'),
        ("rule lift at least 2 leg: whole", 'no rule "at least 2 leg: whole" to lift; the rules are'
         ' "all shoulder: boneless roast", "at least 1 leg: whole"'),
        ("rule lift whole", 'cannot read "whole"; write it like "never rack: rib chops"'),
        ("price bones 3", 'cannot read "bones 3"; write it like "loin chops: 24.99/lb"'),
        ("price bones:", 'cannot read "bones:"; write it like "loin chops: 24.99/lb"'),
        ("price : 3/lb", 'cannot read ": 3/lb"; write it like "loin chops: 24.99/lb"'),
        ("price bone: 3/lb", 'no cut called "bone" in goat; did you mean "bones"?'),
        ("price leg: 3/lb", "leg is a piece, not a cut; its ways give leg roast"),
        ("price bones: 3/each", "bones is sold by weight: write a price such as 22.99/lb"),
        ("price leg roast: 3/lb",
         "leg roast is sold by each: write a price such as 9/each"),
        ("price bones: 3,100/lb",
         '"3,100/lb": thousands or decimals? Write a point, or no comma at all'),
        ("price bones: cheap", 'cannot read "cheap"; write a price such as 22.99/lb or 9/each'),
        ("price bones: -4/lb", '"bones: -4/lb" takes away more than there is'),
        ("price bones: -101%", '"bones: -101%" takes away more than there is'),
        ("price bones: +1001%", '"bones: +1001%" is more than a step can be (1,000%)'),
        ("price bones: 10%", 'cannot read "10%"; write a price such as 22.99/lb or 9/each'),
        ("price trim 85: +10%",
         '"trim 85: +10%": nothing is there yet to change; write the new value itself'),
        ("want bones", 'cannot read "bones"; write it like "ground lamb: 12 lb"'),
        ("want trim 85: 3 lb",
         "trim 85 is wanted but has no price; give it a price as well, such as 22.99/lb"),
        ("want bonse fri: 3 lb", 'no cut called "bonse" in goat; did you mean "bones"?'),
        ("want bones fryday: 3 lb", 'no day called "fryday"; did you mean "friday"?'),
        ("want bones sun: 3 lb",
         "sun is outside the period (mon 2026-11-30 to sat 2026-12-05)"),
        ("want bones 2026-12-24: 3 lb",
         "2026-12-24 is outside the period (mon 2026-11-30 to sat 2026-12-05)"),
        ("want leg roast: 2.5", "leg roast is counted: write a whole number such as 3"),
        ("want leg roast fri: 2 lb", "leg roast is counted: write a whole number such as 3"),
        ("want bones: 2 each", "bones is weighed: write a weight such as 6 lb"),
        ("want bones: -11 lb", '"bones: -11 lb" takes away more than there is'),
        ("want leg roast mon: +10%",
         '"leg roast mon: +10%": nothing is there yet to change; write the new value itself'),
        ("want bones: 3 stone",
         '"3 stone": no unit called "stone"; use lb, kg, oz, g or each'),
        ("head goat 4", 'cannot read "goat 4"; write it like "lamb mon: 4 head"'),
        ("head goat: 4 head",
         '"goat: 4 head" may mean several lots; write goat mon or goat wed'),
        ("head gaot mon: 4 head", 'no species or piece called "gaot"; did you mean "goat"?'),
        ("head leg roast: 4", "leg roast is a cut, not a piece; it comes from leg"),
        ("head goat mondy: 4 head", 'no day called "mondy"; did you mean "mon"?'),
        ("head goat fri: 4 head", f'no such lot: "goat fri: 4 head"; the lots are {SHOP_LOTS}; '
         f"{ADD}"),
        ("head shoulder: 4 at 3 lb", f'no such lot: "shoulder: 4 at 3 lb"; the lots are '
         f"{SHOP_LOTS}; {ADD}"),
        ("head goat mon 50 lb: +1",
         f'no such lot: "goat mon 50 lb: +1"; the lots are {SHOP_LOTS}; {ADD}'),
        ("head goat mon 50 lb: 1 at 51 lb",
         f'no such lot: "goat mon 50 lb: 1 at 51 lb"; the lots are {SHOP_LOTS}; {ADD}'),
        ("head goat mon: four", f'cannot read "goat mon: four"; {HEAD_FORM}'),
        ("head goat mon: 4 head at", f'cannot read "goat mon: 4 head at"; {HEAD_FORM}'),
        ("head goat mon: +1 head at 40 lb",
         f'cannot read "goat mon: +1 head at 40 lb"; {HEAD_FORM}'),
        ("head goat mon: -4 head", '"goat mon: -4 head" takes away more than there are (3)'),
        ("head goat mon: 100001 head",
         '"goat mon: 100001 head" is more than a count can be (100,000)'),
        ("head goat mon: 1 at 5001 lb",
         '"goat mon: 1 at 5001 lb": one weighs more than 0 and at most 5000 lb'),
        ("head goat mon 0 lb: 1", '"goat mon 0 lb": one weighs more than 0 and at most 5000 lb'),
        ("head goat mon: 1 at 9 each", "a weight is expected here, such as 6 lb"),
        ("head goat mon: 1, cost 3/each", "a price by weight is expected here, such as 22.99/lb"),
        ("head leg: up to 3",
         '"leg: up to 3": what may be bought has a cost: up to 6 head, cost 7.10/lb'),
        ("bench 360", 'cannot read "360"; write it like "fri: 360"'),
        ("bench frii: 360", 'no day called "frii"; did you mean "fri"?'),
        ("bench sun: 360", "sun is outside the period (mon 2026-11-30 to sat 2026-12-05)"),
        ("bench fri: long", 'cannot read "long"; write minutes such as 240'),
        ("bench fri: -302", '"fri: -302" takes away more than there is'),
        ("keeps bones 3 days", 'cannot read "bones 3 days"; write it like "rib chops: 3 days"'),
        ("keeps bone: 3 days",
         'no cut, blend or piece called "bone" in goat; did you mean "bones"?'),
        ("keeps bones: 0 days", '"0 days" is out of date from the start; 1 day is that day only'),
        ("keeps bones: -3 days", '"0 days" is out of date from the start; 1 day is that day only'),
        ("keeps bones: long", 'cannot read "long"; write whole days such as 7 days'),
        ("drop-order the corner bisto", 'no order for "the corner bisto"; did you mean "the corner '
         'bistro"? (the corner bistro)'),
        ("drop-order the corner bisto fri: bones", 'no order for "the corner bisto"; did you mean '
         '"the corner bistro"? (the corner bistro)'),
        ("drop-order the corner bistro fryday", 'no day called "fryday"; did you mean "friday"?'),
        ("drop-order the corner bistro: bone",
         'no cut called "bone" in goat; did you mean "bones"?'),
        ("drop-order the corner bistro: bones", 'no such order: "the corner bistro: bones"; the '
         "corner bistro has shoulder roast on fri"),
        ("drop-order the corner bistro mon", 'no such order: "the corner bistro mon"; the corner '
         "bistro has shoulder roast on fri"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_change_is_told_exactly(shop, change, message):
    kind = change.split(" ", 1)[0]
    assert told(read(shop.week), change) == [f"--{kind}: {message}"]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ("price bones: 3", 'more than one recipe has "bones"; write "goat bones" or "hog bones"'),
        ("want bones fri: 3",
         'more than one recipe has "bones"; write "goat bones" or "hog bones"'),
        ("keeps bones: 3",
         'more than one recipe has "bones"; write "goat bones" or "hog bones"'),
        ("want hog bones: 3 kg",
         "hog bones is wanted but has no price; give it a price as well, such as 22.99/kg"),
        ("head goat: 4 head",
         '"goat: 4 head" may mean several lots; write goat mon 18.3 kg or goat mon 21 kg'),
        ("head goat mon: 4 head at 19 kg", '"goat mon: 4 head at 19 kg" may mean several lots; '
         "write goat mon 18.3 kg or goat mon 21 kg"),
        ("head loin: 4", '"loin: 4" may mean several lots; write loin wed or loin thu'),
        ("bench fri: 360",
         '"fri: 360": the bench has no limit yet; set every day first, such as all: 240'),
        ("bench all: +30",
         '"all: +30": the bench has no limit yet; set every day first, such as all: 240'),
    ],
)  # fmt: skip
def test_what_two_species_and_lots_alike_leave_open(two, change, message):
    kind = change.split(" ", 1)[0]
    assert told(read(two), change) == [f"--{kind}: {message}"]


def test_of_two_lots_that_weigh_much_the_same_the_one_that_is_written_is_meant(two):
    two.write_text(TWO.replace("2 head at 21 kg", "2 head at 18.34 kg"))
    for written, counts in {"18.34": [3, 7], "18.3": [7, 2]}.items():
        got = changed(read(two), f"head goat mon {written} kg: 7")
        assert [lot.count for lot in got.lots][:2] == counts


def test_lots_that_nothing_tells_apart(two):
    two.write_text(TWO.replace("2 head at 21 kg", "up to 2 head at 18.3 kg"))
    assert told(read(two), "head goat: 4 head") == [
        '--head: "goat: 4 head" may mean several lots; they cannot be told apart here '
        "(goat mon 18.3 kg): change the file"
    ]


def test_where_there_are_no_lots_rules_or_orders(shop):
    text = shop.week.read_text()
    start, end = text.index("rail:"), text.index("bench: {")
    text = text[:start] + text[end:]
    text = text[: text.index("rules:")] + text[text.index("carry:") :]
    orders = text.index("    orders:"), text.index("  leg roast:")
    shop.week.write_text(text[: orders[0]] + text[orders[1] :])
    bare = read(shop.week)
    assert told(
        bare, "head goat mon: 4", "rule lift all leg: whole", "drop-order the corner bistro"
    ) == [
        '--drop-order: no order for "the corner bistro"; there are no orders',
        f'--head: no such lot: "goat mon: 4"; there are no lots; {ADD}',
        '--rule: no rule "all leg: whole" to lift; there are no rules',
    ]
    (lot,) = changed(bare, "head goat mon: 4 at 40 lb").lots
    assert (lot.index, lot.count, lot.weight, lot.keeps, lot.up_to) == (0, 4, 40, 7, False)


def test_every_fault_is_told_and_none_that_follows_from_another(shop):
    assert told(
        read(shop.week),
        "want trim 85: 3 lb",
        "price trim 58: 4",  # meant for it
        "price bones: dear",
        "bench all: long",
        "bench fri: +30",
        "drop-order the inn",
    ) == [
        '--bench: cannot read "long"; write minutes such as 240',
        '--drop-order: no order for "the inn" (the corner bistro)',
        '--price: cannot read "dear"; write a price such as 22.99/lb or 9/each',
        '--price: no cut called "trim 58" in goat; did you mean "trim 85"?',
    ]


def test_a_fault_of_the_first_bench_is_not_told_of_the_second(two):
    assert told(read(two), "bench all: long", "bench fri: 20") == [
        '--bench: cannot read "long"; write minutes such as 240'
    ]


def test_no_changes_are_no_change_and_an_unknown_kind_is_refused(shop):
    week = read(shop.week)
    assert read_changes(week, []) == week
    with pytest.raises(ValueError, match="not in tuple"):
        read_changes(week, [Change("weather", "rain")])


APART = (
    "rule never rack: frenched", "rule lift at most 2 leg: seam out", "rule all shoulder: stew",
    "price loin chops: +7%", "price crown roast: 175", "price trim 85: 6/lb",
    "want ground lamb: +15%", "want lamb sausage fri: +2 lb", "want frenched rack: +60%",
    "want whole neck: 4 lb", "head lamb mon: +1 head", "head lamb wed: up to 4 head",
    "bench fri: +45", "bench mon: 200", "keeps rib chops: +1 day", "keeps carcass: 6 days",
    "keeps ground lamb: 1 day", "drop-order the corner bistro", "drop-order a silver wedding",
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(APART), unique=True), st.randoms(use_true_random=False))
def test_changes_to_different_things_may_be_made_in_any_order(changes, chance):
    scenario = shipped("corner-shop")
    other = random.Random(chance.random()).sample(changes, len(changes))
    same = [asdict(each) for each in (scenario, changed(scenario, *changes))]
    same.append(asdict(changed(scenario, *other)))
    for each in same:
        each["rules"] = sorted(each["rules"], key=str)
    before, one, two_ = same
    assert one == two_
    assert (one != before) == bool(changes)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 40), st.lists(st.integers(0, 9), min_size=6, max_size=6))
def test_wants_by_each_stay_whole_and_add_up(percent, wants):
    scenario = shipped("corner-shop")
    days = dict(zip(("mon", "tue", "wed", "thu", "fri", "sat"), wants, strict=True))
    scenario = changed(scenario, *(f"want cap-off rack {day}: {n}" for day, n in days.items()))
    assert scenario.demand["cap-off rack"].want == tuple(wants)
    if not sum(wants):
        return
    got = changed(scenario, f"want cap-off rack: +{percent}%").demand["cap-off rack"].want
    assert all(each == int(each) for each in got)
    assert abs(sum(got) - sum(wants) * (1 + percent / 100)) <= 0.5
    for now, before in zip(got, wants, strict=True):
        assert abs(now - before * sum(got) / sum(wants)) < 1


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        ("one-lamb", ["head lamb: 0 head"]),
        ("one-lamb", ["head lamb: up to 0 head", "drop-order a birthday table", "bench all: 0"]),
        ("one-lamb", ["head lamb: up to 3 head", "keeps lamb: 1 day", "price trim 85: 4/lb"]),
        ("one-lamb", ["head leg mon: 2 at 9 lb", "want frenched rack: 0", "rule never leg: whole"]),
        ("corner-shop", ["head lamb mon: 0", "rule lift at least 1 leg: whole", "bench all: 0"]),
        ("corner-shop", ["head lamb mon: 0", "head lamb wed: 0",
                         "rule lift at least 1 leg: whole", "drop-order a silver wedding"]),
    ],
)  # fmt: skip
def test_a_changed_scenario_can_be_planned(name, changes):
    scenario = changed(shipped(name), *changes)
    plan = plan_week(scenario, Options(seconds=20))
    assert plan.bound >= plan.score
    hanging = sum(lot.count * lot.weight for lot in scenario.lots if not lot.up_to)
    hanging += sum(each.weight for each in plan.bought)
    roots = sum(each.weight for each in plan.breaks if each.piece in ("carcass", "leg"))
    assert (roots > 0) <= (hanging > 0), "what is not there is not cut"


def test_the_second_lamb_of_a_shop_that_wants_two_brings_more():
    scenario = shipped("one-lamb")
    tight = Options(share=0.0, amount=0.01, seconds=20)
    one, more = plan_week(scenario, tight), plan_week(changed(scenario, "head lamb: +1"), tight)
    assert more.score > one.score


WORDS = (
    "lamb", "leg", "loin chops", "frenched rack", "the corner bistro", "lift", "all", "at most 2",
    "mon", "fri", "2026-12-01", ":", ": ", "+", "-", "4", "0", "1.5", "999999999", "20%", "at",
    "up to", "head", "58 lb", "3/lb", "cost", "each", "kg", "days", ",", " ", "seam out", "\u00b2",
)  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(st.sampled_from(KINDS), st.lists(st.sampled_from(WORDS), max_size=8), st.booleans())
def test_whatever_is_written_is_a_change_or_told(kind, words, spaced):
    got, problems = shipped("corner-shop"), ()
    try:
        got = read_changes(got, [Change(kind, (" " if spaced else "").join(words))])
    except InputError as error:
        problems = error.problems
    assert all((each.file, each.line) == (f"--{kind}", 0) for each in problems)
    assert all(lot.count >= 0 and 0 < lot.weight <= 5000 for lot in got.lots)
    assert all(0 <= each <= 1e6 for demand in got.demand.values() for each in demand.want)
    assert all(0 <= each <= 1e6 for each in got.bench)
    assert len(got.bench) == got.days


# -- a file of alternatives --------------------------------------------------------------------

ALTERNATIVES = """\
# compared with the week as it is
bone out every shoulder:
  rules: [all shoulder: boneless roast, lift at most 2 leg: seam out]
dearer loin chops, two more lamb:
  drop orders: [the corner bistro, a school kitchen thu: ground lamb]
  prices: {loin chops: 24.99/lb, trim 85: 6}
  wants: {ground lamb: +20%, trim 85 fri: 3 lb}
  head: {lamb mon: 6 head}
  bench: {fri: 360, all: +10}
  keeps:
    rib chops: 3 days
"""


def alternatives(tmp_path, text, name="corner-shop"):
    path = tmp_path / "changes.yaml"
    path.write_text(text)
    return read_alternatives(shipped(name), path, "changes.yaml")


def test_alternatives_are_the_changes_under_their_names(tmp_path):
    bone, dear = alternatives(tmp_path, ALTERNATIVES)
    assert (bone.name, dear.name) == (
        "bone out every shoulder",
        "dearer loin chops, two more lamb",
    )
    assert bone.changes == (
        Change("rule", "all shoulder: boneless roast"),
        Change("rule", "lift at most 2 leg: seam out"),
    )
    assert [(each.kind, each.text) for each in dear.changes] == [
        ("price", "loin chops: 24.99/lb"),
        ("price", "trim 85: 6"),
        ("want", "ground lamb: +20%"),
        ("want", "trim 85 fri: 3 lb"),
        ("head", "lamb mon: 6 head"),
        ("bench", "fri: 360"),
        ("bench", "all: +10"),
        ("keeps", "rib chops: 3 days"),
        ("drop-order", "the corner bistro"),
        ("drop-order", "a school kitchen thu: ground lamb"),
    ]
    for each in (bone, dear):
        assert each.scenario == read_changes(shipped("corner-shop"), each.changes)
    assert [rule.line for rule in bone.scenario.rules][-1] == 0, "no line of another file"
    assert dear.scenario.rules == shipped("corner-shop").rules, "each starts from the file"


@pytest.mark.parametrize(
    ("old", "new", "at", "message"),
    [
        ("  prices:", "  price:", "  price:", 'unknown key "price"; did you mean "prices"?'),
        ("  drop orders:", "  drop-orders:", "drop-orders",
         'unknown key "drop-orders"; did you mean "drop orders"?'),
        ("  prices:", "  weather:", "weather", 'unknown key "weather" (known here: rules, prices, '
         "wants, head, bench, keeps, drop orders)"),
        ("loin chops: 24.99/lb", "loin chop: 24.99/lb", "loin chop: ",
         'no cut called "loin chop" in lamb; did you mean "loin chops"?'),
        ("    rib chops: 3 days", "    rib chops: long", "long",
         'cannot read "long"; write whole days such as 7 days'),
        ("boneless roast", "bonless roast", "bonless", 'no way called "bonless roast" to cut '
         'a shoulder; did you mean "boneless roast"? (square-cut, boneless roast, stew, trim, '
         'chops)'),
        ("lift at most 2", "lift at most 3", "lift at", 'no rule "at most 3 leg: seam out" to lift;'
         ' the rules are "at least 1 leg: whole", "at most 2 leg: seam out", '
         '"all shoulder: boneless roast"'),
        ("lamb mon: 6 head", "lamb mon: six", "six", f'cannot read "lamb mon: six"; {HEAD_FORM}'),
        ("fri: 360", "frii: 360", "frii", 'no day called "frii"; did you mean "fri"?'),
        ("[the corner bistro", "[the corner bisto", "bisto", 'no order for "the corner bisto"; did '
         'you mean "the corner bistro"? (a school kitchen, a silver wedding, the corner bistro)'),
        ("ground lamb: +20%", "ground lamb: [1]", "[1]",
         "ground lamb: one value is expected here, not a map or a list"),
        ("{lamb mon: 6 head}", "6 head", "6 head",
         'head: no colon in "6 head"; write a name, a colon and a value'),
        ("[the corner bistro, a", "[[the corner bistro], a", "[[", "drop orders: a list is not "
         "expected here"),
        ("{lamb mon: 6 head}", "{lamb mon: 6 head, lamb mon: 5 head}", "lamb mon: 6",
         '"lamb mon" is listed twice (first on line 8)'),
        ("dearer loin chops, two more lamb:\n", "bone out every shoulder:\n", "  drop",
         '"bone out every shoulder" is listed twice (first on line 2)'),
        ("# compared with the week as it is", "as today: {}", "as today",
         "as today: no change is written here"),
        ("# compared with the week as it is", "as today:", "as today",
         "as today: nothing is written here; write a value, or leave the line out"),
        ("# compared with the week as it is", "cheaper: 2%", "cheaper", "cheaper: write {prices: "
         "{loin chops: 24.99/lb}, bench: {fri: +30}}"),
        ("# compared with the week as it is", "bench: {fri: 20}", "bench: {fri: 20}",
         "bench: write the name of the alternative first, and its changes under it"),
        ("# compared with the week as it is", "drop orders: [x]", "drop orders: [x]",
         "drop orders: write the name of the alternative first, and its changes under it"),
        ("# compared with the week as it is", '"": {bench: {fri: 20}}', '"":',
         "the name is blank"),
    ],
)  # fmt: skip
def test_a_fault_of_an_alternative_is_told_on_its_line(tmp_path, old, new, at, message):
    assert ALTERNATIVES.count(old) == 1
    text = ALTERNATIVES.replace(old, new)
    assert text.count(at) == 1
    line = text[: text.index(at)].count("\n") + 1 - ("every shoulder" in message)
    with pytest.raises(InputError) as error:
        alternatives(tmp_path, text)
    assert [str(each) for each in error.value.problems] == [f"changes.yaml:{line}: {message}"]


def test_faults_of_all_alternatives_are_told_together(tmp_path):
    text = ALTERNATIVES.replace("boneless", "bonless").replace("24.99", "24,99")
    text = text.replace("3 days", "0 days")
    with pytest.raises(InputError) as error:
        alternatives(tmp_path, text)
    assert [each.line for each in error.value.problems] == [3, 6, 11]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "changes.yaml: the file is empty"),
        ("{}\n", "changes.yaml:1: no alternative is written here"),
        ("- a\n", "changes.yaml:1: lines such as `title: My shop` are needed at the top"),
        (TWO, "changes.yaml: this is a scenario, but a file of alternatives is expected here"),
        (HOG, "changes.yaml: this is a recipe, but a file of alternatives is expected here"),
    ],
)
def test_what_is_no_file_of_alternatives(tmp_path, text, message):
    with pytest.raises(InputError) as error:
        alternatives(tmp_path, text)
    assert [str(each) for each in error.value.problems] == [message]


def test_every_kind_has_its_key_in_the_file(tmp_path):
    changes = {
        "rule": "all shoulder: stew", "price": "bones: 2", "want": "bones: 3", "keeps": "bones: 2",
        "head": "lamb mon: 3", "bench": "fri: 9", "drop-order": "the corner bistro",
    }  # fmt: skip
    assert set(changes) == set(KINDS)
    for kind, text in changes.items():
        listed = kind in ("rule", "drop-order")
        body = f"[{text}]" if listed else f"{{{text}}}"
        (one,) = alternatives(tmp_path, f"it: {{{KEY.get(kind, kind)}: {body}}}\n")
        assert one.changes == (Change(kind, text),)
        assert one.scenario != shipped("corner-shop")


def test_weights_are_pounds_inside_whatever_is_written(two):
    got = changed(read(two), "want chops tue: 500 g", "head hog: 4 at 44 kg")
    assert got.demand["chops"].want[1] == pytest.approx(0.5 * POUNDS["kg"])
    assert got.lots[2].weight == pytest.approx(44 / 0.45359237)


def test_a_rule_in_quotes_is_a_rule_all_the_same(tmp_path):
    """`- never rack: frenched` is a map to YAML, `- "never rack: frenched"` a text."""
    shop = shipped("corner-shop")
    scenarios = []
    for text in ('["never rack: frenched"]', "[never rack: frenched]"):
        path = tmp_path / "ideas.yaml"
        path.write_text(f"one:\n  rules: {text}\n")
        scenarios.append(read_alternatives(shop, path, "ideas.yaml")[0].scenario)
    assert scenarios[0] == scenarios[1] != shop


def test_a_name_with_a_colon_is_split_at_the_last_one(tmp_path):
    """YAML allows `"rib: chops"` as a name; what is said of it has no colon."""
    here = Path(__file__).parent.parent.parent
    recipe = (here / "recipes" / "lamb.yaml").read_text(encoding="utf-8")
    week = (here / "scenarios" / "one-lamb.yaml").read_text(encoding="utf-8")
    recipe = recipe.replace("gives: {rib chops:", 'gives: {"rib: chops":')
    recipe = recipe.replace("\n  rib chops:", '\n  "rib: chops":')
    week = week.replace("[lamb]", "[lamb.yaml]").replace("\n  rib chops:", '\n  "rib: chops":')
    (tmp_path / "lamb.yaml").write_text(recipe, encoding="utf-8")
    (tmp_path / "week.yaml").write_text(week, encoding="utf-8")
    shop = read(tmp_path / "week.yaml")
    new = changed(shop, "want rib: chops: +1 lb", "keeps rib: chops: +1 day")
    assert sum(new.demand["rib: chops"].want) == sum(shop.demand["rib: chops"].want) + 1
    assert new.cuts["rib: chops"].keeps == shop.cuts["rib: chops"].keeps + 1
