"""HiGHS as anyone would use it: default options on the exported model."""

from __future__ import annotations

import time
from typing import Any

import highspy


def highs_default(path: str, constant: float, allowed: float, seconds: float) -> dict[str, Any]:
    """Solve an MPS file to an absolute gap; every other option is as HiGHS has it.

    HiGHS stops when either of its gaps is met, so the relative one is shut and the absolute one is
    the money that the planner was allowed: both prove the same. The file is to be minimized and
    has the sign turned. PuLP leaves the constant of the objective out of it, so it is added here
    unless the file has one.

    Parameters
    ----------
    path : str
    constant, allowed, seconds : float

    Returns
    -------
    dict
        `wall` is the search alone, which is in favour of HiGHS: the planner's time counts the
        building too. `objective` is None where no plan was found.
    """
    options = {"mip_rel_gap": 0.0, "mip_abs_gap": allowed, "time_limit": seconds}
    began = time.perf_counter()
    solver = _read(path)
    read = time.perf_counter() - began
    for option, value in options.items():  # after reading, which the limit would stop too
        solver.setOptionValue(option, value)
    model = solver.getLp()
    missing = 0.0 if model.offset_ else constant
    began, busy = time.perf_counter(), time.process_time()
    solver.run()
    wall, cpu = time.perf_counter() - began, time.process_time() - busy
    info = solver.getInfo()
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    whole = highspy.HighsVarType.kInteger in model.integrality_
    primal = info.objective_function_value
    dual = info.mip_dual_bound if whole else primal
    return {
        "done": solver.getModelStatus() == highspy.HighsModelStatus.kOptimal,
        "wall": wall,
        "cpu": cpu,
        "read": read,
        "objective": missing - primal if found else None,
        "bound": missing - dual if abs(dual) < float("inf") else None,
    }


def sizes(path: str) -> dict[str, int]:
    """Columns, rows and nonzeros of an MPS file."""
    model = _read(path)
    return {
        "columns": model.getNumCol(),
        "rows": model.getNumRow(),
        "nonzeros": model.getNumNz(),
    }


def _read(path: str) -> Any:
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    if solver.readModel(path) == highspy.HighsStatus.kError:
        raise ValueError(f"{path} is no model")
    return solver
