"""Several species in one shop: text by species, names told apart, weights that add up."""

from __future__ import annotations

import json
import re
from collections import defaultdict

import pytest

from planner.show.text import plan_text
from tests.planning import plan_of, read
from tests.two_measures import thorough

LAMB = """\
species: lamb
root: carcass
pieces:
  carcass:
    keeps: 5 days
    ways:
      break:
        minutes: 10
        gives: {leg: 2 at 17%, loin: 1 at 20%, trim 85: 20%, bones: 22%, loss: 4%}
  leg:
    keeps: 4 days
    ways:
      whole: {minutes: 2, gives: {leg roast: 97%, loss: 3%}}
      trim: {minutes: 6, gives: {trim 85: 70%, bones: 28%, loss: 2%}}
  loin:
    keeps: 4 days
    ways:
      chops: {minutes: 5, gives: {loin chops: 80%, fat: 18%, loss: 2%}}
      rolled: {minutes: 9, gives: {lamb saddle: 1 at 88%, bones: 12%}}
cuts:
  leg roast: {kind: roast, keeps: 4}
  loin chops: {kind: chop, keeps: 3}
  lamb saddle: {kind: roast, keeps: 3, sold by: each}
  trim 85: {kind: trim, lean: 85%, keeps: 2}
  fat: {kind: fat, lean: 10%, keeps: 3}
  bones: {kind: bone, keeps: 3}
blends:
  ground lamb: {from: [trim 85, fat], fat: 12% to 20%, minutes: 0.3 per lb, keeps: 2}
"""

HOG = """\
species: hog
root: side
pieces:
  side:
    keeps: 5 days
    ways:
      break:
        minutes: 12
        gives: {ham: 1 at 30%, loin: 1 at 30%, trim 80: 18%, fat: 8%, bones: 13%, loss: 1%}
  ham:
    keeps: 4 days
    ways:
      whole: {minutes: 2, gives: {fresh ham: 98%, loss: 2%}}
      trim: {minutes: 8, gives: {trim 80: 75%, fat: 8%, bones: 16%, loss: 1%}}
  loin:
    keeps: 4 days
    ways:
      chops: {minutes: 7, gives: {pork chops: 92%, fat: 6%, loss: 2%}}
      roast: {minutes: 3, gives: {pork roast: 97%, fat: 3%}}
cuts:
  fresh ham: {kind: roast, keeps: 4}
  pork chops: {kind: chop, keeps: 3}
  pork roast: {kind: roast, keeps: 3}
  trim 80: {kind: trim, lean: 80%, keeps: 2}
  fat: {kind: fat, lean: 5%, keeps: 3}
  bones: {kind: bone, keeps: 3}
blends:
  pork sausage: {from: [trim 80, fat], fat: 25% to 35%, minutes: 1 per lb, keeps: 2}
"""

HIND = """\
species: beef
root: hindquarter
pieces:
  hindquarter:
    keeps: 5 days
    ways:
      break:
        minutes: 14
        gives: {round: 1 at 50%, sirloin: 1 at 25%, fat: 8%, bones: 15%, loss: 2%}
  round:
    keeps: 4 days
    ways:
      roasts: {minutes: 9, gives: {round roast: 85%, trim 80: 13%, loss: 2%}}
      trim: {minutes: 14, gives: {trim 80: 97%, loss: 3%}}
  sirloin:
    keeps: 4 days
    ways:
      steaks: {minutes: 8, gives: {sirloin steaks: 70%, trim 80: 28%, loss: 2%}}
cuts:
  round roast: {kind: roast, keeps: 4}
  sirloin steaks: {kind: steak, keeps: 3}
  trim 80: {kind: trim, lean: 80%, keeps: 2}
  fat: {kind: fat, lean: 10%, keeps: 3}
  bones: {kind: bone, keeps: 3}
"""

FORE = """\
species: beef
root: forequarter
pieces:
  forequarter:
    keeps: 5 days
    ways:
      bone out:
        minutes: 30
        gives: {chuck roast: 60%, trim 80: 20%, fat: 5%, bones: 14%, loss: 1%}
cuts:
  chuck roast: {kind: roast, keeps: 4}
  trim 80: {kind: trim, lean: 80%, keeps: 2}
  fat: {kind: fat, lean: 10%, keeps: 3}
  bones: {kind: bone, keeps: 3}
"""

MIXES = """\
takes from: [lamb, hog, beef, goat]
blends:
  sausage of two:
    from: [lamb trim 85, hog trim 80, hog fat]
    fat: 20% to 28%
    lamb: at least 40%
    hog fat: at most 15%
    added: 3%
    batch: 5 lb
    minutes: 1 per lb
    keeps: 2
  goat patties: {from: [goat trim 85, goat fat], goat: at least 50%, keeps: 2}
  stock bones: {from: [lamb bones, hog bones, beef bones, goat bones], keeps: 3}
"""

WEEK = """\
title: An invented shop of three kinds
starts: 2026-11-30
days: 2
recipes: [lamb.yaml, hog.yaml, hind.yaml, fore.yaml, mixes.yaml]
rail:
  - {lamb: 2 head at 50 lb, cost: 7/lb}
  - {hog: 2 sides at 80 lb, cost: 3/lb}
  - {beef: 1 hindquarter at 100 lb, cost: 5/lb}
  - {forequarter: up to 1 at 90 lb, arrives: tue, cost: 4/lb}
  - {hog loin: 1 at 20 lb, cost: 3.50/lb}
bench: {mon: 110, tue: 130}
case: {lamb fat: 2 lb, hog bones: 3 lb}
demand:
  leg roast: {price: 14/lb, want: 20 lb}
  loin chops: {price: 22/lb, want: 9 lb}
  lamb saddle: {price: 120/each, want: 1}
  ground lamb: {price: 11/lb, want: 4 lb}
  fresh ham: {price: 6/lb, want: 20 lb}
  pork chops: {price: 10/lb, want: 30 lb}
  pork sausage: {price: 9/lb, want: 9 lb}
  round roast: {price: 10/lb, want: 30 lb, orders: [{day: tue, amount: 8 lb, for: the inn}]}
  sirloin steaks: {price: 15/lb, want: 12 lb}
  chuck roast: {price: 9/lb, want: {tue: 20 lb}}
  sausage of two: {price: 13/lb, want: 17 lb}
  house patties: {price: 12/lb, want: 8 lb}
  stock bones: {price: 2/lb, want: 20 lb}
  hog bones: {price: 3/lb, want: 2 lb}
  pork roast: {price: 0.50/lb, want: 3 lb}
blends:
  house patties:
    from: [lamb trim 85, beef trim 80, beef fat]
    fat: at most 22%
    beef: 30% to 60%
    keeps: 2
rules:
  - at least 1 hog loin: chops
  - at least 2 lb lamb trim 85: sausage of two
carry: 30%
disposal: 0.10/lb
"""

FILES = {
    "lamb.yaml": LAMB,
    "hog.yaml": HOG,
    "hind.yaml": HIND,
    "fore.yaml": FORE,
    "mixes.yaml": MIXES,
    "week.yaml": WEEK,
}
KINDS = ("LAMB", "HOG", "BEEF", "OF SEVERAL SPECIES")
ALL = "of several species"


@pytest.fixture
def week(tmp_path):
    for name, text in FILES.items():
        (tmp_path / name).write_text(text)
    return tmp_path / "week.yaml"


@pytest.fixture
def ran(breakplan, week, monkeypatch):
    """A command on the week; its text, which stays inside the width."""
    monkeypatch.chdir(week.parent)

    def run(command, *words):
        done = breakplan(command, week.name, *words)
        assert (done.code, done.err) == (0, ""), done.err
        if "--json" not in words:
            assert max(map(len, done.out.splitlines())) <= 100
        return done.out

    return run


def data_of(ran, command="week", *words):
    return json.loads(ran(command, *words, "--json"))


def part_of(text, title):
    """The part of a text that begins with a title, up to the next blank line."""
    return next(part for part in text.split("\n\n") if part.startswith(title))


def grouped(part):
    """Lines of a part by the species they stand under, in its order."""
    groups, name = {}, None
    for line in part.splitlines():
        if line.strip() in KINDS:
            name = line.strip()
            assert line == f"  {name}"
            assert name not in groups
            groups[name] = []
        elif name and line.startswith("    "):
            groups[name].append(line.strip())
    return groups


def species_of(scenario):
    """The heading under which a cut belongs."""
    return {
        name: "OF SEVERAL SPECIES" if cut.species == "mixed" else cut.species.upper()
        for name, cut in scenario.cuts.items()
    }


# ---- text by species ----


def test_the_case_is_grouped_by_species_blends_of_several_last(ran, week):
    data, scenario = data_of(ran), read(week)
    groups, home = grouped(part_of(ran("week"), "CASE")), species_of(scenario)
    assert tuple(groups) == KINDS
    for row in data["cuts"]:
        amounts = (row[key] for key in ("on hand", "made", "sold", "blended", "wasted", "left"))
        if any(each >= 0.5 for each in amounts):
            begins = row["cut"] + " "
            under = [kind for kind in KINDS if any(x.startswith(begins) for x in groups[kind])]
            assert under == [home[row["cut"]]]
    for kind, lines in groups.items():  # in the order of the recipes
        names = [name for name in home if any(line.startswith(f"{name} ") for line in lines)]
        shown = [line for line in lines if not line.startswith("wanted")]
        assert len(names) == len(shown), kind
        assert all(line.startswith(f"{name} ") for name, line in zip(names, shown, strict=True))


def test_what_was_wanted_and_not_cut_stands_with_its_species(ran):
    lines = part_of(ran("week"), "CASE").splitlines()
    at = lines.index("    wanted but not cut: pork roast 3.0")
    before = [line.strip() for line in lines[:at] if line.strip() in KINDS]
    assert before[-1] == "HOG"


def test_blends_are_grouped_and_in_each_group_by_day(ran, week):
    data, home = data_of(ran), species_of(read(week))
    groups = grouped(part_of(ran("week"), "BLENDS"))
    for kind in groups:
        told = [line for line in groups[kind] if not line.startswith("from ")]
        made = [
            f"{row['day']}  {row['blend']} {row['made']:.1f} lb"
            for row in data["blends"]
            if home[row["blend"]] == kind
        ]
        assert len(told) == len(made) > 0
        assert all(line.startswith(each) for line, each in zip(told, made, strict=True))
    assert list(groups) == [kind for kind in KINDS if kind in groups]
    assert {"HOG", "OF SEVERAL SPECIES"} <= set(groups)


def test_what_is_not_cut_stands_under_its_species(week):
    text = WEEK[: WEEK.index("rules:")] + "rules: []\n" + WEEK[WEEK.index("carry:") :]
    week.write_text(text.replace("bench: {mon: 110, tue: 130}", "bench: {mon: 12, tue: 42}"))
    plan = plan_of(week)
    groups = grouped(part_of(plan_text(plan), "NOT CUT"))
    lots = plan.scenario.lots
    for kind in ("LAMB", "HOG"):
        here = [each for each in plan.uncut if lots[each.lot].recipe.species == kind.lower()]
        assert here
        text = " ".join(groups[kind])
        assert all(f"{each.count} {each.piece}, {each.weight:.1f} lb" in text for each in here)
        assert text.count(" lb: ") == len(here)


def test_with_one_species_there_is_no_word_about_it(shop, breakplan):
    for words in (
        ["week"],
        ["price", "--cost", "7/lb"],
        ["whatif", "--bench", "fri: -200"],
        ["why", "leg"],
    ):
        done = breakplan(words[0], shop.week, *words[1:])
        assert done.code == 0
        assert not [line for line in done.out.splitlines() if line.strip() == "GOAT"]
        assert ALL.upper() not in done.out


def test_a_quarter_is_named_once_where_it_comes_in_and_with_its_species(ran):
    text = ran("week")
    assert "  in: 2 head lamb, 50.0 lb each\n" in text
    assert "  in: 2 sides hog, 80.0 lb each\n" in text
    assert "  in: 1 hindquarter beef, 100.0 lb each\n" in text
    assert "  in: up to 1 beef forequarter, 90.0 lb each: buy " in text
    assert "  in: 1 hog loin, 20.0 lb each\n" in text
    assert "  from mon beef hindquarter, 100.0 lb each\n" in text


def test_the_grind_tells_batches_and_no_minutes_where_there_are_none(ran):
    data, text = data_of(ran), ran("week")
    told = " ".join(re.sub(r"\s+", " ", text.split("CASE")[0]).split("grind: ")[1:])
    for row in data["blends"]:
        made = f"{row['blend']} {row['made']:.1f} lb"
        if "batches" in row:
            many = f"{row['batches']} batch{'es' if row['batches'] > 1 else ''}"
            minutes = f" ({row['made']:.0f} min)"  # one a pound
            assert f"{made} in {many}{minutes}" in told
        elif row["blend"] in ("stock bones", "house patties"):
            assert made in told
            assert f"{made} (" not in told
    assert any("batches" in row for row in data["blends"])
    assert "(0 min)" not in text


def test_what_changes_is_grouped_too(ran, week):
    words = [
        "--rule",
        "never ham: trim",
        "--rule",
        "never leg: whole",
        "--price",
        "chuck roast: 3/lb",
    ]
    text, home = ran("whatif", *words), species_of(read(week))
    data = data_of(ran, "whatif", *words)
    ways = grouped(part_of(text, "WAYS"))
    assert list(ways) == [kind for kind in KINDS if kind in ways]
    for row in data["ways"]:
        told = [line for line in ways[row["species"].upper()] if line.startswith(row["piece"])]
        number = f"{row['before']} -> {row['after']}"
        assert any(row["way"] in line and line.endswith(number) for line in told)
    cuts = grouped(part_of(text, "CUTS"))
    assert list(cuts) == [kind for kind in KINDS if kind in cuts]
    assert len(cuts) > 2
    for kind, lines in cuts.items():
        for line in lines:
            name = re.split(r"  | \(each\)", line)[0]
            assert home[name] == kind


def test_why_asks_by_species_and_names_it(ran, week):
    week.write_text(WEEK.replace("{lamb: 2 head at 50 lb, cost: 7/lb}", "{round: 1 at 40 lb}"))
    week.write_text(
        week.read_text().replace("  - {hog: 2", "  - {lamb: 1 head at 50 lb}\n  - {hog: 2")
    )
    heads = re.findall(r"^([A-Z ]+): ", ran("why", "--seconds", "2"), re.MULTILINE)
    assert read(week).lots[0].piece == "round"  # beef comes first on the rail, last in the recipes
    kinds = [each.split()[0] for each in heads]
    assert kinds == sorted(kinds, key=("LAMB", "HOG", "BEEF").index)
    assert {"LAMB LEG", "HOG LOIN", "BEEF ROUND"} <= set(heads)
    assert ran("why", "hog loin").count("HOG LOIN: ") == 1


def test_costs_are_grouped_by_species(ran, week):
    text, data, home = ran("price", "--all"), data_of(ran, "price"), species_of(read(week))
    cuts = grouped(part_of(text, "CUTS"))
    assert tuple(cuts) == KINDS
    for row in data["cuts"]:
        if row["price"] and row["made"] and not row["by-product"]:
            told = [line for line in cuts[home[row["cut"]]] if line.startswith(f"{row['cut']} ")]
            assert len(told) == 1
    tests = grouped(part_of(text, "YIELD TESTS"))
    assert list(tests) == ["LAMB", "HOG", "BEEF"]
    assert "hog loin, 24.0 lb, charged" in " ".join(tests["HOG"])  # not `hog loin of hog`
    assert "hog loin, 20.0 lb, bought at $3.50/lb" in tests["HOG"]
    assert "lamb loin, 10.0 lb, charged" in " ".join(tests["LAMB"])


def test_what_an_order_takes_from_others_is_grouped(ran):
    taken = grouped(part_of(ran("promise", "round roast: 30 lb on tue"), "TAKES"))
    assert any(line.startswith("round roast") for line in taken["BEEF"])
    assert list(taken) == [kind for kind in KINDS if kind in taken]


def test_deliveries_are_told_apart_and_sides_are_not_called_head(ran):
    text = ran("order", "--up-to", "2", "--seconds", "5")
    titles = [line for line in text.splitlines() if "(in the file: " in line]
    assert titles == [
        "LAMB MON, 50.0 lb at $7.00/lb: $350.00 a head (in the file: 2)",
        "HOG MON, 80.0 lb at $3.00/lb: $240.00 each (in the file: 2)",
        "BEEF HINDQUARTER MON, 100.0 lb at $5.00/lb: $500.00 each (in the file: 1)",
        "BEEF FOREQUARTER TUE, 90.0 lb at $4.00/lb: $360.00 each (in the file: up to 1)",
    ]
    parts = text.split("\n\n")
    at = next(n for n, part in enumerate(parts) if part.startswith("HOG MON"))
    assert " head" not in parts[at + 2]


# ---- every command ----

CHANGES = """\
less pork:
  rules: ["at most 1 hog loin: chops", "never hog fat: sausage of two"]
  prices: {hog bones: 4/lb, sausage of two: +10%}
  wants: {lamb loin chops: 3 lb, stock bones: +5 lb}
more beef:
  head: {beef hindquarter: 2, hog: 1}
  keeps: {beef trim 80: 3 days, house patties: +1 day}
"""


@pytest.mark.parametrize(
    "words",
    [
        ["week"],
        ["week", "--cautions"],
        ["whatif", "--changes", "changes.yaml"],
        ["why", "lamb leg"],
        ["order", "--species", "hog", "--up-to", "2"],
        ["promise", "sausage of two: 10 lb on tue", "--for", "the inn"],
        ["promise", "lamb bones: 3 lb on tue", "hog bones: 900 lb on mon", "--price", "1/lb"],
        ["price", "--bench-cost", "0.50"],
        ["check"],
        *thorough(
            (["whatif", "--price", "beef bones: 2/lb", "--keeps", "lamb loin: +1 day"],),
            (["whatif", "--want", "house patties: 12 lb", "--head", "lamb: +1"],),
            (["whatif", "--rule", "all lamb trim 85: sausage of two", "--bench", "mon: +30"],),
        ),
    ],
)
def test_every_command_as_text_and_as_data(ran, week, words):
    (week.parent / "changes.yaml").write_text(CHANGES)
    assert ran(*words)
    data = data_of(ran, *[each for each in words if each != "--cautions"])
    assert data["format"] == "breakplan/1"


def test_every_file_is_sound(breakplan, week):
    done = breakplan("check", *(week.parent / name for name in FILES))
    assert done.code == 0
    assert done.out.count(": a sound recipe") == 4
    assert done.out.count(": a sound file of blends") == 1
    assert done.out.count(": a sound scenario") == 1


# ---- names ----

BOTH = 'more than one recipe has "{}"; write {}'


@pytest.mark.parametrize(
    ("option", "text", "name", "choices"),
    [
        ("--rule", "never loin: chops", "loin", ("lamb loin", "hog loin")),
        ("--rule", "at most 1 loin: chops", "loin", ("lamb loin", "hog loin")),
        ("--rule", "never bones: stock bones", "bones", ("lamb bones", "hog bones", "beef bones")),
        ("--price", "bones: 3/lb", "bones", ("lamb bones", "hog bones", "beef bones")),
        ("--want", "fat: 3 lb", "fat", ("lamb fat", "hog fat", "beef fat")),
        ("--keeps", "trim 80: 3 days", "trim 80", ("hog trim 80", "beef trim 80")),
        ("--head", "loin: 2", "loin", ("lamb loin", "hog loin")),
    ],
)
def test_a_name_of_several_is_answered_with_all_of_them(
    breakplan, week, option, text, name, choices
):
    done = breakplan("whatif", week, option, text)
    told = BOTH.format(name, " or ".join(f'"{each}"' for each in choices))
    assert (done.code, done.err) == (2, f"{option}: {told}")


def test_the_same_in_an_order_a_piece_and_the_file(breakplan, week):
    bones = BOTH.format("bones", '"lamb bones" or "hog bones" or "beef bones"')
    assert bones in breakplan("promise", week, "bones: 3 lb on tue").err
    assert BOTH.format("loin", '"lamb loin" or "hog loin"') in breakplan("why", week, "loin").err
    week.write_text(WEEK.replace("  hog bones: {price", "  bones: {price"))
    done = breakplan("week", week)
    line = WEEK[: WEEK.index("  hog bones: {price")].count("\n") + 1
    assert (done.code, done.err) == (2, f"{week}:{line}: {bones}")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (["--price", "chuck roast: 7/lb"], ["--price", "beef chuck roast: 7/lb"]),
        (["--rule", "never ham: trim"], ["--rule", "never hog ham: trim"]),
        (["--head", "hindquarter: 2"], ["--head", "beef hindquarter: 2"]),
        (["--keeps", "leg: 5 days"], ["--keeps", "lamb leg: 5 days"]),
    ],
)
def test_the_longer_form_is_always_understood(ran, one, other):
    plain, longer = (data_of(ran, "whatif", *each) for each in (one, other))
    assert plain["after"]["score"] == pytest.approx(longer["after"]["score"])
    assert plain["ways"] == longer["ways"]


def test_a_blend_without_its_species_is_left_aside_and_says_why(breakplan, week):
    week.write_text(
        WEEK.replace(
            "  hog bones: {price", "  goat patties: {price: 9/lb, want: 2 lb}\n  hog bones: {price"
        )
    )
    done = breakplan("week", week)
    assert done.code == 2
    assert "goat patties cannot be made" in done.err
    assert "no recipe for goat is in use" in done.err


# ---- weights and shares, worked out again from the data ----


def test_the_weight_of_each_species_is_where_it_should_be(ran, week):
    """Arrived = cuts made + loss + pieces not cut, species by species."""
    data, scenario = data_of(ran), read(week)
    pieces = {name: each for recipe in scenario.recipes for name, each in recipe.pieces.items()}
    bought = {row["lot"]: row["head"] for row in data["bought"]}
    arrived, gone, by_recipe = defaultdict(float), defaultdict(float), defaultdict(float)
    for lot in scenario.lots:
        head = bought.get(lot.index, 0) if lot.up_to else lot.count
        arrived[lot.recipe.species] += head * lot.weight
    for row in data["breaks"]:
        way = pieces[row["piece"]].ways[row["way"]]
        gone[row["species"]] += row["weight"] * way.loss
        for given in way.cuts:
            by_each = scenario.cuts[given.name].by_each
            pounds = row["weight"] * given.share * given.count
            by_recipe[given.name] += row["count"] * given.count if by_each else pounds
            if by_each:
                gone[row["species"]] += pounds
    for row in data["whole"]:
        gone[scenario.lots[row["lot"]].recipe.species] += row["weight"]
    for row in data["cuts"]:
        if row["cut"] in scenario.blends:
            continue
        assert row["made"] == pytest.approx(by_recipe[row["cut"]], abs=1e-6)
        if row["sold by"] == "lb":
            gone[row["species"]] += row["made"]
    assert set(arrived) == {"lamb", "hog", "beef"}
    for species, pounds in arrived.items():
        assert gone[species] == pytest.approx(pounds, abs=1e-6), species
    for row in data["cuts"]:
        used = sum(row[key] for key in ("sold", "blended", "wasted", "left"))
        assert row["on hand"] + row["made"] == pytest.approx(used, abs=1e-6)


FAT = {
    "lamb trim 85": 0.15, "lamb fat": 0.90, "trim 85": 0.15, "hog trim 80": 0.20, "hog fat": 0.95,
    "beef trim 80": 0.20, "beef fat": 0.90,
}  # fmt: skip
LIMITS = {
    "ground lamb": (0.12, 0.20),
    "pork sausage": (0.25, 0.35),
    "sausage of two": (0.20, 0.28),
    "house patties": (0.0, 0.22),
}
SPECIES = {"sausage of two": ("lamb", 0.40, 1.0), "house patties": ("beef", 0.30, 0.60)}


def test_fat_species_and_batches_of_each_blend(ran):
    data = data_of(ran)
    home = {row["cut"]: row["species"] for row in data["cuts"]}
    into = defaultdict(float)
    for row in data["blends"]:
        blend, takes = row["blend"], row["from"]
        pounds = sum(takes.values())
        for cut, weight in takes.items():
            into[cut] += weight
        assert row["made"] == pytest.approx(
            pounds * (1.03 if blend == "sausage of two" else 1), abs=1e-6
        )
        if blend == "stock bones":
            assert row["fat"] is None
            continue
        fat = sum(FAT[cut] * weight for cut, weight in takes.items()) / pounds
        least, most = LIMITS[blend]
        assert row["fat"] == pytest.approx(fat, abs=1e-6)
        assert least - 1e-6 <= fat <= most + 1e-6
        if blend in SPECIES:
            species, least, most = SPECIES[blend]
            share = sum(weight for cut, weight in takes.items() if home[cut] == species) / pounds
            assert least - 1e-6 <= share <= most + 1e-6
        if blend == "sausage of two":
            assert takes.get("hog fat", 0.0) <= 0.15 * pounds + 1e-6
            assert isinstance(row["batches"], int)
            assert row["made"] == pytest.approx(5 * row["batches"], abs=1e-6)
        else:
            assert "batches" not in row
    for row in data["cuts"]:
        assert row["blended"] == pytest.approx(into[row["cut"]], abs=1e-6)
    made = {row["blend"] for row in data["blends"]}
    assert {"sausage of two", "house patties", "stock bones"} <= made
    used = {
        home[cut] for row in data["blends"] if row["blend"] == "stock bones" for cut in row["from"]
    }
    assert 1 < len(used & {"lamb", "hog", "beef"}) == len(used)
    assert into["trim 85"] >= 2 - 1e-6  # the rule
    assert home["sausage of two"] == home["house patties"] == home["stock bones"] == "mixed"
    assert (home["pork sausage"], home["ground lamb"]) == ("hog", "lamb")


def test_long_names_stay_inside_the_width(ran, week):
    long = "of what somebody wrote without a thought of the block at six in the morning"
    for path in week.parent.glob("*.yaml"):
        text = path.read_text()
        for name in ("round roast", "lamb saddle", "house patties", "sausage of two"):
            text = text.replace(name, f"{name} {long}"[:60].strip())
        path.write_text(text.replace("pork sausage", "a sausage of pork and of not much else"))
    for words in (["week"], ["price"], ["why", "lamb loin"], ["whatif", "--bench", "mon: -60"]):
        assert ran(*words)  # which looks at the width
    assert "lamb saddle of what.. (each) " in ran("week")
    assert f"{('house patties ' + long)[:38]}.." in part_of(ran("week"), "BLENDS")
