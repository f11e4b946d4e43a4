"""Words right beside a mark of metal that say that not all of the piece is of it: `marked 14k top`.

Such words are told of the piece as well (posts, a clasp): the mark only bears them along, so that
what it claims is not read without them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markrules.language.roles import DAMAGE_ROLES
from markrules.late import late
from markrules.notes.items import LINKS, Item
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import (
    FINISH,
    METAL_FEATURES,
    PICTURED_FEATURES,
    PLACE_FEATURES,
    Vocabulary,
)

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
            if _is_of_the_piece(by_token, first, step):
                break
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


def _is_of_the_piece(by_token: dict[int, Item], first: int, end: int) -> bool:
    """Whether a mark right behind the type of piece is told of it, and the part that follows, up to
    `end`, of what is wrong with it: `necklace 12K GF clasp bent`, `brooch marked 9CT pin bent`.
    """
    before, behind = by_token.get(first - 1), by_token.get(end)
    if before is not None and before.role("mark"):
        before = by_token.get(before.first - 1)
    return (
        before is not None
        and before.means("piece")
        and behind is not None
        and behind.role(*DAMAGE_ROLES)
    )


def qualified(vocabulary: Vocabulary, tokens: Tokens, items: Sequence[Item], item: Item) -> str:
    """What stands right beside a metal that is told with its fineness: `not-all` where a word says
    that not all of the piece is of it (`14k gold facing`), `unknown` where nothing names the word
    (`14k gold zorb`), else nothing.
    """
    if not _counted(tokens, item):
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
            trims = vocabulary.is_qualifier(tokens.raw(at))
            if trims or not _piece_at(tokens, by_token, at + 1):
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


_LONGEST_PART = 4
_MOST_BETWEEN = 3
"""Words from a metal's part to the type of piece that both belong to: gold *bezel name ring*."""
_TOLD_OF = frozenset(("of", "in", "is", "are", "was", "were", "made", "the", "a", "its", "from"))
"""What may stand between a part and the metal that is told of it: `letters in silver`."""
_IS = frozenset(("is", "are", "was", "were"))
_BEARING = frozenset(("with", "w", "has", "having"))
"""What leads to a thing that a piece has besides: `bangle with a gold heart`."""


def of_a_part(vocabulary: Vocabulary, tokens: Tokens, items: Sequence[Item], item: Item) -> str:
    """Whether a metal is told of a part or an ornament and not of the piece: `part` where it is
    (`silver clasp`, `letters in gold`, `18ct on the rim`, `with a gold heart`), `perhaps` where it
    may be (`14k gold heart`, `gold beads`), else nothing.

    Where the type of piece follows (`gold bezel ring`), it is the piece's.
    """
    if not _noble(vocabulary, tokens, item):
        return ""
    by_token = {at: other for other in items for at in range(other.first, other.end)}

    at = item.end
    end = _part_at(vocabulary, tokens, at)
    named = 0 < end < len(tokens) and len(tokens.raw(end)) == 1 and tokens.raw(end).isupper()
    if end and not named and not _piece_at(tokens, by_token, end):  # a gold letter C
        other = by_token.get(at)
        return "perhaps" if other is not None and other.means("piece") else "part"
    if at < len(tokens) and _beside(tokens, at) and tokens.folded[at] == "on":
        place = by_token.get(at)
        on = next((k for k in range(at + 1, len(tokens)) if tokens.folded[k] not in _TOLD_OF), at)
        pictured = (shown := by_token.get(on)) is not None and shown.value_of(*PICTURED_FEATURES)
        if (place is None or not place.value_of(*PLACE_FEATURES)) and (
            pictured or _part_at(vocabulary, tokens, on)
        ):
            return "part"
    following = by_token.get(at)
    last = at == len(tokens) or not _beside(tokens, at)  # in silver links
    last = last or (following is not None and following.role("filler", *LINKS))
    if last and (told := _part_told(vocabulary, tokens, by_token, item)):
        return told
    after = by_token.get(at)
    if after is None or _piece_at(tokens, by_token, after.end):
        return ""
    return _of_an_ornament(vocabulary, tokens, by_token, item)


def _piece_at(tokens: Tokens, by_token: dict[int, Item], at: int) -> bool:
    """Whether the type of piece follows, after a word or two: `gold bezel ring`."""
    for ahead in range(at, min(at + _MOST_BETWEEN, len(tokens))):
        other = by_token.get(ahead)
        if not _beside(tokens, ahead) or (other is not None and other.role(*LINKS)):
            return False
        if other is not None and other.means("piece"):
            return True
    return False


def _noble(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> bool:
    """Whether a metal is one that marks of metal are of; which other one a part is of tells of the
    piece all the same (a pinchbeck clasp).
    """
    base = vocabulary.base
    metals = set(base.marked_metals) - _NO_METAL
    named = [sense.value for sense in item.senses if sense.name in METAL_FEATURES]
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, item.first)
    stamped = {sense.name for sense in found[1].senses if sense.kind == "number"} if found else ()
    return any(base.metal_of(name) in metals for name in stamped) or any(
        metals.intersection(value.split("-")) for value in named
    )


_NO_METAL = frozenset(("base", "none"))


def _part_at(vocabulary: Vocabulary, tokens: Tokens, at: int) -> int:
    """Where the words for a part end that begin at this token, right behind the last; else 0."""
    for length in range(min(_LONGEST_PART, len(tokens) - at), 0, -1):
        if tuple(tokens.folded[at : at + length]) in vocabulary.parts_in_words:
            return at + length if all(_beside(tokens, k) for k in range(at, at + length)) else 0
    return 0


def _part_told(
    vocabulary: Vocabulary, tokens: Tokens, by_token: dict[int, Item], item: Item
) -> str:
    """Whether a part stands before a metal with nothing between but words that tell the metal of
    it, or a colon: `letters in gold`, `trim: silver`. Of a picture it is so where it is the only
    thing (`only the bow is gold`), and may be so where the fineness is told (`bow of 14k`).
    """
    before = item.first
    while before and tokens.folded[before - 1] in _TOLD_OF and _beside(tokens, before):
        before -= 1
    if not before:
        return ""
    between = tokens.text[tokens.ends[before - 1] : tokens.starts[before]]
    if (before == item.first and ":" not in between) or any(sign in between for sign in ",;()"):
        return ""
    for length in range(1, min(_LONGEST_PART, before) + 1):
        if tuple(tokens.folded[before - length : before]) in vocabulary.parts_in_words:
            return "part"
    shown = by_token.get(before - 1)
    if shown is None or not shown.value_of(*PICTURED_FEATURES) or shown.means("piece"):
        return ""
    led = tokens.folded[max(0, shown.first - 2) : shown.first]
    told = not _IS.isdisjoint(tokens.folded[before : item.first])
    if "only" in led or (told and "the" in led):  # the bow is gold
        return "part"
    return "perhaps" if _counted(tokens, item) else ""


def _counted(tokens: Tokens, item: Item) -> bool:
    """Whether words hold a figure: a fineness."""
    return any(any(map(str.isdigit, tokens.raw(at))) for at in range(item.first, item.end))


def _of_an_ornament(
    vocabulary: Vocabulary, tokens: Tokens, by_token: dict[int, Item], item: Item
) -> str:
    """Whether a metal is told of a picture that may be an ornament of the piece, or the piece; of
    the piece where the words for the picture end in its name (`14k gold leaf brooch`).
    """
    at = item.end
    other = by_token.get(at)
    if other is None or not _beside(tokens, at):
        return ""
    led = item.first
    while led and tokens.folded[led - 1] in _TOLD_OF and _beside(tokens, led):
        led -= 1
    borne = led > 0 and tokens.folded[led - 1] in _BEARING
    named = other.means("piece") or tokens.folded[other.end - 1] in vocabulary.making.pieces
    pictured = other.value_of(*PICTURED_FEATURES) and not named
    if pictured and borne:
        return "part"
    other_thing = borne and other.role("thing")
    return "perhaps" if other_thing or (pictured and _counted(tokens, item)) else ""


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
        named = tokens.folded[at] in vocabulary.metal_parts
        if share or (named and not (item is not None and item.role("mark-noun"))):
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
