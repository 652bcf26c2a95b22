"""What two weighings of the same thing may differ by: common practice, no source."""

from __future__ import annotations

SCALE_POUNDS = 0.1
"""Pounds by which two readings differ that are rounded to a tenth or an ounce."""

SCALE_SHARE = 0.005
"""Half a percent: two scales that are both right."""

READING = SCALE_POUNDS / 2
"""Pounds by which one reading is off."""

TOO_MUCH = 0.02
"""What a piece gave, thing by thing, may weigh more than it did by this part of it: a reading is
off for every thing."""
