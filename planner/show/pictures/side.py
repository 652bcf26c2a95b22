"""The side of each species, its regions labelled with the ways of the plan and their counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from planner.ask.decisions import PieceCount, piece_counts
from planner.core.recipe import Recipe
from planner.show.layout import clip
from planner.show.pictures.beef import BEEF, VEAL
from planner.show.pictures.callouts import LINE, Callout, Label, row_height, set_in_row
from planner.show.pictures.hog import HOG
from planner.show.pictures.lamb import GOAT, LAMB
from planner.show.pictures.letters import LONGEST, clean, fitted
from planner.show.pictures.picture import EDGE, WIDTH, Picture, Text, drawn
from planner.show.pictures.shapes import Drawing, Region, curve, straight
from planner.solve.plan import Plan

SPACE = 12.0  # units between labels and drawing
ACROSS = 690.0  # units across an animal


@dataclass(frozen=True, slots=True)
class Part:
    """A region as it is drawn: its outlines, and whether any of its pieces is cut."""

    paths: tuple[str, ...]
    used: bool


@dataclass(frozen=True, slots=True)
class Side:
    """Everything of a side picture in its place."""

    drawing: Drawing
    body: str
    parts: tuple[Part, ...]
    tops: tuple[Text, ...]
    callouts: tuple[Callout, ...]
    scale: float
    left: float
    top: float
    high: float


def drawing_of(species: str) -> Drawing | None:
    """The drawing of a species; None where there is none."""
    drawings = {"lamb": LAMB, "goat": GOAT, "hog": HOG, "beef": BEEF, "veal": VEAL}
    return drawings.get(species.lower())


def told_at(recipe: Recipe, drawing: Drawing) -> dict[str, Region]:
    """The region at which each piece of a recipe is told.

    A piece without a region of its own is told where the piece is that gives it; the first, where
    several do. What is told nowhere on the drawing, as what hangs, is left out.
    """
    own = {name: region for region in drawing.regions for name in region.pieces}
    regions: dict[str, Region] = {}
    for name in recipe.pieces:
        short = name.removeprefix(f"{recipe.species} ")
        if short in own:
            regions[name] = own[short]
    waiting = [*regions]
    while waiting:
        parent = waiting.pop(0)
        for way in recipe.pieces[parent].ways.values():
            for given in way.pieces:
                if given.name not in regions:
                    regions[given.name] = regions[parent]
                    waiting.append(given.name)
    return regions


def side_pictures(plan: Plan, prefix: str = "side") -> tuple[Picture, ...]:
    """A picture for each species that hangs, in the order of the recipes.

    A species that there is no drawing of has an empty `svg`, and all of it in `words`.
    """
    hanging = {lot.recipe.species for lot in plan.scenario.lots}
    recipes = [recipe for recipe in plan.scenario.recipes if recipe.species in hanging]
    return tuple(
        _picture(plan, recipe, f"{prefix}-{number}") for number, recipe in enumerate(recipes, 1)
    )


def _picture(plan: Plan, recipe: Recipe, prefix: str) -> Picture:
    counts = piece_counts(plan, recipe)
    drawing = drawing_of(recipe.species)
    title = f"How the {clean(clip(recipe.species, 40))} is cut"
    svg = Markup("")
    if drawing:
        side = _side(recipe, drawing, counts)
        svg = drawn("side", prefix, title, side.high, side=side)
    return Picture(title, svg, tuple(_words(recipe, counts)))


def _side(recipe: Recipe, drawing: Drawing, counts: Sequence[PieceCount]) -> Side:
    """Put the drawing and its labels in their places."""
    told = told_at(recipe, drawing)
    at_region: dict[Region, list[PieceCount]] = {region: [] for region in drawing.regions}
    for count in counts:
        if count.piece in told:
            at_region[told[count.piece]].append(count)
    whole = [each for each in counts if each.piece not in told and each.total]
    tops = tuple(
        Text(EDGE, LINE * (at + 1) - 3, fitted(_line(recipe, each), WIDTH - 2 * EDGE))
        for at, each in enumerate(whole)
    )
    rows: dict[bool, list[Label]] = {True: [], False: []}
    for region in drawing.regions:
        if lines := _lines(recipe, at_region[region]):
            rows[region.above].append(Label(region.dot, lines))
    head = LINE * len(tops) + (SPACE if tops else 0)
    neck = head + row_height(rows[True]) + SPACE
    first, start, last, end = drawing.box
    scale = ACROSS / (last - first)
    left, top = (WIDTH - ACROSS) / 2 - first * scale, neck - start * scale
    foot = neck + (end - start) * scale + SPACE
    callouts: list[Callout] = []
    for above, place in ((True, head), (False, foot)):
        labels = [
            Label((left + label.dot[0] * scale, top + label.dot[1] * scale), label.lines)
            for label in rows[above]
        ]
        callouts += set_in_row(labels, place, above=above)
    parts = tuple(
        Part(
            tuple(straight(shape) for shape in region.shapes),
            any(each.ways for each in at_region[region]),
        )
        for region in drawing.regions
    )
    high = foot + row_height(rows[False]) + SPACE
    body = curve(drawing.body)
    return Side(drawing, body, parts, tops, tuple(callouts), scale, left, top, high)


def _lines(recipe: Recipe, counts: Sequence[PieceCount]) -> tuple[tuple[bool, str], ...]:
    """The lines of a label: each piece that came up with its ways, else the name alone."""
    lines: list[tuple[bool, str]] = []
    for each in (each for each in counts if each.total):
        lines.append((True, f"{_name(recipe, each)} {each.total}"))
        lines += [(False, end) for end in _ends(each)]
    if counts and not lines:
        lines = [(False, f"{_name(recipe, counts[0])}: none")]
    return tuple(lines)


def _ends(count: PieceCount) -> list[str]:
    ends = [f"{number} {clean(clip(way, LONGEST))}" for way, number in count.ways]
    ends += [f"{count.left} left whole"] if count.left else []
    ends += [f"{count.wasted} out of date"] if count.wasted else []
    return ends


def _name(recipe: Recipe, count: PieceCount) -> str:
    return clean(clip(count.piece.removeprefix(f"{recipe.species} "), LONGEST))


def _line(recipe: Recipe, count: PieceCount) -> str:
    return f"{_name(recipe, count)} {count.total}: {', '.join(_ends(count))}"


def _words(recipe: Recipe, counts: Sequence[PieceCount]) -> list[str]:
    lines = [_line(recipe, each) for each in counts if each.total]
    none = [_name(recipe, each) for each in counts if not each.total]
    return [*lines, f"none: {', '.join(none)}"] if none else lines
