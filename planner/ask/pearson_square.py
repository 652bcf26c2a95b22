"""Two trims mixed to a target, worked the way the trade draws it: as a square.

The fat shares of the two stand at the corners on the left, the target in the middle. Across the
corners the difference between each and the target is the parts of the other.
Source: common practice, known as the Pearson square.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from planner.core.errors import InputError, Problem
from planner.core.quantities import pounds, read_amount, read_share
from planner.core.scenario import Scenario
from planner.files.context import Setting
from planner.files.yamlfile import Document

EXAMPLE = "trim 85, fat: 10 lb at 20%"

_OPTION = "--square"  # what messages call the text
_SAME = 1e-9
_LEAN_OR_FAT = re.compile(r"(.*%)\s*(lean|fat)?\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Square:
    """A mixture of two with a fat share between theirs.

    `fat_one` and `fat_other` differ; `total` is in pounds, where that was asked for.

    Raises
    ------
    ValueError
        The two are equally fat, or no mixture of them is as fat as the target.
    """

    one: str
    other: str
    fat_one: float
    fat_other: float
    target: float
    total: float | None = None

    def __post_init__(self) -> None:
        low, high = sorted((self.fat_one, self.fat_other))
        if high - low < _SAME:
            raise ValueError(
                f"{self.one} and {self.other} are {_percent(low)} fat both, "
                "and so is whatever is mixed of them"
            )
        if not low - _SAME <= self.target <= high + _SAME:
            raise ValueError(
                f"no mixture of {self.one} and {self.other} is {_percent(self.target)} fat: "
                f"they are {_percent(self.fat_one)} and {_percent(self.fat_other)} fat"
            )

    @property
    def parts_one(self) -> float:
        """Parts of the one: from the other to the target, as a share."""
        return abs(self.fat_other - self.target)

    @property
    def parts_other(self) -> float:
        """Parts of the other: from the one to the target."""
        return abs(self.target - self.fat_one)

    @property
    def share_one(self) -> float:
        """Share of the mixture that is the one."""
        return self.parts_one / (self.parts_one + self.parts_other)

    @property
    def share_other(self) -> float:
        """Share of the mixture that is the other."""
        return self.parts_other / (self.parts_one + self.parts_other)

    def weights(self, total: float) -> tuple[float, float]:
        """What goes into a mixture that weighs `total`, in the same unit."""
        return self.share_one * total, self.share_other * total


def square_of(scenario: Scenario, text: str) -> Square:
    """Read `trim 85, fat: 20%` or `trim 85, fat: 10 lb at 20%`.

    What is mixed are cuts of the scenario, or bare shares such as `90% lean`. The target is the
    fat share of the mixture; `80% lean` is understood too. A bare weight is in the scenario's unit.

    Raises
    ------
    InputError
        With every fault, told as of a file called --square.
    """
    document = Document(_OPTION)
    setting = Setting.of(scenario, document)
    mixed, colon, wanted = text.rpartition(":")
    names = _two(setting, mixed)
    if not colon or names is None:
        said = f'two things to mix, with a comma between, are wanted in "{text}"'
        said = said if colon else f'a colon before the target is missing in "{text}"'
        raise InputError([Problem(_OPTION, 0, f'{said}; write it like "{EXAMPLE}"')])
    (one, fat_one), (other, fat_other) = (_fat(setting, name) for name in names)
    weight, target = _target(setting, wanted.strip())
    document.stop_if_faulty()
    found = setting.attempt((), lambda: Square(one, other, fat_one, fat_other, target, weight))
    document.stop_if_faulty()
    assert found is not None  # else a fault was recorded
    return found


def _two(setting: Setting, text: str) -> tuple[str, str] | None:
    """Split at the comma; a name may have commas of its own."""
    words = [word.strip() for word in text.split(",")]
    splits = [(", ".join(words[:at]), ", ".join(words[at:])) for at in range(1, len(words))]
    known = [pair for pair in splits if all(setting.cut_names.known(name) for name in pair)]
    found = known or splits
    both = len(known) == 1 or len(splits) == 1
    return found[0] if both and all(found[0]) else None


def _fat(setting: Setting, text: str) -> tuple[str, float]:
    """A cut of the scenario, or a bare share, with its fat share."""
    if not setting.cut_names.known(text) and _LEAN_OR_FAT.fullmatch(text):
        return " ".join(text.split()), _share(setting, text)
    name = setting.find(setting.cut_names, (), text)
    if name is None:
        return text, 0.0
    fat = setting.cuts[name].fat
    if fat is None:
        message = f"{name} has no lean share, so its fat is not known"
        setting.document.fault((), message)
    return name, fat or 0.0


def _target(setting: Setting, text: str) -> tuple[float | None, float]:
    """`20%`, `80% lean`, `10 lb at 20%`: pounds, where they are said, and the fat share."""
    amount, at, share = (each.strip() for each in text.rpartition(" at "))
    if not at:
        return None, _share(setting, text)
    size = setting.attempt((), lambda: pounds(read_amount(amount), setting.shape.unit))
    if size == 0:
        setting.document.fault((), f"{amount} of a mixture is nothing")
    return size, _share(setting, share)


def _share(setting: Setting, text: str) -> float:
    """Fat share: `20%`, `20% fat` or `80% lean`."""
    found = _LEAN_OR_FAT.fullmatch(text)
    share = setting.attempt((), lambda: read_share(found[1] if found else text)) or 0.0
    return 1.0 - share if found and (found[2] or "").lower() == "lean" else share


def _percent(share: float) -> str:
    return f"{share * 100:.4g}%"
