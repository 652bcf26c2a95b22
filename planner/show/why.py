"""Why pieces are cut as they are, for a person and for machines."""

from __future__ import annotations

import math
from typing import Any

from planner.ask.break_even import BreakEven
from planner.ask.comparison import NAMED
from planner.ask.marginal_values import LimitStep, LimitWorth
from planner.ask.why import PieceWhy, WayWhy, Why
from planner.core.quantities import show_count
from planner.core.recipe import recipe_with
from planner.core.scenario import Scenario
from planner.show.cautions import KEEPS
from planner.show.data import FORMAT, Data, shape
from planner.show.json import plan_data
from planner.show.layout import WIDTH, clip, fitted_table, paragraphs, section, table, wrapped
from planner.show.species import by_species, piece_name

NEAREST = 3  # ways that are told first


def why_text(answer: Why) -> str:
    """What is nearest to paying; a table for each piece, what limits are worth, what is proven."""
    scenario = answer.plan.scenario
    groups = by_species(
        scenario, answer.pieces, lambda each: recipe_with(scenario.recipes, each.piece).species
    )
    return paragraphs(
        clip(scenario.title, WIDTH),
        _nearest(scenario, answer),
        *(_piece(scenario, species, each) for species, group in groups for each in group),
        section("WHAT ONE MORE UNIT OF EACH LIMIT IS WORTH", _limits(scenario, answer)),
        wrapped(_proof(answer)),
    )


def _nearest(scenario: Scenario, answer: Why) -> list[str]:
    """The other ways that cost least, and the limit that is worth the most."""
    others = [(piece, way) for piece in answer.pieces for way in piece.others]
    ways = [(piece, way) for piece, way in others if way.asked and way.possible]
    ways.sort(key=lambda each: (each[1].least, each[1].most))
    lines = ["NEAREST TO PAYING" if ways else "No other way could be tried."]
    for piece, way in ways[:NEAREST]:
        even, price = way.break_even, ""
        if even and even.price is not None:
            now = scenario.show_rate(even.cut, even.now)
            price = f" (break-even price {_pays(scenario, even)}, now {now})"
        told = f"one more {clip(f'{piece.piece}: {way.way}', 40)} costs"
        lines += wrapped(f"{told} {_between(scenario, way)}{price}", 2)
    worth = [each for each in answer.limits if not each.nothing]
    if worth:
        best = max(worth, key=lambda each: (each.least, each.most))
        lines += wrapped(f"{_limit(best.limit)} is worth {_between(scenario, best)}", 2)
    return lines


_WAY = shape(
    "way, used, asked, possible, costs = self: between, instead: shifts, sales: sales,"
    "break even: even",
    shifts=shape("way = name, before, after"),
    sales=shape("cut = name, before: amount of name, after: amount of name"),
    even=shape("cut, price: price, now: price, proven, within: number"),
)
_PIECE = shape("piece, used, others: way", way=_WAY)
_LIMIT = shape(
    "limit = limit.kind, of = limit.name, more = limit.step, least: number, most: number"
)


def why_data(answer: Why) -> dict[str, Any]:
    """The answer, with the plan it is about; costs that have no upper end are null."""
    data = Data(answer.plan.scenario)
    return {
        "format": FORMAT,
        "plan": plan_data(answer.plan),
        "pieces": data.all(_PIECE, answer.pieces),
        "limits": data.all(_LIMIT, answer.limits),
        "limits not asked": answer.unasked,
    }


def _piece(scenario: Scenario, species: str, each: PieceWhy) -> list[str]:
    used = [f"{clip(way, 28)} {number}" for way, number in each.used.items() if number]
    name = clip(piece_name(scenario, species, each.piece), 40).upper()
    lines = wrapped(f"{name}: {', '.join(used) or 'none is cut'}")
    if len(each.used) == 1:
        return [*lines, "  there is only one way to cut it"]
    rows = [_row(scenario, each, way) for way in each.others]
    heads = ("one more", "in plan", "costs", "break-even price", "now", "instead of")
    align = ("left", "right", "right", "right", "right", "left")
    return [*lines, fitted_table(rows, heads, align, WIDTH, (5,))]


def _row(scenario: Scenario, piece: PieceWhy, way: WayWhy) -> list[str]:
    name, count = clip(way.way, 26), str(way.used or "-")
    if not way.asked:
        return [name, count, "not asked", "-", "-", "out of time"]
    if not way.possible:
        return [name, count, "cannot be", "-", "-", "rail, bench, rule or order"]
    even = way.break_even
    return [
        name,
        count,
        _between(scenario, way),
        _pays(scenario, even),
        scenario.show_rate(even.cut, even.now) if even else "-",
        _instead(piece, way),
    ]


def _between(scenario: Scenario, found: WayWhy | LimitWorth) -> str:
    """`$41.00 to $43.10`, `under $1.00`, `at least $41.00`."""
    units = scenario.units
    if math.isinf(found.most):
        return f"at least {units.money(found.least)}"
    if found.most <= NAMED:
        return f"under {units.money(NAMED)}"
    return units.between(found.least, found.most)


def _pays(scenario: Scenario, even: BreakEven | None) -> str:
    if even is None:
        return "-"
    if even.price is None:
        return "no price" if even.proven else "perhaps none"
    shown = scenario.show_rate(even.cut, even.price)
    return shown if even.proven else f"about {shown}"


def _instead(piece: PieceWhy, way: WayWhy) -> str:
    """Ways that are cut less: those of the piece by their own name, others with their piece."""
    own, told = f"{piece.piece}: ", []
    for shift in sorted(way.instead, key=lambda shift: not shift.name.startswith(own)):
        name, fewer = shift.name.removeprefix(own), shift.before - shift.after
        told += [name if fewer == 1 else f"{fewer:g} {name}"] if fewer > 0 else []
    return ", ".join(told) or "left whole"


def _limits(scenario: Scenario, answer: Why) -> list[str]:
    worth = [each for each in answer.limits if not each.nothing]
    worth.sort(key=lambda each: (-each.least, -each.most))
    rest = len(answer.limits) - len(worth)
    lines = []
    if worth:
        rows = [[_limit(each.limit), _between(scenario, each)] for each in worth]
        lines.append(table(rows, ("", "is worth"), ("left", "right")))
    nothing = scenario.units.money(NAMED)
    if rest:
        others = show_count(rest, "other limit") if worth else show_count(rest, "limit")
        verb = "is" if rest == 1 else "are"
        lines += wrapped(f"{others} tried in the same way {verb} worth less than {nothing}.", 2)
    if any(each.limit.kind == "keeps" for each in worth):
        lines += wrapped(KEEPS, 2)
    if answer.unasked:
        left = show_count(answer.unasked, "limit")
        lines += wrapped(f"{left} not tried for lack of time; --seconds gives more.", 2)
    return lines


def _limit(limit: LimitStep) -> str:
    if limit.kind == "bench":
        return f"{limit.step} more minutes of bench on {limit.name}"
    if limit.kind == "want":
        return f"{limit.step} more {clip(limit.name, 40)} wanted"
    return f"{clip(limit.name, 40)} kept a day longer"


def _proof(answer: Why) -> str:
    units = answer.plan.scenario.units
    evens = [way.break_even for piece in answer.pieces for way in piece.others if way.break_even]
    said = (
        "Costs: how much less the best plan earns with one more piece cut that way, all else free "
        f"to change. Today's plan is within {units.money(answer.plan.within)} of the best."
    )
    if answer.plan.short:
        said += " Orders stay filled as they are in it."
    proven = [each.within for each in evens if each.proven]
    loose = [each.within for each in evens if not each.proven]
    if evens:
        said += (
            " break-even price: that of its main cut at which one more costs nothing, tried at 1% "
            "above and below"
        )
        said += f" and known within {units.money(max(proven))} of score." if proven else "."
    if any(each.price is None for each in evens):
        said += " no price: not even at ten times today's, since no more of it is wanted."
    if loose:
        far = max(loose)
        known = f"known within {units.money(far)} only" if math.isfinite(far) else "not settled"
        said += f" `about` and `perhaps none` are {known}."
    return said
