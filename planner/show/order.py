"""How many head to order, for a person and for machines."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from textwrap import wrap
from typing import Any

from planner.ask.bottlenecks import Tight
from planner.ask.comparison import Interval
from planner.ask.order import MOST_ROWS, CurvePoint, DeliveryCurve, OrderCurve
from planner.core.quantities import show_count
from planner.core.scenario import Lot, Scenario
from planner.show.data import BETWEEN, Data, head, shape
from planner.show.layout import GAP, WIDTH, clip, columns_of, paragraphs, table, wrapped
from planner.show.species import lot_name

BAR = 60
TIGHT = 50
RUN = 3  # days side by side that are written as `wed-sat`
NOTE = (
    "All else is as in the file, the other deliveries too; for each number it is "
    "decided again what to buy if it pays. What is left after the last day counts only as carry."
)


def order_text(curve: OrderCurve) -> str:
    """What earns the most of each delivery; then a table and a chart for each."""
    scenario = curve.scenario
    parts: list[str | list[str]] = []
    for each in curve.deliveries:
        said = [line for said in _advice(scenario, each) for line in wrapped(said, 2)]
        parts.append([_name(scenario, each), *said])
    for each in curve.deliveries:
        parts += [[_title(scenario, each), _table(scenario, each)], _chart(scenario, each)]
    return paragraphs(clip(scenario.title, WIDTH), *parts, wrapped(NOTE))


def _name(scenario: Scenario, delivery: DeliveryCurve) -> str:
    lot = delivery.lot
    return f"{clip(lot_name(scenario, lot), 40)} {scenario.day_labels[lot.arrives]}".upper()


def _title(scenario: Scenario, delivery: DeliveryCurve) -> str:
    lot = delivery.lot
    rate = scenario.units.rate(delivery.cost)
    one = scenario.units.money(delivery.head_cost)
    number = f"{'up to ' if lot.up_to else ''}{lot.count}"
    one += " a head" if _word(lot) else " each"
    at = f"{scenario.units.weight(lot.weight)} at {rate}"
    return f"{_name(scenario, delivery)}, {at}: {one} (in the file: {number})"


def _word(lot: Lot) -> str:
    """` head`; nothing where sides or quarters are counted, of which several make one head."""
    whole = lot.name == lot.recipe.species and lot.word.lower() in ("", "head", "heads")
    return " head" if whole else ""


def _table(scenario: Scenario, delivery: DeliveryCurve) -> str:
    """A row for each number; what is tight goes on below in the room that the figures leave."""
    number = _word(delivery.lot).strip() or "number"
    heads = (number, "score", "after cost", "the next adds", "where it is tight")
    align = ("right", "right", "right", "right", "left")
    figures = [_figures(delivery, row) for row in delivery.rows]
    bare = table([[*row, ""] for row in figures], (*heads[:-1], ""), align)
    room = WIDTH - GAP - columns_of(bare)
    rows = []
    for row, shown in zip(delivery.rows, figures, strict=True):
        said = "no plan found in the time given"
        if row.tight:
            said = _tight(scenario, row.tight)
        elif row.conflict:
            said = f"cannot be kept: {'; '.join(row.conflict)}"
        lines = wrap(said, min(TIGHT, room), break_on_hyphens=False)
        rows.append([*shown, "\n".join(lines)])
    return table(rows, heads, align)


def _figures(delivery: DeliveryCurve, row: CurvePoint) -> list[str]:
    if row.score is None or row.net is None:
        return [f"{row.head}", "-", "-", "-"]
    adds = delivery.adds(row.head)
    more = _between(adds) if adds else "-"
    return [f"{row.head}", _figure(row.score.least), _figure(row.net.least), more]


def _between(money: Interval) -> str:
    """`411.80 to 412.60`, or one figure where both are shown alike."""
    return " to ".join(dict.fromkeys(map(_figure, (money.least, money.most))))


def _figure(money: float) -> str:
    """Money without its sign, and no negative zero."""
    return f"{round(money, 2) + 0.0:,.2f}"


def _tight(scenario: Scenario, tight: Tight) -> str:
    units = scenario.units
    found = {
        f"{show_count(tight.short, 'order')} short": tight.short,
        f"bench full {_days(scenario, tight.full)}": tight.full,
        f"{tight.overtime:.0f} min over": tight.overtime,
        f"trim left {units.weight(tight.trim)}": tight.trim,
        f"out of date {units.weight(tight.out_of_date)}": tight.out_of_date,
        f"{tight.whole} left whole": tight.whole,
    }
    return ", ".join(text for text, some in found.items() if some)


def _days(scenario: Scenario, days: Sequence[int]) -> str:
    """`wed-sat`, `mon wed`; days by number, in order."""
    if len(days) == scenario.days > 1:
        return "every day"
    to, told = " to " if scenario.days > 7 else "-", []
    for _, run in groupby(enumerate(days), key=lambda pair: pair[1] - pair[0]):
        labels = [scenario.day_labels[day] for _, day in run]
        told += [f"{labels[0]}{to}{labels[-1]}"] if len(labels) >= RUN else labels
    return " ".join(told)


def _chart(scenario: Scenario, delivery: DeliveryCurve) -> list[str]:
    """A bar for each number: its score after cost, from the lowest of them to the highest."""
    nets = [row.net.least for row in delivery.rows if row.net]
    if not nets:
        return []
    low, high = min(nets), max(nets)
    ends = [scenario.units.money(each) for each in (low, high)]
    lines = [f"  after cost: no bar is {ends[0]}, a full one {ends[1]}"]
    most = "most" if len(delivery.best) == 1 else "perhaps most"
    for row in delivery.rows:
        bar = "no plan"
        if row.net:
            part = (row.net.least - low) / (high - low) if high > low else 1.0
            bar = "=" * round(BAR * part)
        mark = f"{' ' if bar else ''}{most}" if row.head in delivery.best else ""
        lines.append(f"  {row.head:4d} |{bar}{mark}")
    return lines


def _advice(scenario: Scenario, delivery: DeliveryCurve) -> list[str]:
    """What earns most, as far as it is known; and what that is against the number in the file."""
    best, units, last = delivery.best, scenario.units, delivery.rows[-1].head
    word = _word(delivery.lot)
    if not best:
        return [f"No number{word and ' of head'} has a plan."]
    tried = f" of 0 to {last} tried" if best[-1] == last else ""
    if len(best) == 1:
        verb = "earns" if best[0] == 1 else "earn"
        said = f"{best[0]}{word} {verb} the most{tried}, after their cost"
        none = f"no{word}" if word else "not one"
        said = f"Buying none earns the most: {none} pays at this cost" if best == (0,) else said
    else:
        numbers = f"{', '.join(map(str, best[:-1]))} or {best[-1]}"
        spread = units.money(delivery.spread)
        said = f"{numbers} earn the most{tried}: they are within {spread} of each other"
    lines = [f"{said}."]
    if best[-1] == last < MOST_ROWS:
        further = min(max(2 * best[-1], delivery.lot.count), MOST_ROWS)
        lines.append(f"More than {best[-1]} may earn more still: try --up-to {further}.")
    gain = delivery.gain
    if gain:
        more = units.between(gain.least, gain.most)
        lines.append(f"That is {more} more than with the {delivery.lot.count} in the file.")
    fills = delivery.fills_from
    if fills is None:
        lines.append("Not all orders are filled with any number tried.")
    elif fills > best[0]:
        lines.append(f"All orders are filled from {fills}{word} on.")
    return lines


_DELIVERY = shape(
    "lot = lot.index, species = lot.recipe.species, day = lot.arrives: day,"
    "weight = lot.weight: weight, in file = lot.count, up to = lot.up_to, cost: rate,"
    "cost of one = head_cost: number, best, spread: number, gain: between, fills from"
)
_ROW = shape("head, cost: number, score: between, net: between")
_STATE = shape(
    "conflict, tight: tight",
    tight=shape(
        "bench full = full: day, overtime: number, trim left = trim: weight,"
        "out of date: weight, left whole = whole, orders short = short"
    ),
)


def order_data(curve: OrderCurve) -> dict[str, Any]:
    """The curve: money, weights in the scenario's unit, `cost` for one of it.

    `net` is `score` less `cost` of the row; all three are for the best plan there is, which is
    known to lie between `least` and `most`. `adds` is what one more head adds to the score. What
    is not known is null.
    """
    scenario, data = curve.scenario, Data(curve.scenario)

    def row(delivery: DeliveryCurve, each: CurvePoint) -> dict[str, Any]:
        adds = delivery.adds(each.head)
        return {
            **data.one(_ROW, each),
            "adds": adds and data.one(BETWEEN, adds),
            "status": each.plan.status if each.plan else "no plan",
            **data.one(_STATE, each),
        }

    return {
        **head(scenario),
        "days": list(scenario.day_labels),
        "deliveries": [
            {
                **data.one(_DELIVERY, each),
                "rows": [row(each, one) for one in each.rows],
            }
            for each in curve.deliveries
        ],
    }
