"""A new shop folder: what stands in its files, and how they get there whole or not at all."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any

from planner.core.errors import InputError, Problem
from planner.core.quantities import WEEKDAYS
from planner.core.spelling import nearest
from planner.files.atomic_write import draft_name, is_standard_output, lay, place_new
from planner.files.file_kind import SHOP_FILE
from planner.files.find import shipped_folder, shipped_known_as, shipped_recipes
from planner.files.shop_file import JOURNAL
from planner.journal.store import Journal

SPECIES = ("lamb", "hog", "beef", "veal", "goat")
"""Of which there are shipped recipes, and a template in the folder `starters`."""

FIRST_WEEK = "first-week.yaml"
_STARTS = re.compile(rb"(?m)^starts: ([0-9]{4}-[0-9]{2}-[0-9]{2})")


def read_species(text: str) -> tuple[str, ...]:
    """`lamb,hog`: species in this order.

    Raises
    ------
    ValueError
        There is none, or one that no shipped recipe is for.
    """
    names = tuple(dict.fromkeys(word.strip().lower() for word in text.split(",") if word.strip()))
    known = ", ".join(SPECIES)
    if not names:
        raise ValueError(f"no species is named; write one or more of {known}")
    for name in names:
        if name not in SPECIES:
            near = nearest(name, SPECIES, {one: also for one, *also in shipped_known_as().values()})
            raise ValueError(f'no recipe for "{name}"{near} ({known})')
    return names


@dataclass(frozen=True)
class NewShop:
    """What a new shop folder is made of; `monday` is the first day of its first scenario."""

    species: tuple[str, ...]
    monday: date

    @cached_property
    def files(self) -> dict[str, bytes]:
        """Every file but the journal by its path in the folder, shop.yaml last."""
        recipes = {f"recipes/{name}.yaml": text for name, text in self._recipes.items()}
        week = self._written(f"{FIRST_WEEK}.jinja", recipes)
        shop = self._written(f"{SHOP_FILE}.jinja", recipes)
        return {**recipes, FIRST_WEEK: week, SHOP_FILE: shop}

    @property
    def _recipes(self) -> dict[str, bytes]:
        """The shipped files byte for byte, by name: recipes, and the blends of several species."""
        documents = shipped_recipes()
        names = [
            document.name
            for species in self.species
            for document in documents
            if document.data.get("species") == species
        ]
        if len(self.species) > 1:
            names += [each.name for each in documents if "takes from" in each.data]
        folder = shipped_folder("recipes")
        return {name: (folder / f"{name}.yaml").read_bytes() for name in names}

    def _written(self, template: str, recipes: Iterable[str]) -> bytes:
        from jinja2 import Environment, PackageLoader, StrictUndefined

        starters = Environment(
            loader=PackageLoader("planner.shop", "starters"),
            autoescape=False,  # they are YAML, and no text of the user's goes in
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
            undefined=StrictUndefined,
        )
        parts: list[Any] = [
            starters.get_template(f"{each}.yaml.jinja").module for each in self.species
        ]
        minutes = {day: sum(each.bench.get(day, 0) for each in parts) for day in WEEKDAYS}
        bench = ", ".join(f"{day}: {each}" for day, each in minutes.items() if each)
        text = starters.get_template(template).render(
            parts=parts,
            several=starters.get_template("several.yaml.jinja").module,
            species=self.species,
            alone=len(self.species) == 1,
            recipes=list(recipes),
            bench=f"{{{bench}}}",
            starts=self.monday.isoformat(),
        )
        return text.encode("utf-8")


def new_shop(species: tuple[str, ...], today: date) -> NewShop:
    """What goes into a new shop folder; its first week begins on the coming Monday, or today."""
    return NewShop(species, today + timedelta(days=-today.weekday() % len(WEEKDAYS)))


def lay_out(folder: Path, shop: NewShop) -> tuple[str, ...]:
    """Make the folder, or fill the one that is there; returns the paths of its files in it.

    Everything is first written into a folder of another name on the same disk. A folder that is
    not there yet is that one, renamed; into one that is there the files are moved one by one,
    shop.yaml last, for only that makes it a shop folder. What is there with the very content it
    would get (left by a run that was killed) is no hindrance and stays.

    Raises
    ------
    InputError
        One of the files is there already, or the folder cannot be written to; nothing has
        been changed then.
    """
    if is_standard_output(folder):
        raise InputError([Problem(str(folder), 0, "is standard output; name a folder")])
    with _told(folder):
        if folder.exists() and not folder.is_dir():
            raise InputError([Problem(str(folder), 0, "is a file, not a folder")])
        fresh = not folder.exists()
        paths = [*list(shop.files)[:-1], JOURNAL, SHOP_FILE]
        missing = paths if fresh else _missing(folder, shop, paths)
        if fresh:
            folder.resolve().parent.mkdir(parents=True, exist_ok=True)
        with _draft(folder.resolve().parent if fresh else folder) as draft:
            for path, content in shop.files.items():
                (draft / path).parent.mkdir(exist_ok=True)
                lay(draft / path, content)
            _make_journal(draft / JOURNAL, folder / JOURNAL)
            if fresh:
                os.rename(draft, folder.resolve())
            else:
                _move(draft, folder, missing)
    return tuple(paths)


def _missing(folder: Path, shop: NewShop, paths: Sequence[str]) -> list[str]:
    """Paths that are to be made; `InputError` where something else is in the place of one."""
    there = [path for path in paths if os.path.lexists(folder / path)]
    foreign = there
    if SHOP_FILE not in there:  # else it is a shop folder, and none that was left half done
        foreign = [path for path in there if not _is_ours(folder / path, path, shop)]
    shelf = folder / "recipes"
    if os.path.lexists(shelf) and not shelf.is_dir():
        foreign.append("recipes (which is not a folder)")
    if foreign:
        message = f"nothing was written, because it already has: {', '.join(foreign)}"
        if SHOP_FILE in there and JOURNAL not in there:
            message += f"; its {JOURNAL} is missing: breakplan journal new makes an empty one"
        raise InputError([Problem(str(folder), 0, message)])
    return [path for path in paths if path not in there]


def _is_ours(there: Path, path: str, shop: NewShop) -> bool:
    """Whether a file is what an earlier run, perhaps in another week, would have put there."""
    if not there.is_file():
        return False
    if path == JOURNAL:
        with suppress(InputError), Journal(there) as journal:
            return not journal.recorded(undone=True)
        return False
    content = there.read_bytes()
    if path == FIRST_WEEK and (starts := _STARTS.search(content)):
        with suppress(ValueError):
            shop = NewShop(shop.species, date.fromisoformat(starts[1].decode()))
    return content == shop.files[path]


@contextmanager
def _draft(beside: Path) -> Iterator[Path]:
    """A new folder in a folder; what is left of it at the end is removed."""
    draft = draft_name(beside)
    draft.mkdir()
    try:
        yield draft
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def _make_journal(path: Path, called: Path) -> None:
    """An empty journal; faults are told of the place it will have."""
    try:
        with Journal(path, create=True):
            pass
    except InputError as error:
        problems = [Problem(str(called), 0, each.message) for each in error.problems]
        raise InputError(problems) from None


def _move(draft: Path, folder: Path, paths: Sequence[str]) -> None:
    """Move files in this order, never over one that has come meanwhile; all of them, or none."""
    moved: list[Path] = []
    shelf = folder / "recipes"
    is_new = not shelf.exists()
    try:
        shelf.mkdir(exist_ok=True)
        for path in paths:
            place_new(draft / path, folder / path)
            moved.append(folder / path)
    except BaseException:
        for each in reversed(moved):
            with suppress(OSError):
                os.unlink(each)
        if is_new:
            with suppress(OSError):  # it is not empty any more
                shelf.rmdir()
        raise


@contextmanager
def _told(folder: Path) -> Iterator[None]:
    """Tell the user of what the system refuses."""
    try:
        yield
    except FileExistsError as error:
        name = error.filename2 or error.filename or folder
        message = "is in the way; nothing was written"
        raise InputError([Problem(str(name), 0, message)]) from None
    except (OSError, RuntimeError, ValueError) as error:  # links in a ring, a null byte
        reason = getattr(error, "strerror", None) or str(error)
        message = f"no shop folder can be made there: {reason}"
        raise InputError([Problem(str(folder), 0, message)]) from None
