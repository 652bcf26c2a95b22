"""Whether orders can be promised, for a person and for machines."""

from __future__ import annotations

from textwrap import wrap
from typing import Any

from planner.ask.comparison import NAMED
from planner.ask.promise import Asked, LeastPay, Promise, Pushed, Taken
from planner.core.scenario import Order, Scenario
from planner.show.cautions import KEEPS
from planner.show.data import BETWEEN, Data, head, shape
from planner.show.difference import period_word
from planner.show.json import SHORT
from planner.show.layout import WIDTH, clip, paragraphs, table, wrapped
from planner.show.species import species_table
from planner.solve.plan import CENT

KINDS = {
    "head": "one more",
    "bench": "more minutes",
    "rule": "a rule lifted",
    "keeps": "kept a day longer",
}


def promise_text(promise: Promise) -> str:
    """The answer in one line, then what it takes, what it has to pay, and what would help."""
    return paragraphs(
        [*wrapped(_answer(promise)), *_orders(promise)],
        _takes(promise) if promise.after else "",
        _money(promise),
        _further(promise),
    )


def _amount(scenario: Scenario, order: Order, amount: float | None = None) -> str:
    """`9.0 lb boneless leg`."""
    much = scenario.show_amount(order.cut, order.amount if amount is None else amount)
    return f"{much} {clip(order.cut, 32)}"


def _answer(promise: Promise) -> str:
    scenario, asked, answer = promise.before.scenario, promise.asked, promise.answer
    if len(asked) > 1:
        number, full = f"{len(asked)} orders", sum(each.full for each in asked)
        return {
            "yes": f"YES: the {number} can all be filled, and every earlier order is kept.",
            "part": f"PART: {full} of the {number} can be filled in full, with all earlier orders.",
            "no": f"NO: none of the {number} can be filled along with the earlier orders.",
        }[answer]
    (one,) = asked
    what = f"{_amount(scenario, one.order)} on {scenario.day_labels[one.order.day]}"
    some = scenario.show_amount(one.order.cut, one.promised)
    return {
        "yes": f"YES: {what} can be filled, and every earlier order is kept.",
        "part": f"PART: {some} of {what} can be filled along with the earlier orders.",
        "no": f"NO: none of {what} can be filled along with the earlier orders.",
    }[answer]


def _orders(promise: Promise) -> list[str]:
    """The new orders, and those that fall short without them."""
    scenario = promise.before.scenario
    lines = []
    for each in promise.asked:
        order = each.order
        rate, who = (scenario.show_rate(order.cut, order.price), clip(order.buyer, 24))
        said = f"{scenario.day_labels[order.day]}  {who}: {_amount(scenario, order)} at {rate}"
        lines += wrapped(f"{said} - {_filled(scenario, each)}", 2)
    for short in promise.before.short:
        ordered, less = (
            scenario.show_amount(short.cut, each) for each in (short.ordered, short.short)
        )
        said = f"{clip(short.buyer, 24)} on {scenario.day_labels[short.day]}, {less} of {ordered}"
        lines += wrapped(
            f"short already, without it: {said} {clip(short.cut, 32)}; the rest of it is kept.", 2
        )
    return lines


def _filled(scenario: Scenario, each: Asked) -> str:
    if each.full or not each.promised:
        return "in full" if each.full else "NONE"
    return f"ONLY {scenario.show_amount(each.order.cut, each.promised)}"


def _takes(promise: Promise) -> list[str]:
    """What other customers get less of, and in turn more."""
    scenario = promise.before.scenario

    def row(each: Taken) -> list[str]:
        amounts = (
            scenario.show_amount(each.cut, amount) if amount else "none"
            for amount in (each.before, each.after)
        )
        return [clip(each.cut, 32), each.to, *amounts]

    less = [each for each in promise.taken if each.after < each.before]
    lines = ["TAKES NOTHING FROM OTHER CUSTOMERS"]
    if less:
        heads, align = ("", "", "without it", "with it"), ("left", "left", "right", "right")
        shown = species_table(
            scenario, less, row, heads, align, lambda each: scenario.cuts[each.cut].species
        )
        lines = ["TAKES FROM OTHER CUSTOMERS", shown]
    more = [row(each) for each in promise.taken if each.after > each.before]
    if more:
        said = "; ".join(f"{name} {to} {before} to {after}" for name, to, before, after in more)
        lines += wrapped(f"and in turn more is sold: {said}", 2)
    if promise.after and promise.before.within + promise.after.within > NAMED:
        # the plan told, not the closest
        lines += wrapped("(other plans that earn as much may take it from others)", 2)
    return lines


def _money(promise: Promise) -> list[str]:
    """The score without and with what can be filled, and what that has to pay."""
    before, after, pay = promise.before, promise.after, promise.least_pay
    if after is None or pay is None:
        return []
    units, many = before.scenario.units, len(promise.asked) > 1
    what = "them" if many else "it"
    rows = {
        f"best score without {what}": units.between(promise.without.least, promise.without.most),
        f"best score with {what}": units.between(after.score, after.bound),
        "they pay" if many else "it pays": units.money(promise.pays),
        "lowest payment for the same score": _least(promise, pay),
    }
    room = WIDTH - max(map(len, rows)) - 4
    lines = [(name, "\n".join(wrap(said, room))) for name, said in rows.items()]
    shown = table(lines, (), ("left", "left"))
    return ["MONEY", shown, *wrapped(f"{_verdict(promise)} {_tried(pay)}", 2)]


def _least(promise: Promise, pay: LeastPay) -> str:
    """In all, and for a pound or each where a single cut is asked for."""
    scenario, cut = promise.before.scenario, promise.asked[0].order.cut
    rates = dict.fromkeys(scenario.show_rate(cut, each) for each in pay.price or ())
    said = scenario.units.between(pay.least, pay.most)
    return f"{said}: {' to '.join(rates)}" if rates else said


def _verdict(promise: Promise) -> str:
    scenario, gain = promise.before.scenario, promise.gain
    assert gain is not None
    units, period, within = scenario.units, period_word(scenario.days), max(-gain.least, gain.most)
    if within < CENT:
        said = "the same"
    elif gain.least >= 0:
        said = f"{units.between(gain.least, gain.most)} more"
    elif gain.most <= 0:
        said = f"{units.between(-gain.most, -gain.least)} less. Ask for more"
    elif within <= NAMED:
        said = f"the same, to within {units.money(within)}"
    else:
        late = "time limit" in (gain.before.status, gain.after.status)
        ends = f"{units.money(-gain.least)} less and {units.money(gain.most)} more"
        return (
            f"What the {period} earns at the price asked {'was' if late else 'is'} not settled"
            f"{' in the time' if late else ''}: between {ends}."
        )
    return f"At the price asked the {period} earns {said}."


def _tried(pay: LeastPay) -> str:
    if pay.most < CENT:
        return "Any payment is a gain: it could be given away."
    less = "" if pay.least < CENT else ", 1% less is not"
    if pay.verified:
        return f"The lowest payment was tried: 1% more is enough{less}."
    less = less and " and 1% less"
    return f"The lowest payment was tried, 1% more{less}, and not settled in the time given."


def _further(promise: Promise) -> list[str]:
    """Other days, changes that would help, whom it would push out; what is not settled."""
    scenario = promise.before.scenario
    said = "On no day of the plan can all of it be filled."
    if promise.earliest is not None:
        day = scenario.day_labels[promise.earliest]
        said = f"The earliest day on which all of it can be filled: {day}."
    lines = [*wrapped(said), *(_helps(promise) if promise.answer != "yes" else ())]
    if promise.pushed:
        pushed = "; ".join(_pushed(scenario, each) for each in promise.pushed)
        lines += wrapped(f"Filled by value alone, it would take from {pushed}. That is not done.")
    if not promise.settled:
        lines += wrapped(
            "Not all of this was settled in the time given: more may be possible than is said "
            "here, or earlier."
        )
    return lines


def _helps(promise: Promise) -> list[str]:
    rows = [[KINDS[each.kind], f'--{each.kind} "{clip(each.text, 64)}"'] for each in promise.helps]
    if not rows:
        return wrapped(
            "No single change would let all of it be filled: not one more of a lot, not two hours "
            "more on a day, no rule lifted, nothing kept a day longer."
        )
    said = "Each of these alone would let all of it be filled (as `breakplan whatif` takes them):"
    longer = any(each.kind == "keeps" for each in promise.helps)
    return [said, table(rows, (), ("left", "left")), *(wrapped(KEEPS, 2) if longer else ())]


def _pushed(scenario: Scenario, each: Pushed) -> str:
    cut, day = each.order.cut, scenario.day_labels[each.order.day]
    before, after = (scenario.show_amount(cut, amount) for amount in (each.before, each.after))
    return f"{clip(each.order.buyer, 24)} on {day} ({clip(cut, 32)}, {before} to {after})"


_PROMISE = shape(
    "answer, settled, orders = asked: asked, short already = before.short: short,"
    "score = self: score, pays: number, least pay: pay, takes = taken: taken, pushed: pushed,"
    "earliest: day, helps: change",
    asked=shape(
        "day = order.day: day, cut = order.cut, for = order.buyer,"
        "amount = order.amount: amount of order.cut, price = order.price: price of order.cut,"
        "promised: amount of order.cut"
    ),
    short=SHORT,
    score=shape(
        "without: between, with = after: plan, difference = gain: between",
        plan=shape("least = score: number, most = bound: number"),
    ),
    pay=BETWEEN,
    taken=shape("cut, from = to, without = before: amount, with = after: amount"),
    pushed=shape(
        "day = order.day: day, cut = order.cut, for = order.buyer,"
        "without = before: amount of order.cut, with = after: amount of order.cut"
    ),
)


def promise_data(promise: Promise, written: bool = False) -> dict[str, Any]:
    """The answer: amounts in the scenario's unit or each, prices for one of it.

    `answer` is yes, part or no; `score` is null with what cannot be filled. `least pay` is money
    for all that can be filled, its `price` null where several cuts are asked for.
    """
    scenario, data, pay = promise.before.scenario, Data(promise.before.scenario), promise.least_pay
    told = data.one(_PROMISE, promise)
    if pay:
        price = [data.price(promise.asked[0].order.cut, each) for each in pay.price or ()]
        span = dict(zip(("least", "most"), price, strict=True)) if price else None
        told["least pay"] |= {"price": span, "verified": pay.verified}
    return {**head(scenario), "days": list(scenario.day_labels), **told, "written": written}
