"""`breakplan check`: sound files, faulty ones, odd ones; its JSON; the JSON Schemas it prints."""

import json
import re

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from planner.core import quantities as measures
from planner.files import patterns
from planner.files.check import check, schema
from planner.files.file_kind import NAMES
from planner.files.find import shipped_folder, shipped_names

SHIPPED = [
    (shelf, name) for shelf in ("recipes", "scenarios") for name in shipped_names(shelf)
]  # fmt: skip


def written(path):
    """What an editor checks: the file by the usual rules of YAML, dates as the texts they are."""
    return json.loads(json.dumps(yaml.safe_load(path.read_text()), default=str))


# ---- the command ----


@pytest.mark.parametrize(("shelf", "name"), SHIPPED)
def test_shipped_files_are_sound_and_not_odd(breakplan, shelf, name):
    ran = breakplan("check", name)
    assert (ran.code, ran.err) == (0, "")
    kind = "blends" if name == "blends" else shelf[:-1]
    assert ran.out.endswith(f"{name}.yaml: a sound {NAMES[kind]}\n")
    assert len(ran.out.splitlines()) == 1


def test_several_files_at_once(breakplan, shop):
    ran = breakplan("check", shop.recipe, shop.week)
    assert ran.code == 0
    assert ran.out.splitlines() == [
        f"{shop.recipe}: a sound recipe",
        f"{shop.week}: a sound scenario",
    ]


def test_faults_of_every_file_then_exit_code_2(breakplan, shop):
    shop.spoil("recipe", ("97%", "98%"))
    shop.spoil("scenario", ("carry: 40%", "carry: 40"), ("days: 6", "days: six"))
    ran = breakplan("check", shop.recipe, shop.week, "one-lamb")
    assert (ran.code, ran.err) == (2, "")
    lines = ran.out.splitlines()
    loss = f"{shop.recipe}:{shop.line('recipe', '98%')}: leg, whole: shares add up to 101%"
    assert lines[0].startswith(loss)
    assert lines[1] == f"{shop.recipe}: 1 fault"
    assert lines[2].startswith(loss), "the scenario reads the same recipe"
    assert lines[3].startswith(f"{shop.week}:{shop.line('scenario', 'days:')}: days: ")
    assert lines[4].startswith(f"{shop.week}:{shop.line('scenario', 'recipes:')}: the recipe goat")
    assert lines[5].startswith(f"{shop.week}:{shop.line('scenario', 'carry:')}: carry: ")
    assert lines[6] == f"{shop.week}: 4 faults"
    assert lines[7].endswith("one-lamb.yaml: a sound scenario")


def test_a_slip_in_a_week_of_lamb(breakplan, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "scenarios").mkdir()
    good = (shipped_folder("scenarios") / "corner-shop.yaml").read_text()
    text = good.replace("  loin chops: {price", "  lion chops: {price")
    (tmp_path / "scenarios" / "x.yaml").write_text(text)
    line = text[: text.index("lion chops")].count("\n") + 1
    ran = breakplan("check", "scenarios/x.yaml")
    assert ran.code == 2
    assert ran.out.splitlines()[0] == (
        f'scenarios/x.yaml:{line}: no cut called "lion chops" in lamb; did you mean "loin chops"?'
    )


def test_what_is_odd_is_told_with_exit_code_0(breakplan, shop):
    shop.spoil("recipe", ("bones: 20%\n          loss: 4%", "bones: 14%\n          loss: 10%"))
    shop.spoil("scenario", ("60/each", "0/each"), ("wed: 242, ", ""))
    ran = breakplan("check", shop.week)
    assert ran.code == 0
    loss, bench, price, last = ran.out.splitlines()
    assert loss.startswith("warning: ") and loss.endswith(
        "carcass, block break loses 10.0% of the weight"
    )
    assert bench == f"warning: {shop.week}:11: no bench on wed: nothing can be cut then"
    assert price == f"warning: {shop.week}:25: leg roast has a price of zero"
    assert last == f"{shop.week}: a sound scenario, 3 warnings"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "the file is empty"),
        (b"a: [", "not YAML here"),
        (b"\xff\xfe\x00", "not text (UTF-8)"),
        (b"#" * 2_000_001, "larger than 2 MB"),
        (b"shop: mine\n", 'unknown key "shop"'),
    ],
)
def test_files_that_will_not_do(breakplan, tmp_path, content, words):
    path = tmp_path / "it.yaml"
    path.write_bytes(content)
    ran = breakplan("check", path)
    assert (ran.code, ran.err) == (2, "")
    assert words in ran.out
    assert "Traceback" not in ran.out


@pytest.mark.parametrize("command", ["check", "week"])
@pytest.mark.parametrize(
    ("name", "words"),
    [
        (".", ".: this is a folder; name a file in it"),
        ("shop", "shop: this is a folder; name a file in it"),
        ("corner-shpo", 'corner-shpo: no such file; did you mean "corner-shop"?'),
        ("none.yaml", "none.yaml: no such file (shipped"),
        ("", "this is a folder"),
    ],
)
def test_what_is_no_file(breakplan, shop, monkeypatch, command, name, words):
    monkeypatch.chdir(shop.folder.parent)
    ran = breakplan(command, name)
    assert ran.code == 2
    assert words in ran.out + ran.err


def test_the_kind_of_a_file_is_told_by_its_keys(shop, tmp_path):
    assert check(str(shop.recipe)).kind == "recipe"
    assert check(str(shop.week)).kind == "scenario"
    path = tmp_path / "begun.yaml"
    path.write_text("species: emu\n")
    assert check(str(path)).kind == "recipe"


# ---- JSON ----


def test_json_of_sound_faulty_and_odd_files(breakplan, shop):
    shop.spoil("scenario", ("60/each", "0/each"))
    (shop.folder / "bad.yaml").write_text("species: emu\nroot: carcass\n")
    ran = breakplan("check", shop.recipe, shop.week, shop.folder / "bad.yaml", "--json")
    assert ran.code == 2
    data = json.loads(ran.out)
    assert data["format"] == "breakplan/1"
    good, odd, bad = data["files"]
    assert good == {
        "file": str(shop.recipe), "kind": "recipe", "sound": True, "problems": [], "odd": [],
        "not told": 0,
    }  # fmt: skip
    assert odd["sound"] and odd["kind"] == "scenario"
    assert odd["odd"] == [
        {"file": str(shop.week), "line": 25, "message": "leg roast has a price of zero"}
    ]
    assert not bad["sound"]
    assert [each["message"] for each in bad["problems"]] == [
        '"cuts" is missing',
        '"pieces" is missing',
    ]


def test_json_of_a_file_that_is_not_there(breakplan):
    ran = breakplan("check", "nowhere.yaml", "--json")
    assert ran.code == 2
    (file,) = json.loads(ran.out)["files"]
    assert (file["kind"], file["sound"]) == (None, False)
    assert file["problems"][0]["line"] == 0


# ---- JSON Schema ----


@pytest.mark.parametrize("kind", ["recipe", "scenario", "blends"])
def test_the_schema_is_printed_and_is_one(breakplan, kind):
    ran = breakplan("check", "--schema", kind)
    assert (ran.code, ran.err) == (0, "")
    printed = json.loads(ran.out)
    assert printed == schema(kind)
    assert printed["$schema"] == Draft202012Validator.META_SCHEMA["$id"]
    Draft202012Validator.check_schema(printed)


def test_no_other_schema(breakplan):
    assert breakplan("check", "--schema", "case").code == 2


@pytest.mark.parametrize(("shelf", "name"), SHIPPED)
def test_shipped_files_fit_their_schema(shelf, name):
    kind = "blends" if name == "blends" else shelf[:-1]
    Draft202012Validator(schema(kind)).validate(written(shipped_folder(shelf) / f"{name}.yaml"))


def _examples(node):
    if isinstance(node, dict):
        for example in node.get("examples", []):
            yield node, example
        for value in node.values():
            yield from _examples(value)
    elif isinstance(node, list):
        for value in node:
            yield from _examples(value)


@pytest.mark.parametrize("kind", ["recipe", "scenario", "blends"])
def test_the_examples_in_a_schema_fit_it(kind):
    examples = list(_examples(schema(kind)))
    assert len(examples) > 5
    for node, example in examples:
        Draft202012Validator(node).validate(example)


@pytest.mark.parametrize(
    ("kind", "old", "new", "place"),
    [
        ("recipe", "cuts:", "cut:", []),
        ("recipe", "species: goat\n", "", []),
        ("recipe", "kind: bone,", "kind: bones,", ["cuts", "bones", "kind"]),
        ("recipe", "lean: 85%", "lean: 85", ["cuts", "trim 85", "lean"]),
        ("recipe", "sold by: each", "sold by: eech", ["cuts", "leg roast", "sold by"]),
        ("recipe", "tool: saw", "tol: saw", ["pieces", "carcass", "ways", "block break"]),
        ("recipe", "loss: 4%", "loss: 4",
         ["pieces", "carcass", "ways", "block break", "gives", "loss"]),
        ("recipe", "0.3 per lb", "0.3", ["blends", "ground goat", "minutes"]),
        ("recipe", "{kind: bone, keeps: 3 days}", "{kind: bone, keeps: soon}",
         ["cuts", "bones", "keeps"]),
        ("recipe", "minutes: 9\n", "minutes: -9\n",
         ["pieces", "shoulder", "ways", "trim", "minutes"]),
        ("recipe", "15% to 25%", "15 to 25", ["blends", "ground goat", "fat"]),
        ("scenario", "price: 60/each", "price: abc", ["demand", "leg roast", "price"]),
        ("scenario", "price: 60/each", "price: -60", ["demand", "leg roast", "price"]),
        ("scenario", "price: 60/each", "price: 60/head", ["demand", "leg roast", "price"]),
        ("scenario", "{fri: 2, sat: 3}", "{fri: 2, sat: some}",
         ["demand", "leg roast", "want"]),
        ("scenario", "keeps: 2 days}\nbench", "keeps: soon}\nbench", ["rail", 2, "keeps"]),
        ("scenario", "3 head at 40 lb", "3 head", ["rail", 0, "goat"]),
        ("scenario", "mon: 240", "mon: 4 h", ["bench"]),
        ("scenario", "fri: 25,", "fri: much,", ["traffic", "fri"]),
        ("scenario", "cost: 0.75", "cost: 0.75/min", ["overtime", "cost"]),
        ("scenario", "days: 6\n", "days: 0\n", ["days"]),
        ("scenario", "2026-11-30", "30.11.2026", ["starts"]),
        ("scenario", "unit: lb", "unit: stone", ["unit"]),
        ("scenario", "days: 6\n", "", []),
        ("scenario", "carry: 40%", "carry: 40", ["carry"]),
        ("scenario", "carry: 40%", "carry:", ["carry"]),
        ("scenario", "money:", "mony:", []),
        ("scenario", "[goat.yaml]", "goat.yaml", ["recipes"]),
        ("scenario", "price: 60/each", "price:", ["demand", "leg roast", "price"]),
        ("scenario", "day: fri", "dya: fri", ["demand", "shoulder roast", "orders", 0]),
        ("scenario", "{leg: 2 at 6.1 lb,", "{leg: {a: 1},", ["rail", 2, "leg"]),
        ("scenario", "- all shoulder: boneless roast", "- all shoulder", ["rules", 0]),
        ("scenario", "4 lb", "[4 lb]", ["case", "bones"]),
    ],
)  # fmt: skip
def test_broken_files_do_not_fit_and_the_reader_agrees(shop, kind, old, new, place):
    shop.spoil(kind, (old, new))
    path = shop.recipe if kind == "recipe" else shop.week
    errors = list(Draft202012Validator(schema(kind)).iter_errors(written(path)))
    assert place in [list(each.absolute_path) for each in errors]
    assert shop.problems(kind)


def _maps(node):
    if isinstance(node, dict):
        if "properties" in node and node.get("type") == "object":
            yield node
        for value in node.values():
            yield from _maps(value)


@pytest.mark.parametrize("kind", ["recipe", "scenario", "blends"])
def test_hover_texts_are_in_words_of_the_trade(kind):
    maps = list(_maps(schema(kind)))
    assert len(maps) == len(schema(kind)["$defs"]) + 1 >= 2
    for each in maps:
        assert each["title"] == each["title"].lower() and "shape" not in each["title"]
        for name, field in each["properties"].items():
            assert len(field["description"]) > len(name), name
            assert "\n" not in field["description"]


def test_every_price_says_which_price_it_is():
    prices = [
        field["description"]
        for each in _maps(schema("scenario"))
        for name, field in each["properties"].items()
        if name in ("price", "cost", "disposal")
    ]
    assert len(prices) == len(set(prices)) == 6


READERS = {
    patterns.AMOUNT: measures.read_amount,
    patterns.PRICE: measures.read_price,
    patterns.MONEY: measures.read_money,
    patterns.SHARE: measures.read_share,
    patterns.SHARE_RANGE: measures.read_share_range,
    patterns.DAY_WEIGHT: measures.read_weight_of_day,
    patterns.DAYS: measures.read_days,
    patterns.MINUTES: measures.read_minutes,
    patterns.MINUTES_PER_WEIGHT: measures.read_minutes_per_weight,
    patterns.PORTION: measures.read_portion,
    patterns.LOT_SIZE: measures.read_lot_size,
    patterns.DATE: measures.read_date,
}
WRITTEN = """\
58 lb|26.3 kg|12oz|  500 g |6 LBS|3|.5 lb|2 each|0 lb|22.99/lb|9/each|$22.99/lb|€ 48 / kg|R$9/kg
kr 120/kg|zł 9|22.99|0/lb|11.25%|0 %|0.75|7 days|1 day|5 Days|6|240|16 min|3 MINUTES|0.3 per lb
1 min per kg|0.3/kg|.5minute per lb|8%|2.5|2 at 11.5%|2 AT 5%|2%|15% to 20%|1%to 2%|20%|2026-11-30
3 head at 58 lb|2 at 9.1 lb|up to 2 half carcasses at 27|Up To 2 HEAD AT 60 LB|3head at 58lb"""
REFUSED = ("soon", "abc", "6lb.", "12 stone", "-4 lb", "1,200 lb", "16 h", "2 weeks", "9/head")
PARTS = (
    "0|7|12|.|.5| |%|/|$|€|kr|lb|KG|oz|each|at|up to |head|days|Day|min|minutes|per|to"
    "|-|2026-11-30|,|½|1/2|,5"
)


def _no_less(text):
    """Patterns that a text fits, which are all those whose reader accepts it."""
    fit = {pattern for pattern in READERS if re.search(pattern, text)}
    for pattern, reader in READERS.items():
        try:
            reader(text)
        except ValueError:
            continue
        assert pattern in fit, (text, reader)
    return fit


def test_patterns_accept_what_the_readers_accept_and_little_more():
    fits = {text: _no_less(text) for text in re.split(r"[|\n]", WRITTEN)}
    assert all(any(pattern in fit for fit in fits.values()) for pattern in READERS)
    assert all(fits.values())
    assert fits["9/each"] == fits["zł 9"] == {patterns.PRICE}
    assert fits["3 head at 58 lb"] == {patterns.LOT_SIZE}
    for text in REFUSED:
        assert not _no_less(text), text


@given(st.lists(st.sampled_from(PARTS.split("|")), max_size=7).map("".join))
def test_no_text_that_a_reader_accepts_is_refused_by_its_pattern(text):
    _no_less(text)
