"""What was made of a shop folder, and what to do next."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path
from textwrap import wrap

from planner.core.signs import shown_line
from planner.show.layout import WIDTH


def started_text(folder: Path, species: Sequence[str], made: Sequence[str]) -> str:
    """What was made, and the next steps."""
    week = shlex.join(["breakplan", "week", shown_line(str(folder / "first-week.yaml"))])
    lines = (
        f"Made {shown_line(str(folder))}, for {', '.join(species)}: {', '.join(made)}",
        "Every figure in it is an invented guess: put your own into shop.yaml, prices first.",
        f"A first plan at once: {week}",
        "Your own: in that folder, enter what arrives (breakplan journal add --help) and what lies "
        "in the case (breakplan counts); then breakplan week plans from today on.",
    )
    return "\n".join(
        part  # names of files and commands stay whole, to be copied
        for line in lines
        for part in wrap(line, WIDTH, break_on_hyphens=False, break_long_words=False)
    )
