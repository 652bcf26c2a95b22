"""What must hold between the parts of a recipe, and what is unlikely about them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from planner.core.quantities import LEAST_WEIGHT, MOST_WEIGHT, Portion
from planner.core.recipe import LOSS, MIXED, Blend, Cut
from planner.core.spelling import nearest
from planner.files.blend_shape import BlendShape
from planner.files.blends import (
    Find,
    blame_known_as,
    blame_mixture,
    blame_name,
    blame_text,
    point_out_names,
    read_blend,
)
from planner.files.fields import synonyms
from planner.files.names import Names
from planner.files.recipe_shape import CutShape, PieceShape, RecipeShape, WayShape
from planner.files.yamlfile import Document, Place

SHARES_AGREE = 1e-8
"""Shares add up to 1, and two paths agree, within this."""

MUCH_LOSS = 0.08


def cut_of(shape: RecipeShape, name: str) -> Cut:
    """A cut of the recipe by its name."""
    cut = shape.cuts[name]
    return Cut(
        name,
        shape.species,
        cut.kind,
        cut.keeps,
        cut.sold_by == "each",
        cut.lean,
        cut.imps,
        synonyms(cut.known_as),
    )


def _ways(shape: RecipeShape) -> Iterator[tuple[Place, str, WayShape]]:
    """Every way with its place and what messages call it."""
    for piece_name, piece in shape.pieces.items():
        for way_name, way in piece.ways.items():
            place = ("pieces", piece_name, "ways", way_name)
            yield place, f"{piece_name}, {way_name}", way


def _children(shape: RecipeShape, piece: str) -> Iterator[tuple[Place, str, Portion]]:
    """Pieces that the ways of a piece give: place, piece, portion."""
    for way_name, way in shape.pieces[piece].ways.items():
        for name, portion in way.gives.items():
            if name in shape.pieces:
                yield ("pieces", piece, "ways", way_name, "gives", name), name, portion


def _names_are_one_thing(document: Document, shape: RecipeShape) -> None:
    kinds = {"piece": "pieces", "cut": "cuts", "blend": "blends"}
    first: dict[str, str] = {}
    for word, section in kinds.items():
        for name in document.keys(section):
            if name in first:
                document.fault((section, name), f'"{name}" is a {first[name]} already')
            else:
                blame_name(document, (section, name), name)
            first.setdefault(name, word)
    for piece in document.keys("pieces"):
        for way in document.keys("pieces", piece, "ways"):
            blame_text(document, ("pieces", piece, "ways", way), way)


def _synonyms_are_no_names(document: Document, shape: RecipeShape) -> None:
    """What a thing is known as is not the right name of another, nor its own."""
    sections: dict[str, Mapping[str, PieceShape | CutShape | BlendShape]]
    sections = {"piece": shape.pieces, "cut": shape.cuts, "blend": shape.blends}
    names = {name: f"a {word}" for word, things in sections.items() for name in things}
    names |= {LOSS: "weight that is lost", shape.species: "the species"}
    blame_known_as(document, ("known as",), shape.known_as, names)
    for word, things in sections.items():
        for name, each in things.items():
            blame_known_as(document, (f"{word}s", name, "known as"), each.known_as, names)


def _begins_with_a_piece(document: Document, shape: RecipeShape) -> None:
    """It is of one species, its root is a piece, and every piece has a way to cut it."""
    if shape.species == MIXED:
        message = f'"{MIXED}" is what blends of several species go under; write the animal'
        document.fault(("species",), message)
    pieces = document.keys("pieces")
    unsure = document.unsure_at(("root",)) or document.unsure_at(("pieces",))
    if shape.root not in pieces and not unsure:
        document.fault(("root",), f'no piece called "{shape.root}"{nearest(shape.root, pieces)}')
    for name, piece in shape.pieces.items():
        if not piece.ways and not document.unsure_within(("pieces", name)):
            document.fault(("pieces", name), f"{name} has no way to cut it")


def _shares_add_up(document: Document, shape: RecipeShape) -> None:
    for place, way, parts in _ways(shape):
        if document.unsure_within((*place, "gives")):
            continue
        portions = parts.gives.items()
        if any(portion.count is None and _counted(shape, name) for name, portion in portions):
            continue  # how many is missing: told there
        total = sum((portion.count or 1) * portion.share for _, portion in portions)
        if abs(total - 1) > SHARES_AGREE:
            off = f"{abs(total - 1) * 100:.6f}".rstrip("0").rstrip(".")
            side = f"point{'s' if off != '1' else ''} {'over' if total > 1 else 'short'}"
            message = f"{way}: shares add up to {total * 100:.8g}%, {off} {side}"
            document.fault((*place, "gives"), message)


def _gives_known_things(document: Document, shape: RecipeShape) -> None:
    known = (*document.keys("pieces"), *document.keys("cuts"), LOSS)
    sections: tuple[Place, ...] = (("pieces",), ("cuts",))
    unsure = any(document.unsure_at(each) or document.has_repeats(each) for each in sections)
    for at, _, parts in _ways(shape):
        for name, portion in parts.gives.items():
            place = (*at, "gives", name)
            if name in document.keys("blends"):
                document.fault(place, f"{name} is a blend: ways give the trims it is made from")
            elif name not in known:
                if not unsure:
                    near = nearest(name, known, _known_as({**shape.pieces, **shape.cuts}))
                    message = f'no piece or cut called "{name}" in {shape.species}{near}'
                    document.fault(place, message)
            elif portion.count is None and _counted(shape, name):
                kind = "sold by each" if name in shape.cuts else "a piece"
                message = f"{name} is {kind}: write how many, such as 1 at {_pct(portion)}"
                document.fault(place, message)
            elif portion.count is not None and _weighed(document, shape, name):
                message = f"{name} goes by weight: write its share alone, such as {_pct(portion)}"
                document.fault(place, message)


def _known_as(things: Mapping[str, PieceShape | CutShape]) -> dict[str, tuple[str, ...]]:
    return {name: synonyms(each.known_as) for name, each in things.items()}


def _counted(shape: RecipeShape, name: str) -> bool:
    return name in shape.pieces or (name in shape.cuts and shape.cuts[name].sold_by == "each")


def _weighed(document: Document, shape: RecipeShape, name: str) -> bool:
    """Whether a thing certainly goes by weight: a cut with faults may be one sold by each."""
    sound = name in shape.cuts and not document.unsure_within(("cuts", name))
    return name == LOSS or (sound and shape.cuts[name].sold_by == "weight")


def _pct(portion: Portion) -> str:
    return f"{(portion.count or 1) * portion.share * 100:g}%"


def _no_loops(document: Document, shape: RecipeShape) -> None:
    """Depth-first walk without recursion; a piece met again on the way down closes a loop."""
    done: set[str] = set()
    for start in shape.pieces:
        path: list[str] = []
        waiting: list[tuple[str, Place | None]] = [(start, ())]
        while waiting:
            name, place = waiting.pop()
            if place is None:
                done.add(path.pop())
            elif name in path:
                loop = [*path[path.index(name) :], name]
                if not document.blamed_around(place):
                    document.fault(place, f"pieces in a loop: {' -> '.join(loop)}")
            elif name not in done:
                path.append(name)
                waiting.append((name, None))
                waiting.extend((child, by) for by, child, _ in _children(shape, name))


def _all_are_given(document: Document, shape: RecipeShape) -> None:
    """Every piece but the root is given by a way, and every cut is made by one."""
    if _gives_are_unsure(document):
        return
    given = {
        name
        for piece in document.keys("pieces")
        for way in document.keys("pieces", piece, "ways")
        for name in document.keys("pieces", piece, "ways", way, "gives")
    }
    misspelt = given - {*document.keys("pieces"), *document.keys("cuts")}
    for name in shape.pieces:
        root = name == shape.root or document.unsure_at(("root",))
        if not root and name not in given and not nearest(name, misspelt):
            document.fault(("pieces", name), f"no way gives a {name}")
    for name in shape.cuts:
        if name not in given and not nearest(name, misspelt):
            document.fault(("cuts", name), f"no way makes {name}")


def _gives_are_unsure(document: Document) -> bool:
    """Whether something that may give pieces or cuts cannot be read, or stands out of place."""
    giving = [(), ("ways",), ("ways", "gives")]  # of a piece, and of its way
    return any(
        (len(place) == 1 and document.keys(*place))
        or (place[:1] == ("pieces",) and (place[2::2] in giving or document.keys(*place)))
        for place in document.unsure
        if len(place) < 6
    )


def _paths_agree(document: Document, shape: RecipeShape) -> None:
    """A piece reached by two paths weighs the same on both."""
    gives = [document.unsure_within((*place, "gives")) for place, _, _ in _ways(shape)]
    if any(gives) or shape.root not in shape.pieces:
        return  # shares along broken paths say nothing
    shares = {shape.root: (1.0, shape.root)}
    waiting = [shape.root]
    while waiting:
        parent = waiting.pop(0)
        share, path = shares[parent]
        for place, name, portion in _children(shape, parent):
            here = (share * portion.share, f"{path} -> {name}")
            if name not in shares and here[0] * MOST_WEIGHT < LEAST_WEIGHT:
                message = f"a {name} is so small a share of the {shape.root} that no scale shows it"
                document.fault(place, message)
            elif name not in shares:
                shares[name] = here
                waiting.append(name)
            elif abs(here[0] - shares[name][0]) > SHARES_AGREE:
                document.fault(
                    place,
                    f"a {name} is {here[0]:.4%} of the {shape.root} by {here[1]} ({place[3]}) but "
                    f"{shares[name][0]:.4%} by {shares[name][1]}; give one of them another name",
                )


def read_blends(document: Document, shape: RecipeShape) -> dict[str, Blend]:
    """The blends by name, but for those in which something is wrong: that is recorded."""
    cuts = {name: cut_of(shape, name) for name in shape.cuts}
    find = _finder(document, shape)
    read = {}
    for name, each in shape.blends.items():
        blend = read_blend(document, ("blends", name), each, find, shape.unit)
        if blend and blame_mixture(document, ("blends", name), blend, cuts):
            read[name] = blend
    point_out_names(document, shape.blends)
    return read


def _finder(document: Document, shape: RecipeShape) -> Find:
    """Finder of the cuts that this recipe's blends take; the species may stand in front."""
    others = {name: f"{name} is a piece, not a cut" for name in document.keys("pieces")}
    for name in document.keys("blends"):
        others[name] = f"{name} is a blend; a blend takes what ways give"
    known = {name: None for name in document.keys("cuts") if name not in others}
    names = Names(
        "cut", {shape.species: known}, {shape.species: others}, known_as=_known_as(shape.cuts)
    )

    def find(place: Place, text: str) -> Cut | None:
        if document.unsure_at(("cuts",)) or document.has_repeats(("cuts",)):
            return None
        try:
            name = names.find(text)
        except ValueError as error:
            document.fault(place, str(error))
            return None
        if name not in shape.cuts or document.unsure_within(("cuts", name)):
            document.doubt(place)
            return None
        return cut_of(shape, name)

    return find


def _much_loss(document: Document, shape: RecipeShape) -> None:
    for place, way, parts in _ways(shape):
        loss = parts.gives.get(LOSS)
        if loss and loss.share > MUCH_LOSS:
            document.warn((*place, "gives", LOSS), f"{way} loses {loss.share:.1%} of the weight")


CHECKS: tuple[Callable[[Document, RecipeShape], None], ...] = (
    _begins_with_a_piece,
    _all_are_given,
    _names_are_one_thing,
    _synonyms_are_no_names,
    _shares_add_up,
    _gives_known_things,
    _no_loops,
    _paths_agree,
    _much_loss,
)
"""In this order; each takes what those before it recorded into account."""
