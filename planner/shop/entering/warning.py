"""What is told of an entry that may be right, though a slip is likelier: it is never refused."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

ADD_YES = "if it is right, add --yes"


@dataclass(frozen=True, slots=True)
class EntryWarning:
    """What is unlikely about an entry.

    The `kind` of entries that have it ends `3 entries`; it is `about` a part of the entry: `count`,
    `weight`, or the journal's name of a thing; empty: all of it. To `undo` is an entry of the
    journal that says the same.
    """

    sentence: str
    kind: str = ""
    about: str = ""
    undo: int | None = None

    @property
    def question(self) -> str:
        """As it is told to somebody who may type it again."""
        return f"{self.sentence}; {self._undo}" if self.undo else self.sentence

    @property
    def correction(self) -> str:
        """As it is told of a line of a table; after a question mark comes a sentence."""
        remedy = f"to enter it again: --yes; {self._undo}" if self.undo else ADD_YES
        if self.sentence.endswith("?"):
            return f"{self.sentence} {remedy[0].upper()}{remedy[1:]}"
        return f"{self.sentence}; {remedy}"

    @property
    def _undo(self) -> str:
        return f"to undo it: breakplan journal undo {self.undo}"


def joined(warnings: Iterable[EntryWarning]) -> EntryWarning | None:
    """All warnings as one; None where there are none."""
    told = ""
    for each in dict.fromkeys(one.sentence for one in warnings):
        gap = " " if told.endswith("?") else "; " if told else ""
        told += f"{gap}{each}"
    return EntryWarning(told) if told else None
