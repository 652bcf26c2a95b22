"""The planner for scripts and notebooks: what `planner` itself offers.

A plan is that of `solve/plan.py` with what a notebook shows of it; all that takes a plan takes it.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING
from zlib import crc32

from planner.core.errors import BreakplanError as BreakplanError
from planner.core.errors import InputError as InputError
from planner.core.errors import NoPlanInTimeError as NoPlanInTimeError
from planner.core.errors import Problem, warned
from planner.core.errors import RulesConflictError as RulesConflictError
from planner.core.scenario import Scenario as Scenario
from planner.files.asked_order import order_of, split_order, with_orders
from planner.files.changes import Change, read_changes
from planner.files.find import find
from planner.files.scenario_file import read_scenario as read_file
from planner.show.cautions import SHORT
from planner.show.missing import missing_words
from planner.show.page import overview
from planner.show.table import bench_table, tables
from planner.show.templating import environment
from planner.show.text import orders_text
from planner.solve.engine import Progress
from planner.solve.options import Options as Options
from planner.solve.plan import Plan as WeekPlan
from planner.solve.plan import plan_week as week_planned

if TYPE_CHECKING:
    from pandas import DataFrame


class Plan(WeekPlan):
    """A plan of one scenario, in pounds, minutes and the scenario's money.

    A notebook shows it with its pictures; `print` with a line.

    Attributes
    ----------
    scenario : Scenario
        What was planned.
    breaks : tuple of Break
        What is cut: day, lot, piece, way, count, weight in pounds and minutes.
    cuts : tuple of CutLine
        What becomes of each cut over the period, in pounds or, sold by each, as a count.
    sales : tuple of Sale
        What is sold on which day, to whom, at what price for a pound or each.
    batches : tuple of Batch
        What is ground or mixed on which day.
    short : tuple of Short
        Orders that cannot be filled, and what binds.
    bench : tuple of BenchDay
        Minutes used and available, and overtime, by day.
    revenue, overtime, buying, disposal, carry : float
        What the score is made of, in money.
    score : float
        revenue - overtime - buying - disposal + carry: what the plan maximizes.
    bound : float
        No plan of this scenario can have a higher score, by proof.
    within : float
        bound - score: how far below the best possible the plan can be at most.
    paid : float
        Cost of head that are on the rail either way; not in the score.
    status : {"proven", "within tolerance", "held", "time limit"}
        How the search ended.
    seconds : float
        How long it took.
    """

    __slots__ = ()

    def __repr__(self) -> str:
        money = self.scenario.units.money
        score, within = money(self.score), money(self.within)
        short = f", {len(self.short)} of the orders short" if self.short else ""
        return f"<Plan of {self.scenario.title!r}: score {score}, within {within}{short}>"

    def _repr_html_(self) -> str:
        """What a notebook shows: money, proof, orders that fall short, and the pictures."""
        mark = f"plan-{crc32(repr((self.scenario.title, self.breaks)).encode()):x}"
        template = environment().get_template("notebook.html.jinja")
        return template.render(
            title=self.scenario.title,
            missing=missing_words(self.scenario),
            orders=orders_text(self) if self.short else "",
            caution=SHORT,
            **overview(self, f"{mark}-"),
        )

    def frames(self) -> dict[str, DataFrame]:
        """The plan as pandas tables: `breaks`, `cuts`, `sales`, `blends` and `bench`.

        Heads and figures are those of `breakplan week --csv`: units stand in the heads, weights
        are in the scenario's unit, what is sold by each has columns of its own. Dates are dates,
        lots are numbered from 1, and what there is nothing to tell of is missing.

        Raises
        ------
        ImportError
            pandas is not installed: it comes with the extra `notebook`.
        """
        try:
            import pandas
        except ImportError as error:
            message = "frames() needs pandas, which comes with: pip install 'breakplan[notebook]'"
            raise ImportError(message) from error
        found = {}
        for name, table in {**tables(self), "bench": bench_table(self)}.items():
            frame = pandas.DataFrame(list(table.rows), columns=list(table.heads))
            for head in {"date", "lot arrives"} & {*frame}:
                frame[head] = pandas.to_datetime(frame[head])
            nothing = [head for head in frame if frame[head].isna().all()]
            found[name] = frame.astype(dict.fromkeys(nothing, float)) if len(frame) else frame
        return found


def read_scenario(path: str | Path) -> Scenario:
    """Read and check a scenario and the recipes it names.

    What is legal but likely a slip is a Python warning, one for each.

    Parameters
    ----------
    path : str or Path
        A YAML file, or the name of a shipped scenario, such as `corner-shop`. A file of that name
        comes first.

    Raises
    ------
    InputError
        There is none, or it has faults: all of them, each with file and line.
    """
    scenario, unlikely = read_file(*find(str(path), "scenarios", Path()))
    for line in warned(unlikely):
        warnings.warn(line.removeprefix("warning: "), stacklevel=2)
    return scenario


def changed(
    scenario: Scenario,
    *,
    rule: str | Sequence[str] = (),
    price: str | Sequence[str] = (),
    want: str | Sequence[str] = (),
    head: str | Sequence[str] = (),
    bench: str | Sequence[str] = (),
    keeps: str | Sequence[str] = (),
    drop_order: str | Sequence[str] = (),
    order: str | Sequence[str] = (),
) -> Scenario:
    """Another scenario, with changes made: those of `breakplan whatif`, and orders.

    Each may be one text or several. The scenario itself stays as it is.

    Parameters
    ----------
    scenario : Scenario
    rule : str or sequence of str
        `all shoulder: boneless roast`, or `lift never rack: whole`.
    price : str or sequence of str
        `loin chops: 24.99/lb`, `loin chops: +10%`.
    want : str or sequence of str
        `ground lamb: +20%`, `ground lamb fri: 6 lb`.
    head : str or sequence of str
        `lamb mon: 5 head`, `lamb mon: +1 head`.
    bench : str or sequence of str
        Minutes: `fri: 360`, `fri: +30`, `all: 240`.
    keeps : str or sequence of str
        `rib chops: 3 days`, `rack: +1 day`.
    drop_order : str or sequence of str
        The buyer: `the corner bistro`.
    order : str or sequence of str
        One more order, at the cut's full price: `boneless leg: 9 lb on fri`.

    Raises
    ------
    InputError
        With every fault.
    """
    asked = {"rule": rule, "price": price, "want": want, "head": head, "bench": bench}
    asked |= {"keeps": keeps, "drop-order": drop_order}
    changes = [Change(kind, text) for kind, texts in asked.items() for text in _texts(texts)]
    try:
        found = read_changes(scenario, changes)
        for text in _texts(order):
            found = with_orders(found, [order_of(found, split_order(text))])
    except InputError as error:
        raise InputError([_as_argument(each) for each in error.problems]) from None
    return found


def _texts(texts: str | Sequence[str]) -> Sequence[str]:
    return (texts,) if isinstance(texts, str) else texts


def _as_argument(problem: Problem) -> Problem:
    """A fault of an option, told as one of the argument of that name."""
    name = problem.file.removeprefix("--").replace("-", "_").lower()
    return Problem(name, problem.line, problem.message)


def plan_week(
    scenario: Scenario, options: Options | None = None, progress: Progress | None = None
) -> Plan:
    """Plan a scenario: which way to cut each piece, and when, to earn the most.

    Parameters
    ----------
    scenario : Scenario
    options : Options, optional
        How close to the best, and for how long at most, the plan is sought. By default to 0.1%
        or 1.00 of money, whichever is larger, and for 60 seconds.
    progress : callable, optional
        Told now and then the seconds gone, the best objective found and its bound; whatever true
        it returns ends the search.

    Raises
    ------
    RulesConflictError
        The rules cannot be kept; `conflict` has those that clash.
    NoPlanInTimeError
        No plan was found in the time given.
    """
    plan = week_planned(scenario, options, progress)
    return Plan(**{each.name: getattr(plan, each.name) for each in fields(plan)})
