"""Colours of the pictures, by the names under which a page may define others (`--ink` ...).

Each stands in a picture as `var(--ink, #111111)`: a page that says nothing gets black on white. No
colour says anything alone: what is out of date or over time is striped, what is lost is hollow,
what is not cut is not filled, and everything has its label.
"""

from __future__ import annotations

LIGHT = {
    "ink": "#111111",  # text and outlines
    "paper": "#ffffff",  # what is behind
    "mild": "#6b6b6b",  # head and feet, weight on its way, weight that is lost
    "meat": "#b4552d",  # pieces that are cut, what is blended
    "sold": "#1d6f8a",  # what is sold, minutes used
    "left": "#a9851f",  # what is in date at the end
    "stale": "#8a1f4d",  # what is out of date, minutes over
}
"""On white, on screen and in print."""

DARK = {
    "ink": "#f2efe9",
    "paper": "#16181b",
    "mild": "#9a9a9a",
    "meat": "#d9815a",
    "sold": "#63c1de",
    "left": "#cfae4a",
    "stale": "#d6457f",
}
"""On a dark screen, for a page that has one."""


def inks() -> dict[str, str]:
    """What stands in a picture for each colour."""
    return {name: f"var(--{name}, {colour})" for name, colour in LIGHT.items()}
