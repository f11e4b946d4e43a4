"""A note in plain words, understood: observations, texts on the piece, and what is left over."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from dataclasses import replace
from typing import TypeAlias

from markrules.frozen import dataclass
from markrules.knowledge.observation import MARK, Accounted, Fate, Observation
from markrules.language.entries.features import READ_OFF, WORN
from markrules.language.slots import REMARK
from markrules.late import FIGURES, late
from markrules.named_tuple import NamedTuple
from markrules.notes.contrast import with_answers, with_exceptions, with_what_is_said_of
from markrules.notes.damage_ways import ASSUMED
from markrules.notes.folding import plain
from markrules.notes.hallmarked import as_written, has_put_in, with_hallmarks_named
from markrules.notes.items import Item
from markrules.notes.listed_names import whole_names
from markrules.notes.losslist import with_lists
from markrules.notes.matching import matched
from markrules.notes.naming import as_told
from markrules.notes.negation import denial_goes_on, list_goes_on
from markrules.notes.onephrase import one_phrase
from markrules.notes.other_things import (
    of_the_piece_alone,
    parted_from_other_things,
    silenced,
    told_in_general,
)
from markrules.notes.pieces_named import inner_piece
from markrules.notes.piecetype import listed_together, piece_named, type_by_its_parts
from markrules.notes.remarks import MOST_WORDS
from markrules.notes.saying import MarkText, Open, OpenFault, Portion, Said, Unread
from markrules.notes.segment import no_mark, said
from markrules.notes.segments import Segment, segments_of
from markrules.notes.settling import Place, settled_all
from markrules.notes.subject_words import may_tell_of_others
from markrules.notes.titles import without_capitals
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.vocabulary import (
    DATE_LETTER,
    DATE_OFFICE,
    DEVICE_FEATURES,
    HALLMARK_YEAR,
    INSCRIPTION,
    PICTURED_FEATURES,
    Vocabulary,
)
from markrules.notes.written_dates import with_dates_plain
from markrules.notes.written_numbers import with_numbers_plain

__all__ = ["MarkText", "Understanding", "Vocabulary", "understand", "with_mark"]

LONGEST_NOTE = 10_000
"""Characters of the note of one piece that are read, some four pages: what takes half a second.

What is beyond is listed as not understood; faces refuse a longer note and say so.
"""
MOST_DENIED = 12
"""Segments that one denial may reach: nobody lists more."""
MOST_KEPT = 20_000
"""Segments remembered before the memory is emptied."""


@dataclass(frozen=True, slots=True)
class Understanding:
    """What a note says.

    `not_understood` holds stretches in the writer's words, `assumed` what was taken for granted.
    `account` tells of every word what became of it, in the order of the note.
    `words_total` counts the words that carry meaning (no articles and the like). `type_by_part`
    tells that no piece was named, and the type is that of a part which only it has. `of_the_piece`
    is the note without what it tells of other things.
    """

    piece_type: str
    observations: tuple[Observation, ...]
    not_understood: tuple[str, ...]
    assumed: tuple[str, ...]
    words_total: int
    words_understood: int
    marks: tuple[MarkText, ...]
    account: tuple[Accounted, ...] = ()
    type_by_part: bool = False
    of_the_piece: str = ""


_RUN_ON = late(r"(?<=[^\W\d_]{3})\.(?=[0-9]{4,}|[0-9]{1,2}(?![0-9.]))", among=FIGURES)
"""The stop of an abbreviation right before a number: `Pat.1933576`, `approx.1 in`."""


_SPACED = re.compile(
    r"(?<![\w&.?])(?:(?:[A-Z?] {1,3}){3,}[A-Z?]|(?:[a-z?] {1,3}){3,}[a-z?])(?![\w&.?])"
)
"""Letters of one word, each by itself: `T R I F O L D`, `t r i f o l d`. Three may be initials."""


def _run_together(found: re.Match[str]) -> str:
    return found[0].replace(" ", "").upper()


def _put_plainly(note: str) -> tuple[str, Mapping[str, str]]:
    """The note with its dates and stamped numbers put plainly, and how each was typed."""
    text, dates = with_dates_plain(note)
    text, numbers = with_numbers_plain(text)
    return text, {**numbers, **dates}


def _as_typed(words: str, typed: Mapping[str, str]) -> str:
    """Words of a note as they were typed, its dates and numbers too."""
    words = as_written(words)
    for put, written in typed.items():
        words = words.replace(put, written)
    return words


_LIST_HEAD = late(r"\(?[0-9]{1,2}[.)]?", among=FIGURES)
"""The number of an entry in a list, by itself."""


def understand(vocabulary: Vocabulary, note: str) -> Understanding:
    """Observations from a note. Any text is taken; nothing is dropped without being listed."""
    if not note.isascii():
        note = unicodedata.normalize("NFC", note)
    text, typed = _put_plainly(_SPACED.sub(_run_together, note[:LONGEST_NOTE]))
    text = _made_plain(vocabulary, text)
    # From here on a sentence is cut ever finer: each step parts what the one before left together,
    # and the last tells which stretches are not of the piece at all.
    segments, of_others = _segments(vocabulary, text)
    segments, of_other_things = parted_from_other_things(vocabulary, segments, of_others)
    parts = _parts(vocabulary, segments, _shouting(vocabulary, text))
    for at in told_in_general(vocabulary, segments) | of_other_things:
        parts[at] = silenced(parts[at])
    piece, other = _named_piece(vocabulary, parts, segments)
    told = settled_all(vocabulary, parts, segments, piece)
    by_part = ""
    if not piece and (by_part := type_by_its_parts(vocabulary, told)):
        # What the words mean may follow from the type of piece, so all is settled once more.
        piece = by_part
        told = settled_all(vocabulary, parts, segments, piece)
    of_the_type = [f'piece type taken as "{piece}", not "{other}"'] if other else []
    if by_part:
        of_the_type.append(f'piece type taken as "{piece}", which alone has such parts')
    remarked = _remarked(vocabulary, segments, parts, piece)
    told = _of_their_own_years(vocabulary, told, remarked)
    remarked += _faults_shown(vocabulary, segments, remarked, told)
    if typed or has_put_in(text):
        told = {
            place: replace(each, words=_as_typed(each.words, typed)) for place, each in told.items()
        }
    # Where no mark was found, a maker that is named was told, and not read.
    if any(part.mark_absent for part in parts):
        told = {place: as_told(vocabulary, each) for place, each in told.items()}
    observations = _observations(vocabulary, parts, told)
    observations += [each.observation for each in remarked]
    letters = {each.value for each in observations if each.feature == DATE_LETTER}
    account = _account(vocabulary, parts, told, observations, piece, remarked)
    account = [replace(each, words=_as_typed(each.words, typed)) for each in account]
    # What was read and came to nothing, as `no 0 clasp`, is not understood either.
    lost = sum(
        len(tokens_of(each.words, vocabulary.folding))
        for each in account
        if each.fate == "not-understood"
    )
    total = sum(part.total for part in parts)
    beyond = len(note) - LONGEST_NOTE
    if beyond > 0:
        account.append(Accounted(f"({beyond} more characters)", "not-understood"))
    return Understanding(
        piece_type=piece,
        observations=tuple(observations),
        not_understood=tuple(each.words for each in account if each.fate == "not-understood"),
        assumed=_assumed(parts, observations, of_the_type),
        words_total=total,
        words_understood=max(0, total - lost),
        marks=tuple(mark for part in parts for mark in part.marks if mark.text not in letters),
        account=tuple(account),
        type_by_part=bool(by_part),
        of_the_piece=(of_the_piece_alone(segments, of_other_things) if of_other_things else note),
    )


def _made_plain(vocabulary: Vocabulary, text: str) -> str:
    """The text with run-on sentences parted and without capitals that only shout, numbers that
    are written twice, and what a hallmark shows named as the rules name it.
    """
    text = with_hallmarks_named(vocabulary, text)
    text = without_capitals(vocabulary, _RUN_ON.sub(". ", text))
    if "(" in text:
        text = _TWICE.sub(lambda match: _once(vocabulary, match), text)
    return text


def _segments(vocabulary: Vocabulary, text: str) -> tuple[list[Segment], frozenset[int]]:
    """The stretches of a text that each say one thing, in order, and the places of those whose
    subject is somebody or something else.
    """
    segments = segments_of(
        text,
        lambda: vocabulary.abbreviations,
        lambda: vocabulary.numbering,
        lambda note: whole_names(vocabulary, note),
    )
    segments = with_answers(segments, vocabulary.denials, vocabulary.goings_on)
    segments = with_what_is_said_of(segments, vocabulary.said_of_before)
    if "which " in text:
        segments = with_exceptions(segments, vocabulary.excepting, vocabulary.relatives)
    segments = with_lists(vocabulary, _with_asides(vocabulary, segments))
    # By whole clauses, before what runs on is cut: a subject and its verb belong together.
    of_others: frozenset[int] = frozenset()
    # Most notes speak of nothing else and have no stretch so long: what takes clauses apart and
    # cuts stretches is not even loaded for them.
    if any(may_tell_of_others(vocabulary.subjects, each.text) for each in segments):
        from markrules.notes.subjects import of_other_subjects

        segments, of_others = of_other_subjects(vocabulary, segments)
    if any(each.may_run_on for each in segments):
        from markrules.notes.runon import parted

        segments, of_others = parted(vocabulary, segments, of_others)
    return segments, of_others


def _named_piece(
    vocabulary: Vocabulary, parts: list[Said], segments: list[Segment]
) -> tuple[str, str]:
    """The type of piece that the note names, and another that it names beside it; "" for none."""
    piece, other = piece_named(vocabulary, parts)
    if several := listed_together(vocabulary, parts, segments):
        piece, other = several, ""
    if not piece and segments:
        piece = inner_piece(vocabulary, segments[0].text)
    return piece, other


def _assumed(
    parts: list[Said], observations: list[Observation], of_the_type: list[str]
) -> tuple[str, ...]:
    """What was taken for granted, in words, each once; of the type of piece after the words."""
    assumed = [*(each for part in parts for each in part.assumed), *of_the_type]
    assumed += [
        f"{each.words}: {each.assumed}"
        for each in observations
        if each.assumed and each.assumed not in assumed
    ]
    return tuple(dict.fromkeys(assumed))


_TWICE = late(r"(?<![\w-])([^\W\d_]{3,9}) ?\(([0-9]{1,2})\)")
"""A number in words and, in brackets, in figures."""


def _once(vocabulary: Vocabulary, match: re.Match[str]) -> str:
    """A number that is written twice, in figures alone: `six (6)`. Any other word as it stands."""
    word, figures = match.groups()
    same = vocabulary.folding[word.casefold()] == str(int(figures))
    return figures if same else match[0]


def with_mark(vocabulary: Vocabulary, told: Understanding, words: str) -> Understanding:
    """What a note says where words of it that were not understood are a text on the piece.

    It is for what only the rest of the note shows to be one. The first such words are taken.
    """
    mark = Observation(MARK, words, certainty=vocabulary.sure, words=words)
    at = next(at for at, each in enumerate(told.account) if _is_left(each, words))
    account = list(told.account)
    account[at] = Accounted(words, "understood", (mark,))
    return replace(
        told,
        observations=(
            *(each for each in told.observations if (each.feature, each.state) != (MARK, "absent")),
            mark,
        ),
        not_understood=tuple(each.words for each in account if each.fate == "not-understood"),
        words_understood=told.words_understood + len(tokens_of(words, vocabulary.folding)),
        marks=(*told.marks, MarkText(words, certainty=vocabulary.sure)),
        account=tuple(account),
    )


def _is_left(each: Accounted, words: str) -> bool:
    return each.fate == "not-understood" and each.words == words


def _shouting(vocabulary: Vocabulary, note: str) -> bool:
    """Whether a note of several words is all in capitals, which then show no names.

    Two words are a mark, unless one of them names a piece: `NOVAK BRACELET`.
    """
    words = note.split()
    if note.upper() != note or note.lower() == note or len(words) < 2:
        return False
    if len(words) > 2:
        return True
    tokens = tokens_of(note, vocabulary.folding)
    found = (
        vocabulary.words.longest(tokens.folded, tokens.numeric, at) for at in range(len(tokens))
    )
    return any(each is not None and "piece" in each[1].kinds for each in found)


def _with_asides(vocabulary: Vocabulary, segments: list[Segment]) -> list[Segment]:
    """The segments, those that only say something of the one before joined to it.

    `signed HOBE, not sure` doubts the mark, `TRIF, can't read the rest` tells of more letters,
    `pearls, fake` of what kind they are, the year of `hallmarked Chester, 1887` is read off
    its date letter, and what follows `inscription,` in quotes is one.
    """
    joined: list[Segment] = []
    for each in segments:
        words = each.text.strip(" .()").casefold()
        if joined and each.goes_on and _names_the_maker(vocabulary, joined[-1].text):
            joined[-1] = joined[-1]._replace(text=f"{joined[-1].text.rstrip(' :')}: {each.text}")
        elif joined and (
            (each.goes_on and _is_aside(vocabulary, words))
            or (words in vocabulary.falsehoods and _names_material(vocabulary, joined[-1].text))
            or (
                each.goes_on
                and (_YEAR_ALONE.fullmatch(words) or each.text.strip()[:1] in _QUOTES)
                and _leads_to(vocabulary, joined[-1].text, each.text)
            )
        ):
            joined[-1] = joined[-1]._replace(text=f"{joined[-1].text} {each.text}")
        else:
            joined.append(each)
    return joined


def _names_the_maker(vocabulary: Vocabulary, text: str) -> bool:
    """Whether words are nothing but what leads to a maker's name: the first of `maker - Novak`."""
    if len(text) > _LONGEST_LEAD:
        return False
    words = tokens_of(text, vocabulary.folding).folded
    found = vocabulary.words.longest(words, [False] * len(words), 0) if words else None
    return found is not None and found[0] == len(words) and "made-by" in found[1].roles


_LONGEST_LEAD = 32
"""Letters of words that lead to a maker's name, at most."""


def _is_aside(vocabulary: Vocabulary, words: str) -> bool:
    """Whether words are nothing but a doubt or hearsay, with who has it: `but I'm not sure`."""
    if words in vocabulary.asides:
        return True
    said = vocabulary.subjects
    opening = said.begins | said.somebody | said.before_verb | said.finite
    first, _, rest = words.partition(" ")
    while rest and plain(first.partition("'")[0].partition("’")[0]) in opening:
        if rest in vocabulary.asides:
            return True
        first, _, rest = rest.partition(" ")
    return False


_YEAR_ALONE = late(r"(?:1[6-9]|20)[0-9]{2}(?:[/–-][0-9]{1,4})?", among=FIGURES)
"""A year, or two that one date letter stands for, and nothing else: `1906/7`."""


_QUOTES = ('"', "\N{LEFT DOUBLE QUOTATION MARK}", "\N{LEFT SINGLE QUOTATION MARK}", "'")
"""What the words of an inscription begin with."""


def _leads_to(vocabulary: Vocabulary, text: str, following: str) -> bool:
    """Whether the last word names an assay office, and no picture of something, or hallmarks, and
    a year follows; or an inscription, and its words in quotes do.
    """
    words = tokens_of(text, vocabulary.folding).folded
    node = vocabulary.words.first(words[-1]) if words else None
    senses = node.meaning.senses if node is not None else ()
    named = {each.name for each in senses}
    if following.strip()[:1] in _QUOTES:
        return any(each.kind == "value" and each.value == INSCRIPTION for each in senses)
    return not named.isdisjoint((DATE_OFFICE, HALLMARK_YEAR)) and named.isdisjoint(
        (*PICTURED_FEATURES, *DEVICE_FEATURES)
    )


def _names_material(vocabulary: Vocabulary, text: str) -> bool:
    """Whether a material is named of which there are false ones, and no text on the piece."""
    words = tokens_of(text, vocabulary.folding).folded
    found = [vocabulary.words.longest(words, [False] * len(words), at) for at in range(len(words))]
    senses = [sense for each in found if each is not None for sense in each[1].senses]
    return any(
        sense.kind == "value" and sense.name in vocabulary.false for sense in senses
    ) and not any(sense.kind == "role" and sense.name == "mark" for sense in senses)


def _parts(vocabulary: Vocabulary, segments: list[Segment], shouting: bool) -> list[Said]:
    kept = vocabulary.segments
    parts: list[Said] = []
    after_mark, denied, listed = False, 0, 0
    for at, (segment, goes_on, _, led_by) in enumerate(segments):
        after_mark = after_mark and goes_on
        if denied or listed:
            denied, listed = max(denied - 1, 0), max(listed - 1, 0)
        elif goes_on and parts and parts[-1].denies:
            denied = denial_goes_on(_runs(vocabulary, segments, at))
        elif goes_on and parts and parts[-1].denies_thing:
            listed = list_goes_on(_runs(vocabulary, segments, at))
        key = (segment, after_mark, shouting, denied > 0, listed > 0, led_by)
        part = kept.get(key)
        if part is None:
            plain = not (after_mark or denied or listed or led_by)
            short = one_phrase(vocabulary, segment) if plain else None
            part = short or said(
                vocabulary, segment, after_mark, shouting, denied > 0, listed > 0, led_by
            )
            if len(kept) >= MOST_KEPT:  # emptied at once: in a box the few common ones soon return
                kept.clear()
            if len(segment) < 300:
                kept[key] = part
        if not after_mark and at + 1 < len(segments) and _LIST_HEAD.fullmatch(segment):
            part = _as_neutral(part)  # by what follows, so that it is not kept with the segment
        parts.append(part)
        if part.either and after_mark and part.marks:
            _doubt_readings(vocabulary, segments, parts)
        after_mark = part.ends_in_mark
    return parts


def _as_neutral(part: Said) -> Said:
    """A number before an entry of a list, which tells nothing: `1. Brooch`."""
    account = tuple(replace(each, lot="neutral", order=()) for each in part.account)
    return replace(part, order=(), not_understood=(), total=0, understood=0, account=account)


def _doubt_readings(vocabulary: Vocabulary, segments: list[Segment], parts: list[Said]) -> None:
    """Make guesses of the texts before a last `or`: in `RAM, ARM or AAM` one at most is right."""
    at = len(parts) - 1
    while at >= 0 and len(parts[at].marks) == 1:
        part = parts[at]
        parts[at] = replace(
            part,
            marks=tuple(replace(each, certainty=vocabulary.least_sure) for each in part.marks),
            order=tuple(
                replace(each, certainty=vocabulary.least_sure)
                if isinstance(each, Observation) and each.feature == "mark"
                else each
                for each in part.order
            ),
        )
        if not segments[at].goes_on:
            return
        at -= 1


def _runs(
    vocabulary: Vocabulary, segments: list[Segment], at: int
) -> list[tuple[Tokens, list[Item]]]:
    """The words of this segment and of those that a comma joins to it, which a denial may reach."""
    runs: list[tuple[Tokens, list[Item]]] = []
    for segment in segments[at : at + MOST_DENIED]:
        if not segment.goes_on:
            break
        tokens = tokens_of(segment.text, vocabulary.folding)
        found = matched(vocabulary, tokens)
        unknown = (Item(index, index + 1) for index in found.unknown)
        runs.append((tokens, sorted([*found.items, *unknown])))
    return runs


def _observations(
    vocabulary: Vocabulary, parts: list[Said], told: dict[Place, Observation]
) -> list[Observation]:
    found: dict[tuple[str, str, str], Observation] = {}
    for settled in told.values():
        found.setdefault((settled.feature, settled.value, settled.state), settled)
    found.pop(("mark", "", "absent"), None)  # told in one place, and another may hold a mark
    for key in _named_elsewhere(vocabulary, found):
        del found[key]
    for feature, value, _ in [key for key in found if key[2] == "replaced"]:
        found.pop((feature, value, "seen"), None)
    for feature, value, state in list(found):  # a denial of damage in general: stones cracked ...
        if state == "ruled-out" and feature == "fault" and (feature, value, "seen") in found:
            del found[(feature, value, state)]
    marked = any(each.feature == "mark" and each.state == "seen" for each in found.values())
    if not marked and any(part.mark_absent for part in parts):
        found[("mark", "", "absent")] = no_mark(vocabulary)
    return _with_date_letter(parts, list(found.values()))


def _named_elsewhere(
    vocabulary: Vocabulary, found: Mapping[tuple[str, str, str], Observation]
) -> list[tuple[str, str, str]]:
    """What the bare word for a feature tells, where another word tells which it is: the enamel of
    `black enamel, enamel chipped`. A guess does not tell it.
    """
    return [
        (name, value, "seen")
        for name, value in vocabulary.unnamed
        if (told := found.get((name, value, "seen"))) is not None
        and vocabulary.folding[told.words.casefold().strip()] == vocabulary.folding[name]
        and any(
            feature == name
            and state == "seen"
            and (feature, other) not in vocabulary.unnamed
            and each.certainty != vocabulary.least_sure
            and not each.heard
            for (feature, other, state), each in found.items()
        )
    ]


def _account(
    vocabulary: Vocabulary,
    parts: list[Said],
    told: dict[Place, Observation],
    observations: list[Observation],
    piece: str,
    remarked: Remarked,
) -> list[Accounted]:
    """What became of every word, with what was made of it."""
    letters = {each.value: each for each in observations if each.feature == DATE_LETTER}
    account: list[Accounted] = []
    for index, part in enumerate(parts):
        for portion in _portions(part, index, told):
            found = [told[index, at] for at in portion.order if (index, at) in told]
            if letters:  # a letter by itself, taken for a date letter
                found = [letters.get(each.value, each) for each in found]
            fate = _fate(vocabulary, portion, found, piece)
            if fate == "understood" and _is_misspelt(vocabulary, portion.words):
                fate = "guessed"
            only = False
            if remarked and (of_remarks := _of_remarks(portion, index, remarked)):
                only = fate == "neutral"
                found += of_remarks
                fate = fate if fate == "guessed" else "understood"
            named = piece if _of_type(vocabulary, portion.pieces, piece) else ""
            little = fate == "neutral" and not found and portion.little
            said = tuple(_say(vocabulary, each) for each in found if each.feature == REMARK)
            told_so = Accounted(portion.words, fate, tuple(found), named, little, said, only)
            if account and portion.first and _one_turn(account[-1], told_so):
                words = f"{account[-1].words} {portion.words}"
                account[-1] = replace(
                    account[-1],
                    words=words,
                    piece=account[-1].piece or named,
                    only_remarks=account[-1].only_remarks and only,
                )
            else:
                account.append(told_so)
    return account


def _is_misspelt(vocabulary: Vocabulary, words: str) -> bool:
    """Whether one of these words is a slip of the pen that the rules list."""
    return not vocabulary.misspelt.isdisjoint(words.casefold().split())


def _portions(part: Said, index: int, told: dict[Place, Observation]) -> tuple[Portion, ...]:
    """The stretches of a segment, a word for a mark that came to nothing joined to what stands
    beside it and changes nothing either.
    """
    if not any(isinstance(each, Unread) for each in part.order):
        return part.account
    joined: list[Portion] = []
    beside = False
    for each in part.account:
        made = [at for at in each.order if (index, at) in told]
        lost = not made and any(isinstance(part.order[at], Unread) for at in each.order)
        portion = replace(each, lot="neutral", order=()) if lost else each
        before = joined[-1] if joined else None
        if before and (lost or beside) and _changes_nothing(before) and _changes_nothing(portion):
            joined[-1] = replace(
                before,
                words=f"{before.words} {portion.words}",
                quiet=before.quiet and portion.quiet,
                little=before.little and portion.little,
                end=portion.end,
            )
            continue
        joined.append(portion)
        beside = lost
    return tuple(joined)


def _changes_nothing(portion: Portion) -> bool:
    return portion.lot == "neutral" and not portion.order and not portion.pieces


def _one_turn(before: Accounted, after: Accounted) -> bool:
    """Whether words side by side tell of nothing but the same turns of phrase: one entry then."""
    return (
        before.fate == after.fate
        and bool(before.observations)
        and before.observations == after.observations
        and before.observations[0].feature == REMARK
        and all(each.feature in (REMARK, "fault") for each in before.observations)
    )


def _say(vocabulary: Vocabulary, remark: Observation) -> str:
    """What the rules say of a turn of phrase, to stand among other things: without its stop.
    Its name where they say nothing.
    """
    values = vocabulary.base.features[REMARK].values
    say = next(each.say for each in values if each.name == remark.value)
    return say.removesuffix(".") or remark.value.replace("-", " ")


def _of_type(vocabulary: Vocabulary, named: AbstractSet[str], piece: str) -> bool:
    """Whether words name the piece type, or one that it is a kind of: no coin on a bracelet."""
    if not named or not piece:
        return False
    return any(
        name == piece
        or name in vocabulary.base.broader(piece)
        or piece in vocabulary.base.broader(name)
        for name in named
    )


class ToldRemark(NamedTuple):
    """A remark, with the words that make it: the segment of each word, and its place in it.

    `years` holds, for the segments of years that are not of the piece, those years, and `of_year`
    the feature that they are of.
    """

    words: frozenset[Place]
    observation: Observation
    of_year: str = ""
    years: frozenset[tuple[int, int]] = frozenset()


Remarked: TypeAlias = list[ToldRemark]


def _of_their_own_years(
    vocabulary: Vocabulary, told: dict[Place, Observation], remarked: Remarked
) -> dict[Place, Observation]:
    """What was said, the years in it that a remark gives to something else as years of that.

    A year that is struck on something in the piece, or that of an event of which it is a keepsake,
    was read off it, also where it is merely named; one in which somebody had the piece was told,
    also where nobody is named who told it.
    """
    own = {each: remark.of_year for remark in remarked if remark.of_year for each in remark.years}
    if not own:
        return told
    features = vocabulary.base.features
    return {
        place: replace(
            each,
            feature=(of_year := own[place[0], each.years[0]]),
            heard=features[of_year].dates == WORN
            or (each.heard and features[of_year].dates not in READ_OFF),
        )
        if each.years and (place[0], each.years[0]) in own
        else each
        for place, each in told.items()
    }


def _remarked(
    vocabulary: Vocabulary, segments: list[Segment], parts: list[Said], piece: str
) -> Remarked:
    """What is remarked on the piece in the whole of the note, by the words that say so."""
    if not vocabulary.base.remarks:
        return []
    folds: list[tuple[str, ...]] = []
    left = MOST_WORDS
    for part in parts:
        folds.append(part.folds[:left])
        left -= len(folds[-1])
        if left <= 0:
            break
    places = [(index, at) for index, words in enumerate(folds) for at in range(len(words))]
    chain = vocabulary.base.broader(piece) if piece else ()
    parted_at = frozenset(at for at, segment in enumerate(segments) if segment.runs_on)
    return [
        ToldRemark(
            frozenset(places[at] for at in each.words),
            Observation(
                REMARK,
                each.value,
                certainty=vocabulary.sure,
                words=" ".join(dict.fromkeys(segments[places[at][0]].text for at in each.words)),
            ),
            each.of_year,
            frozenset(
                (index, int(folds[index][at][:4]))
                for index, at in (places[at] for at in each.years)
            ),
        )
        for each in vocabulary.remarks.made(folds, chain, parted_at, _phrases(vocabulary, parts))
    ]


def _faults_shown(
    vocabulary: Vocabulary,
    segments: list[Segment],
    remarked: Remarked,
    told: Mapping[Place, Observation],
) -> Remarked:
    """What remarks show of the condition, where their segments tell of no fault, seen or denied."""
    shows = vocabulary.remarks.shows
    if not any(remark.observation.value in shows for remark in remarked):
        return []
    faulty = {place[0] for place, each in told.items() if each.feature == "fault"}
    heard = {place[0] for place, each in told.items() if each.heard}
    shown: Remarked = []
    for remark in sorted(remarked, key=lambda each: len({index for index, _ in each.words})):
        fault = shows.get(remark.observation.value)
        at = {index for index, _ in remark.words}
        if fault is None or not faulty.isdisjoint(at):
            continue
        faulty |= at
        texts = (segments[index].text.strip(" .,;:!") for index in sorted(at))
        seen = Observation(
            "fault",
            fault,
            certainty=vocabulary.sure,
            heard=not heard.isdisjoint(at),
            words=", ".join(dict.fromkeys(texts)),
            assumed=ASSUMED,
        )
        shown.append(ToldRemark(remark.words, seen))
    return shown


def _phrases(vocabulary: Vocabulary, parts: list[Said]) -> list[tuple[int, int]]:
    """The stretches of the note's words that name one thing seen from which years follow."""
    found: list[tuple[int, int]] = []
    begins = 0
    for part in parts:
        for portion in part.account:
            if portion.end > portion.first + 1 and any(
                _names_a_thing(vocabulary, part.order[at]) for at in portion.order
            ):
                found.append((begins + portion.first, begins + portion.end))
        begins += len(part.folds)
    return found


def _names_a_thing(vocabulary: Vocabulary, said: Observation | Open | OpenFault | Unread) -> bool:
    """Whether what was said is a value of a feature that does more than describe, and no fault."""
    if isinstance(said, OpenFault | Unread):
        return False
    names = [said.feature] if isinstance(said, Observation) else [name for name, _ in said.choices]
    features = [vocabulary.base.features.get(name) for name in names]
    return any(
        each is not None and each.name != "fault" and not each.describes for each in features
    )


def _of_remarks(portion: Portion, index: int, remarked: Remarked) -> list[Observation]:
    """The remarks that words of a portion help to make."""
    return [
        each.observation
        for each in remarked
        if any((index, at) in each.words for at in range(portion.first, portion.end))
    ]


def _fate(vocabulary: Vocabulary, portion: Portion, seen: list[Observation], piece: str) -> Fate:
    if portion.lot == "unknown":
        return "not-understood"
    if not seen:
        if portion.pieces:
            of_it = _of_type(vocabulary, portion.pieces, piece)
            return "understood" if of_it else "neutral"
        lost = portion.lot == "said" and not portion.quiet
        return "not-understood" if lost else "neutral"
    idle = vocabulary.idle
    if all((each.feature, each.value) in idle for each in seen):
        return "neutral"
    return "guessed" if any(each.assumed for each in seen) else "understood"


def _with_date_letter(parts: list[Said], found: list[Observation]) -> list[Observation]:
    """A letter by itself is a date letter where an office was named and no date letter was."""
    named = {each.feature for each in found}
    letter = next((part.letter for part in parts if part.letter), "")
    if not letter or DATE_OFFICE not in named or DATE_LETTER in named:
        return found
    return [
        replace(each, feature=DATE_LETTER, assumed="a letter beside an office: the date letter")
        if each.feature == "mark" and each.value == letter
        else each
        for each in found
    ]
