"""Names where only some things can be meant: what arrives at a shop, what it sells."""

from __future__ import annotations

from planner.core.spelling import nearest
from planner.shop.entering.things import Thing, Things, printable


def find_arrival(things: Things, text: str, word: str = "") -> Thing:
    """The piece that a species, where it means what the shop buys it as, or a name stands for.

    Parameters
    ----------
    things : Things
    text : str
    word : str
        What they are counted by: where a species has several roots, such as two quarters, it
        tells which.

    Raises
    ------
    ValueError
        With the nearest right word.
    """
    name = " ".join(text.split()).lower()
    recipe = next((each for each in things.week.recipes if each.species == name), None)
    if recipe is None:
        try:
            return things.find_piece(text)
        except ValueError as error:
            there = [*(each.species for each in things.week.recipes), *things.pieces]
            near = nearest(name, there, things.known_as)
            if not near or not str(error).startswith("no piece"):
                raise
            raise ValueError(f'no species or piece is called "{printable(text)}"{near}') from None
    roots = recipe.roots
    if len(roots) > 1:
        roots = tuple(each for each in roots if recipe.calls(word, each))
    if not roots:
        raise ValueError(f"{name} comes as {' or '.join(recipe.roots)} here: write one of these")
    return things.pieces[roots[0]]


def find_cut(things: Things, text: str) -> Thing:
    """The cut, or what a blend makes, that a text names.

    Raises
    ------
    ValueError
        It is a piece, or none of the shop's: with the nearest cut.
    """
    try:
        thing = things.find(text)
    except ValueError as error:
        if "more than one" in str(error):
            raise
        near = nearest(" ".join(text.split()), things.cuts, things.known_as)
        raise ValueError(f'no cut is called "{printable(text)}"{near}') from None
    if thing.piece:
        raise ValueError(f"{thing.name} is a piece, not a cut")
    return thing
