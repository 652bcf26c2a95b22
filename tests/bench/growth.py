"""How time grows with head, lots and days: three shops of each size, planned to 0.1%."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from tabulate import tabulate

from tests.bench.compare import GAPS
from tests.bench.generate import Week, growth, plant
from tests.bench.measure import Answer, Task
from tests.bench.table import geometric_mean

KINDS = ("head", "lots", "days", "weeks")

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Grown:
    """Seconds to 0.1% by size, geometric mean of the shops; how many of them were not done."""

    kind: str
    seconds: Mapping[int, float]
    open: Mapping[int, int]
    exponent: float
    wrong: Sequence[str]


def exponent(times: Mapping[int, float]) -> float:
    """The e of time = c x size^e that fits best: least squares on the logarithms."""
    sizes, seconds = np.array(list(times)), np.array(list(times.values()))
    slope, _ = np.polyfit(np.log(sizes), np.log(seconds), 1)
    return float(slope)


def grown(kind: str, folder: Path, seconds: float, say: Say) -> Grown:
    """Measure one kind of growth."""
    times: dict[int, list[float]] = defaultdict(list)
    undone: dict[int, int] = defaultdict(int)
    wrong: list[str] = []
    for size, week in growth(kind):
        say(f"{kind} {size}: {week.name}")
        answer = _planned(week, folder, seconds)
        times[size].append(answer["wall"])
        undone[size] += not answer["done"]
        wrong.extend(f"{week.name}: {fault}" for fault in answer.get("faults", ()))
    means = {size: geometric_mean(each) for size, each in times.items()}
    return Grown(kind, means, dict(undone), exponent(means), wrong)


def planted(folder: Path, seconds: float, say: Say) -> Answer:
    """The plant, to 0.1%."""
    say("plant")
    return {"faults": [], **_planned(plant(), folder, seconds)}


def _planned(week: Week, folder: Path, seconds: float) -> Answer:
    path = folder / f"{week.name}.yaml"
    path.write_text(week.text(), encoding="utf-8")
    gap = GAPS["0.1%"]
    told: dict[str, Any] = {"file": str(path), "share": gap.share, "amount": gap.amount}
    return Task("ours", {**told, "seconds": seconds}).run()


def growth_tables(found: Sequence[Grown], plant: Answer | None) -> Iterator[str]:
    """Tables for people."""
    for each in found:
        rows = [
            [size, f"{seconds:.2f}", each.open[size] or ""]
            for size, seconds in each.seconds.items()
        ]
        grows = "more than" if any(each.open.values()) else "as"
        yield f"Seconds to 0.1% against {each.kind}: grows {grows} {each.kind}^{each.exponent:.2f}"
        yield tabulate(rows, (each.kind, "s", "not done"), disable_numparse=True) + "\n"
    if plant:
        end = "within 0.1%" if plant["done"] else "not within 0.1%"
        yield f"The plant: {end} after {plant['wall']:.1f} s, {plant['peak']:.0f} MB"
