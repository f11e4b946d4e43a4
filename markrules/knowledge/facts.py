"""What was seen on a piece, indexed for conditions: built once for each reading, never changed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from typing import TypeAlias

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation

# The longest run of words that is tried as one phrase: no stamped legend comes near.
LONGEST_RUN = 24
MOST_WORDS = 200
_INITIALS = re.compile(r"(?<!\w)(?:\w\.){2,}\w?(?!\w)|(?<!\w)\w\.\w(?!\w)")
_SIGNS = re.compile(r"[©®]")
_WORDS = re.compile(r"[^\W_]+|[©®]")
_UNREAD = re.compile(r"[?*…\[\]~]|\.\.")


@lru_cache(maxsize=8192)
def words(text: str) -> tuple[str, ...]:
    """The words of a text, folded: `"Made in U.S.A. ©"` gives made, in, usa, ©.

    Letters lose case and accents; dots within initials go, so that U.S.A. is usa; all other
    punctuation parts words. © and ® are words of their own.
    """
    plain = _INITIALS.sub(lambda initials: initials.group().replace(".", ""), text)
    spread = _SIGNS.sub(r" \g<0> ", unicodedata.normalize("NFKD", plain.replace("™", " TM ")))
    folded = "".join(sign for sign in spread if not unicodedata.combining(sign)).casefold()
    return tuple(_WORDS.findall(folded))


@lru_cache(maxsize=8192)
def phrase(text: str) -> str:
    """The words of a text run together: the form in which `runs` holds a phrase."""
    return "".join(words(text))


@lru_cache(maxsize=1024)
def runs(text: str) -> frozenset[str]:
    """Every run of whole words in a text, each run together.

    A phrase stands in the text when `phrase(it)` is among them: so MADEIN AUSTRIA says
    `made in Austria`, and T R I F O L D says `trifold`, but AUSTRIAN does not say `Austria`.
    """
    all_words = words(text)[:MOST_WORDS]
    found = set()
    for start in range(len(all_words)):
        run = ""
        for word in all_words[start : start + LONGEST_RUN]:
            run += word
            found.add(run)
    return frozenset(found)


def is_partly_unread(text: str) -> bool:
    """True if some letters are marked as unread: what the text does not say stays open."""
    return _UNREAD.search(text) is not None


# Where in the observations something was seen: positions from 0.
Positions: TypeAlias = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SeenText:
    """A text as read: its runs of words, whether letters in it are unread, and where."""

    runs: frozenset[str]
    partly_unread: bool
    at: Positions


@dataclass(frozen=True, slots=True)
class SeenNumber:
    """A number, or a bracket of years, and where it was seen."""

    low: float
    high: float
    at: Positions


class Facts:
    """Observations by feature. What was only told (`heard`) or seen on a later part does not count.

    `seen` and `ruled_out` hold positions by (feature, value); `values` the values seen by
    feature; `touched` the positions of all that was seen by feature; `absent` those of what
    was looked for in vain. A piece type seen counts also as each broader type.
    """

    __slots__ = (
        "absent",
        "base",
        "numbers",
        "observations",
        "piece_types",
        "ruled_out",
        "seen",
        "texts",
        "touched",
        "values",
    )

    def __init__(
        self,
        observations: Sequence[Observation],
        base: KnowledgeBase | None = None,
        piece_type: str = "",
    ) -> None:
        """`base` tells kinds of features and broader piece types; `piece_type` is given."""
        self.observations = tuple(observations)
        self.base = base
        self.seen: dict[tuple[str, str], Positions] = {}
        self.ruled_out: dict[tuple[str, str], Positions] = {}
        self.values: dict[str, frozenset[str]] = {}
        self.touched: dict[str, Positions] = {}
        self.absent: dict[str, Positions] = {}
        self.numbers: dict[str, tuple[SeenNumber, ...]] = {}
        self.texts: dict[str, tuple[SeenText, ...]] = {}
        self.piece_types: frozenset[str] = frozenset()  # as said, without broader ones
        if piece_type:
            self._add_piece(piece_type, ())
        for at, observation in enumerate(self.observations):
            if not observation.heard and observation.state != "replaced":
                self._add(observation, (at,))

    def _add(self, observation: Observation, at: Positions) -> None:
        feature, value = observation.feature, observation.value
        if observation.state == "absent":
            self.absent[feature] = self.absent.get(feature, ()) + at
        elif observation.state == "ruled-out":
            self.ruled_out[feature, value] = self.ruled_out.get((feature, value), ()) + at
        elif feature == "piece":
            self._add_piece(value, at)
        else:
            self._add_value(feature, value, at)
            self._add_number(observation, at)
            if self._is_text(feature):
                text = SeenText(runs(value), is_partly_unread(value), at)
                self.texts[feature] = (*self.texts.get(feature, ()), text)

    def _is_text(self, feature: str) -> bool:
        known = self.base.kind_of(feature) if self.base is not None else None
        return known == "text" if known is not None else feature in ("mark", "label")

    def _add_value(self, feature: str, value: str, at: Positions) -> None:
        self.touched[feature] = self.touched.get(feature, ()) + at
        if value:
            self.seen[feature, value] = self.seen.get((feature, value), ()) + at
            self.values[feature] = self.values.get(feature, frozenset()) | {value}

    def _add_number(self, observation: Observation, at: Positions) -> None:
        ends: tuple[float, float] | None = observation.years
        if ends is None and observation.number is not None:
            ends = (observation.number, observation.number)
        if ends is not None:
            feature = observation.feature
            number = SeenNumber(ends[0], ends[1], at)
            self.numbers[feature] = (*self.numbers.get(feature, ()), number)

    def _add_piece(self, name: str, at: Positions) -> None:
        chain = self.base.broader(name) if self.base is not None else ()
        for each in chain or (name,):
            self._add_value("piece", each, at)
        self.piece_types |= {name}

    def years_of(self, features: Sequence[str]) -> tuple[SeenNumber, ...]:
        """The years that were read off these features."""
        return tuple(each for name in features for each in self.numbers.get(name, ()))

    def beside(self, others: Facts) -> Facts:
        """These facts, with the years and numbers of the others to be compared with theirs.

        Only of features of which these tell no number themselves: what was told of a year is held
        against what was read of another.
        """
        new = object.__new__(Facts)
        for name in Facts.__slots__:
            setattr(new, name, getattr(self, name))
        new.numbers = {**others.numbers, **self.numbers}
        return new

    def is_on(self, names: frozenset[str]) -> bool:
        """True if the piece is known to be of one of these types, or of a narrower one."""
        return not names.isdisjoint(self.values.get("piece", ()))

    def with_value(self, feature: str, value: str, at: Positions) -> Facts:
        """These facts and one that follows from them, resting on the same observations."""
        new = object.__new__(Facts)
        for name in Facts.__slots__:
            setattr(new, name, getattr(self, name))
        new.seen, new.values, new.touched = dict(self.seen), dict(self.values), dict(self.touched)
        new._add_value(feature, value, at)
        return new
