"""What is otherwise than a plan expected, one thing in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from planner.ask.then_now import Kind, Otherwise
from planner.measures import WEEKDAYS, show_count, show_share, show_weight
from planner.plan import CENT
from planner.scenario import Scenario
from planner.show.amounts import show_amount, show_rate
from planner.show.layout import clip
from planner.show.species import piece_name

NAME = 34


def fact_text(scenario: Scenario, fact: Otherwise) -> str:
    """One thing that is otherwise, in words."""
    return _FACTS[fact.kind](scenario, fact)


def _cutting(scenario: Scenario, fact: Otherwise) -> str:
    what = f"{piece_said(scenario, fact.what)}: {clip(fact.way, NAME)}"
    return f"{fact.after:.0f} {what} cut {_on(fact)}, {fact.before:.0f} listed"


def _nothing_done(scenario: Scenario, fact: Otherwise) -> str:
    pieces = show_count(fact.before, "piece")
    return f"nothing of the list {_on(fact)} is entered as cut ({pieces}): their meat counts uncut"


def _delivery(scenario: Scenario, fact: Otherwise) -> str:
    what, weights = piece_said(scenario, fact.what), _weights(scenario, fact)
    if fact.before == fact.after:
        return f"{fact.after:.0f} {what} that came {_on(fact)} weigh {weights}"
    return f"{fact.after:.0f} {what} came {_on(fact)}, {fact.before:.0f} expected"


def _cooler(scenario: Scenario, fact: Otherwise) -> str:
    what, weights = piece_said(scenario, fact.what), _weights(scenario, fact)
    if fact.before == fact.after:
        return f"{fact.after:.0f} {what} in the cooler weigh {weights}"
    count, word = abs(fact.after - fact.before), _more(fact)
    return f"{count:.0f} {word} {what} in the cooler than planned ({fact.after:.0f} there)"


def _weights(scenario: Scenario, fact: Otherwise) -> str:
    before, after = fact.pounds or (0.0, 0.0)
    unit = scenario.unit
    return f"{show_weight(after, unit)}, not {show_weight(before, unit)}"


def _case(scenario: Scenario, fact: Otherwise) -> str:
    more = _amount(scenario, fact, abs(fact.after - fact.before))
    word = (
        _more(fact) if _by_each(scenario, fact) else "more" if fact.after > fact.before else "less"
    )
    there = _amount(scenario, fact, fact.after) if fact.after > CENT else "none"
    return f"{more} {word} {clip(fact.what, NAME)} in the case than planned ({there} there)"


def _order(scenario: Scenario, fact: Otherwise) -> str:
    cut, buyer = clip(fact.what, NAME), clip(fact.buyer, 30)
    before, after = (_amount(scenario, fact, each) for each in (fact.before, fact.after))
    if not fact.before:
        return f"a new order: {after} {cut} for {buyer} {_on(fact)}"
    if not fact.after:
        return f"no more order of {before} {cut} for {buyer} {_on(fact)}"
    return f"the order of {buyer} is now {after} {cut} {_on(fact)} (it was {before})"


def _want(scenario: Scenario, fact: Otherwise) -> str:
    before, after = (_amount(scenario, fact, each) for each in (fact.before, fact.after))
    cut = clip(fact.what, NAME)
    if before == after:
        return f"{after} {cut} wanted as before, on other days"
    return f"{after} {cut} wanted in these days instead of {before}"


def _price(scenario: Scenario, fact: Otherwise) -> str:
    if fact.what not in scenario.cuts:
        return f"another price of {clip(fact.what, NAME)}"
    before, after = (show_rate(scenario, fact.what, each) for each in (fact.before, fact.after))
    return f"{clip(fact.what, NAME)} at {after} instead of {before}"


def _bench(scenario: Scenario, fact: Otherwise) -> str:
    return f"the bench {_on(fact)} is {fact.after:.0f} min instead of {fact.before:.0f}"


def _rule(scenario: Scenario, fact: Otherwise) -> str:
    return f'{"a new rule" if fact.after else "no more rule"}: "{clip(fact.what, 60)}"'


def _way(scenario: Scenario, fact: Otherwise) -> str:
    piece = piece_said(scenario, fact.what)
    return f'no recipe has "{clip(fact.way, NAME)}" of {piece} any more'


def _yield(scenario: Scenario, fact: Otherwise) -> str:
    what = f"{piece_said(scenario, fact.what)}: {clip(fact.way, NAME)}"
    shares = f"{show_share(fact.after)} {clip(fact.gives, NAME)} instead of"
    return f"{what} gives {shares} {show_share(fact.before)}"


_FACTS: dict[Kind, Callable[[Scenario, Otherwise], str]] = {
    "day": _nothing_done,
    "cutting": _cutting,
    "delivery": _delivery,
    "order": _order,
    "case": _case,
    "cooler": _cooler,
    "want": _want,
    "price": _price,
    "bench": _bench,
    "rule": _rule,
    "way": _way,
    "yield": _yield,
}


def piece_said(scenario: Scenario, piece: str) -> str:
    """A piece, with its species where several are planned together."""
    species = next((each.species for each in scenario.recipes if piece in each.pieces), None)
    return clip(piece_name(scenario, species, piece) if species else piece, NAME)


def _amount(scenario: Scenario, fact: Otherwise, amount: float) -> str:
    if fact.what in scenario.cuts:
        return show_amount(scenario, fact.what, amount)
    return f"{amount:.10g}"


def _by_each(scenario: Scenario, fact: Otherwise) -> bool:
    cut = scenario.cuts.get(fact.what)
    return cut is not None and cut.by_each


def _more(fact: Otherwise) -> str:
    return "more" if fact.after > fact.before else "fewer"


def _on(fact: Otherwise) -> str:
    return f"on {weekday(fact.day)}" if fact.day else ""


def weekday(day: date) -> str:
    """`wed`."""
    return WEEKDAYS[day.weekday()]
