"""A morning's cutting list as the maps and lists of its JSON."""

from __future__ import annotations

from typing import Any

from planner.ask.crew import Stint
from planner.ask.jobs import Job
from planner.ask.morning import HangingLot, Morning
from planner.ask.trays import BatchSheet, letters
from planner.show.data import Data, head, shape
from planner.show.dates import show_time
from planner.show.later import LATER
from planner.show.missing import missing_words

_WAITING = shape("for = buyer, day: day, cut, amount: amount")
_OUTPUT = shape("name, count, weight = pounds: weight")
_LOTS = shape("lot = 0, count = 1")
_ROTA = shape("late: number, enough cutters = enough")
_LOT = shape("species = recipe.species, piece, weight of one = weight: weight")
_HEAD = shape("arrive = came, cut = down, left = hang, wasted = gone")
_JOB = shape(
    "species, piece, way, tool, count, weight = pounds: weight, minutes: number,"
    "lots = breaks: lots, gives: output",
    lots=shape("lot, count"),
    output=_OUTPUT,
)
_BATCH = shape(
    "blend = batch.blend, made = batch.made: weight, batches = batch.batches,"
    "fat = batch.fat: number, minutes = batch.minutes: number, from = takes: take,"
    "orders = waiting: waiting",
    take=shape(
        "tray = letter: text, cut, weight = pounds: weight, lots = traces: trace",
        trace=shape("lot, day: day, weight = pounds: weight"),
    ),
    waiting=_WAITING,
)
_TRAY = shape(
    "cut, on hand = had: weight, made: weight, blended = used: weight, sold: weight,"
    "wasted: weight, left: weight"
)
_COUNTER = shape(
    "case: case, orders = wraps: wrap",
    case=shape(
        "cut, put out = out: amount, of before = older: amount, made: amount,"
        "marked down = marked: amount, markdown price = marked_price: price, price: price,"
        "keep: amount, keep until = keeps_until: date, orders = held: waiting",
        waiting=_WAITING,
    ),
    wrap=shape("for = buyer, cut, ordered: amount, amount: amount, of before = older: amount"),
)
_PIECE_LEAVING = shape("piece = name, count = gone: count, weight = pounds: weight")
_CUT_LEAVING = shape(
    "cut = name, on hand = there: amount of name, used: amount of name,"
    "wasted = gone: amount of name"
)
_WHOLE = shape("species, piece, count, keep until = until: date")
_BENCH = shape("minutes: number, available: number, overtime: number")


def morning_data(morning: Morning, begins: float) -> dict[str, Any]:
    """The list of a day.

    Weights are in the scenario's unit, amounts of cuts sold by each are counts. `minute` counts
    from `begins`. `job` and `batch` of a stint are positions in `jobs` and `batches`, one of them
    null, both where the cutter waits. `until`, `enough cutters`, a batch's `fat` and a lot in
    `lots` are null where there is none, or none is known.
    """
    plan, scenario, rota = morning.plan, morning.plan.scenario, morning.rota
    data, tray_of, hints = Data(scenario), letters(plan), missing_words(scenario)

    def arrived(each: HangingLot) -> dict[str, Any]:
        lot = scenario.lots[each.lot]
        return {"lot": each.lot, **data.one(_LOT, lot), **data.one(_HEAD, each)}

    def job(each: Job) -> dict[str, Any]:
        trays = [{"tray": tray_of[it.name], **data.one(_OUTPUT, it)} for it in each.trays]
        waiting = data.all(_WAITING, each.waiting)
        return {**data.one(_JOB, each), "trays": trays, "orders": waiting}

    def batch(each: BatchSheet) -> dict[str, Any]:
        name = f"{scenario.day_labels[each.batch.day]}-{each.number}"
        return {"batch": name, **data.one(_BATCH, each)}

    def stint(each: Stint) -> dict[str, Any]:
        jobs = len(morning.jobs)
        cuts = each.job is not None and each.job < jobs
        return {
            "cutter": each.cutter + 1,
            "job": each.job if cuts else None,
            "batch": None if cuts or each.job is None else each.job - jobs,
            "count": each.count,
            "lots": data.all(_LOTS, each.lots),
            "minute": data.number(each.begins),
            "minutes": data.number(each.ends - each.begins),
            "time": show_time(begins + each.begins),
            "orders": data.all(_WAITING, morning.dealt.get(each, ())),
        }

    return {
        **head(scenario),
        "day": scenario.day_labels[morning.day],
        "date": scenario.date(morning.day).isoformat(),
        "bench": data.one(_BENCH, plan.bench[morning.day]),
        "cutters": rota.cutters,
        "begins": show_time(begins),
        "ends": show_time(begins + rota.ends),
        "until": None if rota.until is None else show_time(begins + rota.until),
        "minutes": data.number(rota.ends),
        **data.one(_ROTA, rota),
        "head": [arrived(each) for each in morning.heads],
        "jobs": [job(each) for each in morning.jobs],
        "batches": [batch(each) for each in morning.sheets],
        "stints": [stint(each) for each in rota.stints],
        "trays": [{"tray": tray_of[it.cut], **data.one(_TRAY, it)} for it in morning.trays],
        **data.one(_COUNTER, morning),
        **({"hints": list(hints)} if hints else {}),
        **({"later": data.all(LATER, plan.later)} if plan.later else {}),
        "out of date": [
            data.one(_PIECE_LEAVING if each.piece else _CUT_LEAVING, each)
            for each in morning.leaving
        ],
        "left whole": data.all(_WHOLE, morning.whole),
    }
