"""YAML files as plain maps, lists and texts, with the line of every place in them.

Values stay the texts that were written: `no` is "no", `2026-11-30` is "2026-11-30". What a text
means is decided where it is known what is wanted there. Tags, anchors and aliases are refused, so
a file can neither make objects nor blow up.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, KeysView
from pathlib import Path
from typing import Any

import yaml

from planner.core.errors import InputError, Problem
from planner.core.signs import shown_line
from planner.files.atomic_write import leads_nowhere
from planner.files.syntax import syntax_fault

MOST_BYTES = 2_000_000
MOST_NODES = 50_000
"""Names and values in a file: some fifty times those of a large recipe."""

MOST_DEPTH = 30
MOST_MESSAGE = 300

# what YAML forbids, and the breaks that YAML counts as lines but editors do not
_FORBIDDEN = re.compile(
    r"[^\t\n\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)

# the C parser is ten times faster; builds of PyYAML without it exist
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

Place = tuple[str | int, ...]
"""Keys and list positions that lead to a value: `("demand", "loin chops", "orders", 0)`."""


class Document:
    """One file that was read, and what was found wrong with it so far.

    `fault`, `doubt`, `repeat` and `odd` record. Before another complaint, four questions:
    `blamed_around` (was the user told of this already?), `unsure_within` and `unsure_at` (is what
    stands there, whole or by itself, what was meant?), `has_repeats` (may a key of this map stand
    for another?).

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
    unsure : set of tuple
        Places with a fault or a doubt.
    """

    def __init__(self, name: str) -> None:
        self.name = name
        self.data: Any = None
        self.problems: list[Problem] = []
        self.oddities: list[Problem] = []
        self._lines: dict[Place, int] = {}
        self._faults: set[Place] = set()
        self._with_faults_within: set[Place] = set()
        self.unsure: set[Place] = set()
        self._with_unsure_within: set[Place] = set()
        self._repeating: set[Place] = set()

    def line(self, place: Place) -> int:
        """Line of a place, or of the nearest place around it."""
        for length in range(len(place), -1, -1):
            if place[:length] in self._lines:
                return self._lines[place[:length]]
        return 0

    def fault(self, place: Place, message: str) -> None:
        """Record what is wrong with the value at a place."""
        self._faults.add(place)
        self._with_faults_within.update(place[:length] for length in range(len(place) + 1))
        self.doubt(place, message)

    def doubt(self, place: Place, message: str | None = None, line: int | None = None) -> None:
        """Note that the value at a place may not be what was meant, though it can be read.

        Nothing that follows from it should be complained about. `message`, if there is one, tells
        why, on another line than the place's own if one is given.
        """
        self.unsure.add(place)
        self._with_unsure_within.update(place[:length] for length in range(len(place) + 1))
        if message:
            self.problems.append(Problem(self.name, line or self.line(place), _tidy(message)))

    def mark(self, place: Place, line: int) -> None:
        """Note the line of a place; the first note stays."""
        self._lines.setdefault(place, line)

    def odd(self, place: Place, message: str) -> None:
        """Record what is legal but odd at a place."""
        self.oddities.append(Problem(self.name, self.line(place), _tidy(message)))

    def blamed_around(self, place: Place) -> bool:
        """Whether a fault was recorded at this place, above it or under it."""
        above = any(place[:length] in self._faults for length in range(len(place)))
        return above or place in self._with_faults_within

    def unsure_within(self, place: Place) -> bool:
        """Whether a fault or a doubt was recorded at this place or under it."""
        return place in self._with_unsure_within

    def unsure_at(self, place: Place) -> bool:
        """Whether a fault or a doubt was recorded at this very place."""
        return place in self.unsure

    def repeat(self, place: Place, first: int, line: int) -> None:
        """Record a key that stands in its map a second time."""
        self._repeating.add(place[:-1])
        message = f'"{place[-1]}" is listed twice (first on line {first})'
        self.doubt(place, message, line)

    def has_repeats(self, place: Place) -> bool:
        """Whether a key of the map at this place stands in it twice, perhaps for another."""
        return place in self._repeating

    def keys(self, *place: str | int) -> KeysView[str]:
        """Names written in the map at a place, sound or not; empty where there is no map."""
        value = self.data
        for step in place:
            value = value.get(step) if isinstance(value, dict) else None
        return (value if isinstance(value, dict) else {}).keys()

    def stop_if_faulty(self) -> None:
        """Raise `InputError` with everything found so far, if anything was."""
        if self.problems:
            raise InputError(self.problems)


def _tidy(message: str) -> str:
    """Keep a message to one line of printable signs, whatever it quotes."""
    line = shown_line(" ".join(message.split()))
    half = MOST_MESSAGE // 2
    return line if len(line) <= MOST_MESSAGE else f"{line[:half]} .. {line[-half:]}"


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
        line, message = syntax_fault(text, error)
        problem = Problem(name, line, _tidy(f"not YAML here: {message}"))
        raise InputError([*document.problems, problem]) from None
    except (ValueError, OverflowError):  # the slow parser on escapes of no character
        message = "not YAML: it has an escape of a character that does not exist"
        raise InputError([Problem(name, 0, message)]) from None
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
            what = leads_nowhere(path) or "no such file"
            what = "a device or a pipe, and no file" if path.exists() else what
            raise InputError([Problem(name, 0, what)])
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
        if len(raw) > MOST_BYTES:
            raise InputError([Problem(name, 0, "larger than 2 MB; a recipe or a week is not")])
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError([Problem(name, 0, f"cannot be read: {reason}")]) from None
    try:
        text = raw.decode().lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        message = "bytes that are not text (UTF-8) here; save the file as UTF-8"
        raise InputError([Problem(name, line, message)]) from None
    bad = _FORBIDDEN.search(text)
    if bad:
        line = text.count("\n", 0, bad.start()) + 1
        raise InputError([Problem(name, line, _forbidden(bad[0]))])
    return text


def _forbidden(sign: str) -> str:
    return f"a character that cannot stand in these files here (U+{ord(sign):04X})"


class _Builder:
    """Turns the parser's events into plain data without recursion, recording lines."""

    def __init__(self, document: Document, events: Iterable[Any]) -> None:
        self.document = document
        self.events = events
        self.stack: list[tuple[Any, Place]] = []  # open maps and lists, with their places
        self.key: list[tuple[str, int, bool] | None] = []  # per open map: a key that waits
        self.seen_document = False
        self.nodes = 0

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
        bad = _FORBIDDEN.search(value)  # written as an escape in double quotes
        if bad:
            self._stop(line, _forbidden(bad[0]))
        if not self._waiting_for_key():
            self._add(None if plain and value == "" else value, line)
            return
        parent, place = self.stack[-1]
        if value in parent:
            first = self.document.line((*place, value))
            self.document.repeat((*place, value), first, line)
        self.key[-1] = (value, line, value in parent)

    def _add(self, value: Any, line: int) -> Place:
        """Put a value where it belongs; a place inside a duplicate keeps no lines of its own."""
        self.nodes += 1
        if self.nodes > MOST_NODES:
            message = f"more than {MOST_NODES:,} names and values; a recipe or a week has not"
            raise InputError([Problem(self.document.name, 0, message)])
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
