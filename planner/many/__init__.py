"""Many weeks planned side by side: in processes of this machine, or on a cluster.

- `units.py`: a `Unit` is a scenario and options, its outcome a plan or a `Trouble`; `plan_unit`
  makes one of the other and is all that is ever handed out. It is pure: worked on twice it gives
  the same, but for the seconds. Frozen objects travel by pickle; exceptions do not (their
  arguments are not what they were made with), and a plan leaves its scenario behind, which
  whoever asked still has: 5 to 28 kB come back for a shipped scenario, 11 to 56 kB go out.
- A `Runner` takes numbered units and yields numbered outcomes as they come; closed, it stops.
  What all do alike is in `pool.py`: a unit whose worker died comes once more, last and alone.
  Files are read while others are planned, as the runner asks for units. `weeks.py` makes units of
  files, and rows of outcomes.
- `processes.py` holds each process by pipes of its own: a pool of `concurrent.futures` breaks as
  a whole when one process is killed, and does not say at what. A unit may take two processes with
  it. `multiprocessing` is not used: HiGHS's threads do not survive a fork, and what `spawn`
  starts looks for its modules in the current folder first. So a process is `python -P -m
  planner.many.serving`. Each leads a process group: only the program itself hears Ctrl-C, and
  ends the groups, with the solver that `--solver bundled` starts; files they leave are in a
  folder that goes with them. A thread in each ends it when the program is gone.
- `cluster.py` submits all units to Dask with two retries for errors that are none of theirs. A
  unit that the scheduler gives up since workers died of it (`KilledWorker`) is submitted once
  more when the rest is done, alone: only then is it known to be the culprit. A client that gets
  no answer takes long to be got rid of, so the scheduler is first asked for its name. What is
  asked of workers is asked with functions of the standard library, which need no planner there.
  `logging` is off meanwhile: what matters is said in our lines. Pickle goes both ways, so both
  sides trust each other; `Tls` are the files by which they know each other. What comes back from
  another release may not be readable, or have other parts (`can_be_read`): then the row says so.
- Exit code of many: the smallest of the rows without a plan, which is the gravest (1 killed, 2,
  3, 4). With `whatif --changes` it is enough that one alternative has a plan; here a script wants
  to know of each.
"""
