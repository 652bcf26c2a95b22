"""Solve a break model. All calls of PuLP are here and in `planner.solve.model`.

Why no bound can be wrong: every bound told is one of

- the relaxation of the whole model, with rounding cuts that every plan obeys (`rounding_cuts.py`
  derives them) and with nothing else fixed;
- a search of the whole model, or of it with only the sums over the period whole: HiGHS's own bound.

Each holds for every plan, so the least of them does. What fixes or frees only some of the model (a
dive, what it leaves open, a few days after the other, a window, what two plans do not agree on,
days for given sums) gives plans, whose worth is counted from their values, and never a bound. A
start is whole in all whole numbers: HiGHS would otherwise search what is left open of it, and tell
the bounds of that. Where the time ends before any of these is there, a bound is counted from prices
and amounts (`planner.solve.ceiling`). Every plan is counted again without the solver before it is
told (`planner.solve.replay`). Orders first: a bound is about the plans that fill the orders as this
one does.

What a plan means, and what is easy to get wrong of it:
- Stock has no ages in the model. What arrives in turn goes out of date in turn, so it is enough
  that no day ends with more on hand than arrived recently enough to be in date tomorrow. Only
  case stock that keeps longer than the cut freshly made is out of turn, and has variables of its
  own.
- Orders first: one solve with all orders fixed at their full amount; only if that is infeasible,
  or finds nothing in the time, a solve for the most order value, then the score with that value
  kept.
- The whole-number decisions of the search are then fixed and the rest is solved once more
  (`Engine.settle`): amounts come out at a corner, so cuts sold by each are whole. Batches of
  blends are sought once more for these breaks (`Search._best_batches`), where all orders can be
  filled.
- Same input, same plan: what ends a phase of a search is counted in nodes and looks, never in
  seconds, so only `--seconds` itself, where it cuts the search off, lets the machine decide. By
  the clock go, besides: half of the time for a plan that fills all orders, where none is found at
  all, and for the sums of small or fine searches; the questions of `sensitivity.py`, `binding.py`
  and `conflict.py`; how far a period in parts looks ahead.
- Ties (`MINUTE_TIE`, `NIGHT_TIE`, `BIN_TIE`, `GRIND_TIE`) are in the objective, not in the score.
  `bound` and `within` of a plan are about the objective with this plan's ties added back: another
  plan could have a higher score only by as much as its own ties weigh more (a tenth of a cent a
  minute).
- A blend is never made to be binned: that could only save ties, and reads like a mistake. Not so
  where a batch may be more than is wanted, fat is rendered away, or a rule wants so much
  (`_never_too_much`).
- Limits of a blend are shares of the weight in; batches and `minutes` go by the weight out. Whole
  batches are whole numbers of a day, and a group of the aggregate like the breaks.
- A rule on the grind (`GrindRule`) counts pounds in over the period; `all` forbids the other
  blends.
- No overtime on a day without bench. `minutes: 0.3 per lb` of a blend is per pound made.
- Waste and what is left are worked out by replaying the stock, oldest first
  (`core/stock_replay.py`).
- No plan is told that was not counted again (`solve/replay.py`): its whole numbers are replayed,
  what is sold or blended is taken from the stock they give, and benches, rules, blends and orders
  are held against the scenario. What lacks by a hair (HiGHS works to 1e-7, a search to 1e-6) is
  not sold; what lacks by more is settled again at the finest tolerance, and after that the answer
  is exit code 4. Dear things make the tolerance finer (`Engine._set_tolerances`).
- `--seconds` holds for relaxations and for what is settled, too (`Engine.within`), with a tenth
  more to come to an end. If no bound is there by then, one is counted from prices and amounts
  (`solve/ceiling.py`).
- A period of more than 14 days with more than 600 decisions about pieces, or of 30,000 decisions,
  is planned in parts (`solve/parts.py`): windows of up to 12 days, as time and memory allow, of
  which 7 are kept, each planned from the stock that the replay hands on. Orders that fall short
  so are held for in a second pass (`Scenario.held`). Rules count what earlier windows did; `at
  least` is rewarded until it is kept. The bound is the relaxation of the whole period with its
  rounding cuts (first by interior points), where half of the time is enough for it, else the
  ceiling. `whatif` and `order` compare plans in parts; `why` and `promise` need the period as a
  whole and refuse it, `trim` tells the balance and no remedies (`stop_if_in_parts`, `Plan.parts`).
  `why` and `trim` give half of their time to the plan of a period that is planned as a whole.
- Memory: no model above `size.COLUMNS` amounts is built, and rounding cuts end at
  `rounding.TERMS`.
"""

from planner.solve.ceiling import ceiling
from planner.solve.options import MODEL, SAME, Options, Solution, Status
from planner.solve.parts import planned_in_parts, stop_if_in_parts, too_long
from planner.solve.portfolio import best_of
from planner.solve.replay import replayed
from planner.solve.search import Search, solve

__all__ = [
    "MODEL",
    "SAME",
    "Options",
    "Search",
    "Solution",
    "Status",
    "best_of",
    "ceiling",
    "planned_in_parts",
    "replayed",
    "solve",
    "stop_if_in_parts",
    "too_long",
]
