"""What the tests of pictures share: plans to draw, and what must hold of every drawing."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from itertools import combinations
from pathlib import Path

import yaml

from planner.show.pictures import Picture, bench_picture, flow_picture, side_pictures
from planner.show.pictures.letters import width
from planner.solve import Options
from planner.solve.plan import Plan
from tests.planning import plan_of
from tests.planning import shipped_plan as shipped  # noqa: F401

ROOT = Path(__file__).parent.parent
SCENARIOS = ["one-lamb", "corner-shop", "holiday", "whole-animal"]
ANY = Options(share=0.02)  # any plan will do
SVG = "{http://www.w3.org/2000/svg}"


def pictures(plan: Plan) -> list[Picture]:
    return [*side_pictures(plan), flow_picture(plan), bench_picture(plan)]


def drawings(plan: Plan) -> list[ET.Element]:
    return [ET.fromstring(picture.svg) for picture in pictures(plan) if picture.svg]


def texts(svg: ET.Element) -> list[str]:
    return [text.text or "" for text in svg.iter(f"{SVG}text")]


def boxes(svg: ET.Element) -> list[tuple[float, float, float, float, str]]:
    """Left, top, right, bottom of each text, as wide as it is reckoned to be, and the text."""
    found = []
    for text in svg.iter(f"{SVG}text"):
        size = float(text.get("font-size", "13"))
        line = text.text or ""
        wide = width(line, size * 1.08 if text.get("font-weight") else size)
        x, y = float(text.get("x", "")), float(text.get("y", ""))
        found.append((x, y - 0.8 * size, x + wide, y + 0.2 * size, line))
    return found


def assert_no_text_over_another(svg: ET.Element) -> None:
    _, _, wide, high = map(float, svg.get("viewBox", "").split())
    placed = boxes(svg)
    for left, top, right, bottom, line in placed:
        assert left >= 0 and right <= wide + 0.5, line
        assert top >= -0.5 and bottom <= high + 0.5, line
    for one, other in combinations(placed, 2):
        apart = (
            one[2] <= other[0] + 0.1
            or other[2] <= one[0] + 0.1
            or one[3] <= other[1] + 0.1
            or other[3] <= one[1] + 0.1
        )
        assert apart, (one, other)


def assert_harmless(svg: ET.Element) -> None:
    for element in svg.iter():
        assert element.tag.removeprefix(SVG) in {
            *("svg", "title", "desc", "defs", "clipPath", "pattern"),
            *("g", "path", "rect", "circle", "text"),
        }
        for name, value in element.attrib.items():
            assert not name.lower().startswith("on")
            assert "href" not in name.lower()
            assert all(each.startswith("#") for each in re.findall(r"url\((.*?)\)", value))


# the files take no more than 60 characters a name, and none that turn or hide what follows
BAD = [
    "<script>alert(1)</script>",
    "\u05e9\u05dc\u05d5\u05dd \u05e2\u05d5\u05dc\u05dd",
    "evil & \"quoted\" 'too'",
    "W" * 50,
    "\u8089" * 50,
    "]]> <!-- -- > &amp; {{ 7 * 7 }}",
]


def hostile(folder: Path, species: str) -> Plan:
    """A plan in which every name that the user gives is a bad one."""
    ways = {f"way {bad}": number for number, bad in enumerate(BAD)}
    pieces = [f"p{bad}" for bad in BAD]
    recipe = {
        "species": species,
        "unit": "lb",
        "root": "carcass",
        "pieces": {
            "carcass": {
                "keeps": "7 days",
                "ways": {
                    f"break {BAD[0]}": {
                        "minutes": 5,
                        "gives": dict.fromkeys(pieces, "2 at 7%") | {"bones": "16%"},
                    }
                },
            }
        }
        | {
            piece: {
                "keeps": "5 days",
                "ways": {
                    way: {"minutes": 2, "gives": {f"c{number}{at} {BAD[number]}": "100%"}}
                    for way, number in ways.items()
                },
            }
            for at, piece in enumerate(pieces)
        },
        "cuts": {"bones": {"kind": "bone", "keeps": "3 days"}}
        | {
            f"c{number}{at} {BAD[number]}": {"kind": "roast", "keeps": "5 days"}
            for number in range(len(BAD))
            for at in range(len(pieces))
        },
    }
    cuts = [cut for cut in recipe["cuts"] if cut != "bones"]
    scenario = {
        "title": BAD[0],
        "starts": "2026-11-30",
        "days": 1,
        "recipes": ["bad.yaml"],
        "rail": [{species: "12 head at 50 lb"}],
        "case": {"bones": "3 lb"},
        "demand": {
            cut: {"price": "9/lb", "want": f"{3.5 + at / 9:.1f} lb"} for at, cut in enumerate(cuts)
        },
    }
    for name, part in (("bad", recipe), ("week", scenario)):
        text = yaml.safe_dump(part, sort_keys=False, allow_unicode=True, width=10_000)
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return plan_of(folder / "week.yaml", ANY)


def inside(point: tuple[float, float], polygon: Sequence[tuple[float, float]]) -> bool:
    """Whether a point lies in a polygon, by the number of edges to its right."""
    x, y = point
    odd = False
    for (x1, y1), (x2, y2) in zip(polygon, [*polygon[1:], polygon[0]], strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            odd = not odd
    return odd
