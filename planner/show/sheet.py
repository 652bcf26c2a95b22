"""A morning put into words, line by line."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby

from planner.ask.counter import CaseLine, Leaving, Wrap
from planner.ask.crew import GRINDER, MOST_CUTTERS, Stint
from planner.ask.jobs import Job, JobOutput, Waiting
from planner.ask.morning import HangingLot, Morning
from planner.ask.trays import BatchSheet, Take, letters
from planner.ask.trim_flow import Flow
from planner.core.quantities import WEEKDAYS, show_count
from planner.show.dates import show_bench, show_date, show_minutes, show_time
from planner.show.later import later_words
from planner.show.layout import clip
from planner.show.missing import missing_words
from planner.show.sheet_lines import (
    BatchTask,
    CaseRow,
    CutterList,
    DaySheet,
    DueOrder,
    Item,
    Spell,
    Task,
    WrapRow,
)
from planner.show.species import FEW, lot_label, lot_name, piece_name
from planner.show.text import show_fat, show_made

NAME = 40  # columns of a name at most
BUYER = 36
PINCH = 1e-3  # pounds that nobody weighs
HALF = 0.5  # minutes of waiting that are not worth a line


def day_sheet(morning: Morning, begins: float) -> DaySheet:
    """Put a morning into words; `begins` is when work starts, in minutes from midnight."""
    return _Words(morning, begins).sheet()


class _Words:
    """The words of one morning."""

    def __init__(self, morning: Morning, begins: float) -> None:
        self._morning, self._begins = morning, begins
        self._plan, self._scenario = morning.plan, morning.plan.scenario
        self._letters = letters(morning.plan)
        self._weight, self._amount = self._scenario.units.weight, self._scenario.show_amount

    def sheet(self) -> DaySheet:
        morning, scenario = self._morning, self._scenario
        cutters = range(morning.rota.cutters)
        return DaySheet(
            label=scenario.day_labels[morning.day],
            title=clip(scenario.title, 2 * NAME),
            date=show_date(scenario, morning.day),
            bench=show_bench(self._plan.bench[morning.day]),
            heads=tuple(self._heads()),
            cutters=tuple(each for each in map(self._cutter, cutters) if each.spells),
            batches=tuple(self._batches()),
            trays=tuple(self._tray(each) for each in morning.trays),
            case=tuple(
                row for row in map(self._case_row, morning.case) if row.out or row.keep or row.held
            ),
            wraps=tuple(self._wrap(each) for each in morning.wraps),
            out=self._leaving([(each, each.gone) for each in morning.leaving]),
            last_day=self._leaving([(each, each.used) for each in morning.leaving]),
            whole=tuple(
                f"{each.count} {self._piece(each.species, each.piece)} till {self._day(each.until)}"
                for each in morning.whole
            ),
            later=tuple(later_words(self._plan)),
            missing=missing_words(scenario),
            done=self._done(),
            late=self._late(),
            alarm=morning.rota.fixed,
        )

    def _some(self, cut: str, amount: float) -> str:
        """An amount; empty for what shows as nothing."""
        shows = (
            amount > 0.5 if self._scenario.cuts[cut].by_each else self._scenario.units.shows(amount)
        )
        return self._amount(cut, amount) if shows else ""

    def _time(self, minutes: float) -> str:
        return show_time(self._begins + minutes)

    def _heads(self) -> Iterator[str]:
        """What comes in and hangs, lot by lot; many pieces that nobody cuts today in one line."""
        lot_of = {each: self._scenario.lots[each.lot] for each in self._morning.heads}
        pieces = [each for each, lot in lot_of.items() if lot.piece not in lot.recipe.roots]
        kinds: Counter[str] = Counter()
        for each, lot in lot_of.items():
            rests = each in pieces and each.hang and not each.down and not each.gone
            if rests and len(pieces) > FEW:
                kinds[lot_name(self._scenario, lot)] += each.hang
            else:
                yield self._head(each)
        if kinds:
            whole = ", ".join(f"{count} {name}" for name, count in kinds.items())
            yield f"in the cooler, not cut today: {whole}"

    def _head(self, head: HangingLot) -> str:
        lot = self._scenario.lots[head.lot]
        there = lot.own_keeps and lot.arrives == 0  # of days before, or bought as pieces
        numbers = {
            "in the cooler" if there else "in today": head.came,
            "to cut today": head.down,
            "stay whole": head.hang,
            "OUT OF DATE TONIGHT": head.gone,
        }
        told = ", ".join(f"{number} {word}" for word, number in numbers.items() if number)
        name = f"lot {head.lot + 1}: {lot_label(self._scenario, head.lot)}"
        return f"{name}: {told}" if told else name

    def _cutter(self, cutter: int) -> CutterList:
        rota = self._morning.rota
        stints = [each for each in rota.of(cutter) if self._is_told(each)]
        spells = tuple(
            Spell(tool, tuple(self._task(each) for each in group))
            for tool, group in groupby(stints, key=self._tool)
        )
        ends = max((each.ends for each in rota.of(cutter)), default=0.0)
        name = f"cutter {cutter + 1}" if rota.cutters > 1 else ""
        return CutterList(name, spells, self._time(ends))

    def _is_told(self, stint: Stint) -> bool:
        """Whether a stint has a line: not a wait of no time, nor, where one does all, the grind."""
        if stint.job is None:
            return stint.ends - stint.begins >= HALF
        if stint.job < len(self._morning.jobs):
            return True
        sheet = self._morning.sheets[stint.job - len(self._morning.jobs)]
        return self._morning.rota.cutters > 1 and self._scenario.units.shows(sheet.batch.made)

    def _tool(self, stint: Stint) -> str:
        """The tool in hand; waiting belongs to no tool."""
        if stint.job is None:
            return ""
        jobs = self._morning.jobs
        return clip(jobs[stint.job].tool, 12) if stint.job < len(jobs) else GRINDER

    def _task(self, stint: Stint) -> Task:
        time, minutes = self._time(stint.begins), show_minutes(stint.ends - stint.begins)
        jobs = self._morning.jobs
        if stint.job is None:
            return Task(time, "", "", minutes)
        if stint.job >= len(jobs):
            sheet = self._morning.sheets[stint.job - len(jobs)]
            what = f"{self._code(sheet)}: {clip(sheet.batch.blend, NAME)}"
            return Task(time, "", what, show_minutes(sheet.batch.minutes))
        job = jobs[stint.job]
        gives, trays = job.part(dict(stint.lots))
        names = [each.name for each in gives]
        lots, of_lots = self._of_lots(job, stint)
        number = f"{stint.count}" if stint.count == job.count else f"{stint.count} of {job.count}"
        return Task(
            time=time,
            number=number,
            what=f"{self._piece(job.species, job.piece)}: {clip(job.way, NAME)}",
            minutes=minutes,
            lots=lots,
            of_lots=of_lots,
            gives=tuple(self._thing(each) for each in gives),
            trays=tuple(self._in_trays(trays)),
            waiting=tuple(
                self._due(each, named=names != [each.cut])
                for each in self._morning.dealt[stint]
                if self._some(each.cut, each.amount)
            ),
        )

    def _piece(self, species: str, piece: str) -> str:
        return clip(piece_name(self._scenario, species, piece), NAME)

    def _of_lots(self, job: Job, stint: Stint) -> tuple[str, str]:
        """Which lots the pieces are of, where several of the species are at hand: short, long."""
        lots = self._scenario.lots
        species = [lots[each.lot].recipe.species for each in self._morning.heads]
        if species.count(job.species) == 1:
            return "", ""
        parts = sorted(stint.lots, key=lambda part: (lots[part[0]].arrives, part[0]))
        short = "+".join(str(lot + 1) for lot, _ in parts)
        if len(parts) == 1:
            return short, f"lot {short}"
        return short, ", ".join(f"{count} of lot {lot + 1}" for lot, count in parts)

    def _thing(self, thing: JobOutput) -> Item:
        number = "" if thing.count is None else f"{thing.count} "
        return Item(f"{number}{clip(thing.name, NAME)}", self._weight(thing.pounds))

    def _in_trays(self, things: Sequence[JobOutput]) -> Iterator[Item]:
        """What goes into trays, in the order in which they stand."""
        signs = list(self._letters)
        for each in sorted(things, key=lambda thing: signs.index(thing.name)):
            if self._scenario.units.shows(each.pounds):
                name = f"{self._letters[each.name]} {clip(each.name, NAME)}"
                yield Item(name, self._weight(each.pounds))

    def _due(self, each: Waiting, *, named: bool = True) -> DueOrder:
        """What is for an order; the cut is not named where nothing else is there."""
        day = "" if each.day == self._morning.day else self._scenario.day_labels[each.day]
        cut = f" {clip(each.cut, NAME)}" if named else ""
        return DueOrder(clip(each.buyer, BUYER), day, f"{self._amount(each.cut, each.amount)}{cut}")

    def _code(self, sheet: BatchSheet) -> str:
        """`batch thu-1`: what stands on it."""
        return f"batch {self._scenario.day_labels[sheet.batch.day]}-{sheet.number}"

    def _batches(self) -> Iterator[BatchTask]:
        rota, jobs = self._morning.rota, len(self._morning.jobs)
        stints = {each.job: each for each in rota.stints if each.job is not None}
        told = [
            (stints[jobs + place], sheet)
            for place, sheet in enumerate(self._morning.sheets)
            if self._scenario.units.shows(sheet.batch.made)
        ]
        for stint, sheet in sorted(told, key=lambda each: each[0].begins):
            yield self._batch(sheet, stint)

    def _batch(self, sheet: BatchSheet, stint: Stint) -> BatchTask:
        batch, scenario = sheet.batch, self._scenario
        cutter = f"cutter {stint.cutter + 1}" if self._morning.rota.cutters > 1 else ""
        return BatchTask(
            time=self._time(stint.begins),
            code=self._code(sheet),
            what=clip(batch.blend, NAME),
            amount=show_made(scenario, batch),
            fat=show_fat(scenario, batch),
            minutes=show_minutes(batch.minutes),
            cutter=cutter,
            takes=tuple(self._take(each) for each in sheet.takes),
            waiting=tuple(self._due(each, named=False) for each in sheet.waiting),
        )

    def _take(self, take: Take) -> tuple[Item, str]:
        """What goes in, and which lots it is of, be it ever so little."""
        name = f"{take.letter} {clip(take.cut, NAME)}".strip()
        days, traces = self._scenario.day_labels, []
        for each in take.traces:
            origin = "made before"
            if each.lot is not None and each.day is not None:
                origin = f"lot {each.lot + 1} {days[each.day]}"
            traces.append(f"{origin} {self._bare(each.pounds)}")
        return Item(name, self._amount(take.cut, take.pounds)), ", ".join(traces)

    def _bare(self, pounds: float) -> str:
        """A weight without its unit, which stands before it."""
        shown = self._weight(pounds).split()[0]
        return shown if self._scenario.units.shows(pounds) else f"<{shown[:-1]}1"

    def _tray(self, tray: Flow) -> tuple[str, ...]:
        figures = (tray.had, tray.made, sum(tray.used.values()), tray.sold, tray.wasted, tray.left)
        shown = [
            self._weight(each).split()[0] if self._scenario.units.shows(each) else "-"
            for each in figures
        ]
        return (f"{self._letters[tray.cut]} {clip(tray.cut, NAME)}", *shown)

    def _case_row(self, line: CaseLine) -> CaseRow:
        marked = self._some(line.cut, line.marked)
        if marked:
            marked += f" at {self._scenario.show_rate(line.cut, line.marked_price)}"
        # what lies in the cooler, or in a tray, needs no word
        fresh = (line.made or line.held) and line.cut not in self._letters
        keep = self._some(line.cut, line.keep) if fresh else ""
        until = line.keeps_until
        return CaseRow(
            name=clip(line.cut, NAME),
            out=self._some(line.cut, line.out),
            first="all" if line.older >= line.out - PINCH else self._some(line.cut, line.older),
            marked=marked,
            keep=keep,
            until=self._day(until) if keep and until is not None else "",
            held=tuple(self._due(each) for each in line.held),
        )

    def _day(self, day: int) -> str:
        """`fri`; the date where it is further than a week away."""
        date = show_date(self._scenario, day)
        return date.split()[0] if day - self._morning.day < len(WEEKDAYS) else date

    def _wrap(self, wrap: Wrap) -> WrapRow:
        older = self._some(wrap.cut, wrap.older)
        amount = self._amount(wrap.cut, wrap.amount) if wrap.amount > PINCH else "nothing of"
        return WrapRow(
            buyer=clip(wrap.buyer, BUYER),
            what=f"{amount} {clip(wrap.cut, NAME)}",
            first="all" if older and wrap.older >= wrap.amount - PINCH else older,
            short=self._some(wrap.cut, wrap.ordered - wrap.amount),
        )

    def _leaving(self, amounts: Sequence[tuple[Leaving, float]]) -> tuple[str, ...]:
        """Pieces and cuts of which so much leaves the case, or has its last day."""
        lines = []
        for each, amount in amounts:
            name = clip(each.name, NAME)
            if each.piece and amount:
                lines.append(f"{amount:.0f} {name} uncut, {self._weight(each.pounds)}")
            elif not each.piece and (some := self._some(each.name, amount)):
                letter = self._letters.get(each.name, "")
                lines.append(f"{some} {letter and letter + ' '}{name}")
        return tuple(lines)

    def _done(self) -> str:
        rota = self._morning.rota
        if not rota.ends:
            return ""
        number = f" with {show_count(rota.cutters, 'cutter')}" if rota.cutters > 1 else ""
        return f"All done{number} at {self._time(rota.ends)}."

    def _late(self) -> str:
        """What to say when the list cannot be done in time."""
        rota = self._morning.rota
        if not rota.late or rota.until is None:
            return ""
        ends, late = self._time(rota.ends), show_minutes(rota.late)
        if not rota.fixed:
            return (
                f"With {rota.cutters} cutters it takes until {ends}, {late} longer than bench and "
                "overtime give each: not all of it can be shared out."
            )
        said = f"CANNOT BE DONE IN TIME: until {ends}, {late} later than {self._time(rota.until)}."
        if rota.enough:
            return f"{said} With {rota.enough} cutters it can."
        if rota.cutters == MOST_CUTTERS:
            return said
        return f"{said} More cutters would not help."
