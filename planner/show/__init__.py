"""A plan in, words or data out; no arithmetic of its own.

- `show/sheet.py` turns a `Morning` into words, once: `sheet_lines.py` says which.
  `show/morning.py` lays them out for a terminal, `templates/sheet.html.jinja` on a page,
  `morning_data.py` has the figures as JSON.
- JSON: a `shape` (`data.py`) says of each field where it is in the answer and what it is (a weight,
  an amount of its cut, money, a day), and `Data` walks it; `json.py` is the plan.
- `notebook.py` is what `planner` itself offers to scripts and notebooks: a plan with its pictures.
- A view is `paragraphs` of lines: a `section`, a `table`, sentences (`wrapped`, `listed`), all of
  `layout.py`; what goes by species is in `species.py`.
- Text for a person takes a `width` from `layout.width_of(stream)` and has no line over it. Widths
  are columns (`columns_of`), never `len`. Figures are never cut, only names (`fitted_table`).
- Pages go through Jinja2 with autoescape on, have no script, and forbid themselves to load
  anything. Names stand in `<bdi>`, so that what is written from right to left stays in its place.
  Paper: `@media print` in `page.css`; the list has 12 points, and a day of `corner-shop` just
  fits one sheet, so look at the tests before adding a line.
- `show/pictures/`: SVG through templates too. `side.py` draws the animal (regions in `lamb.py`,
  `hog.py`, `beef.py`: polygons cut off at the outline of the body); a piece without a region is
  told where the piece is that gives it, what hangs above the drawing. `flow.py`: bands that pass
  a column by are led through it together (`ranks.py`, the barycentre method). Widths of text are
  estimated from wide letters, so that labels do not meet whatever the font. `colours.py` has every
  colour of the screen, and the page takes its own from there; paper is black on white.
"""
