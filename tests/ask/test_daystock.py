"""The stock of a day part by part, against the plan's totals, the trim balance and another replay.

`random_week` makes plans that no solver had a say in: pieces are cut, ground and sold at random, so
that all turns come up that a good plan avoids. The other tests about the morning use them too.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.ask.trim_flow import flows
from planner.core.plan_lines import Batch, Break, Sale
from planner.core.scenario import WALK_IN, Demand, Lot, Order, Scenario
from planner.core.stock_replay import DayStock, StockPortion, Use, total
from planner.solve import Solution
from planner.solve.plan import Plan, make_plan
from tests.outside.shelf import Shelf
from tests.outside.shops import mixed_shops, shops
from tests.planning import read, shipped_plan
from tests.solve.test_properties import SHOPS, plan_or_none, scenario_of

SHIPPED = Path(__file__).resolve().parent.parent.parent / "scenarios"
NEAR = 1e-4  # pounds: what the solver leaves, over a week

LEAST = 0.05
"""Pounds of which nobody makes anything."""

# ---- weeks at random ----


@cache
def block() -> Scenario:
    """The shipped week of three species: recipes and blends to draw weeks from."""
    return read(SHIPPED / "whole-animal.yaml")


SEEDS = st.integers(0, 2**40)


def random_week(seed: int, apart: bool = False) -> Plan:
    """A plan in which everything is done at random; lots have no root in common where `apart`."""
    luck = Random(seed)
    days = luck.choice([1, 2, 3, 4, 6])
    whole = replace(block(), days=days, bench=None, rules=(), case=(), traffic=(1.0,) * days)
    lots = tuple(_lots(luck, whole, luck.randint(1, 4), apart))
    names = list(whole.cuts)
    demand = {
        name: Demand(name, luck.uniform(1, 30), (0.0,) * days, 0.5, (0.0,) * days) for name in names
    }
    case = tuple(
        replace(stock, cut=name, amount=amount, keeps=luck.randint(1, 6))
        for stock in block().case[:1]
        for name in luck.sample(names, luck.randint(0, 12))
        for amount in [float(luck.randint(1, 5))]
    )
    scenario = replace(whole, lots=lots, demand=demand, case=case, orders=())
    breaks = {key: count for lot in lots for key, count in _cut(luck, scenario, lot).items()}
    return _sold(luck, scenario, breaks)


def _lots(luck: Random, scenario: Scenario, number: int, apart: bool) -> Iterator[Lot]:
    roots = [(recipe, root) for recipe in scenario.recipes for root in recipe.roots]
    luck.shuffle(roots)
    number = min(number, len(roots)) if apart else number
    for index in range(number):
        recipe, root = roots[index % len(roots)] if apart else luck.choice(roots)
        piece = root
        if not apart and luck.random() < 0.2:
            piece = luck.choice(list(recipe.pieces))
        up_to = luck.random() < 0.2
        yield Lot(
            index=index,
            recipe=recipe,
            piece=piece,
            count=luck.randint(1, 5),
            word="",
            weight=luck.uniform(3, 200),
            arrives=luck.randrange(scenario.days),
            keeps=luck.randint(1, 7),
            up_to=up_to,
            cost=1.0 if up_to else 0.0,
        )


def _cut(luck: Random, scenario: Scenario, lot: Lot) -> dict[tuple[int, str, str, int], int]:
    """Breaks of a lot, never of a piece that is not there or out of date."""
    breaks: dict[tuple[int, str, str, int], int] = {}
    there: dict[str, list[list[int]]] = defaultdict(list)  # last day, count
    eager = luck.choice([0.3, 0.6, 0.95])
    for day in range(lot.arrives, scenario.days):
        if day == lot.arrives:
            there[lot.piece].append([day + lot.keeps - 1, lot.count])
        for piece in lot.weights():
            there[piece] = [each for each in there[piece] if each[0] >= day and each[1]]
            for way in lot.recipe.pieces[piece].ways.values():
                here = sum(count for _, count in there[piece])
                count = luck.randint(0, here) if luck.random() < eager else 0
                if not count:
                    continue
                breaks[lot.index, piece, way.name, day] = count
                for out in way.pieces:
                    last = day + lot.recipe.pieces[out.name].keeps - 1
                    there[out.name].append([last, count * out.count])
                for each in sorted(there[piece]):
                    taken = min(each[1], count)
                    count -= taken
                    each[1] -= taken
    return breaks


def _sold(luck: Random, scenario: Scenario, breaks: dict[tuple[int, str, str, int], int]) -> Plan:
    """The plan of some breaks: on every day some of what is there is ground, ordered and sold."""
    shelves: dict[str, list[list[float]]] = {name: [] for name in scenario.cuts}
    for stock in scenario.case:
        shelves[stock.cut].append([stock.keeps - 1, stock.amount])

    def take(name: str, most: float) -> float:
        """At random; by each in whole numbers. Mostly nothing, or all there is."""
        here = sum(amount for _, amount in shelves[name])
        share = luck.choice([0.0, 0.0, 1.0, luck.random()]) * most
        amount = float(int(here * share)) if scenario.cuts[name].by_each else here * share
        amount = amount if amount > LEAST else 0.0
        rest = amount
        for each in sorted(shelves[name], key=lambda each: each[0]):
            part = min(each[1], rest)
            each[1] -= part
            rest -= part
        return amount

    walk_in, marked, blended, orders = {}, {}, {}, []
    weights = [lot.weights() for lot in scenario.lots]
    for day in range(scenario.days):
        for name in shelves:
            shelves[name] = [each for each in shelves[name] if each[0] >= day]
        for (number, piece, way, on), count in breaks.items():
            for out in scenario.lots[number].recipe.pieces[piece].ways[way].cuts:
                cut, pounds = scenario.cuts[out.name], count * weights[number][piece]
                amount = count * out.count if cut.by_each else pounds * out.share
                if on == day:
                    shelves[out.name].append([day + cut.keeps - 1, amount])
        for name, blend in scenario.blends.items():
            takes = {cut: take(cut, 0.5) for cut in blend.takes}
            blended |= {(name, cut, day): pounds for cut, pounds in takes.items()}
            made = sum(takes.values()) * blend.gain
            if made:
                shelves[name].append([day + scenario.cuts[name].keeps - 1, made])
        for name in shelves:
            for buyer in ("the inn", "the school", "the inn"):
                amount = take(name, 0.3)
                if amount:
                    orders.append(Order(len(orders), name, day, amount, 1.0, buyer))
            walk_in[name, day] = take(name, 1.0)
            marked[name, day] = take(name, 1.0)
    ordered = replace(scenario, orders=tuple(orders))
    decided = Solution(
        breaks=breaks,
        bought={lot.index: lot.count for lot in scenario.lots if lot.up_to},
        walk_in=walk_in,
        marked_down=marked,
        filled={each.index: each.amount for each in orders},
        blended=blended,
        batches={},
        objective=0.0,
        bound=0.0,
        status="within tolerance",
        orders_proven=True,
        seconds=0.0,
    )
    return make_plan(ordered, decided)


# ---- what must hold ----


def stock_of(plan: Plan) -> Iterator[DayStock]:
    for day in plan.stock.cuts:
        yield from day.values()


def used(line: DayStock) -> float:
    return total(use.part for use in line.uses)


def near(amount: float) -> float:
    return pytest.approx(amount, rel=1e-6, abs=NEAR)


def what_is_left_is_had_on_the_next_day(plan: Plan) -> None:
    stock = plan.stock.cuts
    assert [set(day) for day in stock] == [set(plan.scenario.cuts)] * plan.scenario.days
    for today, tomorrow in zip(stock, stock[1:], strict=False):
        for cut, line in today.items():
            assert line.left == tomorrow[cut].had
    for cut, line in stock[0].items():
        opening = sum(each.amount for each in plan.scenario.case if each.cut == cut)
        assert total(line.had) == pytest.approx(opening)
        assert all(part.origin is None for part in line.had)


def nothing_is_lost_within_a_day(plan: Plan) -> None:
    for line in stock_of(plan):
        came = total(line.had) + total(line.made)
        assert came == near(used(line) + total(line.gone) + total(line.left))
        assert all(part.amount > 0 for part in (*line.had, *line.made, *line.gone, *line.left))
        assert all(part.last_day <= line.day for part in line.gone)
        assert all(part.last_day > line.day for part in line.left)


def days_add_up_to_the_plan(plan: Plan) -> None:
    stock = plan.stock.cuts
    for line in plan.cuts:
        days = [day[line.cut] for day in stock]
        uses = [use for day in days for use in day.uses]
        sold = sum(use.part.amount for use in uses if isinstance(use.taker, Sale))
        blended = sum(use.part.amount for use in uses if isinstance(use.taker, Batch))
        assert sum(total(day.made) for day in days) == near(line.made)
        assert (sold, blended) == (near(line.sold), near(line.blended))
        assert sum(total(day.gone) for day in days) == near(line.wasted)
        assert total(days[-1].left) == near(line.left)


def takers_get_what_they_take(plan: Plan) -> None:
    """Every sale and every batch of the plan, and nobody else, on its day."""
    stock = plan.stock.cuts
    for line in stock_of(plan):
        for use in line.uses:
            assert (use.day, use.cut) == (line.day, line.cut) and use.taker.day == line.day
    for day, lines in enumerate(stock):
        for sale in (each for each in plan.sales if each.day == day):
            parts = [use.part.amount for use in lines[sale.cut].uses if use.taker is sale]
            assert sum(parts) == near(sale.amount)
        for batch in (each for each in plan.batches if each.day == day):
            for cut, pounds in batch.takes.items():
                parts = [use.part.amount for use in lines[cut].uses if use.taker is batch]
                assert sum(parts) == near(pounds)


def it_agrees_with_the_trim_balance(plan: Plan) -> None:
    stock = plan.stock.cuts
    for flow in flows(plan):
        line = stock[flow.day][flow.cut]
        assert total(line.had) == near(flow.had)
        assert total(line.made) == near(flow.made)
        assert (total(line.gone), total(line.left)) == (near(flow.wasted), near(flow.left))
        sold = [use.part.amount for use in line.uses if isinstance(use.taker, Sale)]
        assert sum(sold) == near(flow.sold)
        into: dict[str, float] = defaultdict(float)
        for use in line.uses:
            if isinstance(use.taker, Batch):
                into[use.taker.blend] += use.part.amount
        assert dict(into) == {
            blend: near(pounds) for blend, pounds in flow.used.items() if blend in into
        }
        assert all(pounds < NEAR for blend, pounds in flow.used.items() if blend not in into)


def it_agrees_with_another_replay(plan: Plan) -> None:
    """`tests.outside.shelf`, given what the recipes say that each break and batch makes."""
    scenario, stock = plan.scenario, plan.stock.cuts
    made: dict[str, list[list[float]]] = defaultdict(list)
    uses: dict[str, dict[int, float]] = defaultdict(lambda: defaultdict(float))
    for each in scenario.case:
        made[each.cut].append([0, each.keeps - 1, each.amount])
    for cut, day, amount in _makes(plan):
        made[cut].append([day, day + scenario.cuts[cut].keeps - 1, amount])
    for sale in plan.sales:
        uses[sale.cut][sale.day] += sale.amount
    for batch in plan.batches:
        for cut, pounds in batch.takes.items():
            uses[cut][batch.day] += pounds
    for cut in scenario.cuts:
        gone = 0.0
        for day in range(scenario.days):
            shelf = Shelf([batch for batch in made[cut] if batch[0] <= day])
            shelf.uses.update({on: amount for on, amount in uses[cut].items() if on <= day})
            short, wasted, left, _ = shelf.age(day + 1)
            line = stock[day][cut]
            assert short == []
            assert total(line.gone) == near(wasted - gone)
            assert total(line.left) == near(left)
            gone = wasted


def _makes(plan: Plan) -> Iterator[tuple[str, int, float]]:
    """Cut, day and amount of all that is made."""
    for each in plan.breaks:
        way = plan.scenario.lots[each.lot].recipe.pieces[each.piece].ways[each.way]
        for out in way.cuts:
            by_each = plan.scenario.cuts[out.name].by_each
            yield (
                out.name,
                each.day,
                (each.count * out.count if by_each else each.weight * out.share),
            )
    for batch in plan.batches:
        gain = plan.scenario.blends[batch.blend].gain
        yield batch.blend, batch.day, sum(batch.takes.values()) * gain


def the_oldest_goes_first(plan: Plan) -> None:
    for line in stock_of(plan):
        last_days = [use.part.last_day for use in line.uses]
        assert last_days == sorted(last_days)
        rest = [part.last_day for part in (*line.gone, *line.left)]
        assert not last_days or not rest or last_days[-1] <= min(rest)


def what_is_used_was_made_in_time(plan: Plan) -> None:
    scenario = plan.scenario
    for line in stock_of(plan):
        keeps = scenario.cuts[line.cut].keeps
        for part in (*line.had, *line.made, *line.gone, *line.left, *(u.part for u in line.uses)):
            if part.origin is None:
                assert part.last_day in {c.keeps - 1 for c in scenario.case if c.cut == line.cut}
                continue
            maker = part.origin
            assert part.origin.day == maker.day <= line.day
            assert part.last_day == part.origin.day + keeps - 1
            if isinstance(maker, Break):
                way = scenario.lots[maker.lot].recipe.pieces[maker.piece].ways[maker.way]
                assert line.cut in [out.name for out in way.cuts]
            else:
                assert maker.blend == line.cut
        for use in line.uses:
            assert use.made <= line.day <= use.part.last_day
            assert use.made == (use.part.origin.day if use.part.origin else -1)
            assert use.ordered == (isinstance(use.taker, Sale) and use.taker.to not in WALK_IN)
        assert all(part.origin.day < line.day for part in line.had if part.origin)
        assert all(part.origin and part.origin.day == line.day for part in line.made)


def every_maker_is_used_up(plan: Plan) -> None:
    """What a break or a batch made of a cut went somewhere, and no more than that."""
    made: dict[tuple[str, object], float] = defaultdict(float)
    went: dict[tuple[str, object], float] = defaultdict(float)

    def key(line: DayStock, part: StockPortion) -> tuple[str, object]:
        maker = part.origin if part.origin else None
        return line.cut, maker if isinstance(maker, Break) else id(maker)

    for line in stock_of(plan):
        for part in line.made:
            made[key(line, part)] += part.amount
        last = line.day == plan.scenario.days - 1
        ends = (*line.gone, *(line.left if last else ()), *(use.part for use in line.uses))
        for part in ends:
            if part.origin:
                went[key(line, part)] += part.amount
    assert set(went) <= set(made)
    for each, amount in made.items():
        assert went[each] == near(amount)


def pieces_are_never_fewer_than_none(plan: Plan) -> None:
    """Pieces of a day and of the next, and all of them against the plan's."""
    scenario = plan.scenario
    bought = {each.lot: each.head for each in plan.bought}
    lost: Counter[tuple[int, str]] = Counter()
    for day in range(scenario.days):
        today = plan.stock.pieces[day]
        assert [stock.lot for stock in today] == [lot.index for lot in scenario.lots]
        for lot, stock in zip(scenario.lots, today, strict=True):
            came = (bought.get(lot.index, 0) if lot.up_to else lot.count) * (day == lot.arrives)
            before = plan.stock.pieces[day - 1][lot.index].left if day else {}
            assert +Counter(stock.had) == Counter(before) + Counter({lot.piece: came})
            assert min([0, *stock.had.values(), *stock.gone.values(), *stock.left.values()]) >= 0
            now = Counter(stock.had)
            for each in plan.breaks:
                if (each.day, each.lot) == (day, lot.index):
                    now[each.piece] -= each.count
                    assert now[each.piece] >= 0
                    for out in lot.recipe.pieces[each.piece].ways[each.way].pieces:
                        now[out.name] += each.count * out.count
            assert +now == Counter(stock.gone) + Counter(stock.left)
            lost.update({(lot.index, name): number for name, number in stock.gone.items()})
    left = {
        (stock.lot, name): number
        for stock in plan.stock.pieces[scenario.days - 1]
        for name, number in stock.left.items()
    }
    told = {wasted: Counter() for wasted in (True, False)}
    for each in plan.uncut:
        told[each.wasted][each.lot, each.piece] += each.count
    assert told == {True: +lost, False: Counter(left)}


CHECKS = [
    what_is_left_is_had_on_the_next_day,
    nothing_is_lost_within_a_day,
    days_add_up_to_the_plan,
    takers_get_what_they_take,
    it_agrees_with_the_trim_balance,
    it_agrees_with_another_replay,
    the_oldest_goes_first,
    what_is_used_was_made_in_time,
    every_maker_is_used_up,
    pieces_are_never_fewer_than_none,
]


# ---- on shipped weeks, on planned random shops, and on weeks at random ----


@pytest.fixture(scope="module", params=["one-lamb", "corner-shop", "holiday", "whole-animal"])
def shipped(request) -> Plan:
    return shipped_plan(request.param)


@pytest.mark.parametrize("check", CHECKS)
def test_shipped_weeks(shipped, check):
    check(shipped)


@settings(SHOPS, max_examples=25)
@given(st.one_of(shops(), mixed_shops()))
def test_planned_random_shops(shop):
    plan = plan_or_none(scenario_of(shop))
    if plan:
        for check in CHECKS:
            check(plan)


@settings(SHOPS, max_examples=40)
@given(SEEDS)
def test_weeks_at_random(seed):
    plan = random_week(seed)
    for check in CHECKS:
        check(plan)


def test_weeks_at_random_have_a_bit_of_everything():
    """Else the tests that draw them would hold little."""
    seen: Counter[str] = Counter()
    for seed in range(15):
        plan = random_week(seed)
        uses = [use for line in stock_of(plan) for use in line.uses]
        seen["blended"] += any(isinstance(use.taker, Batch) for use in uses)
        seen["an order from two days"] += _from_two_days(uses)
        seen["opening stock sold"] += any(use.made == -1 for use in uses)
        seen["by each"] += any(plan.scenario.cuts[use.cut].by_each for use in uses)
        seen["out of date"] += any(line.gone for line in stock_of(plan))
        seen["pieces out of date"] += any(each.wasted for each in plan.uncut)
        seen["pieces left"] += any(not each.wasted for each in plan.uncut)
        seen["several lots"] += len({each.lot for each in plan.breaks}) > 1
    assert all(times >= 2 for times in seen.values()), seen


def _from_two_days(uses: list[Use]) -> bool:
    made: dict[int, set[int]] = defaultdict(set)
    for use in uses:
        if use.ordered:
            made[id(use.taker)].add(use.made)
    return any(len(days) > 1 for days in made.values())


# ---- by hand ----


def test_a_small_week_worked_by_hand(shop):
    """3 lb of 6 from before are sold on monday, and what is cut then only after the rest of it."""
    demand = {
        "shoulder roast": {0: 3.0, 1: 2.0},
    }
    scenario = read(shop.week)
    decided = Solution(
        breaks={
            (0, "carcass", "block break", 0): 1,
            (0, "shoulder", "boneless roast", 0): 1,
        },
        bought={1: 0},
        walk_in={(cut, day): n for cut, days in demand.items() for day, n in days.items()},
        marked_down={("shoulder roast", 2): 1.5},
        filled={0: 2.0},
        blended={},
        batches={},
        objective=0.0, bound=0.0, status="within tolerance", orders_proven=True, seconds=0.0,
    )  # fmt: skip
    plan = make_plan(scenario, decided)
    roast = [day["shoulder roast"] for day in plan.stock.cuts]
    made = 40 * 0.22 * 0.70  # one of two shoulders of a 40 lb carcass
    assert [total(line.had) for line in roast[:3]] == [6.0, near(3 + made), near(made)]
    assert [total(line.gone) for line in roast] == [0, near(1.0), 0, 0, near(made - 3.5), 0]
    assert [(use.to, use.made, use.part.amount) for line in roast for use in line.uses] == [
        ("walk-in", -1, near(3.0)),
        ("walk-in", -1, near(2.0)),
        ("markdown", 0, near(1.5)),
        ("the corner bistro", 0, near(2.0)),
    ]
    assert [use.ordered for use in roast[4].uses] == [True]
    monday, thursday, saturday = (plan.stock.pieces[day] for day in (0, 3, 5))
    assert monday[0].had == {"carcass": 3} and monday[2].had == {"leg": 2}
    assert monday[0].left == {"carcass": 2, "shoulder": 1, "leg": 2}
    assert plan.stock.pieces[1][2].gone == {"leg": 2} and plan.stock.pieces[2][2].had == {}
    assert thursday[0].left == monday[0].left and thursday[0].gone == {}
    assert plan.stock.pieces[4][0].gone == {"shoulder": 1, "leg": 2}
    assert saturday[0].left == {"carcass": 2} and saturday[1].had == {}
