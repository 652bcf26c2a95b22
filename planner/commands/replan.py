"""What `week` and `morning` share in a shop folder: the plan before, that of now, keeping it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import shop_folder
from planner.commands.common import tell_warnings, wrong
from planner.core import clock
from planner.core.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from planner.ask.replan import Before, Replan
    from planner.core.scenario import Scenario
    from planner.files.shop_file import Shop
    from planner.shop.plans.posted import KeptPlan
    from planner.shop.week.now import ShopState
    from planner.solve import Options
    from planner.solve.plan import Plan

CALM = "5.00"

Calm = Annotated[
    str | None,
    typer.Option(
        metavar="MONEY",
        help="In a shop folder: keep to the list on the wall where a better one would earn no more "
        f"than this. 0: the best plan as it is. Default: {CALM}.",
    ),
]


@dataclass(frozen=True, slots=True)
class InShop:
    """A shop folder with its journal read, from a day on.

    `ahead` says whether it is planned from a later day than was asked, for the sake of a sheet, and
    `wrong_clock` whether the clock cannot be right: then no plan is kept.
    """

    shop: Shop
    state: ShopState
    ahead: bool
    wrong_clock: bool

    @property
    def now(self) -> Scenario:
        """From the first day planned on."""
        return self.state.scenario

    def before(self, entry: int | None = None) -> Before | None:
        """The latest plan that was kept for the first day, or the one of an entry."""
        from planner.ask.replan import Before
        from planner.shop.plans.posted import last_kept

        first, until = self.now.starts, self.now.date(self.now.days - 1)
        recorded = self.state.recorded
        found = last_kept(recorded, first, entry, wall=entry is None)
        later = last_kept(recorded, until, wall=True)
        if found:
            after = later if later and later[0] > found[0] and entry is None else None
            return Before(*found, recorded, after)
        if entry is not None:
            raise wrong("--against", f"entry {entry} is not a plan that covers {first.isoformat()}")
        return None


def folder_of(file: str | None, shop: Path | None) -> Path | None:
    """The shop folder that is meant where a scenario file could be named; None where one is.

    It is an error if both are named, or neither is and there is no shop folder here.
    """
    from planner.files.shop_file import find_shop

    if file is not None and not shop_folder.is_shop(file):
        if shop is not None:
            message = f"plans the shop folder, and {file} is a scenario file: name one of the two"
            raise wrong("--shop", message)
        return None
    if file is not None and shop is not None:
        raise wrong("--shop", f"names a second shop folder beside {file}")
    folder = Path(file) if file is not None else shop
    try:
        return find_shop(folder, Path())
    except InputError:
        if folder is not None:
            raise
        message = (
            "none is named, and there is no shop.yaml here or in a folder above: name a "
            "scenario file, go to a shop folder, or name one with --shop DIR"
        )
        raise wrong("FILE", message) from None


def stop_if_given(given: Mapping[str, object], file: str) -> None:
    """Refuse options of a shop folder where a scenario file is planned."""
    message = f"is for a shop folder, and {file} is a scenario file: leave one of them out"
    for option in (option for option, said in given.items() if said):
        raise wrong(option, message)


def in_shop(folder: Path, first: date, sheet: date | None = None) -> InShop:
    """Read a shop folder and its journal, to plan from `first` on; warn of what is unlikely.

    `sheet` is the day whose sheet is wanted: where the plan that was kept for it begins after
    `first`, or it is not in that week, it is planned from later on.
    """
    from planner.shop.entering.wrongclock import clock_doubt
    from planner.shop.plans.posted import last_kept
    from planner.shop.week.now import scenario_now
    from planner.shop.week.remaining_days import days_left

    shop = shop_folder.open_shop(folder)
    everything, recorded = shop_folder.read_journal(shop)
    asked, last = days_left(shop.open_days, first)
    kept = last_kept(recorded, sheet, wall=True) if sheet else None
    begins = asked
    if sheet and sheet > last:
        begins = sheet
    elif kept and kept[1].first > asked:
        begins = kept[1].first
    state = scenario_now(shop, everything, begins)
    tell_warnings(state.warnings)
    starts = state.scenario.starts
    if starts > (sheet or first):
        closed = f"{(sheet or first):%a} {sheet or first}".lower()
        typer.echo(f"closed on {closed}: this is from {starts:%a} {starts} on".lower(), err=True)
    doubt = clock_doubt(recorded, clock.now())
    if doubt:
        typer.echo(f"warning: {doubt}; until then no plan is kept", err=True)
    return InShop(shop, state, begins > asked, bool(doubt))


def planned_in_shop(
    found: InShop, before: Before | None, options: Options, calm: float
) -> tuple[Plan, Replan | None]:
    """The plan of the rest of the week, and how it stands beside the one before."""
    from planner.ask.keep_posted import repaired_plan
    from planner.ask.replan import replan
    from planner.show.progress import progress_line

    with progress_line(found.shop.units) as progress:
        if before is None:
            return repaired_plan(found.now, {}, options, calm, progress).plan, None
        answer = replan(before, found.state, options, calm, progress)
    return answer.plan, answer


def list_of_day(
    found: InShop, options: Options, calm: float, *, look: bool = False
) -> tuple[Plan, str]:
    """The plan with the list on the wall; and what is to be said of it.

    That is the list which was kept, as long as it can be, whatever else would earn more: what hangs
    on the wall is changed by `week`. What is shown and is not kept yet is kept, lest something else
    be weighed in and counted than was shown; not so with `look`.
    """
    plan, answer = list_now(found, options, calm)
    before, entry = found.before(), None
    if not look and not found.wrong_clock:
        if answer is None and (before or found.ahead):
            entry = _keep_sheet(found, plan)
        else:
            entry = keep(found, plan, answer)
    if answer is None and before:
        return plan, _said_of_short(before, plan)
    kept = "not kept" if entry is None else f"kept as entry {entry}"
    if answer is None and found.ahead:
        kept = f"{kept}; when its week begins it is planned anew"
        return plan, f"no plan that is kept covers this day: planned from it on, and {kept}"
    if answer is None:
        return plan, f"no plan covered this day: this one is {kept}"
    why = f"breakplan week --look --against {answer.entry}" if entry else "breakplan week --look"
    return plan, (
        f"warning: the list of entry {answer.entry} cannot be kept whole, so this is a new one, "
        f"{kept}; see why: {why}"
    )


def list_now(found: InShop, options: Options, calm: float) -> tuple[Plan, Replan | None]:
    """The plan with the list on the wall, or else the one that `week` would tell; kept nowhere.

    Where the list on the wall cannot be kept whole, also how the plan stands beside it.
    """
    from planner.ask.replan import rebuilt

    before = found.before()
    plan = rebuilt(before, found.now, options) if before else None
    return (plan, None) if plan else planned_in_shop(found, before, options, calm)


def _keep_sheet(found: InShop, plan: Plan) -> int:
    """Keep a sheet, unless it was the last one shown; returns the number of its entry."""
    from planner.ask.posting import kept_of, shows_the_same
    from planner.shop.plans.posted import last_kept

    sheet = kept_of(plan, found.state.week, sheet=True)
    last = last_kept(found.state.recorded, found.now.starts)
    if last and shows_the_same(last[1], sheet, found.now.starts):
        return last[0]
    return _entered(found, sheet)


def _said_of_short(before: Before, plan: Plan) -> str:
    """Whether to plan again: only where orders lack more than in the plan that was kept."""
    from planner.ask.posting import shorts_of
    from planner.show.replan import shorts_text
    from planner.solve.plan import CENT

    if not plan.short:
        return ""
    _, kept = before.later or (before.entry, before.kept)
    more: dict[tuple[date, str, str], float] = defaultdict(float)
    for sign, shorts in ((1, shorts_of(plan)), (-1, kept.short or ())):
        for each in shorts:
            more[each.day, each.cut, each.buyer] += sign * each.amount
    if kept.short is not None and any(amount > CENT for amount in more.values()):
        short = f"warning: with the list of entry {before.entry} not all orders can be filled; "
        return f"{short}plan again: breakplan week"
    return shorts_text(plan, {}, "stays")


def is_kept(found: InShop, plan: Plan, last: Before | None) -> bool:
    """Whether a plan has the list of the last that was kept, which was made of the same facts."""
    from planner.ask.keep_posted import list_of
    from planner.shop.plans.facts import digest

    if last is None or last.kept.facts != digest(found.now):
        return False
    return last.listed(found.now) == list_of(plan)


def keep(found: InShop, plan: Plan, answer: Replan | None = None) -> int:
    """Enter a plan, which stands so beside the one before; returns the number of its entry."""
    from planner.ask.posting import kept_of

    best = answer.repair.best.score if answer and answer.repair.held else None
    return _entered(found, kept_of(plan, found.state.week, best))


def _entered(found: InShop, kept: KeptPlan) -> int:
    from planner.journal.entries import PlanKept
    from planner.journal.store import Journal

    try:
        with Journal(found.shop.journal) as journal:
            (entered,) = journal.add([PlanKept(kept.first, kept.text())])
    except InputError as error:
        problems = [
            replace(each, message=f"{each.message}; plan without keeping it: --look")
            for each in error.problems
        ]
        raise InputError(problems) from None
    return entered.number
