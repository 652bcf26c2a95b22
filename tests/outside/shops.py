"""Random small sound shops for hypothesis: recipes and a scenario as plain dicts."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import yaml
from hypothesis import strategies as st

from .book import Book
from .random_blends import Source, blend, keeps
from .random_recipes import Size, recipes, small_recipes

STARTS = datetime.date(2026, 11, 30)  # a Monday
FILES = ("lamb.yaml", "second.yaml")
SHARED = "shared.yaml"

SMALL = Size()
TINY = Size(days=2, lots=2, head=2, ways=2, pieces=2)
MIXED = Size(days=3, lots=3, head=3, ways=2, pieces=2, mixed=True)
TINY_MIXED = Size(days=2, lots=2, head=1, ways=2, pieces=1, mixed=True, tiny=True)


class PlainDumper(yaml.SafeDumper):
    """No anchors: nobody writes them by hand."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def plain_yaml(part: dict[str, Any]) -> str:
    return yaml.dump(part, Dumper=PlainDumper, sort_keys=False, allow_unicode=True)


def cents(amount: int) -> str:
    return f"{amount // 100}.{amount % 100:02d}"


@st.composite
def scenarios(
    draw: st.DrawFn, recipes: list[dict[str, Any]], size: Size, shared: dict[str, Any] | None = None
) -> dict[str, Any]:
    """A scenario of these recipes, and of a file of shared blends where there is one."""
    book = Book(recipes, shared)
    some_days = draw(st.sampled_from([n for n in (1, 2, 2, 3, 3, 4) if n <= size.days]))
    days = [STARTS + datetime.timedelta(days=i) for i in range(some_days)]
    unit = draw(st.sampled_from(["lb", "lb", "kg"]))
    day = st.sampled_from(days).map(
        lambda date: date if date.day % 2 else ("mon", "tue", "wed", "thu")[days.index(date)]
    )

    def weight(low: int, high: int) -> st.SearchStrategy[str]:
        return st.integers(low * 10, high * 10).map(lambda n: f"{n / 10:g} {unit}")

    def amount(each: bool) -> st.SearchStrategy[str]:
        return st.integers(1, 4).map(str) if each else weight(1, 9)

    def price(each: bool, low: int = 100, high: int = 3000) -> st.SearchStrategy[str]:
        return st.integers(low, high).map(lambda n: f"{cents(n)}/{'each' if each else unit}")

    def want(each: bool) -> st.SearchStrategy[Any]:
        return st.one_of(amount(each), st.dictionaries(day, amount(each), min_size=1, max_size=2))

    own = {}
    found = book.sources(draw(st.sampled_from([True, True, False]))) if size.mixed else []
    if found and draw(st.sampled_from([True, True, False])):
        own = {"house mix": draw(blend(found, size.tiny))}
        book.add(own)
    things = book.things

    rail = []
    lots = [n for n in (1, 2, 2, 3) if len(recipes) <= n <= size.lots]
    for i in range(draw(st.sampled_from(lots))):
        recipe = recipes[i % len(recipes)]
        what = draw(st.sampled_from([recipe["species"]] * 3 + book.pieces_of(recipe)))
        count = draw(st.integers(1, size.head))
        word = book.counting(recipe, count) if what == recipe["species"] else ""
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
        "recipes": [*FILES[: len(recipes)], *([SHARED] if shared else [])],
        "unit": unit,
        "money": "$",
        "rail": rail,
    } | ({"blends": own} if own else {})
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
    wanted = st.lists(st.sampled_from(sorted(things)), min_size=1, max_size=6, unique=True)
    asked = draw(wanted)
    if size.mixed and draw(st.sampled_from([True, True, True, False])):
        asked = sorted(book.blends) + asked[:3]
    for cut in dict.fromkeys(asked):
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
    rules = draw(st.one_of(st.none(), st.lists(rule(book), min_size=1, max_size=2)))
    if size.mixed and book.blends and draw(st.booleans()):
        rules = [*(rules or []), draw(blend_rule(book))]
    if rules:
        scenario["rules"] = rules
    if draw(st.booleans()):
        scenario["carry"] = draw(st.sampled_from(["20%", "40%", "75%"]))
    if draw(st.booleans()):
        scenario["disposal"] = draw(price(False, 5, 60))
    return scenario


@st.composite
def rule(draw: st.DrawFn, book: Book) -> dict[str, str]:
    piece = draw(st.sampled_from(sorted(book.ways)))
    way = draw(st.sampled_from(sorted(book.ways[piece])))
    kind = draw(st.sampled_from(["all", "never", "at most", "at most", "at least", "at least"]))
    number = f" {draw(st.integers(1, 3))}" if kind.startswith("at ") else ""
    return {f"{kind}{number} {piece}": way}


@st.composite
def blend_rule(draw: st.DrawFn, book: Book) -> dict[str, str]:
    into = draw(st.sampled_from(sorted(book.blends)))
    cut = draw(st.sampled_from(book.blends[into]))
    kind = draw(st.sampled_from(["all", "never", "at most", "at least", "at least"]))
    amount = draw(st.sampled_from(["0.5 lb", "2 lb", "1", "0.7 kg"]))
    return {f"{kind}{f' {amount}' if kind.startswith('at ') else ''} {cut}": into}


@st.composite
def shared_blends(draw: st.DrawFn, recipes: list[dict[str, Any]], size: Size) -> dict[str, Any]:
    """A file of blends alone; some of what they name is not loaded, and one may be left aside."""
    book, blends = Book(recipes), {}
    for word, known in (("shared sausage", True), ("broth", False)):
        found = book.sources(known)
        if found and draw(st.booleans()):
            in_full = [Source(s.long, s.long, s.species, s.fat) for s in found]
            blends[word] = draw(blend(in_full, size.tiny))
            if known and draw(st.booleans()):
                blends[word]["from"] = [*blends[word]["from"], "beef trim 90"]
    if draw(st.booleans()):
        blends["beef mix"] = {"from": ["beef trim 90", *(s.long for s in book.sources(True)[:1])]}
        blends["beef mix"] |= {"beef": "at least 40%", "keeps": "1 day"}
    return {"takes from": ["lamb", "hog", "beef"], "unit": "lb", "blends": blends} if blends else {}


@st.composite
def shops(draw: st.DrawFn, size: Size = SMALL) -> tuple[dict[str, Any], dict[str, Any]]:
    """A recipe and a scenario that belong together."""
    recipe = draw(recipes(size))
    return recipe, draw(scenarios([recipe], size))


@st.composite
def mixed_shops(draw: st.DrawFn, size: Size = MIXED) -> tuple[dict[str, Any], ...]:
    """One recipe or two, the scenario second; last, where there is one, a file of blends."""
    first = draw(recipes(size))
    more = [draw(small_recipes(first, size))] if draw(st.sampled_from([True, True, False])) else []
    shared = draw(shared_blends([first, *more], size)) if draw(st.booleans()) else {}
    scenario = draw(scenarios([first, *more], size, shared))
    return first, scenario, *more, *([shared] if shared else [])


def tiny_shops() -> st.SearchStrategy[tuple[dict[str, Any], dict[str, Any]]]:
    """Shops of one or two days and few pieces; many, not all, can be enumerated."""
    return shops(TINY)


def tiny_mixed_shops() -> st.SearchStrategy[tuple[dict[str, Any], ...]]:
    return mixed_shops(TINY_MIXED)


def write_shop(shop: tuple[dict[str, Any], ...], folder: Path) -> Path:
    """Write a recipe, `shop.yaml` and what more there is; return the scenario's path."""
    recipe, scenario, *more = shop
    files = {FILES[0]: recipe, "shop.yaml": scenario}
    files |= {SHARED if "takes from" in part else FILES[1]: part for part in more}
    for name, part in files.items():
        (folder / name).write_text(plain_yaml(part), encoding="utf-8")
    return folder / "shop.yaml"
