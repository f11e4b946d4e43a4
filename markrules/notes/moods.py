"""How sure the writer is of each thing in a segment, where less holds of one than of the rest."""

from __future__ import annotations

from markrules.notes.contrast import answered, either, put_right, questioned
from markrules.notes.hedging import certainty_of
from markrules.notes.laid import Laid
from markrules.notes.tokens import Tokens


def moods_of(laid: Laid, certainty: str, heard: bool) -> dict[int, tuple[str, bool]]:
    """How sure of, and whether only heard, items are of which less holds than of the segment:
    `sold as jade but is glass`, `gold with rubies?`, `amber or plastic`.
    """
    if certainty == laid.vocabulary.sure and not heard:
        return dict.fromkeys(_either(laid), (laid.vocabulary.least_sure, False))
    right = put_right(laid.items)
    doubted = questioned(laid.tokens, laid.items)
    no_question = laid.tokens.text.replace("?", " ")
    plain = Tokens(
        no_question,
        laid.tokens.folded,
        laid.tokens.starts,
        laid.tokens.ends,
        laid.tokens.numeric,
    )
    moods: dict[int, tuple[str, bool]] = {}
    for item in laid.items:
        since = [each for each in laid.items if each.first > right] if right >= 0 else []
        own = since if right >= 0 and item.first > right else laid.items
        asked = item.first in doubted and not answered(laid.tokens, laid.items)
        tokens = laid.tokens if asked else plain
        own_certainty = certainty_of(laid.vocabulary, tokens, list(own), laid.written)
        moods[item.first] = own_certainty, any(each.role("told") for each in own)
    for first in _either(laid):
        moods[first] = laid.vocabulary.least_sure, moods[first][1]
    return moods


def _either(laid: Laid) -> frozenset[int]:
    """The first tokens of what the writer leaves open: one of two, and nobody denied them."""
    if not any(item.role("alternative") for item in laid.items):
        return frozenset()
    found = either(laid.items, laid.vocabulary.materials)
    return frozenset(first for first in found if not laid.negated[first])
