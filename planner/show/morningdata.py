"""A morning's cutting list as the maps and lists of its JSON."""

from __future__ import annotations

import json
from typing import Any

from planner.ask.counter import CaseLine, Leaving, Wrap
from planner.ask.crew import Stint
from planner.ask.jobs import Job, Thing, Waiting
from planner.ask.morning import Head, Morning
from planner.ask.trays import Sheet, Tray, letters
from planner.show.amounts import Figures
from planner.show.dates import show_time
from planner.show.json import FORMAT
from planner.show.later import later_data
from planner.show.missing import missing_words


def morning_json(morning: Morning, begins: float) -> str:
    """The list as JSON text; see `morning_data`."""
    return json.dumps(morning_data(morning, begins), indent=1, ensure_ascii=False)


def morning_data(morning: Morning, begins: float) -> dict[str, Any]:
    """The list of a day.

    Weights are in the scenario's unit, amounts of cuts sold by each are counts. `minute` counts
    from `begins`. `job` and `batch` of a stint are positions in `jobs` and `batches`, one of them
    null, both where the cutter waits. `until`, `enough cutters`, a batch's `fat` and a lot in
    `lots` are null where there is none, or none is known.
    """
    return _Data(morning, begins).whole()


class _Data:
    """The data of one morning."""

    def __init__(self, morning: Morning, begins: float) -> None:
        self._morning, self._begins = morning, begins
        self._scenario = morning.plan.scenario
        self._figures = Figures(self._scenario)
        self._letters = letters(morning.plan)

    def whole(self) -> dict[str, Any]:
        morning, scenario, number = self._morning, self._scenario, self._figures.number
        rota, bench = morning.rota, morning.plan.bench[morning.day]
        return {
            "format": FORMAT,
            "title": scenario.title,
            "unit": scenario.unit,
            "money": scenario.money,
            "day": scenario.day_labels[morning.day],
            "date": self._date(morning.day),
            "bench": {
                "minutes": number(bench.minutes),
                "available": None if bench.available is None else number(bench.available),
                "overtime": number(bench.overtime),
            },
            "cutters": rota.cutters,
            "begins": show_time(self._begins),
            "ends": show_time(self._begins + rota.ends),
            "until": None if rota.until is None else show_time(self._begins + rota.until),
            "minutes": number(rota.ends),
            "late": number(rota.late),
            "enough cutters": rota.enough,
            "head": [self._head(each) for each in morning.heads],
            "jobs": [self._job(each) for each in morning.jobs],
            "batches": [self._batch(each) for each in morning.sheets],
            "stints": [self._stint(each) for each in rota.stints],
            "trays": [self._tray(each) for each in morning.trays],
            "case": [self._case_line(each) for each in morning.case],
            "orders": [self._wrap(each) for each in morning.wraps],
            **({"hints": list(hints)} if (hints := missing_words(scenario)) else {}),
            **({"later": later_data(morning.plan)} if morning.plan.later else {}),
            "out of date": [self._leaving(each) for each in morning.leaving],
            "left whole": [
                {
                    "species": each.species,
                    "piece": each.piece,
                    "count": each.count,
                    "keep until": self._date(each.until),
                }
                for each in morning.whole
            ],
        }

    def _date(self, day: int) -> str:
        return self._scenario.date(day).isoformat()

    def _head(self, each: Head) -> dict[str, Any]:
        lot = self._scenario.lots[each.lot]
        return {
            "lot": each.lot,
            "species": lot.recipe.species,
            "piece": lot.piece,
            "weight of one": self._figures.weight(lot.weight),
            "arrive": each.came,
            "cut": each.down,
            "left": each.hang,
            "wasted": each.gone,
        }

    def _job(self, job: Job) -> dict[str, Any]:
        return {
            "species": job.species,
            "piece": job.piece,
            "way": job.way,
            "tool": job.tool,
            "count": job.count,
            "weight": self._figures.weight(job.pounds),
            "minutes": self._figures.number(job.minutes),
            "lots": [{"lot": each.lot, "count": each.count} for each in job.breaks],
            "gives": [self._thing(each) for each in job.gives],
            "trays": [
                {"tray": self._letters[each.name], **self._thing(each)} for each in job.trays
            ],
            "orders": [self._waiting(each) for each in job.waiting],
        }

    def _thing(self, thing: Thing) -> dict[str, Any]:
        return {
            "name": thing.name,
            "count": thing.count,
            "weight": self._figures.weight(thing.pounds),
        }

    def _waiting(self, each: Waiting) -> dict[str, Any]:
        return {
            "for": each.buyer,
            "day": self._scenario.day_labels[each.day],
            "cut": each.cut,
            "amount": self._figures.amount(each.cut, each.amount),
        }

    def _batch(self, sheet: Sheet) -> dict[str, Any]:
        batch, number, days = sheet.batch, self._figures.number, self._scenario.day_labels
        return {
            "batch": f"{days[batch.day]}-{sheet.number}",
            "blend": batch.blend,
            "made": self._figures.weight(batch.made),
            "batches": batch.batches,
            "fat": None if batch.fat is None else number(batch.fat),
            "minutes": number(batch.minutes),
            "from": [
                {
                    "tray": take.letter or None,
                    "cut": take.cut,
                    "weight": self._figures.weight(take.pounds),
                    "lots": [
                        {
                            "lot": each.lot,
                            "day": None if each.day is None else days[each.day],
                            "weight": self._figures.weight(each.pounds),
                        }
                        for each in take.traces
                    ],
                }
                for take in sheet.takes
            ],
            "orders": [self._waiting(each) for each in sheet.waiting],
        }

    def _stint(self, each: Stint) -> dict[str, Any]:
        jobs = len(self._morning.jobs)
        cuts = each.job is not None and each.job < jobs
        return {
            "cutter": each.cutter + 1,
            "job": each.job if cuts else None,
            "batch": None if cuts or each.job is None else each.job - jobs,
            "count": each.count,
            "lots": [{"lot": lot, "count": count} for lot, count in each.lots],
            "minute": self._figures.number(each.begins),
            "minutes": self._figures.number(each.ends - each.begins),
            "time": show_time(self._begins + each.begins),
            "orders": [self._waiting(part) for part in self._morning.dealt.get(each, ())],
        }

    def _tray(self, tray: Tray) -> dict[str, Any]:
        weight = self._figures.weight
        return {
            "tray": tray.letter,
            "cut": tray.cut,
            "on hand": weight(tray.had),
            "made": weight(tray.made),
            "blended": {blend: weight(pounds) for blend, pounds in tray.ground.items()},
            "sold": weight(tray.sold),
            "wasted": weight(tray.gone),
            "left": weight(tray.left),
        }

    def _case_line(self, line: CaseLine) -> dict[str, Any]:
        def amount(value: float) -> float:
            return self._figures.amount(line.cut, value)

        return {
            "cut": line.cut,
            "put out": amount(line.out),
            "of before": amount(line.older),
            "made": amount(line.made),
            "marked down": amount(line.marked),
            "markdown price": self._figures.price(line.cut, line.marked_price),
            "price": self._figures.price(line.cut, line.price),
            "keep": amount(line.keep),
            "keep until": None if line.keeps_until is None else self._date(line.keeps_until),
            "orders": [self._waiting(each) for each in line.held],
        }

    def _wrap(self, each: Wrap) -> dict[str, Any]:
        return {
            "for": each.buyer,
            "cut": each.cut,
            "ordered": self._figures.amount(each.cut, each.ordered),
            "amount": self._figures.amount(each.cut, each.amount),
            "of before": self._figures.amount(each.cut, each.older),
        }

    def _leaving(self, each: Leaving) -> dict[str, Any]:
        if each.piece:
            figures = {"count": round(each.gone), "weight": self._figures.weight(each.pounds)}
            return {"piece": each.name, **figures}
        return {
            "cut": each.name,
            "on hand": self._figures.amount(each.name, each.there),
            "used": self._figures.amount(each.name, each.used),
            "wasted": self._figures.amount(each.name, each.gone),
        }
