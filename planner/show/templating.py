"""Templates of `planner/show/templates`: every name in them is escaped."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from planner.signs import shown_text


def environment() -> Environment:
    """Where the templates are, and how they are read."""
    return Environment(
        loader=PackageLoader("planner.show", "templates"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
        finalize=_seen,
    )


def _seen(value: object) -> object:
    """A text as it is shown; what is markup already was made of such texts."""
    return shown_text(value) if isinstance(value, str) and not isinstance(value, Markup) else value
