"""Recipe files: what is read, and every fault on its line with the nearest right word."""

import pytest

from planner.core.errors import InputError
from planner.core.recipe import Given
from planner.files.recipe_file import read_recipe

ROAST = "gives: {shoulder roast: 70%, bones: 19%, trim 85: 11%}"
BONES = "bones: {kind: bone, keeps: 3 days}"
TRIM = "trim 85: {kind: trim, lean: 85%, keeps: 2 days}"
FROM = "from: [trim 85, trim 70]"
LEG = "gives: {leg roast: 1 at 97%, loss: 3%}"


def test_the_good_recipe_is_read_whole(shop):
    recipe, warnings = read_recipe(shop.recipe, "goat.yaml")
    assert (recipe.species, recipe.roots, warnings) == ("goat", ("carcass",), [])
    shoulder = recipe.pieces["shoulder"]
    assert (shoulder.keeps, shoulder.imps, list(shoulder.ways)) == (
        5,
        "207",
        ["boneless roast", "trim"],
    )
    block = recipe.pieces["carcass"].ways["block break"]
    assert (block.minutes, block.tool, block.loss) == (16, "saw", 0.04)
    assert block.pieces == (Given("shoulder", 2, 0.22), Given("leg", 2, 0.16))
    assert block.cuts == (Given("bones", 1, 0.2),)
    assert recipe.cuts["leg roast"].by_each and recipe.cuts["trim 70"].lean == 0.7
    ground = recipe.blends["ground goat"]
    assert (ground.takes, ground.fat) == (("trim 85", "trim 70"), (0.15, 0.25))
    assert (ground.minutes, ground.added, ground.cut.keeps) == (0.3, 0.0, 2)


@pytest.mark.parametrize(
    ("old", "new", "at", "words"),
    [
        # keys
        ("species: goat", "specie: goat", "specie:", '"specie"; did you mean "species"?'),
        ("root: carcass", "Root: carcass", "Root:", 'did you mean "root"?'),
        ("pieces:", "piece:", "piece:", 'did you mean "pieces"?'),
        ("cuts:", "cut:", "cut:", 'did you mean "cuts"?'),
        ("        gives:\n", "        give:\n", "give:", 'did you mean "gives"?'),
        ("sold by: each", "sold_by: each", "sold_by", 'did you mean "sold by"?'),
        ("tool: saw", "bench: saw", "bench: saw", "(known here: minutes, tool, gives)"),
        ("root: carcass\n", "", "species: goat", '"root" is missing'),
        ("{kind: bone, keeps: 3 days}", "{keeps: 3 days}", "bones: {k", 'bones: "kind" is missing'),
        ('"207"\n    keeps: 5 days\n', '"207"\n', "  shoulder:\n", 'shoulder: "keeps" is missing'),
        ("tool: saw", "minutes: 3", "minutes: 3\n", '"minutes" is listed twice'),
        ("      trim:\n", "      boneless roast:\n", "boneless roast:\n", "listed twice"),
        ("  leg:\n", "  shoulder:\n", "  shoulder:\n    imps: \"233\"", "listed twice"),
        # values
        ("unit: lb", "unit: pounds", "unit:", '"pounds" is not one of lb, kg'),
        ("minutes: 16", "minutes: 16 h", "minutes: 16", 'cannot read "16 h"'),
        ("minutes: 9\n", "minutes:\n", "minutes:\n", "nothing is written here"),
        ("0.3 per lb", "0.3", "minutes: 0.3", "0.3 per lb"),
        ("keeps: 7 days", "keeps: 0 days", "keeps: 0", "out of date from the start"),
        (BONES, "bones: {kind: bone, keeps: 3 dayz}", "dayz", "such as 7 days"),
        (BONES, "bones: {kind: bones, keeps: 3 days}", "kind: bones", 'did you mean "bone"?'),
        (BONES, "bones: bone", "bones: bone", "bones: write {kind: roast, keeps: 5 days}"),
        ("sold by: each", "sold by: piece", "sold by", '"piece" is not one of each, weight'),
        ("lean: 85%", "lean: 85", "lean: 85,", '"85" has no % sign: write 85%'),
        ("fat: 15% to 25%", "fat: 15 to 25", "fat: 15", "write 15% to 25%"),
        (FROM, "from: trim 85", "from: trim 85", "a list is expected here"),
        ("  ground goat:", '  "ground\\ngoat":', "goat\":", "the name must be on one line"),
        # shares
        (ROAST, ROAST.replace("19%", "19"), "bones: 19,", '"19" has no % sign: write 19%'),
        (ROAST, ROAST.replace("19%", "-19%"), "-19%", "is negative"),
        (ROAST, ROAST.replace("19%", "190%"), "190%", "more than a share can be"),
        (ROAST, ROAST.replace("19%", "7.5%"), "7.5%", "add up to 88.5%, 11.5 points short"),
        (ROAST, ROAST.replace("19%", "20%"), "11%}", "add up to 101%, 1 point over"),
        (ROAST, ROAST.replace("19%", "19.00001%"), "19.00001%", "100.00001%, 0.00001 points over"),
        ("leg: 2 at 16%", "leg: 0 at 16%", "leg: 0", "gives nothing"),
        ("leg: 2 at 16%", "leg: 32%", "leg: 32%", "leg is a piece: write how many"),
        (LEG, LEG.replace("1 at ", ""), "leg roast: 97%", "sold by each: write how many"),
        (ROAST, ROAST.replace("19%", "2 at 9.5%"), "2 at 9.5%", "such as 19%"),
        (LEG, LEG.replace("loss: 3%", "loss: 1 at 3%"), "loss: 1 at", "such as 3%"),
        # names
        (ROAST, ROAST.replace("bones", "bone"), "bone: 19%", 'did you mean "bones"?'),
        (ROAST, ROAST.replace("bones", "BONES"), "BONES", 'did you mean "bones"?'),
        (ROAST, ROAST.replace("shoulder", "sholder"), "sholder", 'did you mean "shoulder roast"?'),
        ("  shoulder roast: {", "  sholder roast: {", "gives: {sh", 'did you mean "sholder roast"'),
        ("leg: 2 at 16%", "legs: 2 at 16%", "legs: 2", 'did you mean "leg"?'),
        (ROAST, ROAST.replace("trim 85", "ground goat"), "goat: 11%", "give the trims it is made"),
        ("root: carcass", "root: carcas", "root: carcas", 'did you mean "carcass"?'),
        (BONES, BONES + "\n  leg: {kind: roast, keeps: 1 day}", "leg: {", '"leg" is a piece al'),
        (BONES, BONES + "\n  loss: {kind: bone, keeps: 1 day}", "loss: {k", '"loss" is reserved'),
        (BONES, BONES + "\n  tongue: {kind: offal, keeps: 1 day}", "tongue", "no way makes tongue"),
        ("leg: 2 at 16%\n          bones: 20%", "bones: 52%", "  leg:\n", "no way gives a leg"),
        # ways and paths
        (LEG, "gives: {leg roast: 1 at 9%, leg: 1 at 91%}", "leg: 1 at", "in a loop: leg -> leg"),
        (LEG, "gives: {leg roast: 1 at 9%, carcass: 1 at 91%}", "carcass: 1", "carcass -> leg ->"),
        (ROAST, "gives: {shoulder roast: 90%, leg: 1 at 10%}", "leg: 1", "another name"),
        ("ways:\n      whole: {minutes: 3, " + LEG + "}", "ways: {}", "  leg:\n", "no way to cut"),
        # blends
        ("15% to 25%", "25% to 15%", "fat: 25%", "the limits are crossed"),
        ("15% to 25%", "5% to 10%", "fat: 5%", "5% to 10% of fat: its trims have 15% to 30%"),
        ("15% to 25%", "40% to 50%", "fat: 40%", "its trims have 15% to 30%"),
        (FROM, "from: [trim 85, trim 07]", "trim 07", 'did you mean "trim 70"?'),
        (FROM, "from: [trim 85, trim 85]", "from:", '"trim 85" is listed twice'),
        (FROM, "from: []", "from: []", "ground goat is made from nothing"),
        (FROM, "from: [trim 85, trim 70, leg roast]", "leg roast]", "sold by each"),
        (FROM, "from: [trim 85, trim 70, bones]", "bones]", "bones needs a lean share"),
        (TRIM, "trim 85: {kind: trim, keeps: 2 days}", FROM, "trim 85 needs a lean share"),
    ],
)  # fmt: skip
def test_a_fault_is_told_once_on_its_line(shop, old, new, at, words):
    shop.spoil("recipe", (old, new))
    told = shop.problems("recipe")
    assert [(each.file, each.line) for each in told] == [("goat.yaml", shop.line("recipe", at))]
    assert words in told[0].message


def test_a_loop_of_two(shop):
    shop.spoil(
        "recipe",
        (ROAST, "gives: {shoulder roast: 90%, leg: 1 at 10%}"),
        (LEG, "gives: {leg roast: 1 at 97%, shoulder: 1 at 3%}"),
    )
    (told,) = shop.problems("recipe")
    assert told.line == shop.line("recipe", "leg: 1 at 10%")
    assert "leg -> shoulder -> leg" in told.message


def test_faults_of_every_kind_are_told_in_one_run_in_the_order_of_the_lines(shop):
    shop.spoil(
        "recipe",
        ("unit: lb", "unit: pounds"),
        ("tool: saw", "tools: saw"),
        ("loss: 4%", "loss: 5.5%"),
        ("boneless roast: {minutes: 11", "boneless roast: {minutes: eleven"),
        ("trim 85: 11%", "trim 58: 12%"),
        ("imps: \"233\"\n    keeps: 5 days", "imps: \"233\"\n    keeps: always"),
        ("97%", "98%"),
        (BONES, f"{BONES}\n  tongue: {{kind: stew, keeps: 1}}\n  leg: {{kind: stew, keeps: 1}}"),
        (FROM, "from: [trim 85, bones]"),
        ("0.3 per lb", "0.3"),
    )  # fmt: skip
    expected = [
        ("unit:", "one of lb, kg"),
        ("tools:", 'unknown key "tools"; did you mean "tool"?'),
        ("gives:\n          shoulder", "shares add up to 101.5%"),
        ("eleven", 'cannot read "eleven"'),
        ("eleven", 'did you mean "trim 85"?'),
        ("eleven", "shares add up to 101%"),
        ("always", 'cannot read "always"'),
        ("98%", "shares add up to 101%"),
        ("tongue", "no way makes tongue"),
        ("  leg: {kind", '"leg" is a piece already'),
        ("from:", "bones needs a lean share"),
        ("0.3\n", "0.3 per lb"),
    ]
    told = shop.problems("recipe")
    assert [each.line for each in told] == [shop.line("recipe", at) for at, _ in expected]
    for each, (_, words) in zip(told, expected, strict=True):
        assert words in each.message


@pytest.mark.parametrize(
    "changes",
    [
        [(BONES, "bones: {kind: bone, keeps: many}")],
        [(BONES, "bones: {kind: bone, keep: 3 days}")],
        [(TRIM, "trim 85: {kind: trim, lean: 85, keeps: 2 days}")],
        [(TRIM, "trim 85: {kind: trim, lan: 85%, keeps: 2 days}"), ("15% to", "1% to")],
        [("leg roast: {kind: roast, keeps: 5 days", "leg roast: {kind: roast, keeps: 5 dais")],
        [("    keeps: 7 days\n", "    keep: 7 days\n")],
        [("    ways:\n      whole", "    way:\n      whole")],
        [("blends:\n", "blend:\n")],
    ],
)
def test_one_slip_is_one_complaint(shop, changes):
    shop.spoil("recipe", *changes)
    assert len(shop.problems("recipe")) == 1


def test_different_shares_on_two_paths_are_told_with_both_paths(shop):
    shop.spoil("recipe", (ROAST, "gives: {shoulder roast: 90%, leg: 1 at 10%}"))
    (told,) = shop.problems("recipe")
    assert "2.2000% of the carcass by carcass -> shoulder -> leg (boneless roast)" in told.message
    assert "16.0000% by carcass -> leg" in told.message


def test_a_path_is_checked_though_a_cut_has_a_fault(shop):
    shop.spoil(
        "recipe", (ROAST, "gives: {shoulder roast: 90%, leg: 1 at 10%}"), ("kind: bone", "kind: x")
    )
    assert len(shop.problems("recipe")) == 2


@pytest.mark.parametrize(
    ("loss", "odd"),
    [("loss: 8%\n          bones: 16%", 0), ("loss: 8.5%\n          bones: 15.5%", 1)],
)
def test_more_than_eight_percent_lost_is_odd(shop, loss, odd):
    shop.spoil("recipe", ("          bones: 20%\n          loss: 4%", f"          {loss}"))
    told = shop.warnings("recipe")
    assert len(told) == odd
    for each in told:
        assert str(each) == f"goat.yaml:{shop.line('recipe', 'loss: 8.5%')}: " + (
            "carcass, block break loses 8.5% of the weight"
        )


def test_a_scenario_named_as_a_recipe(shop):
    with pytest.raises(InputError, match="week.yaml: this is a scenario, but a recipe is expected"):
        read_recipe(shop.week, "week.yaml")


def test_quotes_left_open_in_one_of_many(shop):
    shop.spoil("recipe", ('imps: "207"', 'imps: "207'))
    (told,) = shop.problems("recipe")
    assert told.line == shop.line("recipe", 'imps: "207')
    assert "quote is opened here" in told.message
