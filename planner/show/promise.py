"""Whether orders can be promised, for a person and for machines."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import Any

from planner.ask.comparison import NAMED
from planner.ask.promise import Asked, LeastPay, Promise, Pushed, Taken
from planner.core.quantities import show_money
from planner.core.scenario import Order, Scenario
from planner.show.amounts import Figures, show_amount, show_between, show_rate
from planner.show.cautions import KEEPS
from planner.show.data import BETWEEN, CHANGE, Data, head, json_text, rows, shape
from planner.show.difference import period_word
from planner.show.json import SHORT
from planner.show.layout import WIDTH, clip, table, wrapped
from planner.show.species import Group, by_species, grouped_table
from planner.solve.plan import CENT

KINDS = {
    "head": "one more",
    "bench": "more minutes",
    "rule": "a rule lifted",
    "keeps": "kept a day longer",
}
DOUBT = (
    "Not all of this was settled in the time given: more may be possible than is said here, or "
    "earlier."
)


def promise_text(promise: Promise) -> str:
    """The answer in one line, then what it takes, what it has to pay, and what would help."""
    parts = [
        "\n".join([*wrapped(_answer(promise)), *_orders(promise)]),
        _takes(promise),
        _money(promise),
        "\n".join(_otherwise(promise)),
    ]
    return "\n\n".join(part for part in parts if part)


def _amount(scenario: Scenario, order: Order, amount: float | None = None) -> str:
    """`9.0 lb boneless leg`."""
    much = show_amount(scenario, order.cut, order.amount if amount is None else amount)
    return f"{much} {clip(order.cut, 32)}"


def _answer(promise: Promise) -> str:
    scenario, asked = promise.before.scenario, promise.asked
    if len(asked) > 1:
        number = f"{len(asked)} orders"
        full = sum(each.full for each in asked)
        return {
            "yes": f"YES: the {number} can all be filled, and every order taken before is kept.",
            "part": f"PART: {full} of the {number} can be filled in full, and those taken before.",
            "no": f"NO: none of the {number} can be filled beside those taken before.",
        }[promise.answer]
    (one,) = asked
    day, what = scenario.day_labels[one.order.day], _amount(scenario, one.order)
    if promise.answer == "part":
        some = show_amount(scenario, one.order.cut, one.promised)
        return f"PART: {some} of {what} on {day} can be filled beside the orders taken before."
    return {
        "yes": f"YES: {what} on {day} can be filled, and every order taken before is kept.",
        "no": f"NO: none of {what} on {day} can be filled beside the orders taken before.",
    }[promise.answer]


def _orders(promise: Promise) -> list[str]:
    """The new orders, and those that fall short without them."""
    scenario = promise.before.scenario
    lines = []
    for each in promise.asked:
        order = each.order
        rate, who = show_rate(scenario, order.cut, order.price), clip(order.buyer, 24)
        said = f"{scenario.day_labels[order.day]}  {who}: {_amount(scenario, order)} at {rate}"
        lines += wrapped(f"{said}{_fate(scenario, each)}", 2)
    for short in promise.before.short:
        ordered, less = (
            show_amount(scenario, short.cut, each) for each in (short.ordered, short.short)
        )
        said = (
            f"short already, without it: {clip(short.buyer, 24)} on "
            f"{scenario.day_labels[short.day]}, {less} of {ordered} {clip(short.cut, 32)}"
        )
        lines += wrapped(f"{said}; the rest of it is kept.", 2)
    return lines


def _fate(scenario: Scenario, each: Asked) -> str:
    if each.full:
        return " - in full"
    if not each.promised:
        return " - NONE"
    return f" - ONLY {show_amount(scenario, each.order.cut, each.promised)}"


def _takes(promise: Promise) -> str:
    """What other customers get less of, and in turn more."""
    less = [each for each in promise.taken if each.after < each.before]
    more = [each for each in promise.taken if each.after > each.before]
    if not promise.after:
        return ""
    if not less:
        lines = ["TAKES NOTHING FROM OTHER CUSTOMERS"]
    else:
        scenario = promise.before.scenario
        groups = [
            Group(species, [_sales(promise, each) for each in group])
            for species, group in by_species(
                scenario, less, lambda each: scenario.cuts[each.cut].species
            )
        ]
        heads, align = ("", "", "without it", "with it"), ("left", "left", "right", "right")
        lines = ["TAKES FROM OTHER CUSTOMERS", grouped_table(groups, heads, align)]
    if more:
        said = "; ".join(
            f"{name} {to} {before} to {after}"
            for name, to, before, after in (_sales(promise, each) for each in more)
        )
        lines += wrapped(f"and in turn more is sold: {said}", 2)
    if promise.before.within + promise.after.within > NAMED:  # the plan told, not the closest
        lines += wrapped("(other plans that earn as much may take it from others)", 2)
    return "\n".join(lines)


def _sales(promise: Promise, each: Taken) -> list[str]:
    scenario = promise.before.scenario
    before, after = (
        show_amount(scenario, each.cut, amount) if amount else "none"
        for amount in (each.before, each.after)
    )
    return [clip(each.cut, 32), each.to, before, after]


def _money(promise: Promise) -> str:
    """The score without and with what can be filled, and what that has to pay."""
    before, after, pay = promise.before, promise.after, promise.least_pay
    if after is None or pay is None:
        return ""
    scenario, many = before.scenario, len(promise.asked) > 1
    money, what = scenario.money, "them" if many else "it"
    rows = [
        [f"best score without {what}", show_between(*promise.without, money)],
        [f"best score with {what}", show_between(after.score, after.bound, money)],
        ["they pay" if many else "it pays", show_money(promise.pays, money)],
        ["lowest payment for the same score", _least(promise, pay)],
    ]
    verdict = f"{_verdict(promise, pay)} {_checked(pay)}"
    room = WIDTH - max(len(name) for name, _ in rows) - 4
    lines = [pair for name, said in rows for pair in _under(name, wrap(said, room))]
    return "\n".join(["MONEY", table(lines, (), ("left", "left")), *wrapped(verdict, 2)])


def _under(name: str, lines: Sequence[str]) -> list[tuple[str, str]]:
    """Lines beside a name, which stands before the first of them."""
    return [("" if number else name, line) for number, line in enumerate(lines)]


def _least(promise: Promise, pay: LeastPay) -> str:
    """In all, and for a pound or each where a single cut is asked for."""
    scenario = promise.before.scenario
    said = show_between(pay.least, pay.most, scenario.money)
    if pay.price is None:
        return said
    cut = promise.asked[0].order.cut
    rates = dict.fromkeys(show_rate(scenario, cut, each) for each in pay.price)
    return f"{said}: {' to '.join(rates)}"


def _verdict(promise: Promise, pay: LeastPay) -> str:
    money = promise.before.scenario.money
    gain = promise.gain
    assert gain is not None
    period = period_word(promise.before.scenario.days)
    if max(-gain.least, gain.most) < CENT:
        return f"At the price asked the {period} earns the same."
    if gain.least >= 0:
        more = show_between(gain.least, gain.most, money)
        return f"At the price asked the {period} earns {more} more."
    if gain.most <= 0:
        less = show_between(-gain.most, -gain.least, money)
        return f"At the price asked the {period} earns {less} less. Ask for more."
    within = max(-gain.least, gain.most)
    if within <= NAMED:
        same = f"the {period} earns the same, to within {show_money(within, money)}"
        return f"At the price asked {same}."
    late = "time limit" in (gain.before.status, gain.after.status)
    ends = f"{show_money(-gain.least, money)} less and {show_money(gain.most, money)} more"
    return (
        f"What the {period} earns at the price asked {'was' if late else 'is'} not settled"
        f"{' in the time' if late else ''}: between {ends}."
    )


def _checked(pay: LeastPay) -> str:
    if pay.most < CENT:
        return "Any payment is a gain: it could be given away."
    if pay.least < CENT:
        found = "1% more is enough" if pay.verified else "1% more was not settled in the time given"
        return f"The lowest payment was tried: {found}."
    if pay.verified:
        return "The lowest payment was tried: 1% more is enough, 1% less is not."
    return "The lowest payment was tried, 1% more and 1% less, and not settled in the time given."


def _otherwise(promise: Promise) -> list[str]:
    """Other days, changes that would help, whom it would push out; what is not settled."""
    scenario, what = promise.before.scenario, "all of it"
    lines: list[str] = []
    if promise.earliest is None:
        lines += wrapped(f"On no day of the plan can {what} be filled.")
    else:
        day = scenario.day_labels[promise.earliest]
        lines += wrapped(f"The earliest day on which {what} can be filled: {day}.")
    if promise.answer != "yes":
        lines += _helps(promise)
    if promise.pushed:
        pushed = [_pushed(scenario, each) for each in promise.pushed]
        said = f"Filled by value alone, it would take from {'; '.join(pushed)}. That is not done."
        lines += wrapped(said)
    if not promise.settled:
        lines += wrapped(DOUBT)
    return lines


def _helps(promise: Promise) -> list[str]:
    if not promise.helps:
        return wrapped(
            "No single change would let all of it be filled: not one more of a lot, not two hours "
            "more on a day, no rule lifted, nothing kept a day longer."
        )
    rows = [[KINDS[each.kind], f'--{each.kind} "{clip(each.text, 64)}"'] for each in promise.helps]
    said = "Each of these alone would let all of it be filled (as `breakplan whatif` takes them):"
    longer = any(each.kind == "keeps" for each in promise.helps)
    return [said, table(rows, (), ("left", "left")), *(wrapped(KEEPS, 2) if longer else ())]


def _pushed(scenario: Scenario, each: Pushed) -> str:
    before, after = (
        show_amount(scenario, each.order.cut, amount) for amount in (each.before, each.after)
    )
    day, cut = scenario.day_labels[each.order.day], clip(each.order.cut, 32)
    return f"{clip(each.order.buyer, 24)} on {day} ({cut}, {before} to {after})"


def promise_json(promise: Promise, written: bool = False) -> str:
    """The answer as JSON text: amounts in the scenario's unit or each, prices for one of it.

    `answer` is yes, part or no; `score` is null with what cannot be filled. `least pay` is money
    for all that can be filled, its `price` null where several cuts are asked for.
    """
    return json_text(promise_data(promise, written))


_ASKED = shape(
    "day = order.day: day, cut = order.cut, for = order.buyer,"
    "amount = order.amount: amount of order.cut, price = order.price: price of order.cut,"
    "promised: amount of order.cut"
)
_TAKEN = shape("cut, from = to, without = before: amount, with = after: amount")
_PUSHED = shape(
    "day = order.day: day, cut = order.cut, for = order.buyer,"
    "without = before: amount of order.cut, with = after: amount of order.cut"
)


def promise_data(promise: Promise, written: bool = False) -> dict[str, Any]:
    """The answer as the maps and lists of its JSON."""
    before, after, gain = promise.before, promise.after, promise.gain
    scenario, data = before.scenario, Data(before.scenario)
    return {
        **head(scenario),
        "days": list(scenario.day_labels),
        "answer": promise.answer,
        "settled": promise.settled,
        "orders": data.all(_ASKED, promise.asked),
        "short already": data.all(SHORT, before.short),
        "score": {
            "without": _span(*promise.without),
            "with": _span(after.score, after.bound) if after else None,
            "difference": gain and data.one(BETWEEN, gain),
        },
        "pays": data.number(promise.pays),
        "least pay": promise.least_pay and _pay_data(data, promise, promise.least_pay),
        "takes": data.all(_TAKEN, promise.taken),
        "pushed": data.all(_PUSHED, promise.pushed),
        "earliest": None if promise.earliest is None else scenario.day_labels[promise.earliest],
        "helps": rows(CHANGE, promise.helps),
        "written": written,
    }


def _pay_data(data: Data, promise: Promise, pay: LeastPay) -> dict[str, Any]:
    cut = promise.asked[0].order.cut
    price = pay.price and _span(*(data.price(cut, each) for each in pay.price))
    return {**data.one(BETWEEN, pay), "price": price, "verified": pay.verified}


def _span(least: float, most: float) -> dict[str, float]:
    return {"least": Figures.number(least), "most": Figures.number(most)}
