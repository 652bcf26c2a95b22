"""When an order is filled: the same for the list of open orders and for the plan."""

from __future__ import annotations

FILLED = 0.95
"""An order by weight that was picked up to this share is filled: nobody packs to the ounce."""

NOTHING = 1e-6
"""What is left of an order, and is less than this, is nothing."""


def is_filled(amount: float, filled: float, *, by_each: bool) -> bool:
    """Whether an order for an amount is filled by what was picked up of it: pounds or each."""
    enough = 1.0 if by_each else FILLED
    return filled >= enough * amount - NOTHING
