"""A picture: an inline SVG, and the same in words; and how one is made of a template."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from planner.show.pictures.colours import inks
from planner.show.templating import environment

WIDTH = 760  # units across every picture

EDGE = 2
"""Units from the left edge to a text: some letters reach out to the left of where they begin."""


@dataclass(frozen=True, slots=True)
class Picture:
    """Something to look at.

    Attributes
    ----------
    title : str
        What it shows.
    svg : Markup
        An `svg` element for a page; empty where there is no drawing.
    words : tuple of str
        Plain lines that say the same.
    """

    title: str
    svg: Markup
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text: where it begins, and whether it is bold."""

    x: float
    y: float
    text: str
    bold: bool = False


def drawn(kind: str, prefix: str, title: str, high: float, **values: Any) -> Markup:
    """An SVG made of a template of `planner/show/templates`, all names in it escaped."""
    values |= {"prefix": prefix, "title": title, "width": WIDTH, "high": high, **inks()}
    text = environment().get_template(f"{kind}.svg.jinja").render(values)
    return Markup(text.strip())
