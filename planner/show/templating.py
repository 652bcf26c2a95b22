"""Templates of `planner/show/templates`: every name in them is escaped."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined


def environment() -> Environment:
    """Where the templates are, and how they are read."""
    return Environment(
        loader=PackageLoader("planner.show", "templates"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
