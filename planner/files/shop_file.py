"""Read a shop folder: its shop.yaml, which is a week without its days' own facts."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path
from typing import TypeVar

from planner.core.days import read_weekday
from planner.core.errors import InputError, Problem
from planner.core.quantities import WEEKDAYS, Amount, read_lot_size
from planner.core.scenario import Scenario
from planner.core.units import Units
from planner.files.context import Setting
from planner.files.fields import AmountByDay
from planner.files.file_kind import SHOP_FILE, kind_of, stop_unless
from planner.files.find import find, shown
from planner.files.recipes import read_recipes
from planner.files.scenario_file import scenario_of
from planner.files.scenario_shape import (
    DemandShape,
    LotShape,
    MarkdownShape,
    ScenarioShape,
    ShopShape,
    UsualDemandShape,
    WeekShape,
)
from planner.files.scenario_warnings import SHOP_LOOKS, point_out
from planner.files.shape_check import fit
from planner.files.yamlfile import Document, Place, load

T = TypeVar("T", float, Amount)

JOURNAL = "journal.db"

A_MONDAY = date(2024, 1, 1)
"""The week that the file is read in; any would do, since it may name weekdays only."""

NO_LIMIT = 14_400.0
"""Minutes of an open day where the file has no bench: ten cutters round the clock.

`bench=None` would let people cut on closed days too.
"""

ELSEWHERE = {
    "starts": "a shop file is for every week and has no date; leave the line out",
    "rail": "what arrives is entered in the journal; what may be bought every week is under offers",
    "case": "what lies in the case is entered in the journal, with: breakplan counts",
}
"""Keys of a scenario that a shop file does not have, and where such things go."""


@dataclass(frozen=True)
class Shop:
    """A shop folder.

    Attributes
    ----------
    folder : Path
    open_days : tuple of int
        Weekdays it is open, 0 for Monday.
    recipe_files : tuple of Path
        Its recipes and files of blends, in the order of shop.yaml.
    usual : Scenario
        A week as shop.yaml has it, of no particular date.
    """

    folder: Path
    title: str
    open_days: tuple[int, ...]
    recipe_files: tuple[Path, ...]
    usual: Scenario = field(repr=False)

    @property
    def units(self) -> Units:
        """How its amounts and prices are read and written."""
        return self.usual.units

    @property
    def journal(self) -> Path:
        """Where its journal lies."""
        return self.folder / JOURNAL

    def week(self, day: date) -> Scenario:
        """The calendar week (Monday to Sunday) around a day, as shop.yaml has it.

        No case and no orders; the only lots are the offers. Closed days have no bench, no want and
        no traffic; where the file has no bench, open days have one of `NO_LIMIT` minutes.
        """
        return replace(self.usual, starts=day - timedelta(days=day.weekday()))


def find_shop(folder: Path | None, beside: Path) -> Path:
    """The shop folder: the one named, else `beside` or the nearest above it with a shop.yaml.

    Raises `InputError` where there is none.
    """
    if folder is None:
        above = shop_above(beside)
        if above:
            return above
        message = (
            "no shop.yaml here or in a folder above; go to a shop folder, name it with --shop DIR, "
            "or make one: breakplan start DIR"
        )
        raise InputError([Problem(SHOP_FILE, 0, message)])
    if folder.name == SHOP_FILE and folder.is_file():
        return folder.parent
    if not _has_shop(folder):
        message = f"there is no shop.yaml in it; breakplan start {folder} makes a shop folder there"
        raise InputError([Problem(str(folder), 0, message)])
    return folder


def shop_above(beside: Path) -> Path | None:
    """A folder if it is a shop's, else the nearest above it that is one."""
    return next((each for each in (beside, *beside.resolve().parents) if _has_shop(each)), None)


def _has_shop(folder: Path) -> bool:
    place = folder / SHOP_FILE
    with suppress(OSError, ValueError):  # a folder closed to us, a name too long
        return place.is_file() or place.is_symlink()  # one that leads nowhere is told when read
    return False


def read_shop(folder: Path) -> tuple[Shop, list[Problem]]:
    """Read and check a shop folder, as `read_shop_file` does."""
    path = folder / SHOP_FILE
    return read_shop_file(path, shown(path))


def read_shop_file(path: Path, name: str) -> tuple[Shop, list[Problem]]:
    """Read and check a shop file and the recipes it names; the second are warnings.

    It is put into the shape of a scenario from a Monday to a Sunday, whose readers do the rest.
    Raises `InputError` with every fault of the file and of its recipes.
    """
    document = load(path, name)
    if kind_of(document) != "scenario":  # of which each key is told where it goes
        stop_unless("shop", document)
    _blame_elsewhere(document)
    usual = _Usual(document, fit(document, ShopShape))
    shape = usual.week()
    named = read_recipes(document, shape, path.parent)
    setting = Setting(document, shape, named.recipes, named.own, lots_under="offers")
    setting.period_is_known = True  # a calendar week, whatever is wrong with `days`
    scenario = scenario_of(setting)
    document.stop_if_faulty()
    point_out(setting, scenario, SHOP_LOOKS)
    shop = Shop(
        folder=path.parent,
        title=scenario.title,
        open_days=tuple(day for day, name in enumerate(WEEKDAYS) if name in usual.open),
        recipe_files=tuple(find(text, "recipes", path.parent)[0] for text in shape.recipes if text),
        usual=scenario,
    )
    return shop, [*named.warnings, *document.warnings]


def _blame_elsewhere(document: Document) -> None:
    """What stands in a scenario and not in a shop file, with where it goes."""
    for key, message in ELSEWHERE.items():
        if key in document.data:
            document.fault((key,), f"{key}: {message}")
    days = document.data.get("days")
    if isinstance(days, str):
        document.fault(("days",), "days: write the weekdays it is open: [mon, tue, wed, thu, fri]")
    for name in document.keys("demand"):
        if "orders" in document.keys("demand", name):
            place = ("demand", name, "orders")
            document.fault(place, f"{name}: orders are entered in the journal, not in a shop file")


class _Usual:
    """A shop file in its shape, and the same as a scenario."""

    def __init__(self, document: Document, shape: ShopShape) -> None:
        self.document = document
        self.shape = shape
        self.open = list(dict.fromkeys(day for day in shape.days if day is not None))
        for number, day in enumerate(shape.days):
            if day is not None and shape.days.index(day) < number:
                document.fault(("days", number), f"days: {day} is listed twice")
        if not self.open and not document.unsure_within(("days",)):
            document.fault(("days",), "days: the shop is never open")
        self.open_is_known = not document.unsure_within(("days",))

    def week(self) -> ScenarioShape:
        """Monday to Sunday in the shape of a scenario, what is wrong about its days left out."""
        shape, even = self.shape, dict.fromkeys(self.open or WEEKDAYS, 1.0)
        given = shape.traffic
        return ScenarioShape.model_construct(
            **{name: getattr(shape, name) for name in WeekShape.model_fields},
            title=shape.title,
            starts=A_MONDAY,
            days=len(WEEKDAYS),
            recipes=shape.recipes,
            rail=[lot and self._offer(number, lot) for number, lot in enumerate(shape.offers)],
            bench=self._bench(),
            traffic=even if given is None else self._by_weekday(("traffic",), given),
            demand={name: self._demand(name, each) for name, each in shape.demand.items()},
        )

    def _bench(self) -> dict[str, float]:
        """Minutes by day, so that closed days have none."""
        bench = self.shape.bench
        if not isinstance(bench, dict):
            bench = dict.fromkeys(self.open, NO_LIMIT if bench is None else bench)
        given = self._by_weekday(("bench",), bench)
        named = set(map(_weekday, given))
        return given | {day: 0.0 for day in WEEKDAYS if not {day} & {*named, *self.open}}

    def _demand(self, name: str, given: UsualDemandShape) -> DemandShape:
        def want(of: UsualDemandShape | MarkdownShape, *place: str) -> AmountByDay | None:
            place = ("demand", name, *place, "want")
            return self._by_weekday(place, of.want) if isinstance(of.want, dict) else of.want

        markdown = given.markdown
        if markdown:
            markdown = markdown.model_copy(update={"want": want(markdown, "markdown")})
        return DemandShape.model_construct(price=given.price, want=want(given), markdown=markdown)

    def _offer(self, number: int, lot: LotShape) -> LotShape:
        place: Place = ("offers", number)
        for name, text in (lot.model_extra or {}).items():
            with suppress(ValueError):  # told by the reader of lots
                if isinstance(text, str) and not read_lot_size(text).up_to:
                    message = (
                        f'"{text}": an offer is what may be bought every week, such as "up to '
                        f'{text.strip()}"; what arrives is entered in the journal'
                    )
                    self.document.fault((*place, name), message)
        if lot.arrives is None:
            if not self.document.unsure_within(place):
                self.document.fault(place, "an offer needs its weekday: arrives: mon")
            return lot
        if self._is_open((*place, "arrives"), lot.arrives):
            return lot
        return lot.model_copy(update={"arrives": None})

    def _by_weekday(self, place: Place, given: Mapping[str, T]) -> dict[str, T]:
        """A map by day without dates and without closed days, which are faults.

        A zero may be said of a closed day.
        """
        return {
            text: each
            for text, each in given.items()
            if not (each.number if isinstance(each, Amount) else each)
            or self._is_open((*place, text), text)
        }

    def _is_open(self, place: Place, text: str) -> bool:
        """Whether a day may stand there; a word that is no day at all is told by other readers."""
        word = _weekday(text)
        if any(map(str.isdigit, word)):
            message = f"{text}: a shop file is for every week and has no dates; write mon .. sun"
        elif word in WEEKDAYS and word not in self.open and self.open_is_known:
            days = ", ".join(self.open)
            message = f"the shop is closed on {word} (days: [{days}])"
        else:
            return True
        self.document.fault(place, message)
        return False


def _weekday(text: str) -> str:
    """`mon` of `Monday`; what is no weekday as it is."""
    try:
        return read_weekday(text)
    except ValueError:
        return text.strip().lower()
