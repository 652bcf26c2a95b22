"""A plan beside the one that was kept before: what changed on the list, why, and what it costs."""

from __future__ import annotations

from collections.abc import Mapping

from planner.ask.posted_obstacles import Hindrance
from planner.ask.replan import Changed, Replan, Spot
from planner.core.quantities import show_count, show_day
from planner.show.changes import NAME, fact_text, piece_said, weekday
from planner.show.layout import WIDTH, clip, wrapped
from planner.solve.plan import CENT, Plan

MOST = 8
"""Facts that are told in text beside those that are the reason of a change."""


def replan_text(replan: Replan, width: int = WIDTH) -> str:
    """What changed against the plan before, and what keeping to its list costs."""
    kept = f"the plan of {show_day(replan.kept.first)} (entry {replan.entry})"
    if replan.nothing:
        said = f"Nothing has changed since entry {replan.entry}: its list stays. {_held(replan)}"
        if not replan.alike and replan.shop_alike is False:
            said = f"{_SOMETHING}; the list of entry {replan.entry} stays. {_held(replan)}"
        return "\n".join(wrapped(said.strip(), 0, width))
    lines = wrapped(f"AGAINST {kept}: {_how_many(replan)}", 0, width, 2)
    told: set[int] = set()
    for each in replan.changes:
        lines += wrapped(_change(replan, each), 2, width, 5)
        new = [number for number in each.why if number not in told]
        told |= {*new}
        for number in new:
            lines += wrapped(
                f"why: {fact_text(replan.plan.scenario, replan.facts[number])}", 7, width, 5
            )
    for bought in replan.bought:
        what = piece_said(replan.plan.scenario, bought.piece, bought.after)
        said = f"{weekday(bought.day)}  buy {bought.after or 'no'} {what} instead of "
        lines += wrapped(f"{said}{bought.before or 'none'}", 2, width, 5)
    rest = [fact for number, fact in enumerate(replan.facts) if number not in told]
    if rest:
        lines.append("other changes since that plan:" if told else "changes since that plan:")
    for fact in rest[:MOST]:
        lines += wrapped(fact_text(replan.plan.scenario, fact), 2, width, 2)
    if len(rest) > MOST:
        lines.append(f"  and {show_count(len(rest) - MOST, 'smaller thing')}")
    for said in (_no_reason(replan), _keeping(replan), _held(replan)):
        lines += wrapped(said, 0, width) if said else []
    return "\n".join(lines)


def _how_many(replan: Replan) -> str:
    moved = sum(each.count for each in replan.changes if each.before)
    more = sum(each.count for each in replan.changes if not each.before)
    if not replan.listed:
        return "nothing of its list was left"
    pieces = show_count(replan.listed, "piece")
    if not moved:
        said = f"all {pieces} still to be cut stay as listed"
        if replan.listed == 1:
            said = "the one piece still to be cut stays as listed"
    else:
        said = f"{moved} of {pieces} still to be cut {'is' if moved == 1 else 'are'} changed"
    return f"{said}, {more} added" if more else said


def _change(replan: Replan, each: Changed) -> str:
    """`wed  2 shoulder: stew instead of boneless roast`."""
    spots = [spot for spot in (each.after, each.before) if spot]
    head = f"{weekday(spots[0].day)}  {each.count} {_pieces(replan, each)}: "
    return head + _from_to(each.before, each.after)


def _pieces(replan: Replan, each: Changed) -> str:
    return piece_said(replan.plan.scenario, each.piece, each.count)


def _from_to(before: Spot | None, after: Spot | None) -> str:
    if after is None:
        assert before is not None
        return f"{clip(before.way, NAME)} is dropped"
    if before is None:
        return f"{clip(after.way, NAME)} is new"
    if before.way == after.way:
        return f"{clip(after.way, NAME)}, instead of on {weekday(before.day)}"
    day = "" if before.day == after.day else f" on {weekday(before.day)}"
    return f"{clip(after.way, NAME)} instead of {clip(before.way, NAME)}{day}"


def _no_reason(replan: Replan) -> str:
    if replan.facts or not replan.changes:
        return ""
    if replan.alike:
        return "Nothing has changed since that plan: a better list was found than before."
    if replan.shop_alike:
        return "What has changed since that plan is too small to list: a better list was found."
    return f"{_SOMETHING}."


_SOMETHING = (
    "Something that cannot be told here is otherwise, in shop.yaml, in the recipes or in what is "
    "learned"
)


def _keeping(replan: Replan) -> str:
    """What keeping the whole list would earn less, or why it cannot be kept."""
    calm, units = replan.calm, replan.plan.scenario.units
    if not replan.listed or calm.kept == "all":
        return ""
    # nothing that is listed is cut otherwise
    added = bool(replan.changes) and not any(each.before for each in replan.changes)
    if calm.whole is None:
        reasons = "; ".join(_hindered(replan, each) for each in replan.hindrances[:3])
        cannot = "Cutting only what is listed" if added else "The list cannot be kept whole"
        cannot += " is not possible" if added else ""
        return f"{cannot}: {reasons or 'not in the time given'}."
    if calm.keeping is None:
        these = "only what is listed" if added else "the whole list"
        return f"With {these} not all orders can be filled: {_shorts(replan)}."
    doing = "Cutting only what is listed" if added else "Keeping the whole list"
    return f"{doing} would cost {units.between(*calm.keeping)}."


def _hindered(replan: Replan, each: Hindrance) -> str:
    scenario = replan.plan.scenario
    day = scenario.date(each.day)
    piece = piece_said(scenario, each.piece, round(each.count) if each.kind == "pieces" else 1)
    if each.kind == "way":
        return f'no recipe has "{clip(each.way, NAME)}" of {piece} any more'
    if each.kind == "pieces":
        number = f"{each.count:.0f} {piece}"
        are = "is" if round(each.count) == 1 else "are"
        return f"{number} for {clip(each.way, NAME)} {are} not there on {weekday(day)}"
    if each.kind == "bench":
        return (
            f"its cutting takes {each.count:.0f} min on {weekday(day)}, "
            f"and there are {each.most:.0f} with overtime"
        )
    return "the rules forbid it" if each.kind == "rules" else "the bench is too short for it"


def _shorts(replan: Replan) -> str:
    told = {each.order: each.short for each in replan.plan.short}
    whole = replan.calm.whole
    lacking = shorts_text(whole, told, "is") if whole else ""
    return lacking or "less of their money is filled"


def shorts_text(plan: Plan, told: Mapping[int, float], verb: str) -> str:
    """`the inn is 4.0 lb loin chops short on wed`, for orders that lack more than those told."""
    scenario = plan.scenario
    lacking = [
        f"{clip(each.buyer, 30)} {verb} {scenario.show_amount(each.cut, each.short)} "
        f"{clip(each.cut, NAME)} short on {scenario.day_labels[each.day]}"
        for each in plan.short
        if each.short > told.get(each.order, 0.0) + CENT
    ]
    more = f"; and {show_count(len(lacking) - 3, 'more order')}" if len(lacking) > 3 else ""
    return "; ".join(lacking[:3]) + more


def _held(replan: Replan) -> str:
    """That the plan keeps to the list, and what that costs."""
    calm, units = replan.calm, replan.plan.scenario.units
    said = f"(--calm {calm.calm:.2f})"
    most = max(0.0, replan.plan.within)
    if calm.kept == "all" and replan.listed:
        if calm.cost < CENT:
            return "" if replan.nothing else "The list on the wall stays: nothing better was found."
        return (
            "The list on the wall stays: a better one would earn only "
            f"{units.money(calm.cost)} more, {units.money(most)} at most {said}."
        )
    if calm.kept == "most" and calm.cost >= CENT:
        return (
            "Kept most of the posted list: "
            f"{units.money(calm.cost)} below the best plan found, "
            f"up to {units.money(most)} below the best possible {said}."
        )
    return ""
