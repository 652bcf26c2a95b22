"""How a plan is sought, and what was decided and proven."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from planner.core.scenario import BlendKey, BreakKey
from planner.files.atomic_write import Mark

Status = Literal["proven", "within tolerance", "held", "time limit"]
"""How a search ended; `held`: a plan further below the best than asked, for it keeps a list."""

MODEL = Mark(b"* breakplan: a model\n", "a model of --model-file")
"""How every file with a model begins: a comment in MPS."""

SAME = 1e-6
"""Two scores closer than this share of them (or of 1) are the same."""


@dataclass(frozen=True, slots=True)
class Options:
    """How a plan is sought.

    Attributes
    ----------
    share, amount : float
        Stop within this share of the score, or this much money, whichever is larger.
    seconds : float
        Stop after this time with the best plan found.
    bundled : bool
        Use the solver that PuLP brings along instead of HiGHS: slower, a cross-check.
    model_file : Path or None
        Write the model there as MPS, to be minimized: the score less the ties with its sign
        turned, and with the orders that the plan fills.
    replace : bool
        Whether that may take the place of a file that is no model (`Mark.replace`).
    plain : bool
        One search by HiGHS of the model as it is: slower, a cross-check.
    """

    share: float = 0.001
    amount: float = 1.0
    seconds: float = 60.0
    bundled: bool = False
    model_file: Path | None = None
    replace: bool = False
    plain: bool = False


@dataclass(frozen=True, slots=True)
class Solution:
    """The decisions of a plan as numbers, under the same keys as the model's variables.

    `objective` and `bound` are the score less the ties. `orders_proven` says whether the value of
    the orders filled is known to be the most possible. `held` has the orders after the period for
    which anything can be held. `parts` is in how many parts, one after the other, the period was
    planned.
    """

    breaks: Mapping[BreakKey, int]
    bought: Mapping[int, int]
    walk_in: Mapping[tuple[str, int], float]
    marked_down: Mapping[tuple[str, int], float]
    filled: Mapping[int, float]
    blended: Mapping[BlendKey, float]
    batches: Mapping[tuple[str, int], int]
    objective: float
    bound: float
    status: Status
    orders_proven: bool
    seconds: float
    held: Mapping[int, float] = field(default_factory=dict)
    cut_after: Mapping[BreakKey, int] = field(default_factory=dict)
    parts: int = 1
