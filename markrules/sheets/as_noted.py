"""What stands beside an observation in the note: how many, where, of what it is the colour.

A listing tells a flaw first-hand, "two stones missing at the back", where the observation holds
only its core. Words beside it are taken over only where they are counts, places and things of the
rules, written small: no name of a person comes along.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from functools import lru_cache
from itertools import pairwise

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Accounted, Observation
from markrules.notes.vocabulary import SEVERAL_PIECES
from markrules.sheets.matter import SheetMatter
from markrules.sheets.object_id import observations_for
from markrules.telling.pieces_lost import pieces_lost
from markrules.telling.words import listed, plain, visible

_WORD = re.compile(r"[^\s,.;:()!?\"“”]+(?:\.\d+)?")
_SMALL = re.compile(r"[a-zß-ÿ][a-zß-ÿ'’-]*")
_TITLED = re.compile(r"\b[A-ZÀ-Þ](?=[a-zß-ÿ]|\b)[a-zß-ÿ]*\b")
_COUNT = re.compile(r"[1-9]\d{0,2}")
_MOST_AFTER = 5
_MOST_BEFORE = 3


@dataclass(frozen=True, slots=True)
class _Roles:
    """Words of the rules, small, by what they do beside an observation."""

    counts: frozenset[str]
    numbers: frozenset[str]
    locating: frozenset[str]
    measuring: frozenset[str]
    colored: frozenset[str]
    joins: frozenset[str]
    announcing: frozenset[str]
    breaks: frozenset[str]
    things: frozenset[str]
    choices: frozenset[str]
    articles: frozenset[str]
    """The little words that begin a thing, and so end nothing: a, the."""


@lru_cache(maxsize=4)
def _roles(base: KnowledgeBase) -> _Roles:
    def of(*roles: str) -> frozenset[str]:
        return frozenset(map(str.casefold, base.words_of(*roles)))

    return _Roles(
        counts=of("count", "number"),
        numbers=of("number"),
        locating=of("locates"),
        measuring=of("how-measured"),
        colored=of("takes-color"),
        joins=of("join"),
        announcing=of("mark"),
        breaks=of("break", "negation", "join"),
        things=of("thing", "describing"),
        choices=of("alternative"),
        articles=of("little") & of("opening"),
    )


class AsNoted:
    """The note of one piece, asked what stands beside the words of an observation."""

    def __init__(self, matter: SheetMatter) -> None:
        """Splits the note into words; what parts two of them is kept."""
        self._note = matter.note
        self._found = list(_WORD.finditer(self._note))
        self._words = [each.group().casefold() for each in self._found]
        self._roles = _roles(matter.base)
        self._parts = {
            words_of(each).casefold() for each in observations_for(matter, "fastening", "describe")
        }
        piece = matter.reading.piece_type.replace("-", " ")
        self._parts |= {piece, piece.removesuffix("s")} - {""}

    def in_full(self, words: str) -> str:
        """The words with the thing and the count before and the place after them: `one` eye missing
        `on top`, `mirror` cracked.
        """
        place = self._place(words)
        if place is None:
            return words
        first = self._with_count(self._with_thing(*place))
        after = self._cut_off(place[0], self._with_place(self._cut_off(*place)))
        if (first, after) == place:
            return words
        text = self._text(first, after)
        # What is taken along are words of the rules. In a title they are written large, while the
        # words of an observation are not.
        return text if words in text else _TITLED.sub(lambda word: word[0].lower(), text)

    def with_thing(self, words: str) -> str:
        """A colour with what has it: `red` of "red stone" gives `red stone`; else empty."""
        place = self._place(words)
        if place is None:
            return ""
        for length in (2, 1):
            after = place[1] + length
            thing = " ".join(self._words[place[1] : after])
            if thing in self._roles.colored and self._one_stretch(place[0], after):
                return self._text(place[0], after)
        return ""

    def before(self, words: str, others: Sequence[str]) -> tuple[str, str] | None:
        """Which of the others follows the words at once, and the two as they stand together:
        `red` before `clear rhinestones` in "red and clear rhinestones".
        """
        place = self._place(words)
        if place is None:
            return None
        for other in others:
            for start, end in self._places(other):
                between = self._words[place[1] : start]
                if start < place[1] or len(between) > 1 or not self._one_stretch(place[0], end):
                    continue
                if not between or between[0] in self._roles.joins or between[0] == "&":
                    return other, self._text(place[0], end)
        return None

    def together(self, one: str, other: str) -> str:
        """The two as they stand side by side in the note, `aurora borealis beads`; else empty."""
        for first, end in self._places(one):
            for start, after in self._places(other):
                if start == end and self._one_stretch(first, after):
                    return self._text(first, after)
        return ""

    def only_within(self, words: str, others: Sequence[str]) -> bool:
        """Whether the words stand in the note within the others alone: `prong` in "one prong
        bent".
        """
        places = list(self._places(words))
        around = [place for other in others for place in self._places(other)]
        return bool(places) and all(
            any(first <= start and end <= after for first, after in around) for start, end in places
        )

    def counted(self, apart_from: Sequence[str]) -> list[str]:
        """What the note counts, in words of the rules: `11 charms`; not what the others tell."""
        around = [place for other in apart_from for place in self._places(other)]
        return [
            self._text(at, at + 2)
            for at in range(len(self._words) - 1)
            if _COUNT.fullmatch(self._words[at]) or self._words[at] in self._roles.numbers
            if self._words[at + 1] in self._roles.things and self._words[at + 1].endswith("s")
            if self._one_stretch(at, at + 2) and self._found[at + 1].group().islower()
            if not any(first <= at < after for first, after in around)
        ]

    def either(self, one: str, other: str) -> str:
        """The two as the note leaves them open, `plastic or amber`; empty where it does not."""
        for _, end in self._places(one):
            for start, after in self._places(other):
                between = " ".join(self._words[end:start])
                if start > end and between in self._roles.choices and self._one_stretch(end, after):
                    return f"{one} {between} {other}"
        return ""

    def measured(self, words: str) -> tuple[str, str]:
        """What was measured, where the note says so before a measure, and how, after it:
        `chain` 20 inches, 7 cm `inside`.
        """
        place = self._place(words)
        if place is None:
            return "", ""
        first, after = place
        before = self._text(first - 1, first) if self._is_small(first - 1, first) else ""
        behind = self._text(after, after + 1) if self._is_small(after, after + 1) else ""
        return before, behind if behind.casefold() in self._roles.measuring else ""

    def announced(self, words: str) -> tuple[str, str]:
        """On what a mark stands and how it was put there, in the words that announce it:
        `hooks marked 925` gives `hooks` and `marked`.
        """
        said = words.split()
        for at, word in enumerate(said):
            if word.casefold() in self._roles.announcing:
                place = " ".join(said[:at])
                return (place if place.islower() and place.replace(" ", "").isalpha() else ""), word
        return "", ""

    def _is_small(self, first: int, after: int) -> bool:
        """Whether one small word stands there, parted by no sign from what is beside it."""
        if first < 0 or after > len(self._words):
            return False
        word = self._found[first].group()
        beside = (first, after + 1) if after < len(self._words) else (first, after)
        return word.islower() and word.isalpha() and self._one_stretch(*beside)

    def _with_thing(self, first: int, after: int) -> int:
        """Where the thing begins that stands before a damage told in one word, or before a part of
        it: `mirror` cracked, `dog clip` spring gone.
        """
        if after - first > 1 and self._words[first] not in self._roles.things:
            return first
        for length in range(_MOST_BEFORE, 0, -1):
            begin = first - length
            if self._one_stretch(begin, after) and self._is_thing(begin, first):
                return begin
        return first

    def _is_thing(self, first: int, after: int) -> bool:
        written = [each.group() for each in self._found[first:after]]
        thing = " ".join(written)
        return thing == thing.casefold() and thing in (self._roles.things | self._parts)

    def _with_count(self, first: int) -> int:
        while first and self._one_stretch(first - 1, first + 1) and self._counts(first - 1):
            first -= 1
        # `one of the` stones missing
        begin = first
        while begin and self._words[begin - 1] in self._roles.articles:
            begin -= 1
        told = begin > 1 and self._words[begin - 1] == "of" and self._counts(begin - 2)
        return begin - 2 if told and self._one_stretch(begin - 2, first + 1) else first

    def _cut_off(self, first: int, after: int) -> int:
        """Where the words end that break off at an article, without what leads to it: glue
        `behind the`.
        """
        end = after
        while end > first + 1 and self._words[end - 1] in self._roles.articles:
            end -= 1
        while end < after and end > first + 1 and self._words[end - 1] in self._roles.locating:
            end -= 1
        return end

    def _counts(self, at: int) -> bool:
        word = self._words[at]
        return word in self._roles.counts or word.isdecimal()

    def _with_place(self, after: int) -> int:
        """The end of a place that is told right after: `at the top`."""
        if after >= len(self._words) or self._words[after] not in self._roles.locating:
            return after
        end = after
        while (
            end < min(len(self._words), after + _MOST_AFTER)
            and self._one_stretch(after - 1, end + 1)
            and _SMALL.fullmatch(self._found[end].group())
            and self._words[end] not in self._roles.breaks
        ):
            end += 1
        end = self._cut_off(after, end)
        while end > after and self._words[end - 1] in self._roles.locating:
            end -= 1
        return end if end > after + 1 else after

    def _place(self, words: str) -> tuple[int, int] | None:
        return next(self._places(words), None)

    def _places(self, words: str) -> Iterator[tuple[int, int]]:
        wanted = [each.group().casefold() for each in _WORD.finditer(words)]
        for first in range(len(self._words) - len(wanted) + 1 if wanted else 0):
            if self._words[first : first + len(wanted)] == wanted:
                yield first, first + len(wanted)

    def _one_stretch(self, first: int, after: int) -> bool:
        """Whether nothing but blanks parts the words from `first` to `after`."""
        if first < 0 or after > len(self._found):
            return False
        some = self._found[first:after]
        return all(
            not self._note[one.end() : two.start()].strip()
            and "\n" not in self._note[one.end() : two.start()]
            for one, two in pairwise(some)
        )

    def _text(self, first: int, after: int) -> str:
        return visible(self._note[self._found[first].start() : self._found[after - 1].end()])


def own_name(matter: SheetMatter) -> str:
    """What the note calls the piece, where that says more than its type, or says it otherwise:
    `hair comb`, `pair of dress clips`, `earring`. Empty where it is a slip of the pen.
    """
    from rapidfuzz.distance import Levenshtein

    piece = matter.reading.piece_type
    for each in matter.account if piece else ():
        if each.piece != piece or each.fate != "understood" or _tells_a_fault(each):
            continue
        words = " ".join(each.words.casefold().split())
        name = piece.replace("-", " ")
        if words in (f"{name}s", f"{name}es"):
            return words
        if not re.fullmatch(r"[a-z]+(?:[ -][a-z]+)*", words) or len(words) < _SHORTEST_NAME:
            return ""
        one_of = words == name.removesuffix("s")
        slip = 0 < Levenshtein.distance(words, name) <= _SLIP and not one_of
        return "" if slip or words == name else words
    return _one_of_several(matter) or _within_a_detail(matter) or _set_in_a_detail(matter)


def _tells_a_fault(each: Accounted) -> bool:
    """Whether words tell of a fault alone: the pin of `pin bent` is not the piece."""
    return bool(each.observations) and all(one.feature == "fault" for one in each.observations)


def _within_a_detail(matter: SheetMatter) -> str:
    """The name that stands only within words for what it shows: `sweetheart brooch`."""
    name = matter.reading.piece_type.replace("-", " ")
    for each in matter.account if name else ():
        words = " ".join(each.words.casefold().split())
        told = bool(each.observations) and not _tells_a_fault(each)
        if told and words.endswith(f" {name}") and words.replace(" ", "").isalpha():
            return words
    return ""


def _set_in_a_detail(matter: SheetMatter) -> str:
    """What a set is called within words that say more than that: `cufflinks with tie clip`."""
    if SEVERAL_PIECES[0] not in matter.base.broader(matter.reading.piece_type):
        return ""
    kinds = _kinds(matter.base)
    for each in matter.account:
        words = each.words.casefold().split()
        told = bool(each.observations) and not _tells_a_fault(each)
        if not told or words[:1] == [] or words[0] not in kinds:
            continue
        # Another piece stands apart from the first: `clip earrings` are one.
        later = {
            kinds.get(" ".join(words[at : at + length]))
            for at in range(2, len(words))
            for length in (1, 2)
        }
        if later - {None, kinds[words[0]]} and all(word.isalpha() for word in words):
            return " ".join(words)
    return ""


def _one_of_several(matter: SheetMatter) -> str:
    """One of what comes by pairs, as words say that tell of more: `single earring`."""
    name = matter.reading.piece_type.replace("-", " ")
    one = name.removesuffix("s")
    for each in matter.account if one != name else ():
        words = " ".join(each.words.casefold().split())
        words = _BEHIND.sub(r"\2 \1", words)
        if each.observations and words.endswith(f" {one}") and words.replace(" ", "").isalpha():
            return words
        # Told in two: `single` and, behind what it is made of, `earring`.
        told = (matter.base.faults.get(seen.value) for seen in each.observations)
        if any(fault is not None and f"{words} {one}" in fault.also for fault in told):
            return f"{words} {one}"
    return ""


def other_names(matter: SheetMatter) -> list[str]:
    """What else the note calls the piece, beside its name: `locket` of "pendant, locket"."""
    name, piece = name_of(matter), matter.reading.piece_type
    words = (
        " ".join(each.words.casefold().split())
        for each in (matter.account if piece else ())
        if each.piece == piece and each.fate == "understood" and not each.observations
    )
    return [
        each
        for each in dict.fromkeys(words)
        if each.isalpha() and len(each) >= _LONG_NAME and each.removesuffix("s") not in name
    ]


_BEHIND = re.compile(r"([a-z]+), ([a-z]+)")
_LONG_NAME = 5
_SHORTEST_NAME = 3
_SLIP = 2


@lru_cache(maxsize=4)
def _known(base: KnowledgeBase) -> frozenset[str]:
    """What values of features and pieces are called."""
    values = [each.also for feature in base.features.values() for each in feature.values]
    pieces = [each.also for each in base.pieces.values()]
    return frozenset(words.casefold() for also in (*values, *pieces) for words in also)


def told_pieces(matter: SheetMatter) -> list[str]:
    """The pieces that the note of a set lists: `necklace`, `brooch`, `earrings`; one that is told
    again, as in `one earring lacks a stone`, once, and none that is told as missing.
    """
    kinds = _kinds(matter.base)
    names = {
        words.casefold()
        for piece in matter.base.pieces.values()
        for words in (piece.name, *piece.also)
    }
    joins = _roles(matter.base).joins | {"&"}

    def apart(words: str) -> list[str]:
        """The pieces of `necklace bracelet and earrings`, where the words name nothing else."""
        all_words = words.split()
        several = [word for word in all_words if word not in joins]
        # `clip earrings` is one thing by two words.
        whole = {f"{one} {other}" for one, other in pairwise(all_words)} & _known(matter.base)
        if len(several) > 1 and names.issuperset(several) and not whole:
            return several
        listed_ones = [_behind_little(each, kinds) for each in _between(all_words, joins)]
        return listed_ones if len(listed_ones) > 1 and all(listed_ones) else [words]

    lost = pieces_lost(matter.base, matter.account)
    found: dict[str, str] = {}
    for at, each in enumerate(matter.account):
        words = " ".join(each.words.casefold().split())
        if not words or at in lost or (each.piece and len(apart(words)) < 2):
            continue
        for piece in apart(words):
            last = piece.split()[-1]
            # By its kind where it has one: `earring` behind `earrings` is one of them.
            is_one = last in names or last.removesuffix("s") in kinds
            if is_one and (each.observations or piece in names or last not in names):
                again = piece == last and kinds.get(last, piece) in found.values()
                if not again:
                    found.setdefault(piece, kinds.get(last, piece))
    return list(found)


def _between(words: Sequence[str], joins: AbstractSet[str]) -> list[list[str]]:
    """Words parted at each that joins: `bracelets and a pair of earrings`."""
    parts: list[list[str]] = [[]]
    for word in words:
        if word in joins:
            parts.append([])
        else:
            parts[-1].append(word)
    return parts


def _behind_little(words: Sequence[str], kinds: Mapping[str, str]) -> str:
    """The piece that words end with, without what counts it; empty where they name none."""
    for first in range(len(words)):
        piece = " ".join(words[first:])
        if piece in kinds or piece.removesuffix("s") in kinds:
            return piece
    return ""


def name_of(matter: SheetMatter) -> str:
    """What the piece is called: by the note where that says more than its type does, and a set by
    its pieces; empty where its type is not known.
    """
    name = own_name(matter) or plain(matter.reading.piece_type)
    some = [each for each in told_pieces(matter) if each not in name]
    kind = matter.reading.piece_type
    if not some or SEVERAL_PIECES[0] not in matter.base.broader(kind):
        return name
    if len(some) > 1:
        return f"{name} of {listed(some)}"
    # `bracelet and earrings set` names some of them: the set is called by all.
    kinds = _kinds(matter.base)
    several = ((each, each.removesuffix("s")) for each in reversed(told_pieces(matter)))
    told = {
        kinds.get(each) or kinds[one]: each
        for each, one in several
        if each in kinds or one in kinds
    }
    every = [each for each in told_pieces(matter) if each in told.values()]
    return f"{plain(kind)} of {listed(every)}" if len(every) > 1 else name


@lru_cache(maxsize=4)
def _kinds(base: KnowledgeBase) -> dict[str, str]:
    """The type that each word for a piece names, sets left out."""
    return {
        words.casefold(): name
        for name, piece in base.pieces.items()
        if SEVERAL_PIECES[0] not in base.broader(name)
        for words in (piece.name, plain(piece.name), *piece.also)
    }


def words_of(observation: Observation) -> str:
    """The observer's words on one line."""
    return " ".join(observation.words.split())
