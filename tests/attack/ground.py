"""What is attacked: a folder with one good file of every kind, and the commands that read each."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from planner.journal.store import Journal
from tests.conftest import GOAT, WEEK, Ran
from tests.shops import shop_folder

TODAY = date(2026, 12, 3)  # a Thursday

BLENDS = """\
takes from: [goat]
blends:
  goat links:
    from: [goat trim 85, goat trim 70]
    fat: 18% to 27%
    goat trim 70: at least 10%
    added: 4%
    water: 2%
    batch: 0.5 lb
    minutes: 1 per lb
    keeps: 2 days
  goat patties: {from: [goat trim 85], minutes: 0.5 per lb, keeps: 2 days}
"""

ALTERNATIVES = """\
boned:
  rules: [all shoulder: boneless roast]
dearer:
  prices: {shoulder roast: +10%}
  wants: {shoulder roast: +20%, leg roast fri: 3}
busy:
  bench: {fri: 360}
  head: {goat mon: +1 head}
fresher:
  keeps: {shoulder roast: 4 days}
"""

TILL = """\
Date,Item,Qty,Total
2026-11-30,LAMB LOIN CHP,1.25 lb,29.99
2026-12-01,whole leg,2.5 lb,34.98
2026-12-01,Gift card,1,50.00
2026-12-02,frenched rack,1,76.00
2026-12-02,ground lamb,0.75 lb,9.74
"""

COUNTS = """\
what,amount,unit,made,weight
loin chops,3.5,lb,mon,
bones,2,lb,tue,
frenched rack,1,each,wed,
leg,1,,,8.9
"""

HAPPENED = (
    ("delivery lamb: 57.5 lb, 58 lb at 7.10/lb on mon", "order boneless leg: 4 lb on fri for Ann"),
    ("break carcass: 2 block break on mon",),
    ("break shoulder: 2 roast weighing 13.9 lb gave shoulder roast 9.4 lb, bones 2.8 lb on tue",),
    ("break loin: 1 chops on tue", "batch ground lamb: 2 lb on tue"),
    ("sale loin chops: 3 lb for 71.97 on tue", "waste bones: 1 lb on wed"),
    ("break leg: 1 boneless on wed",),
)


@dataclass(frozen=True)
class Kind:
    """A kind of file.

    Attributes
    ----------
    name : str
    file : str
        The good file, below the ground's folder.
    commands : callable
        From the spoilt file, wherever it lies, to the command lines that read it, in turn; the
        next is tried only where the last one said that all is well.
    in_place : bool
        Whether others name the file, so that its own name has to stay.
    """

    name: str
    file: str
    commands: Callable[[Path], list[list[str | Path]]]
    in_place: bool = False


TILL_WORDS = ["--columns", "Item=cut,Qty=amount,Date=day,Total=money"]
TILL_WORDS += ["--items", "LAMB LOIN CHP=loin chops,Gift card="]
BRIEFLY = ["--seconds", "1"]


def _shop(path: Path) -> Path:
    return path.parent.parent if path.parent.name == "recipes" else path.parent


def _week(path: Path) -> list[str | Path]:
    return ["week", path.parent / "week.yaml", *BRIEFLY]


KINDS = (
    Kind("scenario", "plan/week.yaml", lambda path: [
        ["check", path], ["week", path, "--json", *BRIEFLY],
        ["morning", path, "--day", "fri", *BRIEFLY],
        ["week", path, *BRIEFLY, "--page", path.with_name("out.html")],
    ]),
    Kind("recipe", "plan/goat.yaml", lambda path: [["check", path], _week(path)], True),
    Kind("blends", "plan/links.yaml", lambda path: [["check", path], _week(path)], True),
    Kind("alternatives", "plan/changes.yaml", lambda path: [
        ["whatif", path.with_name("week.yaml"), "--changes", path, *BRIEFLY],
    ]),
    Kind("shop", "shop/shop.yaml", lambda path: [
        ["check", path], ["week", "--shop", path.parent, "--look", *BRIEFLY],
    ], True),
    Kind("shop's recipe", "shop/recipes/lamb.yaml", lambda path: [
        ["check", path], ["journal", "--shop", _shop(path)], ["yields", "--shop", _shop(path)],
    ], True),
    Kind("journal CSV", "shop/all.csv", lambda path: [
        ["journal", "import", "--shop", path.parent, path, "--yes"],
        ["journal", "list", "--shop", path.parent, "--all"],
        ["week", "--shop", path.parent, "--look", *BRIEFLY],
    ]),
    Kind("till", "shop/till.csv", lambda path: [
        ["journal", "import", "--shop", path.parent, path, *TILL_WORDS],
        ["journal", "--shop", path.parent], ["demand", "--shop", path.parent],
    ]),
    Kind("counts", "shop/counts.csv", lambda path: [
        ["counts", path, "--shop", path.parent], ["counts", path, "--shop", path.parent, "--yes"],
        ["journal", "--shop", path.parent, "--kind", "count"],
    ]),
    Kind("weigh-in", "shop/weighed.csv", lambda path: [
        ["weigh-in", path, "--shop", path.parent, "--yes"], ["journal", "--shop", path.parent],
    ]),
    Kind("journal.db", "shop/journal.db", lambda path: [
        ["journal", "list", "--shop", path.parent, "--all"], ["yields", "--shop", path.parent],
        ["week", "--shop", path.parent, "--look", *BRIEFLY],
        ["journal", "add", "--shop", path.parent, "waste bones: 1 lb"],
    ], True),
)  # fmt: skip


def lay_out(folder: Path, run: Callable[..., Ran]) -> Path:
    """Write one good file of every kind below a folder; `run` runs the program on `TODAY`."""
    plan = folder / "plan"
    plan.mkdir(parents=True)
    (plan / "goat.yaml").write_text(GOAT)
    week = WEEK.replace("[goat.yaml]", "[goat.yaml, links.yaml]")
    (plan / "week.yaml").write_text(
        week.replace(
            "  bones: {price", "  goat links: {price: 11.5/lb, want: 6 lb}\n  bones: {price"
        )
    )
    (plan / "links.yaml").write_text(BLENDS)
    (plan / "changes.yaml").write_text(ALTERNATIVES)
    shop = shop_folder(folder)
    Journal(shop / "journal.db", create=True).close()

    def well(*words: str | Path) -> None:
        ran = run(*words)
        assert ran.code == 0, ran

    for writing in HAPPENED:
        well("journal", "add", "--shop", shop, *writing, "--yes")
    well("week", "--shop", shop, *BRIEFLY)
    well("journal", "export", "--shop", shop, shop / "all.csv", "--all")
    (shop / "till.csv").write_text(TILL)
    (shop / "counts.csv").write_text(COUNTS)
    well("weigh-in", "--shop", shop, "--csv-form", shop / "weighed.csv")
    return folder


def copied(ground: Path, folder: Path) -> Path:
    """A copy of the ground that may be spoilt."""
    return Path(shutil.copytree(ground, folder))
