"""What a shop's own numbers say: statistics that know nothing of files or plans.

- `learn/shares.py`: the estimate of a way's shares is a mean of the recipe and the weigh-ins, so
  that the sum stays at 100%; the interval is Student's t with a spread drawn towards a published
  one. Model, prior weight and sources are in its docstring. `prior_weight.py` says how much the
  recipe's figures count and how wide the interval is; after `--write` it works out the figures from
  before, so that writing changes neither, and notices figures that were changed by hand.
  `agreed.py` puts what is known of all ways (`terms.py`) into one least-squares problem
  (`joint_fit.py`): every way adds up, and a piece weighs the same by every path. `significance.py`
  judges all ways together (Benjamini and Hochberg). `shop/learned/write_yields.py`
  writes in an order safe against kills: draft, journal, rename; `open_shop` calls `settle_yields`
  to finish what was stopped.
- `learn/wants.py` smooths a level and weekday factors, with days sold out as censored (`gamma.py`:
  negative binomial for counts, gamma with days without customers for weights); `backtest.py` scores
  it a week ahead. `shop/learned/observed.py` says what a day of sales means.
"""
