"""Trim, fat, bones and blends in balance, for a person."""

from __future__ import annotations

from collections.abc import Sequence
from operator import attrgetter

from planner.ask.trim import TrimAnswer
from planner.ask.trim_flow import Bind, BlendDay, BlendWeek, Flow, ShareLimit, TrimWeek
from planner.core.quantities import POUNDS, show_share
from planner.core.scenario import Scenario
from planner.core.word_lists import first_few
from planner.show.cautions import GRIND
from planner.show.difference import period_word
from planner.show.layout import SCREEN, WIDTH, clip, paragraphs, section, wrapped
from planner.show.remedies import mends_text
from planner.show.species import lines_by_species, species_table
from planner.show.text import proof

MORE = "Every trim, fat, bone and blend, day by day: --all"
NAMED = 8  # names that a sentence takes at most

SPECIES = attrgetter("line.species")

KEPT = "\xa0"
"""A space at which no line ends until it is printed."""


def trim_text(answer: TrimAnswer, tables: bool = False) -> str:
    """What is short or too much, and what mends it, on one screen; then all tables, if wanted.

    The tables are the period by cut, then by day, and the blends.
    """
    plan = answer.plan
    stopped = "\n".join(wrapped(proof(plan))) if plan.status == "time limit" else ""
    head, foot = (clip(plan.scenario.title, WIDTH), stopped), GRIND if plan.batches else ""
    below: tuple[str | list[str], ...] = (MORE,)
    if tables:
        below = (_weeks(answer), section("BY DAY", _days(answer)), _blends(answer))
    used = sum(part.count("\n") + 2 for part in (*head, foot, MORE) if part)
    mends = mends_text(answer, None if tables else SCREEN - used)
    return paragraphs(*head, mends or _state(answer), *below, foot)


def _state(answer: TrimAnswer) -> str:
    """What is short and what is too much in a sentence each, where nobody asked what mends it."""
    scenario = answer.plan.scenario
    short = [(each.line.cut, each.unmet) for each in answer.blend_weeks]
    over = [(each.line.cut, each.line.wasted) for each in answer.weeks]
    lines = []
    for word, amounts in (("Short", short), ("Goes out of date", over)):
        most_first = sorted(amounts, key=lambda each: -each[1])
        told = _amounts(scenario, *((clip(name, 40), pounds) for name, pounds in most_first))
        lines += wrapped(f"{word}: {first_few(told, NAMED)}.") if told else []
    return "\n".join(line.replace(KEPT, " ") for line in lines)


def _weight(scenario: Scenario, pounds: float) -> str:
    return scenario.units.weight(pounds).replace(" ", KEPT)


def _amounts(scenario: Scenario, *things: tuple[str, float]) -> list[str]:
    """`lamb sausage 3.0 lb` of things of which there is any."""
    return [f"{name} {_weight(scenario, lb)}" for name, lb in things if _any(scenario, lb)]


def _any(scenario: Scenario, pounds: float) -> bool:
    """Whether an amount is more than nothing when it is shown with one digit."""
    return pounds / POUNDS[scenario.unit] >= 0.05


def _weeks(answer: TrimAnswer) -> list[str]:
    scenario = answer.plan.scenario

    def row(each: TrimWeek) -> list[str]:
        line = each.line
        amounts = (line.on_hand, line.made, line.blended, line.sold, line.wasted, line.left)
        lean = "-" if each.lean is None else f"{each.lean * 100:.4g}%"
        figures = (f"{pounds / scenario.units.pounds:,.1f}" for pounds in amounts)
        return [clip(line.cut, 30), lean, *("-" if text == "0.0" else text for text in figures)]

    heads = ("", "lean", "had", "made", "ground", "sold", "out of date", "left")
    align = ("left", *["right"] * 7)
    shown = species_table(scenario, answer.weeks, row, heads, align, SPECIES)
    title = f"{period_word(scenario.days).upper()} ({scenario.unit})"
    return [title, shown] if answer.weeks else ["This plan has no trim, fat or bones."]


def _days(answer: TrimAnswer) -> list[str]:
    scenario = answer.plan.scenario
    by_cut: dict[str, list[Flow]] = {}
    for flow in answer.flows:
        by_cut.setdefault(flow.cut, []).append(flow)

    def show(flows: list[Flow], _: int) -> list[str]:
        lines = [line for flow in flows for line in _flow(scenario, flow)]
        return [f"  {clip(flows[0].cut, WIDTH - 6)}", *lines]

    return lines_by_species(scenario, [*by_cut.values()], show, lambda flows: flows[0].species)


def _flow(scenario: Scenario, flow: Flow) -> list[str]:
    """What came, then what became of it."""
    sources = (
        (f"{each.number}{KEPT}{clip(each.piece, 30)}, {clip(each.way, 30)}", each.pounds)
        for each in flow.sources
    )
    came = _amounts(scenario, ("had", flow.had), *sources)
    into = _amounts(scenario, *((clip(blend, 40), lb) for blend, lb in flow.used.items()))
    went = [f"into {', '.join(into)}"] if into else []
    went += _amounts(
        scenario, ("sold", flow.sold), ("OUT OF DATE", flow.wasted), ("left", flow.left)
    )
    if not came and not went:
        return []
    day = scenario.day_labels[flow.day]
    head, under = f"    {day}  ", " " * (6 + len(day))
    if not came:
        return _hung(head, "; ".join(went))
    return [*_hung(head, "; ".join(came)), *_hung(under, "; ".join(went))]


def _hung(head: str, text: str) -> list[str]:
    """Lines that hang under their first word behind a head; room for a margin is left."""
    if not text:
        return []
    lines = [line.replace(KEPT, " ") for line in wrapped(text, len(head) + 2)]
    return [head + lines[0].strip(), *(line[2:] for line in lines[1:])]


def _blends(answer: TrimAnswer) -> list[str]:
    scenario = answer.plan.scenario
    if not scenario.blends:
        return ["Nothing is ground, stuffed or rendered here: there are no blends."]
    if not answer.blend_weeks:
        return ["No blend is wanted, and none is made."]
    made = [day for day in answer.blend_days if _any(scenario, day.batch.made)]

    def show(each: BlendWeek, _: int) -> list[str]:
        days = [day for day in made if day.batch.blend == each.line.cut]
        lines = [line for day in days for line in _blend_day(scenario, day)]
        return [*_blend_week(scenario, each), *lines]

    return ["BLENDS", *lines_by_species(scenario, answer.blend_weeks, show, SPECIES)]


def _blend_week(scenario: Scenario, each: BlendWeek) -> list[str]:
    told = _amounts(
        scenario,
        ("wanted", each.wanted),
        ("had", each.line.on_hand),
        ("made", each.line.made),
        ("sold", each.line.sold),
        ("left", each.line.left),
        ("OUT OF DATE", each.line.wasted),
    )
    if _any(scenario, each.unmet):
        days = ((scenario.day_labels[day], pounds) for day, pounds in each.unmet_by_day)
        short = ", ".join(_amounts(scenario, *days))
        told.append(f"SHORT {_weight(scenario, each.unmet)} ({short})")
    return _hung("  ", f"{clip(each.line.cut, 50)}: {', '.join(told) or 'next to nothing'}")


def _blend_day(scenario: Scenario, each: BlendDay) -> list[str]:
    batch, day = each.batch, scenario.day_labels[each.batch.day]
    made = _weight(scenario, batch.made)
    if batch.batches:
        made += f" in {batch.batches} {'batch' if batch.batches == 1 else 'batches'}"
    shares = [_share(share) for share in each.shares]
    if batch.fat is not None and each.blend.cut.kind != "fat":
        shares.insert(0, _share(ShareLimit("fat", batch.fat, *each.blend.fat)))
    takes = _amounts(scenario, *((clip(cut, 40), pounds) for cut, pounds in batch.takes.items()))
    used_up = [clip(bind.name, 60) for bind in each.binds if bind.kind == "used up"]
    binds = dict.fromkeys(_bind(scenario, each, bind, used_up) for bind in each.binds)
    under = " " * (6 + len(day))
    return [
        *_hung(f"    {day}  ", ", ".join([made, *shares])),
        *(_hung(under, f"from {', '.join(takes)}") if takes else []),
        *_hung(under, f"binds: {'; '.join(binds) or 'nothing: more of it would not pay'}"),
    ]


def _share(share: ShareLimit) -> str:
    """`fat 20.0% (15% to 20%)`."""
    limits = _limits(share.least, share.most)
    return f"{clip(share.name, 40)} {show_share(share.reached)}{f' ({limits})' if limits else ''}"


def _limits(least: float, most: float) -> str:
    low, high = f"{least * 100:.4g}%", f"{most * 100:.4g}%"
    if least <= 0 and most >= 1:
        return ""
    if least <= 0:
        return f"at most {high}"
    if most >= 1:
        return f"at least {low}"
    return f"just {low}" if low == high else f"{low} to {high}"


def _bind(scenario: Scenario, day: BlendDay, bind: Bind, used_up: Sequence[str]) -> str:
    """In words; cuts that are used up are told all at once."""
    ends = {"least": "at its minimum", "most": "at its maximum", "both": "fixed"}
    name = clip(bind.name, 60)
    if bind.kind in ("fat", "share"):
        return f"{name or 'fat'} {ends[bind.end]}"
    return {
        "used up": f"nothing is left of {', '.join(used_up)}",
        "batches": f"whole batches of {_weight(scenario, day.blend.batch)}",
        "bench": "the bench is full",
        "overtime": "the bench is full, more is overtime",
        "rule": f'the rule "{name}"',
        "wanted": "all that is wanted",
        "full price": "all that is wanted at full price",
    }[bind.kind]
