"""The texts found in a segment, as marks: what they are, where they stand, what is beside them."""

from __future__ import annotations

import re
from dataclasses import replace

from markrules.knowledge.observation import State
from markrules.late import late
from markrules.named_tuple import NamedTuple
from markrules.notes.halfread import (
    WordsOfGaps,
    are_alternatives,
    as_one,
    beside,
    both_ends,
    in_part,
    one_of_two,
    with_torn_ends,
)
from markrules.notes.items import LINKS, Item
from markrules.notes.marktext import OR_TOLD, WrittenTexts
from markrules.notes.metalwords import with_qualifiers
from markrules.notes.saying import MarkText
from markrules.notes.tokens import QUOTE_SIGNS, QUOTED, Tokens, tokens_of
from markrules.notes.vocabulary import (
    DEVICE_FEATURES,
    INSCRIPTION,
    MARK_PREFIXES,
    PLACE_FEATURES,
    Vocabulary,
)

_QUOTED = late(QUOTED, among=QUOTE_SIGNS)
_AND = late(r"\s+and\s+", re.IGNORECASE)

LEAST_KNOWN = 4
"""Fewer letters that were cut in are an owner's initials, whoever else used them as a mark."""


_WHOLE_WORD = 4
"""Letters of a known word before a last `?` that is more likely whole than cut short."""


class TextRead(NamedTuple):
    """One text: seen, or ruled out where the segment denies it, with what was assumed.

    `certainty` is that of the segment, or the least one where the text is one of several readings
    of the same mark. `feature` is what it is a text of.
    """

    text: str
    state: State
    assumed: str
    certainty: str
    feature: str


class MarksRead(NamedTuple):
    """The texts of a segment.

    `feature` is mark, label, or a feature of texts that the segment names: that of the first text.
    `letter` holds a
    mark that is one letter by itself, `shaping` the first tokens of words that told which letters
    were not read. `owned` is the first token of the word by which something was cut in for an
    owner, below nought where nothing was: it tells of no ornament.
    """

    feature: str = "mark"
    texts: tuple[TextRead, ...] = ()
    marks: tuple[MarkText, ...] = ()
    letter: str = ""
    shaping: tuple[int, ...] = ()
    owned: int = -1


def read_marks(
    vocabulary: Vocabulary,
    tokens: Tokens,
    items: list[Item],
    written: WrittenTexts,
    negated: list[bool],
    certainty: str,
    heard: bool,
) -> MarksRead:
    """The marks of a segment from the places of its texts and symbols.

    `certainty` is how sure the writer was of the segment; `heard`: somebody only told it.
    """
    owner = _owner_lead(vocabulary, tokens, items, written)
    feature = INSCRIPTION if owner else _feature(vocabulary, tokens, items, written)
    features = _features_of(vocabulary, tokens, items, written, feature, owner)
    place, look = _about(tokens, items)
    texts: list[TextRead] = []
    marks: list[MarkText] = []
    shaping: list[int] = []
    for index, (start, end) in enumerate(written.places):
        feature = features[index]
        text, either = one_of_two(_as_written(vocabulary, tokens, start, end))
        denied = _denied(tokens, negated, start) or _is_missed(tokens, items, start)
        if not text:
            continue
        text = with_torn_ends(vocabulary, tokens, text)
        words = _reading_words(vocabulary, tokens, items, written, index)
        shaping += [each.first for each in words if each is not None]
        text = in_part(text, words)
        if feature == "mark" and not denied:
            text = with_qualifiers(vocabulary, tokens, items, (start, end), text)
        sure = vocabulary.least_sure if either else certainty
        if texts:
            place_before = written.places[index - 1]
            either_of = are_alternatives(tokens, items, place_before, (start, end))
            one = both_ends(texts[-1].text, text) if words.before is not None else ""
            one = one or (as_one(texts[-1].text, text) if either_of else "")
            if one:
                _change_last(texts, marks, text=one)
                continue
            if either_of:
                sure = vocabulary.least_sure
                _change_last(texts, marks, certainty=sure)
        assumed = written.assumed.get((start, end), "")
        if assumed == OR_TOLD and feature == "mark":
            sure = vocabulary.least_sure
        state: State = "ruled-out" if denied else "seen"
        texts.append(TextRead(text, state, assumed, sure, feature))
        if not denied and feature in ("mark", "label"):
            symbols = _symbols(tokens, written, index)
            marks.append(
                MarkText(text, look, symbols, sure, place, label=feature == "label", heard=heard)
            )
    if not written.places and not any(negated):
        symbols = tuple(tokens.text[start:end] for start, end in written.symbols)
        marks.append(MarkText("", look, symbols, certainty, place, heard=heard))
    read = _marks_read(features[0] if features else feature, texts, marks, shaping)
    return read._replace(owned=-1 if owner is None else owner.first)


def _reading_words(
    vocabulary: Vocabulary,
    tokens: Tokens,
    items: list[Item],
    written: WrittenTexts,
    index: int,
) -> WordsOfGaps:
    """The words beside a text that tell of letters not read. Those behind it that tell that some
    part was read are of the text after them where there is one, and a text that the rules know as
    it stands is whole: `STERLING is all I can read`.
    """
    start, end = written.places[index]
    words = beside(tokens, items, (start, end))
    if words.after is None or not words.after.role("part-letters"):
        return words
    whole = vocabulary.is_text(tokens.text[start:end])
    return words if index + 1 == len(written.places) and not whole else words._replace(after=None)


def _features_of(
    vocabulary: Vocabulary,
    tokens: Tokens,
    items: list[Item],
    written: WrittenTexts,
    feature: str,
    owner: Item | None,
) -> list[str]:
    """What each text is a text of. One right behind a word that leads to a mark is a mark, where
    the segment names another feature for another text: `marked 925 size 7`, `ring size 7 marked
    925`, and so is one before a feature behind which its own text stands: `STERLING and a size 7`.
    """
    if feature in ("mark", "label"):
        return [feature] * len(written.places)
    ordered = sorted(items, key=lambda item: item.first)
    found: list[str] = []
    own = next((item for item in ordered if _text_feature(vocabulary, item) == feature), None)
    behind = own is not None and any(
        start >= tokens.ends[own.end - 1] for start, _ in written.places
    )
    led, after = "mark" if behind and owner is None else feature, 0
    for start, _ in written.places:
        for index in range(after, len(ordered)):
            if tokens.starts[ordered[index].first] >= start:
                break
            after = index + 1
            item = ordered[index]
            named = feature if item is owner else _text_feature(vocabulary, item)
            if named:
                led = named
            elif item.role("mark"):  # `size marked 7` is no mark
                of = _text_feature(vocabulary, ordered[index - 1]) if index else ""
                beside = bool(of) and ordered[index - 1].end == item.first
                led = of if beside else "mark"
        found.append(led)
    return found


def _text_feature(vocabulary: Vocabulary, item: Item) -> str:
    """The feature of texts that an item names, save what was cut in for an owner; or nothing."""
    for sense in item.senses if "feature" in item.meaning.kinds else ():
        feature = vocabulary.feature(sense.name) if sense.kind == "feature" else None
        if feature is not None and feature.kind == "text" and feature.name != INSCRIPTION:
            return feature.name
    return ""


def _change_last(
    texts: list[TextRead], marks: list[MarkText], *, text: str = "", certainty: str = ""
) -> None:
    """Give what was read last, and the last mark, this text or certainty; the other stays."""
    last = texts[-1]
    texts[-1] = last._replace(text=text or last.text, certainty=certainty or last.certainty)
    marks[-1:] = [
        replace(each, text=text or each.text, certainty=certainty or each.certainty)
        for each in marks[-1:]
    ]


def _marks_read(
    feature: str, texts: list[TextRead], marks: list[MarkText], shaping: list[int]
) -> MarksRead:
    """All of it; one letter that stands alone may be the letter of a year."""
    single = (each.text for each in texts if len(each.text) == 1 and each.text.isalpha())
    return MarksRead(
        feature,
        tuple(texts),
        tuple(marks),
        next(single, "") if feature == "mark" else "",
        tuple(shaping),
    )


def doubted(vocabulary: Vocabulary, tokens: Tokens, start: int, end: int) -> bool:
    """Whether a `?` ends a text that the rules know, or whose last word they do: AUSTRIA? and
    NOVAK STERLING? are doubts, AUST? is a loss.
    """
    if tokens.text[end - 1] != "?":
        return False
    inner = tokens_of(tokens.text[start : end - 1], vocabulary.folding)
    for at in {0, len(inner) - 1} if inner else ():
        found = vocabulary.texts.longest(inner.folded, inner.numeric, at)
        if found is not None and found[0] == len(inner):
            return at == 0 or len(inner.folded[at]) >= _WHOLE_WORD
    return False


def _feature(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], written: WrittenTexts
) -> str:
    for item in items:
        if feature := _text_feature(vocabulary, item):
            return feature
    held = _holding(items, written) | _of_metal_tags(items) | written.claimed
    ends = _ends_of_phrases(items)
    for index in range(len(tokens)):
        found = vocabulary.labels.longest(tokens.folded, tokens.numeric, index)
        # `box clasp` begins with a word of labels, and is none
        if index not in held and found is not None and ends.get(index, found[0]) <= found[0]:
            return "label" if written.places else "mark"
    return "mark"


def _of_metal_tags(items: list[Item]) -> frozenset[int]:
    """The words of a phrase that tells where on a piece its mark stands: `on a metal hang tag`."""
    phrases = (item for item in items if item.value_of(*PLACE_FEATURES) and not item.role("label"))
    return frozenset(index for item in phrases for index in range(item.first, item.end))


def _ends_of_phrases(items: list[Item]) -> dict[int, int]:
    """Where the phrase ends that tells of the piece, for each word of it."""
    phrases = (item for item in items if item.means("value"))
    return {index: item.end for item in phrases for index in range(item.first, item.end)}


def _holding(items: list[Item], written: WrittenTexts) -> frozenset[int]:
    """The words of what a marked piece lies in: `marked NOVAK in a box`, not `on the box`.

    They stand as one phrase with the word that leads to them, behind the text, and the text behind
    a word such as `marked`.
    """
    if not written.claimed:
        return frozenset()
    first, last = min(written.claimed), max(written.claimed)
    if not any(item.role("mark", "mark-noun") and item.end <= first for item in items):
        return frozenset()
    phrases = (item for item in items if item.first > last and item.means("value"))
    return frozenset(index for item in phrases for index in range(item.first + 1, item.end))


def _owner_lead(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], written: WrittenTexts
) -> Item | None:
    """The word by which the first text was cut in for an owner: `engraved Susan`, `monogram JM`.

    A word of inscriptions leads to it with nothing but little words between, and it is no text
    that the rules know, save for initials and given names: those may be anybody's.
    """
    if not written.claimed:
        return None
    first = min(written.claimed)
    before = [item for item in items if item.end <= first]
    while before and _passed_over(before[-1]):
        before.pop()
    lead = before[-1] if before else None
    if lead is not None and _initials_there(tokens, items, lead, written):
        return lead
    if any(
        (item.role("mark") and not _initials(tokens, item, first)) or _of_lettering(item)
        for item in items
        if item is not lead
    ):
        return None
    if lead is None or all(
        each.kind != "feature" or each.name != INSCRIPTION for each in lead.senses
    ):
        return None
    if any(index in written.claimed for index in range(lead.first, lead.end)):
        return None
    if not any(map(str.isalpha, tokens.slice(first, max(written.claimed) + 1))):
        return None
    return lead if _anybodys(vocabulary, tokens, first) else None


def _initials_there(tokens: Tokens, items: list[Item], lead: Item, written: WrittenTexts) -> bool:
    """Whether a word for initials leads to a few letters, beside a thing that bears its owner's:
    `initials JHB on a signet`. One that is marked with them, or whose maker's they are, bears a
    mark.
    """
    if not lead.role("initials") or not any(each.role("bears-initials") for each in items):
        return False
    if any(each.role("mark", "made-by") or _of_lettering(each) for each in items):
        return False
    text = tokens.slice(min(written.claimed), max(written.claimed) + 1)
    letters = sum(map(str.isalpha, text))
    return 0 < letters < LEAST_KNOWN and text.isupper() and not any(map(str.isdigit, text))


def _initials(tokens: Tokens, item: Item, first: int) -> bool:
    """Whether what else is short for `marked` stands behind the text in capitals: JB to MK."""
    text = tokens.slice(item.first, item.end)
    return item.first > first and len(text) <= LEAST_KNOWN and text.isupper()


def _anybodys(vocabulary: Vocabulary, tokens: Tokens, first: int) -> bool:
    """Whether the text that begins there is none that the rules know of a maker, or so short, or
    such a name, that it may be anybody's.
    """
    known = vocabulary.texts.longest(tokens.folded, tokens.numeric, first)
    if known is None:
        return True
    name, rest = tokens.folded[first], range(first + 1, known[0])
    if name in vocabulary.given_names and all(tokens.numeric[index] for index in rest):
        return True
    return sum(map(str.isalpha, tokens.slice(first, known[0]))) < LEAST_KNOWN


def _passed_over(item: Item) -> bool:
    """Whether words may stand between the word of an inscription and its text: `on the back`,
    `from Mother to`.
    """
    if item.value_of(*PLACE_FEATURES):
        return True
    return item.role("filler", "count", "person", "giver", *LINKS) and not item.means("feature")


def _of_lettering(item: Item) -> bool:
    """Whether a phrase tells what the mark is, or how it is lettered: `maker's initials`."""
    return any(
        each.kind == "value"
        and each.name.startswith(MARK_PREFIXES)
        and each.name not in PLACE_FEATURES
        for each in item.senses
    )


def _about(tokens: Tokens, items: list[Item]) -> tuple[str, tuple[str, ...]]:
    """Where the segment's text stands, and words of its lettering, as written."""
    places: list[str] = []
    words: list[str] = []
    for item in items:
        for sense in item.senses:
            if sense.kind != "value" or not sense.name.startswith(MARK_PREFIXES):
                continue
            if sense.name in PLACE_FEATURES:
                places.append(tokens.slice(item.first, item.end))
            elif sense.name not in DEVICE_FEATURES:
                words.append(tokens.slice(item.first, item.end))
    return " ".join(dict.fromkeys(places)), tuple(dict.fromkeys(words))


def _symbols(tokens: Tokens, written: WrittenTexts, index: int) -> tuple[str, ...]:
    """The devices that stand with a text: those after it, and for the first also those before."""
    following = [*written.places[index + 1 :], (len(tokens.text), 0)][0][0]
    begin = written.places[index][0] if index else 0
    return tuple(
        tokens.text[start:end] for start, end in written.symbols if begin <= start < following
    )


def _denied(tokens: Tokens, negated: list[bool], start: int) -> bool:
    return any(
        negated[index] and tokens.starts[index] <= start < tokens.ends[index]
        for index in range(len(tokens))
    )


def _is_missed(tokens: Tokens, items: list[Item], start: int) -> bool:
    """Whether a text stands within words that tell that no mark is there: `no Novak mark`."""
    return any(
        item.role("absent") and tokens.starts[item.first] <= start < tokens.ends[item.end - 1]
        for item in items
    )


def _as_written(vocabulary: Vocabulary, tokens: Tokens, start: int, end: int) -> str:
    """A text without its quotes, without commas and colons at its ends, or a writer's doubt."""
    text = tokens.text[start:end].strip(" ,;:")
    if _QUOTED.fullmatch(text):
        text = text[1:-1].strip()
    if doubted(vocabulary, tokens, start, end) and text.endswith("?"):
        text = text[:-1].rstrip()
    return with_its_sign(vocabulary, text)


def with_its_sign(vocabulary: Vocabulary, text: str) -> str:
    """The text of a listed maker's name with the sign that people write out: `Butler & Wilson`."""
    signed = _AND.sub(" & ", text)
    if signed == text:
        return text
    tokens = tokens_of(text, vocabulary.folding)
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, 0) if tokens else None
    if found is None or found[0] != len(tokens):
        return text
    names: set[str] = set()
    for maker in (each.name for each in found[1].senses if each.kind == "maker"):
        entry = vocabulary.base.makers[maker]
        names.update(map(str.casefold, (entry.title, *entry.also)))
        names.update(mark.text.casefold() for mark in entry.marks)
    return signed if signed.casefold() in names and text.casefold() not in names else text
