"""Write orders into a scenario file: every byte that is there stays, and nothing half done.

Only the positions of keys and values are taken from the parse. The text around them is not laid
out anew, so comments, quotes, blank lines and line ends stay what they are.
"""

from __future__ import annotations

import json
import re
import shlex
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from ruamel.yaml.error import YAMLError
from ruamel.yaml.nodes import CollectionNode, MappingNode, Node, ScalarNode

from planner.core.errors import InputError, Problem
from planner.core.quantities import WEEKDAYS
from planner.core.scenario import Order, Scenario
from planner.files.asked_order import WrittenOrder, order_of, with_orders
from planner.files.atomic_write import draft_beside, take_place, told
from planner.files.in_place import by_hand, entries, parsed, said_by, stop_unless_own, without_marks
from planner.files.names import Names, cut_names
from planner.files.scenario_file import read_scenario

_BREAK = re.compile(r"\r\n|[\r\n]")
_COMMENT = re.compile(r"(?:\r\n|[\r\n])( *)#[^\r\n]*")
_CONTENT = re.compile(r"(?:\r\n|[\r\n])( *)[^\s#]")
_COMMA = re.compile(r"(?:\s|#[^\r\n]*+)*+,")
_PLAIN = re.compile(r"[^\W\d_][\w.'&()/-]*(?: [\w.'&()/-]+)*")
_NOT_TEXTS = frozenset(("y", "n", "yes", "no", "on", "off", "true", "false", "null"))


def write_orders(path: Path, name: str, orders: Sequence[WrittenOrder]) -> None:
    """Add orders to a scenario file; of a symbolic link, to the file it leads to.

    The new text is the old one with insertions only. Before it takes the old one's place it is
    read again, and has to say what the old one said and the orders.

    Raises `InputError` where the file or an order is faulty, where the file cannot be written, was
    changed meanwhile, or is laid out so that the orders cannot be put in. It is then as it was.
    """
    if not orders:
        return
    stop_unless_writable(path, name)
    with told(name):
        old = path.read_bytes()
    scenario = said_by(old, path, name, read_scenario)
    read = [order_of(scenario, each) for each in orders]
    named = [
        replace(each, cut=one.cut, day=_lasting(each.day, scenario.date(one.day)))
        for each, one in zip(orders, read, strict=True)
    ]
    new = _bytes_with(old, named, cut_names(scenario.recipes, scenario.own_blends))
    try:
        found = said_by(new, path, name, read_scenario) if new else None
    except InputError:
        found = None
    if new is None or found is None or _parts(found) != _parts(with_orders(scenario, read)):
        told_as = [f"under demand, {each.cut}, orders: {_flow(each.words())}" for each in named]
        raise by_hand(name, "an order cannot be put into it", "add", told_as)
    _put(path, name, old, new)


def _lasting(text: str, day: date) -> str:
    """A day as it was said, or its date where that means another day tomorrow, or next year."""
    return text if text.lower() in WEEKDAYS or text[:4].isdigit() else day.isoformat()


def stop_unless_writable(path: Path, name: str) -> None:
    """Raise `InputError` where `write_orders` could not write: to be asked before any planning."""
    copy = f"cp {shlex.quote(str(path))} my-{path.name}"
    message = f"{path.stem} is a shipped scenario; copy it first: {copy}"
    stop_unless_own(path, name, "scenarios", message)
    with told(name), draft_beside(path.resolve(), b""):
        pass


def _bytes_with(old: bytes, orders: Sequence[WrittenOrder], names: Names) -> bytes | None:
    """The file with the orders in it; None where it cannot be told that this is all they change."""
    mark, text = without_marks(old)
    rest = text
    try:
        expected = _data(parsed(text))
        for order in orders:
            text = _with_order(text, order, names)
            demand = expected.setdefault("demand", {})
            entry = demand.setdefault(_key(demand, order.cut, names), {})
            entry.setdefault("orders", []).append(order.words())
        sound = _data(parsed(text)) == expected
    except (YAMLError, KeyError):
        return None
    signs = iter(text)
    only_inserted = all(sign in signs for sign in rest)
    return (mark + text).encode() if sound and only_inserted else None


# where an order belongs


def _with_order(text: str, order: WrittenOrder, names: Names) -> str:
    said = order.words()
    written = said | ({"for": _quoted(said["for"])} if "for" in said else {})
    orders: Mapping[str, Any] = {"orders": [written]}
    entry: Mapping[str, Any] = {_quoted(order.cut): orders}
    node: Any = parsed(text)
    for at, new in enumerate(({"demand": entry}, entry, orders)):
        there = entries(node)
        key = ("demand", _key(there, order.cut, names) if at == 1 else "", "orders")[at]
        if key not in there:
            return _append(text, node, new)
        node = there[key]
    return _append(text, node, written)


def _data(node: Node) -> Any:
    """Maps, lists and the texts that were written."""
    if isinstance(node, ScalarNode):
        return node.value
    if isinstance(node, MappingNode):
        return {key: _data(value) for key, value in entries(node).items()}
    return [_data(each) for each in node.value]


def _key(demand: Mapping[str, Any], cut: str, names: Names) -> str:
    """How the demand calls the cut, with the species in front perhaps; the cut if it has none."""
    return next((key for key in demand if names.find(key) == cut), cut)


# what is written


def _quoted(text: str) -> str:
    """A name in quotes if YAML, or a reader of YAML, might take it for something else."""
    plain = _PLAIN.fullmatch(text) and text.lower() not in _NOT_TEXTS
    return text if plain else json.dumps(text, ensure_ascii=False)


def _flow(value: Any) -> str:
    if isinstance(value, dict):
        return f"{{{_pairs(value)}}}"
    return f"[{', '.join(map(_flow, value))}]" if isinstance(value, list) else str(value)


def _pairs(value: Mapping[str, Any]) -> str:
    return ", ".join(f"{key}: {_flow(each)}" for key, each in value.items())


def _lines(value: Mapping[str, Any]) -> list[str]:
    lines = []
    for key, each in value.items():
        if isinstance(each, dict):
            lines += [f"{key}:", *(f"  {line}" for line in _lines(each))]
        else:
            lines.append(f"{key}: {_flow(each)}")
    return lines


# how it is put in


def _append(text: str, node: CollectionNode, value: Mapping[str, Any]) -> str:
    """The text with pairs at the end of a map, or with one more map at the end of a list."""
    is_map = isinstance(node, MappingNode)
    if node.flow_style:
        return _append_in_flow(text, node, _pairs(value) if is_map else _flow(value))
    column = node.start_mark.column
    lines = _lines(value)
    if not is_map:
        last = node.value[-1]
        if isinstance(last, MappingNode) and not last.flow_style:
            deep = last.start_mark.column - column
            dash = "-".ljust(deep)
            lines = [f"{' ' * deep if number else dash}{line}" for number, line in enumerate(lines)]
        else:
            lines = [f"- {_flow(value)}"]
    at = _below(text, _line_end(text, _end(text, node)), column)
    new = "".join(f"{_break(text, at)}{' ' * column}{line}" for line in lines)
    return text[:at] + new + text[at:]


def _append_in_flow(text: str, node: CollectionNode, item: str) -> str:
    opened, closed = node.start_mark.index + 1, node.end_mark.index - 1
    if not node.value:
        return text[:opened] + item + text[opened:]
    last = node.value[-1]
    first, value = last if isinstance(last, tuple) else (last, last)
    start, at = first.start_mark.index, value.end_mark.index
    comma = _COMMA.match(text, at, closed)
    if comma:
        at = comma.end()
    head = text[:at] + ("" if comma else ",")
    margin = text[max(text.rfind(sign, 0, start) for sign in "\r\n") + 1 : start]
    if margin.strip():  # items stand side by side
        return f"{head} {item}{text[at:]}"
    end = _line_end(text, at)
    below = at if end > closed else _below(text, end, len(margin))
    behind = "," if comma else ""
    return f"{head}{text[at:below]}{_break(text, below)}{margin}{item}{behind}{text[below:]}"


def _end(text: str, node: Node) -> int:
    """Where the last value in a node ends."""
    if isinstance(node, CollectionNode) and not node.flow_style:
        last = node.value[-1]
        return _end(text, last[1] if isinstance(last, tuple) else last)
    start: int = node.start_mark.index
    return start + len(text[start : node.end_mark.index].rstrip())  # block texts end lines below


def _below(text: str, at: int, column: int) -> int:
    """From the end of a block's last line to the end of the comments below that belong to it.

    They are as deep as the block, and deeper than what follows it.
    """
    follows = _CONTENT.search(text, at)
    depth = max(column, len(follows[1]) + 1 if follows else 0)
    while (comment := _COMMENT.match(text, at)) and len(comment[1]) >= depth:
        at = comment.end()
    return at


def _line_end(text: str, at: int) -> int:
    found = _BREAK.search(text, at)
    return found.start() if found else len(text)


def _break(text: str, at: int) -> str:
    """The kind of line break that stands here, or else anywhere in the file."""
    found = _BREAK.match(text, at) or _BREAK.search(text)
    return found[0] if found else "\n"


# how the file is replaced


def _parts(scenario: Scenario) -> tuple[Scenario, Counter[tuple[Order, bool]]]:
    """The scenario without what depends on where in the file a thing stands, and its orders."""
    rules = tuple(replace(rule, line=0) for rule in scenario.rules)
    orders = Counter((replace(each, index=0), each.own_price) for each in scenario.orders)
    return replace(scenario, rules=rules, orders=()), orders


def _put(path: Path, name: str, old: bytes, new: bytes) -> None:
    """Let the new bytes take the place of the old ones at once, if these are still there."""
    target = path.resolve()
    with told(name), draft_beside(target, new, ".yaml", like=target.stat()) as draft:
        if target.read_bytes() != old:
            message = "was changed by someone else in the meantime; nothing was written, try again"
            raise InputError([Problem(name, 0, message)])
        take_place(draft, target)
