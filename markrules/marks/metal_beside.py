"""Words beside a mark of solid metal: whether they may take back what the mark says."""

from __future__ import annotations

from collections.abc import Container, Sequence
from functools import lru_cache

from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import MetalMark
from markrules.late import late
from markrules.marks.entries import names_of
from markrules.marks.figure_limits import metal_limits
from markrules.marks.metal_grammar import fraction
from markrules.marks.stamped import Match, StampedToken, fold, tokens
from markrules.marks.vocabulary import said_texts
from markrules.named_tuple import NamedTuple

_LINE_ENDS = late(r"[,;|]|/(?!\d)|(?<!\d)/")  # the slash of a fraction ends none


_BETWEEN_INITIALS = (".", "/", "&")


class WordsUnsettling(NamedTuple):
    """The words beside a mark that leave it unsure how much of the piece is of the metal.

    `qualifies` tells that the rules know them to; otherwise they are words that no rule knows.
    `line` is the whole line that the mark stands on, or all lines where they stand on another.
    """

    words: str
    qualifies: bool
    line: str


def words_beside(
    base: KnowledgeBase,
    text: str,
    read: Sequence[StampedToken],
    taken: Sequence[tuple[int, int]],
    mark: tuple[int, int],
) -> WordsUnsettling | None:
    """What stands on the line of a mark (start and end in the text) and may qualify it.

    `taken` are the places of all marks of metal in the text. Names of listed makers and words that
    stand with their marks qualify nothing, and a single letter is an initial. Initials with stops
    are a word that qualifies where the rules know it so (`R.G.`). A line of nothing but words that
    qualify belongs to the marks on the other lines (`14K / CASED`).
    """
    free = [
        token
        for token in read
        if token.kind == "word" and not any(start <= token.start < end for start, end in taken)
    ]
    beside = [token for token in free if same_line(text, mark, (token.start, token.end))]
    part = _part(base, text, read, taken, mark)
    if not free and not part:
        return None
    qualifiers, known, joining = _words_of_marks(base)
    if part:
        return WordsUnsettling(part, True, line_of(text, mark))
    telling = [token for token in _initials(text, beside) if token.text in qualifiers]
    telling = [token for token in telling if not _named(base, token, beside, True)]
    if not telling and (
        line := _other_line(text, read, _initials(text, free), qualifiers, joining)
    ):
        words = " ".join(text[token.start : token.end] for token in line)
        return WordsUnsettling(words, True, text.strip())
    unknown = _unknown(base, [each for each in beside if len(each.text) > 1], known)
    if not telling and not unknown:
        return None
    words = " ".join(text[token.start : token.end] for token in telling or unknown)
    return WordsUnsettling(words, bool(telling), line_of(text, mark))


def _unknown(
    base: KnowledgeBase, beside: Sequence[StampedToken], known: frozenset[str]
) -> list[StampedToken]:
    """The words that the rules do not know beside a mark of metal. One that also names a thing is
    known only beside another word of the same text: `BELL TRADING`, but not `STERLING BELL`.
    """
    left = [each for each in beside if each.text not in known]
    if len(left) < sum(len(each.text) > 1 for each in beside) and all(
        each.text in _devices(base) for each in left
    ):  # CROWN TRIFARI
        return []
    return [each for each in left if not _named(base, each, beside, False)]


@lru_cache(maxsize=8)
def _devices(base: KnowledgeBase) -> frozenset[str]:
    """Single words for the small pictures that stand in marks, beside a maker's letters."""
    feature = base.features.get(DEVICES)
    values = feature.values if feature is not None else ()
    return frozenset(_words([t for each in values for t in (each.name, *each.also) if t.isalpha()]))


DEVICES = "mark-device"
"""The feature for such pictures."""


def _named(
    base: KnowledgeBase, token: StampedToken, beside: Sequence[StampedToken], by_makers: bool
) -> bool:
    """Whether a word stands beside another one of a text that the rules know, or with `by_makers`
    of a maker's name or mark: BOND BOYD.
    """
    if len(beside) < 2:
        return False
    there = frozenset(each.text for each in beside)
    texts = _texts_of_several(base, by_makers).get(token.text, ())
    return any(len(words & there) > 1 for words in texts)


def _other_line(
    text: str,
    read: Sequence[StampedToken],
    free: Sequence[StampedToken],
    qualifiers: frozenset[str],
    joining: frozenset[str],
) -> list[StampedToken]:
    """The words of a line on which nothing stands but words that qualify, or that begins with one
    (`ON STERLING`); else none. A single letter there is an initial, or a size.
    """
    lines: dict[str, list[StampedToken]] = {}
    for token in free:
        lines.setdefault(line_of(text, (token.start, token.end)), []).append(token)
    for words in lines.values():
        telling = [each for each in words if each.text in qualifiers and len(each.text) > 1]
        rest = [each for each in words if each not in telling and each.text not in joining]
        if telling and not rest and _leads(text, read, words[0]):
            return telling
    return []


def _leads(text: str, read: Sequence[StampedToken], word: StampedToken) -> bool:
    """Whether no token stands before a word on its line."""
    before = [each for each in read if each.end <= word.start]
    last = (before[-1].start, before[-1].end) if before else (0, 0)
    return not before or not same_line(text, last, (word.start, word.end))


def cut_short(
    base: KnowledgeBase, text: str, read: Sequence[StampedToken], match: Match[MetalMark]
) -> bool:
    """Whether a spelling takes in a letter that belongs to something else.

    That is one of several initials with stops (`18K R` of `18K R.G.`), and, for solid metal, one
    that qualifies and stands apart (the P of `14K P` and `14K-P`; `14KP` is one word). The K of a
    number is its own.
    """
    last = read[match.after - 1]
    if last.kind != "word" or len(last.text) > 1 or read[match.after - 2].kind == "number":
        return False
    after = read[match.after] if match.after < len(read) else None
    if after is not None and _one_of_initials(text, last, after):
        return True
    between = text[read[match.after - 2].end : last.start]
    apart = between not in ("", ".")
    return apart and match.owner.how == "solid" and last.text in _words_of_marks(base)[0]


def _one_of_initials(text: str, one: StampedToken, other: StampedToken) -> bool:
    """Whether two tokens are single letters with nothing but a stop or a stroke between."""
    letters = all(each.kind == "word" and len(each.text) == 1 for each in (one, other))
    return letters and text[one.end : other.start].strip() in _BETWEEN_INITIALS


def _initials(text: str, read: Sequence[StampedToken]) -> list[StampedToken]:
    """The tokens, initials with stops joined to one word: `R.G.` is RG."""
    joined: list[StampedToken] = []
    last: StampedToken | None = None
    for each in read:
        if last is not None and _one_of_initials(text, last, each):
            before = joined.pop()
            joined.append(StampedToken("word", before.text + each.text, before.start, each.end))
        else:
            joined.append(each)
        last = each
    return joined


def _part(
    base: KnowledgeBase,
    text: str,
    read: Sequence[StampedToken],
    taken: Sequence[tuple[int, int]],
    mark: tuple[int, int],
) -> str:
    """A part of the weight that is in no mark and ends the line of the mark, or stands right before
    it: `9CT 1/10`, `1/20 750`."""
    limits = metal_limits(base)
    for at, token in enumerate(read):
        found = fraction(limits, read, at)
        if found is None or any(start <= token.start < end for start, end in taken):
            continue
        end = read[found[0] - 1].end
        after = read[found[0]] if found[0] < len(read) else None
        last = after is None or not same_line(text, (token.start, end), (after.start, after.end))
        leads = after is not None and after.start == mark[0]
        if (last or leads) and same_line(text, mark, (token.start, end)):
            return text[token.start : end]
    return ""


def names_no_metal(base: KnowledgeBase, words: str) -> bool:
    """Whether a mark of metal is nothing but words that qualify another: `PLATED`, `5 MICRONS`."""
    qualifiers, _, joining = _words_of_marks(base)
    read = tokens(words)
    said = [token.text for token in read if token.kind == "word" and token.text not in joining]
    return bool(said) and all(text in qualifiers for text in said)


def joins(base: KnowledgeBase, text: str) -> bool:
    """Whether a text is nothing but a word or sign that joins two things: `&`, `and`."""
    _, _, joining = _words_of_marks(base)
    return text.strip() == "&" or fold(text.strip()) in joining


def same_line(text: str, one: tuple[int, int], other: tuple[int, int]) -> bool:
    """Whether two places (start and end) of a text stand on one line of it."""
    first, second = sorted((one, other))
    return _LINE_ENDS.search(text[first[1] : second[0]]) is None


def line_of(text: str, mark: tuple[int, int]) -> str:
    """The line of a text on which a place (start and end) of it stands."""
    ends = [(each.start(), each.end()) for each in _LINE_ENDS.finditer(text)]
    first = max((end for _, end in ends if end <= mark[0]), default=0)
    last = min((start for start, _ in ends if start >= mark[1]), default=len(text))
    return text[first:last].strip()


@lru_cache(maxsize=8)
def _words_of_marks(
    base: KnowledgeBase,
) -> tuple[frozenset[str], frozenset[str], frozenset[str]]:
    """The words that qualify a mark of metal, those that may stand beside one and do not, and those
    that join two words.
    """
    by_role = {role: _words(base.words_of(role)) for role in (QUALIFIER, NONE, "join", IN_MANY)}
    qualifiers = by_role[QUALIFIER]
    every = _texts_beside(base)
    alone = {words[0] for text in every.said if len(words := _in_order(text)) == 1}
    names = _words_that_name(every.names, by_role[IN_MANY] | by_role[NONE])
    known = ((alone - _parts(base)) | (names - _things(base)) | by_role[NONE]) - qualifiers
    return frozenset(qualifiers), frozenset(known), frozenset(by_role["join"])


def _words_that_name(names: Sequence[str], usual: Container[str]) -> set[str]:
    """The words that alone name a maker: those that are a whole name or mark, or all of one but
    `usual` words. Any other word of a name (BOARD, TOPIC, MESH) names nobody by itself, and may as
    well tell of the metal; beside another word of the name it is known (`_named`).
    """
    found: set[str] = set()
    for name in names:
        words = _in_order(name)
        own = [word for word in words if word not in usual]
        if len(words) == 1 or len(own) == 1:
            found.add(words[0] if len(words) == 1 else own[0])
    return found


class _Texts(NamedTuple):
    """Texts that stand beside marks of metal: names and marks of makers, and what else is said."""

    names: tuple[str, ...]
    said: tuple[str, ...]


def _texts_beside(base: KnowledgeBase) -> _Texts:
    names: list[str] = []
    said = base.words_of(KNOWN)
    for maker in base.makers.values():
        names += (*names_of(maker), *(mark.text for mark in maker.marks))
        for mark in maker.marks:
            said += mark.beside
    for register in base.registers.values():
        said += register.reads
    for metal_mark in base.metal_marks.values():
        said += metal_mark.reads
    for clue in base.clues.values():
        said += said_texts(clue.when) if clue.when is not None else ()
    return _Texts(tuple(names), tuple(said))


@lru_cache(maxsize=8)
def _texts_of_several(base: KnowledgeBase, by_makers: bool) -> dict[str, list[frozenset[str]]]:
    """For each word the texts of several words that it is one of; with `by_makers`, of makers."""
    found: dict[str, list[frozenset[str]]] = {}
    every = _texts_beside(base)
    for text in every.names if by_makers else (*every.names, *every.said):
        words = frozenset(_in_order(text))
        for word in words if len(words) > 1 else ():
            found.setdefault(word, []).append(words)
    return found


def _things(base: KnowledgeBase) -> set[str]:
    """Words for parts, pieces and what a piece is like or pictures: beside a fineness they are
    rather something of the metal (`14k ribbon`, `sterling crown`) than a maker's name.
    """
    found = _parts(base)
    for piece in base.pieces.values():
        found |= _words([text for text in (piece.name, *piece.also) if " " not in text])
    for feature in base.features.values():
        for value in feature.values:
            found |= _words([t for t in (value.name, *value.also) if not {" ", "-"} & set(t)])
    found |= {f"{word}S" for word in found}
    metals = base.features[METAL].values if METAL in base.features else ()
    named = [text for each in metals for text in each.also if " " not in text]
    return found - _words([*named, *(each.name for each in metals)])  # rose gold


def _parts(base: KnowledgeBase) -> set[str]:
    """Words for parts."""
    return _words([text for text in base.words_of(*THINGS) if " " not in text])


QUALIFIER, NONE = "qualifier", "no-qualifier"
"""The roles of words that qualify a mark of metal beside them, and of those that do not."""
IN_MANY = "in-many-names"
"""The role of words of which many names are made."""
KNOWN = "not-a-maker"
"""The role of words that stand beside marks and name nobody."""
THINGS = ("metal-part", "thing")
"""Roles of words for parts."""
METAL = "metal"
"""The feature for what metal a piece is of."""


def _in_order(text: str) -> list[str]:
    return [part.text for part in tokens(text) if part.kind == "word"]


def _words(texts: Sequence[str]) -> set[str]:
    return {part.text for text in texts for part in tokens(text) if part.kind == "word"}
