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

    `fault`, `doubt`, `repeat` and `warn` record. Before another complaint, four questions:
    `blamed_around` (was the user told of this already?), `unsure_within` and `unsure_at` (is what
    stands there, whole or by itself, what was meant?), `has_repeats` (may a key of this map stand
    for another?).

    `name` is the file as the user named it, as in every message; `data` are maps, lists, texts, and
    None where nothing was written; `problems` are faults in the order they were found, `warnings`
    what is legal but unlikely, `unsure` the places with a fault or a doubt.
    """

    def __init__(self, name: str) -> None:
        self.name = name
        self.data: Any = None
        self.problems: list[Problem] = []
        self.warnings: list[Problem] = []
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

    def warn(self, place: Place, message: str) -> None:
        """Record what is legal but unlikely at a place."""
        self.warnings.append(Problem(self.name, self.line(place), _tidy(message)))

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
            inside = isinstance(value, list) or (isinstance(value, dict) and step in value)
            value = value[step] if inside else None
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
    """Read a YAML file whose top is a map; `name` is what messages call it.

    Raises `InputError` where it cannot be read, is not YAML, or is empty. Duplicate keys are
    recorded as faults of the document instead, so that they are told together with other faults.
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
        raise InputError([Problem(name, 1, "lines such as `title: My shop` are needed at the top")])
    return document


def _text_of(path: Path, name: str) -> str:
    try:
        if path.is_dir():
            raise InputError([Problem(name, 0, "this is a folder; name a file in it")])
        if not path.is_file():
            what = leads_nowhere(path) or "no such file"
            what = "a device or a pipe, not a file" if path.exists() else what
            raise InputError([Problem(name, 0, what)])
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
        if len(raw) > MOST_BYTES:
            raise InputError([Problem(name, 0, "larger than 2 MB, the most a file may have")])
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
    """Turns the parser's events into plain data, recording lines."""

    def __init__(self, document: Document, events: Iterable[Any]) -> None:
        self.document = document
        self.events = iter(events)
        self.nodes = 0

    def build(self) -> None:
        documents = 0
        for event in self.events:
            documents += isinstance(event, yaml.DocumentStartEvent)
            if documents > 1:
                message = "a second document begins here (`---`); one file, one document"
                self._stop(event, message)
            begins = isinstance(event, yaml.NodeEvent)
            if begins:
                self.document.mark((), event.start_mark.line + 1)
                self.document.data = self._value(event, ())

    def _stop(self, event: Any, message: str) -> None:
        problem = Problem(self.document.name, event.start_mark.line + 1, message)
        raise InputError([*self.document.problems, problem])

    def _value(self, event: Any, place: Place) -> Any:
        """What begins with an event: a map, a list, a text, or None."""
        self.nodes += 1
        if self.nodes > MOST_NODES:
            message = f"more than {MOST_NODES:,} names and values, the most a file may have"
            raise InputError([Problem(self.document.name, 0, message)])
        self._check(event)
        if isinstance(event, yaml.ScalarEvent):
            return None if event.value == "" and not event.style else event.value
        if len(place) >= MOST_DEPTH:
            self._stop(event, "nested too deep")
        if isinstance(event, yaml.MappingStartEvent):
            return self._map(place)
        items: list[Any] = []
        while not isinstance(each := next(self.events), yaml.SequenceEndEvent):
            here = (*place, len(items))
            self.document.mark(here, each.start_mark.line + 1)
            items.append(self._value(each, here))
        return items

    def _map(self, place: Place) -> dict[str, Any]:
        """A map; of a key that is there already neither the value nor its lines are kept."""
        entries: dict[str, Any] = {}
        while not isinstance(key := next(self.events), yaml.MappingEndEvent):
            self._check(key)
            if not isinstance(key, yaml.ScalarEvent):
                self._stop(key, "a name is expected before the colon, not a map or a list")
            line, here = key.start_mark.line + 1, (*place, key.value)
            if key.value in entries:
                self.document.repeat(here, self.document.line(here), line)
                self._value(next(self.events), (*place, "", key.value))
            else:
                self.document.mark(here, line)
                entries[key.value] = self._value(next(self.events), here)
        return entries

    def _check(self, event: Any) -> None:
        """Refuse what is not used in these files, and signs written as escapes."""
        if isinstance(event, yaml.AliasEvent):
            self._stop(event, "aliases (`*name`) are not used in these files; write it out")
        if event.anchor:
            self._stop(event, "anchors (`&name`) are not used in these files; write it out")
        if event.tag and event.tag != "!":
            self._stop(event, f"tags (`{event.tag}`) are not used in these files")
        bad = isinstance(event, yaml.ScalarEvent) and _FORBIDDEN.search(event.value)
        if bad:
            self._stop(event, _forbidden(bad[0]))
