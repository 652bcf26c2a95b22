"""What the meat in a shop's cooler cost: of head by their deliveries, of pieces by their head's.

Pieces bear the part of their head's cost that is their part of its sales value: the sales value at
split-off method, as in `planner.ask.price`, each piece taken at the full price of its best way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from planner.core.quantities import show_day
from planner.core.recipe import full_name, piece_shares, recipe_with
from planner.core.scenario import Lot, Scenario
from planner.core.units import Units
from planner.journal.entries import Delivery, Recorded
from planner.shop.stock.name_lookup import Known


@dataclass(frozen=True, slots=True)
class Paid:
    """A delivery: the number of its entry, the piece by today's name, money a pound or None.

    `name` is what a lot of it is called; `cost` that of the entry, else what is given for it.
    """

    number: int
    name: str
    piece: str
    entry: Delivery
    cost: float | None

    def __str__(self) -> str:
        what = f"{self.entry.head} {self.entry.what}, {show_day(self.entry.day)}"
        return f"delivery {self.number} ({what})"


@dataclass(frozen=True)
class Costed:
    """A scenario with costs of its lots, as far as the journal tells them.

    `shared` are lots whose cost is their part of that of a delivery, `unpriced` those without a
    cost beside the deliveries without a price that they may be of; of the `unknown` the journal has
    none.
    """

    scenario: Scenario
    shared: tuple[tuple[Lot, Paid], ...]
    unpriced: tuple[tuple[Lot, tuple[Paid, ...]], ...]
    unknown: tuple[Lot, ...]


def costs_now(
    scenario: Scenario, recorded: Iterable[Recorded], given: Mapping[str, float] | None = None
) -> Costed:
    """Costs for the lots of a shop's days that have none: of offers they stand in shop.yaml.

    What is there is sunk, so the plan stays the same. `given` is money a pound by the name of lots
    that the journal has no price of, `""` for all of them: these are left to whoever gave it.
    """
    given = given or {}
    paid = tuple(_deliveries(scenario, recorded, given))
    lots: list[Lot] = []
    shared: list[tuple[Lot, Paid]] = []
    unpriced: list[tuple[Lot, tuple[Paid, ...]]] = []
    unknown: list[Lot] = []
    for lot in scenario.lots:
        lots.append(lot)
        if lot.up_to or lot.cost or given.keys() & {lot.name, ""}:
            continue
        if free := tuple(_without_price(scenario, lot, paid)):
            unpriced.append((lot, free))
        elif source := _source(scenario, lot, paid):
            lots[-1] = replace(lot, cost=_part(scenario, lot, source))
            shared.append((lot, source))
        else:
            unknown.append(lot)
    costed = replace(scenario, lots=tuple(lots))
    return Costed(costed, tuple(shared), tuple(unpriced), tuple(unknown))


def no_price_words(lot: Lot, free: Sequence[Paid], units: Units, *, all_of: bool = False) -> str:
    """What to do about a lot of deliveries without a price.

    `all_of` says that a cost is given without a name, for all of them.
    """
    rate = f"7.10/{units.unit}"
    cost = rate if all_of else f'"{lot.name}: {rate}"'
    has, it = ("has", "it") if len(free) == 1 else ("have", "each")
    undo = ", ".join(f"undo {each.number}" for each in free)
    return (
        f"{' and '.join(map(str, free))} {has} no price: undo {it} (breakplan journal {undo}) and "
        f'enter {it} again with "at {rate}" at its end, or give --cost {cost}'
    )


def shared_words(shared: Sequence[tuple[Lot, Paid]], units: Units) -> Iterator[str]:
    """Where the costs of lots come from, a sentence for each delivery."""
    by_source: dict[Paid, list[Lot]] = {}
    for lot, source in shared:
        by_source.setdefault(source, []).append(lot)
    for source, lots in by_source.items():
        rate = units.rate(source.cost or 0.0)
        yield f"cost of what lies in the cooler ({_counted(lots)}): its part of {source} at {rate}"


def unknown_words(unknown: Sequence[Lot], units: Units) -> Iterator[str]:
    """What is said of lots that no delivery tells the cost of."""
    if unknown:
        yield (
            f"the cost of {_counted(unknown)} is not known: what is cut of them bears no cost "
            f'here; give it with --cost "{unknown[0].name}: 7.10/{units.unit}"'
        )


def _counted(lots: Iterable[Lot]) -> str:
    counts: Counter[str] = Counter()
    for lot in lots:
        counts[full_name(lot.recipe.species, lot.piece)] += lot.count
    return ", ".join(f"{count} {piece}" for piece, count in counts.items())


def _deliveries(
    scenario: Scenario, recorded: Iterable[Recorded], given: Mapping[str, float]
) -> Iterator[Paid]:
    known = Known(scenario)
    for each in recorded:
        if isinstance(each.entry, Delivery):
            piece = known.piece(each.entry.what)
            if piece is not None:
                alone = (piece.name,) == recipe_with(scenario.recipes, piece.name).roots
                name = piece.species if alone else piece.name  # as `Lot.name` has it
                cost = each.entry.cost or given.get(name, given.get(""))
                yield Paid(each.number, name, piece.name, each.entry, cost)


def _without_price(scenario: Scenario, lot: Lot, paid: Sequence[Paid]) -> Iterator[Paid]:
    """Deliveries of the very piece without a price, which the lot may be of."""
    arrives = scenario.date(lot.arrives)
    keeps = timedelta(days=lot.recipe.pieces[lot.piece].keeps)
    oldest = arrives if lot.arrives else arrives - keeps
    for each in paid:
        if each.piece == lot.piece and not each.cost and oldest <= each.entry.day <= arrives:
            yield each


def _source(scenario: Scenario, lot: Lot, paid: Sequence[Paid]) -> Paid | None:
    """The last delivery with a price of what the lot may be cut from; else the next to come."""
    arrives = scenario.date(lot.arrives)
    able = [
        each
        for each in paid
        if each.cost
        and each.piece in lot.recipe.pieces
        and lot.piece in piece_shares(lot.recipe, each.piece)
    ]
    before = [each for each in able if each.entry.day <= arrives]
    if before:
        return max(before, key=lambda each: (each.entry.day, each.number))
    return min(able, key=lambda each: (each.entry.day, each.number), default=None)


def _part(scenario: Scenario, lot: Lot, source: Paid) -> float:
    """Money a pound of a piece: the head's, times its value a pound beside that of the head."""
    cost, weight = source.cost or 0.0, source.entry.total / source.entry.head
    whole = replace(lot, piece=source.piece, weight=weight)
    values, weights = scenario.full_values(whole), whole.weights()
    if values[source.piece] <= 0:
        return cost
    share = values[lot.piece] / values[source.piece]
    return cost * share * weights[source.piece] / weights[lot.piece]
