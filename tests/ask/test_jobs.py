"""The jobs of a day: all of the cutting, in an order that can be worked, and who waits for what.

Trays, batch sheets and the counter are held here too: they tell of the same orders and weights.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.ask.jobs import Job, Waiting
from planner.ask.morning import Morning, PiecesLeft, mornings
from planner.ask.trays import letters as letters_of
from planner.core.plan_lines import Break
from planner.core.recipe import BY_PRODUCTS
from planner.core.scenario import Order
from planner.core.stock_replay import total
from planner.solve import Solution
from planner.solve.plan import Plan, make_plan
from tests.ask.test_daystock import SEEDS, near, random_week
from tests.outside.shops import mixed_shops, shops
from tests.planning import plan_of, read, shipped_plan
from tests.solve.test_properties import SHOPS, plan_or_none, scenario_of

Week = tuple[Morning, ...]


def week_of(plan: Plan) -> Week:
    return mornings(plan, range(plan.scenario.days))


def lying_there(plan: Plan, day: int) -> Counter[tuple[int, str]]:
    """Pieces of every lot on a morning."""
    here = cooler_of(plan, day)
    return +Counter({key: sum(count for _, count in pieces) for key, pieces in here.items()})


def cooler_of(
    plan: Plan, day: int, evening: bool = False
) -> dict[tuple[int, str], list[list[int]]]:
    """Pieces of every lot by last day, counted up from the plan: those out of date are gone."""
    scenario = plan.scenario
    bought = {each.lot: each.head for each in plan.bought}
    here: dict[tuple[int, str], list[list[int]]] = defaultdict(list)  # last day, count
    for today in range(day + 1):
        for pieces in here.values():
            pieces[:] = [each for each in pieces if each[0] >= today and each[1]]
        for lot in scenario.lots:
            if lot.arrives == today:
                count = bought.get(lot.index, 0) if lot.up_to else lot.count
                here[lot.index, lot.piece].append([today + lot.keeps - 1, count])
        for each in plan.breaks if today < day or evening else ():
            if each.day == today:
                rest, lot = each.count, scenario.lots[each.lot]
                for pieces in sorted(here[each.lot, each.piece]):
                    taken = min(pieces[1], rest)
                    pieces[1] -= taken
                    rest -= taken
                for out in lot.recipe.pieces[each.piece].ways[each.way].pieces:
                    last = today + lot.recipe.pieces[out.name].keeps - 1
                    here[each.lot, out.name].append([last, each.count * out.count])
    return here


def way_of(plan: Plan, each: Break):
    return plan.scenario.lots[each.lot].recipe.pieces[each.piece].ways[each.way]


# ---- what must hold of the jobs ----


def every_break_is_in_one_job(plan: Plan, week: Week) -> None:
    for morning in week:
        done = [each for job in morning.jobs for each in job.breaks]
        assert sorted(done, key=repr) == sorted(
            (each for each in plan.breaks if each.day == morning.day), key=repr
        )
        names = [(job.species, job.piece, job.way) for job in morning.jobs]
        assert len(set(names)) == len(names)
        for job in morning.jobs:
            alike = {(each.species, each.piece, each.way) for each in job.breaks}
            assert alike == {(job.species, job.piece, job.way)}
            assert job.count == sum(each.count for each in job.breaks)
            assert job.minutes == near(job.count * way_of(plan, job.breaks[0]).minutes)
            assert job.tool == way_of(plan, job.breaks[0]).tool


def what_a_job_gives_weighs_what_it_takes(plan: Plan, week: Week) -> None:
    cuts = plan.scenario.cuts
    for morning in week:
        for job in morning.jobs:
            things = (*job.gives, *job.trays)
            lost = sum(each.weight * way_of(plan, each).loss for each in job.breaks)
            assert sum(thing.pounds for thing in things) + lost == near(job.pounds)
            assert job.pounds == near(sum(each.weight for each in job.breaks))
            way = way_of(plan, job.breaks[0])
            names = [out.name for out in (*way.pieces, *way.cuts)]
            assert sorted(thing.name for thing in things) == sorted(names)
            for thing in job.trays:
                assert cuts[thing.name].kind in BY_PRODUCTS and thing.count is None
            pieces = {out.name: out.count for out in way.pieces}
            for thing in job.gives:
                by_each = thing.name in pieces or cuts[thing.name].by_each
                assert (thing.count is not None) == by_each
                if thing.name in pieces:
                    assert thing.count == job.count * pieces[thing.name]
            for count in range(1, job.count + 1):
                lots, weight = first_lots(job, count)
                gives, trays = job.part(lots)
                weights = [thing.pounds for thing in (*gives, *trays)]
                assert sum(weights) == near(weight * (job.pounds - lost) / job.pounds)
                counts = [
                    (thing.count, all_of.count)
                    for thing, all_of in zip(gives, job.gives, strict=True)
                ]
                assert all(a is b is None or a * job.count == b * count for a, b in counts)


def first_lots(job: Job, count: int) -> tuple[dict[int, int], float]:
    """The first pieces of a job by lot, and what they weigh together."""
    lots, weight = {}, 0.0
    for each in job.breaks:
        lots[each.lot] = number = min(count, each.count)
        weight += number * each.weight / each.count
        count -= number
    return lots, weight


def weights_of_jobs_are_what_the_trays_and_the_stock_get(plan: Plan, week: Week) -> None:
    for morning, stock in zip(week, plan.stock.cuts, strict=True):
        made: dict[str, float] = defaultdict(float)
        for job in morning.jobs:
            for thing in (*job.gives, *job.trays):
                by_each = thing.name in stock and plan.scenario.cuts[thing.name].by_each
                made[thing.name] += thing.count if by_each else thing.pounds
        for sheet in morning.sheets:
            made[sheet.batch.blend] += sheet.batch.made
        for cut, line in stock.items():
            assert total(line.made) == near(made[cut])


def no_piece_is_cut_before_it_is_there(plan: Plan, week: Week) -> None:
    for morning in week:
        here = lying_there(plan, morning.day)
        for job in morning.jobs:
            for each in job.breaks:
                here[each.lot, each.piece] -= each.count
                assert here[each.lot, each.piece] >= 0, (job.piece, job.way)
            for each in job.breaks:
                for out in way_of(plan, each).pieces:
                    here[each.lot, out.name] += each.count * out.count


def the_break_comes_first_and_tools_stay_in_the_hand(plan: Plan, week: Week) -> None:
    for morning in week:
        jobs = list(morning.jobs)
        roots = [root for recipe in plan.scenario.recipes for root in recipe.roots]
        heads = [job.piece in roots and bool(way_of(plan, job.breaks[0]).pieces) for job in jobs]
        assert heads == [job.head for job in jobs] == sorted(heads, reverse=True)
        here = lying_there(plan, morning.day)
        tool = "saw"  # what is taken up after the break
        for number, job in enumerate(jobs):
            if not job.head and job.tool != tool:
                assert not [
                    other.way
                    for other in jobs[number:]
                    if other.tool == tool
                    and all(here[each.lot, each.piece] >= each.count for each in other.breaks)
                ]
                tool = job.tool
            for each in job.breaks:
                here[each.lot, each.piece] -= each.count
                for out in way_of(plan, each).pieces:
                    here[each.lot, out.name] += each.count * out.count


def all_that_waits_is_what_is_filled(plan: Plan, week: Week) -> None:
    """For each order: of the case as it opened, and of all jobs and batches up to its day."""
    filled, waits, opening = Counter(), Counter(), Counter()
    short = {each.order: each.short for each in plan.short}
    for order in plan.scenario.orders:
        filled[order.buyer, order.cut, order.day] += order.amount - short.get(order.index, 0.0)
    for morning in week:
        for waiting in _waiting(morning):
            assert morning.day <= waiting.day
            waits[waiting.buyer, waiting.cut, waiting.day] += waiting.amount
        for job in morning.jobs:
            assert {each.cut for each in job.waiting} <= {
                thing.name for thing in (*job.gives, *job.trays)
            }
        for sheet in morning.sheets:
            assert {each.cut for each in sheet.waiting} <= {sheet.batch.blend}
    for stock in plan.stock.cuts:
        for line in stock.values():
            for use in line.uses:
                if use.ordered and use.made == -1:
                    opening[use.to, use.cut, use.day] += use.part.amount
    assert {*waits, *opening} <= set(filled)
    for key, amount in filled.items():
        assert waits[key] + opening[key] == near(amount)
        assert opening[key] == 0 or key[1] in {each.cut for each in plan.scenario.case}


def what_is_held_is_what_waited_so_far(plan: Plan, week: Week) -> None:
    """The case on a day holds, for later orders, all that was made for them up to that day.

    Of trays this is told where some of it is sold.
    """
    opening = Counter()
    for stock in plan.stock.cuts:
        for line in stock.values():
            for use in line.uses:
                if use.ordered and use.made == -1:
                    opening[use.to, use.cut, use.day] += use.part.amount
    so_far = Counter(opening)
    for morning in week:
        for waiting in _waiting(morning):
            so_far[waiting.buyer, waiting.cut, waiting.day] += waiting.amount
        held = {
            (each.buyer, each.cut, each.day): each.amount
            for line in morning.case
            for each in line.held
        }
        trays = {tray.cut for tray in morning.trays}
        due = {
            key: amount
            for key, amount in so_far.items()
            if key[2] > morning.day and amount > 1e-4 and (key[1] not in trays or key in held)
        }
        assert {key: near(amount) for key, amount in due.items()} == {
            key: amount for key, amount in held.items() if amount > 1e-4 or key in due
        }
        for line in morning.case:
            assert sum(each.amount for each in line.held) <= line.keep + 1e-3
            assert {each.cut for each in line.held} <= {line.cut}


def _waiting(morning: Morning) -> Iterator[Waiting]:
    for job in morning.jobs:
        yield from job.waiting
    for sheet in morning.sheets:
        yield from sheet.waiting


# ---- what must hold of trays and sheets ----


def trays_balance_and_keep_their_letters(plan: Plan, week: Week) -> None:
    letters = letters_of(plan)
    left: dict[str, float] = {}
    for morning in week:
        batches = [sheet.batch for sheet in morning.sheets]
        for tray in morning.trays:
            assert tray.cut in letters
            went = sum(tray.used.values()) + tray.sold + tray.wasted + tray.left
            assert tray.had + tray.made == near(went)
            assert tray.had == near(left.pop(tray.cut, _opening(plan, tray.cut, morning.day)))
            assert tray.used == {
                batch.blend: near(batch.takes[tray.cut])
                for batch in batches
                if batch.takes.get(tray.cut, 0.0) > 1e-6
            }
            sold = [s.amount for s in plan.sales if (s.day, s.cut) == (morning.day, tray.cut)]
            assert tray.sold == near(sum(sold))
        assert all(pounds < 1e-4 for pounds in left.values())  # a tray does not vanish
        left = {tray.cut: tray.left for tray in morning.trays}
        for sheet in morning.sheets:
            for take in sheet.takes:
                assert take.letter == letters.get(take.cut, "")
        for job in morning.jobs:
            assert {thing.name for thing in job.trays if thing.pounds > 1e-6} <= set(letters)
    assert len(set(letters.values())) == len(letters) and all(letters.values())


def _opening(plan: Plan, cut: str, day: int) -> float:
    return sum(each.amount for each in plan.scenario.case if each.cut == cut) if day == 0 else 0.0


def all_that_lies_there_is_in_a_tray_or_in_the_case(plan: Plan, week: Week) -> None:
    """By-products in trays, all else in the case; each with the day on which the oldest goes."""
    cuts, blends = plan.scenario.cuts, plan.scenario.blends
    for morning, stock in zip(week, plan.stock.cuts, strict=True):
        trays = {tray.cut for tray in morning.trays}
        case = {line.cut: line for line in morning.case}
        for name, line in stock.items():
            cut = cuts[name]
            tray = cut.kind in BY_PRODUCTS and not cut.by_each and name not in blends
            if tray and total(line.had) + total(line.made) > 1e-4:
                assert name in trays
            if not tray:
                assert name not in trays
                assert (case[name].keep if name in case else 0.0) == near(total(line.left))
            if name in case:
                oldest = min((part.last_day for part in line.left), default=None)
                assert case[name].keeps_until == oldest


def lots_of_a_batch_add_up_and_could_give_it(plan: Plan, week: Week) -> None:
    given_by: Counter[tuple[int, int, str]] = Counter()  # lot, day, cut: pounds not yet traced
    for each in plan.breaks:
        for out in way_of(plan, each).cuts:
            given_by[each.lot, each.day, out.name] += each.weight * out.share
    opening = Counter()
    for each in plan.scenario.case:
        opening[each.cut] += each.amount
    sheets = [sheet for morning in week for sheet in morning.sheets]
    assert [sheet.batch for sheet in sheets] == list(plan.batches)
    for morning in week:
        assert [each.number for each in morning.sheets] == list(range(1, len(morning.sheets) + 1))
    for sheet in sheets:
        assert {take.cut: take.pounds for take in sheet.takes} == dict(sheet.batch.takes)
        for take in sheet.takes:
            assert sum(trace.pounds for trace in take.traces) == near(take.pounds)
            days = [-1 if trace.day is None else trace.day for trace in take.traces]
            assert len({(trace.lot, trace.day) for trace in take.traces}) == len(days)
            for trace in take.traces:
                if trace.lot is None:
                    opening[take.cut] -= trace.pounds
                    assert trace.day is None and opening[take.cut] > -1e-4
                else:
                    assert trace.day <= sheet.batch.day
                    assert sheet.batch.day < trace.day + plan.scenario.cuts[take.cut].keeps
                    given_by[trace.lot, trace.day, take.cut] -= trace.pounds
                    assert given_by[trace.lot, trace.day, take.cut] > -1e-4


# ---- what must hold of the counter and of what hangs ----


def what_goes_out_and_to_orders_is_what_is_sold(plan: Plan, week: Week) -> None:
    for morning in week:
        sold = {True: Counter(), False: Counter()}
        marked = Counter()
        for sale in plan.sales:
            if sale.day == morning.day:
                sold[sale.to in ("walk-in", "markdown")][sale.cut] += sale.amount
                marked[sale.cut] += sale.amount if sale.to == "markdown" else 0.0
        out = {line.cut: line for line in morning.case}
        assert len(out) == len(morning.case)
        for cut in plan.scenario.cuts:
            line = out.get(cut)
            assert (line.out if line else 0.0) == near(sold[True][cut])
            assert (line.marked if line else 0.0) == near(marked[cut])
            wrapped = sum(wrap.amount for wrap in morning.wraps if wrap.cut == cut)
            assert wrapped == near(sold[False][cut])
        orders = [each for each in plan.scenario.orders if each.day == morning.day]
        assert [(w.buyer, w.cut, w.ordered) for w in morning.wraps] == [
            (each.buyer, each.cut, each.amount) for each in orders
        ]
        for line in morning.case:
            assert -1e-6 <= line.older <= line.out + 1e-6
            assert (line.keeps_until is None) == (line.keep <= 1e-6)
            assert line.keeps_until is None or line.keeps_until > morning.day


def older_is_what_was_there_in_the_morning(plan: Plan, week: Week) -> None:
    """Orders and batches take from it too, and all take the oldest first."""
    for morning, stock in zip(week, plan.stock.cuts, strict=True):
        for line in morning.case:
            assert line.older <= total(stock[line.cut].had) + 1e-4
            made = [part for use in stock[line.cut].uses for part in [use.part] if use.made == -1]
            assert line.out - line.older <= line.made + 1e-4
            assert total(tuple(made)) <= sum(c.amount for c in plan.scenario.case) + 1e-4


def what_leaves_adds_up_to_what_is_wasted(plan: Plan, week: Week) -> None:
    gone: Counter[str] = Counter()
    pieces: Counter[str] = Counter()
    pounds: Counter[str] = Counter()
    for morning in week:
        for each in morning.leaving:
            assert each.there == near(each.used + each.gone)
            if each.piece:
                assert each.gone == round(each.gone) > 0 and each.pounds > 0
                pieces[each.name] += round(each.gone)
                pounds[each.name] += each.pounds
            else:
                gone[each.name] += each.gone
    for line in plan.cuts:
        assert gone[line.cut] == near(line.wasted)
    wasted, weight = Counter(), Counter()
    for each in plan.uncut:
        if each.wasted:
            wasted[each.piece] += each.count
            weight[each.piece] += each.weight
    assert pieces == wasted
    assert dict(pounds) == {name: near(each) for name, each in weight.items()}


def what_has_its_last_day_is_told(plan: Plan, week: Week) -> None:
    """`there` is all that lies there, is not made to keep longer, and is not wrapped for orders."""
    for morning, stock in zip(week, plan.stock.cuts, strict=True):
        told = {each.name: each for each in morning.leaving if not each.piece}
        for cut, line in stock.items():
            due = [part for part in (*line.had, *line.made) if part.last_day <= morning.day]
            ordered = [use.part for use in line.uses if use.ordered]
            free = total(tuple(due))
            free -= total(tuple(part for part in ordered if part.last_day <= morning.day))
            assert (told[cut].there if cut in told else 0.0) == near(free)


def orders_get_the_oldest_first(plan: Plan, week: Week) -> None:
    """What was made before is told of each order, in the order in which they are served."""
    for morning, stock in zip(week, plan.stock.cuts, strict=True):
        older = Counter()
        for line in stock.values():
            for use in line.uses:
                if use.ordered and use.made < morning.day:
                    older[use.to, use.cut] += use.part.amount
        told = Counter()
        for wrap in morning.wraps:
            assert -1e-6 <= wrap.older <= wrap.amount + 1e-6
            told[wrap.buyer, wrap.cut] += wrap.older
        assert {key: near(amount) for key, amount in older.items()} == +told


def orders_are_dealt_out_to_who_cuts_for_them(plan: Plan, week: Week) -> None:
    """All that a job has waiting, and to nobody more than comes off his pieces."""
    for cutters in (1, 2, 3):
        for morning in week if cutters == 1 else mornings(plan, range(plan.scenario.days), cutters):
            dealt = [Counter() for _ in morning.jobs]
            for stint in morning.rota.stints:
                if stint.job is None or stint.job >= len(morning.jobs):
                    continue
                job, mine = morning.jobs[stint.job], Counter()
                for each in morning.dealt[stint]:
                    dealt[stint.job][each.buyer, each.cut, each.day] += each.amount
                    mine[each.cut] += each.amount
                gives, trays = job.part(dict(stint.lots))
                for thing in (*gives, *trays):
                    there = thing.pounds if thing.count is None else thing.count
                    assert mine.pop(thing.name, 0.0) <= there + 1e-4
                assert not mine
            for job, parts in zip(morning.jobs, dealt, strict=True):
                waiting = {(each.buyer, each.cut, each.day): each.amount for each in job.waiting}
                assert dict(parts) == {key: near(amount) for key, amount in waiting.items()}


def pieces_that_lie_over_are_told(plan: Plan, week: Week) -> None:
    """Of all lots together; heads, and pieces that came as such, are told by lot."""
    for morning in week:
        counts: Counter[tuple[str, str]] = Counter()
        for lot, stock in zip(plan.scenario.lots, plan.stock.pieces[morning.day], strict=True):
            for piece, count in stock.left.items():
                if piece != lot.piece:
                    counts[lot.recipe.species, piece] += count
        assert {(each.species, each.piece): each.count for each in morning.whole} == counts
        assert len(morning.whole) == len(counts)
        until: dict[tuple[str, str], int] = {}
        for (lot, piece), parts in cooler_of(plan, morning.day, evening=True).items():
            last_days = [last for last, count in parts if count and last > morning.day]
            kind = plan.scenario.lots[lot].recipe.species, piece
            if last_days and piece != plan.scenario.lots[lot].piece:
                until[kind] = min(until.get(kind, last_days[0]), *last_days)
        assert {(each.species, each.piece): each.until for each in morning.whole} == until


def what_hangs_is_carried_on(plan: Plan, week: Week) -> None:
    hung: dict[int, int] = {}
    bought = {each.lot: each.head for each in plan.bought}
    came: Counter[int] = Counter()
    for morning in week:
        heads = {each.lot: each for each in morning.heads}
        assert {lot for lot, number in hung.items() if number} <= set(heads)
        for lot, each in heads.items():
            assert hung.get(lot, 0) + each.came == each.down + each.hang + each.gone
            assert min(each.came, each.down, each.hang, each.gone) >= 0
            came[lot] += each.came
            piece = plan.scenario.lots[lot].piece
            assert each.down == sum(
                one.count
                for one in plan.breaks
                if (one.day, one.lot, one.piece) == (morning.day, lot, piece)
            )
        hung = {lot: each.hang for lot, each in heads.items()}
    for lot in plan.scenario.lots:
        assert came[lot.index] == (bought.get(lot.index, 0) if lot.up_to else lot.count)


CHECKS = [
    every_break_is_in_one_job,
    what_a_job_gives_weighs_what_it_takes,
    weights_of_jobs_are_what_the_trays_and_the_stock_get,
    no_piece_is_cut_before_it_is_there,
    the_break_comes_first_and_tools_stay_in_the_hand,
    all_that_waits_is_what_is_filled,
    what_is_held_is_what_waited_so_far,
    trays_balance_and_keep_their_letters,
    all_that_lies_there_is_in_a_tray_or_in_the_case,
    lots_of_a_batch_add_up_and_could_give_it,
    what_goes_out_and_to_orders_is_what_is_sold,
    older_is_what_was_there_in_the_morning,
    what_leaves_adds_up_to_what_is_wasted,
    what_has_its_last_day_is_told,
    orders_get_the_oldest_first,
    orders_are_dealt_out_to_who_cuts_for_them,
    pieces_that_lie_over_are_told,
    what_hangs_is_carried_on,
]


@pytest.fixture(scope="module", params=["one-lamb", "corner-shop", "holiday", "whole-animal"])
def shipped(request) -> tuple[Plan, Week]:
    plan = shipped_plan(request.param)
    return plan, week_of(plan)


@pytest.mark.parametrize("check", CHECKS)
def test_shipped_weeks(shipped, check):
    check(*shipped)


@settings(SHOPS, max_examples=40)
@given(st.one_of(shops(), mixed_shops()))
def test_planned_random_shops(shop):
    plan = plan_or_none(scenario_of(shop))
    if plan:
        week = week_of(plan)
        for check in CHECKS:
            check(plan, week)


@settings(SHOPS, max_examples=40)
@given(SEEDS)
def test_weeks_at_random(seed):
    plan = random_week(seed)
    week = week_of(plan)
    for check in CHECKS:
        check(plan, week)


# ---- by hand ----

GOAT = """
species: goat
root: carcass
pieces:
  carcass:
    keeps: 4 days
    ways: {break: {minutes: 10, tool: knife, gives: {side: 2 at 40%, bones: 20%}}}
  side:
    keeps: 4 days
    ways:
      halve: {minutes: 4, tool: saw, gives: {leg: 1 at 50%, roast: 50%}}
      bone: {minutes: 9, gives: {leg: 1 at 50%, roast: 30%, trim: 20%}}
  leg:
    keeps: 4 days
    ways:
      saw up: {minutes: 3, tool: saw, gives: {steaks: 4 at 24%, loss: 4%}}
      whole: {minutes: 2, gives: {roast: 100%}}
      chop: {minutes: 3, tool: saw, gives: {stew: 100%}}
cuts:
  roast: {kind: roast, keeps: 3 days}
  steaks: {kind: steak, keeps: 3 days, sold by: each}
  stew: {kind: stew, keeps: 2 days}
  trim: {kind: trim, lean: 80%, keeps: 2 days}
  bones: {kind: bone, keeps: 2 days}
blends:
  mince: {from: [trim], minutes: 0.5 per lb, keeps: 2 days}
"""
SHOP = {
    "title": "An invented block",
    "starts": "2026-11-30",
    "days": 2,
    "recipes": ["goat.yaml"],
    "rail": [{"goat": "1 head at 50 lb"}, {"goat": "1 head at 100 lb"}],
    "demand": {
        "roast": {
            "price": "10/lb",
            "want": "90 lb",
            "orders": [
                {"day": "mon", "amount": "5 lb", "for": "the inn"},
                {"day": "tue", "amount": "7 lb", "for": "the inn"},
                {"day": "mon", "amount": "4 lb", "for": "the inn"},
            ],
        },
        "mince": {
            "price": "9/lb",
            "orders": [{"day": "tue", "amount": "3 lb", "for": "the school"}],
        },
    },
}


def decided(folder: Path, breaks: dict[tuple[int, str, str], int], **more) -> Plan:
    """The plan of that shop with these breaks, all on monday."""
    (folder / "goat.yaml").write_text(GOAT)
    (folder / "shop.yaml").write_text(yaml.safe_dump(SHOP, sort_keys=False))
    nothing = {"walk_in": {}, "filled": dict.fromkeys(range(4), 0.0), "blended": {}}
    solution = Solution(
        breaks={(*key, 0): count for key, count in breaks.items()},
        bought={}, marked_down={}, batches={},
        objective=0.0, bound=0.0, status="within tolerance", orders_proven=True, seconds=0.0,
        **nothing | more,
    )  # fmt: skip
    return make_plan(read(folder / "shop.yaml"), solution)


@pytest.fixture
def by_hand(tmp_path) -> Plan:
    """Two goats broken on monday: one side sawn, three boned, legs of every kind of side."""
    breaks = {
        (0, "carcass", "break"): 1, (1, "carcass", "break"): 1,
        (0, "side", "halve"): 1, (0, "side", "bone"): 1, (1, "side", "bone"): 2,
        (0, "leg", "saw up"): 2, (1, "leg", "whole"): 1,
    }  # fmt: skip
    return decided(
        tmp_path,
        breaks,
        walk_in={("roast", 0): 20.0},
        filled={0: 5.0, 1: 7.0, 2: 3.0, 3: 3.0},
        blended={("mince", "trim", 0): 16.0},
    )


def test_a_piece_is_not_counted_on_twice(tmp_path):
    """One leg is there when the saw is at work: the other comes off the side that is boned."""
    plan = decided(
        tmp_path,
        {
            (0, "carcass", "break"): 1, (0, "side", "halve"): 1, (0, "side", "bone"): 1,
            (0, "leg", "saw up"): 1, (0, "leg", "chop"): 1,
        },
    )  # fmt: skip
    jobs = week_of(plan)[0].jobs
    assert [job.way for job in jobs] == ["break", "halve", "saw up", "bone", "chop"]
    for check in CHECKS:
        check(plan, week_of(plan))


def test_jobs_in_the_order_of_the_work_by_hand(by_hand):
    """Both legs that are sawn come off goat 1, one off a side that is boned: so knives go first."""
    for check in CHECKS:
        check(by_hand, week_of(by_hand))
    jobs = week_of(by_hand)[0].jobs
    assert [(job.tool, job.count, job.piece, job.way) for job in jobs] == [
        ("knife", 2, "carcass", "break"),
        ("saw", 1, "side", "halve"),
        ("knife", 3, "side", "bone"),
        ("knife", 1, "leg", "whole"),
        ("saw", 2, "leg", "saw up"),
    ]
    bone = jobs[2]
    assert (bone.pounds, bone.minutes) == (near(20 + 80), 27)
    assert [(each.name, each.count, each.pounds) for each in bone.gives] == [
        ("leg", 3, near(50)), ("roast", None, near(30)),
    ]  # fmt: skip
    assert [(each.name, each.pounds) for each in bone.trays] == [("trim", near(20))]
    steaks = jobs[4].gives[0]
    assert (steaks.name, steaks.count, steaks.pounds) == ("steaks", 8, near(20 * 0.96))


def test_who_waits_for_what_by_hand(by_hand):
    """Roast is used as it is made: orders of monday take 8 of the 10 lb of the halved side."""
    monday, tuesday = week_of(by_hand)
    waits = {(job.piece, job.way): job.waiting for job in monday.jobs}
    assert waits["side", "halve"] == (Waiting("the inn", "roast", 0, near(8.0)),)
    assert waits["carcass", "break"] == ()
    later = [each for job in monday.jobs for each in job.waiting if each.day == 1]
    assert sum(each.amount for each in later) == near(7.0)
    assert [sheet.waiting for sheet in monday.sheets] == [
        (Waiting("the school", "mince", 1, near(3.0)),)
    ]
    assert monday.sheets[0].takes[0].letter == letters_of(monday.plan)["trim"]
    assert [(trace.lot, trace.day, trace.pounds) for trace in monday.sheets[0].takes[0].traces] == [
        (0, 0, near(4.0)), (1, 0, near(12.0)),
    ]  # fmt: skip
    assert [(w.buyer, w.ordered, w.amount) for w in monday.wraps] == [
        ("the inn", 5, near(5)), ("the inn", 4, near(3)),
    ]  # fmt: skip
    held = {line.cut: line.held for line in monday.case}
    assert held["roast"] == (Waiting("the inn", "roast", 1, near(7.0)),)
    assert held["mince"] == (Waiting("the school", "mince", 1, near(3.0)),)
    assert not tuesday.jobs and not tuesday.sheets
    assert monday.whole == tuesday.whole == (PiecesLeft("goat", "leg", 1, 3),)
    assert [(w.cut, w.older) for w in tuesday.wraps] == [("roast", near(7)), ("mince", near(3))]
    leaving = {each.name: (each.there, each.used, each.gone) for each in tuesday.leaving}
    assert leaving == {
        "trim": (near(4), 0, near(4)),
        "bones": (near(30), 0, near(30)),
        "mince": (near(13), 0, near(13)),
    }


def test_bones_sold_by_each_go_into_the_case_and_into_no_tray(tmp_path, monkeypatch):
    monkeypatch.setattr(
        f"{__name__}.GOAT", GOAT.replace("steaks: {kind: steak", "steaks: {kind: bone")
    )
    breaks = {(0, "carcass", "break"): 1, (0, "side", "halve"): 2, (0, "leg", "saw up"): 2}
    plan = decided(tmp_path, breaks)
    monday = week_of(plan)[0]
    sawn = monday.jobs[-1]
    assert [(each.name, each.count) for each in sawn.gives] == [("steaks", 8)]
    assert sawn.trays == () and "steaks" not in {tray.cut for tray in monday.trays}
    assert [each.keep for each in monday.case if each.cut == "steaks"] == [8]
    for check in CHECKS:
        check(plan, week_of(plan))


def test_bones_held_for_an_order_are_told(by_hand):
    """Where nobody buys any on that day too: they stand in a tray, and nobody may sell them."""
    bones = Order(4, "bones", 1, 6.0, 1.0, "the kennel")
    scenario = by_hand.scenario
    filled = {**by_hand.decided.filled, 4: 6.0}
    ordered = make_plan(
        replace(scenario, orders=(*scenario.orders, bones)),
        replace(by_hand.decided, filled=filled),
    )
    monday = week_of(ordered)[0]
    assert monday.jobs[0].waiting == (Waiting("the kennel", "bones", 1, near(6.0)),)
    held = {line.cut: line.held for line in monday.case}
    assert held.get("bones") == (Waiting("the kennel", "bones", 1, near(6.0)),)


def test_there_are_letters_for_any_number_of_trays(tmp_path):
    """A to Z, then T27 and on."""
    names = [f"trim {number}" for number in range(40, 70)]
    gives = dict.fromkeys(names, "3%") | {"loss": "10%"}
    recipe = {
        "species": "goat",
        "root": "carcass",
        "pieces": {
            "carcass": {"keeps": "1 day", "ways": {"break": {"minutes": 1, "gives": gives}}}
        },
        "cuts": {name: {"kind": "trim", "lean": "80%", "keeps": "1 day"} for name in names},
    }
    demand = {name: {"price": "5/lb", "want": "9 lb"} for name in names}
    (tmp_path / "goat.yaml").write_text(yaml.safe_dump(recipe, sort_keys=False))
    shop = SHOP | {"days": 1, "demand": demand}
    (tmp_path / "shop.yaml").write_text(yaml.safe_dump(shop, sort_keys=False))
    morning = week_of(plan_of(tmp_path / "shop.yaml"))[0]
    letters = [letters_of(morning.plan)[tray.cut] for tray in morning.trays]
    assert letters[:2] == ["A", "B"] and letters[25:] == ["Z", "T27", "T28", "T29", "T30"]
    assert [tray.cut for tray in morning.trays] == names
