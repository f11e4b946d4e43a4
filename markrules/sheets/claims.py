"""Which words of a text go further than the evidence: each with its place, reason and better words.

The words are `claim` entries of the rules; here is only how they are looked for and judged.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import accumulate

from markrules.inference.reading import Citation, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import evaluate
from markrules.knowledge.facts import Facts
from markrules.language.tree import Claim, Condition, Maker, Window
from markrules.sheets.attribution import MARK, attribution, date_words, share_of_years
from markrules.sheets.footnotes import citations
from markrules.sheets.phrases import Folder, Found, Phrases, Token, joined, singular
from markrules.sheets.words import visible

LONGEST_TEXT = 200_000
"""Characters looked at: a listing has hundreds, a book of them some ten thousand."""
CIRCA_YEARS = 10
"""A year said to be about right is borne by this many years on either side."""
_QUOTE = re.compile(r"[“\"]([^“”\"\n]+)[”\"]")
_LONGEST_QUOTE = 200
_ROUND_ABOUT = ("c", "ca", "circa", "about", "around")


@dataclass(frozen=True, slots=True)
class Flag:
    """A phrase that does not stand: `start` to `end` in the text, why, and what to say.

    `instead` is empty where the words are to be left out. `line` and `column` count from 1.
    """

    claim: str
    words: str
    start: int
    end: int
    line: int
    column: int
    say: str
    law: str
    instead: str
    note: str
    cites: tuple[Citation, ...]


def check_text(base: KnowledgeBase, text: str, reading: Reading | None = None) -> tuple[Flag, ...]:
    """Every phrase of the text that the evidence does not bear, in order.

    Without a reading nothing is borne out: each claim is flagged. Only the first
    LONGEST_TEXT characters are looked at. Never raises.
    """
    text = text[:LONGEST_TEXT]
    checker = _checker(base)
    judge = _Judge(base, reading)
    breaks = [place for place, sign in enumerate(text) if sign == "\n"]
    flags = [
        _flag(base, judge, claim, text, breaks, tokens, found)
        for claim, tokens, found in checker.found(text)
        if not judge.bears(claim, found, tokens, text)
    ]
    kept: list[Flag] = []
    for flag in sorted(flags, key=lambda each: (each.start, -each.end)):
        if not kept or flag.start >= kept[-1].end:
            kept.append(flag)
    return tuple(kept)


def rewritten(text: str, flags: Sequence[Flag]) -> str:
    """The text with better words in place of each flagged phrase; those without any fall out."""
    parts, at = [], 0
    for flag in flags:
        parts += [text[at : flag.start], _like(flag.words, flag.instead)]
        at = flag.end
    whole = "".join((*parts, text[at:]))
    return "\n".join(map(_tidy, whole.split("\n"))) if flags else text


def _tidy(line: str) -> str:
    """The line without the blanks and signs that words left behind."""
    for pattern, right in _LEFT_BEHIND:
        line = pattern.sub(right, line)
    return line.strip()


_LEFT_BEHIND = (
    (re.compile(r" +"), " "),
    (re.compile(r"([.!?]) [,;.!?]+"), r"\1"),
    (re.compile(r"\b(\w{4,}) \1(s?)\b"), r"\1\2"),
    (re.compile(r" +([,.;!?)])"), r"\1"),
    (re.compile(r"\( +"), "("),
    (re.compile(r"\(\)"), ""),
    (re.compile(r"([,;])[,;]+"), r"\1"),
    (re.compile(r"[,;]+([.!?])"), r"\1"),
    (re.compile(r"(^|[.!?] )[,;.!?]+ ?"), r"\1"),
)


def _like(words: str, instead: str) -> str:
    """Better words begin large where the words did and stood alone so."""
    return instead[:1].upper() + instead[1:] if words[:1].isupper() else instead


class _Checker:
    """All claims of a base, ready to be looked for."""

    def __init__(self, base: KnowledgeBase) -> None:
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
def _checker(base: KnowledgeBase) -> _Checker:
    return _Checker(base)


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


class _Judge:
    """Whether a claim is borne out by one piece."""

    def __init__(self, base: KnowledgeBase, reading: Reading | None) -> None:
        self.base = base
        self.reading = reading
        self.facts = Facts(reading.observations, base, reading.piece_type) if reading else None
        self._known: dict[int, bool] = {}

    def bears(self, claim: Claim, found: Found, tokens: Sequence[Token], text: str) -> bool:
        if self.reading is None:
            return claim.when is not None
        if claim.when is not None and not self._holds(claim.when):
            return True
        if claim.unless is not None and self._holds(claim.unless):
            return True
        if self._quoted(text, tokens[found.first].start, tokens[found.after - 1].end):
            return True
        least = self.base.setting(f"{claim.name}-share", self.base.setting("claim-share", 0.7))
        return any(share(self, claim, found, tokens) >= least for share in _SHARES)

    def _quoted(self, text: str, start: int, end: int) -> bool:
        """Whether the words stand within quotes that give a mark as it was read on the piece."""
        assert self.reading is not None
        for quote in _QUOTE.finditer(text, max(0, start - _LONGEST_QUOTE), end + _LONGEST_QUOTE):
            if quote.start() < start and end < quote.end():
                inside = quote.group(1).casefold().strip()
                return any(
                    each.feature == MARK and inside == visible(each.value).casefold().strip()
                    for each in self.reading.observations
                    if each.state == "seen" and not each.heard
                )
        return False

    def _holds(self, condition: Condition) -> bool:
        assert self.reading is not None
        assert self.facts is not None
        known = self._known.get(id(condition))
        if known is None:
            found = frozenset(self.reading.findings)
            known = self._known[id(condition)] = evaluate(condition, self.facts, found) is True
        return known

    def by_age(self, claim: Claim, _: Found, __: Sequence[Token]) -> float:
        if claim.age is None:
            return 0.0
        return self._years(None, self._last_year() - claim.age)

    def by_window(self, claim: Claim, _: Found, __: Sequence[Token]) -> float:
        if claim.made is None:
            return 0.0
        return self._years(*_ends(claim.made, self._last_year()))

    def by_maker(self, claim: Claim, found: Found, _: Sequence[Token]) -> float:
        if claim.about != "maker" or self.reading is None:
            return 0.0
        return max(
            (each.probability for each in self.reading.makers if each.maker == found.name),
            default=0.0,
        )

    def by_years(self, claim: Claim, found: Found, tokens: Sequence[Token]) -> float:
        if claim.about != "years" or self.reading is None or not self.reading.evidence:
            return 0.0
        if all(self._stands_on_piece(number) for number in found.numbers):
            return 1.0
        first, last = min(map(int, found.numbers)), max(map(int, found.numbers))
        keys = [token.key for token in tokens[found.first : found.after]]
        if "s" in keys:
            last += 9
        elif set(keys) & set(_ROUND_ABOUT) and first == last:
            first, last = first - CIRCA_YEARS, last + CIRCA_YEARS
        return self._years(first, last)

    def _stands_on_piece(self, number: str) -> bool:
        assert self.reading is not None
        return any(number in each.value for each in self.reading.observations if not each.heard)

    def _years(self, first: int | None, last: int | None) -> float:
        if self.reading is None or not self.reading.evidence:
            return 0.0
        return share_of_years(self.reading, first, last)

    def _last_year(self) -> int:
        assert self.reading is not None
        return self.reading.date.first_year + len(self.reading.date.curve) - 1

    @cached_property
    def _years_and_maker(self) -> tuple[str, str]:
        if self.reading is None:
            return "date not known", "maker not known"
        words = attribution(self.base, self.reading).words
        return date_words(self.base, self.reading), words

    def better(self, claim: Claim, words: str) -> str:
        """The better words of a claim, with what is known of this piece put in."""
        years, maker = self._years_and_maker
        text = claim.instead.replace("{words}", singular(words.casefold()))
        return text.replace("{years}", years).replace("{maker}", maker)


_Share = Callable[[_Judge, Claim, Found, Sequence[Token]], float]
_SHARES: tuple[_Share, ...] = (
    _Judge.by_age,
    _Judge.by_window,
    _Judge.by_maker,
    _Judge.by_years,
)


def _ends(made: Window, last_year: int) -> tuple[int | None, int | None]:
    def year_of(year: object) -> int | None:
        if year is None:
            return None
        return last_year if getattr(year, "now", False) else int(getattr(year, "number", 0))

    return year_of(made.first or made.mostly_first), year_of(made.last or made.mostly_last)


def _flag(
    base: KnowledgeBase,
    judge: _Judge,
    claim: Claim,
    text: str,
    breaks: Sequence[int],
    tokens: Sequence[Token],
    found: Found,
) -> Flag:
    start, end = tokens[found.first].start, tokens[found.after - 1].end
    words = text[start:end]
    lines = bisect_right(breaks, start)
    return Flag(
        claim=claim.name,
        words=words,
        start=start,
        end=end,
        line=lines + 1,
        column=start - (breaks[lines - 1] if lines else -1),
        say=claim.say,
        law=claim.law,
        instead=judge.better(claim, words),
        note=claim.note,
        cites=citations(base, claim.cites),
    )
