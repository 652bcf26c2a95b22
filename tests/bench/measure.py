"""One measurement in a process of its own: `python -m tests.bench.measure KIND '{"file": ..}'`.

A new process each time, so that nothing is warm and the peak memory is that of one instance. What
is imported is imported before the clock starts. Prints one line of JSON.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from planner.core.errors import NoPlanInTimeError
from planner.core.scenario import Scenario
from planner.files.scenario_file import read_scenario
from planner.show.data import json_text
from planner.show.json import plan_data
from planner.show.text import plan_text
from planner.solve import Options, Search
from planner.solve.model import GRIND_TIE, BreakModel
from planner.solve.plan import plan_week

ROOT = Path(__file__).parents[2]

Answer = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Task:
    """What a process is to measure: a kind of `KINDS`, and what it is told."""

    kind: str
    told: dict[str, Any]

    def run(self) -> Answer:
        """Measure in a new process; what it says on standard error is shown only if it fails."""
        done = subprocess.run(
            [sys.executable, "-m", "tests.bench.measure", self.kind, json.dumps(self.told)],
            cwd=ROOT,
            capture_output=True,
            text=True,
        )
        if done.returncode:
            raise RuntimeError(f"{self.kind} {self.told}:\n{done.stderr}")
        answer: Answer = json.loads(done.stdout.splitlines()[-1])
        return answer


def peak_memory() -> float:
    """Peak memory of this process in MB.

    `ru_maxrss` may be that of the process it was forked from, so Linux is asked for its own.
    """
    status = Path("/proc/self/status")
    if status.exists():
        lines = status.read_text(encoding="ascii").splitlines()
        return next(float(line.split()[1]) for line in lines if line.startswith("VmHWM")) / 1024
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1024 * 1024 if sys.platform == "darwin" else 1024)


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Wall seconds of a piece of work, and what it gave."""
    began = time.perf_counter()
    result = work()
    return time.perf_counter() - began, result


def scenario_of(file: str) -> Scenario:
    return read_scenario(Path(file), Path(file).name)[0]


def ours(file: str, share: float, amount: float, seconds: float, bundled: bool = False) -> Answer:
    """A cold plan: how long, what is proven, and whether it stands up to the outside checker.

    `wall` is `plan_week` as a whole; `rest` is everything that is not the search: reading, building
    the model, handing it to the solver, working out the plan, printing it.
    """
    options = Options(share=share, amount=amount, seconds=seconds, bundled=bundled)
    read, scenario = timed(lambda: scenario_of(file))
    try:
        busy = time.process_time()
        wall, plan = timed(lambda: plan_week(scenario, options))
        cpu = time.process_time() - busy
    except NoPlanInTimeError:
        return {"done": False, "wall": seconds, "peak": peak_memory(), "read": read}
    peak = peak_memory()
    shown, _ = timed(lambda: plan_text(plan))
    model_time, model = timed(lambda: BreakModel(scenario))
    handed, _ = timed(lambda: Search(model))
    data = json.loads(json_text(plan_data(plan)))
    faults, ties = _checked(file, data)
    ties += GRIND_TIE * sum(sum(batch.takes.values()) for batch in plan.batches)
    return {
        "done": plan.status != "time limit",
        "status": plan.status,
        "wall": wall,
        "cpu": cpu,
        "solver": plan.seconds,
        "read": read,
        "build": model_time + handed,
        "shown": shown,
        "whole": read + wall + shown,
        "rest": read + max(0.0, wall - plan.seconds) + handed + shown,
        "peak": peak,
        "score": plan.score,
        "objective": plan.score - ties,
        "bound": plan.bound - ties,
        "short": len(plan.short),
        "faults": faults,
    }


def _checked(file: str, data: dict[str, Any]) -> tuple[list[str], float]:
    """What the checker says, which shares no code with the planner; and what the ties weigh."""
    from tests.outside.checker import check, tie_weight

    return check(file, data), tie_weight(file, data)


def export(file: str, path: str, seconds: float) -> Answer:
    """The model of a scenario as MPS, with the orders filled that can be: of a rough plan."""
    scenario = scenario_of(file)
    options = Options(share=0.05, amount=1.0, seconds=seconds, model_file=Path(path))
    plan = plan_week(scenario, options)
    constant = BreakModel(scenario).problem.objective.constant
    return {"constant": constant, "score": plan.score}


def highs(**told: Any) -> Answer:
    """HiGHS on an MPS file."""
    from tests.bench.rivals import highs_default

    return highs_default(**told)


def sizes(path: str) -> Answer:
    """Of an MPS file; in a process of its own because HiGHS greets on standard output."""
    from tests.bench import rivals

    return dict(rivals.sizes(path))


def question(**told: Any) -> Answer:
    """Questions put to a scenario."""
    from tests.bench.questions import asked

    return asked(**told)


KINDS = {"ours": ours, "export": export, "sizes": sizes, "highs": highs, "question": question}

if __name__ == "__main__":
    print(json.dumps(KINDS[sys.argv[1]](**json.loads(sys.argv[2]))))
