"""Random blends as plain dicts, with limits that some mixture keeps."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from hypothesis import strategies as st


@dataclass(frozen=True)
class Source:
    """Something that may go into a blend: as it is written there, and with its species."""

    name: str
    long: str
    species: str
    fat: int | None  # percent; None: not known


def keeps(days: int) -> str:
    return f"{days} day" + "s" * (days > 1)


@st.composite
def mixtures(draw: st.DrawFn, trims: dict[str, int]) -> dict[str, Any]:
    """A blend of trims with a fat that some mixture of two of them has; trims by fat in percent."""
    source = draw(st.lists(st.sampled_from(list(trims)), min_size=1, unique=True))
    fats = [trims[trim] for trim in source]
    weight = draw(st.integers(0, 4))
    middle = (
        draw(st.sampled_from(fats)) * weight + draw(st.sampled_from(fats)) * (4 - weight)
    ) // 4
    low, high = max(0, middle - draw(st.integers(0, 5))), min(100, middle + draw(st.integers(1, 6)))
    return {
        "from": source,
        "fat": f"{low}% to {high}%",
        "added": draw(st.sampled_from(["0%", "3%", "10%"])),
        "minutes": draw(st.sampled_from(["0 per lb", "0.3 per lb", "1 per lb"])),
        "keeps": keeps(draw(st.integers(1, 3))),
    }


@st.composite
def blend(draw: st.DrawFn, found: list[Source], tiny: bool = False) -> dict[str, Any]:
    """A blend with limits around one mixture of what goes in, and the other things it may say."""
    least = draw(st.sampled_from([1, min(2, len(found)), min(3, len(found))]))
    inside = draw(st.lists(st.sampled_from(found), min_size=least, max_size=4, unique=True))
    species = sorted({source.species for source in found})
    if len(species) > 1 and draw(st.booleans()):  # something of each
        firsts = [next(s for s in found if s.species == one) for one in species]
        inside += [source for source in firsts if source not in inside]
    parts = [draw(st.integers(0, 4)) for _ in inside]
    if not sum(parts):
        parts[0] = 1
    shares = {s: Fraction(part, sum(parts)) for s, part in zip(inside, parts, strict=True)}
    entry: dict[str, Any] = {"from": [source.name for source in inside]}
    if None not in {source.fat for source in inside} and draw(st.sampled_from([True, True, False])):
        entry["fat"] = draw(around(sum(source.fat * part for source, part in shares.items())))
    groups = {s.name if s.name != "fat" else s.long: part for s, part in shares.items()}
    inside_of = sorted({source.species for source in inside})
    for one in inside_of:
        groups[one] = sum(part for source, part in shares.items() if source.species == one)
    if len(inside) > 1:
        keys = draw(st.lists(st.sampled_from(sorted(groups)), max_size=2, unique=True))
        if len(inside_of) > 1 and draw(st.booleans()):
            keys = list({*keys, inside_of[0]})
        for key in sorted(keys):
            entry[key] = draw(around(100 * groups[key]))
    for key, values in {
        "added": ["3%", "10%", None, None],
        "loss": ["5%", "30%", None, None],
        "batch": ["8 lb", "5", None] if tiny else ["2 lb", "5", "1.5 kg", None, None],
        "minutes": ["0.3 per lb", "1 per lb", "2 per kg", None],
    }.items():
        value = draw(st.sampled_from(values))
        if value:
            entry[key] = value
    if "added" in entry and draw(st.booleans()):
        entry["water"] = "1%"
    return entry | {"keeps": keeps(draw(st.integers(1, 3)))}


@st.composite
def around(draw: st.DrawFn, exact: Fraction) -> str:
    """Limits, in whole percent, that a share keeps."""
    low = max(0, math.floor(exact) - draw(st.integers(0, 6)))
    high = min(100, math.ceil(exact) + draw(st.integers(0, 6)))
    kind = draw(st.sampled_from(["range", "range", "least", "most"]))
    if kind == "least" and low > 0:
        return f"at least {low}%"
    if kind == "most" and high < 100:
        return f"at most {high}%"
    return f"{low}% to {high}%"


@st.composite
def loose_blends(draw: st.DrawFn, names: list[str]) -> dict[str, Any]:
    """A blend of things written with their species in front, with limits nothing may keep.

    Beef that nobody loads could keep them, so that the blend as it is written is no fault.
    """
    inside = draw(st.lists(st.sampled_from(names), min_size=1, unique=True))
    keys = sorted({*inside, *(name.partition(" ")[0] for name in inside), "fat"})
    entry: dict[str, Any] = {"from": [*inside, "beef trim 90"], "keeps": "1 day"}
    for key in draw(st.lists(st.sampled_from(keys), max_size=4, unique=True)):
        low, high = sorted(draw(st.integers(0, 20)) * 5 for _ in range(2))
        kinds = [f"{low}% to {high}%", f"at least {low}%", f"at most {high}%"]
        entry[key] = draw(st.sampled_from(kinds))
    return entry
