"""A plan beside the one that was kept before: what changed on the list, why, and what it costs."""

from __future__ import annotations

from collections.abc import Mapping

from planner.ask.posted_obstacles import Hindrance
from planner.ask.replan import ListChange, Replan
from planner.core.quantities import show_count, show_day
from planner.core.scenario import Scenario
from planner.show.changes import NAME, fact_text, piece_words, weekday
from planner.show.layout import WIDTH, clip, wrapped
from planner.solve.plan import CENT, Plan

MOST = 8  # facts that are told in text beside those that are the reason of a change


def replan_text(replan: Replan, width: int = WIDTH) -> str:
    """What changed against the plan before, and what keeping to its list costs."""
    scenario = replan.plan.scenario
    if replan.nothing:
        said = f"Nothing has changed since entry {replan.entry}: its list stays. {_held(replan)}"
        if not replan.alike and replan.shop_alike is False:
            said = f"{_SOMETHING}; the list of entry {replan.entry} stays. {_held(replan)}"
        return "\n".join(wrapped(said.strip(), 0, width))
    kept = f"the plan of {show_day(replan.kept.first)} (entry {replan.entry})"
    lines = wrapped(f"AGAINST {kept}: {_how_many(replan)}", 0, width, 2)
    told: set[int] = set()
    for each in replan.changes:
        lines += wrapped(_change(scenario, each), 2, width, 5)
        for number in (number for number in each.why if number not in told):
            lines += wrapped(f"why: {fact_text(scenario, replan.facts[number])}", 7, width, 5)
        told |= {*each.why}
    for bought in replan.bought:
        what = piece_words(scenario, bought.piece, bought.after)
        said = f"{weekday(bought.day)}  buy {bought.after or 'no'} {what} instead of "
        lines += wrapped(f"{said}{bought.before or 'none'}", 2, width, 5)
    rest = [fact for number, fact in enumerate(replan.facts) if number not in told]
    if rest:
        lines.append("other changes since that plan:" if told else "changes since that plan:")
    for fact in rest[:MOST]:
        lines += wrapped(fact_text(scenario, fact), 2, width, 2)
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
    said = f"all {pieces} still to be cut stay as listed"
    if moved:
        said = f"{moved} of {pieces} still to be cut {'is' if moved == 1 else 'are'} changed"
    elif replan.listed == 1:
        said = "the one piece still to be cut stays as listed"
    return f"{said}, {more} added" if more else said


def _change(scenario: Scenario, each: ListChange) -> str:
    """`wed  2 shoulder: stew instead of boneless roast`."""
    before, after = each.before, each.after
    spot = after or before
    assert spot is not None
    way = clip(spot.way, NAME)
    if before is None or after is None:
        said = f"{way} is {'new' if after else 'dropped'}"
    elif before.way == after.way:
        said = f"{way}, instead of on {weekday(before.day)}"
    else:
        day = "" if before.day == after.day else f" on {weekday(before.day)}"
        said = f"{way} instead of {clip(before.way, NAME)}{day}"
    return (
        f"{weekday(spot.day)}  {each.count} {piece_words(scenario, each.piece, each.count)}: {said}"
    )


def _no_reason(replan: Replan) -> str:
    if replan.facts or not replan.changes:
        return ""
    if replan.alike:
        return "Nothing has changed since that plan: a better list was found than before."
    if replan.shop_alike:
        return "What has changed since that plan is too small to list: a better list was found."
    return f"{_SOMETHING}."


_SOMETHING = (
    "Something that cannot be shown here has changed, in shop.yaml, in the recipes or in what is "
    "learned"
)


def _keeping(replan: Replan) -> str:
    """What keeping the whole list would earn less, or why it cannot be kept."""
    repair, scenario = replan.repair, replan.plan.scenario
    if not replan.listed or repair.kept == "all":
        return ""
    # where there is more to cut, but nothing that is listed is cut differently
    added = bool(replan.changes) and not any(each.before for each in replan.changes)
    doing = "Cutting only what is listed" if added else "Keeping the whole list"
    if repair.whole is None:
        reasons = "; ".join(_hindered(scenario, each) for each in replan.hindrances[:3])
        return f"{doing} is not possible: {reasons or 'not in the time given'}."
    if repair.keeping is None:
        known = {each.order: each.short for each in replan.plan.short}
        lacking = shorts_text(repair.whole, known, "is") or "less of their money is filled"
        these = "only what is listed" if added else "the whole list"
        return f"With {these} not all orders can be filled: {lacking}."
    return f"{doing} would cost {scenario.units.between(*repair.keeping)}."


def _hindered(scenario: Scenario, each: Hindrance) -> str:
    day = scenario.date(each.day)
    piece = piece_words(scenario, each.piece, round(each.count) if each.kind == "pieces" else 1)
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
    repair, units = replan.repair, replan.plan.scenario.units
    said = f"(--calm {repair.allowance:.2f})"
    most = max(0.0, replan.plan.within)
    if repair.kept == "all" and replan.listed:
        if repair.cost < CENT:
            return "" if replan.nothing else "The list on the wall stays: nothing better was found."
        return (
            "The list on the wall stays: a better one would earn only "
            f"{units.money(repair.cost)} more, {units.money(most)} at most {said}."
        )
    if repair.kept == "most" and repair.cost >= CENT:
        return (
            "Kept most of the posted list: "
            f"{units.money(repair.cost)} below the best plan found, "
            f"up to {units.money(most)} below the best possible {said}."
        )
    return ""
