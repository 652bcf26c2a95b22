"""Figures and dates as files of other programs write them, read by what a whole column shows."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from planner.core.days import Order, parts_in_doubt
from planner.core.quantities import FRACTIONS, plain_units, read_amount
from planner.shop.entering.catalog import printable

T = TypeVar("T", bound=str)

MOST = 1e9
"""More than a shop has of anything."""

Located = tuple[int, str]
"""A cell with the line it stands on."""

_FIGURE = re.compile(
    r"""(?P<open>\()?\s*(?P<sign>[-+\u2212]?)\s*
    (?P<front>[$£¥\u20a0-\u20cf]|[A-Z]{1,3}\s?[$]?)?\s*(?P<sign2>[-+\u2212]?)\s*
    (?P<digits>[0-9][0-9.,'\u2019\s]*|[.,][0-9]+)
    (?P<word>[^\W\d_]+\.?|[$£¥\u20a0-\u20cf])?\s*(?P<behind>-?)\s*(?P<close>\))?""",
    re.VERBOSE,
)


_JOINED = re.compile(rf"[0-9]/[0-9]|[{''.join(FRACTIONS)}]|lb\S*\s.*oz", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Figure:
    """A number, and the unit or currency behind it and in front, or nothing."""

    number: float
    word: str
    front: str = ""


def read_figure(text: str, decimal: str) -> Figure:
    """Read `1,234.50`, `-3`, `(3.50)`, `$12`, `12,00 €`, `3.5 lb`; raises `ValueError`.

    `decimal` is the sign before the decimals, a point or a comma; the other one parts thousands.
    """
    joined = plain_units(text) if _JOINED.search(text) else ""
    if joined:
        amount = read_amount(joined)
        return Figure(amount.number, amount.unit or "")
    found = _figure(text)
    if found is None:
        raise ValueError(f'"{printable(text.strip())}" is not a number')
    digits = _digits(text)
    thousands = "," if decimal == "." else "."
    whole, _, part = digits.partition(decimal)
    if thousands in whole and re.fullmatch(
        rf"[0-9]{{1,3}}(?:{re.escape(thousands)}[0-9]{{3}})+", whole
    ):
        whole = whole.replace(thousands, "")
    if not (whole + part).isdecimal():
        point = "point" if decimal == "." else "comma"
        raise ValueError(
            f'"{printable(text.strip())}" is not a number where decimals follow a {point}'
        )
    minus = bool(found["open"]) or found["behind"] == "-"
    minus = minus or any(found[sign] in ("-", "\u2212") for sign in ("sign", "sign2"))
    number = float(f"{whole or 0}.{part or 0}")
    if number > MOST:
        raise ValueError(
            f"{whole[:9]}... ({len(whole)} digits) is more than a shop has of anything"
        )
    front, word = (found["front"] or "").strip(), (found["word"] or "").rstrip(".")
    return Figure(-number if minus else number, word, front)


def decimal_of(cells: Iterable[Located], delimiter: str, amounts: Iterable[Located] = ()) -> str:
    """The sign that stands before decimals in a file: a point or a comma.

    1,25 and 0.125 tell it, and so do 1,234.50 and 1.234.500. Where there are only such as 1,250 the
    separator of the file does: with commas between the cells decimals have a point, with semicolons
    a comma. Of amounts, which are all among the cells, 1,250 in a file with commas is asked about:
    hardly anybody sells by the thousand. Raises `ValueError` where cells tell both, or none does
    and it matters.
    """

    def tells(text: str) -> tuple[str, str]:
        digits = _digits(text)
        return _before_decimals(digits), "," if "," in digits else "." if "." in digits else ""

    both = {".": "decimals have a point", ",": "a comma"}
    sign, open_ = _told(cells, tells, both)
    if sign:
        return sign
    _, in_doubt = _told(amounts, tells, both)
    alone = "".join(open_)  # the only sign that there is
    if not alone or alone == "," == delimiter and "," not in in_doubt:
        return "."
    if "," not in in_doubt or delimiter != ",":
        if (alone, delimiter) == (",", ";"):
            return ","
        if (alone, delimiter) == (".", ","):
            return "."
    line, text = in_doubt.get(",") or next(iter(open_.values()))
    raise ValueError(f"nothing tells whether {text} on line {line} has thousands or decimals")


def order_of(cells: Iterable[Located]) -> Order:
    """Whether days or months come first in a column of dates such as 1/12/2026.

    Raises `ValueError`: some can only be the one and some only the other, or nothing tells.
    """

    def tells(text: str) -> tuple[Order | None, str]:
        first, second = parts_in_doubt(text) or (0, 0)
        if first > 12 >= second or second > 12 >= first:
            return "dmy" if first > 12 else "mdy", ""
        return None, "/" if first != second else ""

    both: Mapping[Order, str] = {"dmy": "the day comes first", "mdy": "the month"}
    order, open_ = _told(cells, tells, both)
    if order is None and open_:
        line, text = open_["/"]
        raise ValueError(
            f"nothing tells whether the day or the month comes first in {text} on line {line}"
        )
    return order or "mdy"


def _told(
    cells: Iterable[Located], tells: Callable[[str], tuple[T | None, str]], both: Mapping[T, str]
) -> tuple[T | None, dict[str, Located]]:
    """What cells tell, and the first of each sort that may be read in two ways.

    `tells` gives what a text tells, or else its sort, empty where it does not matter; `both` are
    the words for it where cells tell both (`ValueError`).
    """
    told: dict[T, Located] = {}
    open_: dict[str, Located] = {}
    for line, text in cells:
        found, sort = tells(text)
        if found:
            told.setdefault(found, (line, printable(text.strip())))
        elif sort:
            open_.setdefault(sort, (line, printable(text.strip())))
    if len(told) > 1:
        where = ((words, *told[each]) for each, words in both.items())
        raise ValueError(", and ".join(f"{words} on line {n} ({text})" for words, n, text in where))
    return next(iter(told), None), open_


def _figure(text: str) -> re.Match[str] | None:
    found = _FIGURE.fullmatch(text.strip())
    if not found or bool(found["open"]) != bool(found["close"]):
        return None
    signs = [found[name] for name in ("open", "sign", "sign2", "behind") if found[name]]
    return found if len(signs) < 2 else None


def _digits(text: str) -> str:
    """Those of a figure without the blanks and apostrophes that part thousands; else nothing."""
    found = _figure(text)
    return re.sub(r"['\u2019\s]", "", found["digits"]) if found else ""


def _before_decimals(digits: str) -> str:
    """The sign that these digits show to be before decimals; empty where they do not."""
    last = max(",.", key=digits.rfind)
    other = "," if last == "." else "."
    if last not in digits:
        return ""
    if other in digits:
        return last
    if digits.count(last) > 1:
        return other
    whole, _, part = digits.partition(last)
    thousands = len(part) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0")
    return "" if thousands else last
