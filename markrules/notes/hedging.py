"""How sure the writer of a segment was."""

from __future__ import annotations

import re

from markrules.language.builtin import COLOUR
from markrules.late import FIGURES, late
from markrules.notes.items import Item
from markrules.notes.markreading import doubted
from markrules.notes.marktext import WrittenTexts
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import PICTURED_FEATURES, Vocabulary


def certainty_of(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], written: WrittenTexts
) -> str:
    """The least sure of the segment's hedges, by how often such an observer is wrong.

    A word that says something of the piece too is a hedge only where marks are spoken of: a
    clear mark is surely read, a clear stone is a stone without colour. One that can be said of
    nothing but a mark is so beside any text in quotes. Between two readings of a
    mark `or maybe` doubts neither. What is only pictured may look like something without a doubt.
    A question mark is the least sure of all, unless it stands for an unread letter in a text, or
    behind a year, which alone it doubts.
    """
    rank = vocabulary.certainty_rank
    names = [
        sense.name
        for at, item in enumerate(items)
        if "certainty" in item.meaning.kinds
        and not (item.role("imitates") and _pictures(items[at + 1 :]))
        and (written.lead or not item.means("value") or (written.places and _of_marks(item)))
        and not (written.lead and item.role("alternative"))
        for sense in item.senses
        if sense.kind == "certainty" and sense.name in rank
    ]
    of_years = years_doubted(tokens, items)
    for match in re.finditer(r"\?", tokens.text):
        if match.start() in of_years:
            continue
        inside = any(start <= match.start() < end for start, end in written.places)
        if not inside or any(
            match.start() == end - 1 and doubted(vocabulary, tokens, start, end)
            for start, end in written.places
        ):
            names.append(vocabulary.least_sure)
            break
    return max(names, key=lambda name: rank.get(name, 0), default=vocabulary.sure)


def years_doubted(tokens: Tokens, items: list[Item]) -> frozenset[int]:
    """Where question marks stand right behind a year, in a text that tells more than that year:
    `Gorham sterling cuff 1977?`.
    """
    if "?" not in tokens.text or not any(
        item.means("value") or item.means("piece") for item in items
    ):
        return frozenset()
    return frozenset(match.end() - 1 for match in _YEAR_DOUBTED.finditer(tokens.text))


def _of_marks(item: Item) -> bool:
    """Whether what a word says of the piece is said of its mark: faint, and not clear."""
    features = [sense.name for sense in item.senses if sense.kind == "value"]
    return all(name.startswith(OF_MARKS) for name in features)


_YEAR_DOUBTED = late(r"(?<![0-9])(?:1[6-9]|20)[0-9]{2}(?:['’]?s)?\s*\?", among=FIGURES)

OF_MARKS = "mark-"
"""Features of how marks look, and where they are, begin so."""


def _pictures(items: list[Item]) -> bool:
    """Whether the first of these items that says something pictures it: `looks like a leaf`."""
    for item in items:
        if item.means("value"):
            return any(
                sense.name in PICTURED_FEATURES and sense.name != COLOUR
                for sense in item.senses
                if sense.kind == "value"
            )
    return False
