"""Random small recipes as plain dicts.

All shares are drawn in hundredths of a percent and what a way does not give is loss, so that
they always add up to 100% exactly. Trims, fat and bones are by weight, `crown` is sold by each.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

from .random_blends import Source, blend, keeps, mixtures

LEANS = {"trim 85": 85, "trim 75": 75, "trim 60": 60, "lean trim": 95}
BY_WEIGHT = ("chops", "roast", "stew", "bones", "fat", "trim 85", "trim 60", "lean trim")
EACH = "crown"
FOR_BLENDS = ("chops", "bones", "fat", "trim 85", "trim 60", EACH)
OF_A_QUARTER = ("brisket", "bones", "fat", "trim 85")
OF_THE_HOG = ("belly", "bones", "back fat", "trim 85", "trim 75")
KINDS = {"chops": "chop", "roast": "roast", "stew": "stew", "bones": "bone"}
KINDS |= {"fat": "fat", "back fat": "fat"}
WHOLE = 10000  # hundredths of a percent
LEAST = 300  # of what a way gives: less, of a piece of a small lot, no scale would show


@dataclass(frozen=True)
class Size:
    """How large the shops may get, and whether blends may be of all kinds."""

    days: int = 4
    lots: int = 3
    head: int = 4
    ways: int = 3
    pieces: int = 3  # besides the root
    mixed: bool = False
    tiny: bool = False


def share(hundredths: int) -> str:
    return f"{hundredths / 100:.2f}".rstrip("0").rstrip(".") + "%"


@st.composite
def splits(
    draw: st.DrawFn, room: int, leave: bool, words: tuple[str, ...]
) -> tuple[dict[str, str], int]:
    """Cuts out of `room` hundredths of a percent: what is given, and what is left as loss."""
    given: dict[str, str] = {}
    names = draw(st.lists(st.sampled_from(words), min_size=1, max_size=3, unique=True))
    for i, cut in enumerate(names):
        last = i == len(names) - 1 and not leave
        step = draw(st.sampled_from([1, 25, 50, 100]))
        part = room if last else draw(st.integers(1, max(1, room // step // 2))) * step
        part = min(max(part, LEAST), room)
        count = draw(st.integers(1, 2)) if cut == EACH else 1
        part -= part % count
        if part < LEAST:
            continue
        room -= part
        given[cut] = f"{count} at {share(part // count)}" if cut == EACH else share(part)
    return given, room


@st.composite
def ways(
    draw: st.DrawFn,
    children: dict[str, tuple[int, int]],
    words: tuple[str, ...],
) -> dict[str, Any]:
    """One way that gives these pieces (count, hundredths each) and splits the rest into cuts."""
    gives = {
        name: f"{count} at {share(part)}"
        if count > 1 or draw(st.booleans())
        else f"1 at {share(part)}"
        for name, (count, part) in children.items()
    }
    room = WHOLE - sum(count * part for count, part in children.values())
    cuts, loss = draw(splits(room, draw(st.booleans()), words))
    gives |= cuts
    if loss:
        gives["loss"] = share(loss)
    return {"minutes": draw(st.integers(1, 20)), "gives": gives}


@st.composite
def recipes(draw: st.DrawFn, size: Size) -> dict[str, Any]:
    """Root `carcass`, then `saddle` and perhaps `leg`, then perhaps `loin` out of the saddle."""
    tens = st.integers(2, 8).map(lambda n: n * 500)  # 10% to 40% in steps of 5%
    words = FOR_BLENDS if size.mixed else (*BY_WEIGHT, EACH)
    inside = draw(st.integers(1, size.pieces))
    saddle = (draw(st.integers(1, 2)), draw(tens))
    first: dict[str, tuple[int, int]] = {"saddle": saddle}
    if inside >= 2:
        first["leg"] = (1, draw(st.integers(1, 19).map(lambda n: n * 100)))
    below: dict[str, dict[str, tuple[int, int]]] = {"carcass": first, "saddle": {}, "leg": {}}
    alternatives: dict[str, list[dict[str, tuple[int, int]]]] = {"carcass": [], "saddle": []}
    if inside >= 3:
        loin = (draw(st.integers(1, 2)), draw(tens))
        below |= {"saddle": {"loin": loin}, "loin": {}}
        if draw(st.booleans()):  # a lattice: the loins straight off the carcass, same weight
            straight = (saddle[0] * loin[0], saddle[1] * loin[1] // WHOLE)
            if straight[1] * WHOLE == saddle[1] * loin[1]:
                alternatives["carcass"].append({"loin": straight})
    if inside >= 2:
        alternatives["carcass"].append({"saddle": saddle})
    pieces: dict[str, Any] = {}
    for piece, children in below.items():
        if piece == "leg" and "leg" not in first:
            continue
        many = draw(st.integers(1, size.ways))
        kinds = [children, *alternatives.get(piece, [])][:many]
        kinds += [{}] * (many - len(kinds))
        pieces[piece] = {
            "keeps": keeps(draw(st.integers(1, 4))),
            "ways": {f"way {i + 1}": draw(ways(kind, words)) for i, kind in enumerate(kinds)},
        }
    cuts = draw(made_by(pieces))
    recipe: dict[str, Any] = {
        "species": "lamb",
        "unit": "lb",
        "root": "carcass",
        "pieces": pieces,
        "cuts": cuts,
    }
    if size.mixed:
        blends = draw(own_blends(cuts, "lamb", ("ground lamb", "sausage"), size))
        if sources(cuts, "lamb", known=False) and draw(st.booleans()):
            blends |= draw(own_blends(cuts, "lamb", ("stock bones",), size, known=False))
    else:
        trims = {source.name: source.fat for source in sources(cuts, "lamb")}
        number = draw(st.integers(0, 2)) if trims else 0
        blends = {name: draw(mixtures(trims)) for name in ("ground lamb", "sausage")[:number]}
    return recipe | ({"blends": blends} if blends else {})


@st.composite
def made_by(draw: st.DrawFn, pieces: dict[str, Any]) -> dict[str, Any]:
    """The cuts that the ways of some pieces make."""
    made = {
        cut for entry in pieces.values() for way in entry["ways"].values() for cut in way["gives"]
    }
    cuts: dict[str, Any] = {}
    for cut in dict.fromkeys((*BY_WEIGHT, EACH, *OF_THE_HOG, *OF_A_QUARTER)):
        if cut in made:
            entry = {"kind": KINDS.get(cut, "trim" if cut in LEANS else "roast")}
            if cut in LEANS:
                entry["lean"] = f"{LEANS[cut]}%"
            if cut == EACH:
                entry["sold by"] = "each"
            cuts[cut] = entry | {"keeps": keeps(draw(st.integers(1, 4)))}
    return cuts


@st.composite
def small_recipes(draw: st.DrawFn, first: dict[str, Any], size: Size) -> dict[str, Any]:
    """A second recipe beside the first: a side of hog, or a quarter of the same species."""
    lamb = draw(st.sampled_from([False, False, True]))
    root, below = ("quarter", "plate") if lamb else ("side", "ham")
    words = OF_A_QUARTER if lamb else OF_THE_HOG
    child = (draw(st.integers(1, 2)), draw(st.integers(2, 8).map(lambda n: n * 500)))
    pieces: dict[str, Any] = {}
    for piece in (root, below)[: draw(st.integers(1, 2))]:
        pieces[piece] = {"keeps": keeps(draw(st.integers(1, 4))), "ways": {}}
    for piece, entry in pieces.items():
        for i in range(draw(st.integers(1, size.ways))):
            gives = {below: child} if piece == root and len(pieces) > 1 and i == 0 else {}
            entry["ways"][f"way {i + 1}"] = draw(ways(gives, words))
    cuts = draw(made_by(pieces))
    species = "lamb" if lamb else "hog"
    recipe = {"species": species, "unit": "lb", "root": root, "pieces": pieces}
    if lamb:  # what both recipes of a species have is written alike in both
        cuts |= {cut: entry for cut, entry in first["cuts"].items() if cut in cuts}
        blends = {
            blend: entry
            for blend, entry in first.get("blends", {}).items()
            if set(entry["from"]) <= set(cuts)
        }
    else:
        blends = draw(own_blends(cuts, "hog", ("sausage",), size))
    recipe["cuts"] = cuts
    return recipe | ({"blends": blends} if blends else {})


@st.composite
def own_blends(
    draw: st.DrawFn,
    cuts: dict[str, Any],
    species: str,
    words: tuple[str, ...],
    size: Size,
    known: bool = True,
) -> dict[str, Any]:
    """Some blends of a recipe's own cuts."""
    found = sources(cuts, species, known)
    number = draw(st.sampled_from([0, 1, 1, 2])) if found else 0
    blends = {}
    for word in words[:number]:
        blends[word] = draw(blend(found, size.tiny))
        if species == "hog" and set(blends[word]) <= {"from", "loss", "batch", "minutes", "keeps"}:
            lean = any(source.fat <= 50 for source in found if source.name in blends[word]["from"])
            if lean and draw(st.booleans()):
                blends[word] |= {"standard": "fresh pork sausage"}
                blends[word].pop("loss", None)  # a standardized product has none
    return blends


def sources(cuts: dict[str, Any], species: str, known: bool = True) -> list[Source]:
    """What may go into blends: with the fat that is known, or only what has none."""
    found = []
    for cut, entry in cuts.items():
        fat = 100 if entry["kind"] == "fat" else None
        if "lean" in entry:
            fat = 100 - int(entry["lean"].rstrip("%"))
        fits = fat is not None if known else fat is None and entry["kind"] in ("bone", "stew")
        if fits and "sold by" not in entry:
            found.append(Source(cut, f"{species} {cut}", species, fat))
    return found
