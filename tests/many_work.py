"""Many weeks to be planned, and what other processes do with them in tests: imported there too."""

from __future__ import annotations

import os
import signal
import sys
import time
from pathlib import Path

import planner
from planner.many.units import Planned, Unit, UnitOutcome, plan_unit
from planner.solve import Options
from tests.planning import read

DEADLY = "deadly"
"""Title of a scenario at which `deadly` kills the process that plans it."""


def weeks_of(shop, count: int, title: str = "An invented goat week") -> list[Path]:
    """Files that differ in a price, so that each has a plan of its own."""
    text = shop.week.read_text().replace("An invented goat week", title)
    paths = [shop.folder / f"{title.split()[-1]}-{number}.yaml" for number in range(count)]
    for number, path in enumerate(paths):
        path.write_text(text.replace("price: 12.99/lb", f"price: {12 + number / 4:.2f}/lb"))
    return paths


def units_of(shop, count: int, title: str = "An invented goat week") -> list[Unit]:
    return [Unit(read(path), Options()) for path in weeks_of(shop, count, title)]


def same(one: UnitOutcome, other: UnitOutcome) -> bool:
    """Whether two outcomes are the same plan, but for the time it took."""
    assert isinstance(one, Planned) and isinstance(other, Planned), (one, other)
    return {**one.parts, "seconds": 0.0} == {**other.parts, "seconds": 0.0}


def silent(running: object) -> None:
    """Nobody is told what runs."""


def slow(unit: Unit) -> UnitOutcome:
    """Leave a test the time to do something in the middle."""
    time.sleep(0.25)
    return plan_unit(unit)


def deadly(unit: Unit) -> UnitOutcome:
    """Be killed, as when memory runs out, at every scenario with that title."""
    if unit.scenario.title == DEADLY:
        os.kill(os.getpid(), signal.SIGKILL)
    return plan_unit(unit)


def deadly_once(unit: Unit) -> UnitOutcome:
    """Be killed at every scenario the first time; its title is the file that notes it."""
    mark = Path(unit.scenario.title)
    if mark.is_absolute() and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return plan_unit(unit)


def broken(unit: Unit) -> UnitOutcome:
    """Fail as only a mistake in the program does."""
    raise ZeroDivisionError(f"in {unit.scenario.title}\nand more")


def noisy(unit: Unit) -> UnitOutcome:
    """Print, as solvers do."""
    print("noise of Python", flush=True)
    os.write(1, b"noise of a library\n")
    return plan_unit(unit)


def pretend(version: str) -> None:
    """Have another release of the planner from now on."""
    planner.__version__ = version


def lose_planner() -> None:
    """Be unable to import the planner from now on."""
    sys.modules["planner"] = None  # type: ignore[assignment]


def find_planner(version: str) -> None:
    """Be able to again, and have the release there is."""
    sys.modules["planner"] = planner
    pretend(version)


class Unreadable:
    """What can be read only where it was made."""

    def __reduce__(self) -> tuple[object, ...]:
        return _read_in, (os.getpid(),)


def _read_in(process: int) -> None:
    if process != os.getpid():
        raise AttributeError("no such class in this release")


def unreadable(unit: Unit) -> UnitOutcome:
    """Give what the other side has no class for."""
    return Unreadable()  # type: ignore[return-value]


def misshapen(unit: Unit) -> UnitOutcome:
    """Give a plan with a part that the other side does not know."""
    outcome = plan_unit(unit)
    assert isinstance(outcome, Planned)
    return Planned({**outcome.parts, "colour": "red"})


def unknown(unit: Unit) -> UnitOutcome:
    """Give something else altogether."""
    return 17  # type: ignore[return-value]
