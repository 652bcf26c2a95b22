"""What happened otherwise than a plan that was kept expected: cutting, deliveries, stock."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from functools import cached_property
from itertools import zip_longest
from typing import Literal

from planner.ask.change_base import WORTH, ChangedFact, ThenAndNow, pieces_of
from planner.core.stock_replay import DUST
from planner.journal.entries import Delivery, OrderTaken, Recorded
from planner.shop.plans.posted import KeptMorning, KeptPieces
from planner.shop.stock.on_hand import stand_at

POUND = 1.0
"""Pounds from which on something without a price is told."""

WEIGHS = 0.02
"""Pieces weigh something else from this share on."""

NONE = KeptPieces()


class Happened(ThenAndNow):
    """What is otherwise by what was entered."""

    def found(self) -> Iterator[ChangedFact]:
        """All of it that is worth telling."""
        done = list(self._cutting())
        yield from done
        yield from self._deliveries()
        yield from self._orders()
        yield from self._case()
        yield from self._cooler(done)

    def _cutting(self) -> Iterator[ChangedFact]:
        """Breaks of the days before: listed and not done, or done and not listed."""
        listed, done = self.listed, self.done
        days = sorted({key[0] for key in (*listed, *done) if key[0] < self.first})
        for day in days:
            pieces = sum(count for key, count in listed.items() if key[0] == day)
            if pieces and not any(key[0] == day for key in done):
                money = sum(self.worth(key[1], n) for key, n in listed.items() if key[0] == day)
                yield ChangedFact("day", "", pieces, 0, day, money=money)
                continue
            for key in dict.fromkeys((*listed, *done)):
                if key[0] == day and listed[key] != done[key]:
                    _, piece, way = key
                    money = self.worth(piece, abs(listed[key] - done[key]))
                    name = self.called(piece)
                    yield ChangedFact(
                        "cutting", name, listed[key], done[key], day, way, money=money
                    )

    def _deliveries(self) -> Iterator[ChangedFact]:
        """Head by day: fewer or more, heavier or lighter."""
        for (day, what), (one, two) in self._heads.items():
            yield from self._other_pieces("delivery", what, one, two, day)

    @cached_property
    def _heads(self) -> dict[tuple[date, str], tuple[KeptPieces, KeptPieces]]:
        """Head that were expected by day, and those that came."""
        then, now = self._delivered(self.then), self._delivered(self.recorded)
        for offer in self.kept.arrivals:
            key = (offer.day, offer.what)
            if offer.offer and (offer.day < self.first or key in now):
                then[key] = then.get(key, NONE) + KeptPieces(offer.head, offer.pounds)
        return {key: (then.get(key, NONE), now.get(key, NONE)) for key in sorted({**then, **now})}

    def _delivered(self, recorded: Sequence[Recorded]) -> dict[tuple[date, str], KeptPieces]:
        found: dict[tuple[date, str], KeptPieces] = {}
        for each in recorded:
            entry = each.entry
            if isinstance(entry, Delivery) and self.kept.covers(entry.day):
                key = (entry.day, entry.what)
                found[key] = found.get(key, NONE) + KeptPieces(entry.head, entry.total)
        return found

    def _orders(self) -> Iterator[ChangedFact]:
        """Orders taken since, and those undone; a pair for one buyer and cut is a change."""
        then, now = self._taken(self.then), self._taken(self.recorded)
        pairs: dict[tuple[str, str], tuple[list[OrderTaken], list[OrderTaken]]] = {}
        for side, (had, other) in enumerate(((then, now), (now, then))):
            for taken in (each for number, each in had.items() if number not in other):
                pairs.setdefault((taken.buyer, taken.cut), ([], []))[side].append(taken)
        for (buyer, cut), both in pairs.items():
            for one, two in zip_longest(*both):
                before, after = (each.quantity.amount if each else 0.0 for each in (one, two))
                order = two or one
                price = self.price_of(cut) if order.price is None else order.price
                moved = one and two and one.day != two.day
                more = max(before, after) if moved else abs(after - before)
                if more > DUST:
                    name, money = self.called(cut), more * price
                    yield ChangedFact(
                        "order", name, before, after, order.day, buyer=buyer, money=money
                    )

    def _taken(self, recorded: Sequence[Recorded]) -> dict[int, OrderTaken]:
        return {
            each.number: each.entry
            for each in recorded
            if isinstance(each.entry, OrderTaken)
            and self.first <= each.entry.day <= self.kept.until
        }

    def _case(self) -> Iterator[ChangedFact]:
        for name, cut in self.now.cuts.items():
            before, after = self._expected.cuts.get(name, 0.0), self.stand.amount(name)
            more, price = abs(after - before), self.now.price(name)
            if more * price >= WORTH or (not price and not cut.by_each and more >= POUND):
                yield ChangedFact("case", name, before, after, money=more * price)

    @cached_property
    def _expected(self) -> KeptMorning:
        """What should lie there when the first day planned opens, by the scenario's names."""
        if self.kept.first == self.first:  # it was made today: what was known then
            then = stand_at(self.week, self.then, self.first)
            cuts = {name: then.amount(name) for name in self.now.cuts}
            return KeptMorning(self.first, cuts, pieces_of(then))
        morning = next(each for each in self.kept.mornings if each.day == self.first)
        return KeptMorning(
            self.first,
            {self.called(name): amount for name, amount in morning.cuts.items()},
            {self.called(name): pieces for name, pieces in morning.pieces.items()},
        )

    def _cooler(self, cutting: Sequence[ChangedFact]) -> Iterator[ChangedFact]:
        """Pieces, but for those that are there, or not, for the cutting that was otherwise."""
        then, now = self._expected.pieces, pieces_of(self.stand)
        listed, done = self.listed, self.done
        moved: Counter[str] = Counter()
        days = {each.day for each in cutting}
        for key in {**listed, **done}:
            if key[0] not in days:
                continue
            name, left = self.called(key[1]), listed[key] - done[key]
            moved[name] += left
            recipe = self.of.get(name)
            way = recipe.pieces[name].ways.get(key[2]) if recipe else None
            for given in way.pieces if way else ():
                moved[given.name] -= left * given.count
        for (day, what), (one, two) in self._heads.items():
            if day < self.first:  # that is told as a delivery
                moved[self.called(what)] += two.count - one.count
        gone = self._cut_or_not(
            {
                name: now.get(name, NONE).count - then.get(name, NONE).count - moved[name]
                for name in self.of
            },
            moved,
        )
        for name in self.of:
            one, two = then.get(name, NONE), now.get(name, NONE)
            if name in gone:
                each = self._weight(name, one, two)
                was = KeptPieces(two.count - gone[name][0], (two.count - gone[name][0]) * each)
                fact = next(self._other_pieces("cooler", name, was, two))
                yield replace(fact, way=gone[name][1])
                continue
            if moved[name]:
                count = max(0, one.count + moved[name])
                one = KeptPieces(count, count * self._weight(name, one, two))
                if count == two.count:
                    continue
            yield from self._other_pieces("cooler", name, one, two)

    def _cut_or_not(self, more: dict[str, int], moved: Counter[str]) -> dict[str, tuple[int, str]]:
        """Pieces more or fewer as what a way gives tells: how many, and the way.

        What the way gives is added to `moved`, so that it is not told once more.
        """
        found: dict[str, tuple[int, str]] = {}
        for name, recipe in self.of.items():
            for way in recipe.pieces[name].ways.values():
                left, sign = more[name], 1 if more[name] > 0 else -1
                given = {each.name: each.count * left for each in way.pieces}
                if not left or not given or name in found:
                    continue
                if all(-sign * more[each] >= abs(count) for each, count in given.items()):
                    found[name] = (left, way.name)
                    for each, count in given.items():
                        more[each] += count
                        moved[each] -= count
        return found

    def _weight(self, name: str, *those: KeptPieces) -> float:
        """Pounds of one of a piece: of those, else as the list or the head of these days have it.

        Nothing of it lies there then and now where it was to be made and cut up on one day.
        """
        count = sum(each.count for each in those)
        if count:
            return sum(each.pounds for each in those) / count
        listed = next(
            (each.piece for each in self.kept.breaks if self.called(each.piece) == name), ""
        )
        pounds = self.listed_weight(listed)
        if pounds is not None:
            return pounds
        lots = (*self.week.lots, *self.now.lots)
        return next((lot.weights()[name] for lot in lots if name in lot.weights()), 1.0)

    def _other_pieces(
        self,
        kind: Literal["delivery", "cooler"],
        what: str,
        one: KeptPieces,
        two: KeptPieces,
        day: date | None = None,
    ) -> Iterator[ChangedFact]:
        more = abs(two.pounds - one.pounds)
        if one.count == two.count and more < max(POUND / 2, WEIGHS * one.pounds):
            return
        each = self._weight(self.called(what), max(one, two, key=lambda those: those.count))
        money = self.worth(what, more / each, each)
        name, both = self.called(what), (one.pounds, two.pounds)
        yield ChangedFact(kind, name, one.count, two.count, day, pounds=both, money=money)
