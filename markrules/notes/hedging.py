"""How sure the writer of a segment was."""

from __future__ import annotations

import re

from markrules.language.builtin import COLOUR
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
    A question mark is the least sure of all, unless it stands for an unread letter in a text.
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
    for match in re.finditer(r"\?", tokens.text):
        inside = any(start <= match.start() < end for start, end in written.places)
        if not inside or any(
            match.start() == end - 1 and doubted(vocabulary, tokens, start, end)
            for start, end in written.places
        ):
            names.append(vocabulary.least_sure)
            break
    return max(names, key=lambda name: rank.get(name, 0), default=vocabulary.sure)


def _of_marks(item: Item) -> bool:
    """Whether what a word says of the piece is said of its mark: faint, and not clear."""
    features = [sense.name for sense in item.senses if sense.kind == "value"]
    return all(name.startswith(OF_MARKS) for name in features)


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
