"""`breakplan week` and `morning` in a shop folder: plan, cut, sell, plan again."""

from __future__ import annotations

import json
import re
from collections import Counter
from datetime import date, timedelta

import pytest

from planner.ask.change_base import ChangedFact
from planner.core.errors import InputError, Problem
from planner.core.units import Quantity
from planner.files.shop_file import read_shop
from planner.journal.entries import (
    BatchMade,
    BreakDone,
    Count,
    Delivery,
    OrderTaken,
    PlanKept,
    Sold,
    Weighed,
)
from planner.journal.store import Journal
from planner.shop.plans.posted import read_kept
from planner.show.changes import fact_text
from tests.shops import shop_folder
from tests.two_measures import thorough

MON = date(2026, 11, 30)
TUE, WED, THU, FRI = (MON + timedelta(days=days) for days in (1, 2, 3, 4))
LABELS = ("mon", "tue", "wed", "thu", "fri", "sat")


class Block:
    """A shop folder at work: what day it is, what is entered, what is planned."""

    def __init__(self, folder, breakplan, clock_at):
        self.folder, self._run, self.today = folder, breakplan, clock_at
        with Journal(folder / "journal.db", create=True):
            pass
        self.today(MON)

    def enter(self, *entries):
        with Journal(self.folder / "journal.db") as journal:
            return journal.add(entries)

    def plans(self):
        with Journal(self.folder / "journal.db") as journal:
            recorded = journal.recorded()
        kept = [each for each in recorded if isinstance(each.entry, PlanKept)]
        return [(each.number, read_kept(each.entry.plan)) for each in kept]

    def run(self, *words, code=0):
        ran = self._run(*words)
        assert ran.code == code, ran
        return ran

    def text(self, *words):
        return self.run("week", "--shop", self.folder, *words).out

    def json(self, *words):
        return json.loads(self.run("week", "--shop", self.folder, *words, "--json").out)

    def as_planned(self, plan, day, *, sold=True):
        """Enter a day of a plan as if it went to the ounce."""
        kept = self.plans()[-1][1]
        entries = [
            BreakDone(day, each.piece, each.way, each.count)
            for each in kept.breaks
            if each.day == day
        ]
        entries += [
            BatchMade(
                day,
                each.blend,
                each.pounds,
                tuple(Weighed(take.what, take.count, take.pounds) for take in each.takes),
            )
            for each in kept.batches
            if each.day == day
        ]
        for sale in plan["sales"] if sold else ():
            if sale["day"] == LABELS[day.weekday()] and sale["to"] in ("walk-in", "markdown"):
                by_each = sale["cut"] == "frenched rack"
                entries.append(Sold(day, f"lamb {sale['cut']}", Quantity(sale["amount"], by_each)))
        if entries:
            self.enter(*entries)


@pytest.fixture
def block(tmp_path, breakplan, clock_at):
    found = Block(shop_folder(tmp_path / "mine"), breakplan, clock_at)
    found.enter(
        Delivery(MON, "lamb carcass", 3, (58.0,), 7.1),
        Delivery(WED, "lamb carcass", 1, (57.0,)),
        OrderTaken(FRI, "lamb shoulder roast", Quantity(5.0), "the corner bistro"),
    )
    return found


def breaks(plan, first="mon"):
    days = LABELS[LABELS.index(first) :]
    found = {}
    for each in plan["breaks"]:
        if each["day"] in days:
            key = (each["day"], each["piece"], each["way"])
            found[key] = found.get(key, 0) + each["count"]
    return found


def test_a_week_of_a_shop(block):
    """Monday's plan, two days as planned, then an order and a count that nobody expected."""
    plan = block.json()
    ((entry, kept),) = block.plans()
    assert (plan["entry"], plan["against"]) == (entry, None)
    assert (kept.first, kept.until) == (MON, MON + timedelta(days=5))
    assert sum(each.count for each in kept.breaks) == sum(breaks(plan).values())

    again = block.json()
    assert (again["entry"], again["against"]["same"]) == (None, True)
    same = ("breaks", "sales", "blends", "score", "bound", "within")
    assert [again[part] for part in same] == [plan[part] for part in same]
    assert f"Nothing has changed since entry {entry}: its list stays." in block.text()
    assert len(block.plans()) == 1

    for day, done in ((TUE, MON), (WED, TUE)):
        block.as_planned(plan, done)
        block.today(day)
        later = block.json()
        assert breaks(later) == breaks(plan, LABELS[day.weekday()])
        assert later["against"]["same"]
        assert later["against"]["otherwise"] == []
    assert len(block.plans()) == 1

    block.enter(
        OrderTaken(FRI, "lamb boneless leg", Quantity(9.0), "a wedding"),
        Count(WED, "open", "lamb shoulder roast", Quantity(1.0)),
    )
    looked = block.json("--look")
    assert looked["entry"] is None
    assert len(block.plans()) == 1
    against = looked["against"]
    assert (against["entry"], against["listed"]) == (entry, sum(breaks(later).values()))
    assert [each["kind"] for each in against["otherwise"]] == ["order", "case"]
    order, case = against["otherwise"]
    assert (order["what"], order["after"], order["day"]) == ("boneless leg", 9.0, "2026-12-04")
    assert order["money"] == pytest.approx(9.0 * 20.99)
    assert (case["what"], case["after"]) == ("shoulder roast", 1.0)
    assert case["before"] == pytest.approx(kept.mornings[2].cuts["lamb shoulder roast"])
    assert against["changes"]
    for change in against["changes"]:
        assert change["why"], change
        spot = change["before"] or change["after"]
        assert spot["day"] >= WED.isoformat()
    moved = sum(each["count"] for each in against["changes"] if each["before"])
    assert sum((Counter(breaks(later)) - Counter(breaks(looked))).values()) == moved
    assert 0 <= against["costs"] <= 5.0
    best = block.json("--look", "--calm", "0")
    assert best["score"] - looked["score"] == pytest.approx(against["costs"], abs=0.02)
    assert looked["bound"] >= best["score"] - 0.02
    gone = Counter(breaks(later))
    assert sum((gone - Counter(breaks(best))).values()) >= moved
    keeping = against["keeping"]
    assert keeping["possible"]
    assert 5.0 < keeping["costs least"] <= keeping["costs most"]
    assert best["score"] - keeping["costs most"] <= best["bound"] - keeping["costs least"]

    text = block.text()
    assert f"AGAINST the plan of mon 30 nov (entry {entry}):" in text
    assert "why: a new order: 9.0 lb boneless leg for a wedding on fri" in text
    assert "less shoulder roast in the case than planned (1.0 lb there)" in text
    assert re.search(r"Keeping the whole list would cost \$[0-9.]+ to \$[0-9.]+\.", text)
    assert max(map(len, text.splitlines())) <= 100
    number, replanned = block.plans()[-1]
    assert f"Kept as entry {number}." in text
    assert (replanned.first, len(block.plans())) == (WED, 2)
    assert "Nothing has changed" in block.text()
    assert block.json("--look", "--against", entry)["against"]["changes"] == against["changes"]

    morning = block.run("morning", "--shop", block.folder, "--json").out
    jobs = [(job["piece"], job["way"], job["count"]) for job in json.loads(morning)["jobs"]]
    today = [key for key in breaks(looked) if key[0] == "wed"]
    assert sorted(jobs) == sorted((piece, way, breaks(looked)["wed", piece, way])
                                  for _, piece, way in today)  # fmt: skip
    assert len(block.plans()) == 2


def test_a_kept_plan_is_listed_by_its_number(block):
    plan = block.json()
    told = block.run("journal", "--shop", block.folder, str(plan["entry"])).out
    for each in block.plans()[-1][1].breaks:
        assert f"{each.count} {each.piece}: {each.way}" in " ".join(told.split())
    assert len([line for line in told.splitlines() if line.startswith("  mon 30 nov:")]) == 1


def test_what_was_done_today_comes_off_the_list(block):
    plan = block.json()
    ((_, kept),) = block.plans()
    done = [each for each in kept.breaks if each.day == MON]
    block.enter(BreakDone(MON, done[0].piece, done[0].way, done[0].count))
    later = block.json()
    piece = done[0].piece.removeprefix("lamb ")
    assert later["against"]["same"], later["against"]
    left = breaks(plan)
    del left["mon", piece, done[0].way]
    assert breaks(later) == left


def test_a_day_that_nobody_entered_is_told(block):
    """The meat counts as uncut, and the list cannot be what it was."""
    block.json()
    ((entry, kept),) = block.plans()
    listed = sum(each.count for each in kept.breaks if each.day == MON)
    block.today(TUE)
    found = block.json("--look", "--calm", "0")["against"]
    assert found["otherwise"][0]["kind"] == "day"
    assert found["otherwise"][0]["before"] == listed
    text = block.text("--look", "--calm", "0")
    pieces = f"{listed} piece{'s' if listed > 1 else ''}"
    assert f"nothing listed on mon was entered as cut ({pieces})" in " ".join(text.split())
    assert f"(entry {entry})" in text


def test_the_evening_before(block):
    """Tomorrow's list is made tonight: `morning` shows it, and `week` holds to it."""
    plan = block.json()
    block.as_planned(plan, MON)
    block.enter(OrderTaken(TUE, "lamb loin chops", Quantity(14.0), "the inn"))
    tomorrow = block.json("--from", "tue")
    assert tomorrow["days"][0] == "tue"
    number, kept = block.plans()[-1]
    assert (kept.first, tomorrow["entry"]) == (TUE, number)
    sheet = json.loads(block.run("morning", "--shop", block.folder, "--day", "tue", "--json").out)
    told = {(job["piece"], job["way"], job["count"]) for job in sheet["jobs"]}
    assert told == {
        (each["piece"], each["way"], each["count"])
        for each in tomorrow["breaks"]
        if each["day"] == "tue"
    }
    assert told
    held = block.json("--look")
    assert breaks(held, "tue") == breaks(tomorrow)
    block.today(TUE)
    assert block.json()["against"]["same"]


def test_a_morning_that_no_plan_covers_is_planned_and_kept(block):
    ran = block.run("morning", "--shop", block.folder)
    ((number, _),) = block.plans()
    assert f"this one is kept as entry {number}" in ran.err
    again = block.run("morning", "--shop", block.folder)
    assert (again.out, again.err) == (ran.out, "")
    assert block.json()["against"]["same"]
    block.run("morning", "--shop", block.folder, "--day", "2026-12-08", "--look")
    assert len(block.plans()) == 1


def test_a_sheet_for_the_week_after_is_weighed_in_and_not_held_to(block):
    """It is what that day goes by if nothing else is shown; the week itself is planned anew."""
    block.run("morning", "--shop", block.folder, "--day", "2026-12-08")
    _, kept = block.plans()[-1]
    assert kept.sheet
    assert kept.first == date(2026, 12, 8)
    block.today(date(2026, 12, 8))
    block.enter(Delivery(date(2026, 12, 8), "lamb carcass", 2, (58.0,)))
    assert "this one is kept" in block.run("morning", "--shop", block.folder).err
    assert block.plans()[-1][1].breaks


def test_what_the_morning_shows_is_what_is_weighed_in(block):
    """Also where only the batches are others than those of the plan on the wall."""
    block.json()
    ((wall, _),) = block.plans()
    block.enter(Delivery(MON, "lamb carcass", 1, (80.0,)))
    sheets = [
        json.loads(block.run("morning", "--shop", block.folder, "--json", *day).out)
        for day in ((), ("--day", "fri"))
    ]
    assert [number for number, _ in block.plans()][1:], "the sheet differs from the plan kept"
    assert len(block.plans()) == 2
    block.run("morning", "--shop", block.folder)
    assert len(block.plans()) == 2
    _, kept = block.plans()[-1]
    for sheet, day in zip(sheets, (MON, FRI), strict=True):
        shown = {each["blend"]: each["made"] for each in sheet["batches"]}
        told = {
            each.blend.removeprefix("lamb "): each.pounds
            for each in kept.batches
            if each.day == day
        }
        assert {name.removeprefix("lamb "): made for name, made in shown.items()} == pytest.approx(
            told, abs=0.01
        )
        assert [(each["piece"], each["count"]) for each in sheet["jobs"]] == [
            (each.piece.removeprefix("lamb "), each.count)
            for each in kept.breaks
            if each.day == day
        ]
    against = block.json("--look")["against"]
    assert against["entry"] == wall  # which is what hangs on the wall


def test_head_is_bought_otherwise(tmp_path, breakplan, clock_at):
    offers = "offers:\n  - {lamb: up to 2 head at 55 lb, arrives: wed, cost: 7.60/lb}\n"
    block = Block(shop_folder(tmp_path, more=offers), breakplan, clock_at)
    block.enter(Delivery(MON, "lamb carcass", 1, (58.0,)))
    plan = block.json()
    (bought,) = plan["bought"]
    dear = (block.folder / "shop.yaml").read_text().replace("cost: 7.60/lb", "cost: 60/lb")
    (block.folder / "shop.yaml").write_text(dear)
    answer = block.json("--calm", "0")
    (change,) = answer["against"]["bought"]
    assert (change["before"], change["after"]) == (bought["head"], 0)
    assert change["day"] == WED.isoformat()


def test_what_the_files_say_otherwise(block):
    block.json()
    path = block.folder / "shop.yaml"
    text = path.read_text()
    for old, new in (
        (
            "loin chops: {price: 23.99/lb, want: 20 lb}",
            "loin chops: {price: 21.99/lb, want: 14 lb}",
        ),
        ("thu: 120", "thu: 60"),
        ("carry: 40%", "rules: [at least 1 loin: racks]\ncarry: 40%"),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    path.write_text(text)
    recipe = block.folder / "recipes" / "lamb.yaml"
    old = "shoulder roast: 68%, trim 80: 10%"
    assert recipe.read_text().count(old) == 1
    recipe.write_text(recipe.read_text().replace(old, "shoulder roast: 64%, trim 80: 14%"))
    facts = {each["kind"]: each for each in block.json("--calm", "0")["against"]["otherwise"]}
    assert set(facts) == {"price", "want", "bench", "rule", "yield"}
    assert (facts["price"]["before"], facts["price"]["after"]) == (23.99, 21.99)
    assert (facts["want"]["before"], facts["want"]["after"]) == pytest.approx((20.0, 14.0))
    assert (facts["bench"]["day"], facts["bench"]["after"]) == (THU.isoformat(), 60.0)
    assert facts["rule"]["what"] == "at least 1 loin: racks"
    assert facts["yield"]["gives"] == "shoulder roast"


def test_the_rest_of_what_the_files_say_is_compared_too(tmp_path, breakplan, clock_at):
    offers = "offers:\n  - {lamb: up to 2 head at 55 lb, arrives: wed, cost: 7.60/lb}\n"
    block = Block(shop_folder(tmp_path / "mine", more=offers), breakplan, clock_at)
    block.enter(Delivery(MON, "lamb carcass", 3, (58.0,), 7.1))
    block.json()
    path = block.folder / "shop.yaml"
    text = path.read_text()
    for old, new in (
        ("carry: 40%", "carry: 20%"),
        ("thu: 120", "thu: 117"),
        ("up to 2 head", "up to 1 head"),
        ("cost: 7.60/lb", "cost: 9.60/lb"),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    path.write_text(text)
    answer = block.json("--look", "--calm", "0")["against"]
    facts = {each["kind"]: each for each in answer["otherwise"]}
    assert {"shop", "offer", "offer cost"} <= set(facts) <= {"shop", "offer", "offer cost", "bench"}
    assert ("bench" in facts) == bool(answer["changes"] or answer["bought"])
    assert (facts["shop"]["what"], facts["shop"]["after"]) == ("carry", 0.2)
    assert (facts["offer"]["before"], facts["offer"]["after"]) == (2, 1)
    assert not answer["same"]


def test_a_plan_of_an_older_version_is_not_said_to_be_made_of_the_same(block):
    block.json()
    ((_, kept),) = block.plans()
    data = json.loads(kept.text())
    week, first = data.pop("week"), {"format": "breakplan-kept/1", "facts": "x"}
    del data["short"], week["bench"]["limit"]
    first |= {"wants": {name: [*days.values()] for name, days in week["want"].items()}}
    first |= {"prices": week["price"], "bench": [*week["bench"].values()]}
    first |= {"rules": [*week.get("rule", ())], "yields": week["yield"]}
    block.enter(PlanKept(MON, json.dumps(data | first)))
    path = block.folder / "shop.yaml"
    path.write_text(path.read_text().replace("carry: 40%", "carry: 1%"))
    assert "Nothing is otherwise" not in block.text("--look", "--calm", "0")


@pytest.mark.parametrize("day", ["wed", "sat", *thorough("tue", "thu", "fri")])
def test_a_plan_from_any_day_where_none_before_it_was_entered(block, day):
    """What is made and cut up on one day lies in the cooler on no morning, and has a weight."""
    block.json()
    kinds = {each["kind"] for each in block.json("--from", day, "--look")["against"]["otherwise"]}
    assert "day" in kinds
    block.today(TUE)
    block.as_planned(block.json("--from", "tue"), TUE)
    assert block.json("--from", day, "--look")["against"]["entry"]


@pytest.mark.thorough
def test_both_species_from_every_day(tmp_path, breakplan, clock_at):
    """Feet that a day's list would have cut off and used up, and that are out of date since."""
    assert breakplan("start", tmp_path / "both", "--species", "lamb,hog").code == 0
    block = Block(tmp_path / "both", breakplan, clock_at)
    block.enter(
        Delivery(MON, "lamb carcass", 3, (57.5, 58.0, 61.0), 7.1),
        Delivery(MON, "hog side", 2, (91.0, 93.0), 3.1),
    )
    coarse = ("--within", "5%", "--calm", "0")
    block.as_planned(block.json(*coarse), MON, sold=False)
    block.today(TUE)
    block.json(*coarse)
    for day in ("wed", "sat"):
        against = block.json("--from", day, "--look", *coarse)["against"]
        facts = {each["kind"]: each for each in against["otherwise"]}
        assert facts["day"]["after"] == 0
        for each in against["otherwise"]:
            if each["kind"] == "cooler":
                assert min(each["weight"]) >= 0
                assert max(each["weight"]) > 0
        if day == "sat":  # wednesday's head was not entered: a delivery, not carcasses too
            came = {each["what"] for each in against["otherwise"] if each["kind"] == "delivery"}
            lies = {each["what"] for each in against["otherwise"] if each["kind"] == "cooler"}
            assert "carcass" in {each.removeprefix("lamb ") for each in came}
            assert "carcass" not in lies


def test_an_order_that_was_short_already_is_no_reason_to_plan_again(block):
    block.enter(OrderTaken(WED, "lamb loin chops", Quantity(300.0), "the big hotel"))
    assert block.json()["against"] is None
    said = block.run("morning", "--shop", block.folder).err
    assert "plan again" not in said
    assert "the big hotel stays" in said
    assert "loin chops short on wed" in said
    block.enter(OrderTaken(THU, "lamb shoulder roast", Quantity(300.0), "the inn"))
    assert "plan again: breakplan week" in block.run("morning", "--shop", block.folder).err
    block.json()
    assert "plan again" not in block.run("morning", "--shop", block.folder).err


def test_a_carcass_not_broken_is_one_fact(block):
    """The plan of Tuesday was made as if Monday's carcass had been broken."""
    block.enter(BreakDone(MON, "lamb carcass", "block break", 1))
    block.today(TUE)
    block.json()
    with Journal(block.folder / "journal.db") as journal:
        number = next(each for each in journal.recorded() if isinstance(each.entry, BreakDone))
        journal.undo(number.writing)
    cooler = [
        each for each in block.json("--look")["against"]["otherwise"] if each["kind"] == "cooler"
    ]
    assert [(each["what"], each["way"]) for each in cooler] == [("carcass", "block break")]
    assert cooler[0]["after"] - cooler[0]["before"] == 1


def test_a_delivery_that_is_heavier(block):
    block.json()
    with Journal(block.folder / "journal.db") as journal:
        journal.undo(1)
    block.enter(
        Delivery(MON, "lamb carcass", 3, (63.0,), 7.1),
        Delivery(WED, "lamb carcass", 1, (57.0,)),
        OrderTaken(FRI, "lamb shoulder roast", Quantity(7.0), "the corner bistro"),
    )
    facts = {each["kind"]: each for each in block.json("--calm", "0")["against"]["otherwise"]}
    assert set(facts) == {"delivery", "order"}
    assert facts["delivery"]["weight"] == [174.0, 189.0]
    assert (facts["order"]["before"], facts["order"]["after"]) == (5.0, 7.0)


def test_what_can_be_otherwise_in_words(tmp_path):
    scenario = read_shop(shop_folder(tmp_path, ("unit: lb", "unit: kg")))[0].week(MON)
    kilo = 1 / 0.45359237
    for fact, said in (
        (
            ChangedFact("day", "", 3, 0, MON),
            "nothing listed on mon was entered as cut (3 pieces): it counts as uncut",
        ),
        (
            ChangedFact("cutting", "leg", 4, 1, TUE, "whole"),
            "1 leg: whole cut on tue, 4 listed",
        ),
        (
            ChangedFact("delivery", "carcass", 3, 2, MON, pounds=(9.0, 6.0)),
            "2 carcasses came on mon, 3 expected",
        ),
        (
            ChangedFact("delivery", "carcass", 2, 2, MON, pounds=(50 * kilo, 52 * kilo)),
            "2 carcasses that came on mon weigh 52.0 kg, not 50.0 kg",
        ),
        (
            ChangedFact("cooler", "leg", 4, 2, pounds=(9.0, 6.0)),
            "2 fewer legs in the cooler than planned (2 there)",
        ),
        (
            ChangedFact("cooler", "carcass", 2, 3, way="block break", pounds=(9.0, 6.0)),
            "1 more carcass in the cooler than planned (3 there): not cut by block break",
        ),
        (
            ChangedFact("shop", "overtime", 60, 0),
            "overtime may be 0 min a day instead of 60",
        ),
        (
            ChangedFact("shop", "overtime cost", 0.5, 0.75),
            "overtime costs $0.75 a minute instead of $0.50",
        ),
        (
            ChangedFact("shop", "carry", 0.4, 0.2),
            "what is carried over counts 20.0% of its price instead of 40.0%",
        ),
        (
            ChangedFact("shop", "disposal", 1.0, 2.0),
            "disposal costs $4.41/kg instead of $2.20/kg",
        ),
        (ChangedFact("shop", "bench", 1, 0), "the bench no longer has a limit"),
        (ChangedFact("keeps", "leg", 3, 1), "leg: keeps 1 day instead of 3"),
        (
            ChangedFact("minutes", "leg", 7, 7.5, way="boneless"),
            "leg: boneless takes 7.5 min instead of 7",
        ),
        (
            ChangedFact("markdown", "frenched rack", 50, 40),
            "frenched rack marked down to $40.00 each instead of $50.00 each",
        ),
        (ChangedFact("markdown", "loin chops", 0, 4), "a new markdown for loin chops"),
        (
            ChangedFact("markdown want", "loin chops", 4 * kilo, 2 * kilo),
            "2.0 kg loin chops wanted at the markdown instead of 4.0 kg",
        ),
        (
            ChangedFact("offer", "carcass", 1, 2, WED),
            "up to 2 carcasses on offer on wed instead of 1",
        ),
        (ChangedFact("offer", "carcass", 1, 0, WED), "carcass no longer on offer on wed"),
        (
            ChangedFact("offer cost", "carcass", 1.0, 2.0, WED),
            "carcass on offer on wed at $4.41/kg instead of $2.20/kg",
        ),
        (
            ChangedFact("case", "loin chops", 4 * kilo, 0.0),
            "4.0 kg less loin chops in the case than planned (none there)",
        ),
        (
            ChangedFact("case", "frenched rack", 1, 3),
            "2 more frenched rack in the case than planned (3 there)",
        ),
        (
            ChangedFact("order", "frenched rack", 2, 0, FRI, buyer="the inn"),
            "the order of 2 frenched rack for the inn on fri is dropped",
        ),
        (
            ChangedFact("order", "frenched rack", 2, 3, FRI, buyer="the inn"),
            "the order of the inn is now 3 frenched rack on fri (it was 2)",
        ),
        (
            ChangedFact("want", "loin chops", 4 * kilo, 4 * kilo),
            "4.0 kg loin chops wanted as before, on other days",
        ),
        (
            ChangedFact("price", "frenched rack", 76, 79),
            "frenched rack at $79.00 each instead of $76.00 each",
        ),
        (ChangedFact("bench", "", 120, 90, TUE), "the bench on tue is 90 min instead of 120"),
        (ChangedFact("rule", "never leg: whole", 1, 0), 'rule lifted: "never leg: whole"'),
        (ChangedFact("way", "leg", 1, 0, way="seams"), 'no recipe has "seams" of leg any more'),
        (
            ChangedFact("yield", "leg", 0.7, 0.68, way="boneless", gives="boneless leg"),
            "leg: boneless gives 68.0% boneless leg instead of 70.0%",
        ),
    ):
        assert fact_text(scenario, fact) == said


def test_tables_and_page_and_the_hour(block, tmp_path):
    page, tables = tmp_path / "week.html", tmp_path / "tables"
    out = block.text("--from", "7:30", "--from", "tue", "--page", page, "--csv", tables)
    assert f"written: {page}" in out
    assert "Kept as entry" in out
    assert "7:30" in page.read_text()
    assert (tables / "breaks.csv").is_file()
    ((_, kept),) = block.plans()
    assert kept.first == TUE


def test_a_scenario_file_in_a_shop_folder_is_planned_as_ever(block, monkeypatch, shop):
    monkeypatch.chdir(block.folder)
    out = block.run("week", shop.week).out
    monkeypatch.chdir(shop.folder)
    assert block.run("week", shop.week).out == out
    assert "Kept" not in out
    assert block.plans() == []


def test_a_shop_folder_may_stand_in_place_of_a_file(block):
    assert "Kept as entry" in block.run("week", block.folder).out
    assert block.run("morning", block.folder).out


def test_where_the_journal_cannot_be_written_nothing_is_told(block, monkeypatch):
    """A list on the wall that the journal does not know would be held against nothing tomorrow."""

    def fail(self, entries):
        raise InputError([Problem("journal.db", 0, "cannot be written")])

    monkeypatch.setattr(Journal, "add", fail)
    ran = block.run("week", "--shop", block.folder, code=2)
    assert ran.out == ""
    assert ran.err == "journal.db: cannot be written; plan without keeping it: --look"
    assert block.text("--look")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["week", "{shop}", "--against", "3"], "--against: entry 3 is not a plan that covers"),
        (["week", "{shop}", "--from", "7:00"], "--from: is for the sheets of --page"),
        (["week", "--shop", "{shop}", "--changes", "x.yaml"], "--changes: is for scenario files"),
        (["week", "--shop", "{shop}", "corner-shop"], "corner-shop is a scenario file"),
        (["week", "corner-shop", "--from", "wed"], "--from: is for a shop folder"),
        (["week", "corner-shop", "--look"], "--look: is for a shop folder"),
        (["week", "corner-shop", "--against", "4"], "--against: is for a shop folder"),
        (["morning", "corner-shop", "--calm", "1"], "--calm: is for a shop folder"),
        (["week"], "FILE: none is named, and there is no shop.yaml here"),
        (["morning"], "FILE: none is named, and there is no shop.yaml here"),
        (["week", "--shop", "{none}"], "there is no shop.yaml in it"),
    ],
)
def test_what_does_not_go_together_is_told_in_one_line(block, monkeypatch, tmp_path, words, said):
    monkeypatch.chdir(tmp_path)
    places = {"shop": block.folder, "none": tmp_path}
    ran = block.run(*[word.format(**places) for word in words], code=2)
    assert said in ran.err
    assert len(ran.err.splitlines()) == 1
    assert block.plans() == []


@pytest.mark.parametrize(
    ("begins", "said"),
    [
        (["blub"], 'no day called "blub"; write one such as wed, 2 dec or 2026-12-02'),
        (["wednesdy"], 'no day called "wednesdy"; did you mean "wednesday"?'),
        (["tue", "wed"], "tue and wed are two days: name one"),
        (["7:00", "8"], "7:00 and 8 are two times: name one"),
        (["2026-11-29"], "2026-11-29 is over; today is 2026-11-30"),
        (["2026-02-30"], "there is no day 2026-02-30 in the calendar"),
    ],
)
def test_a_day_or_a_time_that_cannot_be_meant(block, begins, said):
    words = [word for text in begins for word in ("--from", text)]
    ran = block.run("week", "--shop", block.folder, *words, code=2)
    assert said in " ".join(ran.err.replace("│", " ").split())
