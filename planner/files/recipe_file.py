"""Read a recipe file: its shape, then what must hold between its parts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from planner.errors import Problem
from planner.files.fit import fit
from planner.files.recipe_shape import STAND_INS, BlendShape, RecipeShape, WayShape
from planner.measures import Portion
from planner.recipe import Blend, Cut, Given, Piece, Recipe, Way
from planner.yamlfile import Document, load, nearest

SHARES_AGREE = 1e-8
"""Shares add up to 1, and two paths agree, within this."""

MUCH_LOSS = 0.08


def read_recipe(path: Path, name: str) -> tuple[Recipe, list[Problem]]:
    """Read and check a recipe.

    Parameters
    ----------
    path : Path
    name : str
        What messages call the file.

    Returns
    -------
    recipe : Recipe
    oddities : list of Problem
        What is legal but odd.

    Raises
    ------
    InputError
        With every fault of the file.
    """
    document = load(path, name)
    shape = fit(document, RecipeShape, STAND_INS)
    for check in _CHECKS:
        check(document, shape)
    document.stop_if_faulty()
    return _recipe(shape), document.oddities


def _ways(shape: RecipeShape) -> Iterator[tuple[str, str, WayShape]]:
    for piece_name, piece in shape.pieces.items():
        for way_name, way in piece.ways.items():
            yield piece_name, way_name, way


def _children(shape: RecipeShape, piece: str) -> Iterator[tuple[str, str, Portion]]:
    """Pieces that the ways of a piece give: way, piece, portion."""
    for way_name, way in shape.pieces[piece].ways.items():
        for name, portion in way.gives.items():
            if name in shape.pieces:
                yield way_name, name, portion


def _names_are_one_thing(document: Document, shape: RecipeShape) -> None:
    kinds = {"piece": "pieces", "cut": "cuts", "blend": "blends"}
    first: dict[str, str] = {}
    for word, section in kinds.items():
        for name in document.keys(section):
            if name == "loss":
                document.fault((section, name), '"loss" is reserved for weight that is gone')
            elif name in first:
                document.fault((section, name), f'"{name}" is a {first[name]} already')
            elif not name.strip() or "\n" in name or len(name) > 60:
                document.fault(
                    (section, name), "a name of 1 to 60 characters on one line is wanted"
                )
            first.setdefault(name, word)


def _root_is_a_piece(document: Document, shape: RecipeShape) -> None:
    pieces = document.keys("pieces")
    if shape.root not in pieces and not document.faulty(("root",)):
        document.fault(("root",), f'no piece called "{shape.root}"{nearest(shape.root, pieces)}')


def _pieces_have_ways(document: Document, shape: RecipeShape) -> None:
    for name, piece in shape.pieces.items():
        if not piece.ways and not document.faulty(("pieces", name)):
            document.fault(("pieces", name), f"{name} has no way to cut it")


def _gives_known_things(document: Document, shape: RecipeShape) -> None:
    pieces, cuts = document.keys("pieces"), document.keys("cuts")
    for piece, way, parts in _ways(shape):
        for name, portion in parts.gives.items():
            place = ("pieces", piece, "ways", way, "gives", name)
            if name in document.keys("blends"):
                document.fault(place, f"{name} is a blend: ways give the trims it is made from")
            elif name not in (*pieces, *cuts, "loss"):
                near = nearest(name, (*pieces, *cuts, "loss"))
                document.fault(place, f'no piece or cut called "{name}" in {shape.species}{near}')
            elif name in pieces and portion.count is None:
                document.fault(
                    place, f"{name} is a piece: write how many, such as 1 at {_pct(portion)}"
                )
            elif name in shape.cuts and shape.cuts[name].sold_by and portion.count is None:
                message = f"{name} is sold by each: write how many, such as 1 at {_pct(portion)}"
                document.fault(place, message)
            elif portion.count is not None and _by_weight(shape, name):
                message = f"{name} goes by weight: write its share alone, such as {_pct(portion)}"
                document.fault(place, message)


def _by_weight(shape: RecipeShape, name: str) -> bool:
    return name == "loss" or (name in shape.cuts and not shape.cuts[name].sold_by)


def _pct(portion: Portion) -> str:
    return f"{(portion.count or 1) * portion.share * 100:g}%"


def _shares_add_up(document: Document, shape: RecipeShape) -> None:
    for piece, way, parts in _ways(shape):
        place = ("pieces", piece, "ways", way)
        total = sum((portion.count or 1) * portion.share for portion in parts.gives.values())
        if not document.faulty((*place, "gives")) and abs(total - 1) > SHARES_AGREE:
            off = f"{abs(total - 1) * 100:.6f}".rstrip("0").rstrip(".")
            side = "over" if total > 1 else "short"
            message = f"{piece}, {way}: shares add up to {total * 100:.8g}%, {off} points {side}"
            document.fault((*place, "gives"), message)


def _no_loops(document: Document, shape: RecipeShape) -> None:
    """Depth-first walk without recursion; a piece met again on the way down closes a loop."""
    done: set[str] = set()
    for start in shape.pieces:
        path: list[str] = []
        waiting: list[tuple[str, str | None]] = [(start, "")]
        while waiting:
            name, way = waiting.pop()
            if way is None:
                done.add(path.pop())
            elif name in path:
                loop = [*path[path.index(name) :], name]
                place = ("pieces", path[-1], "ways", way, "gives", name)
                if not document.faulty_at(place):
                    document.fault(place, f"pieces in a loop: {' -> '.join(loop)}")
            elif name not in done:
                path.append(name)
                waiting.append((name, None))
                waiting.extend((child, by) for by, child, _ in _children(shape, name))


def _all_are_given(document: Document, shape: RecipeShape) -> None:
    """Every piece but the root is given by a way, and every cut is made by one."""
    given = {
        name
        for piece in document.keys("pieces")
        for way in document.keys("pieces", piece, "ways")
        for name in document.keys("pieces", piece, "ways", way, "gives")
    }
    for name in shape.pieces:
        if name != shape.root and name not in given and not document.faulty(("root",)):
            document.fault(
                ("pieces", name), f"no way gives a {name}{_misspelt(name, given, shape)}"
            )
    for name in shape.cuts:
        if name not in given:
            document.fault(("cuts", name), f"no way makes {name}{_misspelt(name, given, shape)}")


def _misspelt(name: str, given: set[str], shape: RecipeShape) -> str:
    unknown = sorted(given - set(shape.pieces) - set(shape.cuts) - {"loss"})
    near = nearest(name, unknown)
    return near.replace("did you mean", "is it written").replace("?", " there?") if near else ""


def _paths_agree(document: Document, shape: RecipeShape) -> None:
    """A piece reached by two paths weighs the same on both."""
    if document.problems or shape.root not in shape.pieces:
        return  # shares along broken paths say nothing
    shares = {shape.root: (1.0, shape.root)}
    waiting = [shape.root]
    while waiting:
        parent = waiting.pop(0)
        share, path = shares[parent]
        for way, name, portion in _children(shape, parent):
            here = (share * portion.share, f"{path} -> {name}")
            if name not in shares:
                shares[name] = here
                waiting.append(name)
            elif abs(here[0] - shares[name][0]) > SHARES_AGREE:
                document.fault(
                    ("pieces", parent, "ways", way, "gives", name),
                    f"a {name} is {here[0]:.4%} of the {shape.root} by {here[1]} ({way}) but "
                    f"{shares[name][0]:.4%} by {shares[name][1]}; give one of them another name",
                )


def _blends_can_be_made(document: Document, shape: RecipeShape) -> None:
    cuts = document.keys("cuts")
    for name, blend in shape.blends.items():
        place = ("blends", name, "from")
        if not blend.takes:
            document.fault(place, f"{name} is made from nothing")
        for number, taken in enumerate(blend.takes):
            here = (*place, number)
            cut = shape.cuts.get(taken or "")
            if taken is None:
                if not document.faulty(here):
                    document.fault(here, "nothing is written here")
            elif taken not in cuts:
                document.fault(
                    here, f'no cut called "{taken}" in {shape.species}{nearest(taken, cuts)}'
                )
            elif blend.takes.index(taken) < number:
                document.fault(here, f'"{taken}" stands here a second time')
            elif cut and cut.sold_by:
                document.fault(here, f"{taken} is sold by each; a blend takes cuts by weight")
            elif cut and cut.lean is None and cut.kind != "fat":
                document.fault(here, f"{taken} needs a lean share (`lean: 85%`) to go into a blend")
        if not document.faulty(("blends", name)) and not document.faulty(("cuts",)):
            _limits_can_be_reached(document, shape, name, blend)


def _limits_can_be_reached(
    document: Document, shape: RecipeShape, name: str, blend: BlendShape
) -> None:
    """Mixtures reach every fat share between the leanest and the fattest trim, and no other."""
    fats = [_cut(shape, taken).fat or 0.0 for taken in blend.takes if taken]
    low, high = blend.fat
    if min(fats) > high + SHARES_AGREE or max(fats) < low - SHARES_AGREE:
        document.fault(
            ("blends", name, "fat"),
            f"no mixture for {name} reaches {low:.4g} to {high:.4g} of fat: its trims have "
            f"{min(fats):.4g} to {max(fats):.4g}".replace("0.", "."),
        )


def _much_loss(document: Document, shape: RecipeShape) -> None:
    for piece, way, parts in _ways(shape):
        loss = parts.gives.get("loss")
        if loss and loss.share > MUCH_LOSS:
            place = ("pieces", piece, "ways", way, "gives", "loss")
            document.odd(place, f"{piece}, {way} loses {loss.share:.1%} of the weight")


_CHECKS: tuple[Callable[[Document, RecipeShape], None], ...] = (
    _names_are_one_thing,
    _root_is_a_piece,
    _pieces_have_ways,
    _gives_known_things,
    _shares_add_up,
    _no_loops,
    _all_are_given,
    _blends_can_be_made,
    _paths_agree,
    _much_loss,
)


def _cut(shape: RecipeShape, name: str) -> Cut:
    cut = shape.cuts[name]
    return Cut(name, shape.species, cut.kind, cut.keeps, cut.sold_by, cut.lean, cut.imps)


def _way(shape: RecipeShape, name: str, way: WayShape) -> Way:
    given = [
        Given(thing, portion.count or 1, portion.share)
        for thing, portion in way.gives.items()
        if thing != "loss"
    ]
    loss = way.gives.get("loss")
    return Way(
        name=name,
        minutes=way.minutes,
        tool=way.tool,
        pieces=tuple(each for each in given if each.name in shape.pieces),
        cuts=tuple(each for each in given if each.name in shape.cuts),
        loss=loss.share if loss else 0.0,
    )


def _recipe(shape: RecipeShape) -> Recipe:
    pieces = {
        name: Piece(
            name,
            shape.species,
            piece.keeps,
            {way_name: _way(shape, way_name, way) for way_name, way in piece.ways.items()},
            piece.imps,
        )
        for name, piece in shape.pieces.items()
    }
    blends = {
        name: Blend(
            cut=Cut(name, shape.species, "ground", blend.keeps, imps=blend.imps),
            takes=tuple(taken for taken in blend.takes if taken),
            fat=blend.fat,
            added=blend.added,
            minutes=blend.minutes,
        )
        for name, blend in shape.blends.items()
    }
    cuts = {name: _cut(shape, name) for name in shape.cuts}
    return Recipe(shape.species, shape.root, pieces, cuts, blends)
