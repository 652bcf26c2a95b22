"""`breakplan whatif`: what a change would do to the plan."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, TypeAlias

import typer

from planner.commands import common
from planner.commands.common import options_within, wrong
from planner.commands.starting import start_of

EXAMPLE = 'Example: breakplan whatif corner-shop --rule "all shoulder: boneless roast"'


Texts: TypeAlias = list[str] | None


def _change(metavar: str, examples: str) -> Any:
    return typer.Option(metavar=metavar, help=f"{examples}.")


def whatif(
    file: common.ScenarioFile,
    rule: Annotated[Texts, _change("RULE", '"never rack: whole", "lift never rack: whole"')] = None,
    price: Annotated[Texts, _change("PRICE", '"loin chops: 24.99/lb", "loin chops: +10%"')] = None,
    want: Annotated[Texts, _change("WANT", '"ground lamb: +20%", "ground lamb fri: 6 lb"')] = None,
    head: Annotated[Texts, _change("LOT", '"lamb mon: 5 head", "lamb mon: +1 head"')] = None,
    bench: Annotated[Texts, _change("MINUTES", '"fri: 360", "fri: +30", "all: 240"')] = None,
    keeps: Annotated[Texts, _change("DAYS", '"rib chops: 3 days", "rack: +1 day"')] = None,
    drop_order: Annotated[
        Texts, _change("BUYER", '"the corner bistro": that order is dropped')
    ] = None,
    changes: Annotated[
        str | None,
        typer.Option(
            metavar="FILE.yaml",
            help="Named alternatives, each with changes of its own, compared in one table; "
            "not together with single changes.",
        ),
    ] = None,
    json: common.Json = False,
    within: common.Within = None,
    seconds: common.Seconds = 60.0,
    solver: common.Solver = "highs",
) -> None:
    """Try changes on the plan, all of them together: what they earn, as proven, and what differs.

    Every change may be given several times. The plans are solved until their difference is
    known; --within and --seconds are for each of them.
    """
    from planner.ask.whatif import compare
    from planner.ask.whatif import whatif as ask
    from planner.files.changes import Change, read_alternatives, read_changes
    from planner.show.alternatives import comparison_data, comparison_text
    from planner.show.data import json_text
    from planner.show.whatif import whatif_data, whatif_text

    asked = {"rule": rule, "price": price, "want": want, "head": head, "bench": bench}
    asked |= {"keeps": keeps, "drop-order": drop_order}
    single = [Change(kind, text) for kind, texts in asked.items() for text in texts or ()]
    options = options_within(within, seconds, solver)
    if changes is not None and single:
        message = f"is a set of its own: write --{single[0].kind} into it, or leave it out"
        raise wrong("--changes", message)
    if changes is None and not single:
        message = 'no change is named; write one, such as --rule "all shoulder: boneless roast"'
        raise wrong("whatif", message)
    start = start_of(file)
    if changes is None:
        changed = read_changes(start.scenario, single)
        with start.comparer(options) as comparer:
            answer = ask(comparer, changed, single)
        typer.echo(json_text(whatif_data(answer)) if json else whatif_text(answer))
        return
    alternatives = read_alternatives(start.scenario, Path(changes), changes)
    with start.comparer(options) as comparer:
        found = compare(comparer, alternatives)
    typer.echo(json_text(comparison_data(found)) if json else comparison_text(found))
    if found.exit_code:  # it is enough that one of them can be planned
        raise typer.Exit(found.exit_code)
