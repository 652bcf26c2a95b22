"""What commands print with --json, byte for byte but for the seconds a plan took.

The snapshots were taken before one serializer took the place of JSON written by hand.
"""

from __future__ import annotations

import hashlib
import os
import re
import shlex
from pathlib import Path

import pytest

from tests.shops import shop_folder

LONG = 20_000
"""Of longer answers only a hash is kept: what the plan in them is, the shorter ones have."""

SNAPSHOTS = Path(__file__).parent.parent / "snapshots"
IDEAS = """\
bone out:
  rules: ["all shoulder: boneless roast"]
stupid:
  rules: ["at least 99 leg: frenched"]
"""
BONED = "all shoulder: boneless roast"
COMMANDS = {
    "week": "week one-lamb --within 0",
    "morning": "morning one-lamb --within 0 --cutters 2",
    "trim": "trim one-lamb --within 0",
    "square": "trim one-lamb --square 'trim 85, fat: 10 lb at 20%'",
    "price": "price one-lamb --within 0",
    "why": "why one-lamb --within 0",
    "order": "order one-lamb --within 0 --up-to 2",
    "whatif": f"whatif one-lamb --within 0 --rule '{BONED}'",
    "alternatives": "whatif one-lamb --within 0 --changes ideas.yaml",
    "many": "week one-lamb missing.yaml --within 0 --changes ideas.yaml --cores 1",
    "yes": "promise one-lamb --within 0 'bones: 1 lb on mon'",
    "no": "promise one-lamb --within 0 'boneless leg: 50 lb on mon'",
    "check": "check one-lamb goat spoilt.yaml",
    "cuts": "cuts lamb",
}
IN_SHOP = {
    "shop-morning": "morning shop --within 0",
    "shop-yields": "yields --shop shop",
    "shop-demand": "demand --shop shop",
    "shop-later": "promise shop 'loin chops: 2 lb on 4 dec'",
    "shop-order": "promise shop 'loin chops: 2 lb on sat'",
    "shop-journal": "journal --shop shop",
}

ENTRIES = (
    "delivery lamb carcass: 58 lb at 7.10/lb",
    "delivery lamb carcass: 61 lb at 7.10/lb",
    "sale bones: 1.5 lb on tue",
    "sale bones: 2 lb sold out on wed",
    "order boneless leg: 3 lb on sat for the invented inn",
)


def same(name: str, told: str) -> None:
    path = SNAPSHOTS / f"json-{name}.json"
    told = told.replace(f"{SNAPSHOTS.parent.parent}/", "")  # where shipped files lie
    told = re.sub(r'"seconds": [\d.]+', '"seconds": 0', told)
    assert told.startswith("{\n")
    if len(told) > LONG:
        told = f"{hashlib.sha256(told.encode()).hexdigest()}\n"
    if os.environ.get("WRITE_SNAPSHOTS"):
        path.write_text(told, encoding="utf-8")
    assert told == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", COMMANDS)
def test_answers_about_one_lamb_are_the_same(breakplan, tmp_path, monkeypatch, name):
    (tmp_path / "ideas.yaml").write_text(IDEAS, encoding="utf-8")
    (tmp_path / "spoilt.yaml").write_text("starts: 2026-11-30\ndays: six\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    same(name, breakplan(*shlex.split(COMMANDS[name]), "--json").out)


@pytest.mark.parametrize("name", IN_SHOP)
def test_answers_about_a_shop_are_the_same(breakplan, tmp_path, monkeypatch, name):
    shop_folder(tmp_path)
    monkeypatch.chdir(tmp_path)
    assert breakplan("journal", "new", "--shop", "shop").code == 0
    entered = breakplan("journal", "add", *ENTRIES, "--shop", "shop", "--yes")
    assert entered.code == 0, entered.err
    same(name, breakplan(*shlex.split(IN_SHOP[name]), "--json").out)
