"""Writers killed 200 times: what was acknowledged is there, and nothing is there by halves."""

from __future__ import annotations

import random
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest

from planner.journal.entries import Recorded
from planner.journal.store import Journal
from tests.attack.ground import TODAY, copied, lay_out
from tests.attack.striking import LATER, Struck, struck

pytestmark = [pytest.mark.thorough, pytest.mark.drawn]

KILLS = 200


def everything(shop: Path) -> tuple[Recorded, ...]:
    """All that a journal has, read anew."""
    with closing(Journal(shop / "journal.db")) as journal:
        return tuple(journal.recorded(undone=True))


State = object


def of_the_journal(folder: Path) -> State:
    return [(each.number, each.entry) for each in everything(folder / "shop")]


def of_a_file(name: str) -> Callable[[Path], State]:
    def read(folder: Path) -> State:
        path = folder / name
        return path.read_text() if path.exists() else None

    return read


def of_a_model(folder: Path) -> State:
    """Whether it is there, whole: it is written before the search, and once more after it."""
    path = folder / "out.mps"
    return path.read_text().splitlines()[-1] if path.exists() else None


def of_yields(folder: Path) -> State:
    """As the next command finds it, which finishes what was stopped."""
    words = ["journal", "--shop", "shop"]
    assert struck(words, folder).acknowledged
    written = [name for _, name in of_the_journal(folder) if "Yields" in type(name).__name__]
    return (folder / "shop/recipes/lamb.yaml").read_text(), written


def of_a_new_shop(folder: Path) -> State:
    shop = folder / "new"
    if not shop.exists():
        return None
    names = sorted(str(path.relative_to(shop)) for path in shop.rglob("*"))
    texts = [(shop / name).read_bytes() for name in names if name.endswith(".yaml")]
    return names, texts, len(everything(shop))


def of_a_copy(folder: Path) -> State:
    path = folder / "copy.db"
    if not path.exists():
        return None
    with closing(Journal(path)) as journal:
        return [(each.number, each.entry) for each in journal.recorded(undone=True)]


@dataclass(frozen=True)
class Writer:
    """A command that writes, and how what it wrote is read."""

    words: str
    state: Callable[[Path], State]
    first: str = ""  # a command before it


TILL = (
    "--columns Item=cut,Qty=amount,Date=day,Total=money --items|LAMB LOIN CHP=loin chops,Gift card="
)
WRITERS = {
    "entering": Writer(
        "journal add --shop shop --yes|waste bones: 1 lb|waste trim 80: 0.5 lb",
        of_the_journal,
    ),
    "undo": Writer("journal undo --shop shop --yes", of_the_journal),
    "import": Writer(f"journal import --shop shop shop/till.csv {TILL}", of_the_journal),
    "page": Writer(
        "week plan/week.yaml --seconds 5 --page out.html",
        of_a_file("out.html"),
        "week plan/goat-only.yaml --seconds 5 --page out.html",
    ),
    "model file": Writer("week plan/week.yaml --seconds 5 --model-file out.mps", of_a_model),
    "promise": Writer(
        "promise plan/week.yaml|shoulder roast: 1 lb on fri|--for|the inn|--write",
        of_a_file("plan/week.yaml"),
    ),
    "yields": Writer("yields --shop shop --write --seconds 1", of_yields),
    "start": Writer("start new --species lamb", of_a_new_shop),
    "backup": Writer("journal backup --shop shop copy.db", of_a_copy),
}


def split(words: str) -> list[str]:
    """Words between spaces; a `|` begins and ends those with spaces of their own."""
    if "|" not in words:
        return words.split()
    first, *rest = words.split("|")
    return [*first.split(), *rest]


@pytest.mark.parametrize("name", WRITERS)
def test_a_writer_killed_at_any_step(name, tmp_path, breakplan, clock_at, request):
    clock_at(TODAY)
    writer, pick = WRITERS[name], random.Random(f"{request.config.option.seed} {name}")
    ground = lay_out(tmp_path / "ground", breakplan)
    week = (ground / "plan/week.yaml").read_text()
    (ground / "plan/goat-only.yaml").write_text(week.replace("An invented goat week", "Another"))
    if writer.first:
        assert struck(split(writer.first), ground).acknowledged

    whole = copied(ground, tmp_path / "whole")
    old = writer.state(copied(ground, tmp_path / "old"))
    ran = struck(split(writer.words), whole)
    new = writer.state(whole)
    assert ran.acknowledged and ran.steps and old != new, ran

    seen = {"old": 0, "new": 0}
    for number in range(-(-KILLS // len(WRITERS))):
        folder = copied(ground, tmp_path / f"killed-{number}")
        step = pick.randint(max(1, ran.steps - 12), ran.steps)
        later = pick.choice([0.0, 0.0, pick.uniform(0, LATER)])
        found = struck(split(writer.words), folder, step, later)
        state = writer.state(folder)
        place = (
            f"{name}, killed {later:.4f} s after step {step} of {ran.steps}: {found.said[-300:]}"
        )
        if state not in (old, new):
            raise AssertionError(f"{place}\nneither as before nor whole: {apart(state, new)}")
        assert state == new or not found.acknowledged, place
        seen["new" if state == new else "old"] += 1
        assert_nothing_is_left(ground, folder, whole, place)
        assert_it_can_be_done_again(writer, folder, state == new, place)
    assert seen["old"], seen


def apart(state: State, new: State) -> str:
    """Where a text begins to differ from the whole one."""
    if not isinstance(state, str) or not isinstance(new, str):
        return f"{state!r:.2000}"
    at = next(
        (n for n, (one, other) in enumerate(zip(state, new, strict=False)) if one != other), -1
    )
    return f"{len(state)} signs of {len(new)}: {state[at - 80 : at + 80]!r}, {new[at : at + 80]!r}"


def assert_nothing_is_left(ground: Path, folder: Path, whole: Path, place: str) -> None:
    """No name in sight but those from before and those of the whole writing."""
    known = names(ground) | names(whole)
    assert names(folder) <= known, (place, names(folder) - known)


def names(folder: Path) -> set[str]:
    return {
        str(path.relative_to(folder))
        for path in folder.rglob("*")
        if not path.name.startswith("journal.db-")
        and not any(part.startswith(".") for part in path.relative_to(folder).parts)
    }


def assert_it_can_be_done_again(writer: Writer, folder: Path, done: bool, place: str) -> None:
    if not done:
        again: Struck = struck(split(writer.words), folder)
        assert again.acknowledged, (place, again.said[-300:])
