"""Questions put to a plan.

- A change in the scenario's words (`files/changes.py`, one reader for each kind in
  `files/change/`) makes another `Scenario`; its readers are those of the files, so that the
  messages are the same.
- Every question starts from the plan that `week` shows for the same file and options
  (`commands/starting.py`; in a shop folder the posted list, with a bound of its own). A closer plan
  is sought for what is proven alone (`comparison.closer`): what is explained is the plan shown.
  `Plan.decided` has the decisions that a model needs to take it up again.
- `comparison.py`: a scenario planned, and changed ones beside it. `Search.change` puts the changed
  model into the same HiGHS object: where only costs and bounds differ, only those are passed, and
  the breaks found before are where the search begins. `Difference` has the interval that is
  proven: [score after - bound before, bound after - score before]. Both are solved again, closer,
  until it is narrower than a fifth of the difference or 1.00. `whatif.py`, `order.py` and
  `promise.py` ask so; `plan_difference.py` has every figure that differs between two plans.
- Stages (`solve/aggregate.py`): the same break on different days is a group. First only the sum of
  a group need be whole: quick, and a bound for every plan; then days for these sums; then
  everything, if the two are further apart than asked. Rounding cuts (`solve/rounding_cuts.py`
  derives them) take from the relaxation what no whole number of pieces can do: on `corner-shop`
  they bring its bound from 24 above the best to 0.7, on which all of this rests. They are added
  only where the relaxation breaks them. Small models, and plans asked for to less than 0.50, go in
  stages one after the other.
- All else is searched by two at once (`solve/portfolio.py`). The bound search
  (`BoundSearch` in `solve/portfolio.py`) is HiGHS on the model as it is. The primal search
  (`solve/primal_search.py`, with the means in `solve/heuristics.py`) goes from the quickest means
  to the slowest: it rounds the relaxation (a dive); decides the week two days after the other,
  while what is whole in the days to come may be fractions (relax and fix); decides two days in a
  row anew with all else kept (fix and optimize); crosses the best there is with solutions of the
  bound search: what they agree on is kept; then come the sums with their bound, days for these
  sums, lots and kinds of pieces anew, at last everything.
- Where the portfolio ends, and with which plan, must not depend on the machine: each of the two
  counts its steps, a step is a look that HiGHS lets us take (or a part of one), and what is found
  at a step counts before all of later steps (`solve/shared_progress.py`). The primal search sees of
  the other's solutions only those of earlier steps. So who is ahead by the clock must wait for the
  other; the steps in `solve/primal_search.py` are there to make such waits short. `Options.plain`
  is one search by HiGHS, as a cross-check.
- `why.py` puts many small questions through `solve/sensitivity.py`: at once there are the bound of
  the relaxation with its rounding cuts, and a plan that differs from today's in one piece only;
  only where those are too far apart are the sums searched. Two probes work side by side, each
  always on the same questions, so that the answers do not depend on the machine. `break_even.py`:
  the two sides (plans with the piece, plans without) are compared by price; 1% above and below a
  better plan is looked for on the side that should lose. `marginal_values.py` widens many limits at
  once: if all together earn nothing, none does.
- `trim.py` finds what is short and too much, from the plan alone (`trim_flow.py`: where each trim
  goes, what is at its limit). `remedy_search.py` plans once more with money
  for every pound mended, and a little for every piece cut as today (`BreakModel.reward`); what then
  differs becomes rules, and the cost of a remedy is that of the week planned with these rules, so
  that it can be tried. Both are sought near today's plan (`Search.near`): sums first, then only
  pieces whose sums differ are free; so nothing changes that need not. A pound may cost what it
  could bring, no more. `pearson_square.py`: the Pearson square.
- `price.py`, `split_off.py`, `yield_test.py`, `lot_cost.py`, `pricing.py`, `main_cut.py`:
  joint-product costing by sales value at split-off, and the butcher's yield test.
- Writing an order into a file (`files/write_order.py`) only ever inserts: ruamel.yaml tells
  where, and what was written is read back and compared before the old file is replaced.
- HiGHS: what the last run left is a start to the next, fractions too, and it searches what is
  left open of it, for long, with looks that tell the bounds of that; so `Engine.run` clears it.
  `time_limit` counts a search anew, but relaxations from the beginning of the object
  (`Engine._limit`); an interruption stays in force for the next run unless it is taken back
  (`_Watch.look`); its pool of cuts is in the columns of its presolve, so it cannot be kept.

A week beside the posted list:

- `replan.py` plans the week beside the list posted before (`shop/plans/posted.py`, as JSON in the
  journal). `keep_posted.py` repairs the list: all of it is solved first (`BreakModel.cut_list`:
  lots, batches and sales are free), then the best plan from there. If the list costs more than
  `--calm` allows, pieces as listed are rewarded less and less until the plan is close enough; each
  such plan is found near the one before (`Search.around`: crossed with the best plan, then window
  by window, in counted looks). Up to 100 whole numbers the most pieces are then proven, with a
  floor under the score. The plan told is solved once more from its list alone, so that the same
  list gives the same plan.
- What has changed comes from comparing the kept plan with the stand of the first day and with what
  counted when it was made (`changed_events.py`), and what the files say with what they said:
  `shop/plans/facts.py` writes a scenario as plain data in the names of the format breakplan-kept/2,
  defaults left out, so that classes may change; `differences` compares two such trees, and a table
  in `changed_files.py` says what is told of each kind. Plans of breakplan-kept/1 are read as the
  same. `ShopState` (`shop/week/now.py`) is made once a command: the journal is replayed and learned
  from once.
- Tried: one search with the score's floor and a large reward ran into its limit on weeks of 100
  pieces and seldom found more; windows of days only: twice as quick, but 92 instead of 96 pieces
  kept.

A day's sheet:

- `core/stock_replay.py` replays the stock portion by portion, and the plan keeps the record
  (`Plan.stock`): each portion knows the break or batch that made it, and each use the sale or batch
  that takes it. From this come the orders that wait for a job, the lots of a batch, what in the
  case is old, and what is out of date tonight. `weight_flow.py` and `decisions.py` are for the
  pictures: the weight in balance at every node, and pieces by way.
- `jobs.py` puts alike breaks of several lots together and in order: the break of what hangs, then
  with one tool as long as anything can be done with it, a piece never before it is there. `crew.py`
  shares them out: list scheduling, piece by piece, so that nobody waits while there is a piece to
  cut; a batch waits for what goes into it; an order is dealt out among those who cut for it.
  `trays.py` and `counter.py` have the rest; `morning.py` puts a `Morning` together.
"""
