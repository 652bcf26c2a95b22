"""What every part of a scenario file is read against: the recipes and the period."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property, partial
from typing import TypeVar

from planner.core import clock
from planner.core import quantities as measures
from planner.core.quantities import Amount
from planner.core.recipe import Blend, Cut, Given, Recipe, blends_of, cuts_of, piece_shares
from planner.core.scenario import Scenario
from planner.core.spelling import nearest, plain
from planner.core.units import Units
from planner.files.blend_file import Made
from planner.files.days import Period, spread
from planner.files.fields import AmountByDay
from planner.files.find import shipped_recipes
from planner.files.names import Names, cut_names, piece_names
from planner.files.scenario_shape import ScenarioShape
from planner.files.yamlfile import Document, Place

T = TypeVar("T")


class Setting:
    """A document being read, with its recipes, its period and the names that may stand in it."""

    def __init__(
        self,
        document: Document,
        shape: ScenarioShape,
        recipes: tuple[Recipe, ...],
        own: Made | None = None,
        lots_under: str = "rail",
    ) -> None:
        own = own or Made({}, {})
        self.lots_under = lots_under
        self.document = document
        self.shape = shape
        self.recipes = recipes
        self.own_blends = own.blends
        self.aside = own.aside
        self.units = Units(shape.unit, shape.money)
        self.blends = blends_of(recipes) | own.blends
        self.period = Period(shape.starts, shape.days)
        self.period_is_known = not (
            document.unsure_within(("starts",)) or document.unsure_within(("days",))
        )
        keys = document.keys()
        misspelt = [key for key in keys if document.unsure_at((key,))]
        self.recipes_are_known = (
            bool(recipes)
            and not document.unsure_within(("recipes",))
            and not document.unsure_at(("blends",))
            and not nearest("blends", misspelt)
        )
        self.unread = set(document.keys("blends")) - set(own.blends)
        self.cuts = cuts_of(recipes) | {name: blend.cut for name, blend in self.blends.items()}
        self.cut_names = cut_names(recipes, own.blends, own.aside)
        self.piece_names = piece_names(recipes, own.blends)
        self._lightest: dict[str, tuple[float, str]] = {}

    @classmethod
    def of(cls, scenario: Scenario, document: Document) -> Setting:
        """What a text about a scenario that was read before is read against."""
        shape = ScenarioShape.model_construct(
            starts=scenario.starts, days=scenario.days, unit=scenario.unit, recipes=[]
        )
        made = Made(dict(scenario.own_blends), dict(scenario.aside))
        setting = cls(document, shape, scenario.recipes, made)
        setting.period = Period(scenario.starts, scenario.days, clock.today())
        return setting

    def attempt(self, place: Place, read: Callable[[], T]) -> T | None:
        """Result of `read`, or None with its `ValueError` recorded as a fault at the place."""
        try:
            return read()
        except ValueError as error:
            self.document.fault(place, str(error))
            return None

    def named(self, names: Names, text: str) -> str:
        """The piece or cut meant by a text; raises `ValueError` where there is none."""
        try:
            return names.find(text)
        except ValueError:
            if not (names.ambiguous(text) or names.mistaken(text) or names.synonym(text)):
                where = self._elsewhere.get((names is self.piece_names, plain(text)))
                if where:
                    message = f'"{text}" is {where}, which is not among the recipes here'
                    raise ValueError(message) from None
            raise

    def find(self, names: Names, place: Place, text: str) -> str | None:
        """The piece or cut meant by a text; None, and a fault, where there is none.

        With a recipe missing or faulty nobody can say which names are right, so none is blamed; nor
        is a blend of the file that has faults itself.
        """
        if names.known(text):
            return names.find(text)
        if self.recipes_are_known and text not in self.unread:
            return self.attempt(place, lambda: self.named(names, text))
        return None

    @cached_property
    def _elsewhere(self) -> dict[tuple[bool, str], str]:
        """Where a name stands, or what it means, in the shipped recipes that are not in use.

        By whether a piece is looked for, and the name. They are read only where one is not known.
        """
        loaded = {recipe.species: set(recipe.pieces) for recipe in self.recipes}
        found: dict[tuple[bool, str], str] = {}
        synonyms: dict[tuple[bool, str], str] = {}
        for document in shipped_recipes():
            mine = loaded.get(str(document.data.get("species")), set())
            if mine & document.keys("pieces"):
                continue  # a shop's own copy of it is in use
            where = f"in the shipped recipe {document.name}"
            for section in ("pieces", "cuts", "blends"):
                for name in document.keys(section):
                    for piece in (True, False):
                        found.setdefault((piece, plain(name)), where)
                    if self.cut_names.known(name) or self.piece_names.known(name):
                        continue  # here it is called so, too
                    for each in document.data[section][name].get("known as", ()):
                        key = (section == "pieces", plain(each))
                        synonyms.setdefault(key, f'"{name}" {where}')
        return synonyms | found

    def lightest(self, recipe: Recipe, piece: str) -> tuple[float, str]:
        """The smallest share of a piece that one thing made of it has, and which: a piece or a cut.

        What goes by weight is left out: of many pieces together it may be weighed.
        """
        if piece not in self._lightest:
            self._lightest[piece] = min(
                (share * given.share, given.name)
                for name, share in piece_shares(recipe, piece).items()
                for way in recipe.pieces[name].ways.values()
                for given in (*way.pieces, *way.cuts, Given(name, 1, 1.0))
                if given.name not in recipe.cuts or recipe.cuts[given.name].by_each
            )
        return self._lightest[piece]

    def blend_named(self, text: str) -> Blend | None:
        """The blend that a text names, if it does."""
        return self.blends.get(self.cut_names.find(text)) if self.cut_names.known(text) else None

    def one_day(self, place: Place, text: str) -> int:
        """Day number of a weekday or date; 0, and a fault, where it is none of the period's."""
        if not self.period_is_known:
            return 0
        return self.attempt(place, lambda: self.period.one(text)) or 0

    def per_pound(self, place: Place, price: Amount) -> float:
        """Money a pound."""
        return self.attempt(place, lambda: measures.per_pound(price, self.shape.unit)) or 0.0

    def price(self, place: Place, cut: Cut, price: Amount) -> float:
        """Money a pound, or for each of a cut sold by each."""
        read = self.units.read_rate
        return self.attempt(place, lambda: read(price, cut.by_each, cut.name)) or 0.0

    def amount(self, place: Place, cut: Cut, amount: Amount) -> float:
        """Pounds, or whole numbers of a cut sold by each."""
        read = self.attempt(place, lambda: self.units.read(amount, cut.by_each, cut.name))
        return read.amount if read else 0.0

    def amounts(
        self, place: Place, cut: Cut, given: AmountByDay | None, traffic: Sequence[float]
    ) -> tuple[float, ...]:
        """Amount of each day: as written by day, or the period's spread by traffic."""
        if given is None:
            return (0.0,) * len(self.period)
        if isinstance(given, Amount):
            days = spread(self.amount(place, cut, given), traffic, whole=cut.by_each)
            if not cut.by_each and any(map(measures.too_light, days)):
                message = "spread by traffic, a day gets less than a scale can weigh"
                self.document.fault(place, f"{cut.name}: {message}")
            return days
        read = {text: self.amount((*place, text), cut, each) for text, each in given.items()}
        return self.each_day(place, read)

    def each_day(self, place: Place, given: Mapping[str, float]) -> tuple[float, ...]:
        """A map by day as a value for each day, 0 for one that is not named."""
        named = self.by_day(place, given)
        return tuple(named.get(day, 0.0) for day in range(len(self.period)))

    def by_day(self, place: Place, given: Mapping[str, T]) -> dict[int, T]:
        """A map by day spelt out to day numbers, with faults at its keys."""
        values: dict[int, T] = {}
        for text, value in given.items() if self.period_is_known else ():
            here = (*place, text)
            for day in self.attempt(here, partial(self.period.matching, text)) or ():
                if day in values:
                    twice = self.period.dates[day].isoformat()
                    self.document.fault(here, f"{text}: {twice} has a value already")
                values[day] = value
        return values

    def present(self, place: Place, items: Sequence[T | None]) -> Iterator[tuple[Place, T]]:
        """Items of a list with their places, without those that are a fault already."""
        for number, item in enumerate(items):
            if item is not None:
                yield (*place, number), item
