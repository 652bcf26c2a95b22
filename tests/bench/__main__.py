"""The benchmark: `python -m tests.bench --help`."""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from tests.bench.compare import GAPS, USUAL, Result, Wanted, instances, measured
from tests.bench.growth import KINDS, grown, growth_tables, planted
from tests.bench.program import program_table, whole_week
from tests.bench.questions import QUESTIONED, question_table, questioned
from tests.bench.table import summaries, tables

QUICK = ("one-lamb", "week-01", "week-04")

HELP = """\
How fast the planner is. Each measurement is a new process, one at a time; progress is on standard
error. Without options: the shipped scenarios and twenty generated weeks, each planned to several
gaps, beside HiGHS with default options on the exported model and PuLP's bundled solver.
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure what is asked for, print tables; 1 where an answer is wrong."""
    asked = _parser().parse_args(arguments)
    data: dict[str, Any] = {}
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        if asked.growth or asked.questions or asked.program:
            if asked.growth:
                wrong += _growth(Path(folder), asked, data)
            if asked.questions:
                names = asked.only or QUESTIONED
                rows = [questioned(*each, say) for each in instances(Path(folder), names)]
                data["questions"] = rows
                print(question_table(rows))
            if asked.program:
                data["program"], text = program_table(asked.runs or 3, say)
                print(text)
        else:
            wrong += _main_table(Path(folder), asked, data)
    _write(asked, data)
    for each in wrong:
        print(f"WRONG ANSWER: {each.upper()}")
    return 1 if wrong else 0


def _main_table(folder: Path, asked: argparse.Namespace, data: dict[str, Any]) -> list[str]:
    if asked.show:
        shown = json.loads(Path(asked.show).read_text(encoding="utf-8"))
        results = [Result(**each) for each in shown["instances"]]
        return _printed(results, asked)
    gaps = [*asked.gaps, *(["proven"] if asked.proven and "proven" not in asked.gaps else [])]
    wanted = Wanted(
        gaps, asked.runs or 1, asked.seconds, "highs" in asked.rivals, "bundled" in asked.rivals
    )
    results = []
    names = asked.only or (QUICK if asked.quick else ())
    for name, path in instances(folder, names):
        results.append(measured(name, path, folder, wanted, say))
        data["instances"] = [asdict(each) for each in results]
        data["summary"] = [
            {
                "gap": each.gap,
                "mean": each.mean,
                "smallest": each.smallest.times,
                "smallest at": each.smallest.name,
                "open": each.open,
            }
            for each in summaries(results, asked.clock)
        ]
        _write(asked, data)  # what is there, should the run be stopped
    wrong = _printed(results, asked)
    if not asked.only and not asked.quick:
        say("breakplan week corner-shop, a new process")
        data["corner-shop whole"] = whole = whole_week("corner-shop", 3)
        print(
            f"breakplan week corner-shop, a new process, best of 3: {whole['wall']:.2f} s, "
            f"all but the search {whole['rest']:.2f} s"
        )
    return wrong


def _printed(results: Sequence[Result], asked: argparse.Namespace) -> list[str]:
    """Print the tables; what is wrong with the answers."""
    for text in tables(results, asked.seconds, asked.clock):
        print(text)
    return [f"{each.name}, {fault}" for each in results for fault in each.wrong]


def _growth(folder: Path, asked: argparse.Namespace, data: dict[str, Any]) -> list[str]:
    kinds = asked.only or [*KINDS, "plant"]
    found = [grown(kind, folder, asked.seconds, say) for kind in kinds if kind != "plant"]
    plant = planted(folder, max(120.0, asked.seconds), say) if "plant" in kinds else None
    data["growth"] = [asdict(each) for each in found]
    data["plant"] = plant
    for text in growth_tables(found, plant):
        print(text)
    return [fault for each in found for fault in each.wrong] + (plant["faults"] if plant else [])


def _write(asked: argparse.Namespace, data: dict[str, Any]) -> None:
    if asked.json:
        text = json.dumps(_plain(data), indent=1, allow_nan=False)
        Path(asked.json).write_text(f"{text}\n", encoding="utf-8")


def say(text: str) -> None:
    """Progress."""
    print(text, file=sys.stderr, flush=True)


def _plain(data: Any) -> Any:
    """Without infinities, which JSON does not have."""
    if isinstance(data, dict):
        return {key: _plain(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_plain(value) for value in data]
    return None if isinstance(data, float) and abs(data) == float("inf") else data


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m tests.bench",
        description=HELP,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        epilog="Example: python -m tests.bench --only corner-shop week-05 --gaps 0.1% --runs 3",
    )
    add = parser.add_argument
    usual = " ".join(USUAL).replace("%", "%%")  # argparse fills in what follows a %
    add(
        "--only", nargs="+", default=[], metavar="NAME", help="these instances (or kinds of growth)"
    )
    add("--quick", action="store_true", help=f"only {', '.join(QUICK)}, to try it out")
    add("--gaps", nargs="+", default=USUAL, choices=[*GAPS], help=f"default {usual}")
    add("--proven", action="store_true", help="also to the proven best, which takes long")
    add("--runs", type=int, metavar="N", help="the best of so many, default 1")
    add("--seconds", type=float, default=60.0, metavar="S", help="for each, default 60")
    rivals = ("highs", "bundled")
    add("--rivals", nargs="*", default=rivals, choices=rivals, help="default both")
    add("--growth", action="store_true", help="time against head, lots, days; and the plant")
    add("--questions", action="store_true", help="whatif, why and alternatives, as cold plans")
    add("--program", action="store_true", help="whole commands, each in a new process")
    add("--clock", choices=("wall", "cpu"), default="wall", help="cpu: where the machine is busy")
    add("--show", metavar="FILE", help="the tables of a run written with --json, once more")
    add("--json", metavar="FILE", help="write everything that was measured")
    return parser


if __name__ == "__main__":
    sys.exit(main())
