"""Plans that were told, as they are kept in the journal.

- What was last shown for a day is the last plan in the journal that covers it (`last_kept`), a
  `sheet` of `morning` too; the list on the wall (`wall=True`) is that of the last that is no
  sheet.
"""
