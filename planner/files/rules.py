"""The butcher's own decisions."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import cast

from planner.core import quantities as measures
from planner.core.recipe import Way, recipe_with
from planner.core.scenario import GrindRule, Rule, Verb
from planner.core.spelling import nearest
from planner.files.context import Setting
from planner.files.yamlfile import Place

_FORM = (
    "write all, never, at least 1 or at most 1, then a piece and a way: never rack: rib chops; "
    "or, for the grind, at least 4 lb trim 85: lamb sausage"
)
_UNITS = (*measures.POUNDS, "lbs", "each")


def read_rules(setting: Setting) -> tuple[Rule | GrindRule, ...]:
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


def read_rule(setting: Setting, place: Place, head: str, way: str) -> Rule | GrindRule | None:
    """One rule: `head` is what stands before the colon, `way` what stands behind."""
    grind = _grind_rule(setting, place, head, way)
    if grind or setting.document.unsure_within(place):
        return grind
    found = re.fullmatch(r"(?:(all|never)|(at\s+least|at\s+most)\s+(\d{1,6}))\s+(.+)", head.strip())
    if found is None or (found[1] and _counts(setting, found[4])):
        setting.document.fault(place, f'cannot read the rule "{head}: {way}"; {_FORM}')
        return None
    verb = re.sub(r"\s+", " ", found[1] or found[2])
    name = setting.find(setting.piece_names, place, found[4])
    if name is None:
        return None
    ways = recipe_with(setting.recipes, name).pieces[name].ways
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


def _grind_rule(setting: Setting, place: Place, head: str, way: str) -> GrindRule | None:
    """A rule on what goes into a blend; None where none is meant, or where a fault was found.

    One is meant where a cut stands before the colon, or a blend behind it.
    """
    verb = re.match(r"(all|never|at\s+least|at\s+most)\s+", head.strip())
    if verb is None:
        return None
    rest, written = head.strip()[verb.end() :], ""
    if verb[1].startswith("at"):
        amount = _amount(setting, rest)
        if amount is None:
            return None
        written, rest = amount
    if way in setting.unread:  # told there
        setting.document.doubt(place)
        return None
    blend = setting.blend_named(way)
    cuts = setting.cut_names
    takers = [
        name
        for name, each in setting.blends.items()
        if cuts.known(rest) and cuts.find(rest) in each.takes
    ]
    weighed = " " in written
    meant = blend or takers or weighed or way in setting.aside or cuts.ambiguous(rest)
    if (setting.piece_names.known(rest) and not weighed) or not meant:
        return None
    if way in setting.aside:
        setting.document.fault(place, setting.aside[way])
        return None
    cut = setting.find(cuts, place, rest)
    if cut is None:
        return None
    if blend is None and not setting.recipes_are_known:
        setting.document.doubt(place)
        return None
    if blend is None or cut not in blend.takes:
        setting.document.fault(place, _does_not_go(setting, cut, way, takers, blend is not None))
        return None
    read = setting.attempt(place, lambda: setting.units.read(written or "0", False, cut))
    if read is None:
        return None
    return GrindRule(
        verb=cast(Verb, re.sub(r"\s+", " ", verb[1])),
        pounds=read.amount,
        cut=cut,
        blend=blend.cut.name,
        written=written if weighed else f"{written} {setting.shape.unit}",
        line=setting.document.line(place),
    )


def _amount(setting: Setting, text: str) -> tuple[str, str] | None:
    """The amount before a cut, and the cut; a word between them that is no part of it is a unit."""
    found = re.fullmatch(r"([0-9.]+)(?:\s+|(?=[A-Za-z]))(\w.*)", text)
    if found is None:
        return None
    number, name = found[1], found[2]
    word, _, behind = name.partition(" ")
    cuts = setting.cut_names
    is_unit = word.isalpha() and cuts.known(behind) and not cuts.known(name)
    if word.lower() in _UNITS or is_unit:
        return f"{number} {word}", behind.strip()
    return number, name


def _does_not_go(
    setting: Setting, cut: str, way: str, takers: Sequence[str], is_blend: bool
) -> str:
    """What to say to a cut that does not go into what stands behind the colon."""
    if cut in setting.blends:
        return f"{cut} is a blend; write what goes in before the colon, the blend behind it"
    into = f"goes into {', '.join(takers)}" if takers else "goes into no blend"
    if is_blend:
        return f"{cut} does not go into {way}; it {into}"
    own = {name: blend.cut.known_as for name, blend in setting.blends.items()}
    near = nearest(way, setting.blends, own)
    return f'no blend called "{way}"{near}; {cut} {into}'


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
