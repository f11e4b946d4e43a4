"""The short way for the usual segment: one phrase of the rules, in small letters, and no more."""

from __future__ import annotations

from markrules.knowledge.observation import Observation
from markrules.late import late
from markrules.notes.items import Item
from markrules.notes.matching import damage_within
from markrules.notes.pieces_named import pieces_of
from markrules.notes.saying import Open, Portion, Said, SpokenThing
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.unreadmark import of_marks_worn
from markrules.notes.vocabulary import (
    DATE_LETTER,
    MARK_PREFIXES,
    PLACE_FEATURES,
    Vocabulary,
)

_SMALL = late(r"[a-z]+(?:[ -][a-z]+){0,7}")


def one_phrase(vocabulary: Vocabulary, text: str) -> Said | None:
    """What the segment says where it is one phrase that gives a value; None where it is not.

    The long way says the same; this one is some times faster, and most segments of a note
    are so.
    """
    if not _SMALL.fullmatch(text) or not vocabulary.misspelt.isdisjoint(text.split()):
        return None
    tokens = tokens_of(text, vocabulary.folding)
    found = vocabulary.words.longest(tokens.folded, tokens.numeric, 0, vocabulary.passed_over)
    if (
        found is None
        or found[0] != len(tokens)
        or found[1].kinds != {"value"}
        or any(tokens.numeric)
    ):
        return None
    if tokens.folded[0] in vocabulary.as_written:  # `piece in bits`, not `in this bit`
        return None
    if found[1].tells_fault and any(sense.name != "fault" for sense in found[1].senses):
        return None  # resized: how it is made, and a fault
    of_letters = any(sense.name.startswith(f"{DATE_LETTER}-") for sense in found[1].senses)
    if of_letters and len(tokens) == 1:  # `plain` by itself is no letter
        return None
    if len(tokens) > 1 and any(
        f"{sense.name}={sense.value}" in vocabulary.within for sense in found[1].senses
    ):
        return None
    if tokens.folded[0] in vocabulary.begins_grade:  # for parts: a fault, and a grade besides
        return None
    if tokens.folded[0] in vocabulary.begins_shade and len(tokens) > 1:
        return None
    if not vocabulary.lead_words.isdisjoint(tokens.folded) or of_marks_worn(found[1]):
        return None
    if (
        len(tokens) > 1
        and not found[1].tells_fault
        and damage_within(vocabulary, tokens, 0, len(tokens)) is not None
    ):
        return None
    return _said(vocabulary, tokens, Item(0, found[0], found[1]))


def _said(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> Said:
    choices = tuple(dict.fromkeys((sense.name, sense.value) for sense in item.senses))
    sure = vocabulary.sure
    if len(choices) == 1:
        feature, value = choices[0]
        said: Observation | Open = Observation(feature, value, certainty=sure, words=tokens.text)
    else:
        marked = all(
            name.startswith(MARK_PREFIXES) and name not in PLACE_FEATURES for name, _ in choices
        )
        said = Open(choices, "seen", None, sure, False, tokens.text, "", marked=marked, alone=True)
    pieces = pieces_of(vocabulary, tokens, [item], [False] * len(tokens))
    return Said(
        order=(said,),
        marks=(),
        pieces=pieces,
        not_understood=(),
        assumed=(),
        total=len(tokens),
        understood=len(tokens),
        ends_in_mark=False,
        mark_absent=False,
        letter="",
        things=_things(tokens, item),
        account=(Portion(tokens.text, "said", (0,), first=0, end=len(tokens)),),
        folds=tuple(tokens.folded),
    )


def _things(tokens: Tokens, item: Item) -> tuple[SpokenThing, ...]:
    """The thing that the phrase names, as the long way tells it."""
    others = ("fault", *PLACE_FEATURES)
    names = tuple(dict.fromkeys(each.name for each in item.senses if each.name not in others))
    if not names:
        return ()
    last, fold = tokens.raw(len(tokens) - 1), tokens.folded[-1]
    return (SpokenThing(names, tokens.text, last[-1:] == "s" and fold + "s" == last, (0,)),)
