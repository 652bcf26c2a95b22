"""A small reader of scenario files for the checks of this folder.

It takes files that are sound, gives no messages, and hands out everything in pounds, minutes,
money and day numbers 0..D-1. Prices of cuts sold by weight are money a pound.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import yaml

from .amounts import POUNDS_PER, Calendar, amount, number, percent, price, spread, weight
from .names import Names
from .recipe_reader import read_blends, read_recipe
from .shop import BlendRule, Cut, Demand, Lot, Order, Piece, Rule, Shop

REPO = Path(__file__).resolve().parents[2]
RULE = re.compile(r"(all|never|at least|at most) (?:([0-9.]+) ?(lb|oz|kg|g)? )?(.+)")


def load(path: Path) -> dict[str, Any]:
    """Every scalar as the text that stands there, so that dates and yes/no stay words."""
    return yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506


def root_of(roots: list[str], word: str) -> str:
    """The root a lot counts: the only one there is, or the one its counting word names."""
    if len(roots) == 1:
        return roots[0]
    (root,) = [root for root in roots if word in (root, root + "s", root + "es")]
    return root


def read_shop(scenario_path: str | Path) -> Shop:
    path = Path(scenario_path)
    scenario = load(path)
    files = []
    for entry in scenario["recipes"]:
        near = path.parent / entry
        files.append(load(near if near.is_file() else REPO / "recipes" / f"{entry}.yaml"))
    recipes = [file for file in files if "species" in file]
    names = Names(recipes)
    pieces: dict[str, Piece] = {}
    cuts: dict[str, Cut] = {}
    roots: dict[str, list[str]] = {}
    for recipe in recipes:
        more_pieces, more_cuts = read_recipe(recipe, names)
        pieces.update(more_pieces)
        cuts.update(more_cuts)
        root = names.of(recipe["species"], recipe["root"])
        roots.setdefault(recipe["species"], []).append(root)
    cuts.update(read_blends(files, scenario, cuts, names))
    unit = scenario.get("unit", "lb")
    calendar = Calendar(scenario.get("starts"), int(number(scenario["days"])))
    days = len(calendar.dates)

    lots = []
    for entry in scenario.get("rail") or []:
        (what,) = set(entry) - {"arrives", "cost", "keeps"}
        head, _, heavy = entry[what].rpartition(" at ")
        up_to = head.startswith("up to ")
        head = head.removeprefix("up to ")
        word = head.lstrip("0123456789 ")
        piece = root_of(roots[what], word) if what in roots else names.meant(what)
        lots.append(
            Lot(
                piece,
                int(number(head)),
                weight(heavy, unit),
                calendar.day(entry["arrives"]) if "arrives" in entry else 0,
                int(number(entry["keeps"])) if "keeps" in entry else pieces[piece].keeps,
                up_to,
                price(entry.get("cost", "0"), False, unit),
            )
        )

    bench = scenario.get("bench")
    if isinstance(bench, dict):
        bench = tuple(number(text or "0") for text in calendar.by_day(bench))
    elif bench is not None:
        bench = (number(bench),) * days
    overtime = scenario.get("overtime") or {}

    traffic = [Fraction(1)] * days
    if "traffic" in scenario:
        shares = calendar.by_day(scenario["traffic"])
        traffic = [Fraction(str(text).strip(" %")) if text else Fraction(0) for text in shares]

    def by_day(want: Any, each: bool) -> tuple[float, ...]:
        if isinstance(want, dict):
            found = calendar.by_day(want)
            return tuple(amount(text, each, unit) if text else 0.0 for text in found)
        return spread(amount(want, each, unit), traffic, each)

    case = {}
    for text, entry in (scenario.get("case") or {}).items():
        cut = names.meant(text)
        stock = entry if isinstance(entry, dict) else {"amount": entry}
        keeps = int(number(stock["keeps"])) if "keeps" in stock else cuts[cut].keeps
        case[cut] = (amount(stock["amount"], cuts[cut].each, unit), keeps)

    demand, orders = {}, []
    for text, entry in (scenario.get("demand") or {}).items():
        cut = names.meant(text)
        each = cuts[cut].each
        full = price(entry["price"], each, unit) if "price" in entry else 0.0
        markdown = entry.get("markdown") or {"price": "0", "want": "0"}
        demand[cut] = Demand(
            full,
            by_day(entry.get("want", "0"), each),
            price(markdown["price"], each, unit),
            by_day(markdown["want"], each),
        )
        for order in entry.get("orders") or []:
            own = price(order["price"], each, unit) if "price" in order else full
            orders.append(
                Order(
                    cut,
                    calendar.day(order["day"]),
                    amount(order["amount"], each, unit),
                    own,
                    order.get("for", "an order"),
                )
            )

    rules, blend_rules = [], []
    for entry in scenario.get("rules") or []:
        for key, after in entry.items():
            kind, much, measure, text = RULE.fullmatch(key).groups()
            what = names.meant(text)
            if what in pieces:
                rules.append(Rule(kind, int(much or 0), what, after))
            else:
                pounds = weight(f"{much} {measure or unit}", unit) if much else 0.0
                blend_rules.append(BlendRule(kind, pounds, what, names.meant(after)))

    return Shop(
        scenario.get("title", ""),
        unit,
        scenario.get("money", "$"),
        calendar.labels(),
        pieces,
        cuts,
        tuple(lots),
        bench,
        number(overtime.get("up to", "0")),
        number(overtime.get("cost", "0")),
        case,
        demand,
        tuple(orders),
        tuple(rules),
        tuple(blend_rules),
        percent(scenario.get("carry", "0%")),
        price(scenario.get("disposal", "0"), False, unit),
        POUNDS_PER[unit],
    )
