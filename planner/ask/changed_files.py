"""What the files of the shop say otherwise than when a plan was kept: wants, prices, yields."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from typing import Any, TypeAlias

from planner.ask.change_base import WORTH, ChangedFact, Kind, ThenAndNow, pieces_of
from planner.core.stock_replay import DUST
from planner.shop.plans.facts import Facts, differences
from planner.shop.plans.posted import KeptPieces

MINUTES = 5.0
"""Minutes of bench from which on another bench is told where the list stays as it is."""

POINT = 0.01
"""A share that a way gives is another from here on."""

Changes: TypeAlias = Iterator[ChangedFact]

Tell: TypeAlias = Callable[[ThenAndNow, tuple[str, ...], Any, Any], Changes]
"""Tells what is otherwise: the names that lead to it, what it was and is."""


def rewritten(both: ThenAndNow) -> Changes:
    """What the files, and what is learned, say otherwise: all of it that is worth telling."""
    then, now = both.facts_then, both.facts
    for kind, (depth, tell) in _TOLD.items():
        if kind in then:  # a plan of an older version may not have it
            found = differences(then[kind], now[kind], depth)
            for names, before, after in sorted(found) if kind == "rule" else found:
                yield from tell(both, names, before, after)


def same_files(both: ThenAndNow) -> bool | None:
    """Whether nothing at all is otherwise by the files; None where too little of them was kept."""
    then = both.facts_then
    if any(differences(then, {kind: both.facts[kind] for kind in then}, 2)):
        return False
    return True if _TOLD.keys() <= then.keys() else None


def small(fact: ChangedFact) -> bool:
    """Whether a fact is told only where the list changes: a few minutes of bench."""
    off = not fact.before or not fact.after
    return fact.kind == "bench" and not off and abs(fact.after - fact.before) < MINUTES


def _rule(_: ThenAndNow, names: tuple[str, ...], before: Any, after: Any) -> Changes:
    yield ChangedFact("rule", names[0], bool(before), bool(after))


def _bench(both: ThenAndNow, names: tuple[str, ...], before: Any, after: Any) -> Changes:
    (name,) = names
    if name == "limit":
        yield ChangedFact("shop", "bench", bool(before), bool(after))
    elif both.facts_then["bench"].get("limit") and both.facts["bench"].get("limit"):
        one, two = before or 0.0, after or 0.0
        money = abs(two - one) * max(both.now.overtime_cost, WORTH / 2)
        if abs(two - one) > DUST:
            yield ChangedFact("bench", "", one, two, date.fromisoformat(name), money=money)


def _want(both: ThenAndNow, names: tuple[str, ...], before: Any, after: Any) -> Changes:
    name, one, two = both.called(names[0]), before or {}, after or {}
    more = sum(abs(two.get(day, 0.0) - one.get(day, 0.0)) for day in {**one, **two})
    money = both.now.price(name) * more
    if name in both.now.cuts and money >= WORTH:
        yield ChangedFact("want", name, sum(one.values()), sum(two.values()), money=money)


def _price(both: ThenAndNow, names: tuple[str, ...], before: Any, after: Any) -> Changes:
    name = both.called(names[0])
    if before and after and abs(after - before) >= WORTH / 100:
        want = sum(both.week.demand_for(name).want)
        yield ChangedFact("price", name, before, after, money=abs(after - before) * want)


def _yield(both: ThenAndNow, names: tuple[str, ...], before: Any, after: Any) -> Changes:
    """Ways that are gone, and those of the list, or of today's pieces, that give otherwise."""
    full, way = names
    piece = both.called(full)
    if not after:
        yield ChangedFact("way", piece, 1, 0, way=way)
    elif before:
        listed = sum(each.pounds for each in both.kept.breaks if each.piece == full)
        pounds = max(listed, pieces_of(both.stand).get(piece, KeptPieces()).pounds)
        for given in {**before, **after}:
            one, two = before.get(given, 0.0), after.get(given, 0.0)
            money = abs(two - one) * pounds * both.price_of(given)
            if abs(two - one) >= POINT and money >= WORTH:
                gives = both.called(given)
                yield ChangedFact("yield", piece, one, two, way=way, gives=gives, money=money)


def _setting(kind: Kind, of: str = "") -> Tell:
    """Tells of a setting; of a thing that is new, or gone, its days, minutes and costs are no news.

    `of` is the group in which it stands whether there is that thing.
    """

    def tell(both: ThenAndNow, names: tuple[str, ...], before: Any, after: Any) -> Changes:
        if of and not all(_has(facts[of], names) for facts in (both.facts_then, both.facts)):
            return
        offered = kind.startswith("offer")
        day = date.fromisoformat(names[0]) if offered else None
        what, way = both.called(names[offered]), names[1] if kind == "minutes" else ""
        yield ChangedFact(kind, what, float(before or 0), float(after or 0), day, way)

    return tell


def _has(facts: Facts, names: tuple[str, ...]) -> bool:
    found: Any = facts
    for name in names:
        found = found.get(name) if isinstance(found, Mapping) else None
    return bool(found)


_TOLD: Mapping[Kind, tuple[int, Tell]] = {
    "rule": (1, _rule),
    "bench": (1, _bench),
    "want": (1, _want),
    "price": (1, _price),
    "yield": (2, _yield),
    "shop": (1, _setting("shop")),
    "keeps": (1, _setting("keeps", "keeps")),
    "minutes": (2, _setting("minutes", "yield")),
    "markdown": (1, _setting("markdown")),
    "markdown want": (1, _setting("markdown want")),
    "offer": (2, _setting("offer")),
    "offer cost": (2, _setting("offer cost", "offer")),
}
"""Groups of facts: how many names lead to what is told at once, and how it is told."""
