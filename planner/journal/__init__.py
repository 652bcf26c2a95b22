"""What happened in a shop: entries that are added and never changed, in one file of the shop.

- `journal/entries.py` declares beside each field of an entry what it holds (`fields.py`): its
  rows, what it must keep to, its columns of CSV and its JSON all go by that.
- `journal/`: every writing is one transaction, `synchronous=EXTRA`, append-only by triggers;
  entries of one writing are undone together, by an `Undone` entry. No STRICT tables: older SQLite
  could not open the file. Names are those of `recipe.full_name`, so that a species added later
  changes none. Never open journal.db with `open()` in a process that has it open: closing that
  drops SQLite's locks.
"""
