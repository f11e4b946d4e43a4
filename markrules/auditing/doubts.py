"""Whether a reading names what misleads about a piece.

A piece that is not what it seems shows it by one thing that does not fit: a part replaced, a
part used again, a later copy, a mechanism older than the piece. A reading is taken to name it
when it does at least one of these:

- it states what misleads;
- it tells a contradiction in words;
- it holds a clue to be, with one half or more, replaced, used again or misread;
- a finding, fault or caution that it gives says in words that something is not of the age of
  the rest (see NAMING).

What is said of more than a tenth of all pieces of a file is a standing warning, and names
nothing. The same test over the pieces on which nothing misleads tells how cheaply it is met.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Sequence

from markrules.frozen import dataclass
from markrules.inference.reading import MisleadingReading, Reading
from markrules.knowledge.base import KnowledgeBase

NAMING = re.compile(
    r"replac|reproduc|cop(y|ies) of|re-?used|used again|added later|later (part|addition|repair)"
    r"|(older|earlier|later|different|other) (in )?(part|age|date|period)s?|later than the"
    r"|older than the|put together|joined later|not belong|worked on",
    re.IGNORECASE,
)
"""Plain words by which a statement says that something is not of the age of the rest."""

DOUBTED = 0.5
"""A clue is doubted when replaced, used again or misread together reach this probability."""

PARTED = (
    *("replaced", "repaired", "converted", "old-part"),
    *("finding-mark", "later-mark", "other-year"),
)
"""Kinds that are told of a part or a mark: who says so and names none has told but half of it."""

STANDING_SHARE = 0.1
STANDING_LEAST = 3
"""A statement made of more than this share of the pieces, and of more than so many, is standing."""


@dataclass(frozen=True, slots=True)
class Doubts:
    """What a reading doubts of a piece: in words, by its branches, and by its statements.

    `clues` are the names of doubted clues; `statements` the names of findings, faults and
    cautions that say so; `misleading` those of the situations that it states.
    """

    contradictions: tuple[str, ...]
    clues: tuple[str, ...]
    statements: tuple[str, ...]
    misleading: tuple[str, ...] = ()

    @property
    def any(self) -> bool:
        """Whether anything is named at all."""
        return bool(self.misleading or self.contradictions or self.clues or self.statements)


def doubts(base: KnowledgeBase, readings: Sequence[Reading]) -> list[Doubts]:
    """What each reading doubts of its piece, in order; standing warnings left out."""
    said = [_statements(base, each) for each in readings]
    counts = Counter(name for names in said for name in names)
    most = max(STANDING_LEAST, STANDING_SHARE * len(readings))
    return [
        Doubts(
            reading.contradictions,
            tuple(each.clue for each in reading.clues if each.branches.original <= 1 - DOUBTED),
            tuple(name for name in names if counts[name] <= most),
            tuple(each.name for each in reading.misleading if each.stated),
        )
        for reading, names in zip(readings, said, strict=True)
    ]


def named_rightly(
    reading: Reading,
    kinds: Collection[str],
    parts: Collection[str],
    *,
    notes: bool = False,
    part_named: bool = False,
) -> bool:
    """Whether a reading says what misleads: a right kind, and no part but a right one.

    `kinds` and `parts` are the written key. Where either side blames no part, the kind decides;
    with `part_named` only for kinds that are of the whole piece: who says that something was
    replaced (PARTED), and not what, has told but half of it. What was told openly is named where
    it is told back, though it is no alarm. With `notes`, all that is only given to bear in mind
    counts too.
    """
    return any(
        each.kind in kinds and _blames_rightly(each, parts, part_named=part_named)
        for each in reading.misleading
        if each.stated or each.openly_told or notes
    )


def _blames_rightly(said: MisleadingReading, parts: Collection[str], *, part_named: bool) -> bool:
    if not parts or not said.part:
        return not parts or not part_named or said.kind not in PARTED
    return not set(parts).isdisjoint(said.part)


def _statements(base: KnowledgeBase, reading: Reading) -> list[str]:
    """The names of statements that say, in words, that something does not belong."""
    told: Iterable[tuple[str, str]] = (
        *((name, base.findings[name].say) for name in reading.findings if name in base.findings),
        *((each.fault, f"{each.say} {each.originality}") for each in reading.faults),
        *((each.caution, each.say) for each in reading.cautions),
    )
    return list(dict.fromkeys(name for name, text in told if NAMING.search(text)))
