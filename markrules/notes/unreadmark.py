"""A mark that a note says is there, and of which it gives no letter: `marked ???`, `signed`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markrules.knowledge.observation import MARK, UNREAD_TEXT, Observation
from markrules.late import late
from markrules.notes.items import LINKS, Item
from markrules.notes.marktext import WrittenTexts
from markrules.notes.saying import Open, OpenFault, Unread
from markrules.notes.senses import Meaning
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import MARK_PREFIXES, MARK_STATE, PLACE_FEATURES, Vocabulary

_FAULT = "fault"
_COLON_WITHIN = 2
"""Characters behind a word among which the colon of a heading stands."""

_UNREAD_SIGNS = late(r"[\s:\"'“”‘’(\[]*(?:[?*…]+|\.\.)")


def unread_mark(
    tokens: Tokens,
    items: Sequence[Item],
    negated: Sequence[bool],
    written: WrittenTexts,
) -> tuple[int, Unread] | None:
    """The mark that a segment says is there without a text, and the first token of the words that
    say so. Whether it counts, where that is not sure, the rest of the note shows.
    """
    if written.places or written.symbols or written.loose:
        return None
    leads = [
        item
        for item in items
        if not negated[item.first] and (_leads(item) or of_marks_worn(item.meaning))
    ]
    if not leads:
        return None
    lead = next((each for each in leads if each.role("signed")), leads[0])
    # `signed: unknown` fills in a form, and tells nothing unless it says more.
    asked = ":" in tokens.text[tokens.ends[lead.end - 1] :][:_COLON_WITHIN]
    sure = (lead.role("signed") and not asked) or any(
        _tells_unread(tokens, items, each)
        or (each.role("marked") and not asked and _alone(tokens, items, each))
        for each in leads
    )
    words = tokens.slice(lead.first, lead.end)
    return lead.first, Unread(words, sure)


def tells_how_read(order: Iterable[Observation | Open | OpenFault | Unread]) -> bool:
    """Whether something that a note says tells how well a mark can be read, or that it is worn."""
    return any(
        (isinstance(each, Observation) and each.state == "seen" and each.feature == MARK_STATE)
        or (isinstance(each, Open) and any(name == MARK_STATE for name, _ in each.choices))
        or (isinstance(each, OpenFault) and any(_of_marks(name) for name, _ in each.choices))
        for each in order
        if not isinstance(each, Unread) and each.state == "seen"
    )


def settled_unread(vocabulary: Vocabulary, each: Unread, how_told: bool) -> Observation | None:
    """The mark as an observation; none where nothing shows that there is one, or somebody only said
    so. `how_told`: the note says how well a mark can be read.
    """
    if each.heard or not (each.sure or how_told):
        return None
    return Observation(MARK, UNREAD_TEXT, certainty=vocabulary.sure, words=each.words)


def _leads(item: Item) -> bool:
    """Whether words tell of a mark and of nothing else: not `engraved`, which may be an owner's."""
    if not item.role("mark", "mark-noun", "signed"):
        return False
    return all(
        each.name.startswith(MARK_PREFIXES) and each.name not in PLACE_FEATURES
        for each in item.senses
        if each.kind in ("value", "feature")
    )


def of_marks_worn(meaning: Meaning) -> bool:
    """Whether words are a fault of marks: `signature polished off`."""
    return any(
        each.kind == "value" and each.name == _FAULT and _of_marks(each.value)
        for each in meaning.senses
    )


def _of_marks(fault: str) -> bool:
    return fault.startswith(MARK_PREFIXES)


def _tells_unread(tokens: Tokens, items: Sequence[Item], lead: Item) -> bool:
    """Whether a word, or signs right behind, tell that the mark could not be read."""
    signs = _UNREAD_SIGNS.match(tokens.text, tokens.ends[lead.end - 1])
    if signs is not None and not signs[0].endswith(": ?"):  # an empty field of a form
        return True
    if of_marks_worn(lead.meaning):
        return True
    return any(each.value_of(MARK_STATE) or each.role("lost-letters") for each in items)


def _alone(tokens: Tokens, items: Sequence[Item], lead: Item) -> bool:
    """Whether nothing is said but that the piece is marked, and where: `marked on the back`."""
    told = 0
    for each in items:
        little = each.role("filler", "little", "count", *LINKS) and not each.means("value")
        of_marks = each.value_of(*PLACE_FEATURES) or any(
            one.kind == "value" and one.name.startswith(MARK_PREFIXES) for one in each.senses
        )
        if each is not lead and not (little or of_marks or each.means("piece")):
            return False
        told += each.end - each.first
    return told >= len(tokens)
