"""What people remark on a piece, known by the order of words in the whole of a note.

The rules write a remark as words with places: `"{part} ~ {newer}"`. A name in braces stands for
any word of a slot, a wording, a feature or a piece type; between it and the next only little words
may stand, with `~` a few of any kind, and with `...` whatever lies between in the note. A denial in
such a gap undoes the remark. Where a slot is part of it, the thing that fills it is told too.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from functools import cached_property
from itertools import accumulate
from typing import Any, TypeAlias

from markrules.knowledge.base import KnowledgeBase
from markrules.language.slots import BRACED, filled_name, slot_of
from markrules.language.tree import Feature, Remark
from markrules.late import late
from markrules.named_tuple import NamedTuple
from markrules.notes.folding import Folding
from markrules.notes.making import spelled_out
from markrules.notes.senses import Phrases, Sense
from markrules.notes.tokens import phrase_of

LONGEST_PLAIN = 14
"""Words of a stretch of a note from which on more than one thing is told in it without a comma."""
LONGEST_TERSE = 10
"""The same, of a stretch with hardly a little word in it."""
LEAST_LITTLE = 0.3
"""The share of little words in sentences at least; set on the notes of the labelled corpus with and
without their commas."""
REACH = (3, 7, 60)
"""Words that may stand between two places: little words where nothing is written, with `~`, and
with `...`."""
MOST_WORDS = 250
"""Words of a note in which remarks are looked for: nobody describes one piece in more."""
_PART = late(r"\.\.\.|~|\{[a-z0-9-]+\}|[^\s{}~]+(?:\s+(?!\.\.\.)[^\s{}~]+)*")
_YEAR = late(r"(?:1[5-9]|20)[0-9]{2}(?:[./][0-9]{1,2})*")
"""A year, or what begins with one: `1903/4`, `1934.12.7`."""
AT = "at:"
"""Before the name of a place, the key of the ways of saying something that are kept by it."""
_PIECE, _OTHER, _YEARS, _ITS_YEAR = "piece", "other-piece", "year", "its-year"

Element: TypeAlias = tuple[str, int]
"""What stands at a place of a remark, and the gap before it: 0 little words, 1 `~`, 2 `...`."""


class Hit(NamedTuple):
    """Words from `start` to `end` (not included) that may fill a place, and what they name."""

    start: int
    end: int
    what: str = ""


class Pattern(NamedTuple):
    """One way to say a remark; `number` is its place among all.

    `slot` is the place that tells which fill is meant, if any.
    """

    number: int
    remark: str
    elements: tuple[Element, ...]
    slot: str
    denies: bool


class Remarked(NamedTuple):
    """A remark that was made, and the words of the note that make it.

    `years` are those of its words that are a year of the feature `of_year`.
    """

    value: str
    words: tuple[int, ...]
    of_year: str = ""
    years: tuple[int, ...] = ()


def remarks_of(base: KnowledgeBase, folding: Folding) -> dict[str, Any]:
    """The remarks of the rules, and all words that they may be made of, to be kept."""
    return {
        "pieces": _piece_words(base, folding),
        **patterns_of(base, folding, [each for each in base.remarks.values() if not each.damages]),
    }


def kept_patterns(kept: Mapping[str, Any], name: str) -> list[tuple[Pattern, frozenset[str]]]:
    """The patterns of what `patterns_of` gave that are looked at where this place is filled, each
    with all its places.
    """
    return [
        (
            Pattern(number, remark, tuple(map(tuple, elements)), slot, denies),
            frozenset(each[0] for each in elements),
        )
        for number, remark, elements, slot, denies in kept.get(f"{AT}{name}", ())
    ]


def patterns_of(base: KnowledgeBase, folding: Folding, remarks: Sequence[Remark]) -> dict[str, Any]:
    """The ways to say these remarks, and all words that they may be made of, to be kept."""
    gathered = Phrases(folding)
    patterns: list[tuple[str, tuple[Element, ...], str, bool]] = []
    for remark in remarks:
        slot = slot_of(remark, base.slots)
        for denies, texts in ((False, remark.words), (True, remark.never)):
            patterns += [
                (remark.name, elements_of(text), slot.name if slot else "", denies)
                for text in texts
            ]
    count = Counter(name for _, elements, *_ in patterns for name in {each for each, _ in elements})
    for name in dict.fromkeys(name for _, elements, *_ in patterns for name, _ in elements):
        for text, what in _words(base, name):
            gathered.add(text, Sense("slot", name, what))
    # A pattern is looked at where the place that fewest others have is filled.
    by_place: dict[str, list[Any]] = {}
    for number, pattern in enumerate(patterns):
        rarest = min((name for name, _ in pattern[1]), key=lambda name: count[name])
        by_place.setdefault(f"{AT}{rarest}", []).append([number, *pattern])
    return {
        "denying": sorted(_denying(base, folding)),
        **by_place,
        **gathered.to_keep("remark"),
    }


def _piece_words(base: KnowledgeBase, folding: Folding) -> dict[str, str]:
    """The single words that name a piece type, with the type."""
    return {
        words[0]: piece.name
        for piece in base.pieces.values()
        for text in (piece.name, *piece.also)
        if len(words := phrase_of(text, folding)) == 1
    }


def _denying(base: KnowledgeBase, folding: Folding) -> set[str]:
    """Single words that deny what follows them."""
    return {
        word
        for wording in base.wordings.values()
        if wording.role == "negation"
        for text in wording.words
        if len(phrase := phrase_of(text, folding)) == 1
        for word in phrase
    }


def elements_of(text: str) -> tuple[Element, ...]:
    """The places of a remark with the gap before each.

    >>> elements_of("{part} ~ {newer} than the rest ... {year}")
    (('part', 0), ('newer', 1), ('=than the rest', 0), ('year', 2))
    """
    found: list[Element] = []
    gap = 0
    for part in _PART.findall(text):
        if part in ("~", "..."):
            gap = 1 if part == "~" else 2
            continue
        name = part[1:-1] if part[0] == "{" else f"={part}"
        found.append((name, gap))
        gap = 0
    return tuple(found)


def _words(base: KnowledgeBase, name: str, depth: int = 0) -> Iterator[tuple[str, str]]:
    """The words that may stand at a place, each with what it names."""
    if name.startswith("="):
        yield name[1:], ""
    elif name in (_PIECE, _OTHER):
        for piece in base.pieces.values():
            yield from ((text, piece.name) for text in (piece.name, *piece.also))
    elif name in base.slots:
        for fill in base.slots[name].fills:
            for text in fill.words:
                yield from ((word, fill.name) for word in _spelt(base, text, depth))
    elif name in base.wordings:
        for text in base.wordings[name].words:
            yield from ((word, "") for word in _spelt(base, text, depth))
    elif name in base.features:
        yield from ((word, "") for word in _of_feature(base.features[name]))


def _spelt(base: KnowledgeBase, text: str, depth: int) -> Iterator[str]:
    """The text itself, or all words of what it names in braces, with what stands beside them."""
    names = BRACED.findall(text)
    if not names:
        yield text
    elif text != f"{{{names[0]}}}" and base.wordings.keys() >= set(names):
        yield from spelled_out(base, text)
    elif depth < 3:
        for name in names:
            yield from (word for word, _ in _words(base, name, depth + 1))


def _of_feature(feature: Feature) -> Iterator[str]:
    yield from (feature.name, *feature.also)
    for value in feature.values:
        yield from (text for text in (value.name, *value.also) if "{" not in text)


class Remarks:
    """The remarks of a knowledge base, ready to be looked for in notes."""

    def __init__(
        self,
        kept: Mapping[str, Any],
        base: KnowledgeBase,
        folding: Folding,
        little: frozenset[str],
    ) -> None:
        """`kept` is what `remarks_of` gives; `little` words count for nothing."""
        self._base, self._kept, self._little = base, kept, little
        self._phrases = Phrases(folding, kept, "remark")
        self._denying = frozenset(kept["denying"]).__contains__
        self._pieces: Mapping[str, str] = kept["pieces"]
        self._patterns: dict[str, list[tuple[Pattern, frozenset[str]]]] = {}
        self._pieces_alone: dict[str, bool] = {}
        self._part_of: dict[tuple[str, str], frozenset[str]] = {}
        self.shows = dict(_shown(base))
        """For remarks that show a fault, be they filled or not, that fault."""

    def made(
        self,
        segments: Sequence[Sequence[str]],
        chain: Sequence[str],
        parted: AbstractSet[int] = frozenset(),
        phrases: Sequence[tuple[int, int]] = (),
    ) -> tuple[Remarked, ...]:
        """The remarks that a note makes, each once, with the places of the words that make them.

        `phrases` are the stretches of words that name one thing seen: a remark of several places
        is none where all of them lie in one of these, as *steel beads* are a kind of bead.

        `segments` are the folded words of each stretch of the note, `chain` the piece's type and
        the broader ones; empty where it is not known. `parted` are the numbers of stretches that
        their writer did not part from the one before.
        """
        piece = frozenset(chain)
        words = [word for segment in segments for word in segment]
        ends = set(accumulate(map(len, segments)))
        hits = self._hits(words, piece, chain[0] if chain else "", ends)
        if not hits:
            return ()
        reader = NoteWords(segments, hits, self._little, self._denying, parted)
        found: dict[str, Remarked] = {}
        denied: set[str] = set()
        filled = [
            pattern
            for name in hits
            for pattern, places in self._patterns_at(name)
            if places <= hits.keys()
        ]
        for pattern in sorted(filled):
            if not self._is_on(pattern.remark, piece):
                continue
            for matched in reader.matches(pattern):
                if pattern.denies:
                    denied.add(pattern.remark)
                    break
                if len(matched) > 1 and _in_one(phrases, matched):
                    continue
                made = self._remarked(pattern, matched)
                before = found.get(made.value, made)
                found[made.value] = made._replace(
                    words=tuple(sorted({*before.words, *made.words})),
                    years=tuple(sorted({*before.years, *made.years})),
                )
        return tuple(
            each
            for value, each in found.items()
            if not any(value == name or value.startswith(f"{name}-") for name in denied)
        )

    def things_in(self, words: Sequence[str], chain: Sequence[str]) -> dict[str, set[str]]:
        """The fills of each slot that folded words name, on a piece of this type and its broader
        ones.
        """
        hits = self._hits(words, frozenset(chain), chain[0] if chain else "", {len(words)})
        return {slot: {hit.what for hit in hits[slot]} for slot in self._slots & hits.keys()}

    def _patterns_at(self, name: str) -> list[tuple[Pattern, frozenset[str]]]:
        """The ways of saying a remark that are looked at where this place is filled, each with all
        its places.
        """
        made = self._patterns.get(name)
        if made is None:
            made = self._patterns[name] = kept_patterns(self._kept, name)
        return made

    def _is_on(self, remark: str, piece: frozenset[str]) -> bool:
        on = self._base.remarks[remark].on
        return not on or not piece or any(each.name in piece for each in on)

    def _remarked(self, pattern: Pattern, matched: Sequence[Hit]) -> Remarked:
        year = self._base.remarks[pattern.remark].year
        places = zip(pattern.elements, matched, strict=True)
        return Remarked(
            self._value(pattern, matched),
            tuple(at for hit in matched for at in range(hit.start, hit.end)),
            year.name if year is not None else "",
            tuple(hit.start for (name, _), hit in places if name == _ITS_YEAR),
        )

    def _value(self, pattern: Pattern, matched: Sequence[Hit]) -> str:
        if not pattern.slot:
            return pattern.remark
        for (name, _), hit in zip(pattern.elements, matched, strict=True):
            if name == pattern.slot:
                fills = self._base.slots[name].fills
                fill = next(each for each in fills if each.name == hit.what)
                return filled_name(pattern.remark, fill)
        return pattern.remark

    def _hits(
        self, words: Sequence[str], piece: frozenset[str], type_name: str, ends: AbstractSet[int]
    ) -> dict[str, list[Hit]]:
        """All words that may fill some place, by the place.

        `ends` tells where stretches of the note end. A word right before the piece is no part
        of it (`new charm bracelet`), nor is the first one that names it (`modern beads`); of words
        that name it, one that is no part of anything goes before (`the pin is newer, brooch`).
        """
        hits: dict[str, list[Hit]] = {}
        naming = [at for at, word in enumerate(words) if self._pieces.get(word) in piece]
        exactly = (at for at in naming if self._pieces[words[at]] == type_name)
        own = next((at for at in naming if self._is_piece(words[at])), next(exactly, -1))
        for start, word in enumerate(words):
            if word[:1].isdigit() and _YEAR.fullmatch(word):
                for name in (_YEARS, _ITS_YEAR):
                    hits.setdefault(name, []).append(Hit(start, start + 1))
            if self._phrases.first(word) is None:
                continue
            for end, sense in self._phrases.every(words, start, self._little):
                if sense.name == _OTHER and self._is_same(sense.value, piece):
                    continue
                if sense.value and sense.name in self._slots:
                    if not self._fits(sense, piece) or start == own:
                        continue
                    if end not in ends and (end == own or self._is_piece(words[end])):
                        continue
                    if start < own < end:  # clip earrings
                        continue
                hits.setdefault(sense.name, []).append(Hit(start, end, sense.value))
        return hits

    def _is_piece(self, word: str) -> bool:
        """Whether a word names a piece type and no part of any: a necklace, but no clip."""
        if word not in self._pieces:
            return False
        known = self._pieces_alone.get(word)
        if known is None:
            senses = (sense for _, sense in self._phrases.every([word], 0))
            known = all(sense.name not in self._slots for sense in senses)
            self._pieces_alone[word] = known
        return known

    @cached_property
    def _slots(self) -> frozenset[str]:
        return frozenset(self._base.slots)

    def _is_same(self, name: str, piece: frozenset[str]) -> bool:
        """Whether a piece type is this one, or only a broader or narrower word for it."""
        if not piece:
            return True
        return name in piece or not piece.isdisjoint(self._base.broader(name)[:2])

    def _fits(self, sense: Sense, piece: frozenset[str]) -> bool:
        """Whether a thing can be part of this piece."""
        on = self._part_of.get(sense[1:])
        if on is None:
            fills = self._base.slots[sense.name].fills
            found = next(each.on for each in fills if each.name == sense.value)
            on = self._part_of[sense.name, sense.value] = frozenset(each.name for each in found)
        return not on or not piece or not on.isdisjoint(piece)


def _in_one(phrases: Sequence[tuple[int, int]], matched: Sequence[Hit]) -> bool:
    """Whether all places of a remark lie in one phrase."""
    first, end = min(hit.start for hit in matched), max(hit.end for hit in matched)
    return any(start <= first and end <= until for start, until in phrases)


class NoteWords:
    """The words of one note, with what may fill the places of remarks."""

    def __init__(
        self,
        segments: Sequence[Sequence[str]],
        hits: Mapping[str, list[Hit]],
        little: frozenset[str],
        denying: Callable[[str], bool],
        parted: AbstractSet[int],
    ) -> None:
        """`segments` are the folded words of each stretch, `hits` what may fill each place, in
        order; `parted` the numbers of stretches that their writer did not part.
        """
        self._words = [word for segment in segments for word in segment]
        self._segment = [at for at, segment in enumerate(segments) for _ in segment]
        self._hits, self._little, self._denying = hits, little, denying
        stretches: list[list[str]] = []
        for at, segment in enumerate(segments):
            if at in parted and stretches:
                stretches[-1].extend(segment)
            else:
                stretches.append(list(segment))
        self._run_on = [len(each) > LONGEST_PLAIN for each in stretches for _ in each]
        # Who parts things anywhere parts them, and a long stretch of that note is a sentence.
        alone = len(stretches) == 1
        self._terse = [
            terse for each in stretches for terse in [alone and self._is_terse(each)] for _ in each
        ]
        self._vain: set[tuple[int, int]] = set()

    def _is_terse(self, words: Sequence[str]) -> bool:
        """Whether a stretch runs on from thing to thing, so that two need not belong together."""
        little = sum(word in self._little for word in words)
        return len(words) > LONGEST_TERSE and little < LEAST_LITTLE * len(words)

    def matches(self, pattern: Pattern) -> Iterator[tuple[Hit, ...]]:
        """Each way in which the words of the note say this, from its first place on."""
        self._vain.clear()
        touching = len(pattern.elements) == 2 and pattern.elements[1][1] == 0
        for hit in self._hits[pattern.elements[0][0]]:
            if touching and self._terse[hit.start]:
                continue
            rest = self._rest(pattern.elements, 1, hit)
            if rest is not None:
                yield (hit, *rest)

    def _rest(self, elements: tuple[Element, ...], at: int, before: Hit) -> tuple[Hit, ...] | None:
        if at == len(elements):
            return ()
        if (at, before.end) in self._vain:
            return None
        name, gap = elements[at]
        hits = self._hits[name]
        gap = 0 if gap == 1 and self._terse[before.end - 1] else gap
        run_on = gap == 1 and self._run_on[before.end - 1]
        farthest = before.end + (REACH[0] if run_on else REACH[gap])
        for place in range(bisect_left(hits, before.end, key=_start), len(hits)):
            hit = hits[place]
            if hit.start > farthest:
                break
            if self._may_follow(before, hit, gap) and not (
                gap == 1 and self._is_passed_over(elements[at - 1][0], before, hit)
            ):
                rest = self._rest(elements, at + 1, hit)
                if rest is not None:
                    return (hit, *rest)
        self._vain.add((at, before.end))
        return None

    def _is_passed_over(self, name: str, before: Hit, hit: Hit) -> bool:
        """Whether another thing of the same kind stands between, in a stretch so long that its
        commas must be wanting: what follows is then said of the nearer one.
        """
        if not before.what or not self._run_on[hit.start]:
            return False
        return any(
            before.end <= each.start and each.end <= hit.start and each.what != before.what
            for each in self._hits[name]
        )

    def _may_follow(self, before: Hit, hit: Hit, gap: int) -> bool:
        between = self._words[before.end : hit.start]
        if gap < 2 and self._segment[before.end - 1] != self._segment[hit.start]:
            return False
        if gap == 2:
            return True
        if any(self._denying(word) for word in between):
            return False
        return gap == 1 or all(word in self._little for word in between)


def _start(hit: Hit) -> int:
    return hit.start


def _shown(base: KnowledgeBase) -> Iterator[tuple[str, str]]:
    for remark in base.remarks.values():
        if remark.shows is not None:
            slot = slot_of(remark, base.slots)
            yield remark.name, remark.shows.name
            for fill in slot.fills if slot is not None else ():
                yield filled_name(remark.name, fill), remark.shows.name
