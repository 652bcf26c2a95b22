"""What is left of a week's rules when a part of the week is done."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from planner.core.recipe import Recipe
from planner.core.scenario import GrindRule, Rule, Scenario
from planner.core.stock_replay import DUST
from planner.core.units import Quantity
from planner.shop.stock.replay import Broke, Ground


def rules_left(
    scenario: Scenario, broke: Iterable[Broke], ground: Iterable[Ground]
) -> tuple[tuple[Rule | GrindRule, ...], tuple[str, ...]]:
    """The rules of a week less what was done of them, and a sentence for each that was lowered.

    A number that a rule asks for is lowered to what there can be with the lots and the case of the
    days left: a standing rule must not keep the shop from planning a day on which nothing is left
    for it.
    """
    work, batches, units = list(broke), list(ground), scenario.units
    left: list[Rule | GrindRule] = []
    warnings: list[str] = []
    for rule in scenario.rules:
        if not rule.verb.startswith("at"):
            left.append(rule)
        elif isinstance(rule, Rule):
            done = sum(
                each.count for each in work if (each.piece, each.way.name) == (rule.piece, rule.way)
            )
            rest = max(0, rule.count - done)
            can = _most_pieces(scenario, rule.piece) if rule.verb == "at least" else rest
            if can < rest:
                warnings.append(_lowered(rule, f"{can or 'no'} {rule.piece}", dropped=not can))
            if rule.verb == "at most" or min(rest, can):
                left.append(replace(rule, count=min(rest, can)))
        else:
            used = sum(each.took.get(rule.cut, 0.0) for each in batches if each.blend == rule.blend)
            pounds = max(0.0, rule.pounds - used)
            most = _most_pounds(scenario, rule.cut) if rule.verb == "at least" else pounds
            if most < pounds - DUST:
                there = units.exact(Quantity(most)) if most > DUST else "no"
                warnings.append(_lowered(rule, f"{there} {rule.cut}", dropped=most <= DUST))
            pounds = min(pounds, most)
            if rule.verb == "at most" or pounds > DUST:
                as_it_was = pounds == rule.pounds
                said = rule.written if as_it_was else units.exact(Quantity(pounds))
                left.append(replace(rule, pounds=pounds, written=said))
    return tuple(left), tuple(warnings)


def _lowered(rule: Rule | GrindRule, there: str, *, dropped: bool) -> str:
    instead = "left out of this plan" if dropped else "lowered to that"
    return f'the rule "{rule}" can no longer be kept: {there} on hand or to come; {instead}'


def _most_pieces(scenario: Scenario, piece: str) -> int:
    """How many of a piece there can be, whatever is cut for it."""
    return sum(lot.count * round(_most(lot.recipe, lot.piece, piece)) for lot in scenario.lots)


def _most_pounds(scenario: Scenario, cut: str) -> float:
    """Pounds of a cut that there can be, whatever is cut for it."""
    there = sum(stock.amount for stock in scenario.case if stock.cut == cut)
    return there + sum(
        lot.count * lot.weight * _most(lot.recipe, lot.piece, cut) for lot in scenario.lots
    )


def _most(recipe: Recipe, start: str, name: str) -> float:
    """How many of a piece one piece can give, or which share of it can become a cut."""
    if start == name:
        return 1.0
    counted = name in recipe.pieces
    return max(
        (
            sum(each.share for each in way.cuts if each.name == name)
            + sum(
                each.count * (1.0 if counted else each.share) * _most(recipe, each.name, name)
                for each in way.pieces
            )
            for way in recipe.pieces[start].ways.values()
        ),
        default=0.0,
    )
