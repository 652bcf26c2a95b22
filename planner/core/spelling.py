"""The nearest right words to one that nobody knows: by letters, by words, by trade synonyms."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

MOST_NAMES = 2_000
"""No shop has more names; among more, a faulty file would be searched for minutes."""

LIKE = 60.0
"""How alike, of 100, two names must be for the one to be meant by the other."""

CLOSE = 4.0
"""Names so much less alike than the nearest are told as well."""

SHARED = 0.85
"""What it counts that all words of the shorter name are in the longer, of 1."""

MOST_TOLD = 3

_SMALL_WORDS = frozenset(("a", "an", "of", "the", "for", "with", "and", "in"))


class Vocabulary:
    """Right words, to be searched for those that a wrong one is nearest to.

    `known_as` has what else the trade calls some of them.
    """

    def __init__(
        self, words: Iterable[str], known_as: Mapping[str, Sequence[str]] | None = None
    ) -> None:
        also = known_as or {}
        spellings = [(each, one) for each in words for one in (each, *also.get(each, ()))]
        if len(spellings) > MOST_NAMES:
            spellings = []
        self._names = [name for name, _ in spellings]
        self._small = [spelling.lower() for _, spelling in spellings]
        self._plain = [plain(spelling) for _, spelling in spellings]
        self._exact: dict[str, dict[str, None]] = {}
        for name, each in zip(self._names, self._plain, strict=True):
            self._exact.setdefault(each, {})[name] = None
        self._found: dict[str, tuple[str, ...]] = {}

    def known(self, word: str) -> tuple[str, ...]:
        """The right words that are, or are known as, exactly this."""
        return tuple(self._exact.get(plain(word), ()))

    def near(self, word: str) -> tuple[str, ...]:
        """The right words that a word is nearest to, the nearest first; empty where none is near.

        Those that are known as exactly this come alone. Else it is the one whose letters are
        nearest, or up to three where words are what they share: `boned leg`, `leg, boneless`.
        """
        if word not in self._found:
            self._found[word] = self.known(word)[:MOST_TOLD] or self._search(word)
        return self._found[word]

    def _search(self, word: str) -> tuple[str, ...]:
        from rapidfuzz import fuzz, process  # here: most runs misspell nothing

        wanted = plain(word)
        letters = process.extractOne(
            word.lower()[:100], self._small, scorer=fuzz.ratio, score_cutoff=LIKE
        )
        alike = {self._names[letters[2]]: letters[1]} if letters else {}
        for scorer, counts in ((fuzz.token_sort_ratio, 1.0), (fuzz.token_set_ratio, SHARED)):
            found = process.extract(
                wanted, self._plain, scorer=scorer, score_cutoff=LIKE / counts, limit=2 * MOST_TOLD
            )
            for _, score, at in found:
                name = self._names[at]
                alike[name] = max(alike.get(name, 0.0), score * counts)
        ranked = sorted(alike, key=lambda name: -alike[name])[:MOST_TOLD]
        several = " " in wanted or letters is None
        least = alike[ranked[0]] - CLOSE * several if ranked else 0.0
        return tuple(name for name in ranked if name == ranked[0] or alike[name] > least)

    def nearest(self, word: str) -> str:
        """`; did you mean "loin chops"?`, or nothing."""
        found = self.near(word)
        if not found:
            return ""
        *others, last = (f'"{each}"' for each in found)
        told = f"{', '.join(others)} or {last}" if others else last
        synonym = self.known(word) and plain(word) not in map(plain, found)
        also = f" (also known as {' '.join(word.split())})" if synonym else ""
        return f"; did you mean {told}{also}?"


def nearest(
    word: str, words: Iterable[str], known_as: Mapping[str, Sequence[str]] | None = None
) -> str:
    """`; did you mean "loin chops"?`, or nothing, where only one word is looked for in these."""
    return Vocabulary(words, known_as).nearest(word)


@lru_cache(maxsize=4096)
def plain(name: str) -> str:
    """A name without what spellings differ in: capitals, hyphens, small words, plurals, order."""
    words = re.findall(r"[^\W_]+", name.lower()[:100])
    return " ".join(sorted(_one(each) for each in words if each not in _SMALL_WORDS))


def _one(word: str) -> str:
    """A word in the singular, roughly: only so that two spellings of it come out alike."""
    if len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        return word[:-1]
    return word
