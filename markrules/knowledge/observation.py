"""What was seen, as the engine takes it: one frozen record for each thing looked at."""

from __future__ import annotations

from typing import Literal

from markrules.frozen import dataclass
from markrules.language.slots import REMARK
from markrules.language.windows import Window

MARK, TOLD_MAKER = "mark", "told-maker"
"""Features that the program knows by name: text on the piece, and a maker that was named."""

State = Literal["seen", "absent", "ruled-out", "replaced"]

UNREAD_TEXT = "..."
"""The text of a mark that is there and of which nothing was read: a run of unread letters."""

PLAIN = "sure"
"""The certainty of what was said without a word of doubt or of certainty."""


ASKED = "taken as the maker's mark: does the name stand on the piece?"
"""What is assumed of a maker's name that stands before the piece: `Trifari brooch`."""

BY_NATURE = "such a piece has none"
"""What is assumed of a part that is denied, where a piece like this one is made without it: it is
no fault that was looked for in vain.
"""

MAYBE_MAKER = "maybe-maker"
"""The feature for a word before the piece that may be the name of a maker in no list."""
ASKED_IF_MARK = (
    "perhaps the name of a maker that is not in these rules: does it stand on the piece? If so, "
    'write: marked "{name}"'
)
"""What is assumed of such a word: `Grandstaff brooch`."""


_UNREAD_SIGNS = frozenset("?*.…_")
_BESIDE_THEM = frozenset(" /-")


def nothing_read(text: str) -> bool:
    """Whether a text consists of nothing but signs for unread letters: `???`, `...`."""
    signs = frozenset(text)
    return bool(signs & _UNREAD_SIGNS) and signs <= _UNREAD_SIGNS | _BESIDE_THEM


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing seen on a piece, or looked for and not there.

    `state` is `seen` (the feature has `value`), `absent` (looked for, and there is none;
    `value` is empty), `ruled-out` (it is not `value`) or `replaced` (it has `value` on a part
    that is said to be a later one: kept and shown, and it never counts). `value` is a value name
    for choice and many features, the text for text features and the number or letter as read for
    registers. `number` is the quantity in the feature's own unit, for kinds number and year.
    `years` is the bracket that a register or a year feature gives, both ends included.
    `weights` holds (year, relative likelihood) where a register gives several years apart,
    as a date letter does; it then stands before `years`, which only bounds it.
    `certainty` names a certainty entry (sure, fair, guess). `heard` marks what was told and
    not seen: it is kept and shown, and never counts. `words` is the stretch of the note that
    said it and `assumed` tells, in a few words, what was assumed to understand it.
    """

    feature: str
    value: str = ""
    state: State = "seen"
    number: float | None = None
    years: tuple[int, int] | None = None
    certainty: str = PLAIN
    heard: bool = False
    words: str = ""
    assumed: str = ""
    weights: tuple[tuple[int, float], ...] = ()

    @property
    def is_read_mark(self) -> bool:
        """Whether it is a text that somebody read on the piece, not a name that was only given."""
        return (
            self.feature == MARK
            and self.state == "seen"
            and bool(self.value)
            and not self.heard
            and self.assumed != ASKED
            and not self.is_unread_mark
        )

    @property
    def is_unread_mark(self) -> bool:
        """Whether it is a mark that is there, and of which no letter or figure was read."""
        return self.feature == MARK and self.state == "seen" and nothing_read(self.value)


Fate = Literal["understood", "guessed", "neutral", "not-understood"]


@dataclass(frozen=True, slots=True)
class Accounted:
    """What became of a stretch of a note, in the writer's `words`.

    `understood` and `guessed` words are part of `observations`, or name the `piece` type.
    Something was assumed of those guessed. `neutral` words change nothing, by the rules' own
    lists; they may have observations, where they only describe. `little` are neutral words of
    which it is not worth telling: articles and the like. `remarks` holds what the rules say of
    the turns of phrase among the observations, a sentence each; `only_remarks` tells that these
    alone keep the words from being neutral.
    """

    words: str
    fate: Fate
    observations: tuple[Observation, ...] = ()
    piece: str = ""
    little: bool = False
    remarks: tuple[str, ...] = ()
    only_remarks: bool = False

    @property
    def meaning(self) -> str:
        """What the words are part of, in a few words; empty where they are part of nothing."""
        if self.piece and not self.observations:
            return f"piece: {self.piece}"
        # A turn of phrase is worth telling only of words that say nothing by themselves.
        seen = [each for each in self.observations if each.feature != REMARK]
        return "; ".join(dict.fromkeys(map(_meaning, seen) if seen else self.remarks))


def _meaning(each: Observation) -> str:
    """An observation in a few words: `catch: rollover`, `no mark`, `fault: not chipped part`."""
    name = each.feature.replace("-", " ")
    if each.state == "absent":
        return f"no {name}"
    counted = each.feature == "fault" or each.number is None
    value = each.value.replace("-", " ") if counted else each.value
    denied = "not " if each.state == "ruled-out" else ""
    later = " on a later part" if each.state == "replaced" else ""
    if each.is_unread_mark:
        value = "there, not read"
    doubt = "" if each.certainty == "sure" else f" ({each.certainty})"
    return f"{name}: {denied}{value}{later}{doubt}{' (told)' if each.heard else ''}"


@dataclass(frozen=True, slots=True)
class ImportedMark:
    """A mark of a person's own list: its maker and letters as written, its weight before anything
    is seen, and its years as far as they are known.
    """

    title: str
    text: str
    weight: float
    years: Window | None = None


@dataclass(frozen=True, slots=True)
class MarkHypothesis:
    """One mark variant that may stand behind what was read.

    `log_likelihood` is the natural log of P(what was read | this mark). `maker` and `mark`
    are entry names in the knowledge base, unless the mark was `imported`.
    """

    maker: str
    mark: str
    log_likelihood: float
    aligned: str = ""
    imported: ImportedMark | None = None


LEAST_SHOWN = 0.25
"""A listed mark this much as likely as the maker's name alone is shown before it. Set by reason:
the name says nothing new, a mark can be held against the piece."""


@dataclass(frozen=True, slots=True)
class MarkEvidence:
    """All that the reading of a mark says: the candidates, and the unknown maker beside them.

    `unknown_log_likelihood` is the natural log of P(what was read | a mark not in the base).
    """

    read: str
    candidates: tuple[MarkHypothesis, ...]
    unknown_log_likelihood: float
