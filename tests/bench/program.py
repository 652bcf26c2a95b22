"""Whole commands as a user waits for them: a new process each, the best of some runs.

`solver` is what the plan itself reports; `rest` is everything else: starting Python, importing,
reading, printing. Whatever else the machine does only ever adds time, hence the best.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable
from typing import Any

from tabulate import tabulate

from tests.bench.measure import ROOT

COMMANDS = {
    "--help": ["--help"],
    "week one-lamb": ["week", "one-lamb", "--json"],
    "week corner-shop": ["week", "corner-shop", "--json"],
    "week holiday": ["week", "holiday", "--json"],
    "week whole-animal": ["week", "whole-animal", "--json"],
    "check corner-shop": ["check", "corner-shop"],
    "whatif corner-shop --rule ..": [
        *("whatif", "corner-shop", "--rule", "all shoulder: boneless roast"),
    ],
    "why corner-shop": ["why", "corner-shop"],
    "why corner-shop shoulder": ["why", "corner-shop", "shoulder"],
    "order corner-shop --up-to 6": ["order", "corner-shop", "--up-to", "6"],
    "promise corner-shop ..": ["promise", "corner-shop", "boneless leg: 9 lb on fri"],
    "price corner-shop": ["price", "corner-shop"],
    "trim corner-shop": ["trim", "corner-shop"],
    "trim whole-animal": ["trim", "whole-animal"],
}


def run(arguments: list[str]) -> tuple[float, float | None]:
    """Wall time of one run in a new process, and the solver's part of it."""
    began = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "planner.commands.program", *arguments],
        cwd=ROOT,
        capture_output=True,
        check=True,
        text=True,
    )
    wall = time.perf_counter() - began
    return wall, json.loads(done.stdout)["seconds"] if "--json" in arguments else None


def whole_week(name: str, runs: int) -> dict[str, float]:
    """Wall time of `breakplan week NAME --json`, and the search's part: the best of some runs."""
    wall, search = min(run(["week", name, "--json"]) for _ in range(runs))
    return {"wall": wall, "rest": wall - (search or 0.0)}


def program_table(runs: int, say: Callable[[str], None]) -> tuple[list[dict[str, Any]], str]:
    """Every command measured, and the table of it."""
    data, rows = [], []
    for name, arguments in COMMANDS.items():
        say(name)
        wall, solver = min((run(arguments) for _ in range(runs)), key=lambda pair: pair[0])
        rest = wall - (solver or 0.0)
        data.append({"command": name, "wall": wall, "solver": solver})
        shown = "-" if solver is None else f"{solver:.2f}"
        rows.append([name, f"{wall:.2f}", shown, f"{rest:.2f}"])
    heads = ("breakplan", "wall s", "solver s", "rest s")
    return data, tabulate(rows, heads, colalign=("left", "right", "right", "right"))
