"""What `breakplan why` prints, its JSON, and what it says to a wrong piece."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from planner.ask.break_even import BreakEven
from planner.ask.marginal_values import LimitStep, LimitWorth, limits_of
from planner.ask.why import PieceWhy, Shift, WayWhy, Why, why
from planner.show.why import why_data, why_text
from planner.solve import Options
from tests.planning import plan_of, read


@pytest.fixture
def plan(shop):
    return plan_of(shop.week)


def shown(plan, *ways, limits=()):
    piece = PieceWhy("shoulder", {"boneless roast": 4, "trim": 0}, ways)
    return why_text(Why(plan, (piece,), limits))


EVEN = BreakEven("shoulder roast", 17.49, 20.25, True, 1.0)
TRIM = WayWhy("shoulder", "trim", 0, True, True, 4.25, 5.5, break_even=EVEN)


@pytest.mark.parametrize(
    ("way", "words"),
    [
        (TRIM, "trim - $4.25 to $5.50 $20.25/lb $17.49/lb left whole"),
        (replace(TRIM, most=4.25), "trim - $4.25 $20.25/lb $17.49/lb left whole"),
        (replace(TRIM, least=0.0, most=0.9), "trim - under $1.00 $20.25/lb"),
        (replace(TRIM, most=float("inf")), "trim - at least $4.25 $20.25/lb"),
        (
            replace(TRIM, possible=False),
            "trim - cannot be - - rail, bench, rule or order",
        ),
        (WayWhy("shoulder", "trim", 0, asked=False), "trim - not asked - - out of time"),
        (replace(TRIM, break_even=None), "trim - $4.25 to $5.50 - - left whole"),
        (replace(TRIM, break_even=replace(EVEN, price=None)), "$5.50 no price $17.49/lb"),
        (replace(TRIM, break_even=replace(EVEN, proven=False)), "about $20.25/lb $17.49/lb"),
        (
            replace(TRIM, break_even=replace(EVEN, price=None, proven=False)),
            "$5.50 perhaps none $17.49/lb",
        ),
        (
            replace(
                TRIM,
                used=1,
                instead=(
                    Shift("leg: whole", 3, 1),
                    Shift("leg: boned", 0, 2),
                    Shift("shoulder: boneless roast", 4, 3),
                ),
            ),
            "trim 1 $4.25 to $5.50 $20.25/lb $17.49/lb boneless roast, 2 leg: whole",
        ),
    ],
)
def test_a_way_in_words(plan, way, words):
    text = " ".join(shown(plan, way).split())
    assert words in text
    assert "SHOULDER: boneless roast 4 one more" in text


def test_how_far_the_proof_came_is_said(plan):
    def told(*ways):
        return " ".join(shown(plan, *ways).split())

    loose = replace(TRIM, break_even=replace(EVEN, proven=False, within=3.4))
    endless = replace(TRIM, break_even=replace(EVEN, proven=False, within=float("inf")))
    assert "known within $1.00 of score." in told(TRIM)
    assert "only" not in told(TRIM)
    assert "`about` and `perhaps none` are known within $3.40 only." in told(TRIM, loose)
    assert "known within $1.00 of score." in told(TRIM, loose)
    assert "above and below. `about`" in told(loose)
    assert "`about` and `perhaps none` are not settled." in told(endless)


def test_limits_in_words(plan):
    limits = (
        LimitWorth(LimitStep("bench", "fri", "10"), 2.0, 2.5),
        LimitWorth(LimitStep("want", "leg roast", "1"), 3.0, 4.0),
        LimitWorth(LimitStep("want", "shoulder roast", "1 lb"), 3.5, 4.0),
        LimitWorth(LimitStep("keeps", "trim 85", "1 day"), 1.5, 1.5),
        LimitWorth(LimitStep("keeps", "trim 70", "1 day"), 0.0, 0.4),
    )
    text = shown(plan, limits=limits)
    lines = [" ".join(line.split()) for line in text.splitlines()]
    assert "10 more minutes of bench on fri $2.00 to $2.50" in lines
    assert "1 more leg roast wanted $3.00 to $4.00" in lines
    assert "1 lb more shoulder roast wanted $3.50 to $4.00" in lines
    assert "trim 85 kept a day longer $1.50" in lines
    assert "1 other limit tried in the same way is worth less than $1.00." in lines
    assert "trim 70" not in text


def test_long_names_stay_inside_the_width(plan):
    long = "a very long name of a way that somebody wrote without thinking of the block at six"
    way = replace(TRIM, way=long, instead=tuple(Shift(f"{long} {n}", 2, 1) for n in range(9)))
    piece = PieceWhy(long, {long: 3, "x": 1}, (way,))
    text = why_text(Why(plan, (piece,), (LimitWorth(LimitStep("want", long, "1 lb"), 3.0, 4.0),)))
    assert max(map(len, text.splitlines())) <= 100


def test_the_json_has_the_plan_and_every_answer(shop):
    scenario = read(shop.week)
    answer = why(scenario)
    data = json.loads(json.dumps(why_data(answer)))
    assert data["format"] == "breakplan/1"
    assert data["plan"]["score"] == pytest.approx(answer.plan.score)
    assert [each["piece"] for each in data["pieces"]] == ["carcass", "shoulder", "leg"]
    shoulder = data["pieces"][1]
    assert set(shoulder["used"]) == {"boneless roast", "trim"}
    (other,) = shoulder["others"]
    assert set(other) == {
        "way", "used", "asked", "possible", "costs", "instead", "sales", "break even",
    }  # fmt: skip
    assert set(other["costs"]) == {"least", "most"}
    kinds = {each["limit"] for each in data["limits"]}
    assert kinds == {"bench", "want", "keeps"}
    unknown = WayWhy("shoulder", "trim", 0, True, True, 1.0, float("inf"))
    endless = Why(answer.plan, (PieceWhy("shoulder", {}, (unknown,)),), ())
    assert why_data(endless)["pieces"][0]["others"][0]["costs"]["most"] is None


def test_prices_of_the_json_are_in_the_unit_of_the_shop(shop):
    shop.spoil("scenario", ("unit: lb", "unit: kg"))
    scenario = read(shop.week)
    piece = PieceWhy("shoulder", {}, (TRIM,))
    answer = Why(plan_of(shop.week), (piece,), ())
    data = why_data(answer)["pieces"][0]["others"][0]["break even"]
    assert scenario.unit == "kg"
    assert data["price"] == pytest.approx(20.25 / 0.45359237)  # the exact pound of 1959


@pytest.mark.parametrize(
    ("piece", "told"),
    [
        ("sholder", 'PIECE: no piece called "sholder" in goat; did you mean "shoulder"?'),
        ("shoulder roast", "PIECE: shoulder roast is a cut, not a piece; it comes from shoulder"),
        ("", 'PIECE: no piece called "" in goat'),
    ],
)
def test_a_wrong_piece_is_told(breakplan, shop, piece, told):
    ran = breakplan("why", shop.week, piece)
    assert (ran.code, ran.err) == (2, told)


def test_a_piece_that_nothing_on_the_rail_has_is_told(breakplan, shop):
    shop.spoil(
        "scenario",
        ("  - {goat: 3 head at 40 lb, arrives: mon, cost: 5.10/lb}\n", ""),
        ("  - {goat: up to 2 head at 42 lb, arrives: wed, cost: 6.95/lb}\n", ""),
    )
    ran = breakplan("why", shop.week, "shoulder")
    assert ran.code == 2
    assert "PIECE: no shoulder comes from what is on the rail" in ran.err


def test_the_piece_alone_is_answered_without_limits(breakplan, shop):
    ran = breakplan("why", shop.week, "shoulder")
    assert ran.code == 0
    assert "SHOULDER: " in ran.out
    assert "LEG: " not in ran.out
    assert "WHAT ONE MORE UNIT" not in ran.out


def test_what_had_no_turn_is_said(plan):
    piece = PieceWhy("shoulder", {"boneless roast": 4, "trim": 0}, (TRIM,))
    told = " ".join(why_text(Why(plan, (piece,), (), 7)).split())
    assert "7 limits not tried for lack of time; --seconds gives more." in told


def test_the_dearest_limits_come_first(plan):
    limits = tuple(LimitWorth(LimitStep("want", name, "1"), least, 9.0) for name, least in NAMED)
    lines = shown(plan, limits=limits).split("WHAT ONE MORE")[1].splitlines()
    wanted = [line.split()[2] for line in lines if line.endswith("to $9.00")]
    assert wanted == ["b", "c", "a"]


NAMED = (("a", 1.0), ("b", 8.0), ("c", 3.0))


def test_the_time_is_for_all_of_it(shop):
    """With next to none, the plan is told and the questions are not asked; nothing is made up."""
    answer = why(read(shop.week), options=Options(seconds=0.1), count=None)
    ways = [way for piece in answer.pieces for way in piece.others]
    late = [way for way in ways if not way.asked]
    assert answer.unasked + len(answer.limits) == len(limits_of(answer.plan.scenario))
    for way in late:
        assert (way.least, way.most, way.break_even) == (0.0, 0.0, None)


def test_what_keeps_longer_is_not_allowed_by_being_reckoned(breakplan, shop, plan, tmp_path):
    """Wherever a longer shelf life is spoken of, it is said who has to allow it; else not."""
    said = "is for your HACCP plan, your inspector and the local code to say."
    longer = (LimitWorth(LimitStep("keeps", "trim 85", "1 day"), 1.5, 1.5),)
    assert said in " ".join(shown(plan, limits=longer).split())
    assert said not in " ".join(shown(plan, TRIM).split())
    ideas = tmp_path / "ideas.yaml"
    for kind, change in (("keeps", "leg: +1 day"), ("bench", "fri: +10")):
        ideas.write_text(f"one:\n  {kind}: {{{change}}}\n")
        for words in ((f"--{kind}", change), ("--changes", ideas)):
            told = " ".join(breakplan("whatif", shop.week, *words).out.split())
            assert (said in told) is (kind == "keeps")
