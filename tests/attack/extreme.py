"""Invented shops at the edges of what a file may say: `extreme_shop(seed)`, the same everywhere.

A shop is a recipe and a scenario as plain dicts, for `tests.outside.shops.write_shop`. Each draws
its sizes on its own, from next to nothing to the most there is: weights, counts, prices, wants,
yields, minutes, days things keep, days of the period. Most are small enough for a plan in a second.
"""

from __future__ import annotations

import datetime
from math import ceil
from random import Random
from typing import Any

STARTS = datetime.date(2026, 11, 30)  # a Monday
CUTS = ("roast", "chops", "stew", "bones", "fat", "trim 85", "trim 60")
KINDS = {"roast": "roast", "chops": "chop", "stew": "stew", "bones": "bone", "fat": "fat"}
WHOLE = 10_000  # hundredths of a percent
SCALE = 0.001  # pounds: about the least that a file may say
WEIGHTS = (0.5, 5, 9.1, 58, 58, 240, 5_000)
COUNTS = (1, 1, 2, 4, 30, 1_000, 100_000)
PRICES = (0.01, 0.25, 8, 12.99, 21.5, 900, 100_000)
WANTS = (0, 0.06, 0.3, 2, 7.5, 60, 1_000, 1_000_000)
KEEPS = (1, 1, 2, 3, 5, 30, 60)
DAYS = (1, 1, 2, 3, 4, 6, 6, 9, 14, 60)
MINUTES = (0, 0.01, 1, 7, 30, 600)
BENCHES = (0, 1, 45, 240, 100_000)


def extreme_shop(seed: int) -> tuple[dict[str, Any], dict[str, Any]]:
    """A recipe and a scenario that belong together."""
    draw = Random(seed)
    weights = [draw.choice(WEIGHTS) for _ in range(draw.choice((1, 1, 2, 3)))]
    recipe = _recipe(draw, min(weights))
    return recipe, _scenario(draw, recipe, weights)


def _recipe(draw: Random, lightest: float) -> dict[str, Any]:
    """A carcass that gives saddles and perhaps legs, each with ways of its own."""
    pieces: dict[str, Any] = {}
    children = {"saddle": (draw.choice((1, 2, 6)), draw.choice((50, 100, 1_000)))}
    if draw.random() < 0.5:
        children["leg"] = (2, draw.choice((30, 100, 1_500)))
    names = ["carcass", *children]
    for name in names:
        ways = {}
        for number in range(draw.randint(1, 3)):
            share = children[name][1] / WHOLE if name in children else 1.0
            least = ceil(SCALE / (lightest * share) * WHOLE)
            gives = _cuts(draw, children if name == "carcass" else {}, least)
            ways[f"way {number + 1}"] = {"minutes": draw.choice(MINUTES), "gives": gives}
        pieces[name] = {"keeps": _days(draw.choice(KEEPS)), "ways": ways}
    used = {
        cut for piece in pieces.values() for way in piece["ways"].values() for cut in way["gives"]
    }
    cuts: dict[str, Any] = {}
    for cut in [*CUTS, "rack"]:
        if cut in used:
            cuts[cut] = {"keeps": _days(draw.choice(KEEPS))} | _kind(cut)
    recipe = {"species": "lamb", "unit": "lb", "root": "carcass", "pieces": pieces, "cuts": cuts}
    trims = [cut for cut in cuts if cut.startswith("trim")]
    if trims and draw.random() < 0.7:
        blend = {"from": trims, "minutes": f"{draw.choice((0, 0.01, 0.3, 20))} per lb"}
        blend |= {"keeps": _days(draw.choice(KEEPS))}
        if len(trims) > 1:
            blend["fat"] = draw.choice(("20% to 30%", "15.5% to 15.6%", "39.9% to 40%"))
        if draw.random() < 0.4:
            blend["batch"] = f"{draw.choice((0.1, 5, 200))} lb"
        if draw.random() < 0.3:
            blend["added"] = draw.choice(("0.01%", "10%", "60%"))
        recipe["blends"] = {"grind": blend}
    return recipe


def _kind(cut: str) -> dict[str, str]:
    if cut == "rack":
        return {"kind": "roast", "sold by": "each"}
    if cut.startswith("trim"):
        return {"kind": "trim", "lean": f"{cut[-2:]}%"}
    return {"kind": KINDS[cut]}


def _cuts(draw: Random, children: dict[str, tuple[int, int]], least: int) -> dict[str, str]:
    """What a way gives: its pieces, some cuts with large and tiny shares, and the rest as loss."""
    gives = {name: f"{count} at {share / 100:g}%" for name, (count, share) in children.items()}
    room = WHOLE - sum(count * share for count, share in children.values())
    for cut in draw.sample(CUTS, draw.randint(1, 3)):
        share = min(room - 1, draw.choice((least, least, 100, room // 2, room - 1)))
        if share >= least:
            gives[cut] = f"{share / 100:g}%"
            room -= share
    if draw.random() < 0.4 and room > 200 and room // 4 >= least:
        gives["rack"] = f"2 at {room // 4 / 100:g}%"
        room -= 2 * (room // 4)
    return gives | {"loss": f"{room / 100:g}%"}


def _scenario(draw: Random, recipe: dict[str, Any], weights: list[float]) -> dict[str, Any]:
    days = draw.choice(DAYS)
    unit = draw.choice(("lb", "lb", "kg"))
    dates = [STARTS + datetime.timedelta(days=day) for day in range(days)]
    rail: list[dict[str, Any]] = []
    for weight in weights:
        up_to = draw.choice(("", "", "up to "))
        weight = min(weight, 2_250 if unit == "kg" else 5_000)  # the most a file may say
        what = draw.choice(("lamb", "lamb", "lamb", "saddle"))
        lot: dict[str, Any] = {what: f"{up_to}{draw.choice(COUNTS)} at {weight:g} {unit}"}
        if what == "lamb":
            lot = {what: lot[what].replace(" at", " head at")}
        lot["arrives"] = draw.choice(dates)
        if up_to:
            lot["cost"] = f"{draw.choice(PRICES):g}/{unit}"
        if draw.random() < 0.3:
            lot["keeps"] = _days(draw.choice(KEEPS))
        rail.append(lot)
    scenario: dict[str, Any] = {
        "title": "An invented shop at the edge",
        "starts": dates[0],
        "days": days,
        "recipes": ["lamb.yaml"],
        "unit": unit,
        "money": "$",
        "rail": rail,
    }
    if draw.random() < 0.7:
        scenario["bench"] = draw.choice(BENCHES)
        if draw.random() < 0.5:
            cost = draw.choice((0, 0.01, 0.75, 900))
            scenario["overtime"] = {"up to": draw.choice((0, 1, 60)), "cost": cost}
    things = [*recipe["cuts"], *recipe.get("blends", {})]
    if draw.random() < 0.5:
        cut = draw.choice(things)
        held = {"amount": _amount(draw, cut, unit, least=1), "keeps": _days(draw.choice(KEEPS))}
        scenario["case"] = {cut: held}
    scenario["demand"] = {
        cut: _demand(draw, cut, unit, dates)
        for cut in draw.sample(things, draw.randint(1, len(things)))
    }
    rules = _rules(draw, recipe)
    if rules:
        scenario["rules"] = rules
    if draw.random() < 0.5:
        scenario["carry"] = draw.choice(("0.01%", "40%", "100%"))
    if draw.random() < 0.4:
        scenario["disposal"] = f"{draw.choice((0.01, 0.1, 50)):g}/{unit}"
    return scenario


def _demand(draw: Random, cut: str, unit: str, dates: list[datetime.date]) -> dict[str, Any]:
    per = "each" if cut == "rack" else unit
    price = draw.choice(PRICES)
    entry: dict[str, Any] = {"price": f"{price:.2f}/{per}", "want": _amount(draw, cut, unit)}
    if draw.random() < 0.3:
        least = "1" if per == "each" else f"{SCALE} {unit}"
        entry["want"] = {draw.choice(dates): least, draw.choice(dates): _amount(draw, cut, unit)}
    if draw.random() < 0.3:
        less = {"price": f"{price / 2:.2f}/{per}", "want": _amount(draw, cut, unit)}
        entry["markdown"] = less
    if draw.random() < 0.3:
        order: dict[str, Any] = {"day": draw.choice(dates), "for": "the inn"}
        order["amount"] = _amount(draw, cut, unit, least=1)
        if draw.random() < 0.5:
            order["price"] = f"{draw.choice(PRICES):.2f}/{per}"
        entry["orders"] = [order]
    return entry


def _rules(draw: Random, recipe: dict[str, Any]) -> list[dict[str, str]]:
    """None, or one that binds: nothing of a way, all of it, or a number of them."""
    if draw.random() < 0.6:
        return []
    piece = draw.choice(list(recipe["pieces"]))
    way = draw.choice(list(recipe["pieces"][piece]["ways"]))
    verb = draw.choice(("all", "never", "at most 0", "at most 1", "at least 1", "at most 99999"))
    return [{f"{verb} {piece}": way}]


def _amount(draw: Random, cut: str, unit: str, least: int = 0) -> str:
    """Of a cut: from `least`-th of the sizes there are on."""
    if cut == "rack":
        return str(draw.choice((0, 1, 2, 9, 1_000)[least:]))
    return f"{draw.choice(WANTS[least:]):g} {unit}".replace("1e+06", "1000000")


def _days(count: int) -> str:
    return f"{count} day{'s' if count > 1 else ''}"
