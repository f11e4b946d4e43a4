"""What a hallmark is said to show, named as the rules name it: `hallmarked with a squirrel`."""

from __future__ import annotations

from markrules.late import late
from markrules.notes.tokens import tokens_of
from markrules.notes.vocabulary import Vocabulary

HALLMARK, HALLMARK_MARK, HALLMARK_OFFICE = "hallmark", "hallmark-mark", "hallmark-office"
"""The word behind the name of what hallmarks show, and the features of which it is a value."""
_PUT_IN = f" \u2060{HALLMARK}"
"""A word joiner of Unicode, which is no letter and parts nothing."""
_MOST_WORDS = 4
_IN_LIST = late(
    r"(?:\s*[,;&/+]\s*(?:and\s+)?|\s+and\s+)(?:(?:an?|the|with)\s+){0,2}"
    rf"(\w[\w'’-]*(?: \w[\w'’-]*){{0,{_MOST_WORDS - 1}}}?)(?=\s*[,;&/+.]|\s+and\s|\s*$)"
)
"""One of several things in a list, with what parts it from the one before."""
_AHEAD = late(rf"\w[\w'’.-]*(?: \w[\w'’.-]*){{0,{_MOST_WORDS - 1}}}")


def with_hallmarks_named(vocabulary: Vocabulary, note: str) -> str:
    """The note with the word `hallmark` put behind what one is said to show, where the rules know
    it by that name and not without: `squirrel hallmark` for the squirrel of `hallmark: squirrel`.

    A sign that nobody types stands before the word, by which `as_written` knows it again.
    """
    leads, hallmark_words = vocabulary.hallmark_leads, vocabulary.hallmark_words
    if leads is None or hallmark_words is None:
        return note

    after: dict[int, str] = {}
    for found in leads.finditer(note):
        ahead = _AHEAD.match(note, found.end())
        if ahead is None or _length(vocabulary, ahead[0]):
            continue
        words = ahead[0].split(" ")
        for count in range(len(words), 0, -1):
            shown = " ".join(words[:count])
            if _is_all(vocabulary, f"{shown} {HALLMARK}"):
                if not _named_already(vocabulary, note[: found.end() + len(shown)], count):
                    after[found.end() + len(shown)] = _PUT_IN
                break
    for lead in hallmark_words.finditer(note):
        after.update((place, _PUT_IN) for place in _listed_behind(vocabulary, note, lead.end()))
    for place in sorted(after, reverse=True):
        note = f"{note[:place]}{after[place]}{note[place:]}"
    return note


def _named_already(vocabulary: Vocabulary, text: str, count: int) -> bool:
    """Whether the last words of a text, `count` of them and some before, are a name as they stand:
    `horse's head hallmark vienna`.
    """
    words = text[-_LONGEST_NAME:].split()
    return any(
        _is_all(vocabulary, " ".join(words[-more:]))
        for more in range(count + 2, min(count + _MOST_WORDS, len(words)) + 1)
    )


_LONGEST_NAME = 80
"""Characters before which no name that ends at a place begins."""


def _listed_behind(vocabulary: Vocabulary, note: str, at: int) -> list[int]:
    """Where what hallmarks show ends in a list behind a word for them: `hallmarked on each link,
    lion and anchor`. One thing alone is none, as a lion may be what the piece shows.
    """
    ended = note.find(".", at)
    sentence = note[: ended if ended >= 0 else len(note)]
    ends: list[int] = []
    shown = 0
    one = _IN_LIST.search(sentence, at)
    while one is not None:
        if _is_all(vocabulary, f"{one[1]} {HALLMARK}"):
            shown += 1
            if not _length(vocabulary, one[1]):
                ends.append(one.end())
        elif _is_all(vocabulary, one[1], HALLMARK_OFFICE):
            shown += 1
        elif shown:
            break
        one = _IN_LIST.match(sentence, one.end())
    return ends if shown > 1 else []


def has_put_in(text: str) -> bool:
    """Whether a word was put into a text."""
    return _PUT_IN in text


def as_written(words: str) -> str:
    """Words of a note without what was put in."""
    return words.replace(_PUT_IN, "")


def _length(vocabulary: Vocabulary, text: str, feature: str = HALLMARK_MARK) -> int:
    """How many of the first words of a text name a value of a feature: what hallmarks show, unless
    another is asked for; 0 where they name none.
    """
    tokens = tokens_of(text, vocabulary.folding)
    found = vocabulary.words.longest(tokens.folded, tokens.numeric, 0) if tokens else None
    told = found is not None and any(
        each.kind == "value" and each.name == feature for each in found[1].senses
    )
    return found[0] if found is not None and told else 0


def _is_all(vocabulary: Vocabulary, text: str, feature: str = HALLMARK_MARK) -> bool:
    """Whether a text is such a name from end to end: `anchor`."""
    return _length(vocabulary, text, feature) == len(tokens_of(text, vocabulary.folding))
