"""Shops at the edges of what a file may say: every plan of one passes the second replay.

The small ones are planned by the second model too.
"""

from __future__ import annotations

import json

import pytest

from planner.core.errors import BreakplanError
from planner.solve import Options
from planner.solve.size import decisions
from tests.attack.extreme import extreme_shop
from tests.attack.watched import watched
from tests.outside.checker import check
from tests.outside.compare import disagreements
from tests.outside.shops import write_shop
from tests.planning import json_of, read

pytestmark = [pytest.mark.thorough, pytest.mark.drawn]

SHOPS = 200
PARTS = 20  # to be spread over the cores
SMALL = 400  # amounts to decide, for the second model has a column for every age of a cut
AGREED = 60


@pytest.mark.parametrize("part", range(PARTS))
def test_extreme_shops(part, seeds, tmp_path):
    found = []
    for seed in seeds(SHOPS // PARTS):
        folder = tmp_path / str(seed)
        folder.mkdir()
        path = write_shop(extreme_shop(seed), folder)
        seen = watched("week", path, "--json", "--seconds", "2")
        faults = seen.faults()
        if seen.ran and seen.ran.code == 0:
            faults += check(path, json.loads(seen.ran.out))
        if faults:
            found.append(f"shop {seed}: {'; '.join(faults)}")
    assert not found, "\n" + "\n".join(found)


def test_the_second_model_agrees_on_small_extreme_shops(tmp_path):
    found, compared = [], 0
    for seed in range(2 * AGREED):
        folder = tmp_path / str(seed)
        folder.mkdir()
        path = write_shop(extreme_shop(seed), folder)
        try:
            scenario = read(path)
            if sum(decisions(scenario, 0, scenario.days - 1)) > SMALL:
                continue
            plan = json_of(path, Options())
        except BreakplanError:  # a file that is refused
            continue
        compared += 1
        found += [f"shop {seed}: {each}" for each in disagreements(path, plan)]
    assert not found, "\n" + "\n".join(found)
    assert compared >= AGREED
