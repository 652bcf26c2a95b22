"""What would mend a shortage or a surplus, in a butcher's words."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from typing import TypeAlias

from planner.ask.main_cut import main_cut
from planner.ask.remedies import WORTH, Imbalance, Remedy
from planner.ask.trim import TrimAnswer
from planner.core.recipe import BY_PRODUCTS, way_of
from planner.core.scenario import Scenario
from planner.core.units import Units
from planner.core.word_lists import and_list
from planner.show.difference import outward
from planner.show.entry_words import plural
from planner.show.layout import WIDTH, clip, wrapped
from planner.solve.size import LONG

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

UNSAFE = set('"$`\\!')
"""Signs that a shell reads inside of quotation marks."""


IN_PARTS = (
    f"Remedies cannot be sought for a period that is planned in parts: make `days` {LONG} or fewer."
)


def mends_text(answer: TrimAnswer, room: int | None = None) -> str:
    """Each shortage and surplus with what mends it, the cheapest first; empty if none was asked.

    Where they take more lines than there is `room` for, only the cheapest of each, and then only
    the first of them.
    """
    scenario = answer.plan.scenario
    if not answer.imbalances:
        over = sum(each.line.wasted for each in answer.weeks)
        short = sum(each.unmet for each in answer.blend_weeks)
        if max(over, short) < WORTH:
            return "Nothing is short, and nothing goes out of date."
        return "\n".join(wrapped(IN_PARTS)) if answer.plan.parts > 1 else ""
    shown = [_mend(scenario, mend, mend.remedies) for mend in answer.imbalances]
    more: list[str] = []
    if room is not None and sum(map(len, shown)) >= room:
        shown = [_mend(scenario, mend, mend.remedies[:1]) for mend in answer.imbalances]
        while sum(map(len, shown)) + len(more) >= room and len(shown) > 1:
            shown.pop()
            more = [f"  and {len(answer.imbalances) - len(shown)} more"]
    return "\n".join(["SHORT AND SURPLUS", *chain.from_iterable(shown), *more])


def _mend(scenario: Scenario, mend: Imbalance, remedies: Sequence[Remedy]) -> list[str]:
    lines = wrapped(f"{_what(scenario, mend)}:", 2)
    if not remedies:
        lines += wrapped(_nothing(scenario, mend), 4)
    for number, remedy in enumerate(remedies):
        lines += wrapped(f"{'or ' if number else ''}{_remedy(scenario, mend, remedy)}", 4)
        lines += _try(remedy)
    return lines


def _what(scenario: Scenario, mend: Imbalance) -> str:
    """`Friday's ground lamb is 4.2 lb short of lean`."""
    weight, name = scenario.units.weight(mend.pounds), clip(mend.what, 50)
    days = ", ".join(
        f"{scenario.day_labels[day]} {scenario.units.weight(pounds)}"
        for day, pounds in mend.by_day
        if pounds >= WORTH / 2
    )
    one = _day(scenario, mend.by_day[0][0]) if len(mend.by_day) == 1 else ""
    if mend.kind == "surplus":
        return f"{weight} of {name} will go out of date {one or f'({days})'}"
    lacks: str = mend.lacks
    if lacks == "trim":  # or fat or bones, by the kind of the blend
        lacks = {"bone": "bones", "fat": "fat"}.get(scenario.blends[mend.what].cut.kind, "trim")
    said = f"{name} {'are' if name.endswith('s') else 'is'} {weight} short{lacks and ' of '}{lacks}"
    told = f"{one}'s {said}" if one else f"{said} ({days})"
    ordered = f", {scenario.units.weight(mend.ordered)} of it ordered"
    return told if mend.ordered < WORTH else f"{told}{ordered}"


def _nothing(scenario: Scenario, mend: Imbalance) -> str:
    """Why there is no remedy."""
    if not mend.asked:
        return "not looked into: out of time"
    said = "no blend and no other way to cut was found that mends it"
    if mend.kind == "short":
        said = "no other way to cut was found that mends it"
    elif not any(mend.what in blend.takes for blend in scenario.blends.values()):
        said = "no blend takes it; no way to cut less of it was found"
    return f"{said} at up to {scenario.show_rate(mend.what, mend.worth)}"


def _day(scenario: Scenario, day: int) -> str:
    when = scenario.date(day)
    name = WEEKDAYS[when.weekday()]
    return name if scenario.days <= len(WEEKDAYS) else f"{name} {when.isoformat()}"


def _remedy(scenario: Scenario, mend: Imbalance, remedy: Remedy) -> str:
    """`grind 2 foreshanks (trim) instead of selling them as whole shank: costs $9.10`."""
    acts = _into(scenario, mend, remedy) if remedy.into else _acts(scenario, mend, remedy)
    weight = scenario.units.weight(remedy.mended)
    part = f" (mends {weight} of it)" if remedy.mended < mend.pounds - WORTH / 2 else ""
    cost = cost_text(remedy.least, remedy.most, scenario.units)
    robbed = and_list(
        [f"{scenario.units.weight(lb)} more of {clip(name, 40)}" for name, lb in remedy.robbed]
    )
    return f"{acts}{part}: {cost}{f'; {robbed} is then short' if robbed else ''}"


def _into(scenario: Scenario, mend: Imbalance, remedy: Remedy) -> str:
    """`render 11.0 lb of it into lard`, `move 3.0 lb of it into lamb sausage (fat 24.0%, ...)`."""
    blend = scenario.blends[remedy.into]
    pounds = sum(lb for cut, into, lb in remedy.moved if (cut, into) == (mend.what, remedy.into))
    verb = "render" if blend.cut.kind == "fat" and blend.loss else "move"
    limits = ""
    if blend.fat[1] < 1:
        now = "" if remedy.fat is None else f"fat then {remedy.fat * 100:.1f}%, "
        limits = f" ({now}limit {blend.fat[1] * 100:.4g}%)"
    weight = scenario.units.weight(pounds)
    return f"{verb} {weight} more of it into {clip(remedy.into, 40)}{limits}"


def _acts(scenario: Scenario, mend: Imbalance, remedy: Remedy) -> str:
    """Pieces cut differently; where there are none, what goes into other blends than now."""
    lifted = [each.text[5:] for each in remedy.changes if each.text.startswith("lift ")]
    if lifted:
        return f'lift the rule "{clip(lifted[0], 60)}"'
    acts = _pieces_cut(scenario, remedy)
    if not acts:
        return _other_grind(scenario, remedy.moved) or "plan with the rules below"
    if mend.kind == "surplus":
        taken = [(cut, into, lb) for cut, into, lb in remedy.moved if cut == mend.what and lb > 0]
        acts += [_other_grind(scenario, taken)] if taken else []
    return "; ".join(acts)


def _pieces_cut(scenario: Scenario, remedy: Remedy) -> list[str]:
    """`grind 2 foreshanks and 1 neck instead of selling them as whole shank and neck slices`.

    Told piece by piece; pieces that are ground instead of sold go together.
    """
    ground, sold_as, others = dict[str, int](), dict[str, None](), []
    for piece in dict.fromkeys(name for name, _, _ in (*remedy.more, *remedy.fewer)):
        more = [(way, count) for name, way, count in remedy.more if name == piece]
        fewer = [(way, count) for name, way, count in remedy.fewer if name == piece]
        names = [_sold_as(scenario, piece, way) for way, _ in fewer]
        if more and all(_is_ground(scenario, piece, way) for way, _ in more) and all(names):
            ground[piece] = sum(count for _, count in more)
            sold_as |= dict.fromkeys(name for name in names if name)
        else:
            others.append(_piece_cut(scenario, piece, more, fewer))
    if not ground:
        return others
    told = and_list([_pieces(piece, count) for piece, count in ground.items()])
    them = "it" if sum(ground.values()) == 1 else "them"
    instead = f" instead of selling {them} as {and_list(list(sold_as))}" if sold_as else ""
    return [f"grind {told}{instead}", *others]


Counts: TypeAlias = Sequence[tuple[str, int]]
"""Ways, and how many are cut so."""


def _piece_cut(scenario: Scenario, piece: str, more: Counts, fewer: Counts) -> str:
    """`cut 1 ham (steaks) instead of boneless`, `grind 1 neck less`."""
    number = sum(count for _, count in more or fewer)
    pieces = _pieces(piece, number)
    ground = all(_is_ground(scenario, piece, way) for way, _ in fewer)
    ways = and_list([clip(way, 30) for way, _ in more or fewer])
    if not more:
        return f"grind {pieces} less" if ground else f"cut {pieces} less ({ways})"
    undone = and_list([clip(way, 30) for way, _ in fewer])
    if fewer and ground:
        undone = f"grinding {'it' if number == 1 else 'them'}"
    return f"cut {pieces} ({ways}){f' instead of {undone}' if fewer else ''}"


def _is_ground(scenario: Scenario, piece: str, name: str) -> bool:
    """Whether a way gives nothing but trim, fat and bones."""
    way = way_of(scenario.recipes, piece, name)
    kinds = {scenario.cuts[given.name].kind for given in way.cuts}
    return not way.pieces and kinds <= set(BY_PRODUCTS)


def _sold_as(scenario: Scenario, piece: str, name: str) -> str | None:
    """The main cut of a way, or what it is called where none stands out; None if it is ground."""
    if _is_ground(scenario, piece, name):
        return None
    way = way_of(scenario.recipes, piece, name)
    return clip(main_cut(scenario, way) or name, 40)


def _pieces(piece: str, count: int) -> str:
    name = clip(piece, 30)
    return f"{count} {name if count == 1 else plural(name)}"


def _other_grind(scenario: Scenario, moved: Sequence[tuple[str, str, float]]) -> str:
    """`put 3.0 lb more fat into lamb sausage, and less into ground lamb`."""
    more: dict[str, list[str]] = {}
    less: dict[str, None] = {}
    for cut, blend, pounds in sorted(moved, key=lambda each: -each[2]):
        if pounds > 0:
            weight = scenario.units.weight(pounds)
            more.setdefault(clip(blend, 40), []).append(f"{weight} more {clip(cut, 30)}")
        else:
            less[clip(blend, 40)] = None
    if not more:
        return f"put less into {and_list(list(less))}" if less else ""
    told = and_list([f"{and_list(cuts)} into {blend}" for blend, cuts in more.items()])
    return f"put {told}{f', and less into {and_list(list(less))}' if less else ''}"


def cost_text(least: float, most: float, units: Units) -> str:
    """`costs $9.10`, `costs $9 to $12`, `earns $0.40`, `between earning $1 and costing $2`."""
    low, high, money = outward(least, most, units)
    if low < 0 < high:
        return f"between earning {money(low)} and costing {money(high)}"
    if low == high == 0:
        return "costs nothing"
    near, far = sorted((low, high), key=abs)
    verb = "costs" if far > 0 else "earns"
    span = money(far) if near == far else f"{money(near)} to {money(far)}" if near else ""
    return f"{verb} {span or f'at most {money(far)}'}"


def _try(remedy: Remedy) -> list[str]:
    """How to see it planned: the command where it fits on a line, else the rules."""
    options = " ".join(f'--{change.kind} "{change.text}"' for change in remedy.changes)
    line = f"      breakplan whatif FILE {options}"
    if len(line) <= WIDTH and not any(UNSAFE & set(change.text) for change in remedy.changes):
        return [line]
    return wrapped(f"rules: {'; '.join(change.text for change in remedy.changes)}", 6)
