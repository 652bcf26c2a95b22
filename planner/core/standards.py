"""Standardized products: what the United States allow under a name, and where that is written.

Fat limits and the limit on water: Title 9, Code of Federal Regulations, part 319. That a product
takes one species only, and that ground beef takes no water at all and no fat as such, is from
memory of the same sections. Local code may ask for more, and elsewhere for something else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Standard:
    """Most fat as a share of the meat, most water or ice as a share of all that goes in.

    `fat_as_such` says whether fat may go in that is no part of a trim.
    """

    name: str
    section: str
    species: tuple[str, ...]
    fat: float
    water: float
    fat_as_such: bool = True

    @property
    def cited(self) -> str:
        """Name and section, as messages have it."""
        return f"{self.name} (9 CFR {self.section})"


HOG = ("hog", "pork", "pig")
BEEF = ("beef",)

STANDARDS: Mapping[str, Standard] = MappingProxyType(
    {
        each.name: each
        for each in (
            Standard("ground beef", "319.15(a)", BEEF, fat=0.30, water=0.0, fat_as_such=False),
            Standard("fresh pork sausage", "319.141", HOG, fat=0.50, water=0.03),
            Standard("fresh beef sausage", "319.142", BEEF, fat=0.30, water=0.03),
            Standard("whole hog sausage", "319.144", HOG, fat=0.50, water=0.03),
        )
    }
)
"""By name."""
