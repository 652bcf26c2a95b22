"""What happened in a shop: entries that are added and never changed, in one file of the shop.

- `journal/`: every writing is one transaction, `synchronous=EXTRA`, append-only by triggers;
  entries of one writing are undone together, by an `Undone` entry. No STRICT tables: older SQLite
  could not open the file. Names are those of `recipe.full_name`, so that a species added later
  changes none. Never open journal.db with `open()` in a process that has it open: closing that
  drops SQLite's locks.
"""
