"""What a person reads: the sentence of proof, the lines about what went wrong, the progress."""

from __future__ import annotations

import io
import sys
from dataclasses import replace

import pytest

from planner.core.units import Units
from planner.show.progress import counted_line, progress_line
from planner.show.text import plan_text, proof
from planner.solve import Options
from tests.planning import plan_of


@pytest.fixture
def plan(shop):
    return plan_of(shop.week)


def test_the_sentence_of_proof_says_what_was_proven_and_no_more(plan):
    score = f"${plan.score:,.2f}"
    proven = replace(plan, status="proven", bound=plan.score)
    assert proof(proven).startswith(f"Proven: within these rules no plan beats {score},")
    assert "tenth of a cent" in proof(proven)  # a plan of more minutes may score a little more
    near = replace(plan, status="within tolerance", bound=plan.score + 2.5)
    assert "within $2.50" in proof(near)
    assert f"at most ${plan.score + 2.5:,.2f}" in proof(near)
    assert "Proven" not in proof(near)
    late = replace(near, status="time limit", seconds=12.34)
    assert proof(late).startswith("Stopped by the time limit after 12.3 s.")
    unsettled = replace(late, orders_proven=False)
    assert "was not settled" in proof(unsettled)


def test_a_short_order_is_named_with_what_binds(shop):
    shop.spoil("scenario", ("amount: 9 lb, for", "amount: 900 lb, for"))
    plan = plan_of(shop.week, Options())
    lines = plan_text(plan).splitlines()
    at = next(n for n, line in enumerate(lines) if "the corner bistro:" in line)
    assert f"SHORT {plan.short[0].short:.1f} lb" in lines[at]
    assert lines[at + 1].strip() == "what binds: head"


def test_pieces_left_and_pieces_out_of_date_are_told_apart(shop):
    shop.spoil(
        "scenario",
        ("bench: {mon: 240, tue: 241, wed: 242, thu: 300, fri: 301, sat: 120}", "bench: {sat: 5}"),
        ("overtime: {up to: 60, cost: 0.75}", "overtime: {up to: 1, cost: 0.75}"),
        ("      - {day: fri, amount: 9 lb, for: the corner bistro}", "      []"),
        ("  - at least 1 leg: whole\n", ""),
    )
    text = plan_text(plan_of(shop.week))
    assert "2 leg, 12.2 lb: OUT OF DATE uncut" in text
    assert "3 carcass, 120.0 lb: left whole, in date (mon goat, 40.0 lb each)" in text


def test_money_adds_up_as_printed(plan):
    text = plan_text(plan)
    amounts = [
        float(line.split("$")[1].replace(",", "")) * (-1 if "-$" in line else 1)
        for line in text.split("MONEY\n")[1].splitlines()
        if "$" in line and line.startswith("  ") and "(" not in line
    ]
    assert sum(amounts[:-1]) == pytest.approx(amounts[-1], abs=0.02)


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


class Clock:
    """Time that passes when it is told to."""

    def __init__(self, monkeypatch) -> None:
        self.now = 100.0
        monkeypatch.setattr("planner.show.progress.time.perf_counter", lambda: self.now)


def test_progress_shows_after_two_seconds_and_wipes_itself(monkeypatch):
    terminal, clock = Terminal(), Clock(monkeypatch)
    monkeypatch.setattr(sys, "stderr", terminal)
    with progress_line(Units("lb", "$")) as tell:
        assert tell is not None
        clock.now += 1.9
        tell(1.9, 900.0, 1000.0)
        assert terminal.getvalue() == ""
        clock.now += 0.2
        tell(0.1, float("-inf"), float("inf"))  # a second search, whose own time begins anew
        assert "2 s   best so far none yet   at most open" in terminal.getvalue()
        clock.now += 0.1
        tell(0.2, 900.0, 1000.0)  # too soon after the last
        clock.now += 0.8
        tell(1.0, 900.0, 1000.0)
    assert "3 s   best so far $900.00   at most $1,000.00" in terminal.getvalue()
    assert terminal.getvalue().count("best so far") == 2
    assert terminal.getvalue().endswith("\r\033[K")


def test_what_is_counted_is_shown_the_same_way(monkeypatch):
    terminal, clock = Terminal(), Clock(monkeypatch)
    monkeypatch.setattr(sys, "stderr", terminal)
    with counted_line("questions") as count:
        assert count is not None
        count(1, 40)
        clock.now += 5.0
        count(7, 40)
    assert "5 s   7 of 40 questions" in terminal.getvalue()
    assert "1 of 40" not in terminal.getvalue()
    assert terminal.getvalue().endswith("\r\033[K")


def test_no_progress_where_nobody_watches(monkeypatch):
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    with progress_line(Units("lb", "$")) as tell, counted_line("questions") as count:
        assert tell is None
        assert count is None


def test_half_an_ounce_is_no_work_for_the_grinder(plan):
    first = plan.batches[0]
    assert f"grind: {first.blend}" in plan_text(plan)
    little = replace(plan, batches=tuple(replace(each, made=0.02) for each in plan.batches))
    assert "grind:" not in plan_text(little)
    assert "BLENDS" in plan_text(plan) and "BLENDS" not in plan_text(little)
    shown = replace(plan, batches=tuple(replace(each, made=0.06) for each in plan.batches))
    assert f"grind: {first.blend} 0.1 lb" in plan_text(shown)


def test_a_day_says_what_to_do_with_each_lot_and_what_was_made(shop):
    shop.spoil(
        "scenario", ("ground goat: {price: 9.99/lb, want: 12 lb}",
                     "ground goat: {price: 9.99/lb, want: 1 lb, "
                     "markdown: {price: 8.99/lb, want: {sat: 4 lb}}}"),
        ("  leg roast:\n    price: 60/each\n    want: {fri: 2, sat: 3}",
         "  leg roast: {price: 60/each, want: {fri: 2, sat: 9}, "
         "orders: [{day: sat, amount: 1, for: a golden wedding}]}"),
    )  # fmt: skip
    plan = plan_of(shop.week)
    days = plan_text(plan).split("\n\n")
    friday = next(part for part in days if part.startswith("FRI 4 DEC"))
    saturday = next(part for part in days if part.startswith("SAT 5 DEC"))
    assert "set aside: 9.0 lb shoulder roast for the corner bistro" in friday
    assert "set aside: 1 leg roast for a golden wedding" in saturday
    assert "grind: ground goat" in saturday
    marked = sum(sale.amount for sale in plan.sales if sale.to == "markdown" and sale.day == 5)
    assert marked > 0
    assert "mark down: " in saturday
    for number, name in enumerate(DAYS):
        lots = {each.lot for each in plan.breaks if each.day == number}
        told = "".join(part for part in days if part.startswith(name)).count("\n  from ")
        assert told == (len(lots) if len(lots) > 1 else 0)


DAYS = ("MON 30 NOV", "TUE 1 DEC", "WED 2 DEC", "THU 3 DEC", "FRI 4 DEC", "SAT 5 DEC")


def test_a_week_over_new_year_has_both_years(shop):
    shop.spoil("scenario", ("starts: 2026-11-30", "starts: 2026-12-28"))
    assert "mon 28 dec 2026 to sat 2 jan 2027" in plan_text(plan_of(shop.week))


def test_long_names_of_pieces_and_a_search_cut_short_stay_inside_the_width(shop, monkeypatch):
    long = "bone-in shoulder with the hock and jowl and a lot of neck"
    shop.spoil("recipe", ("  leg:\n", f"  {long}:\n"), ("leg: 2 at 16%", f"{long}: 2 at 16%"))
    shop.spoil(
        "scenario",
        ("{leg: 2 at 6.1 lb, keeps: 2 days}",
         f"{{{long}: up to 40 boxed primal pieces at 6.1 lb, keeps: 6 days, cost: 9/lb}}"),
        ("at least 1 leg: whole", f"at most 1 {long}: whole"),
        ("starts: 2026-11-30\ndays: 6", "starts: 2026-11-30\ndays: 12"),
        ("arrives: mon", "arrives: 2026-11-30"), ("arrives: wed", "arrives: 2026-12-09"),
        ("day: fri", "day: 2026-12-04"),
    )  # fmt: skip
    plan = plan_of(shop.week)
    late = replace(plan, status="time limit", bound=plan.score + 404.12, orders_proven=False)
    text = plan_text(late)
    assert "boxed primal pieces" in text and "was not settled" in " ".join(text.split())
    assert max(map(len, text.splitlines())) <= 100
