"""Spoilt files of every kind: an answer or the faults, one a line, and nothing else."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import pytest

from tests.attack.ground import KINDS, TODAY, Kind, copied, lay_out
from tests.attack.mutations import SIGNS, spoil
from tests.attack.watched import names_the_file, watched

pytestmark = [pytest.mark.thorough, pytest.mark.drawn]

MUTANTS = 2_000
EACH = 23  # mutants a test, to be spread over the cores
PARTS = -(-MUTANTS // (EACH * len(KINDS)))


@pytest.fixture(scope="module")
def ground(tmp_path_factory):
    """The files laid out once, in the same way for every mutant."""
    return tmp_path_factory.mktemp("ground") / "ground"


@pytest.mark.parametrize("part", range(PARTS))
@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_mutants(kind, part, ground, tmp_path, breakplan, clock_at, request):
    clock_at(TODAY)
    if not ground.exists():
        lay_out(ground, breakplan)
    found = []
    for number in range(EACH):
        pick = random.Random(f"{request.config.option.seed} {kind.name} {part} {number}")
        here = copied(ground, tmp_path / "ground")
        faults = faults_of_a_mutant(kind, here, pick)
        if faults:
            kept = tmp_path / f"mutant-{number}"
            shutil.move(here, kept)
            found.append(f"{kind.name} {part}/{number} ({kept}): {'; '.join(faults)}")
        else:
            shutil.rmtree(here)
    assert not found, "\n" + "\n".join(found)


def faults_of_a_mutant(kind: Kind, here: Path, pick: random.Random) -> list[str]:
    good = here / kind.file
    path = good if kind.in_place else good.with_name(odd_name(good, pick))
    good.rename(path)
    done = spoil(path, pick)
    for words in kind.commands(path):
        before = contents(here)
        seen = watched(*words)
        faults = seen.faults()
        after = contents(here)
        if changed := [name for name in before if after.get(name) != before[name]]:
            faults.append(f"changed {', '.join(changed)}")
        if seen.ran and seen.ran.code == 2:
            if not names_the_file(seen.told, *here.rglob("*.*")):
                faults.append(f"no file is named: {seen.told:.200}")
            if new := after.keys() - before.keys():
                faults.append(f"refused, and yet there is {', '.join(new)}")
        if faults:
            return [f"{done}: {' '.join(map(str, words))}", *faults]
        if seen.ran.code:
            break
    return []


def odd_name(good: Path, pick: random.Random) -> str:
    sign = pick.choice(SIGNS)
    if pick.random() < 0.9 or sign in "\x00\ud800":
        return good.name
    return f"{good.stem}{sign}{good.suffix}"


def contents(here: Path) -> dict[str, bytes]:
    """All files but the journal, which every command opens."""
    return {
        str(path.relative_to(here)): path.read_bytes()
        for path in here.rglob("*")
        if path.is_file() and not path.name.startswith("journal.db")
    }
