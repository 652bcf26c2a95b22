"""A ladder of sizes: every question keeps to its time and memory, and says what it cannot answer.

What is measured is the time of the processor, which a busy machine does not make longer.
"""

from __future__ import annotations

import json

import pytest

from tests.attack.watched import watched
from tests.bench.generate import shop_week
from tests.outside.checker import check

pytestmark = pytest.mark.thorough

SECONDS = 3
SPARE = 2.0  # to read the file, to come to an end, and to tell
SHARE = 1.2
THREADS = 2  # of a search
QUESTIONS = {  # with the plans that each makes
    "week": ([], 1),
    "why": ([], 1),
    "trim": ([], 1),
    "price": ([], 1),
    "morning": (["--day", "2026-12-01"], 1),
    "whatif": (["--bench", "2026-12-05: +30"], 2),
    "promise": (["bones: 1 lb on 2026-12-05", "--price", "2/lb"], 6),
}


def sound(question, path, more, plans, words=()):
    """The faults of an answer, whatever the size of the period."""
    seen = watched(question, path, *more, "--seconds", str(SECONDS), *words)
    faults = [each for each in seen.faults() if "of the processor" not in each]
    limit = THREADS * (SHARE * SECONDS + SPARE) * plans
    if seen.seconds > limit:
        faults.append(f"{seen.seconds:.1f} s of the processor, of at most {limit:g}")
    if seen.ran and seen.ran.code:
        last = (seen.ran.err.splitlines() or [""])[-1]
        late = question != "week" and "no plan found in" in last  # of those made beside it
        if "make `days`" not in last and not late:
            faults.append(f"exit code {seen.ran.code}: {seen.ran.err}")
    return seen, faults


@pytest.mark.parametrize(("days", "lots"), [(12, 20), (48, 20), (120, 4)])
def test_every_question_keeps_to_its_time(tmp_path, days, lots):
    path = tmp_path / "shop.yaml"
    path.write_text(shop_week(1, lots=lots, days=days, head=3 * lots))
    found = []
    for question, (more, plans) in QUESTIONS.items():
        seen, faults = sound(question, path, more, plans, ["--json"])
        if question == "week" and seen.ran and not seen.ran.code:
            faults += check(path, json.loads(seen.ran.out))
        found += [f"{question}: {fault}" for fault in faults]
    assert not found, "\n" + "\n".join(found)


def test_an_order_curve_keeps_to_the_time_of_each_plan(tmp_path):
    path = tmp_path / "shop.yaml"
    path.write_text(shop_week(1, lots=4, days=24))
    rows = 2 * 4 + 1  # none and one of each lot, and the plan that is told
    assert sound("order", path, ["--up-to", "1"], rows, ["--json"])[1] == []
