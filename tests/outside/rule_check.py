"""The rules of a scenario against the rows of a plan."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

from .shop import Shop


def rule_faults(shop: Shop, plan: dict[str, Any]) -> list[str]:
    """A sentence for each rule that is not kept."""
    found = []
    for rule in shop.rules:
        ways: Counter[str] = Counter()
        for row in plan["breaks"]:
            if row["piece"] == rule.piece:
                ways[row["way"]] += row["count"]
        if not kept(rule.kind, rule.number, ways[rule.way], sum(ways.values()), 0.0):
            number = f" {rule.number}" if rule.number else ""
            say = f"{rule.kind}{number} {rule.piece}: {rule.way}"
            found.append(f"the rule '{say}' is not kept: {dict(ways)}")
    for rule in shop.blend_rules:
        into: dict[str, float] = defaultdict(float)
        for row in plan["blends"]:
            into[row["blend"]] += row["from"].get(rule.cut, 0.0) * shop.pound
        slack = 1e-5 + 1e-6 * rule.pounds
        if not kept(rule.kind, rule.pounds, into[rule.blend], sum(into.values()), slack):
            pounds = f" {rule.pounds:g} lb" if rule.kind.startswith("at ") else ""
            say = f"{rule.kind}{pounds} {rule.cut}: {rule.blend}"
            found.append(f"the rule '{say}' is not kept: {dict(into)}")
    return found


def kept(kind: str, asked: float, so: float, total: float, slack: float) -> bool:
    return {
        "all": total - so <= slack,
        "never": so <= slack,
        "at least": so >= asked - slack,
        "at most": so <= asked + slack,
    }[kind]
