"""What the tests hold, and how they are run.

- Two measures (`two_measures.py`). `pytest` is the quick one, for every push: at least one case
  of all that the README promises. What is slow and says the same once more is marked
  `@pytest.mark.thorough`; `pytest` tells at its end how much of that it left out, `pytest -m ''`
  runs everything, `pytest -m thorough` only what was left out. Cases of a `parametrize` that are:
  `thorough(..)`. A random test belongs to both: those of hypothesis, and those that take the
  fixtures `seeds`, `corpus` or `mixed_corpus`. On a push it draws a third, always the same; in
  the thorough measure it draws everything anew, and pytest tells from which seed. `pytest -m ''
  --seed N tests/ask/test_why.py` draws the same again, for all tests or for the one that failed.
- `corpus.py`: random shops, planned once a run and shared by the tests of the questions
  (`test_order.py`, `test_promise.py`, `test_whatif.py`, `test_why.py`, `test_mend.py`).
  `planning.shipped_plan` has the shipped weeks, `planning.once` makes anything once for all
  processes of a run.
- `tests/attack/` is thorough: 2,000 spoilt files of every kind (`mutations.py`, read by the
  commands that `ground.py` names, under limits of time and memory), 200 writers killed at a step
  on the disk (`striking.py`), 200 extreme shops (`extreme.py`) whose plans the outside checker
  replays. A failure names what was done and keeps the file; the one test with `--seed N` does it
  again: `pytest -m '' --seed N 'tests/attack/test_mutants.py::test_mutants[till-3]'`.
- `tests/outside/` is written from the meaning of a plan alone: its own reader, a checker that
  takes the two files and the JSON, a second model with explicit ages for scipy's `milp`, plain
  enumeration, and hypothesis strategies for random small shops. Nothing there imports `planner`.
  Change the meaning of a plan in both places or in none.
- `test_second_opinion.py` compares the two on 300 random shops, with enumeration and with PuLP's
  own solver. `test_properties.py` compares the plans of related shops.
- Questions: `test_whatif.py`, `test_why.py`, `test_order.py`, `test_promise.py`, `test_price.py`
  derive every answer again from cold solves of two scenarios, on random shops each;
  `test_stages.py` holds the stages and the rounding rows against plain searches,
  `test_changes.py` changes against files that say the same, `test_write_order.py` every byte.
- `test_usda_cutout.py`, `test_measures_outside.py`, `test_standards.py` and a file for each
  recipe: published figures, their sources beside the checks (`tests/published/`).
- `test_many_processes.py` and `test_many_cluster.py` compare what comes back with `plan_unit` in
  the test's own process, and kill: a process from inside and from outside, the program, a Dask
  worker at work and one with plans not yet fetched, the scheduler. What is done with a unit there
  is in `many_work.py`.
- `test_daystock.py`, `test_jobs.py`, `test_crew.py`, `test_morning.py` hold a day's sheet to the
  plan: every break in one job, nothing cut before it is there, stocks replayed a second time, the
  clock against the bound of list scheduling. `test_weightflow.py` and `test_picture*.py`: weight
  in balance, drawings as XML, room for labels, contrast (WCAG 2.2) and colour blindness.
  Hypothesis is kept from drawing numbers that it finds in loaded modules (`conftest.py`): else a
  line of a drawing would change the shops of all tests.
- `test_width.py`, `test_morning.py` and `test_json_snapshots.py` have snapshots
  (`tests/snapshots/`; `WRITE_SNAPSHOTS=1` writes them anew: look at them),
  `test_table.py` every CSV cell against the JSON.
- `tests/browser/` opens the pages in Debian's chromium through playwright, with the network off:
  prints them, ticks them, has axe-core look at them, on phone, tablet, screen and paper. Without
  chromium or npm they skip and say so; `.ci/run` installs both and sets BREAKPLAN_BROWSER=needed,
  with which they fail.
- A shop folder: `tests/shops.py` makes one. `test_now.py` carries plans of random shops out into
  a journal, day by day, and plans the rest: it earns what the plan promised; `test_stand.py`
  against a second replay (`outside/diary.py`). `test_replan.py`: most pieces kept, against
  scipy's `milp` on the second model. `test_journal_safety.py` kills writers, cuts the log, spoils
  bytes, fills a disk (a tmpfs, where one may be mounted). `test_learned_shares.py`,
  `test_learned_wants.py` and `test_small_wants.py`: simulated shops, with plain numpy; a
  restaurant's open data (`tests/published/restaurant-days.csv`, source and licence in its head).
  `test_counts.py` and `test_weigh_in.py` feed text, tables and a pseudo-terminal.
- What time it is says `core/clock.py` alone. In all tests it stands (`steady_clock` in
  `conftest.py`); `clock_at` sets it. `.ci/clocks` repeats what is marked `clock` under Debian's
  faketime: new year's eve, a leap day, a Sunday, nights on which summer time begins and ends in
  New York and Berlin. `test_clock.py` has a shop at work on such days.
- `test_mend.py` carries advice out: every remedy's rules, planned cold, cost and do what was
  said.
- `test_yamlfile.py`, `test_recipe_file.py`, `test_scenario_file.py`, `test_fuzz.py`: faults.
  `test_large_files.py`: whatever a file is, `check` takes at most 5 s of processor time and 1 GB,
  in a process held to that (measured: 3 s, 0.4 GB).
- `test_side_by_side.py`: two searches against one, on random shops and generated weeks; the same
  plan on a busy machine.
- `python -m tests.bench` compares the planner with HiGHS and PuLP's solver on shipped and
  generated weeks; `--growth`, `--questions` and `--program` measure the rest, `--quick` a
  handful, `--json FILE`. It checks every answer with the outside checker. It is a script and not
  a test: times belong to a machine. `python -m tests.bench.generate SEED --lots 4 --head 20`
  writes an invented week of any size.
"""
