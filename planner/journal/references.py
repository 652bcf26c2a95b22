"""What an entry says of earlier ones: an order that is filled, a writing that is undone."""

from __future__ import annotations

import sqlite3

from planner.journal.entries import Filled, PlanKept, Undone
from planner.journal.rows import select


def check_filled(connection: sqlite3.Connection, filled: Filled) -> None:
    """Stop unless the order is there and counts, and can be filled with so much.

    Raises
    ------
    ValueError
        With a sentence that is safe to print; so also below.
    """
    order = connection.execute(
        'SELECT o."by_each", u."entry" FROM "order_taken" o'
        ' JOIN "entry" e ON e."number" = o."entry"'
        ' LEFT JOIN "undone" u ON u."writing" = e."writing" WHERE o."entry" = ?',
        (filled.order,),
    ).fetchone()
    if order is None:
        raise ValueError(f"entry {filled.order} is not an order")
    by_each, undone = order
    if undone is not None:
        raise ValueError(f"order {filled.order} was undone")
    if by_each and filled.amount != int(filled.amount):
        raise ValueError(f"order {filled.order} is counted, and {filled.amount:g} is not whole")


def check_undone(connection: sqlite3.Connection, undone: Undone) -> None:
    """Stop unless the writing is there and counts, and is one that can be undone.

    Plans stay, so that they can be compared; an undoing stays, so that what counts is plain; and
    an order stays while something that counts says that it was filled.
    """
    number = undone.writing
    entries = select(connection, writing=number)
    if not entries:
        raise ValueError(f"there is no writing {number}")
    first, last = entries[0].number, entries[-1].number
    which, are = f"entry {first}", "is"
    if len(entries) > 1:
        which, are = f"entries {first} to {last}", "are"
    if connection.execute('SELECT 1 FROM "undone" WHERE "writing" = ?', (number,)).fetchone():
        raise ValueError(f"{which} {are} undone already")
    kinds = {type(recorded.entry) for recorded in entries}
    if Undone in kinds:
        raise ValueError(f"{which} undid something: enter again what should count")
    if PlanKept in kinds:
        raise ValueError(f"{which} {are} a plan, and plans cannot be undone")
    filling = connection.execute(
        'SELECT f."order", e."number" FROM "filled" f'
        ' JOIN "entry" e ON e."number" = f."entry"'
        ' JOIN "entry" o ON o."number" = f."order"'
        ' WHERE o."writing" = ? AND e."writing" <> o."writing"'
        ' AND e."writing" NOT IN (SELECT "writing" FROM "undone") ORDER BY e."number" DESC',
        (number,),
    ).fetchone()
    if filling is not None:
        order, by = filling
        raise ValueError(f"order {order} was filled by entry {by}: undo that first")


def last_undoable(connection: sqlite3.Connection) -> int:
    """Number of the last writing that counts and is what somebody entered.

    Not plans; and shares that were written into a recipe only where they are asked for by number,
    since that file has to be put back by hand.
    """
    (number,) = connection.execute(
        'SELECT max("writing") FROM "entry" WHERE "writing" NOT IN'
        ' (SELECT "writing" FROM "entry"'
        " WHERE \"kind\" IN ('plan_kept', 'undone', 'yields_written'))"
        ' AND "writing" NOT IN (SELECT "writing" FROM "undone")'
    ).fetchone()
    if number is None:
        raise ValueError("there is nothing to undo")
    return int(number)
