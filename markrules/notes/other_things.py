"""What a note tells of other things than the piece: of firms and fashions in general, of where it
lay and how it was pictured or sent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from markrules.notes.saying import Said
from markrules.notes.segments import Segment
from markrules.notes.vocabulary import Vocabulary


def told_in_general(vocabulary: Vocabulary, segments: Sequence[Segment]) -> frozenset[int]:
    """The places of segments of sentences that tell a history: `The firm was founded in 1904.`

    Such a sentence has words of the role `history` and none of `in-hand` (this, marked). The first
    sentence of a note is of the piece, whatever it tells besides.
    """
    histories, in_hand = vocabulary.histories, vocabulary.in_hand
    if histories is None:
        return frozenset()
    begins = [at for at, each in enumerate(segments) if at and not each.goes_on]
    found: set[int] = set()
    for at, end in pairwise([*begins, len(segments)]):
        sentence = ", ".join(each.text for each in segments[at:end])
        if histories.search(sentence) and not (in_hand and in_hand.search(sentence)):
            found.update(range(at, end))
    return frozenset(found)


def parted_from_other_things(
    vocabulary: Vocabulary, segments: Sequence[Segment], known: frozenset[int] = frozenset()
) -> tuple[list[Segment], frozenset[int]]:
    """The segments, each parted where it turns to other things than the piece, and the places of
    those that do: `bent pin | shown next to a coin`.

    `known` are the places of segments that are of other things as a whole, which is known already.
    Words of the role `set-phrase` are of something else by themselves: `a marriage gift`.
    From words of the role `elsewhere` on a stretch is of other things up to one of the role `break`
    (but), unless one of the role `back-again` stands in it: `kept in a box marked 1920`.
    """
    elsewhere, back, end = vocabulary.elsewhere, vocabulary.back_again, vocabulary.turns_back
    segments, phrases = _parted_from_set_phrases(vocabulary, segments, known)
    if elsewhere is None:
        return list(segments), phrases
    found: list[Segment] = []
    silent: set[int] = set()
    for at, each in enumerate(segments):
        if at in phrases:
            silent.add(len(found))
            found.append(each)
            continue
        begun = elsewhere.search(each.text)
        if begun is None:
            found.append(each)
            continue
        ended = end.search(each.text, begun.end()) if end is not None else None
        stop = ended.start() if ended is not None else len(each.text)
        if back is not None and back.search(each.text, begun.end(), stop):
            found.append(each)
            continue
        before, behind = each.text[: begun.start()], each.text[begun.start() : stop]
        parted = bool(before.strip(" .!(-"))
        if parted:
            found.append(each._replace(text=before))
        silent.add(len(found))
        found.append(Segment(behind, True) if parted else each._replace(text=behind))
        if ended is not None:
            found.append(Segment(each.text[stop:], True))
    return found, frozenset(silent)


def _parted_from_set_phrases(
    vocabulary: Vocabulary, segments: Sequence[Segment], known: frozenset[int]
) -> tuple[Sequence[Segment], frozenset[int]]:
    """The segments with each set phrase as one of its own, and the places of these and of those
    that are of other things as a whole.
    """
    phrases = vocabulary.set_phrases
    if phrases is None or not any(phrases.search(each.text) for each in segments):
        return segments, known
    found: list[Segment] = []
    silent: set[int] = set()
    for at, each in enumerate(segments):
        if at in known:
            silent.add(len(found))
            found.append(each)
            continue
        begin, first = 0, True
        for phrase in phrases.finditer(each.text):
            for text, is_phrase in ((each.text[begin : phrase.start()], False), (phrase[0], True)):
                if not text.strip(" .!(-"):
                    continue
                if is_phrase:
                    silent.add(len(found))
                found.append(each._replace(text=text) if first else Segment(text, True, True))
                first = False
            begin = phrase.end()
        rest = each.text[begin:]
        if first:
            found.append(each)
        elif rest.strip(" .!)-"):
            found.append(Segment(rest, True, True))
    return found, frozenset(silent)


def of_the_piece_alone(segments: Sequence[Segment], of_other_things: frozenset[int]) -> str:
    """The text of the segments that are not of other things, parted as in the note."""
    texts = ""
    for at, each in enumerate(segments):
        if at not in of_other_things:
            part = ("" if each.runs_on else ",") if each.goes_on else "."
            texts += f"{part if texts else ''} {each.text.strip()}"
    return texts.strip()


def silenced(part: Said) -> Said:
    """A segment of which nothing is taken for the piece; its words are neutral."""
    return replace(
        part,
        order=(),
        marks=(),
        pieces=(),
        not_understood=(),
        assumed=(),
        total=0,
        understood=0,
        ends_in_mark=False,
        mark_absent=False,
        letter="",
        things=(),
        denies=False,
        denies_thing=False,
        account=tuple(
            replace(each, lot="neutral", order=(), pieces=frozenset()) for each in part.account
        ),
        folds=(),
    )
