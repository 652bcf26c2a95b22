"""Files of the user's that are written into: where their values stand, and what they then say."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

from ruamel.yaml import YAML
from ruamel.yaml.nodes import CollectionNode, MappingNode, Node

from planner.core.errors import InputError, Problem
from planner.files.atomic_write import draft_beside, told
from planner.files.find import Folder, shipped_folder

T = TypeVar("T")


def stop_unless_own(path: Path, name: str, folder: Folder, message: str) -> None:
    """Raise `InputError` where a file is a shipped one, with the message, or is closed to us."""
    target = path.resolve()
    if target.is_relative_to(shipped_folder(folder).resolve()):
        raise InputError([Problem(name, 0, message)])
    with told(name):
        os.close(os.open(target, os.O_RDWR))


def said_by(data: bytes, beside: Path, name: str, read: Callable[[Path, str], tuple[T, Any]]) -> T:
    """What bytes say that are read beside a file, which may change from now on."""
    with told(name), draft_beside(beside, data, ".yaml") as draft:
        return read(draft, name)[0]


def by_hand(name: str, what: str, do: str, told_as: Sequence[str]) -> InputError:
    """What to say of a file in which something cannot be changed: what to do by hand."""
    message = f"the file is laid out so that {what} safely, and was left alone; {do} by hand"
    return InputError([Problem(name, 0, f"{message}: {each}") for each in told_as])


def without_marks(data: bytes) -> tuple[str, str]:
    """Byte order marks that a file begins with (some programs write several), and its text."""
    whole = data.decode()
    text = whole.lstrip("\ufeff")
    return whole[: len(whole) - len(text)], text


def parsed(text: str) -> CollectionNode:
    """Where everything stands.

    This parser minds tabs that ours takes for blanks. A last line that does not end would change
    its value once another follows.
    """
    node: CollectionNode = YAML(typ="rt").compose(text.replace("\t", " ") + "\n")
    return node


def entries(node: Node) -> dict[str, Any]:
    """The values of a map by their keys; `KeyError` where there is no map."""
    if not isinstance(node, MappingNode):
        raise KeyError(str(node))
    return {key.value: value for key, value in node.value}
