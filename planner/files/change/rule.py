"""Rules added, and rules of the file lifted."""

from __future__ import annotations

import re
from dataclasses import replace

from planner.core.scenario import Scenario
from planner.files.change.words import parted
from planner.files.context import Setting
from planner.files.rules import read_rule
from planner.files.yamlfile import Place


def change_rule(setting: Setting, scenario: Scenario, place: Place, text: str) -> Scenario:
    """`never rack: rib chops` adds a rule, `lift never rack: rib chops` takes it away.

    A rule that is there already stays as it is.
    """
    lifted = re.fullmatch(r"lift\s+(.+)", text.strip())
    parts = parted(setting, place, lifted[1] if lifted else text, "never rack: rib chops")
    read = read_rule(setting, place, *parts) if parts else None
    if read is None:
        return scenario
    rule = replace(read, line=0)  # the line of another file would mislead
    others = tuple(each for each in scenario.rules if replace(each, line=0) != rule)
    there = len(others) < len(scenario.rules)
    if lifted and not there:
        known = ", ".join(f'"{each}"' for each in scenario.rules)
        known = f"the rules are {known}" if known else "there are no rules"
        setting.document.fault(place, f'no rule "{rule}" to lift; {known}')
    if lifted:
        return replace(scenario, rules=others)
    return scenario if there else replace(scenario, rules=(*scenario.rules, rule))
