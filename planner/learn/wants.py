"""What customers would buy of a cut on a weekday, learned from what was sold, and its spread.

The method
----------
Exponential smoothing of a level and of multiplicative weekday factors, week by week, as Holt and
Winters have it, written as discounted sums (West and Harrison, Bayesian Forecasting and Dynamic
Models; Harvey and Fernandes, Time series models for count or qualitative observations, 1989; both
from memory): the level is what was wanted over what the factors make of a level of 1, a factor is
what was wanted on its weekday over the levels after those weeks; older weeks count less in both.
The file's want is the start of both, as if it had been seen for `LEVEL_WEEKS` and `FACTOR_WEEKS`.

The want of a day has a mean m and the variance phi m, as a number of customers has who each take a
portion; phi is smoothed as the rest is: the squared errors of what was expected a week before, over
what was expected.

- A day that was sold out tells only that at least so much was wanted. It counts as the mean of the
  distribution above that: of what is counted a negative binomial, of what is weighed a gamma with
  days on which nobody came (`planner.learn.gamma`, which says why). That is the E step of the
  expectation-maximization algorithm for censored data (Dempster, Laird and Rubin 1977), taken once,
  as each week comes.
- A day of which nothing is known counts as nothing; it is no zero.
- A day beyond the `TOP` quantile (a holiday, one buyer who takes all) counts as that quantile, or
  as the same weekday a week before where that was more: twice running is no surprise. Not while
  a weekday is new either, since then it is what was expected that is off.

How much of it is used: below `THIN` days seen of a weekday the file's want stands, from `ENOUGH`
what was learned, and between the two their mean, so that nothing jumps. A day is seen the less the
longer ago it was, and a day sold out only by what it tells: 1 less the share of the variance that
it leaves open (the missing information principle, Orchard and Woodbury 1972, from memory). Where it
is mostly sold out, so that little is told, the file's want is raised to what was sold on average:
no less was wanted.

Of cuts that few ask for and that are sold out on half of the days, what is learned is within 3% of
the truth by weight and 6% too high by each, and in the first half year within 8%, in simulated
shops (tests/learn/test_small_wants.py): the few days left also tell phi, and an error in that feeds
on itself.

What is not in it: the seasons of a year, prices, weather, one cut bought in place of another.

Why no library: statsmodels and its like smooth with weekday factors, but take every day as it is;
none has days that were sold out, or that are not known, in such a smoothing. The constants are
chosen, not published: on simulated shops and on a restaurant's two years of portions
(tests/learn/test_learned_wants.py, which also shows that twice or half as fast does nearly as
well).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from planner.learn.gamma import Bools, Floats, quantile, wanted_of

WEEK = 7

LEVEL_KEPT = 0.85
"""What a week counts for the level when it is a week older: chosen, no source."""

FACTOR_KEPT = 0.98
"""The same for weekday factors and the spread, which change slowly: chosen, no source."""

SEEN_KEPT = 0.93
"""The same for how many days were seen: a weekday known every week counts as 1 / 0.07 = 14 days.

Chosen, no source, so that after half a year without a sale the file's want stands again.
"""

LEVEL_WEEKS, FACTOR_WEEKS, SPREAD_WEEKS = 1.0, 4.0, 6.0
"""Weeks that what was there before any sale is worth: chosen, no source."""

THIN, ENOUGH = 2.0, 5.0
"""Days seen of a weekday, up to which the file's want stands, from which the learned one does.

Common practice, no source: two days are no pattern, a month is one.
"""

TOP = 0.99
"""Quantile that a day counts as at most: what is more comes less than once in a hundred days.

Common practice, no source.
"""

NEW = 4.0
"""Days of a weekday from which on its surprises are taken as such: between `THIN` and `ENOUGH`."""

_LEAST = 0.02
"""Least want of a day that the model assumes, in pounds or each; what is told may be less.

Reasoned: one customer in fifty days, so that a cut that sells again is not taken for a miracle.
"""

_LEAST_FACTOR = 0.1
"""Least factor of a weekday, likewise: a tenth of a usual day."""


@dataclass(frozen=True)
class SalesDays:
    """What was sold, by cut, week (Monday first, the oldest first) and weekday.

    Attributes
    ----------
    sold : array of (cuts, weeks, 7)
        Pounds or each; nan where nothing is known of the day.
    sold_out : array of (cuts, weeks, 7)
        Whether more would have been bought.
    by_each : array of (cuts,)
        Whether the cut is counted.
    guess : array of (cuts, 7)
        The want of each weekday as it was thought before; nan where nobody thought of the cut.
    pattern : array of (7,)
        Relative weights of the weekdays, for cuts without a guess.
    """

    sold: Floats
    sold_out: Bools
    by_each: Bools
    guess: Floats
    pattern: Floats


@dataclass(frozen=True)
class ExpectedWant:
    """What was expected before each week, from the weeks before it, and for the one that follows.

    Attributes
    ----------
    want : array of (cuts, weeks + 1, 7)
    spread : array of (cuts, weeks + 1, 7)
        Standard deviation of a day's want around it.
    trust : array of (cuts, weeks + 1, 7)
        0 where it is the guess, 1 where it is learned, else how much of it is.
    """

    want: Floats
    spread: Floats
    trust: Floats


@dataclass(frozen=True)
class _State:
    """Discounted sums, by cut or by cut and weekday.

    `seen` is days by what they tell, `known` days as such, `sold` what was sold on them, `last` the
    want of the weekday when it was last known.
    """

    level_sum: Floats
    level_weight: Floats
    factor_sum: Floats
    factor_weight: Floats
    spread_sum: Floats
    spread_weight: Floats
    seen: Floats
    known: Floats
    sold: Floats
    last: Floats

    @property
    def level(self) -> Floats:
        return self.level_sum / self.level_weight

    @property
    def factors(self) -> Floats:
        return self.factor_sum / self.factor_weight

    @property
    def want(self) -> Floats:
        return self.level[:, None] * self.factors

    @property
    def mean(self) -> Floats:
        """The want as the mean of a distribution, which is above 0."""
        return np.maximum(np.maximum(self.want, _LEAST_FACTOR * self.level[:, None]), _LEAST)

    @property
    def phi(self) -> Floats:
        return self.spread_sum / self.spread_weight


def expect_wants(days: SalesDays) -> ExpectedWant:
    """Learn from one week after the other; what is expected of a week is said before it is seen."""
    state = _start(days)
    told = [_told(state, days.guess)]
    for week in range(days.sold.shape[1]):
        state = _after(state, days.sold[:, week], days.sold_out[:, week], days.by_each)
        told.append(_told(state, days.guess))
    want, spread, trust = (np.stack(each, axis=1) for each in zip(*told, strict=True))
    return ExpectedWant(want, spread, trust)


def _told(state: _State, guess: Floats) -> tuple[Floats, Floats, Floats]:
    trust = _trust(state.seen)
    guessed = ~np.isnan(guess)
    sold = state.sold / np.maximum(state.known, 1e-6)
    raised = guess + _trust(state.known) * np.maximum(sold - guess, 0.0)
    want = np.where(guessed, trust * state.want + (1 - trust) * raised, state.want)
    return want, np.sqrt(state.phi[:, None] * want), trust


def _trust(days: Floats) -> Floats:
    return np.clip((days - THIN) / (ENOUGH - THIN), 0.0, 1.0)


def _start(days: SalesDays) -> _State:
    """What is thought before the first week: the guess, else what the first week sold."""
    guessed = np.nansum(days.guess, axis=1) > 0
    first = np.where(guessed[:, None], days.guess, _first_weeks(days))
    level = np.maximum(first.mean(axis=1), _LEAST)
    factors = first / level[:, None]
    return _State(
        level_sum=LEVEL_WEEKS * WEEK * level,
        level_weight=np.full(len(level), LEVEL_WEEKS * WEEK),
        factor_sum=FACTOR_WEEKS * factors * level[:, None],
        factor_weight=np.repeat(FACTOR_WEEKS * level[:, None], WEEK, axis=1),
        # customers come one by one (Poisson), and their number is 30% off where it is large:
        # common practice, no source
        spread_sum=SPREAD_WEEKS * WEEK * level * (1 + 0.1 * level),
        spread_weight=SPREAD_WEEKS * WEEK * level,
        **dict.fromkeys(("seen", "known", "sold", "last"), np.zeros(days.guess.shape)),
    )


def _first_weeks(days: SalesDays) -> Floats:
    """The first week with a sale, as its known days tell it, dealt out by the pattern."""
    weights = np.maximum(days.pattern / days.pattern.sum(), 1e-6)
    sums = np.nansum(days.sold, axis=2)
    known = (~np.isnan(days.sold) * weights).sum(axis=2)
    weeks = sums / np.maximum(known, 1e-6)
    first = np.zeros(len(weeks))
    for week in weeks.T[::-1]:
        first = np.where(week > 0, week, first)
    guess: Floats = np.maximum(first, _LEAST)[:, None] * weights
    return guess


def _after(state: _State, sold: Floats, sold_out: Bools, by_each: Bools) -> _State:
    """The state when a week, arrays of (cuts, 7), has been seen."""
    known = ~np.isnan(sold)
    out = sold_out & known
    mean, phi = state.mean, state.phi[:, None]
    wanted, square, told = wanted_of(np.where(known, sold, mean), out, mean, phi, by_each)
    most = np.maximum(quantile(TOP, mean, phi), state.last)
    most = np.where(state.seen >= NEW, most, np.inf)
    counted = known * np.minimum(wanted, most)
    square = np.minimum(square, np.maximum(most - mean, 0.0) ** 2)
    judged = known & (state.seen >= THIN)  # before that the guess is judged, not the days
    factor_kept = np.where(known, FACTOR_KEPT, 1.0)
    spread_kept = np.where(judged.any(axis=1), FACTOR_KEPT, 1.0)
    aged = _aged(state)
    level_sum = aged.level_sum + counted.sum(axis=1)
    level_weight = aged.level_weight + (known * state.factors).sum(axis=1)
    level = (level_sum / level_weight)[:, None]  # the new one, or both would answer to a surprise
    return _balanced(
        replace(
            aged,
            level_sum=level_sum,
            level_weight=level_weight,
            factor_sum=factor_kept * state.factor_sum + counted,
            factor_weight=factor_kept * state.factor_weight + known * level,
            spread_sum=spread_kept * state.spread_sum + (judged * square).sum(axis=1),
            spread_weight=spread_kept * state.spread_weight + (judged * mean).sum(axis=1),
            seen=aged.seen + known * told,
            known=aged.known + known,
            sold=aged.sold + known * np.minimum(np.where(known, sold, 0.0), most),
            last=np.where(known, wanted, state.last),
        )
    )


def _aged(state: _State) -> _State:
    """A week later: the level is forgotten down to what it started with, and days seen fade."""
    weight = LEVEL_KEPT * state.level_weight
    weight = np.maximum(weight, np.minimum(state.level_weight, LEVEL_WEEKS * WEEK))
    return replace(
        state,
        level_sum=state.level * weight,
        level_weight=weight,
        seen=SEEN_KEPT * state.seen,
        known=SEEN_KEPT * state.known,
        sold=SEEN_KEPT * state.sold,
    )


def _balanced(state: _State) -> _State:
    """The same with factors of 1 on average: only their product with the level means anything."""
    mean = state.factors.mean(axis=1)
    return replace(
        state,
        level_weight=state.level_weight / mean,
        factor_weight=state.factor_weight * mean[:, None],
    )
