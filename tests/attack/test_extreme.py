"""Shops at the edges of what a file may say: every plan of one passes the second replay."""

from __future__ import annotations

import json

import pytest

from tests.attack.extreme import extreme_shop
from tests.attack.watched import watched
from tests.outside.checker import check
from tests.outside.shops import write_shop

pytestmark = pytest.mark.thorough

SHOPS = 200
PARTS = 20  # to be spread over the cores


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
