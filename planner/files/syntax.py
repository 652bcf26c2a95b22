"""What most likely lies behind a YAML syntax error, in plain words and on the line to look at."""

from __future__ import annotations

import re

import yaml

MISSING_COLON = "a colon is missing: write `name: value`, with a space after the colon"


def syntax_fault(text: str, error: yaml.MarkedYAMLError) -> tuple[int, str]:
    """Line and explanation of an error of the YAML parser.

    The parser reports where it could not go on; what is wrong often stands on an earlier line.
    """
    lines = text.split("\n")
    problem, context = error.problem or "", error.context or ""
    stuck = error.problem_mark or error.context_mark
    line = min(stuck.line + 1 if stuck else 1, len(lines))
    while line > 1 and not lines[line - 1].strip():  # at the end of the file: the last line written
        line -= 1
    began = error.context_mark.line + 1 if error.context_mark else line
    here = lines[line - 1]
    if "\t" in here[: len(here) - len(here.lstrip())] and ("tab" in problem or "token" in problem):
        return line, "a tab at the start of the line: indent with spaces"
    if "quoted scalar" in context and "end of stream" in problem:
        return began, "a quote is opened here and never closed"
    if "simple key" in context:
        return began, MISSING_COLON
    open_quote = _open_quote(lines[: line - 1])
    if open_quote:
        return open_quote, "a quote is opened here and not closed on the line"
    if "mapping values" in problem or "block mapping" in context:
        no_colon = _line_without_colon(lines[: line - 1])
        if no_colon:
            return no_colon, MISSING_COLON
    if "mapping values" in problem:
        return line, (
            "a colon where none can be: check how far this line and the one before are indented, "
            "and put text that has a colon in it in quotes"
        )
    if "flow" in context and began < line:
        until = f"or a comma is missing up to line {line}"
        return began, f"a bracket is opened here and not closed, {until}"
    if "flow" in context:
        return line, "a comma, a colon or a closing bracket is missing"
    if "token" in problem:
        return line, "a character that cannot begin a value: put the value in quotes"
    if "escape" in problem or "quoted scalar" in context:
        return line, "a backslash in double quotes: write two, or use single quotes"
    if re.match(r"\s*-[^\s-]", here):
        return line, "a space is missing after the dash"
    if any(here.count(close) > here.count(first) for first, close in ("{}", "[]")):
        return line, "one closing bracket too many"
    if "expected" in problem:
        return line, (
            "the line does not fit those before it: check how far it is indented, "
            "and its dash, quotes and brackets"
        )
    return line, problem


def _line_without_colon(lines: list[str]) -> int:
    """The last of these lines, if it should be `name: value` but has no colon, else 0."""
    for number in range(len(lines), 0, -1):
        text = lines[number - 1].split(" #")[0].strip()
        if text and not text.startswith("#"):
            ends_otherwise = ": " in text or text.endswith((":", "}", "]")) or text.startswith("-")
            return 0 if ends_otherwise else number
    return 0


def _open_quote(lines: list[str]) -> int:
    """The last line that leaves a double quote open, if one is open after these lines, else 0."""
    odd = [n for n, line in enumerate(lines, 1) if line.split(" #")[0].count('"') % 2]
    return odd[-1] if len(odd) % 2 else 0
