"""What is different from what a plan expected, one thing in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from planner.ask.change_base import ChangedFact, Kind
from planner.core.quantities import WEEKDAYS, show_count, show_share
from planner.core.scenario import Scenario
from planner.show.entry_words import plural
from planner.show.layout import clip
from planner.show.species import piece_name
from planner.solve.plan import CENT

NAME = 34


@dataclass(frozen=True, slots=True)
class _Words:
    """How facts of a kind are told: `new` and `gone` where there was or is nothing, else `other`.

    `shown` says how its numbers are written, `{before}` and `{after}`; `same` is where they are
    written alike, `unknown` where the scenario does not know the cut any more.
    """

    other: str
    new: str = ""
    gone: str = ""
    same: str = ""
    unknown: str = ""
    shown: Callable[[Scenario, ChangedFact, float], str] = lambda _, __, number: f"{number:.0f}"


def fact_text(scenario: Scenario, fact: ChangedFact) -> str:
    """One thing that is different, in words."""
    if fact.kind in _HAPPENED:
        return _HAPPENED[fact.kind](scenario, fact)
    words = _WORDS[f"shop {fact.what}" if fact.kind == "shop" else fact.kind]
    text = words.other
    if words.unknown and fact.what not in scenario.cuts:
        before, after, text = "", "", words.unknown
    else:
        before, after = (words.shown(scenario, fact, each) for each in (fact.before, fact.after))
        text = words.same if words.same and before == after else text
    text = (words.new if not fact.before else words.gone if not fact.after else "") or text
    return text.format(
        before=before,
        after=after,
        cut=clip(fact.what, NAME),
        rule=clip(fact.what, 60),
        piece=piece_words(scenario, fact.what),
        pieces=piece_words(scenario, fact.what, fact.after or fact.before),
        way=clip(fact.way, NAME),
        gives=clip(fact.gives, NAME),
        buyer=clip(fact.buyer, 30),
        on=_on(fact),
        days=show_count(fact.after, "day"),
    )


def _cutting(scenario: Scenario, fact: ChangedFact) -> str:
    what = f"{piece_words(scenario, fact.what)}: {clip(fact.way, NAME)}"
    return f"{fact.after:.0f} {what} cut {_on(fact)}, {fact.before:.0f} listed"


def _nothing_done(scenario: Scenario, fact: ChangedFact) -> str:
    pieces = show_count(fact.before, "piece")
    return f"nothing listed {_on(fact)} was entered as cut ({pieces}): it counts as uncut"


def _delivery(scenario: Scenario, fact: ChangedFact) -> str:
    what = f"{fact.after:.0f} {piece_words(scenario, fact.what, fact.after)}"
    if fact.before == fact.after:
        return f"{what} that came {_on(fact)} {_weights(scenario, fact)}"
    return f"{what} came {_on(fact)}, {fact.before:.0f} expected"


def _cooler(scenario: Scenario, fact: ChangedFact) -> str:
    if fact.before == fact.after:
        what = piece_words(scenario, fact.what, fact.after)
        return f"{fact.after:.0f} {what} in the cooler {_weights(scenario, fact)}"
    count, word = abs(fact.after - fact.before), _more(fact)
    what = piece_words(scenario, fact.what, count)
    there = f"in the cooler than planned ({fact.after:.0f} there)"
    done = "cut" if fact.after < fact.before else "not cut"
    cut = f": {done} by {clip(fact.way, NAME)}" if fact.way else ""
    return f"{count:.0f} {word} {what} {there}{cut}"


def _weights(scenario: Scenario, fact: ChangedFact) -> str:
    """`weigh 57.0 lb, not 58.0 lb`."""
    before, after = fact.pounds or (0.0, 0.0)
    weigh = "weighs" if fact.after == 1 else "weigh"
    return f"{weigh} {scenario.units.weight(after)}, not {scenario.units.weight(before)}"


def _case(scenario: Scenario, fact: ChangedFact) -> str:
    more = _amount(scenario, fact, abs(fact.after - fact.before))
    cut = scenario.cuts.get(fact.what)
    word = _more(fact) if cut and cut.by_each else "more" if fact.after > fact.before else "less"
    there = _amount(scenario, fact, fact.after) if fact.after > CENT else "none"
    return f"{more} {word} {clip(fact.what, NAME)} in the case than planned ({there} there)"


def _a_pound(scenario: Scenario, _: ChangedFact, money: float) -> str:
    return scenario.units.rate(money)


def _rate(scenario: Scenario, fact: ChangedFact, money: float) -> str:
    return scenario.show_rate(fact.what, money)


def _amount(scenario: Scenario, fact: ChangedFact, amount: float) -> str:
    if fact.what in scenario.cuts:
        return scenario.show_amount(fact.what, amount)
    return f"{amount:.10g}"


def _share(scenario: Scenario, fact: ChangedFact, share: float) -> str:
    return show_share(share)


_HAPPENED: dict[Kind, Callable[[Scenario, ChangedFact], str]] = {
    "day": _nothing_done,
    "cutting": _cutting,
    "delivery": _delivery,
    "case": _case,
    "cooler": _cooler,
}

_WORDS = {
    "order": _Words(
        "the order of {buyer} is now {after} {cut} {on} (it was {before})",
        new="a new order: {after} {cut} for {buyer} {on}",
        gone="the order of {before} {cut} for {buyer} {on} is dropped",
        shown=_amount,
    ),
    "want": _Words(
        "{after} {cut} wanted in these days instead of {before}",
        same="{after} {cut} wanted as before, on other days",
        shown=_amount,
    ),
    "price": _Words(
        "{cut} at {after} instead of {before}", unknown="a new price for {cut}", shown=_rate
    ),
    "bench": _Words("the bench {on} is {after} min instead of {before}"),
    "rule": _Words("", new='a new rule: "{rule}"', gone='rule lifted: "{rule}"'),
    "way": _Words('no recipe has "{way}" of {piece} any more'),
    "yield": _Words("{piece}: {way} gives {after} {gives} instead of {before}", shown=_share),
    "shop bench": _Words(
        "", new="the bench has a limit now", gone="the bench no longer has a limit"
    ),
    "shop overtime": _Words("overtime may be {after} min a day instead of {before}"),
    "shop overtime cost": _Words(
        "overtime costs {after} a minute instead of {before}",
        shown=lambda scenario, _, money: scenario.units.money(money),
    ),
    "shop carry": _Words(
        "what is carried over counts {after} of its price instead of {before}", shown=_share
    ),
    "shop disposal": _Words("disposal costs {after} instead of {before}", shown=_a_pound),
    "keeps": _Words("{piece}: keeps {days} instead of {before}"),
    "minutes": _Words(
        "{piece}: {way} takes {after} min instead of {before}",
        shown=lambda _, __, minutes: f"{minutes:.10g}",
    ),
    "markdown": _Words(
        "{cut} marked down to {after} instead of {before}",
        new="a new markdown for {cut}",
        gone="{cut} no longer marked down",
        unknown="a new markdown for {cut}",
        shown=_rate,
    ),
    "markdown want": _Words(
        "{after} {cut} wanted at the markdown instead of {before}", shown=_amount
    ),
    "offer": _Words(
        "up to {after} {pieces} on offer {on} instead of {before}",
        new="up to {after} {pieces} on offer {on} instead of none",
        gone="{pieces} no longer on offer {on}",
    ),
    "offer cost": _Words("{piece} on offer {on} at {after} instead of {before}", shown=_a_pound),
}


def piece_words(scenario: Scenario, piece: str, count: float = 1) -> str:
    """A piece, or several of it, with its species where several are planned together."""
    species = next((each.species for each in scenario.recipes if piece in each.pieces), None)
    name = clip(piece_name(scenario, species, piece) if species else piece, NAME)
    return name if count == 1 else plural(name)


def _more(fact: ChangedFact) -> str:
    return "more" if fact.after > fact.before else "fewer"


def _on(fact: ChangedFact) -> str:
    return f"on {weekday(fact.day)}" if fact.day else ""


def weekday(day: date) -> str:
    """`wed`."""
    return WEEKDAYS[day.weekday()]
