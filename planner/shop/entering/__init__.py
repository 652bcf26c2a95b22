"""What happened as a person says it, and what of it is asked about.

- `shop/entering/`: `catalog.py` (names as typed, shown and journaled), `block_reader.py` (amounts,
  days, breaks), `entry_reader.py`, `entry_patterns.py`, `entry_parts.py` and `core/days.py`
  (entries in words; what the list prints can be typed back). What is unlikely: a check takes an
  entry, or an answer (`ItemCount`, `WeighedBreak`, `WeighedBatch`), and the `EntryContext`
  (`context.py`: made once; stock, what is typical, orders, what is entered along with it) and gives
  `EntryWarning`s (`warning.py`). The checks and their lists are in `entry_checks.py`,
  `block_checks.py` and `count_checks.py`; `typical.py` and `plausible.py` have the figures,
  `duplicates.py` what is the same. Prompts and tables make the same answers, put them
  to the same checks, and differ in how a warning is told. `counting.py` and `weighing.py` say what
  is expected. `commands/prompt.py` puts one question until its answer can be read and draws no
  warning; in `commands/weigh_in_questions.py` the next question follows from the answers so far
  alone, so that `back` only drops the last answer.
"""
