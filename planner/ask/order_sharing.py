"""An order dealt out among those who cut for it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.ask.crew import Stint
from planner.ask.jobs import Job, Waiting
from planner.core.stock_replay import DUST


def dealt_out(jobs: Sequence[Job], stints: Sequence[Stint]) -> Mapping[Stint, tuple[Waiting, ...]]:
    """For every stint the part of each order that its pieces are for, the earliest stint first."""
    found: dict[Stint, tuple[Waiting, ...]] = {}
    for number, job in enumerate(jobs):
        open_ = {at: each.amount for at, each in enumerate(job.waiting)}
        turns = sorted((s for s in stints if s.job == number), key=lambda s: (s.begins, s.cutter))
        for stint in turns:
            gives, trays = job.part(dict(stint.lots))
            room: dict[str, float] = defaultdict(float)
            for thing in (*gives, *trays):
                room[thing.name] += thing.pounds if thing.count is None else thing.count
            parts = []
            for at, each in enumerate(job.waiting):
                part = min(open_[at], room[each.cut])
                open_[at] -= part
                room[each.cut] -= part
                if part > DUST:
                    parts.append(replace(each, amount=part))
            found[stint] = tuple(parts)
    return found
