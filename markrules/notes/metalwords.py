"""Words right beside a mark of metal that say that not all of the piece is of it: `marked 14k top`.

Such words are told of the piece as well (posts, a clasp): the mark only bears them along, so that
what it claims is not read without them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markrules.late import late
from markrules.notes.matching import LINKS, Item
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import FINISH, METAL_FEATURES, PLACE_FEATURES, Vocabulary

_PARTED = ",;:()"
"""What stands between two words that are not told in one breath."""


def with_qualifiers(
    vocabulary: Vocabulary, tokens: Tokens, items: Sequence[Item], place: tuple[int, int], text: str
) -> str:
    """The text at this place with the words that qualify it, where it is a mark of metal."""
    inside = [at for at in range(len(tokens)) if place[0] <= tokens.starts[at] < place[1]]
    if not inside:
        return text
    first, end = inside[0], inside[-1] + 1
    by_token = {at: item for item in items for at in range(item.first, item.end)}
    if any(_metal(vocabulary, tokens, at) == end for at in inside):
        after = end
        for step in _steps(vocabulary, tokens, by_token, after):
            after = step
        if after > end:
            text = f"{text} {tokens.slice(end, after)}"
    if _metal(vocabulary, tokens, first):
        before = first
        while (
            before
            and _beside(tokens, before)
            and _qualifies(vocabulary, by_token, tokens, before - 1)
        ):
            before -= 1
        if before < first:
            text = f"{tokens.slice(before, first)} {text}"
    return text


def qualified(vocabulary: Vocabulary, tokens: Tokens, items: Sequence[Item], item: Item) -> str:
    """What stands right beside a metal that is told with its fineness: `not-all` where a word says
    that not all of the piece is of it (`14k gold facing`), `unknown` where nothing names the word
    (`14k gold zorb`), else nothing.
    """
    if not any(any(map(str.isdigit, tokens.raw(at))) for at in range(item.first, item.end)):
        return ""
    by_token = {at: other for other in items for at in range(other.first, other.end)}
    at, before = item.end, item.first - 1
    strange = False
    if at < len(tokens) and _beside(tokens, at):
        other = by_token.get(at)
        coat = _coat_behind(by_token, other)
        if coat is not None and _beside(tokens, coat.first):
            return "not-all"  # `heavy layered`
        if tokens.folded[at] in vocabulary.metal_parts and not (other and other.means("piece")):
            return "not-all"  # a part of its own: `14k gold rim`
        if (other is None or _covers(other)) and _tells_of_part(vocabulary, tokens, at):
            # R.G. is rolled gold, or red gold
            return "unknown" if other and other.value_of(*METAL_FEATURES) else "not-all"
        strange = other is None and tokens.raw(at).islower()
    if before >= 0 and _beside(tokens, item.first):
        other = by_token.get(before)
        if other is not None and (other.role("coat") or other.value_of(FINISH)):
            return "not-all"
        if other is None and vocabulary.is_qualifier(tokens.raw(before)):
            return "not-all"
        strange = strange or (other is None and tokens.raw(before).islower())
    return "unknown" if strange else ""


_WORD = late(r"\s*([^\s,;:()]+)")
_FRACTION = late(r"\d+/\d+")


def _tells_of_part(vocabulary: Vocabulary, tokens: Tokens, at: int) -> bool:
    """Whether the word at a token, with its stops, qualifies, or is the share of a coat (1/20)."""
    word = _WORD.match(tokens.text, tokens.starts[at])
    return word is not None and (
        _FRACTION.fullmatch(word[1]) is not None or vocabulary.is_qualifier(word[1])
    )


def _covers(item: Item) -> bool:
    """Whether words tell of a coat, as `plate` does, or are known for no more than describing."""
    if item.role("filler", *LINKS) or item.means("piece"):
        return False
    return item.role("coat", "describing") or item.value_of(FINISH)


def _metal(vocabulary: Vocabulary, tokens: Tokens, at: int) -> int:
    """Where a spelling of a mark of metal ends that begins at this token; 0 where none does."""
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, at)
    if found is None:
        return 0
    metals = vocabulary.base.metal_marks
    told = any(sense.kind == "number" and sense.name in metals for sense in found[1].senses)
    return found[0] if told else 0


def _steps(
    vocabulary: Vocabulary, tokens: Tokens, by_token: dict[int, Item], at: int
) -> Iterator[int]:
    """The ends, one after the other, of the words from a token on that qualify."""
    while at < len(tokens) and _beside(tokens, at):
        item = by_token.get(at)
        follows = at + 1 < len(tokens) and _beside(tokens, at + 1)
        share = "/" in tokens.folded[at] and tokens.numeric[at]  # 9ct 1/20
        if share or tokens.folded[at] in vocabulary.metal_parts:
            at += 1
        elif item is not None and item.role("filler", *LINKS) and not item.means("value"):
            # `on brass`, but not `on the back`, nor `on it`
            of = by_token.get(item.end)
            known = vocabulary.is_qualifier(tokens.slice(at, item.end))
            if not known or of is None or not of.value_of(*METAL_FEATURES):
                return
            at = of.end
        elif (coat := _coat_behind(by_token, item)) and _beside(tokens, coat.first):
            at = coat.end  # 14kt heavy layered
        elif tokens.numeric[at] and follows and _qualifies(vocabulary, by_token, tokens, at + 1):
            at += 2  # 9ct 5 microns
        elif _qualifies(vocabulary, by_token, tokens, at):
            at = item.end if item is not None else at + 1
        else:
            return
        yield at


def _coat_behind(by_token: dict[int, Item], item: Item | None) -> Item | None:
    """The word for a coat right behind a word that only says how it is."""
    following = by_token.get(item.end) if item is not None and item.means("value") else None
    return following if following is not None and following.role("coat") else None


def _beside(tokens: Tokens, at: int) -> bool:
    """Whether nothing parts a token from the one before it."""
    between = tokens.text[tokens.ends[at - 1] : tokens.starts[at]]
    return not any(sign in between for sign in _PARTED)


def _qualifies(vocabulary: Vocabulary, by_token: dict[int, Item], tokens: Tokens, at: int) -> bool:
    """Whether a word, or the phrase that it belongs to, qualifies, as one in small letters that
    nothing names may; the place of a mark does not.
    """
    item = by_token.get(at)
    if tokens.folded[at] in vocabulary.metal_parts:
        return item is None or not item.means("piece")
    if item is None:
        return vocabulary.is_qualifier(tokens.raw(at)) or tokens.raw(at).islower()
    if item.value_of(*PLACE_FEATURES) or item.role("filler", "mark", "mark-noun", *LINKS):
        return False
    return vocabulary.is_qualifier(tokens.slice(item.first, item.end)) or any(
        vocabulary.is_qualifier(tokens.raw(each)) for each in range(item.first, item.end)
    )
