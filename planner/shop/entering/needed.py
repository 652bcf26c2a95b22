"""What a week sells of a thing: a count far above it is doubted, for want of a journal."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cached_property

from planner.measures import show_weight
from planner.recipe import piece_shares, recipe_with
from planner.scenario import Scenario
from planner.shop.entering.odd import MORE, USUAL_POUNDS
from planner.shop.entering.plausible import Range
from planner.shop.entering.things import Thing, Things

FEW_POUNDS, FEW_EACH = 50.0, 6.0
"""So much of a thing is never doubted for what a week sells (common practice, no source)."""


class Needed:
    """What a week of a shop sells, of a cut and of a species.

    Parameters
    ----------
    things : Things
        Of the week.
    """

    def __init__(self, things: Things) -> None:
        self._things = things
        self._week: Scenario = things.week

    def doubt(self, thing: Thing, amount: float, one: float | None) -> str:
        """What to ask about a count of which the journal tells nothing; empty where it may be so.

        Parameters
        ----------
        thing : Thing
        amount : float
            Pounds, or each.
        one : float or None
            What one of a piece weighs; None where nobody knows.
        """
        return self._of_piece(thing, amount, one) if thing.piece else self._of_cut(thing, amount)

    def _of_cut(self, thing: Thing, amount: float) -> str:
        unit, sold = self._week.unit, self._sold.get(thing.name, 0.0)
        if thing.by_each:
            if amount <= max(MORE * sold, FEW_EACH):
                return ""
            about = f"about {math.ceil(sold)}" if sold else "none"
            return f"{amount:g} {thing.name}: a week sells {about}"
        species, of = self._species(thing), ""
        if not sold:  # trim, bones: less than all that is sold of the animal
            sold, of = self._of_species.get(species, 0.0), f" of {species} in all"
        if amount <= max(MORE * sold, FEW_POUNDS):
            return ""
        what = f"{show_weight(amount, unit)} of {thing.name}"
        return f"{what}: a week sells about {show_weight(sold, unit)}{of}"

    def _of_piece(self, thing: Thing, amount: float, one: float | None) -> str:
        species, unit = self._species(thing), self._week.unit
        sold, usual = self._of_species.get(species, 0.0), self.usual(thing)
        if amount <= FEW_EACH or not sold or usual is None:
            return ""
        least = amount * (one or usual.least)
        if least <= MORE * sold:
            return ""
        told = "weigh" if one else "weigh at least"
        return (
            f"{amount:g} {thing.name} {told} {show_weight(least, unit)}: a week sells about "
            f"{show_weight(sold, unit)} of {species}"
        )

    def usual(self, piece: Thing) -> Range | None:
        """What one of a piece weighs: its share of `USUAL_POUNDS`; None where they tell nothing."""
        species = self._species(piece)
        recipe = recipe_with(self._week.recipes, piece.name)
        for root in recipe.roots:
            share = piece_shares(recipe, root).get(piece.name)
            if share and species in USUAL_POUNDS:
                least, most = USUAL_POUNDS[species]
                return Range(least * share, most * share)
        return None

    def _species(self, thing: Thing) -> str:
        if thing.piece:
            return recipe_with(self._week.recipes, thing.name).species
        return self._week.cuts[thing.name].species

    @cached_property
    def _sold(self) -> Mapping[str, float]:
        """Pounds or each of a week, walk-in customers and orders."""
        found = {name: sum(each.want) for name, each in self._week.demand.items()}
        for order in self._week.orders:
            found[order.cut] = found.get(order.cut, 0.0) + order.amount
        return found

    @cached_property
    def _of_species(self) -> Mapping[str, float]:
        """Pounds of a week by species; what is sold by each at the most that one can weigh."""
        found: dict[str, float] = {}
        for name, amount in self._sold.items():
            cut = self._week.cuts.get(name)
            if cut is not None:
                pounds = amount * self._heaviest.get(name, 0.0) if cut.by_each else amount
                found[cut.species] = found.get(cut.species, 0.0) + pounds
        return found

    @cached_property
    def _heaviest(self) -> Mapping[str, float]:
        """Pounds of one of what is sold by each, at most."""
        found: dict[str, float] = {}
        for piece in self._things.pieces.values():
            usual = self.usual(piece)
            for way in self._things.ways(piece).values():
                for given in way.cuts:
                    if usual and self._week.cuts[given.name].by_each:
                        most = usual.most * given.share
                        found[given.name] = max(found.get(given.name, 0.0), most)
        return found
