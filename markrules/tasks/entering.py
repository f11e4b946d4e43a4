"""New pieces from notes in plain words: what was seen into the log, what was told apart."""

from __future__ import annotations

import re
from collections.abc import Sequence

from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import NewPiece
from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation
from markrules.notes.understanding import LONGEST_NOTE
from markrules.reading.observing import still_said
from markrules.reading.reader import Reader

PIECE = "piece"
"""The built-in feature whose value is the type of the piece."""

_SENTENCE_END = re.compile(r"(?<=[.!?;])\s+|\n+")


def new_piece(
    reader: Reader,
    note: str,
    *,
    title: str = "",
    told: str = "",
    observations: Sequence[Observation] = (),
    set: int | None = None,
    by_part: bool = True,
) -> NewPiece:
    """A piece from its note: the note as written, and what it says as observations.

    The piece type goes into the log as the feature `piece`. Sentences in which something was
    only told are copied to `told`. Observations given stand before or beside what the note says
    of the same feature, see `still_said`. `by_part` takes the piece type of a note that names none
    from a part that only it has. Raises CatalogueProblem for a note that is too long.
    """
    if len(note) > LONGEST_NOTE:
        raise CatalogueProblem(
            f"the note is {len(note):,} characters long; {LONGEST_NOTE:,} at most are taken"
        )
    understood = reader.understand(note)
    from_note = list(still_said(reader.base, understood.observations, observations))
    typed = {each.feature for each in (*observations, *from_note)}
    named = understood.piece_type and (by_part or not understood.type_by_part)
    if named and PIECE not in typed:
        from_note.insert(0, Observation(PIECE, understood.piece_type))
    heard = [each.words for each in from_note if each.heard and each.words]
    said = [told.strip(), *told_sentences(note, heard)]
    return NewPiece(
        note=note,
        title=title,
        told="\n".join(dict.fromkeys(each for each in said if each)),
        observations=(*from_note, *observations),
        set=set,
        not_understood=understood.not_understood,
    )


@dataclass(frozen=True, slots=True)
class SaidLine:
    """What a line about a piece says, and the stretches of it that no rule knows."""

    observations: tuple[Observation, ...]
    unknown: tuple[str, ...] = ()


def said_in(reader: Reader, words: str) -> SaidLine:
    """What a line of plain words adds to what is seen on a piece."""
    new = new_piece(reader, words, by_part=False)
    return SaidLine(new.observations, new.not_understood)


def letters_told(reader: Reader, text: str) -> str:
    """The text of a mark, where words tell which letters were not read written as a mark is.

    `begins with EIS` is EIS..., `COVA or CODA` is CO[VD]A; any other text stays as it is.
    """
    if " " not in text.strip() or len(text) > LONGEST_NOTE:
        return text
    seen = said_in(reader, f"mark {text}").observations
    marks = [each.value for each in seen if each.feature == "mark" and each.state == "seen"]
    if len(marks) != 1:
        return text
    (found,) = marks
    told = any(sign in found and sign not in text for sign in ("...", "["))
    return found if told else text


def told_sentences(note: str, heard: Sequence[str]) -> list[str]:
    """The sentences of a note that hold a stretch that was only told, in their order.

    A stretch that no one sentence holds stands for itself, after them.
    """
    sentences = [each.strip() for each in _SENTENCE_END.split(note)] if heard else []
    found = [each for each in sentences if any(_holds(each, words) for words in heard)]
    alone = [words for words in heard if not any(_holds(each, words) for each in found)]
    return [*found, *alone]


def _holds(sentence: str, words: str) -> bool:
    return " ".join(words.casefold().split()) in " ".join(sentence.casefold().split())
