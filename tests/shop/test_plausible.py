"""What is asked about when something was weighed: ranges, sums, mixed-up units."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.core.quantities import POUNDS
from planner.core.units import Units
from planner.journal.entries import BatchMade, BreakDone, Weighed
from planner.learn.shares import SPREAD
from planner.shop.entering.block_checks import (
    BREAK_CHECKS,
    batch_balance,
    given_weights,
    missing_weight,
    sum_of_given,
)
from planner.shop.entering.catalog import Catalog, ExpectedYield, StockItem
from planner.shop.entering.context import Check, context_of, warnings_of
from planner.shop.entering.day_plan import Cutting, WeighedBreak
from planner.shop.entering.plausible import (
    WeightRange,
    given_range,
    learned_deviation,
    mixed_up,
    piece_range,
    share_deviation,
    unlikely_pieces,
)
from planner.shop.entering.warning import EntryWarning, joined
from planner.shop.stock.scales import SCALE_POUNDS, SCALE_SHARE
from tests.planning import SCENARIOS, read

DAY = date(2026, 11, 23)

SHOULDER = StockItem("shoulder", "lamb shoulder", True, True, 5)
ROAST = StockItem("shoulder roast", "lamb shoulder roast", False, False, 4)
LOIN = StockItem("loin", "lamb loin", True, True, 5)
BONES = StockItem("bones", "lamb bones", False, False, 3, tray=True)
FAT = StockItem("fat", "lamb fat", False, False, 3, tray=True)
TRIM = StockItem("trim 85", "lamb trim 85", False, False, 2, tray=True)
RACK = StockItem("frenched rack", "lamb frenched rack", True, False, 4)

BONED = (
    ExpectedYield(ROAST, None, 0.69),
    ExpectedYield(BONES, None, 0.20),
    ExpectedYield(FAT, None, 0.06),
    ExpectedYield(TRIM, None, 0.04),
)

LB, KG = Units("lb", "$"), Units("kg", "$")


def boned(*weights: float, count: int = 1, pounds: float | None = None) -> BreakDone:
    names = [each.thing.full for each in BONED]
    gave = [Weighed(name, None, weight) for name, weight in zip(names, weights, strict=False)]
    return BreakDone(DAY, "lamb shoulder", "boneless roast", count, pounds, tuple(gave))


WEEK = read(SCENARIOS / "corner-shop.yaml")
CONTEXTS = {unit: context_of(Catalog(replace(WEEK, unit=unit)), (), DAY) for unit in POUNDS}


def told(
    checks: Sequence[Check[WeighedBreak]],
    done: BreakDone,
    expected: float | None,
    unit: str = "lb",
    piece: StockItem = SHOULDER,
    gives: tuple[ExpectedYield, ...] = BONED,
) -> tuple[str, ...]:
    cutting = Cutting(piece, "boneless roast", done.count, expected, gives, planned=False)
    found = warnings_of(WeighedBreak(cutting, done), CONTEXTS[unit], checks)
    return tuple(each.sentence for each in found)


def doubts(done: BreakDone, expected: float | None = None, unit: str = "lb") -> tuple[str, ...]:
    return told(BREAK_CHECKS, done, expected, unit)


def test_a_roast_of_14_lb_from_a_shoulder_of_6_lb_is_asked_about_with_what_is_expected():
    (first, second) = doubts(boned(14.0, pounds=6.5))
    told = re.fullmatch(
        r"14\.0 lb of shoulder roast from 1 shoulder of 6\.5 lb: "
        r"([0-9.]+) to ([0-9.]+) lb is expected(; did you mean .+\?)?",
        first,
    )
    assert told and 3.5 < float(told[1]) < 0.69 * 6.5 < float(told[2]) < 5.5
    assert second == "what 1 shoulder gave adds up to 14.0 lb, but 1 shoulder weighs 6.5 lb"


@pytest.mark.parametrize("roast", [4.0, 4.5, 5.0])
def test_what_shoulders_do_give_is_not_asked_about(roast: float):
    rest = 6.5 - roast
    assert not doubts(boned(roast, 0.65 * rest, 0.2 * rest, 0.14 * rest, pounds=6.5))


def test_a_thousand_honest_weigh_ins_are_asked_about_a_few_times():
    # a second opinion: weigh-ins drawn by numpy from the Dirichlet distribution that the ranges
    # suppose; three deviations leave out 0.3% of a normal one, and more where a share is skew
    shares = np.array([0.69, 0.20, 0.06, 0.04, 0.01])
    drawn = np.random.default_rng(7).dirichlet(shares * (1 / SPREAD - 1), size=4000)
    assert np.std(drawn[:, 0]) == pytest.approx(share_deviation(0.69), rel=0.05)
    for at, each in enumerate(BONED):
        found = given_range(each.share, 10.0, weighed=True)
        inside = np.mean([found.least <= 10 * share <= found.most for share in drawn[:, at]])
        assert inside > 0.98
    asked = sum(bool(doubts(boned(*(10 * row[:4]), pounds=10.0))) for row in drawn[:1000])
    assert asked <= 30


def test_a_published_range_of_yields_is_within_what_is_not_asked_about():
    # Boneless yields of goat carcasses, 40 to 60 percent: University of Tennessee Extension, as in
    # tests/learn/test_learned_shares.py, from which the usual spread comes
    found = given_range(0.50, 100.0, weighed=True)
    assert found.has(40.0) and found.has(60.0)


def test_fresh_weights_widen_the_range_where_the_piece_was_not_weighed():
    weighed = given_range(0.69, 6.5, weighed=True)
    reckoned = given_range(0.69, 6.5, weighed=False)
    assert reckoned.least < weighed.least < weighed.most < reckoned.most


def test_the_shops_own_spread_draws_the_deviation_towards_it():
    usual = share_deviation(0.69)
    few, many = learned_deviation(0.69, 2, 0.01), learned_deviation(0.69, 200, 0.01)
    assert 0.01 < many < few < usual
    assert many == pytest.approx(0.01, rel=0.2)
    assert learned_deviation(0.69, 200, 0.08) > usual


def test_a_deviation_that_was_learned_narrows_the_range():
    close = ExpectedYield(ROAST, None, 0.69, deviation=0.005)
    got = Weighed(ROAST.full, None, 7.3)
    done = BreakDone(DAY, SHOULDER.full, "boneless roast", 1, 10.0, (got,))
    assert "expected" in told([given_weights], done, None, gives=(close,))[0]
    assert not told([given_weights], done, None)


def test_kilograms_typed_for_pounds_are_named_and_the_other_way_round():
    six_in_kg = 6.5 * POUNDS["lb"] / POUNDS["kg"]
    assert unlikely_pieces("shoulder", 1, six_in_kg, 6.5, LB).endswith("; did you mean kg?")
    typed = 6.5 * POUNDS["kg"]  # the figure of the pounds, taken for kilograms
    assert unlikely_pieces("shoulder", 1, typed, 6.5, KG).endswith("; did you mean lb?")
    assert unlikely_pieces("shoulder", 1, 6.5 * 16, 6.5, LB).endswith("; did you mean oz?")
    assert unlikely_pieces("shoulder", 1, 20.0, 6.5, LB).endswith("lb is expected")


def test_a_point_that_slipped_is_named_before_another_unit():
    assert (
        mixed_up(35.0, WeightRange(0.0, 4.4), LB) == "; did you mean 3.5?"
    )  # ounces would do as well
    assert unlikely_pieces("shoulder", 1, 0.64, 6.5, LB).endswith("; did you mean 6.4?")
    assert unlikely_pieces("shoulder", 1, 640.0, 6.5, LB).endswith("; did you mean 6.4?")
    in_kg = 29 * POUNDS["kg"]
    assert unlikely_pieces("shoulder", 1, in_kg, 6.5, KG).endswith("; did you mean 2.9?")


def test_after_a_question_mark_comes_a_sentence():
    assert joined(map(EntryWarning, ["a?", "b", "b", "c"])) == EntryWarning("a? b; c")
    assert joined([]) is None
    assert EntryWarning("so?").correction == "so? If it is right, add --yes"
    assert EntryWarning("so").correction == "so; if it is right, add --yes"


def test_pieces_a_fifth_lighter_or_heavier_are_not_asked_about():
    assert not unlikely_pieces("shoulder", 2, 13.0 * 0.8, 13.0, LB)
    assert not unlikely_pieces("shoulder", 2, 13.0 * 1.2, 13.0, LB)
    assert unlikely_pieces("shoulder", 2, 13.0 * 0.7, 13.0, LB)
    assert unlikely_pieces("shoulder", 2, 0.0, 13.0, LB)


def test_a_sum_above_the_piece_is_impossible_beyond_what_scales_differ_by():
    most = 10.0 * (1 + SCALE_SHARE) + SCALE_POUNDS

    def asked_of(total: float, pounds: float | None, expected: float | None) -> tuple[str, ...]:
        gave = (Weighed("a", None, 6.0), Weighed("b", None, total - 6.0))
        done = BreakDone(DAY, SHOULDER.full, "boneless roast", 1, pounds, gave)
        return told([sum_of_given], done, expected)

    for total, asked in ((most - 0.01, False), (most + 0.01, True)):
        assert bool(asked_of(total, 10.0, None)) == asked
    assert not asked_of(12.0, None, 10.0)
    over = piece_range(10.0).most * 1.1
    assert "at most" in asked_of(over, None, 10.0)[0]
    assert not asked_of(over, None, None)


def test_what_is_nowhere_is_asked_about_only_when_everything_was_weighed():
    whole = [10 * each.share for each in BONED]  # 0.1 lb of loss

    def asked(*weights: float, pounds: float | None = 10.0) -> tuple[str, ...]:
        return told([missing_weight], boned(*weights, pounds=pounds), 10.0)

    assert not asked(*whole)
    less = (5.5, *whole[1:])
    assert "1.5 lb of 1 shoulder of 10.0 lb is unaccounted for" in asked(*less)[0]
    assert not asked(*less[:-1])
    assert not asked(*less, pounds=None)


def test_things_that_are_counted():
    racks = ExpectedYield(RACK, 2, 0.60)

    def asked(count: int | None, pounds: float | None) -> str:
        got = Weighed(RACK.full, count, pounds)
        done = BreakDone(DAY, LOIN.full, "racks", 3, 36.0, (got,))
        return "".join(told([given_weights], done, None, piece=LOIN, gives=(racks,)))

    assert not asked(6, 21.0)
    assert not asked(3, 10.5), "half of them came out whole"
    assert "7 frenched rack from 3 loin: 6 expected" in asked(7, 21.0)
    assert asked(3, 21.0) and asked(0, 2.0) and asked(6, 0.0)
    assert not asked(5, None)


def test_nothing_is_known_of_a_piece_that_was_never_weighed():
    assert not doubts(boned(4.5))
    assert doubts(boned(50_000.0))
    assert unlikely_pieces("shoulder", 1, 50_000.0, None, LB)


def test_a_batch_gives_about_what_goes_in():
    def asked(made: float, took: float | None) -> str:
        gone = () if took is None else (Weighed("lamb trim 80", None, took),)
        entry = BatchMade(DAY, "lamb ground lamb", made, gone)
        return "".join(each.sentence for each in batch_balance(entry, CONTEXTS["lb"]))

    assert not asked(12.0, 12.5)
    assert "did you mean kg?" in asked(5.4, 12.0)
    assert not asked(12.0, None)
    assert asked(30_000.0, None)


@given(
    pounds=st.floats(2.0, 400.0),
    count=st.integers(1, 40),
    unit=st.sampled_from(["lb", "kg"]),
    rest=st.floats(0.98, 1.01),
)
def test_what_is_as_expected_is_never_asked_about_and_its_double_always(
    pounds: float, count: int, unit: str, rest: float
):
    weights = [each.share * pounds * rest for each in BONED]
    assert not doubts(boned(*weights, count=count, pounds=pounds), pounds, unit)
    assert doubts(boned(2 * weights[0], count=count, pounds=pounds), pounds, unit)
    assert doubts(boned(count=count, pounds=2.2046 * pounds), pounds, unit)
    assert math.isclose(sum(each.share for each in BONED), 0.99)
