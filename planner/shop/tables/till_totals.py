"""Sales as a till lists them, sale by sale with refunds, as one sale of each cut and day."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from planner.core.quantities import show_weight
from planner.journal.entries import Entry, Sold

NEAR = 1e-9


@dataclass(frozen=True, slots=True)
class Line:
    """An entry and the line on which it stands, its number and writing where the file has them."""

    line: int
    entry: Entry
    number: int | None = None
    writing: int | None = None


def summed_sales(
    lines: Sequence[Line], unit: str, told: Callable[[int, str], None]
) -> tuple[list[Line], int]:
    """Put the sales of a cut on a day together; other entries stay as they are.

    Parameters
    ----------
    lines : sequence of Line
    unit : str
        lb or kg, for the faults.
    told : callable
        Is told the line of the first sale, and that more was refunded than sold: what is too much
        is left out.

    Returns
    -------
    lines : list of Line
        Each sum where its first sale was.
    nothing : int
        How many sums came to nothing, and are left out: not where it was sold out.
    """
    at: dict[tuple[object, str], int] = {}
    made: list[Line] = []
    for line in lines:
        sold = line.entry
        if not isinstance(sold, Sold):
            made.append(line)
            continue
        place = at.setdefault((sold.day, sold.cut), len(made))
        if place == len(made):
            made.append(line)
        else:
            made[place] = replace(made[place], entry=_both(made[place].entry, sold))
    checked = [_checked(line, unit, told) for line in made]
    kept = [line for line in checked if not _is_nothing(line.entry)]
    return kept, len(made) - len(kept)


def _both(one: Entry, other: Sold) -> Sold:
    assert isinstance(one, Sold)
    known = [each.money for each in (one, other) if each.money is not None]
    return replace(
        one,
        quantity=replace(one.quantity, amount=one.quantity.amount + other.quantity.amount),
        money=sum(known) if known else None,
        sold_out=one.sold_out or other.sold_out,
    )


def _is_nothing(entry: Entry) -> bool:
    return (
        isinstance(entry, Sold)
        and abs(entry.quantity.amount) < NEAR
        and abs(entry.money or 0.0) < NEAR
        and not entry.sold_out
    )


def _checked(line: Line, unit: str, told: Callable[[int, str], None]) -> Line:
    """The line with its figures freed from what adding leaves behind, and none below nothing."""
    sold = line.entry
    if not isinstance(sold, Sold):
        return line
    amount = round(sold.quantity.amount, 9)
    money = None if sold.money is None else round(sold.money, 9)
    if amount < 0 or (money or 0.0) < 0:
        much = f"{-amount:g}" if sold.quantity.by_each else show_weight(-amount, unit)
        what, it = (f"{much} more", "it is") if amount < 0 else ("more money", "the money is")
        taken = "nothing was sold then, and " if amount < 0 else ""
        message = f"of {sold.cut} on {sold.day} {what} was refunded than sold: {taken}{it} left out"
        told(line.line, message)
        amount, money = max(amount, 0.0), None
    rounded = replace(sold.quantity, amount=amount + 0.0)
    return replace(line, entry=replace(sold, quantity=rounded, money=money))
