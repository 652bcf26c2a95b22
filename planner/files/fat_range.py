"""Which fat shares a mixture can have whose parts have limits."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from planner.core.recipe import Blend, Cut

SAME = 1e-8
"""Shares closer than this are the same."""

Range = tuple[float, float]


def impossible(blend: Blend, cuts: Mapping[str, Cut]) -> str | None:
    """Why no mixture keeps the limits of a blend; None if one does.

    Limits are those of one cut or of all cuts of a species, so they lie inside one another and
    the leanest mixture is found greedily: what each limit forces, then the leanest that is left.

    Parameters
    ----------
    blend : Blend
    cuts : mapping of str to Cut
        What it takes, by name.
    """
    fats = {name: cuts[name].fat for name in blend.takes}
    kinds = _groups(blend, cuts)
    leanest = _share(blend, kinds, lambda name: fats[name] or 0.0)
    if leanest is None:
        return f"no mixture for {blend.cut.name} keeps all limits on what goes in"
    low, high = blend.fat
    if low <= 0 and high >= 1:
        return None
    fattest = 0.0 - (_share(blend, kinds, lambda name: -(fats[name] or 0.0)) or 0.0)  # never -0
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


def _groups(blend: Blend, cuts: Mapping[str, Cut]) -> Mapping[str, Sequence[str]]:
    species = dict.fromkeys(cuts[name].species for name in blend.takes)
    return {each: [name for name in blend.takes if cuts[name].species == each] for each in species}


def _within(blend: Blend, takes: Sequence[str]) -> Range:
    """Least and most share of some cuts together, by the limits on exactly these."""
    limits = [each for each in blend.limits if set(each.takes) == set(takes)]
    least = max((each.least for each in limits), default=0.0)
    return least, min((each.most for each in limits), default=1.0)


def _share(
    blend: Blend, groups: Mapping[str, Sequence[str]], fat: Callable[[str], float]
) -> float | None:
    """The least of a measure that a mixture can have; None where there is no mixture."""
    part = {name: _within(blend, [name]) for name in blend.takes}
    if any(least > most + SAME for least, most in part.values()):
        return None
    share = {name: least for name, (least, _) in part.items()}
    room = {}
    for species, names in groups.items():
        least, most = _within(blend, names)
        if not _fill(share, part, sorted(names, key=fat), least - sum(share[n] for n in names)):
            return None
        room[species] = most - sum(share[name] for name in names)
    left = 1.0 - sum(share.values())
    if left < -SAME or any(each < -SAME for each in room.values()):
        return None
    species_of = {name: species for species, names in groups.items() for name in names}
    for name in sorted(blend.takes, key=fat):
        more = max(0.0, min(left, part[name][1] - share[name], room[species_of[name]]))
        share[name] += more
        room[species_of[name]] -= more
        left -= more
    return sum(share[name] * fat(name) for name in share) if left <= SAME else None


def _fill(
    share: dict[str, float], part: Mapping[str, Range], names: Sequence[str], wanted: float
) -> bool:
    """Raise shares in turn until `wanted` more is reached; whether it could be."""
    for name in names:
        more = max(0.0, min(wanted, part[name][1] - share[name]))
        share[name] += more
        wanted -= more
    return wanted <= SAME
