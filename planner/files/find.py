"""Where recipes and scenarios lie: a path, or the name of one that is shipped."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from planner.core.errors import InputError, Problem
from planner.core.spelling import nearest
from planner.files.atomic_write import leads_nowhere
from planner.files.yamlfile import Document, load

Folder = Literal["recipes", "scenarios"]
FOLDERS: tuple[Folder, ...] = ("scenarios", "recipes")


def shipped_folder(folder: Folder) -> Path:
    """Folder of the shipped files: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    inside = package / folder
    return inside if inside.is_dir() else package.parent / folder


def shipped_names(folder: Folder) -> list[str]:
    """Names under which files are shipped, in alphabetical order."""
    return sorted(path.stem for path in shipped_folder(folder).glob("*.yaml"))


def shipped_recipes() -> tuple[Document, ...]:
    """All shipped recipes and files of blends, as they are written."""
    folder = shipped_folder("recipes")
    return tuple(load(folder / f"{name}.yaml", name) for name in shipped_names("recipes"))


def shipped_known_as() -> dict[str, tuple[str, ...]]:
    """Species of each shipped recipe by the name of its file, then what else the trade calls it."""
    return {
        each.name: (each.data["species"], *each.data.get("known as", ()))
        for each in shipped_recipes()
        if "species" in each.data
    }


def find(text: str, folder: Folder | None, beside: Path) -> tuple[Path, str]:
    """Path of a file and the name messages call it by.

    The text is a path, relative to the folder `beside`, or a name that is shipped in a folder, or
    in either; a file at that path wins over a shipped one. Raises `InputError` where there is
    neither.
    """
    path = beside / text
    folders = FOLDERS if folder is None else (folder,)
    names = {name: each for each in reversed(folders) for name in shipped_names(each)}
    try:  # a folder may have the name of a shipped file
        there = path.is_file() if text in names else path.exists()
    except (OSError, ValueError):  # a name too long, or with a null byte
        there = False
    if not there and text in names:
        path, there = shipped_folder(names[text]) / f"{text}.yaml", True
    if nowhere := leads_nowhere(path):
        raise InputError([Problem(text, 0, nowhere)])
    if there:
        return path, shown(path)
    known = ", ".join(name for each in folders for name in shipped_names(each))
    known = f"(shipped {folder}: {known})" if folder else f"(shipped: {known})"
    other = next((each for each in FOLDERS if text in shipped_names(each)), None)
    if folder and other:
        message = f"this is a {other[:-1]}, but a {folder[:-1]} is expected here {known}"
    else:
        known_as = None if folder == "scenarios" else shipped_known_as()
        message = f"no such file{nearest(text, names, known_as)} {known}"
    raise InputError([Problem(text, 0, message)])


def shown(path: Path) -> str:
    """Write a path the short way: from the working folder where the file lies under it."""
    try:
        return str(path.resolve().relative_to(Path.cwd()))
    except (ValueError, OSError):
        return str(path)
