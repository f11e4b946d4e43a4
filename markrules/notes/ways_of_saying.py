"""Ways of saying something by the order of words: kept with the rules, and matched in a note.

The rules write such a way as words with places: `"{part} ~ {newer}"`. A name in braces stands for
any word of a slot, a wording, a feature or a piece type; between it and the next only little words
may stand, with `~` a few of any kind, and with `...` whatever lies between in the note. A denial in
such a gap undoes it. `markrules.notes.remarks` tells what people remark so, and
`markrules.notes.damage_ways` which damage.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from typing import Any, TypeAlias

from markrules.knowledge.base import KnowledgeBase
from markrules.language.slots import BRACED, slot_of
from markrules.language.tree import Feature, Remark
from markrules.late import late
from markrules.named_tuple import NamedTuple
from markrules.notes.folding import Folding
from markrules.notes.making import spelled_out
from markrules.notes.senses import Sense, SensePhrases
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
_PART = late(r"\.\.\.|~|\{[a-z0-9-]+\}|[^\s{}~]+(?:\s+(?!\.\.\.)[^\s{}~]+)*")
AT = "at:"
"""Before the name of a place, the key of the ways of saying something that are kept by it."""
PIECE, OTHER_PIECE = "piece", "other-piece"
"""Places that any piece type fills, and one that is not the piece's own."""

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


def patterns_of(base: KnowledgeBase, folding: Folding, remarks: Sequence[Remark]) -> dict[str, Any]:
    """The ways to say these remarks, and all words that they may be made of, to be kept."""
    gathered = SensePhrases(folding)
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
    elif name in (PIECE, OTHER_PIECE):
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


class KeptPatterns:
    """The ways of saying something that are kept with the rules, ready to be looked for."""

    def __init__(self, kept: Mapping[str, Any], folding: Folding, little: frozenset[str]) -> None:
        """`kept` is what `patterns_of` gives; `little` words count for nothing."""
        self.phrases = SensePhrases(folding, kept, "remark")
        """All words that may fill a place."""
        self.little = little
        self.denies = frozenset(kept["denying"]).__contains__
        """Whether a word denies what follows it."""
        self._kept = kept
        self._at: dict[str, list[tuple[Pattern, frozenset[str]]]] = {}

    def filled(self, hits: Mapping[str, list[Hit]]) -> list[Pattern]:
        """The ways all places of which are filled, in the order of the rules."""
        return sorted(
            pattern
            for name in hits
            for pattern, places in self._looked_at(name)
            if places <= hits.keys()
        )

    def _looked_at(self, name: str) -> list[tuple[Pattern, frozenset[str]]]:
        """The ways that are looked at where this place is filled, each with all its places.

        They are read of what is kept when a note fills the place: most are never met.
        """
        made = self._at.get(name)
        if made is None:
            made = self._at[name] = [
                (
                    Pattern(number, remark, tuple(map(tuple, elements)), slot, denies),
                    frozenset(each[0] for each in elements),
                )
                for number, remark, elements, slot, denies in self._kept.get(f"{AT}{name}", ())
            ]
        return made

    def words_of(
        self,
        segments: Sequence[Sequence[str]],
        hits: Mapping[str, list[Hit]],
        parted: AbstractSet[int] = frozenset(),
    ) -> NoteWords:
        """The words of a note with what fills the places, in which ways are then matched.

        `segments` are the folded words of each stretch; `parted` are the numbers of stretches that
        their writer did not part from the one before.
        """
        return NoteWords(segments, hits, self.little, self.denies, parted)


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
