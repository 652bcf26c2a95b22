"""`breakplan journal undo`: which writing is taken back, never silently another than the last."""

from __future__ import annotations

from collections.abc import Sequence

from planner.commands.common import wrong
from planner.core.signs import shown_line
from planner.journal.entries import BreakDone, PlanKept, Recorded, YieldsWritten
from planner.show.journal import undo_words


def writing_to_undo(
    everything: Sequence[Recorded], counting: Sequence[Recorded], number: int | None, *, yes: bool
) -> int | None:
    """The writing of an entry, or the last; None where there is nothing to undo.

    Whether it can be undone is for the journal to say. Raises `InputError`: there is no such entry;
    or what was entered last is something else, or what is undone is in a recipe's figures and stays
    there, and nobody said yes.
    """
    if number is None:
        writing = _last(counting, yes=yes)
    else:
        writing = next((each.writing for each in everything if each.number == number), None)
        if writing is None:
            raise wrong("undo", f"the journal has no entry {number}")
    if writing is not None and not yes:
        _stop_if_in_recipe(writing, counting)
    return writing


def _last(counting: Sequence[Recorded], *, yes: bool) -> int | None:
    """The last writing that is neither a plan nor shares written into a recipe."""
    kept = PlanKept | YieldsWritten
    stays = {one.writing for one in counting if isinstance(one.entry, kept)}
    entered = max((one.writing for one in counting if one.writing not in stays), default=None)
    last = max(counting, key=lambda one: one.writing, default=None)
    if entered is None or last is None or last.writing not in stays or yes:
        return entered
    what = f"a plan (entry {last.number}), and plans cannot be undone"
    if isinstance(last.entry, YieldsWritten):
        what = (
            f"shares written into the recipe (entry {last.number}), which are undone only by their "
            "number, since that file is put back by hand"
        )
    first, *more = (one.number for one in counting if one.writing == entered)
    some = f"{len(more) + 1} entries, {first} to {more[-1]}" if more else f"entry {first}"
    undo = undo_words((first, *more)[-1], len(more) + 1)
    raise wrong("undo", f"the last thing entered is {what}; before it came {some}. {undo}")


def _stop_if_in_recipe(writing: int, counting: Sequence[Recorded]) -> None:
    """Stop where weights of the writing were counted into the recipe's figures since."""
    weighed = {
        (one.entry.piece, one.entry.way)
        for one in counting
        if one.writing == writing
        and isinstance(one.entry, BreakDone)
        and (one.entry.gave or one.entry.pounds is not None)
    }
    into = [
        (one.number, f"{one.entry.piece}: {one.entry.way}")
        for one in counting
        if isinstance(one.entry, YieldsWritten)
        and one.writing > writing
        and (one.entry.piece, one.entry.way) in weighed
    ]
    if into:
        ways = ", ".join(dict.fromkeys(way for _, way in into))
        by = f"{'entry' if len(into) == 1 else 'entries'} {', '.join(str(n) for n, _ in into)}"
        raise wrong(
            "undo",
            f"the weights of {shown_line(ways)} were counted into the recipe by {by}, and stay in "
            "its figures; if it is right, add --yes",
        )
