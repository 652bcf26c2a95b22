"""Which fat shares a mixture can have whose parts have limits."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from planner.core.recipe import Blend, Cut

SAME = 1e-8
"""Shares closer than this are the same."""


def impossible(blend: Blend, cuts: Mapping[str, Cut]) -> str | None:
    """Why no mixture keeps the limits of a blend; None if one does.

    Limits are those of one cut or of all cuts of a species, so they lie inside one another and
    the leanest mixture is found greedily: what each limit forces, then the leanest that is left.
    """
    fats = {name: cuts[name].fat for name in blend.takes}
    leanest = _share(blend, cuts, lambda name: fats[name] or 0.0)
    if leanest is None:
        return f"no mixture for {blend.cut.name} keeps all limits on what goes in"
    low, high = blend.fat
    if low <= 0 and high >= 1:
        return None
    fattest = 0.0 - (_share(blend, cuts, lambda name: -(fats[name] or 0.0)) or 0.0)  # never -0
    if leanest <= high + SAME and fattest >= low - SAME:
        return None
    return (
        f"no mixture for {blend.cut.name} reaches {_range(low, high)} of fat: "
        f"its trims have {_range(leanest, fattest)}"
    )


def limits_clash(blend: Blend, cuts: Mapping[str, Cut]) -> bool:
    """Whether it is not the fat, but the other limits, that no mixture keeps."""
    return impossible(replace(blend, fat=(0.0, 1.0)), cuts) is not None


def _range(low: float, high: float) -> str:
    least, most = (f"{each * 100:.4g}%" for each in (low, high))
    return least if least == most else f"{least} to {most}"


def _within(blend: Blend, takes: Sequence[str]) -> tuple[float, float]:
    """Least and most share of some cuts together, by the limits on exactly these."""
    limits = [each for each in blend.limits if set(each.takes) == set(takes)]
    least = max((each.least for each in limits), default=0.0)
    return least, min((each.most for each in limits), default=1.0)


def _share(blend: Blend, cuts: Mapping[str, Cut], fat: Callable[[str], float]) -> float | None:
    """The least of a measure that a mixture can have; None where there is no mixture."""
    species = {name: cuts[name].species for name in blend.takes}
    alike = {name: [each for each in species if species[each] == species[name]] for name in species}
    part = {name: _within(blend, [name]) for name in blend.takes}
    most = {name: _within(blend, names)[1] for name, names in alike.items()}
    share = {name: least for name, (least, _) in part.items()}

    def room(name: str) -> float:
        of_species = most[name] - sum(share[each] for each in alike[name])
        return min(part[name][1] - share[name], of_species)

    def filled(names: Sequence[str], wanted: float) -> bool:
        """Raise shares, the least fat first, until `wanted` more is reached, if it can be."""
        for name in sorted(names, key=fat):
            more = max(0.0, min(wanted, room(name)))
            share[name] += more
            wanted -= more
        return abs(wanted) <= SAME

    if any(room(name) < -SAME for name in blend.takes):
        return None
    for names in alike.values():
        least = _within(blend, names)[0] - sum(share[name] for name in names)
        if not filled(names, max(0.0, least)):
            return None
    whole = filled(blend.takes, 1.0 - sum(share.values()))
    return sum(share[name] * fat(name) for name in share) if whole else None
