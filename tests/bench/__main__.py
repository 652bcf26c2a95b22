"""How long the program takes, cold: `python -m tests.bench [RUNS]`.

Every run is a new process. `solver` is what the plan itself reports; `rest` is everything else:
starting Python, importing, reading, printing. The best of the runs is shown, since whatever else
the machine does only ever adds time.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time

from tabulate import tabulate

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


def measured(arguments: list[str]) -> tuple[float, float | None]:
    """Wall time of one run in a new process, and the solver's part of it."""
    began = time.perf_counter()
    run = subprocess.run(
        [sys.executable, "-m", "planner.cli", *arguments],
        capture_output=True,
        check=True,
        text=True,
    )
    wall = time.perf_counter() - began
    return wall, json.loads(run.stdout)["seconds"] if "--json" in arguments else None


def main(runs: int) -> None:
    rows = []
    for name, arguments in COMMANDS.items():
        wall, solver = min((measured(arguments) for _ in range(runs)), key=lambda pair: pair[0])
        rest = wall - (solver or 0.0)
        rows.append(
            [name, f"{wall:.2f}", "-" if solver is None else f"{solver:.2f}", f"{rest:.2f}"]
        )
    heads = ("breakplan", "wall s", "solver s", "rest s")
    print(tabulate(rows, heads, colalign=("left", "right", "right", "right")))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
