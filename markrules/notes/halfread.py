"""What a note tells in words of letters that were not read, written as a mark is.

`begins with TRIF` is TRIF..., `ends in SNER` is ...SNER, both together are TRIF...SNER, `can only
make out RIFA` is ...RIFA..., and `COVA or CODA` is CO[VD]A.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from markrules.late import late
from markrules.named_tuple import NamedTuple
from markrules.notes.items import LINKS, Item
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.vocabulary import MARK_STATE, Vocabulary

PART_LEADS = ("first-letters", "last-letters", "part-letters")
"""Roles of words that tell which part of the text after them was read."""
_SOME = "part-letters"
_GAP = "..."
_OPEN = ("...", "..", "…", "*", "?")
_LEAST_TORN = 2
"""Letters beside a gap told in brackets."""
_ALIKE = 0.5
"""Two readings of one mark agree in at least this share of their letters: COVA or CODA, but not
JAPAN or KOREA. Set by reason."""


class WordsOfGaps(NamedTuple):
    """The words right before and right after a text that tell of letters not read."""

    before: Item | None = None
    after: Item | None = None


def beside(tokens: Tokens, items: Sequence[Item], place: tuple[int, int]) -> WordsOfGaps:
    """What stands beside the text at this place, little words passed over."""
    before = (each for each in reversed(items) if _end(tokens, each) <= place[0])
    after = (each for each in items if tokens.starts[each.first] >= place[1])
    return WordsOfGaps(
        _nearest(before, "lost-letters", *PART_LEADS), _nearest(after, "lost-letters", _SOME)
    )


def _nearest(items: Iterable[Item], *roles: str) -> Item | None:
    for item in items:
        if item.role(*roles):
            return item
        if not item.role("filler", "join"):
            return None
    return None


def _end(tokens: Tokens, item: Item) -> int:
    return tokens.ends[item.end - 1]


def in_part(text: str, words: WordsOfGaps) -> str:
    """The text with a run of unread letters on the side where the words tell of one."""
    before, after = words
    if after is not None and after.role(_SOME) and before is None:  # `RAFT is all I can read`
        torn = any(sign in text for sign in _OPEN)
        return text if torn else f"{_GAP}{text}{_GAP}"
    begun = before is not None and before.role("first-letters", "part-letters")
    # A part of a mark may be its middle: both sides are open.
    if before is not None and before.role("part-letters") and not text.startswith(_OPEN):
        text = _GAP + text.lstrip("-–— ")
    if before is not None and not begun and not text.startswith(_OPEN):
        text = _GAP + text.lstrip("-–— ")
    if (begun or after is not None) and not text.endswith(_OPEN):
        text = text.rstrip("-–— ") + _GAP
    return text


_HYPHENS = "-‐‑–—"
_TORN_HEAD = late(rf"[{_HYPHENS}]+(?=[^\W\d_]{{3}})")
_TORN_TAIL = late(rf"(?<=[^\W\d_]{{2}})[{_HYPHENS}]+")
_MOST_OF_A_PART = 3
"""Letters of a known text that may as well be what is left of another: `-RB`."""
_HYPHENED = late(rf"(?<!\S)[{_HYPHENS}](?=[^\W\d_])")


def with_torn_ends(vocabulary: Vocabulary, tokens: Tokens, text: str) -> str:
    """The text with a run unread for a hyphen at an end: `-BODA`, `TRIF-`. The hyphens of a list
    (`-NOVAK -gilt`), and the one before a text that the rules know, tell of nothing lost.
    """
    if text[:1] not in _HYPHENS and text[-1:] not in _HYPHENS:
        return text
    bare = text.strip(_HYPHENS + " ")
    if vocabulary.is_text(bare):
        return bare if sum(map(str.isalpha, bare)) > _MOST_OF_A_PART else text
    alone = len(_HYPHENED.findall(tokens.text)) < 2
    head = alone and _TORN_HEAD.match(text)
    tail = _TORN_TAIL.search(text, len(text) - 2)
    if alone and not (head or tail):  # too few letters to tell what was lost: as it was written
        return text
    return f"{_GAP if head else ''}{bare}{_GAP if tail else ''}"


_BRACKETED = late(r"(\w*)( ?)[(\[]([^()\[\]?*.>:]{4,30})[)\]]( ?)(\w*)")
_HALF_OPEN = late(r"\[([A-Z]{2,4}|[A-Z](?:>[A-Z]){1,3})(?![\w\]\[:>])(?=[^\[\]]*\Z)")
_HALF_SHUT = late(r"\A([^\[\]]*?)(?<!\w)([A-Z]{2,4})\]")
"""Letters that one may choose from, with one bracket of two: `TRI[FP`, `marked CG]INER`."""


def with_gaps(vocabulary: Vocabulary, text: str) -> str:
    """The text with a run unread for words in brackets that tell of letters not read, beside
    capitals that are not a text of the rules by themselves: `KRE(illegible)`, `(worn) NTZ`; and
    with the bracket that was forgotten where the letters in it are few: `[CG` is `[CG]`.
    """
    if "[" in text or "]" in text:
        text = _HALF_SHUT.sub(r"\1[\2]", _HALF_OPEN.sub(r"[\1]", text))

    def gap(found: re.Match[str]) -> str:
        before, space, inner, after_space, after = found.groups()
        if not _tells_of_loss(vocabulary, inner):
            return found[0]
        if _is_torn(vocabulary, before):
            after_space = after_space or ("" if _is_torn(vocabulary, after) else " ")
            joined = "" if _is_torn(vocabulary, after) else after_space
            return f"{before}{_GAP}{joined}{after}"
        if _is_torn(vocabulary, after):
            return f"{before}{space}{_GAP}{after}"
        return found[0]

    return _BRACKETED.sub(gap, text)


def _is_torn(vocabulary: Vocabulary, word: str) -> bool:
    """Whether a word may be letters of a mark, and is no whole text that the rules know."""
    if len(word) < _LEAST_TORN or not (word.isalpha() and word.isupper()):
        return False
    tokens = tokens_of(word, vocabulary.folding)
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, 0)
    return found is None or found[0] < len(tokens)


def _tells_of_loss(vocabulary: Vocabulary, words: str) -> bool:
    """Whether words tell that something cannot be read: `illegible`, `rest worn away`."""
    tokens = tokens_of(words, vocabulary.folding)
    found = vocabulary.words.longest(tokens.folded, tokens.numeric, 0)
    if not tokens or found is None or found[0] < len(tokens):
        return False
    return "lost-letters" in found[1].roles or any(
        each.kind == "value" and each.name == MARK_STATE for each in found[1].senses
    )


def are_alternatives(
    tokens: Tokens, items: Sequence[Item], place: tuple[int, int], following: tuple[int, int]
) -> bool:
    """Whether nothing but `or`, and words of doubt, stand between two texts."""
    between = [
        each
        for each in items
        if tokens.starts[each.first] >= place[1] and _end(tokens, each) <= following[0]
    ]
    return any(each.role("alternative") for each in between) and all(
        each.role("alternative", "filler", *LINKS) or each.means("certainty") for each in between
    )


def both_ends(one: str, other: str) -> str:
    """The beginning and the end of a mark as one text, in whatever order they were told; empty
    where the texts are not one of each. `begins with B and ends in ER` is B...ER.
    """
    if one.startswith(_GAP):
        one, other = other, one
    begins = one.endswith(_GAP) and not one.startswith(_GAP)
    ends = other.startswith(_GAP) and not other.endswith(_GAP)
    return one + other.removeprefix(_GAP) if begins and ends else ""


_TWO_DOUBTED = late(r"(\w+)\?[\s/,]+(\w+)\?")


def one_of_two(text: str) -> tuple[str, bool]:
    """A text of two readings of one mark, each with its doubt, as one with a choice; and whether
    it was such. `PAM? PAN?` is PA[MN]; any other text is as it was.
    """
    found = _TWO_DOUBTED.fullmatch(text)
    one = as_one(found[1], found[2]) if found else ""
    return one or text, bool(one)


def as_one(one: str, other: str) -> str:
    """Two readings of one mark as one text with a choice where they differ; empty where too little
    agrees, or figures differ: 10K or 14K are two claims, not one badly read.
    """
    # A choice stands for one letter at one place; of texts of different lengths nobody knows which
    # letter of the one is which of the other.
    if len(one) != len(other) or not one.isalnum() or not other.isalnum():
        return ""
    differing = [(a, b) for a, b in zip(one, other, strict=True) if a.casefold() != b.casefold()]
    if any(not (a.isalpha() and b.isalpha()) for a, b in differing) or not differing:
        return ""
    # Two readings that differ in most letters are two marks, and a choice at every place would fit
    # marks that nobody read.
    if len(one) > 1 and len(differing) > len(one) * (1 - _ALIKE):
        return ""
    return "".join(
        a if a.casefold() == b.casefold() else f"[{a}{b}]" for a, b in zip(one, other, strict=True)
    )
