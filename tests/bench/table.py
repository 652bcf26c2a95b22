"""What was measured as tables for people: ratios first, absolute times second."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp, fsum, log

from tabulate import tabulate

from tests.bench.compare import COMPARED, Result
from tests.bench.measure import Answer

PART = 0.1
"""Of the whole, what all but the search may take."""


@dataclass(frozen=True, slots=True)
class Ratio:
    """Their time over ours. `at_least`: they did not get there; `at_most`: the planner did not."""

    name: str
    times: float
    at_least: bool = False
    at_most: bool = False

    def __str__(self) -> str:
        return f"{'>' if self.at_least else '<' if self.at_most else ''}{self.times:.2f}"


def ratio(
    name: str,
    ours: Answer | None,
    theirs: Answer | None,
    part: str = "wall",
    clock: str = "wall",
) -> Ratio | None:
    """How many times as long they took; None where neither got there.

    `part` is what of our time counts: `wall`, `cpu`, or `solver` alone; `clock` what of theirs.
    """
    if not ours or not theirs or not (ours["done"] or theirs["done"]):
        return None
    return Ratio(
        name,
        theirs[clock] / max(1e-4, ours.get(part, ours["wall"])),
        at_least=not theirs["done"],
        at_most=not ours["done"],
    )


def geometric_mean(numbers: Sequence[float]) -> float:
    """Of positive numbers."""
    return exp(fsum(log(each) for each in numbers) / len(numbers))


@dataclass(frozen=True, slots=True)
class Summary:
    """Ratios of one gap: geometric mean, smallest, and how many were no end for either."""

    gap: str
    ratios: tuple[Ratio, ...]
    solver_only: tuple[Ratio, ...]
    open: tuple[str, ...]

    @property
    def mean(self) -> float:
        """Where one of the two did not end, what the time limit gives."""
        return geometric_mean([each.times for each in self.ratios])

    @property
    def smallest(self) -> Ratio:
        """The instance where the planner does worst."""
        return min(self.ratios, key=lambda each: each.times)


def summaries(results: Sequence[Result], clock: str = "wall") -> list[Summary]:
    """One for each gap that was measured, the last for PuLP's solver.

    `clock` is `wall`, or `cpu` where the machine had other things to do: processor time of all
    threads, but for PuLP's solver, which is a process of its own.
    """
    pairs = {
        gap: [(each.name, each.ours.get(gap), each.highs.get(gap)) for each in results]
        for gap in COMPARED
        if any(gap in each.highs for each in results)
    }
    if any(each.bundled for each in results):
        pairs["bundled"] = [(each.name, each.ours.get("0.1%"), each.bundled) for each in results]
    found = []
    for gap, rows in pairs.items():
        own = "wall" if gap == "bundled" else clock
        whole = [ratio(*row, part=own, clock=own) for row in rows]
        if not any(whole):
            continue
        alone = [ratio(*row, part="solver") for row in rows]
        open_ = tuple(row[0] for row, each in zip(rows, whole, strict=True) if not each)
        found.append(Summary(gap, tuple(filter(None, whole)), tuple(filter(None, alone)), open_))
    return found


def tables(results: Sequence[Result], seconds: float, clock: str = "wall") -> Iterator[str]:
    """All tables, one after the other."""
    found = summaries(results, clock)
    if found:
        what = "Processor time" if clock == "cpu" else "Time"
        yield f"{what} as a multiple of the planner's (> not there after {seconds:g} s):"
        yield _ratio_table(results, found)
        yield from _means(found)
    yield "\nSeconds until then (* not there in the time given):"
    yield _time_table(results)
    yield ""
    yield _size_table(results)
    yield from _rest(results)


def _ratio_table(results: Sequence[Result], found: Sequence[Summary]) -> str:
    names: dict[str, dict[str, str]] = {each.name: {} for each in results}
    for summary in found:
        for each in summary.ratios:
            names[each.name][summary.gap] = str(each)
    heads = [_rival(each.gap) for each in found]
    rows = [[name, *(row.get(each.gap, "-") for each in found)] for name, row in names.items()]
    rows.append(["geometric mean", *(f"{each.mean:.2f}" for each in found)])
    return _table(rows, ["", *heads])


def _rival(gap: str) -> str:
    return "PuLP's, 0.1%" if gap == "bundled" else f"HiGHS, {gap}"


def _means(found: Sequence[Summary]) -> Iterator[str]:
    for each in found:
        alone = geometric_mean([ratio.times for ratio in each.solver_only])
        yield (
            f"{_rival(each.gap)}: geometric mean {each.mean:.2f} (search alone {alone:.2f}), "
            f"smallest {each.smallest} at {each.smallest.name}, slower in "
            f"{sum(ratio.times < 1 for ratio in each.ratios)} of {len(each.ratios)}"
        )
        if each.open:
            yield f"  neither got there: {', '.join(each.open)}"


def _size_table(results: Sequence[Result]) -> str:
    heads = ("", "columns", "rows", "nonzeros", "read s", "build s", "first plan s", "peak MB")
    rows = []
    for each in results:
        sizes = [each.sizes.get(key, "") for key in ("columns", "rows", "nonzeros")]
        some = next(iter(each.ours.values()), {})
        own = [_seconds(some.get("read")), _seconds(some.get("build"))]
        peak = max((answer["peak"] for answer in each.ours.values()), default=0.0)
        rows.append([each.name, *sizes, *own, _time(each.ours.get("first")), f"{peak:.0f}"])
    return _table(rows, heads)


def _time_table(results: Sequence[Result]) -> str:
    gaps = [gap for gap in COMPARED if any(gap in each.ours for each in results)]
    rivals = [gap for gap in gaps if any(gap in each.highs for each in results)]
    bundled = any(each.bundled for each in results)
    heads = ["", *gaps, *(f"HiGHS {gap}" for gap in rivals), *["PuLP's 0.1%"] * bundled]
    rows = [
        [
            each.name,
            *(_time(each.ours.get(gap)) for gap in gaps),
            *(_time(each.highs.get(gap)) for gap in rivals),
            *[_time(each.bundled)] * bundled,
        ]
        for each in results
    ]
    return _table(rows, heads)


def _rest(results: Sequence[Result]) -> Iterator[str]:
    """What all but the search takes at 0.1%."""
    parts = []
    for each in results:
        ours = each.ours.get("0.1%")
        if ours and "rest" in ours:
            parts.append((ours["rest"] / ours["whole"], ours["rest"], each.name))
    if parts:
        share = fsum(rest for _, rest, _ in parts)
        most = max(parts)
        yield (
            f"All but the search, to 0.1%: {share / len(parts):.2f} s on average, at most "
            f"{100 * most[0]:.0f}% ({most[2]}), over {100 * PART:.0f}% in "
            f"{sum(part > PART for part, _, _ in parts)} of {len(parts)}"
        )


def _time(answer: Answer | None) -> str:
    if answer is None:
        return ""
    return f"{_seconds(answer['wall'])}{'' if answer['done'] else '*'}"


def _seconds(seconds: float | None) -> str:
    return "" if seconds is None else f"{seconds:.1f}" if seconds >= 10 else f"{seconds:.2f}"


def _table(rows: Sequence[Sequence[object]], heads: Sequence[str]) -> str:
    align = ("left", *("right" for _ in heads[1:]))
    return tabulate(rows, heads, colalign=align, disable_numparse=True)
