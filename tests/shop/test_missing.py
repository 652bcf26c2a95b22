"""Where nothing can be planned, what is missing is said, with the commands that enter it."""

from __future__ import annotations

import json
import re
import shlex
from datetime import date

import pytest

from tests.commands.test_week_in_shop import Block
from tests.planning import read
from tests.shops import shop_folder

FRI = date(2026, 12, 4)


@pytest.fixture
def empty(tmp_path, breakplan, clock_at):
    """A shop with nothing in its journal, and nothing wanted."""
    folder = shop_folder(tmp_path / "mine")
    path = folder / "shop.yaml"
    text = path.read_text()
    path.write_text(f"{text[: text.index('demand:')]}demand: {{loin chops: {{price: 9/lb}}}}")
    found = Block(folder, breakplan, clock_at)
    found.today(FRI)
    return found


def commands_in(text):
    return [shlex.split(each) for each in re.findall(r"breakplan (journal .*|counts)$", text, re.M)]


def test_an_empty_shop_says_what_to_enter_and_how(empty):
    text = empty.text("--look")
    assert "Nothing is on the rail, in the cooler or in the case" in text
    hints = empty.json("--look")["hints"]
    assert all(" ".join(each.split()) in " ".join(text.split()) for each in hints)
    assert "$0.00" in text
    sheet = empty.run("morning", "--shop", empty.folder, "--look")
    assert "Nothing is on the rail" in sheet.out
    told = empty.run("morning", "--shop", empty.folder, "--look", "--json").out
    assert json.loads(told)["hints"] == hints


def test_the_commands_it_names_do_it(empty):
    for words in commands_in("\n".join(empty.json("--look")["hints"])):
        if words[0] == "journal":
            empty.run(*words, "--shop", empty.folder, "--yes")
    plan = empty.json("--look")
    assert "hints" not in plan
    assert sum(each["count"] for each in plan["breaks"])


def test_a_shop_with_wants_and_no_meat_is_told_of_the_meat_alone(tmp_path, breakplan, clock_at):
    block = Block(shop_folder(tmp_path / "mine"), breakplan, clock_at)
    block.today(FRI)
    hints = " ".join(block.json("--look")["hints"])
    assert "delivery lamb carcass" in hints
    assert "wanted" not in hints


@pytest.mark.parametrize("species", ["lamb", "hog", "beef", "veal", "goat"])
def test_every_shipped_species_is_delivered_as_it_says(species, tmp_path, breakplan, clock_at):
    folder = tmp_path / "shop"
    assert breakplan("start", folder, "--species", species).code == 0
    clock_at(FRI)
    hints = json.loads(breakplan("week", "--shop", folder, "--look", "--json").out).get("hints", [])
    for words in commands_in("\n".join(hints)):
        if words[0] == "journal":
            assert breakplan(*words, "--shop", folder, "--yes").code == 0


def test_a_file_without_anything_says_what_to_write(shop):
    text = shop.week.read_text()
    bare = text[: text.index("rail:")] + "rail: []\n"
    shop.week.write_text(bare)
    from planner.show.missing import missing_words

    said = " ".join(missing_words(read(shop.week)))
    assert "under rail" in said
    assert "Nothing is wanted" in said
    assert "breakplan" not in said
