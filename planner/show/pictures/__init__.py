"""Pictures for a page: the sides of animals, where the weight goes, the bench by day.

A page may define the colours of `colours.py` as CSS custom properties, `DARK` of them for a dark
screen: `--ink`, `--paper`, `--mild`, `--meat`, `--sold`, `--left`, `--stale`.
"""

from __future__ import annotations

from planner.show.pictures.bench import bench_picture
from planner.show.pictures.flow import flow_picture
from planner.show.pictures.picture import Picture
from planner.show.pictures.side import side_pictures

__all__ = ["Picture", "bench_picture", "flow_picture", "side_pictures"]
