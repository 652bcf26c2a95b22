"""The work of a day shared out: replayed against the clock, and against what no rota can beat."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.ask.crew import MOST_CUTTERS, Rota, Stint, share_out
from planner.ask.morning import Morning, mornings
from planner.core.recipe import Way
from planner.core.stock_replay import total
from planner.solve import Solution
from planner.solve.plan import Plan, make_plan
from tests.ask.test_daystock import SEEDS, random_week
from tests.ask.test_jobs import lying_there
from tests.outside.shops import mixed_shops, shops
from tests.planning import read, shipped_plan
from tests.solve.test_properties import SHOPS, plan_or_none, scenario_of

CREWS = (1, 2, 3, 4)
BLINK = 1e-4  # minutes

Kind = tuple[str, str]
"""A species and a piece of it."""


def way_of(plan: Plan, species: str, piece: str, way: str) -> Way:
    recipes = {recipe.species: recipe for recipe in plan.scenario.recipes}
    return recipes[species].pieces[piece].ways[way]


class Played:
    """What a rota says, piece by piece: pieces of one job take equally long."""

    def __init__(self, morning: Morning) -> None:
        self.morning, self.rota, self.plan = morning, morning.rota, morning.plan
        self.jobs = len(morning.jobs)
        self.cuts: list[tuple[float, float, int]] = []  # begins, ends, job
        self.grinds: dict[int, Stint] = {}
        for stint in self.rota.stints:
            if stint.job is None:
                continue
            if stint.job >= self.jobs:
                assert stint.count == 0 and stint.job not in self.grinds
                self.grinds[stint.job] = stint
                continue
            step = (stint.ends - stint.begins) / stint.count
            for number in range(stint.count):
                begins = stint.begins + number * step
                self.cuts.append((begins, begins + step, stint.job))
        self.cuts.sort()

    def kind(self, job: int) -> Kind:
        return self.morning.jobs[job].species, self.morning.jobs[job].piece

    def way(self, job: int) -> Way:
        each = self.morning.jobs[job]
        return way_of(self.plan, each.species, each.piece, each.way)

    @property
    def here(self) -> Counter[Kind]:
        """Pieces that lie there in the morning, of all lots."""
        lots = self.plan.scenario.lots
        counts: Counter[Kind] = Counter()
        for (lot, piece), count in lying_there(self.plan, self.morning.day).items():
            counts[lots[lot].recipe.species, piece] += count
        return counts

    def there(self, when: float) -> Counter[Kind]:
        """Pieces that lie there at a time: not yet taken up, but made."""
        counts = self.here
        for begins, ends, job in self.cuts:
            if begins <= when + BLINK:
                counts[self.kind(job)] -= 1
            if ends <= when + BLINK:
                for out in self.way(job).pieces:
                    counts[self.kind(job)[0], out.name] += out.count
        return counts

    def waiting(self, when: float) -> Counter[int]:
        """Pieces of every job that nobody has taken up at a time."""
        counts = Counter({number: job.count for number, job in enumerate(self.morning.jobs)})
        counts.subtract(Counter(job for begins, _, job in self.cuts if begins <= when + BLINK))
        return +counts

    def cut_for(self, batch: int) -> list[int]:
        """The jobs that give some of what goes into a batch."""
        fresh = self.morning.sheets[batch - self.jobs].fresh
        jobs = self.morning.jobs
        return [number for number, job in enumerate(jobs) if fresh & set(job.breaks)]


# ---- what must hold ----


def every_piece_is_cut_once(day: Played) -> None:
    done = Counter(job for _, _, job in day.cuts)
    assert done == Counter({n: job.count for n, job in enumerate(day.morning.jobs)})
    assert sorted(day.grinds) == [day.jobs + n for n in range(len(day.morning.sheets))]
    for begins, ends, job in day.cuts:
        assert ends - begins == pytest.approx(day.way(job).minutes, abs=1e-6)
    for number, stint in day.grinds.items():
        minutes = day.morning.sheets[number - day.jobs].batch.minutes
        assert stint.ends - stint.begins == pytest.approx(minutes, abs=1e-6)


def nobody_does_two_things_at_once(day: Played) -> None:
    assert list(day.rota.stints) == sorted(day.rota.stints, key=lambda each: each.cutter)
    for cutter in range(day.rota.cutters):
        mine = day.rota.of(cutter)
        assert all(each.cutter == cutter and each.begins <= each.ends for each in mine)
        # what he does follows on: waiting is told too, from the first minute
        times = [0.0, *(each.ends for each in mine)]
        assert [each.begins for each in mine] == pytest.approx(times[:-1], abs=BLINK)
        for first, second in zip(mine, mine[1:], strict=False):
            assert first.job != second.job or first.job is None or first.job >= day.jobs
    assert sum(len(day.rota.of(n)) for n in range(day.rota.cutters)) == len(day.rota.stints)
    last = max((each.ends for each in day.rota.stints if each.job is not None), default=0.0)
    assert day.rota.ends == pytest.approx(last, abs=BLINK)


def no_piece_is_cut_before_it_is_there(day: Played) -> None:
    """What is begun up to a time was there in the morning or given by what ended by then."""
    here = day.here
    events = [(ends, 0, day.kind(job)[0], day.way(job)) for _, ends, job in day.cuts]
    takes = [(begins, day.kind(job)) for begins, _, job in day.cuts]
    given_so_far, ended = Counter(here), sorted(events, key=lambda each: each[0])
    taken: Counter[Kind] = Counter()
    place = 0
    for begins, kind in takes:
        while place < len(ended) and ended[place][0] <= begins + BLINK:
            _, _, species, way = ended[place]
            given_so_far.update({(species, out.name): out.count for out in way.pieces})
            place += 1
        taken[kind] += 1
        assert taken[kind] <= given_so_far[kind]


def the_grinder_takes_one_batch_at_a_time(day: Played) -> None:
    grinds = sorted(day.grinds.values(), key=lambda each: each.begins)
    for first, second in zip(grinds, grinds[1:], strict=False):
        assert first.ends <= second.begins + BLINK


def what_is_ground_is_cut_before(day: Played) -> None:
    """Of each cut there is by then what was there in the morning and what is cut by then."""
    stock = day.plan.stock.cuts[day.morning.day]
    for now in (stint.begins for stint in day.grinds.values()):
        here = {name: total(line.had) for name, line in stock.items()}
        for stint in day.rota.stints:
            if stint.job is not None and stint.job < day.jobs and stint.ends <= now + BLINK:
                gives, trays = day.morning.jobs[stint.job].part(dict(stint.lots))
                for thing in (each for each in (*gives, *trays) if each.name in here):
                    here[thing.name] += thing.pounds
        for number, stint in day.grinds.items():
            if stint.begins <= now:
                for cut, pounds in day.morning.sheets[number - day.jobs].batch.takes.items():
                    here[cut] -= pounds
        assert min(here.values()) >= -1e-5


def one_cutter_works_down_the_list(day: Played) -> None:
    if day.rota.cutters == 1:
        stints = day.rota.stints
        assert [each.job for each in stints] == [*range(day.jobs + len(day.morning.sheets))]
        minutes = sum(job.minutes for job in day.morning.jobs)
        minutes += sum(sheet.batch.minutes for sheet in day.morning.sheets)
        assert day.rota.ends == pytest.approx(minutes, abs=1e-6)
        assert minutes == pytest.approx(day.plan.bench[day.morning.day].minutes, abs=1e-6)


def it_ends_between_the_bounds(day: Played) -> None:
    """Graham's bound for list scheduling: total / m + (1 - 1/m) longest chain.

    R. L. Graham, Bounds on multiprocessing timing anomalies, SIAM J. Appl. Math. 17 (1969),
    416-429, from memory. Whoever waits while no piece is there waits for a chain of cuts; or for
    the grinder, which has all its batches to do.
    """
    cutters = day.rota.cutters
    ground = sum(sheet.batch.minutes for sheet in day.morning.sheets)
    cut = sum(job.minutes for job in day.morning.jobs)
    total = cut + ground
    longest = max([0.0, *(day.way(job).minutes for _, _, job in day.cuts)])
    assert day.rota.ends >= max(total / cutters, longest, ground) - BLINK
    chain = max([0.0, *(_chain(day, kind) for kind in {day.kind(n) for n in range(day.jobs)})])
    most = total / cutters + (1 - 1 / cutters) * (chain + ground)
    assert day.rota.ends <= most + BLINK


def _chain(day: Played, kind: Kind) -> float:
    """Minutes of the longest chain of cuts that begins with a piece."""
    chains = [
        day.way(number).minutes
        + max([0.0, *(_chain(day, (kind[0], out.name)) for out in day.way(number).pieces)])
        for number in range(day.jobs)
        if day.kind(number) == kind
    ]
    return max(chains, default=0.0)


def it_ends_no_sooner_than_the_pieces_come(day: Played) -> None:
    """Pieces of a kind that all have to come off something first."""
    here = day.here
    jobs = range(day.jobs)

    @cache
    def soonest(kind: Kind) -> float:
        """The time at which the first piece of a kind can be there."""
        if here[kind] > 0:
            return 0.0
        givers = [
            n for n in jobs if any(_out(day, n, out.name) == kind for out in day.way(n).pieces)
        ]
        return min(soonest(day.kind(n)) + day.way(n).minutes for n in givers)

    for number in jobs:
        begins = min(begins for begins, _, job in day.cuts if job == number)
        assert begins >= soonest(day.kind(number)) - BLINK


def _out(day: Played, number: int, piece: str) -> Kind:
    return day.kind(number)[0], piece


def lateness_is_told(day: Played) -> None:
    rota = day.rota
    over = 0.0 if rota.until is None else rota.ends - rota.until
    assert rota.late == pytest.approx(max(0.0, over), abs=1e-5)
    if not (rota.late and rota.fixed):
        assert rota.enough is None


CHECKS = [
    every_piece_is_cut_once,
    nobody_does_two_things_at_once,
    no_piece_is_cut_before_it_is_there,
    the_grinder_takes_one_batch_at_a_time,
    what_is_ground_is_cut_before,
    one_cutter_works_down_the_list,
    it_ends_between_the_bounds,
    it_ends_no_sooner_than_the_pieces_come,
    lateness_is_told,
]


def nobody_waits_for_nothing(day: Played) -> None:
    """Whoever is idle at a time could not cut a piece, nor grind: lots that share no pieces only.

    Where two lots have pieces of a kind, one of which stays whole, this cannot be told from times.
    """
    moments = sorted({0.0, *(ends for _, ends, _ in day.cuts)}
                     | {each.ends for each in day.grinds.values()})  # fmt: skip
    for when in moments:
        if when >= day.rota.ends - BLINK or not _idle(day, when):
            continue
        here, waiting = day.there(when), day.waiting(when)
        assert not [n for n in waiting if here[day.kind(n)] > 0]
        grinding = any(g.begins <= when + BLINK < g.ends - BLINK for g in day.grinds.values())
        if not grinding:
            for number, stint in day.grinds.items():
                if stint.begins > when + BLINK:
                    ends = [ends for _, ends, job in day.cuts if job in day.cut_for(number)]
                    assert max(ends, default=0.0) > when + BLINK


def _idle(day: Played, when: float) -> bool:
    """Whether somebody does nothing just after a time."""
    at_work = [
        each
        for each in day.rota.stints
        if each.job is not None and each.begins <= when + BLINK < each.ends - BLINK
    ]
    return len(at_work) < day.rota.cutters


def played(plan: Plan, cutters: int) -> Iterator[Played]:
    for morning in mornings(plan, range(plan.scenario.days), cutters):
        assert morning.rota.cutters == cutters
        yield Played(morning)


# ---- on shipped weeks, on planned random shops, and on weeks at random ----


@pytest.fixture(scope="module", params=["one-lamb", "corner-shop", "holiday", "whole-animal"])
def shipped(request) -> Plan:
    return shipped_plan(request.param)


@pytest.mark.thorough
@pytest.mark.parametrize("cutters", CREWS)
def test_shipped_weeks(shipped, cutters):
    for day in played(shipped, cutters):
        for check in CHECKS:
            check(day)


@settings(SHOPS, max_examples=60)
@given(st.one_of(shops(), mixed_shops()), st.sampled_from(CREWS))
def test_planned_random_shops(shop, cutters):
    """A bench that is used to the last minute is not over it by what the solver leaves."""
    plan = plan_or_none(scenario_of(shop))
    if plan is None:
        return
    for crew in {1, cutters}:
        for day in played(plan, crew):
            for check in CHECKS:
                check(day)
            assert (day.rota.until is None) == (plan.scenario.bench is None)
            assert crew > 1 or day.rota.late == 0.0


@settings(SHOPS, max_examples=40)
@given(SEEDS, st.sampled_from(CREWS))
def test_weeks_at_random(seed, cutters):
    for day in played(random_week(seed), cutters):
        for check in CHECKS:
            check(day)


@settings(SHOPS, max_examples=60)
@given(SEEDS, st.sampled_from(CREWS[1:]))
def test_nobody_is_idle_while_there_is_work(seed, cutters):
    for day in played(random_week(seed, apart=True), cutters):
        nobody_waits_for_nothing(day)


def test_somebody_does_wait_in_those_weeks():
    """Else the test above would hold nothing."""
    waits = 0
    for seed in range(10):
        for day in played(random_week(seed, apart=True), 3):
            waits += any(each.job is None for each in day.rota.stints)
    assert waits >= 3


# ---- late, until, enough ----


@settings(SHOPS, max_examples=40)
@given(SEEDS, st.sampled_from(CREWS), st.floats(0.1, 1.1))
def test_enough_is_enough_and_one_fewer_is_not(seed, cutters, share):
    plan = random_week(seed)
    (morning,) = mornings(plan, [plan.scenario.days - 1], cutters)
    rota_of = rotas(morning)
    whole = rota_of(1, None)
    until = share * rota_of(cutters, None).ends
    rota = rota_of(cutters, until)
    assert whole.until is None and whole.late == 0.0 and rota.until == until
    assert replace(rota, until=None, enough=None) == rota_of(cutters, None)
    late = {n: rota_of(n, None).ends > until + 1e-5 for n in range(cutters, MOST_CUTTERS + 1)}
    assert bool(rota.late) == late[cutters]
    if rota.late:
        fit = [n for n, is_late in late.items() if not is_late]
        assert rota.enough == min(fit, default=None)


def rotas(morning: Morning):
    """Rotas of a day for any number of cutters and any end."""
    pieces = morning.plan.stock.pieces[morning.day]

    def rota(cutters: int, until: float | None) -> Rota:
        return share_out(
            morning.plan, morning.jobs, morning.sheets, pieces, cutters, until, fixed=True
        )

    return rota


def test_a_week_that_fits_its_bench_is_not_late_for_one_cutter(shipped):
    for day in played(shipped, 1):
        bench = day.plan.scenario.bench[day.morning.day]
        over = day.plan.scenario.most_overtime(day.morning.day)
        assert day.rota.until == pytest.approx(bench + over)
        assert day.rota.late == 0.0


# ---- by hand ----

LAMB = """
species: lamb
root: carcass
pieces:
  carcass:
    keeps: 3 days
    ways: {break: {minutes: 10, tool: saw, gives: {side: 2 at 45%, bones: 10%}}}
  side:
    keeps: 3 days
    ways:
      bone: {minutes: 20, gives: {trim: 100%}}
      tie: {minutes: 0, gives: {roast: 100%}}
cuts:
  trim: {kind: trim, lean: 80%, keeps: 2 days}
  roast: {kind: roast, keeps: 2 days}
  bones: {kind: bone, keeps: 2 days}
blends:
  mince: {from: [trim], minutes: 1 per lb, keeps: 2 days}
"""
SHOP = {
    "title": "An invented block",
    "starts": "2026-11-30",
    "days": 1,
    "recipes": ["lamb.yaml"],
    "rail": [{"lamb": "2 head at 10 lb"}],
    "demand": {
        "roast": {"price": "10/lb", "want": "90 lb"},
        "mince": {"price": "9/lb", "want": "90 lb"},
    },
}


def by_hand(folder, breaks: Mapping[tuple[str, str], int], trim: float, **more) -> Plan:
    (folder / "lamb.yaml").write_text(LAMB)
    (folder / "shop.yaml").write_text(yaml.safe_dump(SHOP | more, sort_keys=False))
    decided = Solution(
        breaks={(0, piece, way, 0): count for (piece, way), count in breaks.items()},
        bought={}, walk_in={}, marked_down={}, filled={},
        blended={("mince", "trim", 0): trim} if trim else {},
        batches={},
        objective=0.0, bound=0.0, status="within tolerance", orders_proven=True, seconds=0.0,
    )  # fmt: skip
    return make_plan(read(folder / "shop.yaml"), decided)


def told(rota: Rota) -> list[tuple[int, int | None, int, float, float]]:
    return [(e.cutter, e.job, e.count, round(e.begins, 6), round(e.ends, 6)) for e in rota.stints]


def test_three_cutters_by_hand(tmp_path):
    """Two break, the third waits; four sides for three; the grind waits for the last of them."""
    plan = by_hand(tmp_path, {("carcass", "break"): 2, ("side", "bone"): 4}, 6.0)
    [morning] = mornings(plan, [0], 3)
    assert told(morning.rota) == [
        (0, 0, 1, 0, 10), (0, 1, 2, 10, 50), (0, 2, 0, 50, 56),
        (1, 0, 1, 0, 10), (1, 1, 1, 10, 30),
        (2, None, 0, 0, 10), (2, 1, 1, 10, 30),
    ]  # fmt: skip
    assert morning.rota.ends == 56 and morning.rota.until is None


@pytest.mark.parametrize(
    ("cutters", "until", "ends", "late", "enough"),
    [(1, 106, 106, 0, None), (1, 105, 106, 1, 2), (1, 56, 106, 50, 2), (1, 55, 106, 51, 4),
     (3, 55, 56, 1, 4), (1, 35, 106, 71, None), (4, 35, 36, 1, None), (12, 30, 36, 6, None)],
)  # fmt: skip
def test_late_and_enough_by_hand(tmp_path, cutters, until, ends, late, enough):
    """Two of 10 min, four of 20 and 6 at the grinder: one 106, two and three 56, more 36 min."""
    plan = by_hand(tmp_path, {("carcass", "break"): 2, ("side", "bone"): 4}, 6.0)
    [morning] = mornings(plan, [0], cutters, until)
    rota = morning.rota
    assert (rota.ends, rota.late, rota.enough) == (ends, pytest.approx(late), enough)


@pytest.mark.parametrize(("head", "enough"), [(12, MOST_CUTTERS), (13, None)])
def test_as_many_cutters_as_there_is_room_for_are_tried(tmp_path, head, enough):
    rail = [{"lamb": f"{head} head at 10 lb"}]
    plan = by_hand(tmp_path, {("carcass", "break"): head}, 0.0, rail=rail)
    [morning] = mornings(plan, [0], 2, 10)
    assert morning.rota.late > 0 and morning.rota.enough == enough


def test_the_bench_of_the_file_is_that_of_all_together(tmp_path):
    plan = by_hand(
        tmp_path,
        {("carcass", "break"): 2, ("side", "bone"): 4},
        6.0,
        bench=100,
        overtime={"up to": 12, "cost": 1},
    )
    for cutters, until in ((1, 112), (2, 56), (4, 28)):
        [morning] = mornings(plan, [0], cutters)
        assert morning.rota.until == pytest.approx(until)
    assert mornings(plan, [0], 2)[0].rota.late == 0.0
    late = mornings(plan, [0], 4)[0].rota
    assert (late.late, late.fixed, late.enough) == (pytest.approx(8), False, None)


@pytest.mark.parametrize("cutters", CREWS)
def test_what_takes_no_time_is_on_the_list_too(tmp_path, cutters):
    plan = by_hand(tmp_path, {("carcass", "break"): 1, ("side", "tie"): 2}, 0.0)
    [day] = played(plan, cutters)
    assert day.rota.ends == 10 and [job.count for job in day.morning.jobs] == [1, 2]
    for check in (every_piece_is_cut_once, nobody_does_two_things_at_once, lateness_is_told):
        check(day)


def test_a_day_without_work_is_over_at_once(tmp_path):
    plan = by_hand(tmp_path, {}, 0.0)
    [morning] = mornings(plan, [0], 4, 60)
    assert (morning.rota.stints, morning.rota.ends, morning.rota.late) == ((), 0.0, 0.0)


def test_the_same_plan_has_the_same_rota(tmp_path):
    plan = random_week(7)
    first, second = (mornings(plan, range(plan.scenario.days), 3) for _ in range(2))
    assert [each.rota for each in first] == [each.rota for each in second]


def test_one_lamb_for_four_is_quicker_than_for_one():
    plan = shipped_plan("one-lamb")
    ends = [mornings(plan, [0], cutters)[0].rota.ends for cutters in CREWS]
    assert ends == sorted(ends, reverse=True) and ends[3] < 0.4 * ends[0]
