"""What each way gives in this shop, beside the recipe, for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.ask.comparison import NAMED
from planner.ask.yields import PointWorth
from planner.core.quantities import MONTHS, show_count, show_day
from planner.core.units import Units
from planner.learn.shares import LOSS
from planner.shop.learned.weighed import TakenBack
from planner.shop.learned.write_yields import Written
from planner.shop.learned.yield_report import WayYield
from planner.show.layout import WIDTH, clip, fitted_table, listed, paragraphs, wrapped
from planner.show.yields_data import YieldsAnswer

ROOMY = 80  # columns from which on weigh-ins and spread have a column of their own
NAME = 30

MEANING = (
    "% of the piece. estimate: what the planner uses, the recipe drawn towards the shop's own "
    "weigh-ins; the shop's true figure lies between the last two with 95% probability."
)
POINT = (
    "A point is 1% of the piece that goes to the main cut instead of trim, fat, bones or loss; "
    "{first} to {last}."
)


def yields_text(answer: YieldsAnswer, width: int = WIDTH) -> str:
    """The ways with their shares, what stands out, and what a point is worth."""
    title = f"{clip(answer.shop.title, width - 40)}: yields, {show_day(answer.day)}"
    said = [*_not_weighed(answer), *_taken_back(answer)]
    sentences = (wrapped(each, width=width) for each in said)
    return paragraphs(title, *_ways(answer, width), *sentences, _points(answer, width))


def _name(answer: YieldsAnswer, species: str, piece: str, way: str) -> str:
    told = answer.several and not piece.startswith(f"{species} ")
    return clip(f"{species} {piece}, {way}" if told else f"{piece}, {way}", 60)


def _ways(answer: YieldsAnswer, width: int) -> Iterator[list[str]]:
    told = answer.told
    if not told:
        yield wrapped(
            "No way has been weighed yet: breakplan weigh-in enters what breaks gave. Until "
            "then the planner uses the recipe's figures.",
            width=width,
        )
        return
    roomy = width >= ROOMY
    heads = ("", "weighed", "mean", "spread", "recipe", "estimate", "between")
    narrow = ("", "mean +/- sd", "recipe", "estimate", "between")
    rows = [_row(each, name, roomy=roomy) for each in told for name in each.shares]
    align = ("left", *["right"] * (len(rows[0]) - 1))
    lines = fitted_table(rows, heads if roomy else narrow, align, width, (0,)).split("\n")
    head, body = lines[0], iter(lines[1:])
    for number, each in enumerate(told):
        count = show_count(each.tests, "weigh-in") if each.tests else "no weigh-ins"
        named = f"{_name(answer, each.species, each.piece, each.way.name)}: {count}"
        block = [named, *([head] if number == 0 else [])]
        block += [next(body) for _ in each.shares]
        for note in _notes(each):
            block += wrapped(note, 2, width, 2)
        yield block
    yield wrapped(MEANING, width=width)
    found = [day for each in told for share in each.shares.values() for day, _ in share.found]
    if answer.day in found:
        yield wrapped("Weigh-ins of today count from tomorrow on.", width=width)


def _row(each: WayYield, name: str, *, roomy: bool) -> list[str]:
    share, record, count = each.shares[name], each.record[name], each.count(name)
    low, high = share.interval()

    def percent(value: float | None) -> str:
        return "-" if value is None else f"{100 * value / count:.1f}"

    named = f"{clip(name, NAME)} (each of {count})" if count > 1 else clip(name, NAME)
    between = f"{percent(low)} to {percent(high)}"
    last = [percent(share.recipe), percent(share.estimate), between]
    if roomy:
        tests = str(record.tests) if record.tests else "-"
        return [named, tests, percent(record.mean), percent(record.spread), *last]
    mean = percent(record.mean)
    both = mean if record.spread is None else f"{mean} +/- {percent(record.spread)}"
    return [named, both, *last]


def _notes(each: WayYield) -> Iterator[str]:
    """What stands out, in words."""
    for name in each.beyond:
        share = each.shares[name]
        apart = 100 * ((share.mean or 0.0) - share.recipe)
        more = f"{_show_points(apart)} {'more' if apart > 0 else 'less'}"
        gives = f"gives {more} {clip(name, NAME)}{' in all' if each.count(name) > 1 else ''}"
        said = f"loses {more}" if name == LOSS else gives
        yield f"{said} than the recipe says, beyond chance"
    for name, drift in each.drifts.items():
        side = "rising" if drift.a_month > 0 else "falling"
        since = f"{MONTHS[drift.since.month - 1]} {drift.since.year}"
        rate = _show_points(100 * drift.a_month)
        yield f"{clip(name, NAME)} {side} since {since}, by {rate} in 30 days, beyond chance"
    if each.counted:
        which = "all" if each.counted == each.tests else f"{each.counted}"
        yield f"{which} of them counted into the recipe's figures already"
    if each.by_hand:
        yield "changed by hand since it was written: taken as the recipe's, all weigh-ins count"
    if each.left_out:
        were = "weigh-ins are" if each.left_out > 1 else "weigh-in is"
        yield f"{each.left_out} {were} left out: more came out than went in"


def _show_points(points: float) -> str:
    shown = f"{abs(points):.1f}"
    return f"{shown} point" if shown == "1.0" else f"{shown} points"


def _not_weighed(answer: YieldsAnswer) -> Iterator[str]:
    left = len(answer.ways) - len(answer.told)
    if left and answer.told and not answer.pieces:
        yield (
            f"{show_count(left, 'way')} not weighed yet: the planner uses the recipe's figures; "
            "breakplan yields PIECE shows how sure they are."
        )


def _taken_back(answer: YieldsAnswer) -> Iterator[str]:
    """What was undone of what is in the recipe's figures."""

    def named(ways: Sequence[TakenBack]) -> str:
        return "; ".join(_name(answer, each.species, each.piece, each.way) for each in ways)

    lost = [each for each in answer.taken_back if each.writings]
    if lost:
        yield (
            f"An update of yields was undone ({named(lost)}): its figures stay in the recipe "
            "until put back by hand, and its weigh-ins count as new."
        )
    gone = [each for each in answer.taken_back if each.weigh_ins]
    if gone:
        count = sum(each.weigh_ins for each in gone)
        were = "weigh-ins that were" if count > 1 else "weigh-in that was"
        yield (
            f"{count} {were} counted into the recipe's figures {'are' if count > 1 else 'is'} "
            f"undone ({named(gone)}); the figures are unchanged."
        )


def _points(answer: YieldsAnswer, width: int) -> list[str]:
    """What a point more of the main cut is worth, dearest first."""
    worths = answer.worths
    if worths is None or not worths.points:
        why = "the plan cuts no way that gives something with a price"
        return wrapped(f"What a point is worth: {answer.why_not or why}.", width=width)
    scenario = worths.plan.scenario
    ends = [(each, _between(each)) for each in worths.points]
    dear = [(each, end) for each, end in ends if not end or max(map(abs, end[:2])) >= NAMED]
    dear.sort(key=lambda pair: pair[1][1] if pair[1] else 0.0, reverse=True)
    rows = [
        [
            _name(answer, each.species, each.piece, each.way),
            clip(each.cut, NAME),
            str(each.count or "-"),
            _worth(end, scenario.units),
        ]
        for each, end in dear
    ]
    heads = ("", "main cut", "cut so", "a point more")
    align = ("left", "left", "right", "right")
    lines = ["WHAT A POINT OF YIELD IS WORTH"]
    if rows:
        lines.append(fitted_table(rows, heads, align, width, (0, 1)))
    cheap = [each for each, end in ends if (each, end) not in dear]
    small = [_name(answer, each.species, each.piece, each.way) for each in cheap]
    lines += listed(f"under {scenario.units.money(NAMED)}", small, width)
    first, last = scenario.starts, scenario.date(scenario.days - 1)
    told = POINT.format(first=show_day(first), last=show_day(last))
    if any(end and end[2] for _, end in dear):
        told += " about: with the breaks as planned; there was no time to plan again."
    return [*lines, *wrapped(told, 2, width)]


def _between(each: PointWorth) -> tuple[float, float, bool] | None:
    """Between what a point is worth, and whether that is only about so; None if nobody knows.

    It is about so, with the breaks as planned, where nothing narrow enough is proven.
    """
    found = each.difference
    if not (found and found.settled) and each.held is not None and each.count > 0:
        return each.held, each.held, True
    return (found.least, found.most, False) if found else None


def _worth(end: tuple[float, float, bool] | None, units: Units) -> str:
    if end is None:
        return "no time to ask"
    least, most, about = end
    return f"about {units.money(most)}" if about else units.between(least, most)


def written_text(written: Sequence[Written]) -> str:
    """Which files were written, and which ways changed."""
    if not written:
        return "All weigh-ins are counted in already: nothing was written."
    lines = []
    for each in written:
        tests = show_count(len(each.entries), "way")
        if not each.ways:
            lines += wrapped(f"{each.file}: unchanged; the weigh-ins of {tests} bear it out.")
            continue
        ways = "; ".join(f"{piece}, {way}" for piece, way in each.ways)
        lines += wrapped(f"{each.file}: {ways}. The weigh-ins of {tests} are counted in.")
    return "\n".join(lines)
