"""Plans the breaks of a whole-animal butcher shop: which way to cut each piece, and when.

The names in `__all__` are what a script or a notebook may rely on; all else may change.
"""

from importlib import import_module
from typing import TYPE_CHECKING

__version__ = "0.1.0"

__all__ = [
    "BreakplanError",
    "InputError",
    "NoPlanInTimeError",
    "Options",
    "Plan",
    "RulesConflictError",
    "Scenario",
    "changed",
    "plan_week",
    "read_scenario",
]

if TYPE_CHECKING:
    from planner.show.notebook import (
        BreakplanError,
        InputError,
        NoPlanInTimeError,
        Options,
        Plan,
        RulesConflictError,
        Scenario,
        changed,
        plan_week,
        read_scenario,
    )
else:  # imported when asked for: `breakplan --help` does not wait for a solver

    def __getattr__(name: str) -> object:
        if name not in __all__:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        return getattr(import_module("planner.show.notebook"), name)

    def __dir__() -> list[str]:
        return [*globals(), *__all__]
