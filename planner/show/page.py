"""Pages for the wall and for a tablet: one file each, no network, no script."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.ask.morning import Morning
from planner.files.atomic_write import Mark
from planner.show.cautions import ALL
from planner.show.later import later_words
from planner.show.layout import clip
from planner.show.pictures import bench_picture, flow_picture, side_pictures
from planner.show.pictures.colours import DARK, LIGHT
from planner.show.sheet import day_sheet
from planner.show.sheet_lines import TRAY_HEADS, DaySheet
from planner.show.templating import environment
from planner.show.text import money_rows, proof, span
from planner.solve.plan import Plan

TITLE = 120  # columns of a title at most
ROOMY = 24  # lines of a list that leave room on a sheet


def morning_page(morning: Morning, begins: float) -> str:
    """The sheet of one day as HTML; `begins` is when work starts, in minutes from midnight."""
    sheet = day_sheet(morning, begins)
    title = f"{sheet.date}: cutting list, {sheet.title}"
    return _page("morning.html.jinja", morning.plan, title, sheet=sheet, printed=[sheet])


def week_page(plan: Plan, mornings: Sequence[Morning], begins: float) -> str:
    """The week as HTML: money and pictures, then a sheet for every day."""
    sheets = [day_sheet(each, begins) for each in mornings]
    return _page("week.html.jinja", plan, plan.scenario.title, printed=sheets, **overview(plan))


def overview(plan: Plan, prefix: str = "") -> dict[str, object]:
    """What the overview of a plan shows; `prefix` tells the pictures of one page apart."""
    bench, flow = bench_picture(plan, f"{prefix}bench"), flow_picture(plan, f"{prefix}flow")
    return {
        "span": span(plan),
        "money": money_rows(plan),
        "proof": proof(plan),
        "later": tuple(later_words(plan)),
        "pictures": (bench, *side_pictures(plan, f"{prefix}side"), flow),
    }


MARK = Mark(b"<!doctype html>\n<!-- breakplan: a page for the wall -->\n", "a page of --page")
"""How every page begins."""


def _page(template: str, plan: Plan, title: str, **words: object) -> str:
    templates = environment()
    templates.filters["in_css"] = _in_css
    return templates.get_template(template).render(
        title=clip(title, TITLE),
        unit=plan.scenario.unit,
        tray_heads=TRAY_HEADS,
        cautions=ALL,
        roomy=_is_roomy,
        light=_properties(LIGHT),
        dark=_properties(DARK),
        **words,
    )


def _is_roomy(sheet: DaySheet) -> bool:
    """Whether a day's list is so short that there is room on paper for large boxes."""
    tasks = [task for cutter in sheet.cutters for spell in cutter.spells for task in spell.tasks]
    lines = sum(1 + len(task.gives) // 3 for task in tasks)
    lines += sum(len(batch.takes) for batch in sheet.batches)
    lines += len(sheet.later)
    lines += (len(sheet.case) + len(sheet.out) + len(sheet.wraps)) // 3
    return len(sheet.cutters) == 1 and lines <= ROOMY


def _properties(colours: Mapping[str, str]) -> str:
    """Colours as the custom properties of a style sheet."""
    return " ".join(f"--{name}: {colour};" for name, colour in colours.items())


def _in_css(text: str) -> str:
    """A text between quotes in a style sheet: all but letters and numbers by their numbers."""
    return "".join(sign if sign.isalnum() else f"\\{ord(sign):x} " for sign in text)
