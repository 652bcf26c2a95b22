"""The butcher's own decisions."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import cast

from planner.files.setting import Setting
from planner.recipe import Way
from planner.scenario import Rule, Verb
from planner.yamlfile import Place, nearest

_FORM = "write all, never, at least 1 or at most 1, then a piece and a way: never rack: rib chops"


def read_rules(setting: Setting) -> tuple[Rule, ...]:
    """Rules in the order of the file."""
    rules = []
    for place, written in setting.present(("rules",), setting.shape.rules):
        if len(written) != 1:
            setting.document.fault(place, f"one rule on a line, please; {_FORM}")
            continue
        rule = read_rule(setting, place, *next(iter(written.items())))
        if rule:
            rules.append(rule)
    return tuple(rules)


def read_rule(setting: Setting, place: Place, head: str, way: str) -> Rule | None:
    """One rule: `head` is what stands before the colon, `way` what stands behind."""
    found = re.fullmatch(r"(?:(all|never)|(at\s+least|at\s+most)\s+(\d{1,6}))\s+(.+)", head.strip())
    if found is None or (found[1] and _counts(setting, found[4])):
        setting.document.fault(place, f'cannot read the rule "{head}: {way}"; {_FORM}')
        return None
    verb = re.sub(r"\s+", " ", found[1] or found[2])
    name = setting.find(setting.piece_names, place, found[4])
    if name is None:
        return None
    ways = next(recipe.pieces[name].ways for recipe in setting.recipes if name in recipe.pieces)
    if way not in ways:
        setting.document.fault(place, _no_such_way(setting, name, ways, way))
        return None
    return Rule(
        verb=cast(Verb, verb),
        count=int(found[3] or 0),
        piece=name,
        way=way,
        line=setting.document.line(place),
    )


def _counts(setting: Setting, text: str) -> bool:
    """Whether a text is a number before a piece, and not a piece whose name begins with one."""
    if not re.match(r"\d+\s", text):
        return False
    try:
        setting.piece_names.find(text)
    except ValueError:
        return True
    return False


def _no_such_way(setting: Setting, piece: str, ways: Mapping[str, Way], text: str) -> str:
    """What to say to a text that is no way to cut a piece, perhaps the name of what one gives."""
    known = f"({', '.join(ways)})"
    try:
        thing = setting.cut_names.find(text)
    except ValueError:
        return f'no way called "{text}" to cut a {piece}{nearest(text, ways)} {known}'
    giving = [
        f'"{name}"' for name, way in ways.items() if any(each.name == thing for each in way.cuts)
    ]
    if not giving:
        return f"{thing} is a cut, and no way to cut a {piece} gives it {known}"
    verb = "way that gives it is" if len(giving) == 1 else "ways that give it are"
    return f"{thing} is a cut; the {verb} {' and '.join(giving)}"
