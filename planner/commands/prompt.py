"""Questions put to a person one after the other, at a terminal or through a pipe."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Generic, TypeVar

import typer

from planner.show.layout import width_of, wrapped

T = TypeVar("T")

MOST_SIGNS = 500
"""Signs of one answer."""


class Move(Enum):
    """An answer that is none: back to the question before, or no more questions."""

    BACK = "back"
    STOP = "stop"


@dataclass(frozen=True)
class Question(Generic[T]):
    """One question.

    `read` takes what was typed, empty where it was only Enter, and raises `ValueError` with what is
    wrong; `warning` takes what was read, and gives what is unlikely about it, or nothing. `help` is
    what `?` tells, `heading` what is told once, above the prompt.
    """

    prompt: str
    read: Callable[[str], T]
    warning: Callable[[T], str] = lambda _: ""
    help: str = ""
    heading: str = ""


class Asker:
    """Puts questions and reads answers.

    Prompts go to standard output where that is a terminal and nothing else is printed there; else
    to standard error, so that what a machine reads stays clean (`aside`: standard output is for
    one). Where somebody is `sure`, what is unlikely is told and kept, without a question (`--yes`).
    """

    def __init__(self, *, aside: bool, sure: bool) -> None:
        self._err = aside or not sys.stdout.isatty()
        self._sure = sure
        self._first: list[str] = []
        self.width = width_of(sys.stderr if self._err else sys.stdout)
        if isinstance(sys.stdin, io.TextIOWrapper):  # bytes that are no text become a sign for it
            sys.stdin.reconfigure(errors="replace")

    def say(self, text: str, hanging: int = 0) -> None:
        """Tell something, in the columns there are."""
        for line in text.split("\n"):
            margin = len(line) - len(line.lstrip())
            told = wrapped(line.strip(), margin, self.width, hanging) or [""]
            typer.echo("\n".join(told), err=self._err)

    def ask(self, question: Question[T]) -> T | Move:
        """Put a question until there is an answer that can be read and draws no warning.

        What is unlikely is questioned at once: `yes` keeps it. The end of the input is a stop.
        """
        if question.heading:
            self.say(question.heading)
        prompt = question.prompt
        kept: list[T] = []  # what was read and is unlikely
        while True:
            text = self._line(prompt)
            word = "stop" if text is None else text.lower()
            if word in ("stop", "back"):
                return Move(word)
            if word in ("yes", "y") and kept:
                return kept[0]
            prompt = question.prompt
            if word in ("?", "help"):
                for line in question.help.split("\n"):
                    self.say(line, len(line) - len(line.partition("  ")[2].lstrip()))
                continue
            try:
                read = question.read(text or "")
            except ValueError as error:
                kept.clear()
                self.say(str(error))
                continue
            warning = question.warning(read)
            if not warning:
                return read
            if self._sure:
                self.say(f"{warning}: kept")
                return read
            kept[:] = [read]
            self.say(warning if warning.endswith("?") else f"{warning}.")
            prompt = "type it again, or yes to keep it: "

    def agreed(self, text: str, prompt: str) -> bool:
        """Tell something, and ask whether to go on all the same; `--yes` does."""
        self.say(text)
        answers = dict.fromkeys(("yes", "y"), True) | dict.fromkeys(("", "no", "n"), False)

        def read(typed: str) -> bool:
            if typed.lower() not in answers:
                raise ValueError("type yes or no")
            return answers[typed.lower()]

        return self._sure or self.ask(Question(prompt, read)) is True

    def answer_first(self, text: str) -> None:
        """Take a text as the answer to the next question: it was typed along with the last one."""
        self._first.append(text)

    def until_stopped(self, questions: Callable[[], T]) -> T:
        """What questions lead to; with Ctrl-C it is said that nothing comes of them."""
        try:
            return questions()
        except KeyboardInterrupt:
            typer.echo("\nNothing was entered.", err=self._err)
            raise

    def _line(self, prompt: str) -> str | None:
        """One line typed; None at the end of the input."""
        typer.echo(prompt, nl=False, err=self._err)
        if self._first:
            text = self._first.pop()
            typer.echo(text, err=self._err)
            return text
        line = sys.stdin.readline()
        text = " ".join("".join(each if each.isprintable() else " " for each in line).split())
        if not sys.stdin.isatty():  # nobody sees what is typed
            typer.echo(text, err=self._err)
        elif not line:
            typer.echo("", err=self._err)
        return text[:MOST_SIGNS] if line else None
