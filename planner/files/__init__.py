"""From YAML files to recipes and scenarios, with every fault named by file and line.

1. `yamlfile.load` turns the parser's events into plain maps, lists and texts and notes every
   line. Values stay texts: YAML's own guesses (`no`, dates, `1:30`) never happen.
2. `shape_check.fit` puts them into the pydantic shape (`recipe_shape.py`, `scenario_shape.py`).
   What does not fit is recorded with its line and left out, so that the later checks still find the
   rest of the faults in the same run. A check about what may be missing for that reason first asks
   `document.unsure_within(place)`.
3. `recipes.py` reads what a scenario names: recipes (two of one species become one,
   `core/species.py`) and files of blends (`blend_file.py`), and the scenario's own blends.
   `blends.py` reads a blend wherever it stands, given a finder for the names under `from`;
   `fat_range.py` says whether its limits can be met.
4. `recipe_checks.py`, and for a scenario `rail.py`, `rules.py` and `scenario_file.py`, check what
   must hold between the parts (names by `core/name_rules.py`, as in the journal) and build the
   frozen objects. Inside the program weights are pounds, shares fractions,
   days 0..D-1. `scenario_warnings.py` has what draws a warning: legal, but likely a slip.
5. `patterns.py` has what an editor's JSON Schema lets through for each kind of value: it must
   accept all that the readers of `core/quantities.py` accept, which a test checks.
- `in_place.py` finds values in the text of a file of the user's, for orders (`write_order.py`) and
  shares (`write_shares.py`) that are written into it; what is written is read back first.
- `files/shop_file.py` reads `shop.yaml` by putting it into the shape of a scenario from a Monday
  to a Sunday, whose readers do the rest; only what is said of closed days, dates and what belongs
  in the journal is checked there. Closed days have a bench of 0, and without a bench open days
  have `NO_LIMIT` minutes, since none at all would let people cut on closed days.
  `shop/new_shop.py` lays a folder out from the templates in `shop/starters/`, whole or not at
  all: written under another name, then renamed, or linked file by file with `shop.yaml` last.

`known as` (trade synonyms) is a field of `Recipe`, `Piece` and `Cut` that is in no `repr` and no
comparison: a synonym changes no plan. `recipe.trade_names` gathers them for whoever looks a name
up; `Setting` tells those of shipped recipes that are not in use. `listed.py` finds what
`breakplan cuts` lists.
"""
