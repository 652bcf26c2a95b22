"""The butcher's own decisions."""

from __future__ import annotations

import re
from functools import partial
from typing import cast

from planner.core import quantities as measures
from planner.core.recipe import recipe_with
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
        (pair,) = written.items()
        rule = setting.attempt(place, partial(read_rule, setting, place, *pair))
        if rule:
            rules.append(rule)
    return tuple(rules)


def read_rule(setting: Setting, place: Place, head: str, way: str) -> Rule | GrindRule | None:
    """One rule: `head` is what stands before the colon, `way` what stands behind.

    None where it names what is not known, or is faulty itself; `ValueError` for what is wrong.
    """
    cannot = ValueError(f'cannot read the rule "{head}: {way}"; {_FORM}')
    found = re.fullmatch(r"(all|never|at\s+least|at\s+most)\s+(.+)", head.strip())
    if found is None:
        raise cannot
    verb = cast(Verb, " ".join(found[1].split()))
    counted = verb.startswith("at")
    parts = _amount(setting, found[2]) if counted else ("", found[2])
    if parts is None:
        raise cannot
    amount, thing = parts
    if way in setting.unread:  # told there
        setting.document.doubt(place)
        return None
    meant = _takers(setting, thing) or setting.blend_named(way) or way in setting.aside
    meant = meant or setting.cut_names.ambiguous(thing)
    if " " in amount or (meant and not setting.piece_names.known(thing)):
        return _grind_rule(setting, place, verb, amount, thing, way)
    if counted and not re.fullmatch(r"\d{1,6}", amount):
        raise cannot
    if not counted and re.match(r"\d+\s", thing) and not setting.piece_names.known(thing):
        raise cannot
    piece = setting.find(setting.piece_names, place, thing)
    if piece is None:
        return None
    _stop_unless_way(setting, piece, way)
    return Rule(verb, int(amount or 0), piece, way, setting.document.line(place))


def _takers(setting: Setting, text: str) -> list[str]:
    """The blends that take a cut; none of what is no cut."""
    cut = setting.cut_names.find(text) if setting.cut_names.known(text) else None
    return [name for name, each in setting.blends.items() if cut in each.takes]


def _grind_rule(
    setting: Setting, place: Place, verb: Verb, amount: str, thing: str, way: str
) -> GrindRule | None:
    """A rule on what goes into a blend: a cut stands before the colon, or a blend behind it."""
    if way in setting.aside:
        raise ValueError(setting.aside[way])
    cut, blend = setting.find(setting.cut_names, place, thing), setting.blend_named(way)
    if cut is None:
        return None
    if blend is None and not setting.recipes_are_known:
        setting.document.doubt(place)
        return None
    if blend is None or cut not in blend.takes:
        raise ValueError(_does_not_go(setting, cut, way, blend is not None))
    read = setting.units.read(amount or "0", False, cut)
    return GrindRule(
        verb=verb,
        pounds=read.amount,
        cut=cut,
        blend=blend.cut.name,
        written=amount if " " in amount else f"{amount} {setting.shape.unit}",
        line=setting.document.line(place),
    )


def _amount(setting: Setting, text: str) -> tuple[str, str] | None:
    """The amount before a cut, and the cut; a word between them that is no part of it is a unit."""
    found = re.fullmatch(r"([0-9.]+)(?:\s+|(?=[A-Za-z]))(\S.*)", text)
    if found is None:
        return None
    number, name = found[1], found[2]
    word, _, behind = name.partition(" ")
    cuts = setting.cut_names
    is_unit = word.isalpha() and cuts.known(behind) and not cuts.known(name)
    if word.lower() in _UNITS or is_unit:
        return f"{number} {word}", behind.strip()
    return number, name


def _does_not_go(setting: Setting, cut: str, way: str, is_blend: bool) -> str:
    """What to say to a cut that does not go into what stands behind the colon."""
    if cut in setting.blends:
        return f"{cut} is a blend; write what goes in before the colon, the blend behind it"
    takers = _takers(setting, cut)
    into = f"goes into {', '.join(takers)}" if takers else "goes into no blend"
    if is_blend:
        return f"{cut} does not go into {way}; it {into}"
    own = {name: blend.cut.known_as for name, blend in setting.blends.items()}
    return f'no blend called "{way}"{nearest(way, setting.blends, own)}; {cut} {into}'


def _stop_unless_way(setting: Setting, piece: str, text: str) -> None:
    """Raise `ValueError` for what is no way to cut a piece, perhaps the name of what one gives."""
    ways = recipe_with(setting.recipes, piece).pieces[piece].ways
    if text in ways:
        return
    known = f"({', '.join(ways)})"
    if not setting.cut_names.known(text):
        raise ValueError(f'no way called "{text}" to cut a {piece}{nearest(text, ways)} {known}')
    thing = setting.cut_names.find(text)
    giving = [
        f'"{name}"' for name, way in ways.items() if any(each.name == thing for each in way.cuts)
    ]
    if not giving:
        raise ValueError(f"{thing} is a cut, and no way to cut a {piece} gives it {known}")
    verb = "way that gives it is" if len(giving) == 1 else "ways that give it are"
    raise ValueError(f"{thing} is a cut; the {verb} {' and '.join(giving)}")
