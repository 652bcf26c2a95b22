"""`breakplan week` in a shop folder: the rest of the week, and keeping its plan."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from planner.commands.common import given
from planner.commands.replan import in_shop, is_kept, keep, planned_in_shop
from planner.commands.shop_folder import day_given
from planner.commands.week_output import InShopFolder, Sheets, stop_unless_fits, tell

if TYPE_CHECKING:
    from planner.solve import Options


@dataclass(frozen=True, slots=True)
class Wall:
    """A shop folder, the day to plan from, and how to hold to the list on the wall there."""

    folder: Path
    day: str | None
    calm: str
    look: bool
    against: int | None


def week_in_shop(
    wall: Wall, options: Options, sheets: Sheets, *, json: bool, csv: Path | None
) -> None:
    """The rest of the week of a shop folder; kept in the journal where it is another plan."""
    from planner.core.quantities import read_money

    calm = given("--calm", wall.calm, read_money)
    first = day_given("--from", wall.day, "coming")
    found = in_shop(wall.folder, first)
    stop_unless_fits(options, sheets, csv)
    last = found.before()
    before = found.before(wall.against) if wall.against else last
    plan, answer = planned_in_shop(found, before, options, calm)
    stays = answer is not None and answer.nothing and before == last
    look = wall.look or found.wrong_clock
    entry = None if look or stays or is_kept(found, plan, last) else keep(found, plan, answer)
    tell(plan, InShopFolder(answer, entry), sheets, json=json, csv=csv)
