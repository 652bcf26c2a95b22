"""How entries are said: a pattern of each kind, and what is said in another order put into it."""

from __future__ import annotations

import re

from planner.core.days import without_day
from planner.shop.entering.catalog import printable

PATTERNS = {
    "delivery": "delivery lamb: 3 head at 57.5 lb on wed at 7.10/lb",
    "order": "order boneless leg: 9 lb on fri for the corner bistro at 15.99/lb",
    "filled": "filled 12: 5 lb on fri",
    "sale": "sale loin chops: 3.5 lb sold out on tue",
    "waste": "waste stew meat: 1.2 lb on tue",
    "break": "break shoulder: 4 boneless roast on tue",
    "batch": "batch ground lamb: 8 lb from trim 85 6 lb, trim 70 2 lb",
}
"""An entry of each kind that can be said, in pounds."""

_IN_KILOGRAMS = {"57.5 lb": "26 kg", "7.10/lb": "15.60/kg", "15.99/lb": "35.20/kg", "lb": "kg"}

ELSEWHERE = {
    "count": "what is in the case is entered with: breakplan counts",
    "weigh-in": "weights are entered with: breakplan weigh-in",
    "plan": "plans are kept by: breakplan week",
    "yields": "yields are written by: breakplan yields --write",
}
"""Where other entries come from."""

NUMBER = r"(?:[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)"
UNIT = r"(?:lbs?|kg|g|oz|each)"

_COUNT_FIRST = re.compile(r"([0-9]+)\s+([^:]+):\s*(?![0-9])(.+)")
_HEAD_FIRST = re.compile(r"([0-9]+)\s+([^:]+?)\s+(?:of|at|@)\s+([^:]+)", re.IGNORECASE)
_SIZE_FIRST = re.compile(
    rf"({NUMBER}\s*{UNIT}\b|[0-9]+)\s+(?:of\s+)?([^:,]+?)"
    r"(\s*,.*|\s+(?:for|from|at|on|sold\s+out)\b.*)?",
    re.IGNORECASE,
)
_ORDER_FIRST = re.compile(
    rf"(?:order\s+)?(#?\s*[0-9]+)\s*(?::\s*({NUMBER}\s*{UNIT}?\b)?.*)?", re.IGNORECASE
)


def pattern(kind: str, unit: str) -> str:
    """An entry of a kind as it can be said in a shop that weighs in lb or kg."""
    text = PATTERNS[kind]
    if unit == "kg":
        for lb, kg in _IN_KILOGRAMS.items():
            text = text.replace(lb, kg)
    return text


def misread(kind: str, unit: str, message: str) -> ValueError:
    """What is wrong, and how such an entry is said."""
    return ValueError(f'{message}; write it such as "{pattern(kind, unit)}"')


def split_list(text: str) -> list[str]:
    """The parts of `57.5 lb, 58 lb`; a comma between two digits belongs to a number."""
    return [each for each in re.split(r"(?<![0-9]),|,(?![0-9])|;", text) if each.strip()]


def split_weights(text: str) -> list[str]:
    """The weights of a delivery; `58,61 lb` may be one or two.

    Raises
    ------
    ValueError
        It cannot be told.
    """
    if re.search(r"[0-9],[0-9]{2}(?![0-9])", text):
        raise ValueError(
            f'"{printable(text)}": one weight or two? Put a space after a comma between weights,'
            " and a point before decimals"
        )
    return split_list(text)


def name_first(kind: str, said: str) -> str:
    """What is said after the kind with the name and a colon in front, as the list never has it.

    `2 leg: seam out` becomes `leg: 2 seam out`, `4 lb ground lamb` becomes `ground lamb: 4 lb`.
    """
    if kind == "break":
        found = _COUNT_FIRST.fullmatch(said)
        return f"{found[2]}: {found[1]} {found[3]}" if found else said
    if ":" in said:
        return said
    if kind == "delivery":
        found = _HEAD_FIRST.fullmatch(said)
        weights = re.sub(rf",\s*{NUMBER}\s*{UNIT}?\s+in\s+all", "", found[3]) if found else ""
        return f"{found[2]}: {found[1]} head at {weights}" if found else said
    rest = without_day(said, strict=True)[0]
    found = _SIZE_FIRST.fullmatch(rest)
    if not found:
        return said
    return f"{found[2]}: {found[1]}{found[3] or ''}{said[len(rest) :]}"


def filled_parts(said: str) -> tuple[str, str] | None:
    """Number and amount of `12`, `12: 5 lb`, `order 12: 5 lb boneless leg for Ann`."""
    found = _ORDER_FIRST.fullmatch(said.strip())
    return (found[1].lstrip("# "), (found[2] or "").strip()) if found else None
