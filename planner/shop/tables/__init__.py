"""What happened as tables have it: our own, and those of tills.

- `shop/tables/`: `csv_file.py` (encoding, separator and line of heads are those with which most
  heads are found), `columns.py`, `column_numbers.py` (decimal sign and order of dates are decided
  by the whole file; where nothing tells, it asks), and `table.py`, which reads every cell and keeps
  the faults and doubts of the lines. On it stand `count_file.py` and `weigh_file.py` (tables that a
  person fills in), and `row_reader.py` for `imported.py` (one entry a row), with `till_totals.py`
  for tills and `row_checks.py` for what needs `--yes`. `entry_rows.py` and `row_reader.py` are each
  other's inverse: change both or neither. `core/csv_cells.py`: `marked`
  and `unmarked` are exact inverses; `harmless` is for what is never read again.
"""
