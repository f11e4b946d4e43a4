"""Where a text makes a claim: the phrases of the rules, the longest at each place."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import accumulate

from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Claim, Maker
from markrules.sheets.phrases import Folder, Found, Phrases, Token, joined


class ClaimFinder:
    """All claims of a base, ready to be looked for."""

    def __init__(self, base: KnowledgeBase) -> None:
        """Folds all phrases, makers' names and negations of the rules."""
        self.folder = Folder(base)
        self.claims = list(base.claims.values())
        phrases: list[tuple[tuple[str, ...], int]] = []
        for number, claim in enumerate(self.claims):
            phrases += [(self.folder.phrase(words), 2 * number) for words in claim.words]
            phrases += [(self.folder.phrase(words), 2 * number + 1) for words in claim.fine]
        self.phrases = Phrases(phrases, _names(base, self.folder), _common(base, self.folder))
        self.negations = frozenset(
            self.folder.key(words.casefold())
            for wording in base.wordings.values()
            if wording.role == "negation"
            for words in wording.words
            if " " not in words
        )

    def found(self, text: str) -> Iterator[tuple[Claim, list[Token], Found]]:
        """The claims that the text makes, with their places; the longest phrase counts."""
        tokens = self.folder.tokens(text)
        makes: list[tuple[int, Found]] = []
        fine: list[tuple[int, Found]] = []
        for owner, found in self.phrases.find(text, tokens):
            if self._may_be(self.claims[owner // 2], found):
                (fine if owner % 2 else makes).append((owner // 2, found))
        covers = {number: _Covers() for number, _ in fine}
        for number, found in fine:
            covers[number].add(found)
        longer = _Covers()
        for _, found in makes:
            longer.add(found)
        for number, found in makes:
            if number in covers and covers[number].hold(found):
                continue
            if not longer.longer_than(found) and not self._denied(text, tokens, found.first):
                yield self.claims[number], tokens, found

    def _may_be(self, claim: Claim, found: Found) -> bool:
        """Numbers in a claim about years are years."""
        return claim.about != "years" or all(_is_year(number) for number in found.numbers)

    def _denied(self, text: str, tokens: Sequence[Token], first: int) -> bool:
        for back in (1, 2):
            at = first - back
            if at < 0 or not joined(text, tokens, at + 1):
                return False
            if tokens[at].key in self.negations:
                return True
        return False


class _Covers:
    """Stretches of tokens, asked whether one of them covers another: in the time of a search."""

    def __init__(self) -> None:
        self._ends: dict[int, int] = {}
        self._reach: list[tuple[int, int]] | None = None

    def add(self, found: Found) -> None:
        self._ends[found.first] = max(found.after, self._ends.get(found.first, 0))
        self._reach = None

    def hold(self, found: Found) -> bool:
        """Whether a stretch begins no later and ends no earlier."""
        return self._farthest(found.first) >= found.after

    def longer_than(self, found: Found) -> bool:
        """Whether a stretch covers it and more."""
        here = self._ends.get(found.first, 0)
        return here > found.after or self._farthest(found.first - 1) >= found.after

    def _farthest(self, first: int) -> int:
        """The greatest end of all stretches that begin at `first` or before."""
        if self._reach is None:
            starts = sorted(self._ends)
            ends = accumulate((self._ends[start] for start in starts), max)
            self._reach = list(zip(starts, ends, strict=True))
        at = bisect_right(self._reach, first, key=lambda pair: pair[0])
        return self._reach[at - 1][1] if at else 0


def _is_year(number: str) -> bool:
    return len(number) == 4 and number.isdigit() and 1700 <= int(number) <= 2099


@lru_cache(maxsize=4)
def claim_finder(base: KnowledgeBase) -> ClaimFinder:
    """The finder for a base, made once."""
    return ClaimFinder(base)


def _names(base: KnowledgeBase, folder: Folder) -> dict[tuple[str, ...], str]:
    names: dict[tuple[str, ...], str] = {}
    for maker in base.makers.values():
        for text in (maker.title, *maker.also, *_short_names(maker)):
            keys = folder.phrase(text)
            if keys and len("".join(keys)) >= 3 and not set(keys) & {"#", "*"}:
                names.setdefault(keys, maker.name)
    return names


def _short_names(maker: Maker) -> list[str]:
    """Parts of the title that stand on a mark of the maker: they name it as well as the whole."""
    marks = [mark.text.casefold() for mark in maker.marks]
    parts = [part.strip() for part in re.split(r"[,(&]", maker.title)]
    return [part for part in parts if any(_stands_in(part.casefold(), mark) for mark in marks)]


def _stands_in(part: str, mark: str) -> bool:
    return len(part) >= _SHORTEST_PART and re.search(rf"\b{re.escape(part)}\b", mark) is not None


_SHORTEST_PART = 4


def _common(base: KnowledgeBase, folder: Folder) -> frozenset[str]:
    """Words with a meaning of their own in the rules: a maker of that name must be named so."""
    texts: set[str] = set()
    for feature in base.features.values():
        for value in feature.values:
            texts.update((value.name, *value.also))
    for piece in base.pieces.values():
        texts.update((piece.name, *piece.also))
    for wording in base.wordings.values():
        texts.update(wording.words)
    found = map(folder.phrase, texts)
    return frozenset(keys[0] for keys in found if len(keys) == 1)
