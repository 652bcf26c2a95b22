"""`breakplan journal undo`: which writing is taken back, never silently another than the last."""

from __future__ import annotations

from planner.core.errors import InputError, Problem
from planner.core.quantities import show_count
from planner.core.signs import shown_line
from planner.journal.entries import BreakDone, Filled, PlanKept, Recorded, Undone, YieldsWritten
from planner.show.journal import undo_words


class Undoing:
    """Tells which writing is undone.

    Parameters
    ----------
    everything : tuple of Recorded
        All there is.
    counting : tuple of Recorded
        What counts of it.
    """

    def __init__(self, everything: tuple[Recorded, ...], counting: tuple[Recorded, ...]) -> None:
        self._everything, self._counting = everything, counting

    def writing(self, number: int | None, *, yes: bool) -> int | None:
        """The writing of an entry, or the last; None where there is nothing to undo.

        Raises
        ------
        InputError
            It cannot be undone; or what was entered last is something else, or what is undone is in
            a recipe's figures and stays there, and nobody said yes.
        """
        writing = self._last(yes=yes) if number is None else self._of_entry(number)
        if writing is not None and not yes:
            self._stop_if_in_recipe(writing)
        return writing

    def _last(self, *, yes: bool) -> int | None:
        kept = PlanKept | YieldsWritten
        stays = {one.writing for one in self._counting if isinstance(one.entry, kept)}
        entered = [one.writing for one in self._counting if one.writing not in stays]
        if not entered:
            return None
        last = max(self._counting, key=lambda one: one.writing)
        if last.writing in stays and not yes:
            what = _called(last)
            undone = [one.number for one in self._counting if one.writing == max(entered)]
            some = f"entry {undone[0]}"
            if len(undone) > 1:
                some = f"{len(undone)} entries, {undone[0]} to {undone[-1]}"
            raise _fault(
                f"the last thing entered is {what}; before it came {some}. "
                f"{undo_words(undone[-1], len(undone))}"
            )
        return max(entered)

    def _of_entry(self, number: int) -> int:
        one = next((each for each in self._everything if each.number == number), None)
        if one is None:
            raise _fault(f"the journal has no entry {number}")
        if one.writing not in {each.writing for each in self._counting}:
            if isinstance(one.entry, Undone):
                message = f"entry {number} undid something: enter again what should count"
                raise _fault(message)
            raise _fault(f"entry {number} is undone already")
        if isinstance(one.entry, PlanKept):
            raise _fault(f"entry {number} is a plan, and plans are not undone")
        orders = {each.number for each in self._counting if each.writing == one.writing}
        for each in reversed(self._counting):
            entry = each.entry
            if isinstance(entry, Filled) and entry.order in orders and each.writing != one.writing:
                message = f"order {entry.order} was filled by entry {each.number}: undo that first"
                raise _fault(message)
        return one.writing

    def _stop_if_in_recipe(self, writing: int) -> None:
        """Stop where weights of the writing were counted into the recipe's figures since."""
        weighed = {
            (one.entry.piece, one.entry.way)
            for one in self._counting
            if one.writing == writing
            and isinstance(one.entry, BreakDone)
            and (one.entry.gave or one.entry.pounds is not None)
        }
        into: dict[int, list[str]] = {}
        for one in self._counting:
            entry = one.entry
            if (
                isinstance(entry, YieldsWritten)
                and one.writing > writing
                and (entry.piece, entry.way) in weighed
            ):
                into.setdefault(one.number, []).append(f"{entry.piece}: {entry.way}")
        if not into:
            return
        ways = ", ".join(dict.fromkeys(way for each in into.values() for way in each))
        by = f"{'entry' if len(into) == 1 else 'entries'} {', '.join(map(str, into))}"
        raise _fault(
            f"the weights of {shown_line(ways)} were counted into the recipe by {by}, and stay in "
            f"its figures; if it is right, add --yes"
        )


def _called(one: Recorded) -> str:
    """What an entry that is not undone as the last is."""
    if isinstance(one.entry, PlanKept):
        return f"a plan (entry {one.number}), and plans are not undone"
    return (
        f"shares written into the recipe (entry {one.number}), which are undone only by their "
        "number, since that file is put back by hand"
    )


def _fault(message: str) -> InputError:
    return InputError([Problem("undo", 0, message)])


def undone_text(number: int) -> str:
    """How many entries were undone, to begin the list of them with."""
    return f"Undone {show_count(number, 'entry', 'entries')}; --undone lists what was:"
