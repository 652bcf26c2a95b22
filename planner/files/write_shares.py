"""Write other shares into a recipe file: only the numbers change, and nothing is half done.

Positions of values are taken from the parse; the text around them, comments, quotes, blank lines
and line ends stay what they are. The new file is first laid beside the old one, under a name that
says what it takes the place of. So whoever finds it there, after a kill at any moment, can let it
take that place or take it away.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path

from ruamel.yaml.error import YAMLError
from ruamel.yaml.nodes import ScalarNode

from planner.core import clock
from planner.core.errors import InputError, Problem
from planner.core.recipe import LOSS, Given, Recipe, Way
from planner.files.atomic_write import keep_names, lay, take_place, told
from planner.files.in_place import by_hand, entries, parsed, said_by, stop_unless_own, without_marks
from planner.files.recipe_file import read_recipe

STALE = 60.0
"""Seconds after which a new file that nobody decided on is taken away. Common practice, no source.

By the clock on the wall, against the time the disk has for the file: nothing else says whether the
terminal that laid it there is alive. So this is many times what a writing takes. Where the clock is
put on meanwhile, it may be taken from under a writing, which then finds the old file and says so;
where it is put back, the next writing waits longer.
"""

_NUMBER = re.compile(r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?=\s*%)")
_LAID = re.compile(r"\.(?P<file>.+)\.yields-(?P<number>[0-9]+)-(?P<old>[0-9a-f]{16})")

Figures = Mapping[tuple[str, str, str], Decimal]
"""Percent of one of each thing, by piece, way and thing."""


@dataclass(frozen=True, slots=True)
class NewShares:
    """A recipe file with other shares in it, not written yet; messages call it by its name."""

    path: Path
    name: str
    old: bytes
    new: bytes


@dataclass(frozen=True, slots=True)
class Laid:
    """A new file (`draft`) that lies beside the one whose place it is to take.

    `number` is that of the last entry of the journal when it was laid there.
    """

    draft: Path
    path: Path
    number: int


def shares_in(path: Path, name: str, figures: Figures) -> NewShares:
    """The file with other figures in the place of its own.

    The new text is read back before it is handed out: it must be a sound recipe that says the new
    figures, and for the rest what the old one says.

    Raises `InputError` where the file is shipped, cannot be read or written, or is laid out so that
    its figures cannot be changed safely.
    """
    message = (
        "is a shipped recipe, which no yields are written into; copy it into the shop folder "
        "and name the copy in shop.yaml"
    )
    stop_unless_own(path, name, "recipes", message)
    target = path.resolve()
    with told(name):
        old = target.read_bytes()
    before = said_by(old, target, name, read_recipe)
    mark, text = without_marks(old)
    try:
        new = (mark + _with_figures(text, figures)).encode()
        sound = said_by(new, target, name, read_recipe) == _said(before, figures)
    except (YAMLError, KeyError, InputError):
        sound = False
    if not sound:
        ways: dict[str, list[str]] = {}
        for (piece, way, thing), figure in figures.items():
            ways.setdefault(f"{piece}, {way}", []).append(f"{thing} {figure:f}%")
        told_as = "; ".join(f"{way}: {', '.join(each)}" for way, each in ways.items())
        raise by_hand(name, "its shares cannot be changed", "change", [told_as])
    return NewShares(target, name, old, new)


def lay_beside(shares: NewShares, number: int) -> Laid:
    """Lay the new file beside the old one, on the disk for good; nothing else has happened then.

    `number` is that of the last entry of the journal that was read for it.
    """
    others = laid_beside(shares.path)
    if others:
        message = "its yields are being written by someone else; try again in a minute"
        raise InputError([Problem(shares.name, 0, message)])
    digest = _digest(shares.old)
    draft = shares.path.with_name(f".{shares.path.name}.yields-{number}-{digest}")
    with told(shares.name):
        lay(draft, shares.new, shares.path.stat())
        keep_names(shares.path.parent)
    return Laid(draft, shares.path, number)


def laid_beside(path: Path) -> list[Laid]:
    """New files of shares that lie beside a recipe file."""
    target = path.resolve()
    found = []
    with suppress(OSError):  # of a folder that cannot be listed: nothing is to be done there
        for each in sorted(target.parent.iterdir()):
            named = _LAID.fullmatch(each.name)
            if named and named["file"] == target.name:
                found.append(Laid(each, target, int(named["number"])))
    return found


def put_in_place(laid: Laid, name: str) -> None:
    """Let a new file take the place of the old one, at once; done before, it does nothing.

    Raises `InputError` where the old file was changed since; both are left as they are.
    """
    with told(name):
        try:
            new = laid.draft.read_bytes()
        except FileNotFoundError:  # another terminal did it
            return
        old = laid.path.read_bytes()
        if old == new:
            laid.draft.unlink(missing_ok=True)
        elif not laid.draft.name.endswith(_digest(old)):
            message = (
                "was changed while its yields were being written; they are counted as in it: take "
                f"the shares over from {laid.draft.name} beside it, then delete that file"
            )
            raise InputError([Problem(name, 0, message)])
        else:
            with suppress(FileNotFoundError):
                take_place(laid.draft, laid.path)


def is_in_place(shares: NewShares) -> bool:
    """Whether the file is not what it was before the new shares were to take its place."""
    with told(shares.name):
        return shares.old == shares.new or shares.path.read_bytes() != shares.old


def take_away(laid: Laid, name: str, *, at_once: bool = False) -> None:
    """Take a new file away that is not to be used; not yet where it may be someone's right now."""
    with told(name), suppress(FileNotFoundError):
        if at_once or clock.now().timestamp() - laid.draft.stat().st_mtime > STALE:
            laid.draft.unlink()


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:16]


# the text


def _with_figures(text: str, figures: Figures) -> str:
    """The text with other numbers; `KeyError` where one has no place of its own."""
    pieces = entries(entries(parsed(text))["pieces"])
    spans: dict[tuple[int, int], str] = {}
    for (piece, way, thing), figure in figures.items():
        one = entries(entries(entries(pieces[piece])["ways"])[way])
        value = entries(one["gives"])[thing]
        if not isinstance(value, ScalarNode):
            raise KeyError(thing)
        begin, end = value.start_mark.index, value.end_mark.index
        numbers = list(_NUMBER.finditer(text, begin, end))
        if len(numbers) != 1:
            raise KeyError(thing)
        written = f"{figure:f}"
        if spans.setdefault(numbers[0].span(), written) != written:
            raise KeyError(thing)
    for (begin, end), written in sorted(spans.items(), reverse=True):
        text = text[:begin] + written + text[end:]
    return text


def _said(recipe: Recipe, figures: Figures) -> Recipe:
    """The recipe with these figures, as it is read from a file."""

    def changed(piece: str, way: Way) -> Way:
        new = {
            thing: float(f"{figure:f}") / 100
            for (of_piece, of_way, thing), figure in figures.items()
            if (of_piece, of_way) == (piece, way.name)
        }

        def given(each: Given) -> Given:
            return replace(each, share=new.get(each.name, each.share))

        pieces, cuts = map(given, way.pieces), map(given, way.cuts)
        return replace(way, pieces=tuple(pieces), cuts=tuple(cuts), loss=new.get(LOSS, way.loss))

    pieces = {
        name: replace(piece, ways={title: changed(name, way) for title, way in piece.ways.items()})
        for name, piece in recipe.pieces.items()
    }
    return replace(recipe, pieces=pieces)
