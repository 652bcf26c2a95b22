"""Figures and dates as files of other programs write them, read by what a whole column shows."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from planner.core.days import Order, parts_in_doubt
from planner.core.quantities import FRACTIONS, plain_units, read_amount
from planner.shop.entering.things import printable

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

_CODES = {
    "$": "USD US$ CAD C$ CA$ AUD A$ NZD NZ$ dollars",
    "€": "EUR euro",
    "£": "GBP",
    "¥": "JPY CNY",
}
"""What else money is called where it has such a sign."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A number, and the unit or currency behind it and in front, or nothing."""

    number: float
    word: str
    front: str = ""

    def stop_unless_money(self, text: str, symbol: str) -> None:
        """Raise `ValueError` where the words are not the shop's money, nor nothing."""
        known = {symbol.lower(), *_CODES.get(symbol, "").lower().split()}
        for word in (self.front, self.word):
            if word and word.lower().replace(" ", "") not in known:
                raise ValueError(
                    f'"{printable(text.strip())}" is no money in {symbol}, which the shop has'
                )


def read_figure(text: str, decimal: str) -> Figure:
    """Read `1,234.50`, `-3`, `(3.50)`, `$12`, `12,00 €`, `3.5 lb`; raises `ValueError`.

    Parameters
    ----------
    text : str
    decimal : str
        The sign before the decimals, a point or a comma; the other one parts thousands.
    """
    joined = plain_units(text) if _JOINED.search(text) else ""
    if joined:
        amount = read_amount(joined)
        return Figure(amount.number, amount.unit or "")
    found = _figure(text)
    if found is None:
        raise ValueError(f'"{printable(text.strip())}" is no number')
    digits = _bare(found["digits"])
    thousands = "," if decimal == "." else "."
    whole, _, part = digits.partition(decimal)
    if thousands in whole and re.fullmatch(
        rf"[0-9]{{1,3}}(?:{re.escape(thousands)}[0-9]{{3}})+", whole
    ):
        whole = whole.replace(thousands, "")
    if not (whole + part).isdecimal():
        point = "point" if decimal == "." else "comma"
        raise ValueError(
            f'"{printable(text.strip())}" is no number where decimals stand behind a {point}'
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
    hardly anybody sells by the thousand.

    Raises
    ------
    ValueError
        Cells tell both, or none does and it matters.
    """
    told: dict[str, Located] = {}
    open_: dict[str, Located] = {}
    for line, text in cells:
        found = _figure(text)
        digits = _bare(found["digits"]) if found else ""
        if "." in digits or "," in digits:
            sign = _tells(digits)
            if sign:
                told.setdefault(sign, (line, printable(text.strip())))
            else:
                open_.setdefault("," if "," in digits else ".", (line, printable(text.strip())))
    if len(told) > 1:
        (line, one), (other_line, other) = told["."], told[","]
        raise ValueError(
            f"decimals have a point on line {line} ({one}), "
            f"and a comma on line {other_line} ({other})"
        )
    if told:
        return next(iter(told))
    unclear = next(
        ((line, printable(text.strip())) for line, text in amounts if _is_unclear(text)), None
    )
    if not open_ or set(open_) == {","} and delimiter == "," and unclear is None:
        return "."
    if set(open_) == {","} and delimiter == ";":
        return ","
    if set(open_) == {"."} and delimiter == ",":
        return "."
    line, text = unclear or next(iter(open_.values()))
    raise ValueError(
        f"nothing tells whether {text} on line {line} has thousands or decimals; "
        "say --decimal point or --decimal comma"
    )


def order_of(cells: Iterable[Located]) -> Order:
    """Whether days or months come first in a column of dates such as 1/12/2026.

    Raises
    ------
    ValueError
        Some can only be the one and some only the other, or nothing tells.
    """
    told: dict[Order, Located] = {}
    open_: Located | None = None
    for line, text in cells:
        found = parts_in_doubt(text)
        if not found:
            continue
        first, second = found
        if first > 12 >= second:
            told.setdefault("dmy", (line, printable(text.strip())))
        elif second > 12 >= first:
            told.setdefault("mdy", (line, printable(text.strip())))
        elif first != second:
            open_ = open_ or (line, printable(text.strip()))
    if len(told) > 1:
        (line, one), (other_line, other) = told["dmy"], told["mdy"]
        raise ValueError(
            f"the day comes first on line {line} ({one}), "
            f"and the month on line {other_line} ({other})"
        )
    if told:
        return next(iter(told))
    if open_:
        line, text = open_
        raise ValueError(
            f"nothing tells whether the day or the month comes first in {text} on line {line}; "
            "say --dates dmy or --dates mdy"
        )
    return "mdy"


def _figure(text: str) -> re.Match[str] | None:
    found = _FIGURE.fullmatch(text.strip())
    if not found or bool(found["open"]) != bool(found["close"]):
        return None
    signs = [found[name] for name in ("open", "sign", "sign2", "behind") if found[name]]
    return found if len(signs) < 2 else None


def _is_unclear(text: str) -> bool:
    """Whether a figure has one comma that may be before thousands or decimals."""
    found = _figure(text)
    digits = _bare(found["digits"]) if found else ""
    return "," in digits and not _tells(digits)


def _bare(digits: str) -> str:
    """Without the blanks and apostrophes that part thousands in some countries."""
    return re.sub(r"['\u2019\s]", "", digits)


def _tells(digits: str) -> str:
    """The sign that these digits show to be before decimals; empty where they do not."""
    last = max(",.", key=digits.rfind)
    other = "," if last == "." else "."
    if other in digits:
        return last
    if digits.count(last) > 1:
        return other
    whole, _, part = digits.partition(last)
    thousands = len(part) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0")
    return "" if thousands else last
