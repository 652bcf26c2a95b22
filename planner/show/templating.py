"""Templates of `planner/show/templates`: every name in them is escaped."""

from __future__ import annotations

import re

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from planner.core.signs import shown_text


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
    """A text as it is shown; what is markup already was made of such texts.

    The signs that pictures put around a name from right to left stay: they end with the text.
    """
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    return re.sub(r"[^\u2068\u2069]+", lambda part: shown_text(part[0]), value)
