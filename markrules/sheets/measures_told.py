"""Measures of a text that are not those on record: 9.8 g of a chain that was weighed at 6.2 g."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.notes.understanding import understand
from markrules.notes.vocabulary import Vocabulary

MOST_SENTENCES = 200
"""Sentences with a number in them that are read: no listing of one piece has more."""
LONGEST_SENTENCE = 500
"""Characters of a sentence, at most; a longer one is no description."""

_SENTENCE = re.compile(r"[^.!?;\n]+(?:\.(?=\d)[^.!?;\n]*)*")
_NUMBER = re.compile(r"\d+(?:[.,](\d+))?")


@dataclass(frozen=True, slots=True)
class MeasureTold:
    """A measure that stands at `start` to `end` of a text, and the words for it on record."""

    start: int
    end: int
    on_record: str


def other_measures(base: KnowledgeBase, text: str, reading: Reading) -> Iterator[MeasureTold]:
    """The measures in the text of what was measured on the piece, that agree with none on record.

    A measure agrees with one on record that differs by no more than the setting `claim-measure`,
    or than the numbers were rounded by; of several sizes told, each may be any of them. Only the
    first MOST_SENTENCES sentences with a number are read.
    """
    on_record = [each for each in reading.observations if _counts(each)]
    if not on_record:
        return
    vocabulary, read = Vocabulary(base), 0
    for sentence in _SENTENCE.finditer(text):
        if read >= MOST_SENTENCES:
            return
        words = sentence.group()
        if len(words) > LONGEST_SENTENCE or not any(map(str.isdigit, words)):
            continue
        read += 1
        for told in understand(vocabulary, words).observations:
            if not _counts(told) or told.assumed or told.words not in words:
                continue
            same = [each for each in on_record if each.feature == told.feature]
            if same and not _agrees(base, told, on_record):
                start = sentence.start() + words.index(told.words)
                yield MeasureTold(start, start + len(told.words), same[0].words)


def _counts(seen: Observation) -> bool:
    """Whether it is a measure of the piece, read or taken, with its unit."""
    return seen.state == "seen" and not seen.heard and seen.number is not None and bool(seen.words)


def _agrees(base: KnowledgeBase, told: Observation, on_record: Sequence[Observation]) -> bool:
    unit = base.features[told.feature].unit
    share = base.setting("claim-measure")
    return any(
        abs(_number(told) - _number(each))
        <= max(share * _number(each), _rounded_by(told), _rounded_by(each))
        for each in on_record
        if base.features[each.feature].unit == unit
    )


def _number(measure: Observation) -> float:
    return measure.number or 0.0


def _rounded_by(measure: Observation) -> float:
    """Half of the last figure that was written, in the feature's own unit."""
    written = _NUMBER.search(measure.words)
    if written is None:
        return 0.0
    value = float(written.group().replace(",", "."))
    figures = len(written.group(1) or "")
    return 0.5 / 10**figures * _number(measure) / value if value else 0.0
