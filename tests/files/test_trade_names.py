"""Names as butchers write them: what is suggested at every door, and the faults of `known as`.

The words are those of the US and UK trade: common practice, no source.
"""

from __future__ import annotations

import csv
from datetime import date, timedelta
from pathlib import Path

import pytest

from planner.ask.order import _lots
from planner.core.errors import InputError
from planner.core.spelling import Vocabulary
from planner.files.asked_order import order_of, split_order
from planner.files.changes import Change, read_changes
from planner.files.find import find
from planner.files.names import Names
from planner.files.recipe_file import read_recipe
from planner.files.scenario_file import read_scenario
from planner.files.shop_file import read_shop
from planner.shop.entering.catalog import Catalog
from planner.shop.entering.entry_reader import EntryReader
from planner.shop.new_shop import lay_out, new_shop, read_species
from planner.shop.plans.facts import digest
from planner.shop.tables.csv_file import read_sheet
from planner.shop.tables.imported import Reading, read_lines

MON = date(2026, 11, 30)
TUE = MON + timedelta(1)

CUTS = {
    "rack of lamb": ["eight-rib rack", "frenched rack"],
    "Rack of Lamb": ["eight-rib rack", "frenched rack"],
    "leg of lamb": ["whole leg"],
    "gigot": ["whole leg"],
    "gigot chops": ["leg steaks"],
    "boned leg": ["boneless leg"],
    "butterflied leg": ["boneless leg"],
    "lamb cutlets": ["rib chops"],
    "lamb lollipops": ["frenched chops"],
    "Barnsley chops": ["loin chops"],
    "cannon": ["boneless loin"],
    "lamb fillet": ["tenderloin"],
    "saddle of lamb": ["saddle roast"],
    "chump chops": ["sirloin chops", "pork sirloin chops"],
    "guard of honour": ["crown roast"],
    "rolled shoulder": ["shoulder roast"],
    "diced lamb": ["stew meat"],
    "lamb mince": ["ground lamb"],
    "minced lamb": ["ground lamb"],
    "lamb shanks": ["whole shank"],
    "breast of lamb": ["whole breast"],
    "scrag end slices": ["neck slices"],
    "shish kebab": ["kebab"],
    "ham roast": ["fresh ham"],
    "leg of pork": ["fresh ham"],
    "pork butt": ["Boston butt"],
    "shoulder butt": ["Boston butt"],
    "hand of pork": ["picnic roast"],
    "picnic ham": ["picnic roast"],
    "pork fillet": ["pork tenderloin"],
    "loin of pork": ["pork loin roast"],
    "baby back ribs": ["back ribs"],
    "babyback ribs": ["back ribs"],
    "spare ribs": ["whole spareribs"],
    "St Louis ribs": ["St. Louis spareribs"],
    "belly pork": ["pork belly"],
    "slab bacon": ["bacon slab"],
    "trotter": ["pig foot"],
    "pig's trotters": ["pig foot"],
    "ham hocks": ["pork hock"],
    "pork cheek": ["pork jowl"],
    "fatback": ["back fat"],
    "leaf lard": ["leaf fat"],
    "pork rind": ["skin"],
    "schnitzel": ["pork cutlets", "veal cutlets"],
    "pork mince": ["ground pork"],
    "bangers": ["pork sausage"],
    "topside": ["top round roast"],
    "silverside": ["bottom round roast"],
    "salmon cut": ["eye round roast"],
    "rump steak": ["top sirloin steaks"],
    "sirloin steak": ["strip steaks", "top sirloin steaks"],
    "New York strip": ["strip steaks"],
    "fillet steak": ["beef tenderloin"],
    "filet mignon": ["beef tenderloin"],
    "bavette": ["flap steaks"],
    "London broil": ["top round steaks", "flank steak"],
    "skirt steak": ["outside skirt"],
    "feather steaks": ["flat iron steaks"],
    "prime rib": ["standing rib roast"],
    "cote de boeuf": ["rib steaks"],
    "Delmonico steaks": ["ribeye steaks"],
    "packer brisket": ["whole brisket"],
    "Jacob's ladder": ["short ribs"],
    "mock tender": ["chuck tender"],
    "pot roast": ["chuck roast"],
    "hamburger": ["ground beef"],
    "shin of beef": ["shank crosscuts"],
    "osso buco": ["veal shank crosscuts"],
    "scaloppine": ["veal cutlets"],
    "rack of veal": ["frenched veal rack"],
    "leg of goat": ["whole goat leg"],
    "curry goat": ["goat cubes"],
    "burgers": ["beef and lamb patties"],
    "meatloaf mix": ["beef and pork grind"],
    "beef dripping": ["tallow"],
}
PIECES = {
    "hotel rack": ["double rack"],
    "best end of neck": ["lamb rack"],
    "gigot": ["lamb leg"],
    "pork butt": ["butt"],
    "pork leg": ["ham"],
    "pork shoulder": ["hog shoulder"],
    "side of pork": ["hog side"],
    "half pig": ["hog side"],
    "hand of pork": ["picnic"],
    "spare ribs": ["spareribs"],
    "pig trotter": ["foot"],
    "fore rib": ["beef rib"],
    "short plate": ["plate"],
    "clod": ["shoulder clod"],
    "topside": ["top round"],
    "silverside": ["bottom round"],
    "thick flank": ["knuckle"],
    "side of veal": ["veal side"],
    "rack of kid": ["goat rack"],
}
SPECIES = {
    "pork": "hog",
    "Pork": "hog",
    "pig": "hog",
    "pigs": "hog",
    "swine": "hog",
    "sheep": "lamb",
    "cow": "beef",
    "steer": "beef",
    "calf": "veal",
    "kid": "goat",
    "chevon": "goat",
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("all") / "shop"
    lay_out(made, new_shop(("lamb", "hog", "beef", "veal", "goat"), MON))
    return made


@pytest.fixture(scope="module")
def catalog(folder: Path) -> Catalog:
    return Catalog(read_shop(folder)[0].week(MON))


def said(door) -> str:
    with pytest.raises((ValueError, InputError)) as told:
        door()
    return str(told.value)


def of_a_till(catalog: Catalog, path: Path, text: str, kind: str) -> None:
    with path.open("w", newline="") as file:
        csv.writer(file).writerows([["cut", "amount", "day"], [text, "3", "tue"]])
    _, faults = read_lines(read_sheet(path, None), catalog, Reading(kind))
    faults.stop()


@pytest.mark.parametrize(("text", "meant"), CUTS.items(), ids=CUTS)
def test_a_cut_is_suggested_at_every_door(catalog, tmp_path, text, meant):
    week = catalog.week
    doors = {
        "the right words": lambda: catalog.find(text),
        "an order asked for": lambda: order_of(week, split_order(f"{text}: 3 lb on wed")),
        "a change": lambda: read_changes(week, [Change("want", f"{text}: 33 lb")]),
        "a sale said": lambda: EntryReader(catalog, TUE, {}).read(f"sale {text}: 3.5 lb on tue"),
        "a till": lambda: of_a_till(catalog, tmp_path / "till.csv", text, "sale"),
    }
    for name, door in doors.items():
        message = said(door)
        assert [each for each in meant if f'"{each}"' not in message] == [], (name, message)
        assert "\n" not in message


@pytest.mark.parametrize(("text", "meant"), PIECES.items(), ids=PIECES)
def test_a_piece_is_suggested_at_every_door(catalog, text, meant):
    week = catalog.week
    doors = {
        "the right words": lambda: catalog.find_piece(text),
        "a break said": lambda: EntryReader(catalog, TUE, {}).read(f"break {text}: 2 whole on tue"),
        "an arrival said": lambda: EntryReader(catalog, TUE, {}).read(
            f"delivery {text}: 2 at 30 lb"
        ),
        "a rule": lambda: read_changes(week, [Change("rule", f"never {text}: whole")]),
    }
    for name, door in doors.items():
        message = said(door)
        assert [each for each in meant if f'"{each}"' not in message] == [], (name, message)


@pytest.mark.parametrize(("text", "meant"), SPECIES.items(), ids=SPECIES)
def test_a_species_is_suggested_at_every_door(catalog, text, meant):
    doors = {
        "start": lambda: read_species(text),
        "an arrival said": lambda: EntryReader(catalog, TUE, {}).read(
            f"delivery {text}: 2 at 30 lb"
        ),
        "a recipe named": lambda: find(text, "recipes", Path()),
        "days kept": lambda: read_changes(catalog.week, [Change("keeps", f"{text}: 3")]),
    }
    for name, door in doors.items():
        message = said(door)
        assert f'"{meant}' in message and "also known as" in message, (name, message)


def test_a_scenario_suggests_the_right_words_with_their_lines(tmp_path):
    (tmp_path / "week.yaml").write_text(
        "starts: 2026-11-30\ndays: 6\nrecipes: [hog]\nrail:\n  - pork: 1 head at 90 lb\n"
        "  - ham hock: 2 at 2 lb\ndemand:\n  leg of pork: {price: 10/lb, want: 3 lb}\n"
        "  rack of lamb: {price: 10/lb, want: 3 lb}\nrules:\n  - never pork butt: whole\n"
    )
    with pytest.raises(InputError) as told:
        read_scenario(tmp_path / "week.yaml", "week.yaml")
    assert [str(each) for each in told.value.problems] == [
        'week.yaml:5: no species or piece called "pork"; did you mean "hog" (also known as pork)?',
        'week.yaml:6: no species or piece called "ham hock"; did you mean "hock" '
        "(also known as ham hock)?",
        'week.yaml:8: no cut called "leg of pork" in hog; did you mean "fresh ham" '
        "(also known as leg of pork)?",
        'week.yaml:9: "rack of lamb" is "eight-rib rack" in the shipped recipe lamb, which is not '
        "among the recipes here",
        'week.yaml:11: no piece called "pork butt" in hog; did you mean "butt" '
        "(also known as pork butt)?",
    ]


def test_head_to_order_is_looked_for_by_trade_names_too():
    scenario = read_scenario(*find("corner-shop", "scenarios", Path()))[0]
    assert 'did you mean "lamb" (also known as sheep)?' in said(lambda: _lots(scenario, "sheep"))


def test_files_of_a_till_of_counts_and_of_weigh_ins_are_told_with_their_lines(
    folder, tmp_path, clock_at, breakplan
):
    clock_at(TUE)
    files = {
        "items": "item,name\nPLU1,leg of pork\nPLU2,pork\n",
        "counts": "what,amount,unit\nbangers,2,lb\n",
        "weighed": "day,piece,way,count,weight,gave,gave weight\n"
        "mon,pork butt,whole,1,8 lb,bangers,2 lb\n",
        "sold": "item,amount,day\nPLU1,2 lb,mon\n",
    }
    paths = {name: tmp_path / f"{name}.csv" for name in files}
    for name, text in files.items():
        paths[name].write_text(text)
    shop = ("--shop", folder)
    runs = [
        breakplan("journal", "import", paths["sold"], *shop, "--items", paths["items"]),
        breakplan("counts", *shop, paths["counts"]),
        breakplan("weigh-in", *shop, paths["weighed"]),
    ]
    assert [each.code for each in runs] == [2, 2, 2]
    told = "\n".join(each.err for each in runs).replace(f"{tmp_path}/", "")
    assert told.splitlines() == [
        'items.csv:2: no cut or piece is called "leg of pork"; did you mean "fresh ham" or "ham" '
        "(also known as leg of pork)?",
        'items.csv:3: no species or piece is called "pork"; did you mean "hog" '
        "(also known as pork)?",
        'counts.csv:2: no cut or piece is called "bangers"; did you mean "pork sausage" '
        "(also known as bangers)?",
        'weighed.csv:2: no piece is called "pork butt"; did you mean "butt" '
        "(also known as pork butt)?",
    ]


def test_a_synonym_with_several_meanings_tells_them_all_and_a_thing_once():
    names = Names("cut", {"lamb": ["rack", "loin"]}, {}, known_as={"rack": ["best end"]})
    assert said(lambda: names.find("best ends")).endswith('"rack" (also known as best ends)?')
    assert said(lambda: names.find("rakc")).endswith('did you mean "rack"?')
    both = Vocabulary(["a", "b"], {"a": ["same"], "b": ["same"]})
    assert both.nearest("same") == '; did you mean "a" or "b" (also known as same)?'


# ---- `known as` in a recipe ----


def test_what_a_thing_is_known_as_makes_no_other_scenario(shop):
    before = read_scenario(shop.week, "week.yaml")[0]
    shop.spoil("recipe", ("species: goat\n", "species: goat\nknown as: [kid, chevon]\n"))
    shop.spoil("recipe", ("  leg roast: {", "  leg roast: {known as: [gigot], "))
    after = read_scenario(shop.week, "week.yaml")[0]
    assert after.recipes[0].known_as == ("kid", "chevon")
    assert after.recipes[0].cuts["leg roast"].known_as == ("gigot",)
    assert after == before
    assert digest(after) == digest(before)


RECIPE = """\
species: goat
{species}
root: carcass
pieces:
  carcass:
    keeps: 7 days
    {piece}
    ways: {{whole: {{gives: {{leg: 60%, trim: 40%}}}}}}
cuts:
  leg: {{kind: roast, keeps: 5 days}}
  trim:
    {cut}
    kind: trim
    lean: 80%
    keeps: 2 days
blends:
  grind:
    {blend}
    from: [trim]
    keeps: 2 days
"""
LINES = {"species": 2, "piece": 7, "cut": 12, "blend": 18}


@pytest.mark.parametrize("place", LINES)
@pytest.mark.parametrize(
    ("written", "message"),
    [
        ("[leg]", 'known as: "leg" is a cut already'),
        ("[carcass]", 'known as: "carcass" is a piece already'),
        ("[grind]", 'known as: "grind" is a blend already'),
        ("[goat]", 'known as: "goat" is the species already'),
        ("[loss]", 'known as: "loss" is weight that is lost already'),
        ("[kid, kid]", 'known as: "kid" is listed here twice'),
        (
            "kid",
            "known as: a list is expected here, such as [lamb] or lines that begin with a dash",
        ),
        ("{kid: 1}", "known as: a list is expected here"),
        ("[[kid]]", "one value is expected here, not a map or a list"),
        ('["ki\\u200bd"]', "control or hidden signs, but has U+200B in it"),
        (f"[{'k' * 61}]", "the name has 61 characters, 60 at most"),
    ],
)
def test_a_fault_in_known_as_is_one_line_with_its_file_and_line(tmp_path, place, written, message):
    text = RECIPE.format(**dict.fromkeys(LINES, "") | {place: f"known as: {written}"})
    (tmp_path / "goat.yaml").write_text(text)
    with pytest.raises(InputError) as told:
        read_recipe(tmp_path / "goat.yaml", "goat.yaml")
    [line] = str(told.value).split("\n")
    assert line.startswith(f"goat.yaml:{LINES[place]}: ") and message in line


def test_every_shipped_piece_that_is_sold_has_a_trade_name():
    for name in ("lamb", "hog", "beef-fore", "beef-hind", "goat", "veal"):
        recipe = read_recipe(*find(name, "recipes", Path()))[0]
        assert recipe.known_as
        catalog = [*recipe.pieces.values(), *recipe.cuts.values()]
        catalog += [each.cut for each in recipe.blends.values()]
        assert [each.name for each in catalog if not each.known_as] == []


def test_blends_of_a_scenario_and_of_a_file_are_checked_and_suggested(tmp_path):
    book = "takes from: [lamb]\nblends:\n  mix:\n    known as: [{}]\n    from: [lamb trim 85]\n"
    (tmp_path / "book.yaml").write_text(book.format("lamb") + "    keeps: 2 days\n")
    week = (
        "starts: 2026-11-30\ndays: 1\nrecipes: [lamb, {}]\nrail: []\nblends:\n"
        "  patty:\n    known as: [{}]\n    from: [trim 85]\n    keeps: 2 days\n{}"
    )
    (tmp_path / "week.yaml").write_text(week.format("book.yaml", "burger", ""))
    assert 'book.yaml:4: known as: "lamb" is a species already' in said(
        lambda: read_scenario(tmp_path / "week.yaml", "week.yaml")
    )
    (tmp_path / "book.yaml").write_text(book.format("kofta mix") + "    keeps: 2 days\n")
    (tmp_path / "week.yaml").write_text(week.format("book.yaml", "loin chops", ""))
    assert said(lambda: read_scenario(tmp_path / "week.yaml", "week.yaml")) == (
        'week.yaml:7: known as: "loin chops" is in a recipe already'
    )
    demand = "demand:\n  kofta mix: {price: 9/lb, want: 1}\n  burgers: {price: 9/lb, want: 1}\n"
    (tmp_path / "week.yaml").write_text(week.format("book.yaml", "burger", demand))
    assert said(lambda: read_scenario(tmp_path / "week.yaml", "week.yaml")).splitlines() == [
        'week.yaml:11: no cut called "kofta mix" in lamb; did you mean "mix" '
        "(also known as kofta mix)?",
        'week.yaml:12: no cut called "burgers" in lamb; did you mean "patty" '
        "(also known as burgers)?",
    ]
