"""The planner and its rivals on one scenario: the same gaps, the same run, one at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench.generate import WEEKS
from tests.bench.measure import ROOT, Answer, Task

SHIPPED = ("corner-shop", "holiday", "whole-animal")

NEAR = 1e-5
"""Share of an objective by which two solvers may differ: what their tolerances allow."""

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Gap:
    """How close to the best a plan is wanted: within a share of the score, or an amount of money.

    `breakplan week` stops at 0.1% or 1.00, whichever is larger, and so does the gap `0.1%`. The
    others are only what they say: half of 0.1% of a small score would be below 1.00 anyway.
    """

    name: str
    share: float
    amount: float

    def allowed(self, score: float) -> float:
        """The same as money."""
        return max(self.share * abs(score), self.amount)


GAPS = {
    gap.name: gap
    for gap in (
        Gap("first", 1.0, 0.0),
        Gap("0.1%", 0.001, 1.0),
        Gap("0.05%", 0.0005, 0.0),
        Gap("1.00", 0.0, 1.0),
        Gap("proven", 1e-6, 0.0),
    )
}
"""`first`: any plan within 100% of the best, that is the first one that is of use."""

USUAL = ("first", "0.1%", "0.05%", "1.00")
COMPARED = ("0.1%", "0.05%", "1.00", "proven")


@dataclass(frozen=True)
class Result:
    """What was measured on one scenario.

    Attributes
    ----------
    ours, highs : dict of str to answer
        By gap: the quickest of the runs.
    bundled : answer or None
        PuLP's own solver to 0.1%.
    wrong : list of str
        What does not agree: with the checker, or with HiGHS's plan and bound.
    """

    name: str
    sizes: Answer
    ours: dict[str, Answer] = field(default_factory=dict)
    highs: dict[str, Answer] = field(default_factory=dict)
    bundled: Answer | None = None
    wrong: list[str] = field(default_factory=list)


def instances(folder: Path, only: Sequence[str] = ()) -> Iterator[tuple[str, Path]]:
    """Shipped scenarios and generated weeks, these written into a folder; `only` those named."""
    names = {name: ROOT / "scenarios" / f"{name}.yaml" for name in (*SHIPPED, "one-lamb")}
    texts = {week.name: week.text for week in WEEKS}
    for name in only or (*SHIPPED, *texts):
        if name in names:
            yield name, names[name]
        elif name in texts:
            path = folder / f"{name}.yaml"
            path.write_text(texts[name](), encoding="utf-8")
            yield name, path
        else:
            raise ValueError(f"no instance called {name}: one of {', '.join([*names, *texts])}")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be measured: gaps by name, runs of each, seconds for each, and the rivals."""

    gaps: Sequence[str] = USUAL
    runs: int = 1
    seconds: float = 60.0
    highs: bool = True
    bundled: bool = True


def measured(name: str, path: Path, folder: Path, wanted: Wanted, say: Say) -> Result:
    """Measure one scenario."""
    file, model = str(path), str(folder / f"{name}.mps")
    say(f"{name}: model")
    told = {"file": file, "path": model, "seconds": wanted.seconds}
    rough = Task("export", told).run()
    constant = rough["constant"]
    result = Result(name, Task("sizes", {"path": model}).run())
    for gap in (GAPS[each] for each in wanted.gaps):
        for _ in range(wanted.runs):
            say(f"{name}: {gap.name}, planner")
            ours = _ours(file, gap, wanted.seconds)
            result.ours[gap.name] = _quicker(result.ours.get(gap.name), ours)
            result.wrong.extend(f"{gap.name}: {fault}" for fault in ours.get("faults", ()))
            if wanted.highs:
                say(f"{name}: {gap.name}, HiGHS")
                score = ours.get("score", rough["score"])
                highs = _highs(model, constant, gap.allowed(score), wanted.seconds)
                result.highs[gap.name] = _quicker(result.highs.get(gap.name), highs)
                result.wrong.extend(f"{gap.name}: {each}" for each in disagreements(ours, highs))
    if wanted.bundled:
        say(f"{name}: 0.1%, PuLP's solver")
        bundled = _ours(file, GAPS["0.1%"], wanted.seconds, bundled=True)
        result.wrong.extend(f"bundled: {fault}" for fault in bundled.get("faults", ()))
        return Result(name, result.sizes, result.ours, result.highs, bundled, result.wrong)
    return result


def _ours(file: str, gap: Gap, seconds: float, *, bundled: bool = False) -> Answer:
    told = {"file": file, "share": gap.share, "amount": gap.amount, "seconds": seconds}
    return Task("ours", {**told, "bundled": bundled}).run()


def _highs(model: str, constant: float, allowed: float, seconds: float) -> Answer:
    told = {"path": model, "constant": constant, "allowed": allowed, "seconds": seconds}
    return Task("highs", told).run()


def _quicker(one: Answer | None, other: Answer) -> Answer:
    """The better of two runs: done rather than not, then sooner."""
    if one is None:
        return other
    return min(one, other, key=lambda each: (not each["done"], each["wall"]))


def disagreements(ours: Answer, highs: Answer) -> Iterator[str]:
    """Where both cannot be right: a plan above a bound. Both are scores less the ties."""
    if "objective" not in ours:
        return
    near = 0.005 + NEAR * abs(ours["objective"])
    if highs["objective"] is not None and highs["objective"] > ours["bound"] + near:
        yield f"HiGHS has a plan of {highs['objective']:.4f}, our bound is {ours['bound']:.4f}"
    if highs["bound"] is not None and ours["objective"] > highs["bound"] + near:
        yield f"our plan is {ours['objective']:.4f}, the bound of HiGHS {highs['bound']:.4f}"
