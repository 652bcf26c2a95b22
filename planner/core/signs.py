"""Signs that steer a terminal, turn the writing or are not seen: told from others, and shown.

Whatever is printed goes through `Shown`, so that no caller has to think of it. An escape is that of
JSON: what is printed as JSON says the same after it.
"""

from __future__ import annotations

import io
from typing import TextIO
from unicodedata import category

_HIDDEN = frozenset(
    map(
        chr,
        (
            *(0x034F, 0x115F, 0x1160, 0x17B4, 0x17B5, 0x2800, 0x3164, 0xFFA0),
            *range(0x180B, 0x1810),
            *range(0xFE00, 0xFE10),
            *range(0xE0100, 0xE01F0),
        ),
    )
)
"""Letters and marks that are drawn as nothing: Unicode's default ignorable ones, and a blank."""


def is_seen(sign: str) -> bool:
    """Whether a sign is drawn, and neither steers a terminal nor breaks or turns the line."""
    return sign.isprintable() and sign not in _HIDDEN


def shown_line(text: str) -> str:
    r"""A name or a message on one line, in which every sign is seen: others become `\u202e`."""
    if text.isprintable() and _HIDDEN.isdisjoint(text):
        return text
    return "".join(
        sign if is_seen(sign) or category(sign) == "Zs" else _escape(sign) for sign in text
    )


def shown_text(text: str) -> str:
    """As `shown_line` for a text of several lines, with tabs."""
    *lines, last = text.split("\n")
    ends = [(line.removesuffix("\r"), "\r\n" if line.endswith("\r") else "\n") for line in lines]
    return "".join(f"{_tabbed(line)}{end}" for line, end in [*ends, (last, "")])


class Codes(str):
    """What this program itself steers a terminal with."""


class Shown(io.TextIOWrapper):
    """A stream of text whose signs are all seen, but for `Codes`."""

    def write(self, text: str, /) -> int:
        """Write a text; returns the number of signs it had."""
        super().write(text if isinstance(text, Codes) else shown_text(text))
        return len(text)


def showing(stream: TextIO) -> TextIO:
    """The stream in whose place this one stands, as `Shown`; it is of no other use any more."""
    if not isinstance(stream, io.TextIOWrapper):
        return stream
    encoding, by_line = stream.encoding, stream.line_buffering
    if encoding.lower() in ("ascii", "us-ascii", "ansi_x3.4-1968"):  # said of a terminal not told
        encoding = "utf-8"
    return Shown(stream.detach(), encoding=encoding, errors="replace", line_buffering=by_line)


def _tabbed(line: str) -> str:
    return "\t".join(map(shown_line, line.split("\t")))


def _escape(sign: str) -> str:
    units = sign.encode("utf-16-be", "surrogatepass").hex()
    return "".join(f"\\u{units[at : at + 4]}" for at in range(0, len(units), 4))
