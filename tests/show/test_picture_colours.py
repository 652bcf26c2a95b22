"""Colours of the pictures: contrast, and whether they are told apart whatever one sees."""

from __future__ import annotations

import re
from itertools import combinations

import pytest

from planner.show.pictures import flow_picture
from planner.show.pictures.colours import DARK, LIGHT
from tests.picture_checks import (
    SCENARIOS,
    drawings,
    shipped,
)


def mixed(one: str, other: str, share: float) -> str:
    """A colour laid over another, as a share."""
    pairs = zip(channels(one), channels(other), strict=True)
    return "#" + "".join(f"{round(a * share + b * (1 - share)):02x}" for a, b in pairs)


def channels(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))


def contrast(one: str, other: str) -> float:
    """Contrast ratio of WCAG 2.2 (relative luminance and contrast ratio, W3C, 2023)."""

    def luminance(colour: str) -> float:
        linear = [
            c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
            for c in (each / 255 for each in channels(colour))
        ]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_gives_its_known_ends():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)  # WCAG 2.2: 1 to 21
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)  # from memory


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_text_has_the_contrast_of_level_aa_on_all_it_may_lie_on(colours):
    # WCAG 2.2, 1.4.3: at least 4.5 to 1; 1.4.11 for outlines: at least 3 to 1
    fills = set()
    for name in SCENARIOS:
        for svg in drawings(shipped(name)):
            for each in svg.iter():
                for ink in re.findall(r"fill:var\(--(\w+)", each.get("style", "")):
                    fills.add((ink, float(each.get("fill-opacity", "1"))))
    under = {mixed(colours[ink], colours["paper"], share) for ink, share in fills if share < 1}
    assert len(under) > 4
    for one in [*under, colours["paper"]]:
        assert contrast(colours["ink"], one) >= 4.5
        for ink, share in fills:  # two bands that cross
            if share < 1 and ink != "sold":
                assert contrast(colours["ink"], mixed(colours[ink], one, share)) >= 3
    for ink in set(colours) - {"paper"}:
        assert contrast(colours[ink], colours["paper"]) >= 3


def test_a_page_that_says_nothing_gets_the_light_colours():
    svg = str(flow_picture(shipped("one-lamb")).svg)
    for name, colour in re.findall(r"var\(--(\w+), (#\w+)\)", svg):
        assert LIGHT[name] == colour
    assert set(re.findall(r"(?<![\w#-])#[0-9a-f]{6}", svg)) <= set(LIGHT.values())


# Machado, Oliveira and Fernandes 2009, severity 1.0; from memory
BLINDNESS = {
    "none": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def seen(colour: str, blindness: str) -> tuple[float, float, float]:
    """CIELAB (D65, CIE 15) of a colour as it is seen."""
    linear = [
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
        for c in (each / 255 for each in channels(colour))
    ]
    turned = [
        max(0.0, sum(a * b for a, b in zip(row, linear, strict=True)))
        for row in BLINDNESS[blindness]
    ]
    to_xyz = (
        (0.4124 / 0.9505, 0.3576 / 0.9505, 0.1805 / 0.9505),
        (0.2126, 0.7152, 0.0722),
        (0.0193 / 1.089, 0.1192 / 1.089, 0.9505 / 1.089),
    )
    x, y, z = (
        t ** (1 / 3) if t > (6 / 29) ** 3 else t / (3 * (6 / 29) ** 2) + 4 / 29
        for t in (sum(a * b for a, b in zip(row, turned, strict=True)) for row in to_xyz)
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


@pytest.mark.parametrize("blindness", BLINDNESS)
@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_ends_are_told_apart_whatever_colours_one_sees(colours, blindness):
    # a difference of 10 is seen at a glance (common practice, no source)
    ends = [seen(colours[ink], blindness) for ink in ("sold", "left", "stale")]
    for one, other in combinations(ends, 2):
        assert sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5 > 20
