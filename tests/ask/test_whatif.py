"""What if: the difference against cold solves, what must hold of it, and what is printed."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
import typer
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from planner.ask.comparison import Comparer
from planner.ask.plan_difference import PlanDifference
from planner.ask.whatif import WhatIf, compare, whatif
from planner.commands import whatif as command
from planner.core.errors import BreakplanError, InputError, RulesConflictError
from planner.core.plan_lines import BenchDay
from planner.core.scenario import Scenario
from planner.files.changes import Alternative, Change, read_changes
from planner.show.alternatives import comparison_text
from planner.show.difference import earned, earned_range, sentence
from planner.show.whatif import whatif_text
from planner.solve import Options, Search
from planner.solve.plan import Plan
from tests.outside import hand_worked
from tests.planning import TIGHT, read
from tests.solve.test_properties import SHOPS as RELATED
from tests.solve.test_properties import TIES, plan_or_none

SHOPS = settings(RELATED, max_examples=50)

APP = typer.Typer(rich_markup_mode=None, pretty_exceptions_enable=False)
APP.command(epilog=command.EXAMPLE)(command.whatif)
APP.callback()(lambda: None)


def run(*words: str | Path) -> tuple[int, str, str]:
    """Exit code, standard output, and what is told on standard error."""
    result = CliRunner().invoke(APP, ["whatif", *map(str, words)])
    if isinstance(result.exception, BreakplanError):
        return result.exception.exit_code, result.stdout, str(result.exception)
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


@st.composite
def changed(draw, scenario: Scenario) -> Scenario:
    """The scenario with one change of a kind that it has something for."""
    step = draw(st.sampled_from(["+10%", "-25%", "+60%"]))
    recipe = scenario.recipes[0]
    piece, way = draw(st.sampled_from(list(recipe.ways())))
    verb = draw(st.sampled_from(["all", "never", "at least 1", "at most 1"]))
    choices = [Change("rule", f"{verb} {piece.name}: {way.name}")]
    choices += [Change("rule", f"lift {rule}") for rule in scenario.rules[:1]]
    priced = [each for each in scenario.demand.values() if each.price]
    choices += [Change("price", f"{each.cut}: {step}") for each in priced[:1]]
    choices += [Change("want", f"{each.cut}: {step}") for each in priced if sum(each.want)]
    choices += [Change("bench", f"all: {step}")] if scenario.bench else []
    choices += [Change("keeps", f"{piece.name}: {draw(st.integers(1, 5))} days")]
    choices += [Change("drop-order", order.buyer) for order in scenario.orders[:1]]
    lot = scenario.lots[0]
    day = scenario.day_labels[lot.arrives]
    name = recipe.species if lot.piece in recipe.roots else lot.piece
    choices += [Change("head", f"{name} {day}: +1 head")]
    try:
        return read_changes(scenario, [draw(st.sampled_from(choices))])
    except InputError:  # two lots of the same on one day
        assume(False)
        raise


# ---- the difference ----


@settings(SHOPS)
@given(st.data())
def test_what_is_proven_holds_for_two_cold_solves(corpus, data):
    shop = data.draw(st.sampled_from(corpus))
    scenario, before = shop.scenario, shop.plan
    other = data.draw(changed(scenario))
    after = plan_or_none(other)
    if before is None or after is None:
        with pytest.raises(RulesConflictError) as raised:
            whatif(Comparer(scenario), other)
        assert str(raised.value).startswith("before anything is changed") == (before is None)
        return
    answer = whatif(Comparer(scenario), other)
    slack = TIES + 2 * TIGHT.amount
    assert answer.least - slack <= after.score - before.score <= answer.most + slack
    assert answer.settled
    assert answer.most - answer.least <= max(1, abs(answer.least + answer.most) / 10) + 1e-9
    assert max(map(len, whatif_text(answer).splitlines())) <= 100


def all_filled(answer: WhatIf) -> bool:
    return not answer.beside.before.short and not answer.beside.after.short


def asked(scenario: Scenario, other: Scenario) -> WhatIf:
    """The answer where both can be planned and fill all orders: orders come first."""
    try:
        answer = whatif(Comparer(scenario), other)
    except RulesConflictError:
        assume(False)
        raise
    assume(all_filled(answer))
    return answer


@settings(SHOPS, max_examples=25)
@given(st.data())
def test_a_rule_lifted_never_costs(corpus, data):
    scenario = data.draw(st.sampled_from(corpus)).scenario
    assume(scenario.rules)
    number = data.draw(st.integers(0, len(scenario.rules) - 1))
    rules = scenario.rules[:number] + scenario.rules[number + 1 :]
    assert asked(scenario, replace(scenario, rules=rules)).most >= -TIES


@settings(SHOPS, max_examples=25)
@given(st.data(), st.integers(1, 60))
def test_more_bench_never_costs(corpus, data, minutes):
    scenario = data.draw(st.sampled_from(corpus)).scenario
    assume(scenario.bench)
    assert scenario.bench is not None
    bench = tuple(each + minutes for each in scenario.bench)
    assert asked(scenario, replace(scenario, bench=bench)).most >= -TIES


@settings(SHOPS, max_examples=25)
@given(st.data())
def test_a_dearer_price_never_costs(corpus, data):
    scenario = data.draw(st.sampled_from(corpus)).scenario
    priced = [each.cut for each in scenario.demand.values() if each.price]
    change = Change("price", f"{data.draw(st.sampled_from(priced))}: +30%")
    assert asked(scenario, read_changes(scenario, [change])).most >= -TIES


@settings(SHOPS, max_examples=25)
@given(st.data())
def test_more_head_for_nothing_never_costs_where_disposal_is_free(corpus, data):
    scenario = replace(data.draw(st.sampled_from(corpus)).scenario, disposal=0.0)
    scenario = replace(scenario, lots=tuple(replace(lot, cost=0.0) for lot in scenario.lots))
    at = data.draw(st.integers(0, len(scenario.lots) - 1))
    lots = [replace(lot, count=lot.count + 1) if lot.index == at else lot for lot in scenario.lots]
    assert asked(scenario, replace(scenario, lots=tuple(lots))).most >= -TIES


# ---- small shops worked by hand ----


@pytest.fixture
def block(tmp_path):
    return hand_worked.write(tmp_path, hand_worked.BLOCK_RECIPE, hand_worked.BLOCK)


@pytest.fixture
def sides(tmp_path):
    return hand_worked.write(tmp_path, hand_worked.SIDES_RECIPE, hand_worked.SIDES)


def test_the_whole_text_of_a_shop_worked_by_hand(block):
    # 171 and 25 minutes before. No shoulder ground: one roast (8 lb at 10), 12 lb trim with 0.8 fat
    # is 12.8 lb ground at 6, 21.4 minutes: 80 + 76.8 - 1.4 = 155.4; the 5 lb of trim are ground.
    assert run(block, "--rule", "never shoulder: grind") == (0, BLOCK_TEXT, "")


BLOCK_TEXT = """\
An invented block

rule: never shoulder: grind

With "never shoulder: grind" the day earns $15.60 less, takes 4 fewer minutes of bench time and
leaves 5.0 lb less trim over.

This is proven: no plan beats either of the two. What else differs may in part be chance: other
plans may earn as much.

WAYS
  shoulder  grind                1 -> 0
  shoulder  left whole, in date  0 -> 1

CUTS (lb)
                       made  sold, ground      wasted      left         $
  trim 80      21.0 -> 12.0  16.0 -> 12.0           -  5.0 -> -         -
  fat            5.0 -> 4.0      - -> 0.8  5.0 -> 3.2         -         -
  ground lamb  16.0 -> 12.8  16.0 -> 12.8           -         -  96 -> 77

TOTALS
                              today  changed
  trim made                 21.0 lb  12.0 lb  -9.0 lb
  trim not sold or ground    5.0 lb   0.0 lb  -5.0 lb
  fat made                   5.0 lb   4.0 lb  -1.0 lb
  fat not sold or ground     5.0 lb   3.2 lb  -1.8 lb
  bones made                 5.2 lb   5.2 lb        -
  bones not sold or ground   5.2 lb   5.2 lb        -
  bench time                 25 min   21 min   -4 min
  overtime                    5 min    1 min   -4 min
  revenue                   $176.00  $156.80  -$19.20
  overtime pay               -$5.00   -$1.40   +$3.60
  SCORE                     $171.00  $155.40  -$15.60
"""


def the_sentence(out: str) -> str:
    return " ".join(next(each for each in out.split("\n\n") if each.startswith("With ")).split())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        # 16 lb of ground lamb at 2 more: nothing else could earn as much
        (
            ["--price", "ground lamb: 8/lb"],
            'With price "ground lamb: 8/lb" the day earns $32.00 more '
            "and takes as much bench time.",
        ),
        # the grind is wanted no more: both shoulders are kept whole or roasted. One roast, 15
        # minutes: 80. All trim of the carcass, 12 lb, lies over: 7 more than the 5 of before
        (
            ["--want", "ground lamb: 0 lb"],
            'With want "ground lamb: 0 lb" the day earns $91.00 less, takes 10 fewer minutes of '
            "bench time and leaves 7.0 lb more trim that no grind takes.",
        ),
        # without grinding shoulders 80 + 12.8 x 8 - 1.4 = 181, after 171
        (
            ["--rule", "never shoulder: grind", "--price", "ground lamb: 8/lb"],
            'With "never shoulder: grind" and price "ground lamb: 8/lb" the day earns $10.00 more, '
            "takes 4 fewer minutes of bench time and leaves 5.0 lb less trim over.",
        ),
        # 16 lb at 5 cents more
        (
            ["--price", "ground lamb: 6.05/lb"],
            'With price "ground lamb: 6.05/lb" there is no difference worth mentioning: the day '
            "earns $0.80 more and takes as much bench time.",
        ),
    ],
)
def test_one_sentence_for_gains_and_losses_worked_by_hand(block, words, told):
    code, out, err = run(block, *words)
    assert (code, err) == (0, "")
    assert the_sentence(out) == told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        # worked out beside the shop: 110 before, 150.5 after, 16 and 10 minutes
        (
            ["--rule", "at most 1 side: rack"],
            'With "at most 1 side: rack" the inn goes 1 rack short on tue; the week, since '
            "the orders are filled differently, earns $40.50 more and takes 6 fewer minutes of "
            "bench time.",
        ),
        # 92 from the first side, and two sides kept whole at 50% of 128 less 40 each: 92 + 48
        (
            ["--drop-order", "the inn"],
            'With orders of "the inn" dropped the week earns $30.00 more and takes 12 fewer '
            "minutes of bench time.",
        ),
    ],
)
def test_orders_come_first_in_the_sentence(sides, words, told):
    code, out, err = run(sides, *words)
    assert (code, err) == (0, "")
    assert the_sentence(out) == told


def test_an_order_that_is_filled_again(sides):
    ruled = sides.read_text() + "rules:\n  - at most 1 side: rack\n"
    sides.write_text(ruled)
    _, out, _ = run(sides, "--rule", "lift at most 1 side: rack")
    assert "  tue  the inn: 2 rack - SHORT 1 -> filled" in out.splitlines()
    assert the_sentence(out) == (
        'With "lift at most 1 side: rack" the inn gets all of the 2 rack on tue; the week, since '
        "the orders are filled differently, earns $40.50 less and takes 6 more minutes of bench "
        "time."
    )


def test_what_changes_nothing_is_said_and_not_solved_twice(sides, monkeypatch):
    solved = []
    solution = Search.solution
    monkeypatch.setattr(Search, "solution", lambda *how: solved.append(how) or solution(*how))
    rule = "at most 1 side: rack"
    code, out, _ = run(sides, "--rule", rule, "--rule", f"lift {rule}")
    assert code == 0
    assert out.splitlines()[-1] == (
        '"at most 1 side: rack" and "lift at most 1 side: rack" change nothing: it is so already.'
    )
    assert len(solved) == 1


def test_dearer_head_on_the_rail_is_told_beside_the_score(sides):
    sides.write_text(sides.read_text().replace("keeps: 1 day}", "keeps: 1 day, cost: 3/lb}"))
    _, out, _ = run(sides, "--head", "side mon: 2")
    paid = next(line for line in out.splitlines() if "paid for head" in line)
    assert paid.split()[-3:] == ["$60.00", "$120.00", "+$60.00"]
    assert "before paying $60.00 more for head: $" in the_sentence(out)
    assert net_of(the_sentence(out)) == -60.0


def net_of(said: str) -> float:
    """What is told in all, less what is told of the score."""
    found = re.search(
        r"earns \$([0-9.]+) (more|less) before paying .* for head: \$([0-9.]+) (more|less) in all",
        said,
    )
    assert found
    score, net = (float(found[at]) * (1 if found[at + 1] == "more" else -1) for at in (1, 3))
    return net - score


def paying(plan: Plan, money: float) -> Plan:
    """The plan with head on the rail that cost so much in all."""
    (lot,) = plan.scenario.lots
    lots = (replace(lot, cost=money / lot.count / lot.weight),)
    return replace(plan, scenario=replace(plan.scenario, lots=lots))


def test_the_net_of_head_is_told_as_an_interval(answer):
    before, after = (paying(answer.beside.before, money) for money in (823.6, 411.8))
    beside = replace(answer.beside, before=before, after=after)
    less = replace(answer, least=-365.63, most=-365.63, beside=beside)
    told = "earns $365.63 less before paying $411.80 less for head: $46.17 more in all"
    assert told in sentence(less)
    wide = replace(answer, least=-420.0, most=-400.0, beside=beside)
    assert "for head: between $9 less and $12 more in all" in sentence(wide)


def test_what_is_not_settled_is_not_called_proven(answer):
    after = replace(answer.beside.after, bound=answer.beside.after.score + 30)
    open_ = replace(answer, settled=False, beside=replace(answer.beside, after=after))
    said = " ".join(whatif_text(open_).split())
    assert "proven" not in said
    assert "Known so far: today's plan is within $0.00 of the best possible, the changed" in said
    assert "This is proven: today's" in " ".join(whatif_text(replace(open_, settled=True)).split())


def test_totals_of_nothing_have_no_headings(answer):
    plan = replace(
        answer.beside.after, cuts=(), bench=(), revenue=0.0, overtime=0.0, buying=0.0, disposal=0.0,
        carry=0.0,
    )  # fmt: skip
    beside = PlanDifference(replace(plan), plan)
    assert "TOTALS" in whatif_text(answer)
    assert "TOTALS" not in whatif_text(replace(answer, beside=beside))


def test_json_has_the_difference_and_both_plans(sides):
    code, out, _ = run(sides, "--rule", "at most 1 side: rack", "--json")
    data = json.loads(out)
    assert code == 0
    assert data["format"] == "breakplan/1"
    assert data["changes"] == [{"kind": "rule", "text": "at most 1 side: rack"}]
    least, most = (data["difference"].pop(each) for each in ("least", "most"))
    assert least == pytest.approx(40.5, abs=0.05)
    assert most == pytest.approx(40.5, abs=0.05)
    assert data["difference"] == {"settled": True, "verdict": "more"}
    assert (data["before"]["score"], data["after"]["score"]) == (110.0, 150.5)
    assert data["minutes"] == {"before": 16.0, "after": 10.0}
    assert data["ways"] == [
        {"species": "goat", "piece": "side", "way": "rack", "before": 2, "after": 1}
    ]
    assert data["whole"] == [
        {"species": "goat", "piece": "side", "state": "left", "before": 0, "after": 1}
    ]
    assert data["orders"] == [
        {"day": "tue", "cut": "rack", "for": "the inn", "ordered": 2.0}
        | {"short": {"before": 0.0, "after": 1.0}}
    ]
    assert [each["cut"] for each in data["cuts"]] == ["rack", "stew", "bones"]
    stew = data["cuts"][1]
    assert stew["made"] == {"before": 36.0, "after": 26.0}
    assert stew["wasted"] == {"before": 18.0, "after": 8.0}
    assert [each["day"] for each in data["bench"]] == ["mon", "tue"]
    assert data["bench"][1]["minutes"] == {"before": 12.0, "after": 6.0}
    assert data["sentence"].startswith('With "at most 1 side: rack" the inn goes 1 rack short')


def test_weights_of_the_json_are_in_the_unit_of_the_shop(block):
    block.write_text(block.read_text().replace("starts:", "unit: kg\nstarts:"))
    data = json.loads(run(block, "--rule", "never shoulder: grind", "--json")[1])
    kilo = 0.45359237
    assert data["kinds"][0]["over"]["before"] == pytest.approx(5 * kilo)
    assert data["cuts"][0]["made"]["after"] == pytest.approx(12 * kilo)


# ---- alternatives ----


def test_alternatives_by_what_they_earn_and_one_that_cannot_be_kept(block, tmp_path):
    path = tmp_path / "set.yaml"
    path.write_text(
        "no grinding of shoulders: {rules: [never shoulder: grind]}\n"
        "too many: {rules: [at least 3 shoulder: grind]}\n"
        "dearer: {prices: {ground lamb: 8/lb}}\n"
        "as it is: {bench: {mon: 20}}\n"
    )
    code, out, err = run(block, "--changes", path)
    assert (code, err) == (0, "")
    assert out == ALTERNATIVES


ALTERNATIVES = """\
An invented block

                                      earns   bench  trim over  orders short
  today                       score $171.00  25 min     5.0 lb             -
  dearer                            +$32.00  25 min     5.0 lb             -
  as it is                  changes nothing  25 min     5.0 lb             -
  no grinding of shoulders          -$15.60  21 min     0.0 lb             -

dearer: With price "ground lamb: 8/lb" the day earns $32.00 more and takes as much bench time.

as it is: "mon: 20" changes nothing: it is so already.

no grinding of shoulders: With "never shoulder: grind" the day earns $15.60 less, takes 4 fewer
minutes of bench time and leaves 5.0 lb less trim over.

too many: cannot be kept: at least 3 shoulder: grind (rule)
"""


def test_alternatives_in_json(block, tmp_path):
    path = tmp_path / "set.yaml"
    path.write_text(
        "too many: {rules: [at least 3 shoulder: grind]}\ndearer: {prices: {ground lamb: 8/lb}}\n"
    )
    code, out, _ = run(block, "--changes", path, "--json")
    data = json.loads(out)
    assert code == 0
    assert data["before"]["score"] == pytest.approx(171)
    dearer, many = data["alternatives"]
    assert (dearer["name"], many["name"]) == ("dearer", "too many")
    assert dearer["after"]["score"] == pytest.approx(203)
    assert "before" not in dearer
    assert many["conflict"] == ["at least 3 shoulder: grind (rule)"]
    assert many["cannot"].startswith("this cannot be kept:")


def test_none_of_the_alternatives_can_be_kept(block, tmp_path):
    path = tmp_path / "set.yaml"
    path.write_text("too many: {rules: [at least 3 shoulder: grind]}\n")
    code, out, err = run(block, "--changes", path)
    assert (code, err) == (3, "")
    assert "too many: cannot be kept: at least 3 shoulder: grind (rule)" in out


def test_all_alternatives_stand_beside_the_same_plan_of_today(shop):
    scenario = read(shop.week)
    changes = [Change("price", f"bones: +{share}%") for share in (5, 10, 20)]
    changes.append(Change("head", "goat mon: 4 head"))
    comparison = compare(
        Comparer(scenario, Options(share=0.05, amount=20.0)),
        [Alternative(each.text, (each,), read_changes(scenario, [each])) for each in changes],
    )
    answers = [row.answer for row in comparison.rows]
    assert all(answer.beside.before is comparison.today for answer in answers if answer)
    assert all(answer and answer.settled for answer in answers)
    nets = [answer.net for answer in answers if answer]
    assert nets == sorted(nets, reverse=True)


# ---- the words of an answer ----


@pytest.fixture
def answer(block):
    scenario = read(block)
    change = Change("rule", "never shoulder: grind")
    return whatif(Comparer(scenario), read_changes(scenario, [change]), [change])


@pytest.mark.parametrize(
    ("least", "most", "settled", "told", "short"),
    [
        (-43.0, -41.0, True, "$41 to $43 less", "-$43 to -$41"),
        (41.9, 42.95, True, "$41 to $43 more", "+$41 to +$43"),  # rounded outwards
        (1234.2, 1301.0, True, "$1,234 to $1,301 more", "+$1,234 to +$1,301"),
        (41.231, 41.869, True, "$41.23 to $41.87 more", "+$41.23 to +$41.87"),
        (-0.4, 0.31, True, "between $0.40 less and $0.31 more", "-$0.40 to +$0.31"),
        (0.0, 0.5, True, "nothing to $0.50 more", "$0.00 to +$0.50"),
        (-0.5, 0.0, True, "nothing to $0.50 less", "-$0.50 to $0.00"),
        (0.0, 0.0, True, "the same", "$0.00"),
        (-12.0, -12.0, True, "$12.00 less", "-$12.00"),
        (
            -3.2, 28.0, False, "between $4 less and $28 more (not settled in 60 s a plan)",
            "-$4 to +$28, open",
        ),
        (
            20.0, 60.0, False, "$20 to $60 more (not settled in 60 s a plan)",
            "+$20 to +$60, open",
        ),
    ],
)  # fmt: skip
def test_the_interval_in_words(answer, least, most, settled, told, short):
    given_ = replace(answer, least=least, most=most, settled=settled)
    assert earned(given_) == told
    assert earned_range(given_) == short


@pytest.mark.parametrize(
    ("least", "most", "settled", "verdict"),
    [
        (0.3, 0.9, True, "no difference"),
        (-0.9, -0.3, True, "no difference"),
        (-0.5, 0.5, True, "no difference"),
        (-0.99, 0.99, False, "no difference"),
        (-0.1, 1.0, False, "open"),
        (0.5, 1.2, True, "more"),
        (-1.2, -0.5, True, "less"),
        (10.0, 90.0, False, "more"),
        (0.0, 2.0, False, "open"),
    ],
)
def test_what_can_be_said_of_the_money(answer, least, most, settled, verdict):
    assert replace(answer, least=least, most=most, settled=settled).verdict == verdict


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        (10.0, 10.3, "takes as much bench time"),
        (10.0, 11.0, "takes 1 more minute of bench time"),
        (10.0, 48.2, "takes 38 more minutes of bench time"),
        (11.0, 10.0, "takes 1 fewer minute of bench time"),
    ],
)
def test_minutes_in_words(answer, before, after, told):
    plans = [
        replace(answer.beside.before, bench=(BenchDay(0, minutes, None, 0.0),))
        for minutes in (before, after)
    ]
    beside = PlanDifference(*plans)
    assert told in sentence(replace(answer, beside=beside))


def test_a_search_cut_short_is_not_called_settled(block):
    late = replace(read(block), title="late")
    comparer = Comparer(late)
    plan = comparer.plan()
    unsure = replace(plan, orders_proven=False)
    comparer = Comparer(late, shown=lambda: unsure)
    comparer.plan = lambda *how: plan  # type: ignore[method-assign]
    changed = read_changes(late, [Change("price", "ground lamb: 8/lb")])
    found = whatif(comparer, changed)
    assert not found.settled
    assert "Whether more of the orders could be filled was not settled" in " ".join(
        whatif_text(found).split()
    )


def test_long_names_stay_inside_the_width(shop):
    long = "bone-in shoulder with the hock and jowl and a lot of neck"
    shop.spoil("recipe", ("  shoulder roast: {kind", f"  {long}: {{kind"),
               ("gives: {shoulder roast: 70%", f"gives: {{{long}: 70%"))  # fmt: skip
    text = shop.week.read_text().replace("  shoulder roast:", f"  {long}:")
    buyer = "the corner bistro of the invented old family of the square"
    shop.week.write_text(text.replace("the corner bistro", buyer).replace("12.99", "9912.99"))
    scenario = read(shop.week)
    changes = [
        Change("drop-order", buyer),
        Change("price", f"{long}: +50%"),
        Change("head", "goat mon: 40 head"),
    ]
    alternatives = [
        Alternative(f"{change.text} {long}"[:60], (change,), read_changes(scenario, [change]))
        for change in changes
    ]
    comparison = compare(Comparer(scenario), alternatives)
    texts = [comparison_text(comparison)]
    texts += [whatif_text(row.answer) for row in comparison.rows if row.answer]
    assert len(texts) == 4
    assert max(len(line) for text in texts for line in text.splitlines()) <= 100


# ---- what is wrong ----


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (
            [], 2,
            'whatif: no change is named; write one, such as --rule "all shoulder: boneless roast"',
        ),
        (
            ["--rule", "never shoulder: grind", "--changes", "set.yaml"], 2,
            "--changes: is a set of its own: write --rule into it, or leave it out",
        ),
        (
            ["--rule", "never shoulder: grinding"], 2,
            '--rule: no way called "grinding" to cut a shoulder; did you mean "grind"? '
            "(roast, grind)",
        ),
        (["--changes", "nowhere.yaml"], 2, "nowhere.yaml: no such file"),
        (
            ["--rule", "at least 3 shoulder: grind"], 3,
            "this cannot be kept:\n  at least 3 shoulder: grind (rule): the rail gives at most 2 "
            "in time",
        ),
    ],
)  # fmt: skip
def test_errors_are_exact(block, words, code, told):
    assert run(block, *words) == (code, "", told)


def test_every_fault_of_the_changes_is_told(block):
    code, _, err = run(block, "--rule", "never shin: grind", "--price", "roast: dear")
    assert code == 2
    assert {line.split(":")[0] for line in err.splitlines()} == {"--rule", "--price"}


def test_rules_that_clash_before_any_change_are_told_so(block):
    block.write_text(block.read_text() + "rules:\n  - at least 3 shoulder: grind\n")
    code, _, err = run(block, "--price", "roast: 11/lb")
    assert code == 3
    assert err.startswith("before anything is changed, this cannot be kept:\n  at least 3")


def test_the_tolerance_is_read_as_for_the_week(block):
    code, _, err = run(block, "--rule", "never shoulder: grind", "--within", "little")
    assert code == 2
    assert "--within" in err


def test_help_names_every_kind_of_change():
    code, out, _ = run("--help")
    assert code == 0
    for option in ("rule", "price", "want", "head", "bench", "keeps", "drop-order", "changes"):
        assert f"--{option} " in out
    assert "Example: breakplan whatif " in out
