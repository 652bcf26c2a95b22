"""Scenario files: what is read, and every fault on its line with the nearest right word."""

from datetime import date

import pytest

from planner.core.errors import InputError
from planner.core.quantities import POUNDS
from planner.core.scenario import Order, Rule, Stock
from planner.files.scenario_file import read_scenario

HOG = """\
species: hog
root: side
pieces:
  side: {keeps: 5 days, ways: {all: {gives: {chops: 60%, bones: 40%}}}}
cuts:
  chops: {kind: chop, keeps: 3 days}
  bones: {kind: bone, keeps: 3 days}
"""

RECIPES = "recipes: [goat.yaml]"
FIRST_LOT = "{goat: 3 head at 40 lb, arrives: mon, cost: 5.10/lb}"
BENCH = "bench: {mon: 240, tue: 241, wed: 242, thu: 300, fri: 301, sat: 120}"
STOCK = "{amount: 6 lb, keeps: 2 days}"
BONES_STOCK = "bones: 4 lb"
ORDER = "{day: fri, amount: 9 lb, for: the corner bistro}"
MARKDOWN = "{price: 10.99/lb, want: 5 lb}"
EACH = "want: {fri: 2, sat: 3}"
ROAST = "want: {mon: 2 lb, fri: 6 lb, sat: 8 lb}"
GROUND = "{price: 9.99/lb, want: 12 lb}"
BONES = "bones: {price: 2.99/lb, want: 10 lb}"
ORDER_AT = "{day: fri, amount: 9 lb, for: the corner bistro, price: 12.99/lb}"
RULE = "all shoulder: boneless roast"


def read(shop):
    return read_scenario(shop.week, "week.yaml")[0]


def test_the_good_week_is_read_whole(shop):
    week, warnings = read_scenario(shop.week, "week.yaml")
    assert warnings == []
    assert (week.title, week.starts, week.days) == ("An invented goat week", date(2026, 11, 30), 6)
    first, second, legs = week.lots
    assert (first.piece, first.count, first.word, first.weight) == ("carcass", 3, "head", 40)
    assert (first.arrives, first.keeps, first.up_to, first.cost) == (0, 7, False, 5.1)
    assert (second.arrives, second.up_to, second.cost) == (2, True, 6.95)
    assert (legs.piece, legs.count, legs.word, legs.arrives, legs.keeps) == ("leg", 2, "", 0, 2)
    assert week.bench == (240, 241, 242, 300, 301, 120)
    assert (week.overtime_limit, week.overtime_cost) == (60, 0.75)
    assert week.case == (Stock("shoulder roast", 6, 2), Stock("bones", 4, 3))
    roast = week.demand["shoulder roast"]
    assert (roast.price, roast.markdown_price) == (12.99, 10.99)
    assert roast.want == (2, 0, 0, 0, 6, 8)
    assert roast.markdown_want == pytest.approx([5 * w / 63 for w in (8, 0, 0, 0, 25, 30)])
    assert week.orders == (Order(0, "shoulder roast", 4, 9, 12.99, "the corner bistro"),)
    assert week.rules == (
        Rule("all", 0, "shoulder", "boneless roast", 30),
        Rule("at least", 1, "leg", "whole", 31),
    )
    assert (week.carry, week.disposal) == (0.4, 0.1)


@pytest.mark.parametrize(
    ("old", "new", "at", "words"),
    [
        # keys
        ("title:", "titel:", "titel:", 'unknown key "titel"; did you mean "title"?'),
        ("starts:", "start:", "start:", 'did you mean "starts"?'),
        ("days: 6", "day: 6", "day: 6", 'did you mean "days"?'),
        ("recipes:", "recipe:", "recipe:", 'did you mean "recipes"?'),
        ("demand:", "Demand:", "Demand:", 'did you mean "demand"?'),
        ("days: 6\n", "", "title:", '"days" is missing'),
        (STOCK, "{amont: 6 lb, keeps: 2 days}", "amont", 'did you mean "amount"?'),
        (ORDER, "{day: fri, amount: 9 lb, fur: x}", "fur:", 'did you mean "for"?'),
        (ORDER, "{dya: fri, amount: 9 lb}", "dya", 'did you mean "day"?'),
        (ORDER, "{day: fri, for: x}", "for: x", 'orders: "amount" is missing'),
        (MARKDOWN, "{want: 5 lb}", "markdown:", 'markdown: "price" is missing'),
        ("up to: 60", "upto: 60", "upto", 'did you mean "up to"?'),
        ("arrives: wed", "arives: wed", "arives", 'did you mean "arrives"?'),
        (FIRST_LOT, "{arrives: mon, cost: 5.10/lb}", "arrives: mon", "a lot names what arrives"),
        ("carry: 40%", "bench: 240", "bench: 240", '"bench" is listed twice (first on'),
        (EACH, "want: {fri: 2, fri: 3}", "fri: 3}", '"fri" is listed twice'),
        # values of the wrong form
        (RECIPES, "recipes: goat.yaml", "recipes:", "a list is expected here, such as [lamb]"),
        (f"rules:\n  - {RULE}", "rules:\n  - all shoulder boneless roast", "all shoulder bone",
         'no colon in "all shoulder boneless roast"'),
        (f"- {RULE}\n", f"- {RULE}\n    never leg: whole\n", "all shoulder", "one rule on a line"),
        (FIRST_LOT, "3 head at 40 lb", "3 head", "rail: write {lamb: 3 head at 58 lb, arr"),
        (FIRST_LOT, "{goat: [3, 40]}", "goat: [", "3 head at 58 lb"),
        (GROUND, "9.99/lb", "9.99/lb", "ground goat: write {price: 22.99/lb, want: 8 lb}"),
        ("{up to: 60, cost: 0.75}", "30", "overtime:", "overtime: write {up to: 30, cost: 0.75}"),
        (MARKDOWN, "10.99/lb", "markdown:", "markdown: write {price: 16.49/lb, want: 6 lb}"),
        (f"\n      - {ORDER}", " fri 9 lb", "orders:", "orders: write [{day: fri, amount: 9 lb"),
        (ORDER, "fri 9 lb", "fri 9 lb", "orders: write {day: fri, amount: 9 lb, for: the corner"),
        (STOCK, "[6 lb]", "6 lb]", "shoulder roast: write {amount: 6 lb, keeps: 2 days}"),
        ("{mon: 8, fri: 25, sat: 30}", "even", "traffic:", "write a name, a colon and a value"),
        (BENCH, "bench: [240, 241]", "bench: [", "a list is not expected here"),
        (BENCH, "bench:", "bench:", "nothing is written here"),
        ("carry: 40%", "carry:", "carry:", "nothing is written here"),
        (EACH, "want: {fri 2, sat: 3}", "fri 2", "is a colon, or the space after it, missing?"),
        (EACH, "want: {fri:2, sat: 3}", "fri:2", "is a colon, or the space after it, missing?"),
        ("title: An invented goat week", 'title: "a\\nb"', "title:", "has U+000A in it"),
        ("title: An invented goat week", "title: " + "x" * 201, "title:", "has 201 characters"),
        ("money: $", "money: doubloons", "money:", "at most 5 characters such as $ or EUR"),
        # recipes
        (RECIPES, "recipes: [goats.yaml]", "goats", "goats.yaml: no such file; did you"),
        (RECIPES, "recipes: [goat.yaml, lamp]", "lamp", 'did you mean "lamb"?'),
        (RECIPES, "recipes: [goat.yaml, goat.yaml]", "recipes:", "goat.yaml is listed twice"),
        (RECIPES, "recipes: []", "recipes:", "no recipe is named"),
        (RECIPES, "recipes: [week.yaml]", "recipes:", "this is a scenario, but a recipe is"),
        (RECIPES, "recipes: [.]", "recipes:", "a folder; name a file in it"),
        # days and dates
        ("2026-11-30", "30.11.2026", "starts:", "such as 2026-11-30"),
        ("2026-11-30", "2026-11-31", "starts:", "no day 2026-11-31 in the calendar"),
        ("2026-11-30", "9999-12-30", "starts:", "cannot be right"),
        ("days: 6", "days: six", "days:", "such as 7 days"),
        ("days: 6", "days: 0", "days:", "nothing to plan"),
        ("days: 6", "days: 5000", "days:", "more than a number of days can be (366)"),
        (EACH, "want: {fryday: 2}", "fryday", 'no day called "fryday"; did you mean "friday"?'),
        (EACH, "want: {wedneday: 2}", "wedneday", 'did you mean "wednesday"?'),
        (EACH, "want: {sun: 2}", "sun: 2", "the period (mon 2026-11-30 to sat 2026-12-05)"),
        (EACH, "want: {2026-12-24: 2}", "12-24", "2026-12-24 is outside the period"),
        (EACH, "want: {fri: 2, 2026-12-04: 1}", "12-04", "2026-12-04 has a value already"),
        (ORDER, ORDER.replace("fri", "sun"), "day: sun", "outside the period"),
        (ORDER, ORDER.replace("fri", "tomorrow"), "day: tom", '"tomorrow" is another day tomorrow'),
        ("arrives: wed", "arrives: 2026-12-24", "12-24", "outside the period"),
        ("fri: 301", "fry: 301", "fry", 'did you mean "fri"?'),
        ("mon: 8,", "sun: 8,", "sun: 8,", "outside the period"),
        ("{mon: 8, fri: 25, sat: 30}", "{mon: 0}", "traffic:", "no day has any traffic"),
        # amounts, prices and units
        (STOCK, "{amount: 6lb., keeps: 2 days}", "6lb.", 'cannot read "6lb."'),
        (STOCK, "{amount: 6 lb, keeps: 0 days}", "0 days", "out of date from the start"),
        (BONES_STOCK, "bones: -4 lb", "bones: -4", "is negative"),
        (BONES_STOCK, "bones: 4 each", "bones: 4", "bones is weighed: write a weight"),
        (BONES_STOCK, "leg roast: 4 lb", "leg roast: 4", "is counted: write a whole number"),
        (BONES_STOCK, "leg roast: 1.5", "leg roast: 1", "write a whole number"),
        ("12.99/lb", "12,999/lb", "12,999", "no comma at all"),
        ("12.99/lb", "-12.99/lb", "-12.99", "is negative"),
        ("60/each", "60/kg", "60/kg", "leg roast is sold by each: write a price such as 9/each"),
        (GROUND, GROUND.replace("9.99/lb", "9.99/each"), "9.99", "sold by weight: write a price"),
        (GROUND, GROUND.replace("12 lb", "12 stone"), "stone", "use lb, kg, oz, g or each"),
        (GROUND, GROUND.replace("12 lb", "5000000 lb"), "5000000", "more than an amount can be"),
        (GROUND, "{want: 12 lb}", "ground goat", "ground goat is wanted but has no price"),
        (GROUND, "{orders: [{day: fri, amount: 1 lb}]}", "ground goat", "has no price, nor has"),
        (EACH, "want:\n      fri: 2\n      sat: 3 lb", "sat: 3 lb", "is counted: write"),
        (ROAST, "want:\n      mon: 2 lb\n      fri: 6 each", "fri: 6 each", "is weighed: write"),
        ("carry: 40%", "carry: 40", "carry:", '"40" has no % sign: write 40%'),
        ("0.10/lb", "0.10/each", "disposal:", "a price by weight is expected here"),
        ("cost: 5.10/lb", "cost: 200/each", "200/each", "a price by weight is expected here"),
        ("cost: 0.75", "cost: 0.75/min", "0.75/min", "such as 0.75"),
        ("tue: 241", "tue: -241", "tue: -241", "is negative"),
        ("unit: lb", "unit: kilo", "unit:", '"kilo" is not one of lb, kg'),
        # the rail
        ("3 head at 40 lb", "3 head", "goat: 3 head,", "write a lot such as 3 head at 58 lb"),
        ("3 head at 40 lb", "3 head at 40 stone", "stone", 'no unit called "stone"'),
        ("3 head at 40 lb", "3 head at 9000 lb", "9000", "one weighs more than 5000 lb"),
        ("3 head at 40 lb", "-3 head at 40 lb", "-3 head", "is negative"),
        ("{leg: 2 at", "{legs: 2 at", "legs:", 'no species or piece called "legs"; did'),
        ("{goat: 3", "{Goat: 3", "Goat:", 'did you mean "goat"?'),
        (FIRST_LOT, "{goat: 3 head at 40 lb, leg: 2 at 6 lb}", "goat: 3", "two things in one lot"),
        # names
        (BONES_STOCK, "bone: 4 lb", "bone:", 'no cut called "bone" in goat; did you mean "bones"?'),
        ("  ground goat: {", "  Ground Goat: {", "Ground Goat", 'did you mean "ground goat"?'),
        ("  leg roast:", "  LEG ROAST:", "LEG", 'did you mean "leg roast"?'),
        ("  ground goat: {", "  goat bones: {", "  bones: {p", "which has its demand already"),
        (ORDER, ORDER.replace("the corner bistro", "walk-in"), "walk-in", "cannot be a buyer"),
        # rules
        (RULE, "all sholder: boneless roast", "sholder", '"sholder" in goat; did you mean "sho'),
        (RULE, "all shoulder: sausage", "sausage", "to cut a shoulder (boneless roast, trim)"),
        (RULE, "all shoulder: boneles roast", "boneles",
         'did you mean "boneless roast"? (boneless roast, trim)'),
        (RULE, "all shoulder: shoulder roast", "r: shoulder roast\n",
         'shoulder roast is a cut; the way that gives it is "boneless roast"'),
        (RULE, "all shoulder: trim 85", "all s",
         'trim 85 is a cut; the ways that give it are "boneless roast" and "trim"'),
        (RULE, "all shoulder: leg roast", "all s",
         "leg roast is a cut, and no way to cut a shoulder gives it (boneless roast, trim)"),
        (RULE, "all shoulder roast: trim", "all s",
         "shoulder roast is a cut, not a piece; it comes from shoulder"),
        (RULE, "all ground goat: trim", "all g",
         "ground goat is a blend, not a piece; it is made from trim 85, trim 70"),
        ("{leg: 2 at", "{leg roast: 2 at", "{leg roast", "leg roast is a cut, not a piece"),
        (BONES_STOCK, "shoulder: 4 lb", "shoulder: 4",
         "shoulder is a piece, not a cut; its ways give shoulder roast"),
        (BONES_STOCK, "goat leg: 1", "goat leg: 1", "a piece, not a cut; its ways give leg roast"),
        ("  leg roast:", "  carcass:", "carcass", "carcass is a piece, not a cut; its ways give s"),
        (RULE, "some shoulder: trim", "some", "write all, never, at least 1 or at most 1"),
        (RULE, "at least shoulder: trim", "shoulder: trim", "write all, never, at least 1 or at"),
        (RULE, "all 2 shoulder: trim", "all 2", "write all, never, at least 1 or at most 1"),
    ],
)  # fmt: skip
def test_a_fault_is_told_once_on_its_line(shop, old, new, at, words):
    shop.spoil("scenario", (old, new))
    told = shop.problems("scenario")
    assert [(each.file, each.line) for each in told] == [("week.yaml", shop.line("scenario", at))]
    assert words in told[0].message


@pytest.mark.parametrize(
    ("old", "new", "at", "words"),
    [
        ("  - at least", "\t- at least", "\t- at least", "a tab at the start of the line"),
        (f"    {EACH}", f"\t{EACH}", EACH, "a tab at the start of the line"),
        ("days: 6", "days 6", "days 6", "a colon is missing"),
        ("    price: 60/each", "    price 60/each", "price 60", "a colon is missing"),
        ("demand:", "demand", "demand\n", "a colon is missing"),
        ("    price: 60/each", "     price: 60/each", EACH, "indented"),
        ("    price: 60/each", "   price: 60/each", EACH, "indented"),
        ("title: An", 'title: "An', "title", "a quote is opened here"),
        (ORDER, ORDER.replace("the", '"the'), ORDER[:10], "a quote is opened here"),
        ("title: An", "title: Goats: An", "title", "text that has a colon in it in quotes"),
        (EACH, EACH[:-1], EACH[:-1], "a bracket is opened here and not closed"),
        ("- at least", "-at least", "-at least", "a space is missing after the dash"),
    ],
)
def test_slips_of_the_hand_are_told_on_the_line_to_look_at(shop, old, new, at, words):
    shop.spoil("scenario", (old, new))
    (told,) = shop.problems("scenario")
    assert (told.file, told.line) == ("week.yaml", shop.line("scenario", at))
    assert words in told.message


def test_faults_of_every_kind_are_told_in_one_run_in_the_order_of_the_lines(shop):
    shop.spoil(
        "scenario",
        ("title:", "titel:"),
        ("money: $", "money: $\nunit: kg"),
        ("arrives: wed", "arrives: sun"),
        ("thu: 300", "thors: 300"),
        (BONES_STOCK, "boness: -4 lb"),
        ("12.99/lb", "12,999/lb"),
        ("fri: 6 lb", "fri: 6lb."),
        ("want: 5 lb", "want: 5 each"),
        (EACH, "want: {fryday: 2, sat: 3.5}"),
        ("  ground goat:", "  ground gote:"),
        (RULE, "all shoulder boneless roast"),
        ("1 leg: whole", "1 leg: hole"),
        ("carry: 40%", "carry: 40"),
    )
    expected = [
        ("titel:", "did you mean"),
        ("unit: kg", "listed twice"),
        ("arrives: sun", "outside the period"),
        ("thors", 'did you mean "thursday"?'),
        ("boness", 'is negative'),
        ("boness", 'did you mean "bones"?'),
        ("12,999", "no comma at all"),
        ("6lb.", 'cannot read "6lb."'),
        ("5 each", "is weighed: write"),
        ("fryday", "write a whole number"),
        ("fryday", 'did you mean "friday"?'),
        ("gote", 'did you mean "ground goat"?'),
        ("all shoulder", "no colon in"),
        ("hole", 'did you mean "whole"?'),
        ("carry", "has no % sign"),
    ]  # fmt: skip
    told = shop.problems("scenario")
    assert [each.line for each in told] == [shop.line("scenario", at) for at, _ in expected]
    for each, (_, words) in zip(told, expected, strict=True):
        assert words in each.message


@pytest.mark.parametrize(
    "changes",
    [
        [("12.99/lb", "12,999/lb")],  # its order and its want are not without a price for that
        [("    price: 12.99/lb", "    pricing: 12.99/lb")],
        [("starts: 2026-11-30", "starts: soon")],  # nor is any day outside the period
        [("days: 6", "days: 1 week")],
        [(RECIPES, "recipes: [gote]")],  # nor are all names unknown
        [("  shoulder roast:\n    price", "  roast:\n    price")],
        [("cost: 6.95/lb", "cost: 6,95/lb")],  # the comma makes a key of its own there
        [("{price: 2.99/lb, want: 10 lb}", "{price: 2,99/lb, want: 10 lb}")],
    ],
)
def test_one_slip_is_one_complaint(shop, changes):
    shop.spoil("scenario", *changes)
    assert len(shop.problems("scenario")) == 1


def test_faults_of_the_recipe_are_told_with_those_of_the_scenario(shop):
    shop.spoil("recipe", ("97%", "98%"), ("kind: bone", "kind: bones"))
    shop.spoil("scenario", ("carry: 40%", "carry: 40"), (RULE, "all shoulder: nonsense"))
    told = [(each.file.rsplit("/", 1)[-1], each.line) for each in shop.problems("scenario")]
    assert told == [
        ("goat.yaml", shop.line("recipe", "98%")),
        ("goat.yaml", shop.line("recipe", "kind: bones")),
        ("week.yaml", shop.line("scenario", RECIPES)),
        ("week.yaml", shop.line("scenario", "carry:")),
    ]


@pytest.mark.parametrize("kind", ["recipe", "scenario"])
def test_a_recipe_where_a_scenario_is_wanted_and_the_other_way_round(shop, kind):
    shop.spoil("scenario", (RECIPES, "recipes: [week.yaml]"))
    if kind == "scenario":
        with pytest.raises(InputError, match="this is a recipe, but a scenario is expected here"):
            read_scenario(shop.recipe, "goat.yaml")


@pytest.mark.parametrize(
    ("changes", "at", "words"),
    [
        ([("60/each", "0/each")], "0/each", "leg roast has a price of zero"),
        ([("10.99/lb", "0/lb")], " 0/lb", "shoulder roast has a markdown price of zero"),
        ([("10.99/lb", "15.99/lb")], "15.99", "the markdown is dearer than the full price"),
        ([(BENCH, "bench: {mon: 240, thu: 300, sat: 120}")], "bench:",
         "no bench on tue, wed, fri: nothing can be cut then"),
        ([(ORDER, ORDER_AT), (BONES, BONES.replace("2.99", "2999"))], "2999",
         "bones: a price more than 10 times the median price of this file (12.99/lb)"),
        ([(ORDER, ORDER_AT.replace("12.99", "1190"))], "1190",
         "shoulder roast: a price more than 10 times the median price of this file (10.99/lb)"),
        ([("2 head at 42 lb", "2 head at 420 lb")], "420 lb",
         "one carcass weighs 420.0 lb here and 40.0 lb on line 8"),
        ([("2 head at 42 lb", "2 head at 4.2 lb")], "4.2 lb",
         "one carcass weighs 4.2 lb here and 40.0 lb on line 8"),
        ([(RULE, "never leg: whole"), ("at least 1 leg: whole", "never shoulder: trim")],
         "never leg", "with the rules no way is left to cut a leg; every leg stays whole"),
        ([(RULE, "all shoulder: trim"), ("at least 1 leg: whole", "never shoulder: trim")],
         "never shoulder", "no way is left to cut a shoulder; every shoulder stays whole"),
        ([(RULE, "all shoulder: trim"), ("at least 1 leg: whole", "all shoulder: boneless roast")],
         "all shoulder: boneless", "no way is left to cut a shoulder"),
        ([(RULE, "at most 0 leg: whole")], "at most", "no way is left to cut a leg"),
        ([(", cost: 6.95/lb", "")], "up to 2", "no cost, so it is taken as free"),
        (
            [
                (f"  - {FIRST_LOT}\n", ""),
                ("{goat: up to 2 head at 42 lb", "{leg: up to 2 at 6 lb"),
                (f"  {BONES_STOCK}\n", ""),
            ],
            "  bones: {price", "bones is wanted, but nothing on hand can give it",
        ),
    ],
)  # fmt: skip
def test_what_is_legal_but_odd(shop, changes, at, words):
    shop.spoil("scenario", *changes)
    told = shop.warnings("scenario")
    assert (shop.line("scenario", at), True) in [
        (each.line, words in each.message) for each in told
    ]


@pytest.mark.parametrize(
    "changes",
    [
        [(BENCH, "bench: {mon: 240, tue: 0, wed: 242, thu: 0, fri: 301, sat: 120}")],
        [(BENCH, "bench: 200")],
        [(BONES, BONES.replace("2.99", "120"))],  # the middle is 12.99
        [("60/each", "6000/each")],  # one price by each has no middle
        [("2 head at 42 lb", "2 head at 119 lb")],
        [("2 head at 42 lb", "2 head at 14 lb")],
        [(RULE, "never shoulder: boneless roast")],
        [(RULE, "at most 1 leg: whole")],
    ],
)
def test_what_is_not_odd(shop, changes):
    shop.spoil("scenario", (ORDER, ORDER_AT))
    shop.spoil("scenario", *changes)
    assert shop.warnings("scenario") == []


def test_fewer_than_three_prices_have_no_middle(shop):
    shop.spoil("scenario", ("price: 60/each", "price: 6000/each"))
    assert shop.warnings("scenario") == [], "it is the only price of one"
    shop.spoil("scenario", (BONES, BONES.replace("2.99", "2999")))
    (told,) = shop.warnings("scenario")
    assert told.line == shop.line("scenario", "bones: {price: 2999")


def test_a_lot_is_held_against_the_lightest_and_the_heaviest_before_it(shop):
    lots = "".join(f"  - {{leg: 1 at {weight} lb}}\n" for weight in (10, 25, 35, 8))
    shop.spoil("scenario", ("bench: {", f"{lots}bench: {{"))
    assert [(each.line, each.message) for each in shop.warnings("scenario")] == [
        (12, "one leg weighs 25.0 lb here and 6.1 lb on line 10"),
        (13, "one leg weighs 35.0 lb here and 6.1 lb on line 10"),
        (14, "one leg weighs 8.0 lb here and 35.0 lb on line 13"),
    ]


def test_days_without_bench_in_a_long_period(shop):
    shop.spoil("scenario", ("days: 6", "days: 13"), (ORDER, ORDER.replace("fri", "2026-12-11")))
    shop.spoil(
        "scenario", ("arrives: mon", "arrives: 2026-11-30"), ("arrives: wed", "arrives: sun")
    )
    shop.spoil("scenario", ("thu: 300", "2026-12-03: 300"))
    (told,) = shop.warnings("scenario")
    assert told.message == "no bench on sun, 2026-12-10: nothing can be cut then"


def test_an_empty_rail_is_told_once_and_not_for_every_cut(shop):
    text = shop.week.read_text()
    start, end = text.index("rail:"), text.index("bench: {")
    shop.week.write_text(text[:start] + "rail: []\n" + text[end:])
    (told,) = shop.warnings("scenario")
    assert told.message == "nothing on the rail is goat"


def test_a_shipped_name_of_the_other_kind(shop):
    shop.spoil("scenario", (RECIPES, "recipes: [corner-shop]"))
    (told,) = shop.problems("scenario")
    assert told.line == shop.line("scenario", "recipes:")
    assert told.message.startswith(
        "corner-shop: this is a scenario, but a recipe is expected here (shipped recipes: "
    )


def test_a_species_that_is_nowhere_on_the_rail_is_odd(shop):
    (shop.folder / "hog.yaml").write_text(HOG)
    shop.spoil("scenario", (RECIPES, "recipes: [goat.yaml, hog.yaml]"))
    shop.spoil("scenario", ("bones: 4 lb", "goat bones: 4 lb"), ("  bones: {p", "  goat bones: {p"))
    (told,) = shop.warnings("scenario")
    assert (told.line, told.message) == (4, "nothing on the rail is hog")


def test_names_of_two_species_are_told_apart(shop):
    (shop.folder / "hog.yaml").write_text(HOG)
    shop.spoil("scenario", (RECIPES, "recipes: [goat.yaml, hog.yaml]"))
    told = shop.problems("scenario")
    assert [each.line for each in told] == [
        shop.line("scenario", BONES_STOCK),
        shop.line("scenario", "  bones: {price"),
    ]
    for each in told:
        assert each.message.endswith('has "bones"; write "goat bones" or "hog bones"')


def test_a_piece_of_two_species_on_the_rail(shop):
    shop.spoil("scenario", (RECIPES, "recipes: [goat.yaml, lamb]"))
    (told,) = [each for each in shop.problems("scenario") if 7 < each.line < 11]
    assert told.line == shop.line("scenario", "{leg: 2 at")
    assert 'more than one recipe has "leg"; write "goat leg" or "lamb leg"' in told.message


def test_all_that_is_wrong_with_one_lot(shop):
    shop.spoil("scenario", (FIRST_LOT, "{gote: 3 head, arrives: sun, cost: 5/each}"))
    told = [each.message for each in shop.problems("scenario")]
    assert len(told) == 4
    for words in ['did you mean "goat"?', "write a lot such as", "outside the period", "by weight"]:
        assert any(words in each for each in told)


def test_the_species_may_stand_before_any_name(shop):
    shop.spoil("scenario", ("  leg roast:", "  goat leg roast:"), ("{leg: 2 at", "{goat leg: 2 at"))
    week = read(shop)
    assert week.demand["leg roast"].price == 60
    assert week.lots[2].piece == "leg"


def test_bare_numbers_take_the_unit_of_the_file(shop):
    shop.spoil(
        "scenario",
        ("unit: lb", "unit: kg"),
        (BONES_STOCK, "bones: 4"),
        ("12.99/lb", "12.99"),
        ("3 head at 40 lb", "3 sides at 20"),
    )
    week = read(shop)
    assert week.case[1].amount == pytest.approx(4 * POUNDS["kg"])
    assert week.demand["shoulder roast"].price == pytest.approx(12.99 * 0.45359237)
    assert (week.lots[0].weight, week.lots[0].word) == (pytest.approx(20 / 0.45359237), "sides")
    assert week.demand["leg roast"].price == 60


def test_bench_as_one_number_as_a_map_and_not_at_all(shop):
    shop.spoil("scenario", (BENCH, "bench: {mon: 240, sat: 60}"))
    assert read(shop).bench == (240, 0, 0, 0, 0, 60)
    shop.spoil("scenario", ("bench: {mon: 240, sat: 60}", "bench: 200"))
    assert read(shop).bench == (200,) * 6
    shop.spoil("scenario", ("bench: 200\n", ""))
    assert read(shop).bench is None


def test_a_cut_may_lie_in_the_case_with_several_ages(shop):
    shop.spoil("scenario", (STOCK, "[{amount: 6 lb, keeps: 2 days}, {amount: 1 lb}]"))
    assert read(shop).case[:2] == (Stock("shoulder roast", 6, 2), Stock("shoulder roast", 1, 5))


def test_a_weekday_of_a_long_period_means_every_such_day(shop):
    shop.spoil("scenario", ("days: 6", "days: 13"), (ORDER, ORDER.replace("fri", "2026-12-11")))
    shop.spoil(
        "scenario", ("arrives: mon", "arrives: 2026-11-30"), ("arrives: wed", "arrives: sun")
    )
    week = read(shop)
    assert [day for day, want in enumerate(week.demand["leg roast"].want) if want] == [4, 5, 11, 12]
    assert (week.orders[0].day, week.lots[1].arrives) == (11, 6)


def test_a_weekday_that_comes_twice_is_no_day_of_an_order(shop):
    shop.spoil("scenario", ("days: 6", "days: 13"), ("arrives: mon", "arrives: sun"))
    order, lot = sorted(shop.problems("scenario"), key=lambda each: -each.line)
    assert "fri comes 2 times in the period; write one of 2026-12-04, 2026-12-11" in order.message
    assert "wed comes 2 times" in lot.message


def test_wants_by_each_are_spread_in_whole_numbers_by_largest_remainder(shop):
    shop.spoil(
        "scenario", (EACH, "want: 7"), ("{mon: 8, fri: 25, sat: 30}", "{mon: 1, tue: 1, fri: 2}")
    )
    # 1.75, 1.75, 3.5: one more for monday and one for tuesday, whose remainders are larger
    assert read(shop).demand["leg roast"].want == (2, 2, 0, 0, 3, 0)  # fmt: skip


def test_ties_of_remainders_go_to_the_earlier_day(shop):
    shop.spoil("scenario", (EACH, "want: 4"), ("traffic: {mon: 8, fri: 25, sat: 30}\n", ""))
    assert read(shop).demand["leg roast"].want == (1, 1, 1, 1, 0, 0)
