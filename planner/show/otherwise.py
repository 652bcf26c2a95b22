"""What is otherwise than a plan expected, one thing in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from planner.ask.then_now import Kind, Otherwise
from planner.measures import POUNDS, WEEKDAYS, show_count, show_money, show_share, show_weight
from planner.plan import CENT
from planner.scenario import Scenario
from planner.show.amounts import show_amount, show_rate
from planner.show.entrywords import plural
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
    what, weights = piece_said(scenario, fact.what, fact.after), _weights(scenario, fact)
    if fact.before == fact.after:
        weigh = "weighs" if fact.after == 1 else "weigh"
        return f"{fact.after:.0f} {what} that came {_on(fact)} {weigh} {weights}"
    return f"{fact.after:.0f} {what} came {_on(fact)}, {fact.before:.0f} expected"


def _cooler(scenario: Scenario, fact: Otherwise) -> str:
    weights = _weights(scenario, fact)
    if fact.before == fact.after:
        what = piece_said(scenario, fact.what, fact.after)
        weigh = "weighs" if fact.after == 1 else "weigh"
        return f"{fact.after:.0f} {what} in the cooler {weigh} {weights}"
    count, word = abs(fact.after - fact.before), _more(fact)
    what = piece_said(scenario, fact.what, count)
    there = f"in the cooler than planned ({fact.after:.0f} there)"
    done = "cut" if fact.after < fact.before else "not cut"
    cut = f": {done} by {clip(fact.way, NAME)}" if fact.way else ""
    return f"{count:.0f} {word} {what} {there}{cut}"


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


def _shop(scenario: Scenario, fact: Otherwise) -> str:
    before, after = fact.before, fact.after
    if fact.what == "bench":
        return "the bench has a limit now" if after else "the bench has no limit any more"
    if fact.what == "overtime":
        return f"overtime may be {after:.0f} min a day instead of {before:.0f}"
    if fact.what == "carry":
        one, two = show_share(after), show_share(before)
        return f"what is carried over counts {one} of its price instead of {two}"
    if fact.what == "disposal":
        return f"disposal costs {_a_pound(scenario, after)} instead of {_a_pound(scenario, before)}"
    one, two = (show_money(each, scenario.money) for each in (after, before))
    return f"overtime costs {one} a minute instead of {two}"


def _keeps(scenario: Scenario, fact: Otherwise) -> str:
    what = piece_said(scenario, fact.what)
    return f"{what}: keeps {show_count(fact.after, 'day')} instead of {fact.before:.0f}"


def _minutes(scenario: Scenario, fact: Otherwise) -> str:
    what = f"{piece_said(scenario, fact.what)}: {clip(fact.way, NAME)}"
    return f"{what} takes {fact.after:.10g} min instead of {fact.before:.10g}"


def _markdown(scenario: Scenario, fact: Otherwise) -> str:
    cut = clip(fact.what, NAME)
    if not fact.before or not fact.after or fact.what not in scenario.cuts:
        return f"{'a new' if fact.after else 'no more'} markdown of {cut}"
    before, after = (show_rate(scenario, fact.what, each) for each in (fact.before, fact.after))
    return f"{cut} marked down to {after} instead of {before}"


def _markdown_want(scenario: Scenario, fact: Otherwise) -> str:
    before, after = (_amount(scenario, fact, each) for each in (fact.before, fact.after))
    return f"{after} {clip(fact.what, NAME)} wanted at the markdown instead of {before}"


def _offer(scenario: Scenario, fact: Otherwise) -> str:
    what, number = piece_said(scenario, fact.what, fact.after or fact.before), f"{fact.after:.0f}"
    if not fact.after:
        return f"no more offer of {what} {_on(fact)}"
    was = f"{fact.before:.0f}" if fact.before else "none"
    return f"up to {number} {what} on offer {_on(fact)} instead of {was}"


def _offer_cost(scenario: Scenario, fact: Otherwise) -> str:
    before, after = (_a_pound(scenario, each) for each in (fact.before, fact.after))
    return f"{piece_said(scenario, fact.what)} on offer {_on(fact)} at {after} instead of {before}"


def _a_pound(scenario: Scenario, money: float) -> str:
    unit = scenario.unit
    return f"{show_money(money * POUNDS[unit], scenario.money)}/{unit}"


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
    "shop": _shop,
    "keeps": _keeps,
    "minutes": _minutes,
    "markdown": _markdown,
    "markdown want": _markdown_want,
    "offer": _offer,
    "offer cost": _offer_cost,
}


def piece_said(scenario: Scenario, piece: str, count: float = 1) -> str:
    """A piece, or several of it, with its species where several are planned together."""
    species = next((each.species for each in scenario.recipes if piece in each.pieces), None)
    name = clip(piece_name(scenario, species, piece) if species else piece, NAME)
    return name if count == 1 else plural(name)


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
