"""What a shop has: the entries of its journal replayed, day by day.

- `shop/stock/`: `inorder.py` puts entries into the order of a day, `stockbook.py` replays them
  (`stocks.py` what there is, `blockwork.py` breaks and batches, `counted.py` counts, `pile.py`
  dates), `stand.py` reads it off at a moment. It always begins at the first entry: 60,000 take
  0.3 s.
"""
