"""A text in Markdown, laid out as plain text for a terminal.

Only what our own texts are made of: headings, paragraphs, lists, tables, and blocks of code, which
stay as they are. Words in backticks keep them, as in the messages of the program.
"""

from __future__ import annotations

import re

from planner.show.layout import WIDTH, room_beside, table, wrapped

LEAST = 12  # columns of the last column of a table at least

ITEM = re.compile(r"- |\d+\. ")
LINK = re.compile(r"\[([^]]*)\]\([^)]*\)")
RULE = re.compile(r"[|\s:-]+")


def plain_text(markdown: str, width: int = WIDTH) -> str:
    """Headings in capitals, paragraphs and lists wrapped, tables in columns."""
    parts = []
    for number, block in enumerate(re.split(r"^```.*$\n?", markdown, flags=re.MULTILINE)):
        if number % 2:  # between two fences
            parts.append("\n".join(f"  {line}".rstrip() for line in block.rstrip().split("\n")))
        else:
            paragraphs = re.split(r"\n\s*\n", LINK.sub(r"\1", block).replace("**", ""))
            parts += [_paragraph(each, width) for each in paragraphs if each.strip()]
    return "\n\n".join(parts)


def _paragraph(text: str, width: int) -> str:
    lines = text.strip("\n").split("\n")
    if lines[0].startswith("#"):
        return "\n".join([lines[0].lstrip("# ").upper(), *lines[1:]])
    if lines[0].startswith("|"):
        return _table(lines, width)
    items: list[list[str]] = [[]]
    for line in lines:
        if ITEM.match(line):
            items.append([])
        items[-1].append(line.strip())
    shown = [
        wrapped(" ".join(item), 0, width, len(found[0]) if (found := ITEM.match(item[0])) else 0)
        for item in items
        if item
    ]
    return "\n".join(line for item in shown for line in item)


def _table(lines: list[str], width: int) -> str:
    """Rows between bars; the last column is wrapped, below the others where they leave no room."""
    rows = [
        [cell.strip() for cell in line.strip()[1:-1].split(" | ")]
        for line in lines
        if not RULE.fullmatch(line)
    ]
    room = room_beside(rows, (), width, [len(rows[0]) - 1])
    if room < LEAST:
        told = [
            [*wrapped(" ".join(first), 2, width), *wrapped(last, 6, width)] for *first, last in rows
        ]
        return "\n".join(line for each in told for line in each)
    heads, *body = [
        [*(first if number == 0 else [""] * len(first)), line]
        for *first, last in rows
        for number, line in enumerate(wrapped(last, 0, room))
    ]
    return table(body, heads, ["left"] * len(heads))
