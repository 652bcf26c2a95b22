"""Rounding cuts: what whole pieces imply for what is sold.

A search first lets pieces be cut in parts: 2.1 shoulders sell exactly the roast that is wanted,
which no whole number does. If n pieces give a pounds each, c pounds lie there and customers take W
in all, then what is sold, S, is at most W and at most a n + c; with f the part of (W - c)/a
after the point, every whole n obeys

    S <= W - a f (ceil((W - c)/a) - n),

and 2.1 does not. These rows change no plan, but they bring the bound of the search close to the
best plan from the start. This is mixed-integer rounding, put to the sales of every span of days
(H. Marchand and L. Wolsey, Aggregation and mixed integer rounding to solve MIPs, Operations
Research 49, 2001; from memory).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import TypeAlias

from planner.core.recipe import BY_PRODUCTS, Cut
from planner.solve.linear import Term
from planner.solve.model import BreakModel

FLAT = 0.02
"""A part after the point below this makes a row too steep to be of use."""

ROUND = 1e-9

TERMS = 400_000
"""Terms of all rows together; where there would be more, those of long spans are left out."""


OVER = 3
"""Times that terms are counted too high: wants and lots are not of every day."""


Sales: TypeAlias = defaultdict[str, defaultdict[int, list[Term]]]
"""By cut and day, terms with the most of each."""


@dataclass(frozen=True, slots=True)
class RoundingCut:
    """Sum of the terms >= `least`; a variable comes once."""

    terms: tuple[Term, ...]
    least: float


def rounding_cuts(model: BreakModel) -> list[RoundingCut]:
    """The rows of a model: for each cut, span of days and size of piece."""
    sources = {
        name: each
        for name, each in _sources(model).items()
        if model.scenario.cuts[name].kind not in BY_PRODUCTS  # many rows; no piece is cut for them
    }
    longest = len(model.days)
    while longest > 1 and _terms(model, sources, longest) > OVER * TERMS:
        longest //= 2
    full, marked = _sales(model)
    rows: list[RoundingCut] = []
    left = TERMS
    for name, several in sources.items():
        cut = model.scenario.cuts[name]
        for row in _rows_of(model, cut, several, (full[name], marked[name]), longest):
            left -= len(row.terms)
            if left < 0:
                return rows
            rows.append(row)
    return rows


def _terms(
    model: BreakModel, sources: Mapping[str, Sequence[tuple[int, Term]]], longest: int
) -> float:
    """About how many terms the rows have whose spans are so long at most."""
    spans = longest * (len(model.days) - (longest - 1) / 2)
    count = 0.0
    for name, several in sources.items():
        sizes = len({round(amount, 9) for _, (_, amount) in several})
        days = min(len(model.days), model.scenario.cuts[name].keeps + longest / 2)
        count += spans * sizes * len(several) * days / len(model.days)
    return count


def _sources(model: BreakModel) -> dict[str, list[tuple[int, Term]]]:
    """For each cut the breaks that give it, with their days and how much of it each gives.

    For a blend made in batches its batches, each as large as one is.
    """
    sources: dict[str, list[tuple[int, Term]]] = defaultdict(list)
    for (lot, piece, way, day), x in model.breaks.items():
        cut_so = model.scenario.lots[lot].recipe.pieces[piece].ways[way]
        for cut, amount in model.scenario.gives(cut_so, model.weights[lot][piece]):
            sources[cut.name].append((day, (x, amount)))
    for (blend, day), number in model.batches.items():
        sources[blend].append((day, (number, model.scenario.blends[blend].batch)))
    return sources


def _rows_of(
    model: BreakModel,
    cut: Cut,
    sources: Sequence[tuple[int, Term]],
    sales: Sequence[Mapping[int, list[Term]]],
    longest: int,
) -> Iterator[RoundingCut]:
    """What is sold in a span of days was made in it, or before and in date, or lay in the case."""
    days = sorted({day for sold in sales for day in sold})
    for first in days:
        stocks = [each for each in model.scenario.case if each.cut == cut.name]
        case = sum(stock.amount for stock in stocks if stock.keeps > first)
        for last in (day for day in days if first <= day < first + longest):
            made = [term for day, term in sources if first - cut.keeps < day <= last]
            at_full, at_less = (
                [term for day in range(first, last + 1) for term in sold.get(day, ())]
                for sold in sales
            )
            if at_full:
                yield from _rounded(made, at_full, case)
            if at_less:
                yield from _rounded(made, at_full + at_less, case)


def _sales(model: BreakModel) -> tuple[Sales, Sales]:
    """What may be sold at full price (orders too) and marked down, with the most of each."""
    full: Sales = defaultdict(lambda: defaultdict(list))
    marked: Sales = defaultdict(lambda: defaultdict(list))
    for order in model.scenario.orders:
        full[order.cut][order.day].append((model.filled[order.index], order.amount))
    for sales, variables in ((full, model.walk_in), (marked, model.marked_down)):
        for (cut, day), x in variables.items():
            sales[cut][day].append((x, x.upBound))
    return full, marked


def _rounded(made: Sequence[Term], sold: Sequence[Term], case: float) -> Iterator[RoundingCut]:
    """One row for each size of piece: the whole numbers are rounded against it."""
    wanted = sum(most for _, most in sold)
    for size in sorted({round(amount, 9) for _, amount in made if amount > ROUND}):
        pieces = (wanted - case) / size
        part = pieces - floor(pieces)
        if pieces <= 0 or part < FLAT or part > 1 - ROUND:
            continue
        counts = [(x, _steps(amount / size, part)) for x, amount in made]
        less = [(sale, -1 / (size * part)) for sale, _ in sold]
        yield RoundingCut((*counts, *less), ceil(pieces) - wanted / (size * part))


def _steps(sizes: float, part: float) -> float:
    """What a piece of another size counts."""
    whole = floor(sizes + ROUND)
    return whole + min(max(0.0, sizes - whole) / part, 1.0)
