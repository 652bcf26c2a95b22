"""What happened as tables have it: our own, and those of tills.

- `shop/tables/`: `csvfile.py` (encoding, separator and line of heads are those with which most
  heads are found), `columns.py`, `figures.py` (decimal sign and order of dates are decided by the
  whole file; where nothing tells, it asks), `rowcells.py` and `rowreader.py`, then `summed.py`
  for tills and `doubtful.py` for what needs `--yes`. `entryrows.py` and `rowreader.py` are each
  other's inverse: change both or neither. `cells.py`: `marked` and `unmarked` are exact inverses;
  `harmless` is for what is never read again.
"""
