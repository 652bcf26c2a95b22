"""YAML files as plain maps, lists and texts, with the line of every place in them.

Values stay the texts that were written: `no` is "no", `2026-11-30` is "2026-11-30". What a text
means is decided where it is known what is wanted there. Tags, anchors and aliases are refused, so
a file can neither make objects nor blow up.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import yaml

from planner.errors import InputError, Problem

MOST_BYTES = 5_000_000
MOST_DEPTH = 30

# the C parser is ten times faster; builds of PyYAML without it exist
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

Place = tuple[str | int, ...]
"""Keys and list positions that lead to a value: `("demand", "loin chops", "orders", 0)`."""


class Document:
    """One file that was read, and what was found wrong with it so far.

    Attributes
    ----------
    name : str
        The file as the user named it; stands in every message.
    data : Any
        Maps, lists, texts, and None where nothing was written.
    problems : list of Problem
        Faults, in the order they were found.
    oddities : list of Problem
        What is legal but odd.
    """

    def __init__(self, name: str) -> None:
        self.name = name
        self.data: Any = None
        self.problems: list[Problem] = []
        self.oddities: list[Problem] = []
        self._lines: dict[Place, int] = {}
        self._faulty: set[Place] = set()

    def line(self, place: Place) -> int:
        """Line of a place, or of the nearest place around it."""
        for length in range(len(place), -1, -1):
            if place[:length] in self._lines:
                return self._lines[place[:length]]
        return 0

    def fault(self, place: Place, message: str, line: int | None = None) -> None:
        """Record what is wrong at a place (on another line than the place's own, if given)."""
        self._faulty.add(place)
        self.problems.append(Problem(self.name, line or self.line(place), message))

    def mark(self, place: Place, line: int) -> None:
        """Note the line of a place; the first note stays."""
        self._lines.setdefault(place, line)

    def odd(self, place: Place, message: str) -> None:
        """Record what is legal but odd at a place."""
        self.oddities.append(Problem(self.name, self.line(place), message))

    def faulty(self, place: Place) -> bool:
        """Whether a fault was recorded at this place or under it."""
        return any(at[: len(place)] == place for at in self._faulty)

    def faulty_at(self, place: Place) -> bool:
        """Whether a fault was recorded at this very place."""
        return place in self._faulty

    def keys(self, *place: str | int) -> tuple[str, ...]:
        """Names written in the map at a place, sound or not; empty where there is no map."""
        value = self.data
        for step in place:
            value = value.get(step) if isinstance(value, dict) else None
        return tuple(value) if isinstance(value, dict) else ()

    def stop_if_faulty(self) -> None:
        """Raise `InputError` with everything found so far, if anything was."""
        if self.problems:
            raise InputError(self.problems)


def nearest(word: str, words: Iterable[str]) -> str:
    """` did you mean "loin chops"?` with a semicolon before it, or nothing."""
    close = difflib.get_close_matches(word, list(words), n=1, cutoff=0.6)
    return f'; did you mean "{close[0]}"?' if close else ""


def load(path: Path, name: str) -> Document:
    """Read a YAML file whose top is a map.

    Parameters
    ----------
    path : Path
        Where the file lies.
    name : str
        What messages call it.

    Raises
    ------
    InputError
        The file cannot be read, is not YAML, or is empty. Duplicate keys are recorded as faults of
        the document instead, so that they are told together with other faults.
    """
    document = Document(name)
    text = _text_of(path, name)
    try:
        _Builder(document, yaml.parse(text, Loader=_LOADER)).build()
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = mark.line + 1 if mark else 0
        hint = _yaml_hint(text, line)
        raise InputError([Problem(name, line, f"not YAML here: {error.problem}{hint}")]) from None
    except yaml.YAMLError as error:  # no line: a byte that YAML does not allow
        bad = "a character that cannot stand in a YAML file"
        line = text.count("\n", 0, getattr(error, "position", 0) or 0) + 1
        raise InputError([Problem(name, line, bad)]) from None
    if document.data is None:
        raise InputError([Problem(name, 0, "the file is empty")])
    if not isinstance(document.data, dict):
        raise InputError([Problem(name, 1, "lines such as `title: My shop` are wanted at the top")])
    return document


def _text_of(path: Path, name: str) -> str:
    try:
        if path.is_dir():
            raise InputError([Problem(name, 0, "this is a folder; name a file in it")])
        if not path.is_file():
            raise InputError([Problem(name, 0, "no such file")])
        if path.stat().st_size > MOST_BYTES:
            raise InputError([Problem(name, 0, "larger than 5 MB; a recipe or a week is not")])
        raw = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError([Problem(name, 0, f"cannot be read: {reason}")]) from None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        message = "bytes that are not text (UTF-8) here; save the file as UTF-8"
        raise InputError([Problem(name, line, message)]) from None


def _yaml_hint(text: str, line: int) -> str:
    """Say what mostly lies behind a syntax error on a line."""
    lines = text.split("\n")
    around = lines[max(0, line - 2) : line]
    if any("\t" in each[: len(each) - len(each.lstrip())] for each in around):
        return " (a tab at the start of the line: use spaces)"
    return " (look at the colons, brackets and quotes of this line and the one before)"


class _Builder:
    """Turns the parser's events into plain data without recursion, recording lines."""

    def __init__(self, document: Document, events: Iterable[Any]) -> None:
        self.document = document
        self.events = events
        self.stack: list[tuple[Any, Place]] = []  # open maps and lists, with their places
        self.key: list[tuple[str, int, bool] | None] = []  # per open map: a key that waits
        self.seen_document = False

    def build(self) -> None:
        for event in self.events:
            line = event.start_mark.line + 1
            if isinstance(event, yaml.DocumentStartEvent):
                if self.seen_document:
                    self._stop(
                        line, "a second document begins here (`---`); one file, one document"
                    )
                self.seen_document = True
            elif isinstance(event, yaml.AliasEvent):
                self._stop(line, "aliases (`*name`) are not used in these files; write it out")
            elif isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent):
                self._refuse_extras(event, line)
                self._open({} if isinstance(event, yaml.MappingStartEvent) else [], line)
            elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
                self.stack.pop()
                self.key.pop()
            elif isinstance(event, yaml.ScalarEvent):
                self._refuse_extras(event, line)
                self._scalar(event.value, line, plain=event.style is None or event.style == "")

    def _stop(self, line: int, message: str) -> None:
        raise InputError([*self.document.problems, Problem(self.document.name, line, message)])

    def _refuse_extras(self, event: Any, line: int) -> None:
        if event.anchor:
            self._stop(line, "anchors (`&name`) are not used in these files; write it out")
        if event.tag and event.tag != "!":
            self._stop(line, f"tags (`{event.tag}`) are not used in these files")

    def _waiting_for_key(self) -> bool:
        return bool(self.stack) and isinstance(self.stack[-1][0], dict) and self.key[-1] is None

    def _open(self, empty: Any, line: int) -> None:
        if self._waiting_for_key():
            self._stop(line, "a name is wanted before the colon, not a map or a list")
        if len(self.stack) >= MOST_DEPTH:
            self._stop(line, "nested too deep")
        self.stack.append((empty, self._add(empty, line)))
        self.key.append(None)

    def _scalar(self, value: str, line: int, *, plain: bool) -> None:
        if not self._waiting_for_key():
            self._add(None if plain and value == "" else value, line)
            return
        parent, place = self.stack[-1]
        if value in parent:
            first = self.document.line((*place, value))
            message = f'"{value}" stands here a second time (first on line {first})'
            self.document.fault((*place, value), message, line)
        self.key[-1] = (value, line, value in parent)

    def _add(self, value: Any, line: int) -> Place:
        """Put a value where it belongs; a place inside a duplicate keeps no lines of its own."""
        if not self.stack:
            self.document.data = value
            self.document.mark((), line)
            return ()
        parent, place = self.stack[-1]
        if isinstance(parent, list):
            parent.append(value)
            here: Place = (*place, len(parent) - 1)
            self.document.mark(here, line)
            return here
        waiting = self.key[-1]
        assert waiting is not None
        key, key_line, duplicate = waiting
        self.key[-1] = None
        here = (*place, key)
        if duplicate:
            return (*place, "", key)
        parent[key] = value
        self.document.mark(here, key_line)
        return here
