"""`breakplan week`: plan the period of a scenario, or of many side by side."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import common
from planner.commands.common import given, options_within, tell_warnings, wrong
from planner.commands.replan import (
    CALM,
    Calm,
    folder_of,
    in_shop,
    is_kept,
    keep,
    planned_in_shop,
    stop_if_given,
)
from planner.commands.shop_folder import ShopFolder, day_given
from planner.commands.starting import start_of
from planner.commands.week_output import (
    SIX,
    Cutters,
    InShopFolder,
    Page,
    Replace,
    Sheets,
    print_plan,
    stop_unless_fits,
    tell,
)
from planner.core.errors import InputError, Problem

if TYPE_CHECKING:
    from planner.many.units import Runner
    from planner.solve import Options

EXAMPLE = (
    "Example: breakplan week corner-shop --within 0.05%\n\n"
    "For a spreadsheet: breakplan week corner-shop --csv tables\n\n"
    "For the wall: breakplan week corner-shop --page week.html\n\n"
    "Several: breakplan week shops/*.yaml --cores 4\n\n"
    "Futures: breakplan week shops/*.yaml --changes ideas.yaml --json\n\n"
    "In a shop folder, the rest of the week: breakplan week --from wed"
)


def week(
    files: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="FILE",
            help="Scenario files, or names of shipped ones. Several are planned side by side "
            "and shown in one table; one that fails does not stop the others. None in a shop "
            "folder: its week from today on, as the journal has it.",
        ),
    ] = None,
    changes: Annotated[
        str | None,
        typer.Option(
            metavar="FILE.yaml",
            help="Plan each file also with every named alternative of this one, as for `whatif`.",
        ),
    ] = None,
    json: common.Json = False,
    csv: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Write breaks.csv, cuts.csv, sales.csv and blends.csv there, for a spreadsheet, "
            "instead of printing the plan. Of one file only.",
        ),
    ] = None,
    page: Page = None,
    replace_: Replace = False,
    cutters: Cutters = None,
    begins: Annotated[
        list[str] | None,
        typer.Option(
            "--from",
            metavar="DAY|TIME",
            help="In a shop folder the day to plan from, such as wed, tomorrow or 2 dec (default: "
            "today); with --page when the work begins, such as 7:00 (default: "
            f"{SIX}). May be given once for each.",
        ),
    ] = None,
    shop: ShopFolder = None,
    calm: Calm = None,
    look: Annotated[
        bool, typer.Option("--look", help="In a shop folder: plan, and keep nothing.")
    ] = False,
    against: Annotated[
        int | None,
        typer.Option(
            min=1,
            metavar="N",
            help="In a shop folder: take the plan of entry N of the journal for the list on the "
            "wall. Default: the last that covers the day.",
        ),
    ] = None,
    within: common.Within = None,
    seconds: common.Seconds = 60.0,
    solver: common.Solver = "highs",
    model_file: Annotated[
        Path | None,
        typer.Option(
            metavar="F",
            help="Write the model there as MPS (score with its sign reversed, to be minimized). "
            "Of one file only.",
        ),
    ] = None,
    cautions: Annotated[bool, typer.Option("--cautions", help="Print all cautions.")] = False,
    cores: Annotated[
        int | None,
        typer.Option(
            min=1, metavar="N", help="How many to plan at a time. Default: one for each core."
        ),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS",
            help="Plan on a Dask cluster, such as tcp://192.168.1.5:8786. Its workers need "
            "breakplan, but not your files. Each side can run code on the other's machines: "
            "name only a cluster of your own, preferably by tls://.",
        ),
    ] = None,
    tls_ca: Annotated[
        Path | None,
        typer.Option(metavar="PEM", help="For tls://: the certificates that are trusted."),
    ] = None,
    tls_cert: Annotated[
        Path | None, typer.Option(metavar="PEM", help="For tls://: your own certificate.")
    ] = None,
    tls_key: Annotated[
        Path | None, typer.Option(metavar="PEM", help="For tls://: the key to your certificate.")
    ] = None,
) -> None:
    """Plan the period of a scenario: its breaks, its case, its orders, its money.

    In a shop folder, without FILE, the rest of the week is planned after what was delivered,
    counted, cut and sold. The plan is kept in the journal, and the next one keeps to its list as
    long as that costs little, and says what changed and why.

    --within and --seconds are for each plan. Exit codes with several files: 0 when all have a plan,
    else the smallest code of those without; 1 when a process was killed.
    """
    from planner.core.quantities import read_money, read_time
    from planner.show.layout import width_of
    from planner.show.text import cautions_text

    options = options_within(within, seconds, solver)
    options = replace(options, model_file=model_file, replace=replace_)
    tls = {"--tls-ca": tls_ca, "--tls-cert": tls_cert, "--tls-key": tls_key}
    if any(tls.values()) and not scheduler:
        message = "is for --scheduler tls://HOST:PORT"
        raise InputError([Problem(option, 0, message) for option, file in tls.items() if file])
    if cores and scheduler:
        message = "is for this machine; a cluster takes as many as its workers have threads"
        raise wrong("--cores", message)
    day, time = _day_and_time(begins or [])
    files = files or []
    many = len(files) > 1 or changes is not None
    for option, place in (("--csv", csv), ("--page", page), ("--model-file", model_file)):
        if place and (many or scheduler):
            raise wrong(option, "works with one file only, without --changes and --scheduler")
    if replace_ and not (csv or page or model_file):
        raise wrong("--replace", "is for --csv, --page and --model-file")
    for option, said in (("--cutters", cutters), ("--from", time)):
        if said and not page:
            raise wrong(option, "is for the sheets of --page")
    alone = not many and not scheduler
    folder = folder_of(files[0] if files else None, shop) if alone or not files else None
    if folder and not alone:
        option = "--changes" if changes is not None else "--scheduler"
        raise wrong(option, "is for scenario files: name one")
    if files and not folder:
        own = {"--shop": shop, "--calm": calm, "--look": look, "--against": against, "--from": day}
        stop_if_given(own, files[0])
    sheets = Sheets(page, cutters or 1, given("--from", time or SIX, read_time), replace_)
    code = 0
    if folder:
        money = given("--calm", calm or CALM, read_money)
        found = in_shop(folder, day_given("--from", day, "coming"))
        stop_unless_fits(options, sheets, csv)
        last = found.before()
        before = found.before(against) if against else last
        plan, answer = planned_in_shop(found, before, options, money)
        stays = answer is not None and answer.nothing and before == last
        stays = stays or look or found.wrong_clock or is_kept(found, plan, last)
        entry = None if stays else keep(found, plan, answer)
        tell(plan, InShopFolder(answer, entry), sheets, json=json, csv=csv)
    elif alone:
        start = start_of(files[0])
        stop_unless_fits(options, sheets, csv)
        tell(start.plan(options), None, sheets, json=json, csv=csv)
    else:
        runner = _runner(cores, scheduler, *tls.values())
        code = _many(files, changes, options, runner, single=not many, json=json)
    if cautions and not json:
        typer.echo(f"\n{cautions_text(width_of(sys.stdout))}")
    if code:
        raise typer.Exit(code)


def _day_and_time(begins: list[str]) -> tuple[str | None, str | None]:
    """What `--from` says: a day, a time of the day, or one of each."""
    times = [text for text in begins if re.fullmatch(r"\s*[0-9]{1,2}([:.][0-9]*)?\s*", text)]
    days = [text for text in begins if text not in times]
    for texts, word in ((days, "days"), (times, "times")):
        if len(texts) > 1:
            raise wrong("--from", f"{' and '.join(texts)} are two {word}: name one")
    return (days[0] if days else None), (times[0] if times else None)


def _runner(cores: int | None, scheduler: str | None, *tls: Path | None) -> Runner:
    """Processes of this machine, or a cluster."""
    if scheduler is not None:
        from planner.many.cluster import Cluster, Tls

        def notice(line: str) -> None:
            typer.echo(f"cluster: {line}", err=True)

        return Cluster(scheduler, notice, tls=Tls(*tls))
    from planner.many.processes import Processes, all_cores

    return Processes(cores or all_cores())


def _many(
    files: list[str],
    changes: str | None,
    options: Options,
    runner: Runner,
    *,
    single: bool,
    json: bool,
) -> int:
    """Plan files side by side; a single one that a cluster planned is told like any other."""
    from planner.many.weeks import plan_weeks
    from planner.show.data import json_text
    from planner.show.many import faults_text, weeks_data, weeks_text
    from planner.show.progress import bar_line

    with bar_line() as tell:
        weeks = plan_weeks(files, changes, options, runner, tell)
    tell_warnings(weeks.warnings)
    plan = weeks.rows[0].plan
    if not single:
        typer.echo(json_text(weeks_data(weeks)) if json else weeks_text(weeks))
    elif plan:
        print_plan(plan, json=json)
    if weeks.exit_code:
        typer.echo(faults_text(weeks), err=True)
    return weeks.exit_code
