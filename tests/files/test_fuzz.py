"""Good files with random slips in them: readers give a result or the faults, nothing else."""

import random
import re
from pathlib import Path

import pytest

from planner.core.errors import InputError
from planner.core.recipe import Recipe
from planner.core.scenario import Scenario
from planner.files.find import shipped_folder
from planner.files.recipe_file import read_recipe
from planner.files.scenario_file import read_scenario

ROUNDS, EACH = 40, 50  # 2,000 files; a round is one test, to be spread over the cores

ODD_VALUES = [
    "", " ", "-", "~", "null", "no", "0", "-1", "1e999", ".inf", ".nan", "9" * 400, "0." + "1" * 99,
    "0x1F", "1_000", "1,5 lb", "6lb.", "12 stone", "100%", "1000%", "-5%", "1 at 100%",
    "99999 at 1%", "0 days", "9999999 days", "0001-01-01", "9999-12-31", "2026-02-30", "mon",
    "friday", "head", "up to 9 head at 9 lb", "3 head at 1e9 lb", "*a", "&a 1", "!!int 3", "!x",
    "<<", "? ", "@x", "%x", '"', "'", "[", "]", "{", "}", "[]", "{}", "[[]]", "{a: {b: {c: [1]}}}",
    "|", ">", "#", "\\", '"\\ud800"', '"\\0"', '"\\e[2J"', '"a\\nb"', "e\u0301\u202e\u200b",
    "\U0001f411", "\u0663\u0665 lb", "\uff12 lb", "\u2028", "\ufeff", "\x00", "\x85", "\ud800",
    "loss", "each", "lamb", "walk-in", "a" * 3000,
]  # fmt: skip
TOKEN = re.compile(r"[^\s{}\[\],:#\"]+(?: [^\s{}\[\],:#\"]+)*")


def flip_bytes(text, pick):
    raw = bytearray(text.encode("utf-8", "surrogatepass"))
    for _ in range(pick.randint(1, 4)):
        raw[pick.randrange(len(raw))] = pick.randrange(256)
    return bytes(raw)


def drop_or_insert_bytes(text, pick):
    raw = text.encode("utf-8", "surrogatepass")
    at = pick.randrange(len(raw))
    new = pick.choice([b"", b"\t", b" ", b":", b": ", b"-", b"\n", b'"', b"'", b"{", b"]", b"\xff"])
    return raw[:at] + new + raw[at + pick.randint(0, 3) :]


def cut_off(text, pick):
    return text[: pick.randrange(1, len(text))].encode("utf-8", "surrogatepass")


def lines_moved(text, pick):
    lines = text.split("\n")
    a, b = pick.randrange(len(lines)), pick.randrange(len(lines))
    match pick.randrange(5):
        case 0:
            del lines[a]
        case 1:
            lines.insert(b, lines[a])
        case 2:
            lines[a], lines[b] = lines[b], lines[a]
        case 3:
            lines[a] = pick.choice([" ", "  ", "\t", "- ", "# "]) + lines[a]
        case _:
            lines[a] = lines[a][1:]
    return "\n".join(lines)


def value_replaced(text, pick):
    token = pick.choice(list(TOKEN.finditer(text)))
    return text[: token.start()] + pick.choice(ODD_VALUES) + text[token.end() :]


def values_swapped(text, pick):
    a, b = sorted(pick.sample(list(TOKEN.finditer(text)), 2), key=lambda token: token.start())
    return text[: a.start()] + b[0] + text[a.end() : b.start()] + a[0] + text[b.end() :]


def values_dropped(text, pick):
    token = pick.choice(list(TOKEN.finditer(text)))
    return text[: token.start()] + text[token.end() :]


def digits_changed(text, pick):
    number = pick.choice(list(re.finditer(r"\d+", text)))
    new = str(pick.choice([0, 1, 7, 10**9, 10**30, pick.randrange(1000)]))
    return text[: number.start()] + new + text[number.end() :]


def nested_deep(text, pick):
    token = pick.choice(list(TOKEN.finditer(text)))
    depth = pick.choice([2, 20, 40, 2000])
    first, last = pick.choice([("[", "]"), ("{a: ", "}"), ("\n- ", ""), ("{? ", "}")])
    return text[: token.start()] + first * depth + token[0] + last * depth + text[token.end() :]


MUTATIONS = [
    flip_bytes,
    drop_or_insert_bytes,
    cut_off,
    lines_moved,
    value_replaced,
    values_swapped,
    values_dropped,
    digits_changed,
    nested_deep,
]


def mutated(text, pick):
    """A text with one to three slips, as the bytes of a file."""
    for _ in range(pick.choice([1, 1, 1, 2, 3])):
        try:
            changed = pick.choice(MUTATIONS)(text, pick)
        except (IndexError, ValueError):  # nothing of that kind is left to be spoilt
            continue
        if isinstance(changed, bytes):
            return changed
        text = changed
    return text.encode("utf-8", "surrogatepass")


def read_or_faults(read, path, files):
    """The result of a reader, or its problems; anything else fails the test."""
    try:
        result, odd = read(path, path.name)
    except InputError as error:
        result, odd = None, list(error.problems)
    for problem in odd:
        name = Path(problem.file).name
        assert name in files, problem
        lines = len(files[name].read_bytes().splitlines())
        assert 0 <= problem.line <= lines + 1, problem
        assert problem.message.isprintable() and 5 < len(problem.message) < 320, problem
    assert result or odd
    return result, odd


@pytest.mark.parametrize("number", range(ROUNDS))
def test_a_spoilt_file_gives_a_result_or_its_faults(shop, number):
    pick = random.Random(number)
    lamb = shop.folder / "lamb.yaml"
    lamb.write_text((shipped_folder("recipes") / "lamb.yaml").read_text())
    corner = shop.folder / "corner.yaml"
    corner.write_text((shipped_folder("scenarios") / "corner-shop.yaml").read_text())
    corner.write_text(corner.read_text().replace("[lamb]", "[lamb.yaml]"))
    files = {path.name: path for path in (shop.recipe, shop.week, lamb, corner)}
    targets = pick.choices([shop.recipe, shop.week, lamb, corner], [10, 20, 2, 2], k=EACH)
    beyond_syntax = 0
    for path in targets:
        good = path.read_bytes()
        path.write_bytes(mutated(good.decode(), pick))
        is_recipe = path in (shop.recipe, lamb)
        result, told = read_or_faults(read_recipe if is_recipe else read_scenario, path, files)
        if path == shop.recipe:  # a scenario on a spoilt recipe
            read_or_faults(read_scenario, shop.week, files)
        assert result is None or isinstance(result, Recipe if is_recipe else Scenario)
        beyond_syntax += any("not YAML" not in each.message for each in told)
        path.write_bytes(good)
    assert beyond_syntax > EACH // 5, "most slips are small enough to reach the later checks"
