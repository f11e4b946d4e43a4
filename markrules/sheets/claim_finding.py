"""Where a text makes a claim: the phrases of the rules, the longest at each place."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import accumulate
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Claim, Finding, Maker
from markrules.sheets.phrases import Folder, Found, Phrases, Token, joined


class ClaimFinder:
    """All claims of a base, ready to be looked for."""

    def __init__(self, base: KnowledgeBase) -> None:
        """Folds all phrases, makers' names and negations of the rules."""
        self.folder = Folder(base)
        self.claims = list(base.claims.values())
        kept = base.workings.parts("claims", lambda: self._worked_out(base))
        self.phrases = Phrases(
            [(tuple(keys), owner) for keys, owner in kept["phrases"]],
            {tuple(keys): name for keys, name in kept["names"]},
            frozenset(kept["common"]),
        )
        self.negations = frozenset(
            self.folder.key(words.casefold())
            for wording in base.wordings.values()
            if wording.role == "negation"
            for words in wording.words
            if " " not in words
        )
        self.unclaimed = Unclaimed(base, self.folder)
        cautions = (each.say for each in base.cautions.values())
        care = (each.say for each in base.findings.values() if _is_care(each))
        self.general = tuple(say for say in (*cautions, *care) if say)

    def _worked_out(self, base: KnowledgeBase) -> dict[str, list[Any]]:
        """All phrases with their owners' numbers, names and common words: folding them is long."""
        nones = [words for _, words in _wordings(base, "none-of")]
        phrases: list[tuple[tuple[str, ...], int]] = []
        for number, claim in enumerate(self.claims):
            for words in claim.words:
                phrases += [(keys, 2 * number) for keys in self._spelled_out(words, nones)]
            phrases += [(self.folder.phrase(words), 2 * number + 1) for words in claim.fine]
        return {
            "phrases": phrases,
            "names": list(_names(base, self.folder).items()),
            "common": sorted(_common(base, self.folder)),
        }

    def _spelled_out(self, words: str, nones: Sequence[str]) -> list[tuple[str, ...]]:
        """The phrase, once for each way of saying `~`."""
        if _NONE not in words:
            return [self.folder.phrase(words)]
        return [self.folder.phrase(words.replace(_NONE, none)) for none in nones]

    def found(self, text: str) -> Iterator[tuple[Claim, list[Token], Found]]:
        """The claims that the text makes, with their places; the longest phrase counts."""
        tokens = self.folder.tokens(text)
        makes: list[tuple[int, Found]] = []
        fine: list[tuple[int, Found]] = []
        for owner, found in self.phrases.find(text, tokens):
            if _may_be(self.claims[owner // 2], found):
                (fine if owner % 2 else makes).append((owner // 2, found))
        covers = {number: _Covers() for number, _ in fine}
        for number, found in fine:
            covers[number].add(found)
        inside, before = self.unclaimed.places(text, tokens)
        makes = [(number, found) for number, found in makes if found.after not in before]
        longer = _Covers()
        for _, found in makes:
            longer.add(found)
        general = tuple(_places(text, self.general)) if makes else ()
        for number, found in makes:
            if number in covers and (
                covers[number].hold(found) or self._left_open(tokens, found, covers[number])
            ):
                continue
            if longer.longer_than(found) or self._denied(text, tokens, found.first):
                continue
            if found.first in inside:
                continue
            if any(start <= tokens[found.first].start < end for start, end in general):
                continue
            yield self.claims[number], tokens, found

    def _left_open(self, tokens: Sequence[Token], found: Found, fine: _Covers) -> bool:
        """Whether what claims nothing is offered as well: `an opal or opal glass`."""
        after = found.after
        return (
            after < len(tokens) - 1
            and tokens[after].key in self.unclaimed.choices
            and fine.begin_at(after + 1)
        )

    def _denied(self, text: str, tokens: Sequence[Token], first: int) -> bool:
        for back in (1, 2):
            at = first - back
            if at < 0 or not joined(text, tokens, at + 1):
                return False
            if tokens[at].key in self.negations:
                return True
        return False


def _is_care(finding: Finding) -> bool:
    return finding.advise is not None and finding.advise.effect == "care"


def _places(text: str, sentences: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Where advice of the rules stands word for word: it speaks of such pieces, not of this one."""
    for sentence in sentences:
        at = text.find(sentence)
        while at >= 0:
            yield at, at + len(sentence)
            at = text.find(sentence, at + len(sentence))


class Unclaimed:
    """Where a text claims nothing: after "cannot say whether", to the end of the clause, and right
    before "was not tested". The words are wordings of the rules.
    """

    def __init__(self, base: KnowledgeBase, folder: Folder) -> None:
        """Folds the wordings of the roles no-claim, no-claim-after, break, join, alternative."""
        said = [
            (folder.phrase(words), role == "no-claim-after")
            for role, words in _wordings(base, "no-claim", "no-claim-after")
        ]
        self._said = Phrases([(keys, int(after)) for keys, after in said], {}, frozenset())
        self._breaks, self._joins, self.choices = (
            frozenset(folder.key(words) for _, words in _wordings(base, role) if " " not in words)
            for role in ("break", "join", "alternative")
        )

    def places(self, text: str, tokens: Sequence[Token]) -> tuple[set[int], set[int]]:
        """The tokens that lie in such a clause, and those right before which nothing is claimed."""
        inside: set[int] = set()
        before: set[int] = set()
        for after, phrase in self._said.find(text, tokens):
            if not after:
                inside.update(range(phrase.after, self._end(text, tokens, phrase.after)))
            elif phrase.first and joined(text, tokens, phrase.first):
                before.add(phrase.first)
            elif self._ends_clause(text, tokens, phrase.after):
                inside.update(
                    range(self._start_of_choice(text, tokens, phrase.first), phrase.first)
                )
        return inside, before

    def _start_of_choice(self, text: str, tokens: Sequence[Token], end: int) -> int:
        """Where a choice begins that ends with a comma before `end`: `bone, ivory or plastic, I
        cannot tell`. Without an `or` in it there is none, and `end` itself is given.
        """
        if not end or not self._comma_before(text, tokens, end):
            return end
        at, chosen = end - 1, False
        while True:
            chosen = chosen or tokens[at].key in self.choices
            more = at and end - at < _LONGEST_CLAUSE and tokens[at - 1].key not in self._breaks
            if not more or not (joined(text, tokens, at) or self._comma_before(text, tokens, at)):
                return at if chosen else end
            at -= 1

    def _ends_clause(self, text: str, tokens: Sequence[Token], after: int) -> bool:
        """Whether nothing more is said there: `I cannot tell its age` speaks of something else."""
        return (
            after >= len(tokens)
            or not joined(text, tokens, after)
            or tokens[after].key in self._joins | self._breaks
        )

    @staticmethod
    def _comma_before(text: str, tokens: Sequence[Token], at: int) -> bool:
        return text[tokens[at - 1].end : tokens[at].start].strip() == ","

    def _end(self, text: str, tokens: Sequence[Token], start: int) -> int:
        """Where the clause ends that begins at `start`."""
        most = min(len(tokens), start + _LONGEST_CLAUSE)
        at = start
        while at < most and tokens[at].key not in self._breaks:
            if "." in text[tokens[at - 1].end : tokens[at].start]:
                break
            if not joined(text, tokens, at) and not self._in_list(text, tokens, at):
                break
            at += 1
        return at

    def _in_list(self, text: str, tokens: Sequence[Token], at: int) -> bool:
        """Whether the comma before a token stands in a list: `shell, bone or plastic`."""
        if not self._comma_before(text, tokens, at):
            return False
        for later in range(at + 1, min(len(tokens), at + 1 + _LONGEST_ITEM)):
            if not joined(text, tokens, later):
                return False
            if tokens[later].key in self._joins:
                return True
        return False


_NONE = "~"
_LONGEST_CLAUSE = 12
_LONGEST_ITEM = 4


def _wordings(base: KnowledgeBase, *roles: str) -> Iterator[tuple[str, str]]:
    for wording in base.wordings.values():
        if wording.role in roles:
            yield from ((wording.role, words.casefold()) for words in wording.words)


def _may_be(claim: Claim, found: Found) -> bool:
    """Numbers in a claim about years are years, and others are as the claim says."""
    if claim.about == "years" and not all(map(_is_year, found.numbers)):
        return False
    if claim.figures is None:
        return True
    low, high = claim.figures
    return any(low <= _figure(number) <= high for number in found.numbers)


def _figure(number: str) -> float:
    """The number as written with a point or comma; a fraction or a row of them is none."""
    try:
        return float(number.replace(",", "."))
    except ValueError:
        return -1.0


class _Covers:
    """Stretches of tokens, asked whether one of them covers another: in the time of a search."""

    def __init__(self) -> None:
        self._ends: dict[int, int] = {}
        self._reach: list[tuple[int, int]] | None = None

    def add(self, found: Found) -> None:
        self._ends[found.first] = max(found.after, self._ends.get(found.first, 0))
        self._reach = None

    def begin_at(self, first: int) -> bool:
        """Whether a stretch begins there."""
        return first in self._ends

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
    """Parts of the title that stand on a mark of the maker: they name it as well as the whole.

    So does its first word, where that is a mark of its own.
    """
    marks = [mark.text.casefold() for mark in maker.marks]
    parts = [part.strip() for part in re.split(r"[,(&]", maker.title)]
    first = re.split(r"[\s,]", maker.title)[0]
    alone = [first] if len(first) > _SHORTEST_PART and first.casefold() in marks else []
    named = [part for part in parts if any(_stands_in(part.casefold(), mark) for mark in marks)]
    return named + alone


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
