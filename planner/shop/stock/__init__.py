"""What a shop has: the entries of its journal replayed, day by day.

- `shop/stock/`: `entry_order.py` puts entries into the order of a day, `replay.py` replays them
  (`stocks.py` what there is, `block_work.py` breaks and batches, `dated_stock.py` dates),
  `on_hand.py` reads it off at a moment. It always begins at the first entry: 60,000 take 0.3 s.
"""
