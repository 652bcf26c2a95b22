"""One rule for names in files and in the journal: short, on one line, every sign seen."""

import json
from datetime import date

import pytest

from planner.core.name_rules import NAME_LENGTH, PLAIN_LENGTH, SPECIES_LENGTH
from planner.core.signs import shown_line
from planner.core.units import Quantity
from planner.journal.checks import check_entry
from planner.journal.entries import OrderTaken

MON = date(2026, 11, 30)

HIDDEN = {
    "001B": "\\e",  # escape: told by YAML's reader itself
    "000A": "\\n",
    "0009": "\\t",
    "0085": "\\N",
    "202E": "\\u202e",  # turns the writing
    "2066": "\\u2066",
    "200B": "\\u200b",  # no width
    "200D": "\\u200d",
    "2060": "\\u2060",
    "00AD": "\\u00ad",
    "00A0": "\\u00a0",  # looks like a space
    "3164": "\\u3164",  # a letter that is drawn as nothing
    "FE0F": "\\ufe0f",
    "E0041": "\\U000e0041",  # a tag
    "E000": "\\ue000",  # private use
}
PLACES = {
    "species": ("recipe", "species: goat", 'species: "go{}at"'),
    "piece": ("recipe", "  shoulder:\n", '  "shoul{}der":\n'),
    "way": ("recipe", "      whole:", '      "who{}le":'),
    "cut": ("recipe", "  leg roast:", '  "leg{} roast":'),
    "blend": ("recipe", "  ground goat:", '  "ground{} goat":'),
    "own blend": (
        "scenario",
        "rules:",
        'blends:\n  "mi{}x": {{from: [trim 85], keeps: 1}}\nrules:',
    ),
    "buyer": ("scenario", "for: the corner bistro", 'for: "the{} bistro"'),
}


@pytest.mark.parametrize("code", HIDDEN)
@pytest.mark.parametrize("place", PLACES)
def test_a_sign_that_nobody_sees_is_told_with_its_line_and_code_point(shop, place, code):
    kind, old, new = PLACES[place]
    written = new.format(HIDDEN[code])
    shop.spoil(kind, (old, written))
    line = shop.line(kind, written.lstrip("blends:\n") if "blends" in written else written)
    told = [each for each in shop.problems(kind) if f"U+{code}" in each.message]
    assert [(each.file, each.line) for each in told] == [
        ("goat.yaml" if kind == "recipe" else "week.yaml", line)
    ]
    assert all(each.message.isprintable() for each in shop.problems(kind))


@pytest.mark.parametrize("code", [code for code in HIDDEN if code not in ("001B", "0085")])
def test_the_journal_has_the_same_rule(code):
    with pytest.raises(ValueError, match=rf"the buyer .* U\+{code} "):
        check_entry(OrderTaken(MON, "bones", Quantity(1.0), f"the {chr(int(code, 16))}inn"))


@pytest.mark.parametrize(
    ("place", "most"),
    [("species", SPECIES_LENGTH), ("piece", PLAIN_LENGTH), ("way", PLAIN_LENGTH)]
    + [("cut", PLAIN_LENGTH), ("blend", PLAIN_LENGTH), ("buyer", NAME_LENGTH)],
)
def test_the_longest_name(shop, place, most):
    kind, old, new = PLACES[place]
    rest = len(new.format("").split('"')[1])
    shop.spoil(kind, (old, new.format("x" * (most - rest + 1))))
    line = shop.line(kind, new.split("{")[0].strip())
    [told] = [each for each in shop.problems(kind) if "characters" in each.message]
    assert told.line == line
    assert f"has {most + 1} characters, {most} at most" in told.message


def test_a_name_with_its_species_in_front_fits_into_the_journal():
    assert SPECIES_LENGTH + 1 + PLAIN_LENGTH == NAME_LENGTH


def test_names_of_other_languages_pass(shop):
    shop.spoil("scenario", ("the corner bistro", "'Café Zoë e\u0301, 肉屋 № 3 🐑 – «Ørn»'"))
    assert shop.problems("scenario") == []
    assert shown_line("Café Zoë e\u0301, 肉屋 № 3 🐑") == "Café Zoë e\u0301, 肉屋 № 3 🐑"


@pytest.mark.parametrize("sign", ["\x1b", "\u200b", "\u202e", "\U000e0041", "\u3164"])
def test_hidden_signs_do_not_reach_a_terminal(sign):
    shown = json.dumps(sign)[1:-1]  # an escape is that of JSON
    assert shown_line(f"a{sign}b") == f"a{shown}b"
