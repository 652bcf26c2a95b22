"""What a field of an entry holds: declared once with each kind of entry, in `entries.py`.

From it come the columns of the journal's tables, what an entry must keep to, and the entry as a row
of a CSV file and as JSON.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from types import NoneType
from typing import Literal, TypeAlias, get_args, get_type_hints

_Words: TypeAlias = Literal["day", "moment", "name", "way", "text", "plan"]
_Figures: TypeAlias = Literal["whole", "amount", "quantity", "weight", "rate", "money", "number"]
ValueKind: TypeAlias = Literal[_Words, _Figures, "weights", "things", "flag", "reference"]
"""What kind of value it is.

A `name` is that of the cut or piece that an entry is about. A `quantity` is a `Quantity`; an
`amount` is in pounds, or in what the order has; a `rate` is money for one of either. A `reference`
is the number of an entry or a writing. Several `weights`, or `things` of which each is weighed,
have a table of their own.
"""

WORDS: frozenset[ValueKind] = frozenset(get_args(_Words))
"""Values that the tables hold as text; all others are numbers there."""


@dataclass(frozen=True, slots=True)
class Field:
    """What a field of an entry holds.

    It is `called` so in a sentence (`the buyer`), has the `head` without the unit in a CSV file and
    the `key` in JSON (the head where that is empty). What it has several of has a `table` of its
    own. A weight must be `above` nothing, as what was on the scale is. The `name` of the field
    itself, and whether it is `optional` (may be None), stand beside the declaration.
    """

    value: ValueKind
    called: str = ""
    head: str = ""
    key: str = ""
    table: str = ""
    above: bool = False
    name: str = ""
    optional: bool = False

    @property
    def columns(self) -> tuple[str, ...]:
        """Its columns in the journal's tables."""
        return ("amount", "by_each") if self.value == "quantity" else (self.name,)


def fields_of(kind: type) -> tuple[Field, ...]:
    """The fields of a kind of entry, as its annotations declare them."""
    return _fields_of(kind)


@cache
def _fields_of(kind: type) -> tuple[Field, ...]:
    found = []
    for name, hint in get_type_hints(kind, include_extras=True).items():
        declared: Field = hint.__metadata__[0]
        key, optional = declared.key or declared.head, NoneType in get_args(hint.__origin__)
        found.append(replace(declared, name=name, key=key, optional=optional))
    return tuple(found)
