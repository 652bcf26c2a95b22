"""What stands in the shipped recipes, for messages and for blends that use what there is of it."""

from __future__ import annotations

from planner.files.find import shipped_folder, shipped_names
from planner.files.yamlfile import Document, load


def shipped_recipes() -> tuple[Document, ...]:
    """All shipped recipes and files of blends, as they are written."""
    folder = shipped_folder("recipes")
    return tuple(load(folder / f"{name}.yaml", name) for name in shipped_names("recipes"))


def shipped_cuts() -> frozenset[str]:
    """Every cut of every shipped recipe, its species in front: `lamb suet`."""
    return frozenset(
        f"{document.data.get('species')} {cut}"
        for document in shipped_recipes()
        for cut in document.keys("cuts")
    )
