"""Makers that a segment names."""

from __future__ import annotations

from markrules.knowledge.observation import (
    ASKED,
    ASKED_IF_MARK,
    MAYBE_MAKER,
    TOLD_MAKER,
    Observation,
)
from markrules.notes.inflected_names import inflected_name
from markrules.notes.items import LINKS, Item
from markrules.notes.markreading import with_its_sign
from markrules.notes.marktext import ON_PIECE
from markrules.notes.matching import Matched
from markrules.notes.others_names import is_owners, leads_to_a_piece, likening
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.vocabulary import MARK_FORM, MARK_KIND, PLACE_FEATURES, STAMP, Vocabulary

LEAST_NAME = 3
"""A name of fewer letters is not taken for a maker's where nothing says that it is a mark."""

_LEAST_LOWER = 4
"""The same for a name in small letters, which may be any word."""


def named_makers(
    vocabulary: Vocabulary, tokens: Tokens, matched: Matched, certainty: str, heard: bool
) -> list[Observation]:
    """Makers named where nothing says that the name was read off the piece.

    Where the segment says that somebody told it (`heard`), they are kept as told. Otherwise the
    name of a listed maker is probably the mark, and so is an unknown name with a place for marks
    beside it (`Novak on the clips`). Another word with a capital that stands before the piece is
    kept as one that may be a maker's name. A name that is only likened to, or denied, names no
    maker.
    """
    named: list[Observation] = []
    _take_names_of_praise(vocabulary, tokens, matched)
    ending = {item.end: item for item in matched.items}
    for index in tuple(matched.unknown):
        if index not in matched.unknown:
            continue
        inflected = inflected_name(vocabulary, tokens, index, ending.get(index))
        found = inflected or vocabulary.texts.longest(tokens.folded, tokens.numeric, index)
        makers = [each.name for each in found[1].senses if each.kind == "maker"] if found else []
        by = _named_after(tokens, matched, ending, index)
        known = found[0] if found is not None and makers else 0
        if by > known and sum(map(str.isalnum, tokens.slice(index, known))) < LEAST_NAME:
            known, makers = 0, []  # the first letter of a name, and not the maker of that letter
        end = known or by or _placed(tokens, matched, index)
        before = 0
        if end == index:
            end = before = _maybe_named(vocabulary, tokens, matched, index)
        written = tokens.slice(index, end)
        words = inflected[2] if inflected is not None and end == inflected[0] else written
        letters = sum(map(str.isalnum, words))
        upper = tokens.raw(index)[0].isupper()
        if end == index or letters < (LEAST_NAME if upper else _LEAST_LOWER):
            continue
        if not upper and end == index + 1 and tokens.folded[index] in vocabulary.no_slips:
            continue  # a miracle, and not the maker of that name
        matched.unknown[:] = [other for other in matched.unknown if not index <= other < end]
        matched.items.append(Item(index, end))
        likened = likening(vocabulary, tokens, index, end)
        if likened:
            for other in [each for each in matched.unknown if each in likened]:
                matched.unknown.remove(other)
                matched.items.append(Item(other, other + 1))
            continue
        any_word = by and not (upper or makers) and _by_behind_a_piece(ending, index)
        if before > index or any_word:
            known_text = found is not None and found[0] == end  # Déposé brooch
            named.append(_maybe(vocabulary, words, certainty if known_text else None))
        elif heard and (makers or by) and TOLD_MAKER in vocabulary.base.features:
            title = vocabulary.base.makers[makers[0]].title if makers else words
            named.append(
                Observation(TOLD_MAKER, title, heard=True, certainty=certainty, words=written)
            )
        elif not heard and _stands_on_it(tokens, matched, end):
            text = with_its_sign(vocabulary, words)
            named.append(
                Observation("mark", text, certainty=certainty, words=written, assumed=ON_PIECE)
            )
        elif not heard and not is_owners(vocabulary, tokens, matched, index, end):
            sure = certainty if certainty != vocabulary.sure else vocabulary.fairly_sure
            # In the possessive it may be whose it was.
            sure = vocabulary.least_sure if inflected is not None and inflected[3] else sure
            text = with_its_sign(vocabulary, words)
            named.append(Observation("mark", text, certainty=sure, words=written, assumed=ASKED))
    return named


def _maybe(vocabulary: Vocabulary, words: str, as_text: str | None) -> Observation:
    """Words that may be a maker's name, of which it is asked whether they stand on the piece; or,
    where the rules know them for a text that pieces bear, that text, as sure as `as_text`.
    """
    if as_text is not None:
        return Observation("mark", words, certainty=as_text, words=words, assumed=ON_PIECE)
    return Observation(
        MAYBE_MAKER,
        words,
        certainty=vocabulary.least_sure,
        heard=True,
        words=words,
        assumed=ASKED_IF_MARK.format(name=words),
    )


def _take_names_of_praise(vocabulary: Vocabulary, tokens: Tokens, matched: Matched) -> None:
    """Leave open a maker's name that is a word of praise too, where a place for marks follows.

    `Swank on the back` is a mark, `a swank brooch` is none.
    """
    for item in tuple(matched.items):
        if not item.role("filler") or item.means("value") or item.end != item.first + 1:
            continue
        found = vocabulary.texts.longest(tokens.folded, tokens.numeric, item.first)
        if found is None or found[0] != item.end or "maker" not in found[1].kinds:
            continue
        if _placed(tokens, Matched(matched.items, [item.first]), item.first) == item.end:
            matched.items.remove(item)
            matched.unknown.append(item.first)
            matched.unknown.sort()


def as_told(vocabulary: Vocabulary, each: Observation) -> Observation:
    """A maker's name that was only taken for the mark, on a piece that is said to have none."""
    if each.assumed != ASKED or TOLD_MAKER not in vocabulary.base.features:
        return each
    tokens = tokens_of(each.value, vocabulary.folding)
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, 0)
    makers = [sense.name for sense in found[1].senses if sense.kind == "maker"] if found else []
    title = vocabulary.base.makers[makers[0]].title if makers else each.value
    return Observation(TOLD_MAKER, title, heard=True, certainty=each.certainty, words=each.words)


def _named_after(tokens: Tokens, matched: Matched, ending: dict[int, Item], index: int) -> int:
    """The end of an unknown name in capitals after `by` or `maker`; 0 where it is none. `ending`
    holds the items by where they end.

    One word such as `by` counts at the beginning, after a piece and after what was told: what was
    worn by somebody was not made by them. A name of one word in small letters counts where it ends
    the segment behind several words, a colon, the first one or a piece: `made by novak`, `maker:
    novak`, `bracelet by novak`.
    """
    before = ending.get(index)
    if before is None or not before.role("made-by"):
        return 0
    if before.end == before.first + 1 and before.first:
        led = ending.get(before.first)
        if led is None or not (led.means("piece") or led.role("told", "filler")):
            return 0
    colon = ":" in tokens.text[tokens.ends[index - 1] : tokens.starts[index]]
    small = before.end > before.first + 1 or _by_behind_a_piece(ending, index)
    if index + 1 == len(tokens) and (colon or small or not before.first):
        return index + 1
    end = index
    while end < len(tokens) and end in matched.unknown and tokens.raw(end)[0].isupper():
        end += 1
        follows = end + 1 in matched.unknown and tokens.raw(end + 1)[0].isupper()
        if follows and tokens.raw(end) == "&":
            end += 1
    return end if end > index else 0


def _by_behind_a_piece(ending: dict[int, Item], index: int) -> bool:
    """Whether one word such as `by` stands before a word, and a piece before that: `pin by novak`.

    In small letters what follows may be any word: `pin by candlelight`.
    """
    before = ending.get(index)
    led = ending.get(before.first) if before is not None else None
    if before is None or led is None or not before.role("made-by"):
        return False
    return before.end == before.first + 1 and led.means("piece")


def _placed(tokens: Tokens, matched: Matched, index: int) -> int:
    """The end of an unknown name in capitals that a place for marks follows, or how it is lettered
    (`Novak in script`), or a word that says it is signed, joined to it: `Novak-signed`; else its
    start.
    """
    end = index
    while end in matched.unknown and tokens.raw(end)[0].isupper():
        end += 1
    return end if end > index and _stands_on_it(tokens, matched, end) else index


def _stands_on_it(tokens: Tokens, matched: Matched, end: int) -> bool:
    """Whether what follows a name tells that the name stands on the piece."""
    return _stands_at(matched, end) or _joined_to_signed(tokens, matched, end)


def _joined_to_signed(tokens: Tokens, matched: Matched, end: int) -> bool:
    """Whether a hyphen joins a name to a word that says a mark is there: `Novak-signed`."""
    behind = next((item for item in matched.items if item.first == end), None)
    if behind is None or not behind.role("signed", "marked"):
        return False
    return tokens.text[tokens.ends[end - 1] : tokens.starts[end]] in _HYPHENS


_HYPHENS = ("-", "‐", "‑", "–")

_LEAST_BEFORE = 4
"""Letters of a name that nothing but its place tells."""


def _before_a_piece(vocabulary: Vocabulary, tokens: Tokens, matched: Matched, index: int) -> int:
    """The end of unknown words in capitals that begin what is said, or follow a known word, and
    stand before a piece with nothing between but what describes it: `Grandstaff crown pin`; else
    where they start. Endings of the rules tell words that are no names: `Gorgeous pin`.
    """
    end = index
    if MAYBE_MAKER not in vocabulary.base.features:
        return index
    while end in matched.unknown and _like_a_name(vocabulary, tokens, end):
        end += 1
    if end == index or sum(map(str.isalpha, tokens.slice(index, end))) < _LEAST_BEFORE:
        return index
    ending = {item.end: item for item in matched.items}
    led = ending.get(index)
    if index and (led is None or led.role("link", "person", "giver", "place-noun", "told")):
        return index
    return end if leads_to_a_piece(vocabulary, tokens, matched, end) else index


def _maybe_named(vocabulary: Vocabulary, tokens: Tokens, matched: Matched, index: int) -> int:
    """The end of words that may be a maker's name by where they stand; else where they start."""
    end = _before_a_piece(vocabulary, tokens, matched, index)
    return end if end > index else _alone(vocabulary, tokens, matched, index)


_MOST_ALONE = 3
"""Words of a name that stands by itself between two commas; more are something said."""


def _alone(vocabulary: Vocabulary, tokens: Tokens, matched: Matched, index: int) -> int:
    """The end of unknown words in capitals that are all that stands between two commas: `brooch,
    Grandstaff`; else where they start.
    """
    end = len(tokens)
    if MAYBE_MAKER not in vocabulary.base.features or index or end > _MOST_ALONE:
        return index
    if not all(
        each in matched.unknown and _like_a_name(vocabulary, tokens, each) for each in range(end)
    ):
        return index
    return end if sum(map(str.isalpha, tokens.slice(0, end))) >= _LEAST_BEFORE else index


def _like_a_name(vocabulary: Vocabulary, tokens: Tokens, index: int) -> bool:
    """Whether a word is written as a name is: a capital first and small letters, or capitals."""
    word = tokens.raw(index)
    if not (word.isalpha() and word[0].isupper() and (word[1:].islower() or word.isupper())):
        return False
    return not word.casefold().endswith(vocabulary.no_name_ends)


def _stands_at(matched: Matched, end: int) -> bool:
    """Whether a place for marks follows right behind a name, a word for what kind of mark it is
    (`Novak hallmark`), or how it is lettered, little words passed over: `Novak in block letters`.
    """
    behind = {item.first: item for item in matched.items}
    item = behind.get(end)
    if item is not None and (item.value_of(*PLACE_FEATURES, MARK_KIND) or _is_mark(item)):
        return True
    while item is not None and not item.means("value") and item.role("filler", *LINKS):
        item = behind.get(item.end)
    return item is not None and item.value_of(MARK_FORM)


def _is_mark(item: Item) -> bool:
    """Whether words name a mark and nothing else, as `mark on the back` does."""
    return all(each.kind == "role" for each in item.senses) and any(
        each.name == "thing" and each.value == STAMP for each in item.senses
    )
