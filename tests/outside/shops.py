"""Random small sound shops for hypothesis: a recipe and a scenario as plain dicts.

All shares are drawn in hundredths of a percent and what a way does not give is loss, so that
they always add up to 100% exactly. Trims, fat and bones are by weight, `crown` is sold by each.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml
from hypothesis import strategies as st

STARTS = datetime.date(2026, 11, 30)  # a Monday
LEANS = {"trim 85": 85, "trim 60": 60, "lean trim": 95}
BY_WEIGHT = ("chops", "roast", "stew", "bones", "fat", *LEANS)
EACH = "crown"
KINDS = {"chops": "chop", "roast": "roast", "stew": "stew", "bones": "bone", "fat": "fat"}
WHOLE = 10000  # hundredths of a percent


@dataclass(frozen=True)
class Size:
    """How large the shops may get."""

    days: int = 4
    lots: int = 3
    head: int = 4
    ways: int = 3
    pieces: int = 3  # besides the root


SMALL = Size()
TINY = Size(days=2, lots=2, head=2, ways=2, pieces=2)


class PlainDumper(yaml.SafeDumper):
    """No anchors: nobody writes them by hand."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def share(hundredths: int) -> str:
    return f"{hundredths / 100:.2f}".rstrip("0").rstrip(".") + "%"


def keeps(days: int) -> str:
    return f"{days} day" + "s" * (days > 1)


def cents(amount: int) -> str:
    return f"{amount // 100}.{amount % 100:02d}"


@st.composite
def splits(draw: st.DrawFn, room: int, leave: bool) -> tuple[dict[str, str], int]:
    """Cuts out of `room` hundredths of a percent: what is given, and what is left as loss."""
    given: dict[str, str] = {}
    names = draw(st.lists(st.sampled_from((*BY_WEIGHT, EACH)), min_size=1, max_size=3, unique=True))
    for i, cut in enumerate(names):
        last = i == len(names) - 1 and not leave
        step = draw(st.sampled_from([1, 25, 50, 100]))
        part = room if last else draw(st.integers(1, max(1, room // step // 2))) * step
        part = min(part, room)
        count = draw(st.integers(1, 2)) if cut == EACH else 1
        part -= part % count
        if part == 0:
            continue
        room -= part
        given[cut] = f"{count} at {share(part // count)}" if cut == EACH else share(part)
    return given, room


@st.composite
def ways(draw: st.DrawFn, children: dict[str, tuple[int, int]]) -> dict[str, Any]:
    """One way that gives these pieces (count, hundredths each) and splits the rest into cuts."""
    gives = {
        name: f"{count} at {share(part)}"
        if count > 1 or draw(st.booleans())
        else f"1 at {share(part)}"
        for name, (count, part) in children.items()
    }
    room = WHOLE - sum(count * part for count, part in children.values())
    cuts, loss = draw(splits(room, draw(st.booleans())))
    gives |= cuts
    if loss:
        gives["loss"] = share(loss)
    return {"minutes": draw(st.integers(1, 20)), "gives": gives}


@st.composite
def recipes(draw: st.DrawFn, size: Size = SMALL) -> dict[str, Any]:
    """Root `carcass`, then `saddle` and perhaps `leg`, then perhaps `loin` out of the saddle."""
    tens = st.integers(2, 8).map(lambda n: n * 500)  # 10% to 40% in steps of 5%
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
            "ways": {f"way {i + 1}": draw(ways(kind)) for i, kind in enumerate(kinds)},
        }
    made = {
        cut for entry in pieces.values() for way in entry["ways"].values() for cut in way["gives"]
    }
    cuts: dict[str, Any] = {}
    for cut in (*BY_WEIGHT, EACH):
        if cut in made:
            entry = {"kind": KINDS.get(cut, "trim" if cut in LEANS else "roast")}
            if cut in LEANS:
                entry["lean"] = f"{LEANS[cut]}%"
            if cut == EACH:
                entry["sold by"] = "each"
            cuts[cut] = entry | {"keeps": keeps(draw(st.integers(1, 4)))}
    recipe = {
        "species": "lamb",
        "unit": "lb",
        "root": "carcass",
        "pieces": pieces,
        "cuts": cuts,
    }
    trims = [cut for cut in cuts if cut in LEANS or cut == "fat"]
    blends = {}
    for name in ("ground lamb", "sausage")[: draw(st.integers(0, 2)) if trims else 0]:
        blends[name] = draw(mixtures(trims))
    return recipe | ({"blends": blends} if blends else {})


@st.composite
def mixtures(draw: st.DrawFn, trims: list[str]) -> dict[str, Any]:
    """A blend whose limits lie around what some mixture of two of its trims has."""
    source = draw(st.lists(st.sampled_from(trims), min_size=1, unique=True))
    fats = [100 - LEANS[trim] if trim in LEANS else 100 for trim in source]
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
def scenarios(draw: st.DrawFn, recipe: dict[str, Any], size: Size = SMALL) -> dict[str, Any]:
    some_days = draw(st.sampled_from([n for n in (1, 2, 2, 3, 3, 4) if n <= size.days]))
    days = [STARTS + datetime.timedelta(days=i) for i in range(some_days)]
    unit = draw(st.sampled_from(["lb", "lb", "kg"]))
    day = st.sampled_from(days).map(
        lambda date: date if date.day % 2 else ("mon", "tue", "wed", "thu")[days.index(date)]
    )
    things = {cut: entry.get("sold by") == "each" for cut, entry in recipe["cuts"].items()}
    things |= dict.fromkeys(recipe.get("blends", {}), False)

    def weight(low: int, high: int) -> st.SearchStrategy[str]:
        return st.integers(low * 10, high * 10).map(lambda n: f"{n / 10:g} {unit}")

    def amount(each: bool) -> st.SearchStrategy[str]:
        return st.integers(1, 4).map(str) if each else weight(1, 9)

    def price(each: bool, low: int = 100, high: int = 3000) -> st.SearchStrategy[str]:
        return st.integers(low, high).map(lambda n: f"{cents(n)}/{'each' if each else unit}")

    def want(each: bool) -> st.SearchStrategy[Any]:
        return st.one_of(amount(each), st.dictionaries(day, amount(each), min_size=1, max_size=2))

    rail = []
    for _ in range(draw(st.sampled_from([n for n in (1, 2, 2, 3) if n <= size.lots]))):
        what = draw(st.sampled_from(["lamb", "lamb", "lamb", *recipe["pieces"]]))
        count = draw(st.integers(1, size.head))
        word = "head " if what == "lamb" else ""
        up_to = draw(st.sampled_from(["", "", "up to "]))
        lot = {what: f"{up_to}{count} {word}at {draw(weight(4, 30))}"}
        if draw(st.booleans()):
            lot["arrives"] = draw(day)
        if up_to:
            lot["cost"] = draw(price(False, 20, 900))
        if draw(st.sampled_from([False, False, True])):
            lot["keeps"] = keeps(draw(st.integers(1, 4)))
        rail.append(lot)
    scenario: dict[str, Any] = {
        "title": "An invented small shop",
        "starts": days[0],
        "days": len(days),
        "recipes": ["lamb.yaml"],
        "unit": unit,
        "money": "$",
        "rail": rail,
    }
    bench = st.integers(1, 9).map(lambda n: n * 10)
    times = draw(st.one_of(st.none(), bench, st.dictionaries(day, bench, min_size=1)))
    if times is not None:
        scenario["bench"] = times
        if draw(st.booleans()):
            cost = draw(st.sampled_from([0.5, 0.75, 1]))
            scenario["overtime"] = {"up to": draw(st.integers(1, 30)), "cost": cost}
    if draw(st.booleans()):
        parts = st.integers(1, 9).map(lambda n: f"{n * 5}%")
        scenario["traffic"] = draw(st.dictionaries(day, parts, min_size=1))
    some = st.lists(st.sampled_from(sorted(things)), min_size=1, max_size=3, unique=True)
    if draw(st.booleans()):
        scenario["case"] = {}
        for cut in draw(some):
            held: Any = draw(amount(things[cut]))
            if draw(st.booleans()):
                held = {"amount": held, "keeps": keeps(draw(st.integers(1, 4)))}
            scenario["case"][cut] = held
    demand: dict[str, Any] = {}
    for cut in draw(st.lists(st.sampled_from(sorted(things)), min_size=1, max_size=6, unique=True)):
        each = things[cut]
        entry: dict[str, Any] = {"price": draw(price(each, 600))}
        if draw(st.sampled_from([True, True, True, False])):
            entry["want"] = draw(want(each))
        if draw(st.sampled_from([False, False, True])):
            entry["markdown"] = {"price": draw(price(each, 50, 500)), "want": draw(want(each))}
        if draw(st.sampled_from([False, False, True])):
            entry["orders"] = []
            for _ in range(draw(st.integers(1, 2))):
                order = {"day": draw(day), "amount": draw(amount(each))}
                if draw(st.booleans()):
                    order["for"] = draw(st.sampled_from(["the inn", "the school"]))
                if draw(st.booleans()):
                    order["price"] = draw(price(each))
                entry["orders"].append(order)
        demand[cut] = entry
    scenario["demand"] = demand
    rules = draw(st.one_of(st.none(), st.lists(rule(recipe), min_size=1, max_size=2)))
    if rules:
        scenario["rules"] = rules
    if draw(st.booleans()):
        scenario["carry"] = draw(st.sampled_from(["20%", "40%", "75%"]))
    if draw(st.booleans()):
        scenario["disposal"] = draw(price(False, 5, 60))
    return scenario


@st.composite
def rule(draw: st.DrawFn, recipe: dict[str, Any]) -> dict[str, str]:
    piece = draw(st.sampled_from(sorted(recipe["pieces"])))
    way = draw(st.sampled_from(sorted(recipe["pieces"][piece]["ways"])))
    kind = draw(st.sampled_from(["all", "never", "at most", "at most", "at least", "at least"]))
    number = f" {draw(st.integers(1, 3))}" if kind.startswith("at ") else ""
    return {f"{kind}{number} {piece}": way}


@st.composite
def shops(draw: st.DrawFn, size: Size = SMALL) -> tuple[dict[str, Any], dict[str, Any]]:
    """A recipe and a scenario that belong together."""
    recipe = draw(recipes(size))
    return recipe, draw(scenarios(recipe, size))


def tiny_shops() -> st.SearchStrategy[tuple[dict[str, Any], dict[str, Any]]]:
    """Shops of one or two days and few pieces; many, not all, can be enumerated."""
    return shops(TINY)


def write_shop(shop: tuple[dict[str, Any], dict[str, Any]], folder: Path) -> Path:
    """Write `lamb.yaml` and `shop.yaml` into a folder and return the scenario's path."""
    for part, name in zip(shop, ("lamb.yaml", "shop.yaml"), strict=True):
        text = yaml.dump(part, Dumper=PlainDumper, sort_keys=False, allow_unicode=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder / "shop.yaml"
