"""Learned shares as figures a person would write, which still agree with each other.

Every way adds up to exactly 100%, and a piece weighs the same by every path. Figures have one
digit behind the point, or two where the recipe has two in that way. Only the figure of a piece that
two pieces give may need more: its weight is the product of several figures.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from typing import TYPE_CHECKING

from planner.core.recipe import Given, Recipe, Way, piece_shares
from planner.learn.joint_fit import LOSS

if TYPE_CHECKING:
    from planner.files.write_shares import Figures

MOST_DIGITS = 2
"""Digits behind the point of most figures, where the recipe has as many. Common practice."""

FINE_DIGITS = 4
"""Digits of a way of which no coarser figures add up, for some share of it is so small."""

EXACT_DIGITS = 10
"""Digits that a figure may need so that a piece weighs the same by two paths (recipes ask 1e-8)."""

_AGREE = Decimal("1e-9")
_ALIKE = 1e-12
_ALL = Decimal(100)


class CannotRoundError(ValueError):
    """No figures of a way add up to 100%; the message names it and says what helps."""


def rounded(before: Recipe, learned: Recipe) -> Figures:
    """Figures of every way of which one changes, from the recipe as written to its learned shares.

    Raises `CannotRoundError` where all that a way gives is counted, and no figures add up to 100%.
    """
    edges = _edges(before, learned)
    figures: dict[tuple[str, str, str], Decimal] = {}
    for piece, way in before.ways():
        old = _figures(way)
        fixed = {
            each.name: edges[piece.name, each.name]
            for each in way.pieces
            if (piece.name, each.name) in edges
        }
        new = learned.pieces[piece.name].ways[way.name]
        if _same(way, new) and all(old[name] == figure for name, figure in fixed.items()):
            continue
        found = _way(way, new, fixed)
        if found is None:
            raise CannotRoundError(f"{piece.name}, {way.name}: {_hint(way)}")
        if found != old:
            figures |= {(piece.name, way.name, name): figure for name, figure in found.items()}
    return figures


def _percent(share: float) -> Decimal:
    """The figure that was written, out of the share that was read."""
    return Decimal(repr(round(share * 100, 10))).normalize()


def _figures(way: Way) -> dict[str, Decimal]:
    figures = {each.name: _percent(each.share) for each in (*way.pieces, *way.cuts)}
    return figures | ({LOSS: _percent(way.loss)} if way.loss else {})


def _shares(way: Way) -> dict[str, float]:
    shares = {each.name: each.share for each in (*way.pieces, *way.cuts)}
    return shares | ({LOSS: way.loss} if way.loss else {})


def _same(one: Way, other: Way) -> bool:
    others = _shares(other)
    return all(abs(others[name] - share) < _ALIKE for name, share in _shares(one).items())


def _unit(way: Way) -> Decimal:
    """How fine the figures of a way are."""
    digits = max(-int(each.as_tuple().exponent) for each in _figures(way).values())
    return Decimal(1).scaleb(-min(MOST_DIGITS, max(1, digits)))


def _nearest(share: float, unit: Decimal) -> Decimal:
    return max(unit, Decimal(share * 100).quantize(unit, ROUND_HALF_EVEN))


def _edges(before: Recipe, learned: Recipe) -> dict[tuple[str, str], Decimal]:
    """Figures of pieces that more than one way gives, and of all pieces above those of two pieces.

    By the piece that is cut and the piece that it gives.
    """
    above: dict[str, dict[str, list[tuple[Way, Given]]]] = {}
    for piece, way in before.ways():
        for each in way.pieces:
            above.setdefault(each.name, {}).setdefault(piece.name, []).append((way, each))
    several = {name for name, parents in above.items() if len(parents) > 1}
    fixed = {name for name, parents in above.items() if sum(map(len, parents.values())) > 1}
    waiting = list(several)
    while waiting:
        more = set(above.get(waiting.pop(), ())) - fixed
        fixed |= more & set(above)
        waiting.extend(more)
    sizes = dict.fromkeys(before.roots, _ALL)
    edges: dict[tuple[str, str], Decimal] = {}
    for root in before.roots:
        for name in piece_shares(before, root):
            if name not in fixed or name in sizes:
                continue
            for parent, given in above[name].items():
                way, one = given[0]
                new = _share_of(learned.pieces[parent].ways[way.name], name)
                unit = min(_unit(each) for each, _ in given)
                same = abs(new - one.share) < _ALIKE
                figure = _percent(one.share) if same else _nearest(new, unit)
                left = _left_over(before.pieces[parent].ways.values(), name, parent, fixed, edges)
                if left is not None and not same:
                    figure = left
                if name in sizes:
                    figure = _exact(sizes[name], sizes[parent], _percent(one.share), unit)
                elif parent in sizes:
                    sizes[name] = sizes[parent] * figure / _ALL
                edges[parent, name] = figure
    return edges


def _left_over(
    ways: Iterable[Way],
    name: str,
    parent: str,
    fixed: set[str],
    edges: Mapping[tuple[str, str], Decimal],
) -> Decimal | None:
    """The one figure left for a piece by a way of which all else is decided; None where none is."""
    for way in ways:
        others = [each for each in way.pieces if each.name != name]
        bound = not way.cuts and not way.loss and {each.name for each in way.pieces} <= fixed
        if not bound or len(others) == len(way.pieces):
            continue
        if all((parent, each.name) in edges for each in others):
            taken = sum((each.count * edges[parent, each.name] for each in others), Decimal(0))
            count = next(each.count for each in way.pieces if each.name == name)
            return (_ALL - taken) / count
    return None


def _exact(size: Decimal, parent: Decimal, old: Decimal, unit: Decimal) -> Decimal:
    """The shortest figure that makes a piece as heavy by this path; the old one where it does."""
    figure = old
    while abs(figure * parent / _ALL - size) > _AGREE:
        figure = (size / parent * _ALL).quantize(unit, ROUND_HALF_EVEN)
        unit = unit.scaleb(-1)
        if unit < Decimal(1).scaleb(-EXACT_DIGITS):
            break
    return figure


def _share_of(way: Way, piece: str) -> float:
    return next(each.share for each in way.pieces if each.name == piece)


def _hint(way: Way) -> str:
    """What to do about a way of which no figures add up."""
    if way.loss:
        return "what its pieces leave is too little for the rest; weigh everything it gives again"
    return "no figures of this way add up to 100%; give it a loss"


def _way(way: Way, new: Way, fixed: Mapping[str, Decimal]) -> dict[str, Decimal] | None:
    """Figures that add up to 100%, as coarse as can be; None where there are none."""
    unit = _unit(way)
    while unit >= Decimal(1).scaleb(-FINE_DIGITS):
        found = _figures_of(way, new, fixed, unit)
        if found is not None:
            return found
        unit = unit.scaleb(-1)
    return None


def _figures_of(
    way: Way, new: Way, fixed: Mapping[str, Decimal], unit: Decimal
) -> dict[str, Decimal] | None:
    """Figures in whole units: rounded down, and what is left to those that lost the most."""
    counts = {each.name: each.count for each in (*way.pieces, *way.cuts)} | {LOSS: 1}
    shares = {each: share for each, share in _shares(new).items() if each not in fixed}
    room = _ALL - sum((counts[each] * figure for each, figure in fixed.items()), Decimal(0))
    exact = {each: Decimal(share * 100) for each, share in shares.items()}
    found = {each: max(unit, one.quantize(unit, ROUND_FLOOR)) for each, one in exact.items()}
    left = room - sum((counts[each] * figure for each, figure in found.items()), Decimal(0))
    for each in sorted(found, key=lambda each: found[each] - exact[each]):
        if 0 < unit * counts[each] <= left:
            found[each] += unit
            left -= unit * counts[each]
    for each in sorted(found, key=lambda each: (counts[each] > 1, -exact[each])):
        part = left / counts[each]  # of a unit, or what only pieces by the pair would take
        if part == part.quantize(Decimal(1).scaleb(-EXACT_DIGITS)):
            found[each] += part
            left = Decimal(0)
    if left or any(figure <= 0 for figure in found.values()):
        return None
    every = found | dict(fixed)
    return {each: every[each].normalize() for each in _shares(way)}
