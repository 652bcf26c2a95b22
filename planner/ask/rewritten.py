"""What the files of the shop say otherwise than when a plan was kept: wants, prices, yields."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from planner.ask.then_now import WORTH, Kind, Otherwise, ThenAndNow
from planner.ledger import DUST
from planner.shop.plans.keep import shares_of
from planner.shop.plans.settings import BETWEEN, settings_of

MINUTES = 5.0
"""Minutes of bench from which on another bench is told where the list stays as it is."""

POINT = 0.01
"""A share that a way gives is another from here on."""


class Rewritten(ThenAndNow):
    """What is otherwise by the files; wants and yields also by what is learned."""

    def found(self) -> Iterator[Otherwise]:
        """All of it that is worth telling."""
        yield from self._rules()
        yield from self._bench()
        yield from self._wants()
        yield from self._prices()
        yield from self._ways()
        yield from self._settings()

    def _days(self) -> Iterator[tuple[int, int, date]]:
        """Numbers of a day in the plan kept and in the week, and its date: from the first on."""
        for number in range((self.kept.until - self.kept.first).days + 1):
            day = self.kept.mornings[number].day
            here = (day - self.week.starts).days
            if day >= self.first and 0 <= here < self.week.days:
                yield number, here, day

    def _wants(self) -> Iterator[Otherwise]:
        days = list(self._days())
        then = {self.cut_called(name): wants for name, wants in self.kept.wants.items()}
        for name in self.now.cuts:
            had, has = then.get(name, ()), self.week.demand_for(name).want
            pairs = [(had[one] if had else 0.0, has[two]) for one, two, _ in days]
            money = self.now.price(name) * sum(abs(after - before) for before, after in pairs)
            if money >= WORTH:
                before, after = (sum(each) for each in zip(*pairs, strict=True))
                yield Otherwise("want", name, before, after, money=money)

    def _prices(self) -> Iterator[Otherwise]:
        for full, before in self.kept.prices.items():
            name = self.cut_called(full)
            after = self.week.price(name)
            if before and after and abs(after - before) >= WORTH / 100:
                want = sum(self.week.demand_for(name).want)
                yield Otherwise("price", name, before, after, money=abs(after - before) * want)

    def _bench(self) -> Iterator[Otherwise]:
        then, now = self.kept.bench, self.week.bench
        if (then is None) != (now is None):
            yield Otherwise("shop", "bench", then is not None, now is not None)
        for one, two, day in self._days():
            if then is None or now is None or abs(now[two] - then[one]) <= DUST:
                continue
            money = abs(now[two] - then[one]) * max(self.now.overtime_cost, WORTH / 2)
            yield Otherwise("bench", "", then[one], now[two], day, money=money)

    def _rules(self) -> Iterator[Otherwise]:
        then, now = set(self.kept.rules), {str(rule) for rule in self.week.rules}
        for rule in sorted(then ^ now):
            yield Otherwise("rule", rule, rule in then, rule in now)

    def _ways(self) -> Iterator[Otherwise]:
        """Ways that are gone, and those of the list, or of today's pieces, that give otherwise."""
        now = shares_of(self.now)
        for piece, ways in self.kept.yields.items():
            lies = self.pieces.get(self.piece_called(piece))
            listed = sum(each.pounds for each in self.kept.breaks if each.piece == piece)
            pounds = max(listed, lies.pounds if lies else 0.0)
            for way, shares in ways.items():
                has = now.get(piece, {}).get(way)
                if has is None:
                    yield Otherwise("way", self.piece_called(piece), 1, 0, way=way)
                    continue
                for full in {**shares, **has}:
                    before, after = shares.get(full, 0.0), has.get(full, 0.0)
                    money = abs(after - before) * pounds * self.price_of(full)
                    if abs(after - before) >= POINT and money >= WORTH:
                        name, gives = self.piece_called(piece), self.cut_called(full)
                        yield Otherwise(
                            "yield", name, before, after, way=way, gives=gives, money=money
                        )

    def _settings(self) -> Iterator[Otherwise]:
        """What else the files say: settings, keeping days, minutes, markdowns and offers."""
        now, first = settings_of(self.week), self.first.isoformat()
        for group in _GROUPS:
            then = self.kept.settings.get(group)
            if then is None:  # a plan of an older version
                continue
            has = now[group]
            for name in dict.fromkeys((*then, *has)):
                before, after = then.get(name, 0.0), has.get(name, 0.0)
                one, _, other = name.partition(BETWEEN)
                offered = group.startswith("offer")
                if abs(after - before) <= LEAST or (offered and one < first):
                    continue
                if group in ("keeps", "minutes", "offer cost") and not (
                    name in then and name in has
                ):
                    continue  # a thing that is new, or gone, is another matter
                day = date.fromisoformat(one) if offered else None
                what = self._called(other if offered else one)
                way = other if group == "minutes" else ""
                yield Otherwise(group, what, before, after, day, way)

    def _called(self, full: str) -> str:
        piece = self.known.piece(full)
        return piece.name if piece else self.cut_called(full)


LEAST = 1e-5
"""What was kept is rounded."""


def small(fact: Otherwise) -> bool:
    """Whether a fact is told only where the list changes: a few minutes of bench."""
    off = not fact.before or not fact.after
    return fact.kind == "bench" and not off and abs(fact.after - fact.before) < MINUTES


_GROUPS: tuple[Kind, ...] = (
    "shop", "keeps", "minutes", "markdown", "markdown want", "offer", "offer cost",
)  # fmt: skip
