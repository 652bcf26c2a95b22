"""A command run in the process under watch: its limits, and what it may leave on the streams."""

from __future__ import annotations

import faulthandler
import re
import resource
import sys
import time
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import typer.main
from click.testing import CliRunner

from planner.commands.program import app
from planner.core.errors import BreakplanError
from planner.core.signs import showing, shown_line
from tests.conftest import Ran

SECONDS = 20.0  # of the processor, of both cores together; plans are asked for with `--seconds 1`
HUNG = 200.0  # seconds of the clock after which the process is ended, and says where it was
MEMORY = 1_500_000_000  # bytes beyond what the process had
CODES = {0, 2, 3, 4}
LONGEST = 2_000  # signs of a line on standard error


@dataclass(frozen=True)
class Watched:
    """What a command left behind, or what it broke with."""

    ran: Ran | None
    broke: str
    seconds: float

    @property
    def told(self) -> str:
        """What it says of the input: `check` says it on the output."""
        return "" if self.ran is None else self.ran.err or self.ran.out

    def faults(self) -> list[str]:
        """What is wrong about it, whatever the input was."""
        if self.ran is None:
            return [f"a traceback: {self.broke}"]
        found = []
        if self.ran.code not in CODES:
            found.append(f"exit code {self.ran.code}")
        if self.ran.code and not self.told.strip():
            found.append(f"exit code {self.ran.code} without a word")
        if self.seconds > SECONDS:
            found.append(f"{self.seconds:.1f} s of the processor")
        for name, text in (("output", self.ran.out), ("errors", self.ran.err)):
            if steering := steering_signs(text):
                found.append(f"{name} with {', '.join(map(ascii, sorted(steering)))}")
            if "Traceback (most recent" in text:
                found.append(f"a traceback in {name}")
        lines = self.ran.err.splitlines()
        if long := [len(line) for line in lines if len(line) > LONGEST]:
            found.append(f"a line of {max(long)} signs")
        if self.ran.code == 2 and not all(line.strip() for line in lines):
            found.append("an empty line among the faults")
        return found


def steering_signs(text: str) -> set[str]:
    """Signs that steer a terminal, turn text around or cannot be seen."""
    return {
        sign
        for sign in set(text.replace("\r\n", "")) - {"\n", "\t"}
        if unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    }


def names_the_file(err: str, *files: Path) -> bool:
    """Whether a fault begins with one of these files, or with the option that named it."""
    names = "|".join(re.escape(shown_line(file.name)) for file in files)
    return bool(re.search(rf"(?m)(?:{names})\S*:|^--[a-z]+", err)) or err.startswith("Usage: ")


class _Program:
    """The program as its `main` runs it: all that is printed is shown."""

    name = "breakplan"

    def main(self, *args: Any, **more: Any) -> None:
        sys.stdout, sys.stderr = showing(sys.stdout), showing(sys.stderr)
        try:
            typer.main.get_command(app).main(*args, **more)
        except BreakplanError as error:
            typer.echo(str(error), err=True)
            sys.exit(error.exit_code)
        finally:
            sys.stdout.flush()
            sys.stderr.flush()


def run(*words: str | Path) -> Ran:
    """A command in the process, its streams as the program's own."""
    result = CliRunner().invoke(_Program(), [str(word) for word in words])
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return Ran(result.exit_code, result.stdout, result.stderr)


def watched(*words: str | Path) -> Watched:
    """Run a command with a limit on its memory, and a watchdog in case it does not end."""
    began = time.process_time()
    with _limits():
        try:
            ran, broke = run(*words), ""
        except Exception as error:  # noqa: BLE001 - whatever the program did not expect
            ran, broke = None, f"{type(error).__name__}: {error!s:.300} {_where(error)}"
    return Watched(ran, broke, time.process_time() - began)


def _where(error: BaseException) -> str:
    trace = error.__traceback__
    places = []
    while trace:
        code = trace.tb_frame.f_code
        places.append(f"{Path(code.co_filename).name}:{trace.tb_lineno} {code.co_name}")
        trace = trace.tb_next
    return " < ".join(reversed(places[-4:]))


@contextmanager
def _limits() -> Iterator[None]:
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    resource.setrlimit(resource.RLIMIT_AS, (pages * resource.getpagesize() + MEMORY, hard))
    faulthandler.dump_traceback_later(HUNG, exit=True)
    try:
        yield
    finally:
        faulthandler.cancel_dump_traceback_later()
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
