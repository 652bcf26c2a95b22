"""A plan beside the one that was kept before: what changed on the list, why, and what it costs."""

from __future__ import annotations

from planner.ask.replan import Changed, Replan, Spot
from planner.ask.unkept import Hindrance
from planner.measures import show_count, show_day, show_money
from planner.plan import CENT
from planner.show.amounts import show_amount, show_between
from planner.show.layout import WIDTH, clip, wrapped
from planner.show.otherwise import NAME, fact_text, piece_said, weekday

MOST = 8
"""Facts that are told in text beside those that are the reason of a change."""


def replan_text(replan: Replan, width: int = WIDTH) -> str:
    """What changed against the plan before, and what keeping to its list costs."""
    kept = f"the plan of {show_day(replan.kept.first)} (entry {replan.entry})"
    if replan.nothing:
        said = f"Nothing has changed since entry {replan.entry}: its list stays. {_held(replan)}"
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
        what = piece_said(replan.plan.scenario, bought.piece)
        said = f"{weekday(bought.day)}  buy {bought.after or 'no'} {what} instead of "
        lines += wrapped(f"{said}{bought.before or 'none'}", 2, width, 5)
    rest = [fact for number, fact in enumerate(replan.facts) if number not in told]
    if rest:
        lines.append("also otherwise than planned:" if told else "otherwise than planned:")
    for fact in rest[:MOST]:
        lines += wrapped(fact_text(replan.plan.scenario, fact), 2, width, 2)
    if len(rest) > MOST:
        lines.append(f"  and {len(rest) - MOST} smaller things")
    for said in (_no_reason(replan), _keeping(replan), _held(replan)):
        lines += wrapped(said, 0, width) if said else []
    return "\n".join(lines)


def _how_many(replan: Replan) -> str:
    moved = sum(each.count for each in replan.changes if each.before)
    more = sum(each.count for each in replan.changes if not each.before)
    if not replan.listed:
        return "nothing of its list was left"
    pieces = show_count(replan.listed, "piece")
    if not moved and not more:
        return f"all {pieces} still to be cut stay as listed"
    said = f"{moved or 'none'} of {pieces} still to be cut {'is' if moved == 1 else 'are'} changed"
    return f"{said}, {more} added" if more else said


def _change(replan: Replan, each: Changed) -> str:
    """`wed  2 shoulder: stew instead of boneless roast`."""
    spots = [spot for spot in (each.after, each.before) if spot]
    head = f"{weekday(spots[0].day)}  {each.count} {piece_said(replan.plan.scenario, each.piece)}: "
    return head + _from_to(each.before, each.after)


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
    return "Nothing is otherwise than planned: a better list was found than before."


def _keeping(replan: Replan) -> str:
    """What keeping the whole list would earn less, or why it cannot be kept."""
    calm, money = replan.calm, replan.plan.scenario.money
    if not replan.listed or calm.kept == "all":
        return ""
    if calm.whole is None:
        reasons = "; ".join(_hindered(replan, each) for each in replan.hindrances[:3])
        return f"The list cannot be kept whole: {reasons or 'not in the time given'}."
    if calm.keeping is None:
        return f"With the whole list not all orders can be filled: {_shorts(replan)}."
    return f"Keeping the whole list would cost {show_between(*calm.keeping, money)}."


def _hindered(replan: Replan, each: Hindrance) -> str:
    scenario = replan.plan.scenario
    day = scenario.date(each.day)
    piece = piece_said(scenario, each.piece)
    if each.kind == "way":
        return f'no recipe has "{clip(each.way, NAME)}" of {piece} any more'
    if each.kind == "pieces":
        number = f"{each.count:.0f} {piece}"
        return f"{number} for {clip(each.way, NAME)} are not there on {weekday(day)}"
    if each.kind == "bench":
        return (
            f"its cutting takes {each.count:.0f} min on {weekday(day)}, "
            f"and there are {each.most:.0f} with overtime"
        )
    return "the rules forbid it" if each.kind == "rules" else "the bench is too short for it"


def _shorts(replan: Replan) -> str:
    whole, scenario = replan.calm.whole, replan.plan.scenario
    told = {each.order: each.short for each in replan.plan.short}
    lacking = [
        f"{clip(each.buyer, 30)} is {show_amount(scenario, each.cut, each.short)} "
        f"{clip(each.cut, NAME)} short on {scenario.day_labels[each.day]}"
        for each in (whole.short if whole else ())
        if each.short > told.get(each.order, 0.0) + CENT
    ]
    return "; ".join(lacking[:3]) or "less of their money is filled"


def _held(replan: Replan) -> str:
    """That the plan keeps to the list, and what that costs."""
    calm, money = replan.calm, replan.plan.scenario.money
    said = f"(--calm {calm.calm:.2f})"
    most = max(0.0, replan.plan.within)
    if calm.kept == "all" and replan.listed:
        if calm.cost < CENT:
            return "" if replan.nothing else "The list on the wall stays: nothing better was found."
        return (
            "The list on the wall stays: a better one would earn only "
            f"{show_money(calm.cost, money)} more, {show_money(most, money)} at most {said}."
        )
    if calm.kept == "most" and calm.cost >= CENT:
        return (
            "Held to the list on the wall where that costs little: "
            f"{show_money(calm.cost, money)} below the best plan found, "
            f"up to {show_money(most, money)} below the best possible {said}."
        )
    return ""
