"""What of a segment was understood: the words that nothing fits, and how many carry meaning."""

from __future__ import annotations

from markrules.named_tuple import NamedTuple
from markrules.notes.items import LINKS
from markrules.notes.marktext import WrittenTexts
from markrules.notes.matching import Matched
from markrules.notes.numbering import is_sum
from markrules.notes.tokens import Tokens

_QUIET = frozenset(("filler", "times", "break", *LINKS))
_PLAIN_KINDS = frozenset(("role", "unit"))


class Leftover(NamedTuple):
    """Stretches that nothing fits, as written; the words that carry meaning; those understood."""

    stretches: tuple[str, ...]
    total: int
    understood: int


def known_tokens(tokens: Tokens, matched: Matched, written: WrittenTexts) -> list[bool]:
    """For each token whether something fits it.

    A number is known where a known word follows (`nine baguettes`), and a sum of money.
    """
    count = len(tokens)
    known = [False] * count
    for item in matched.items:
        known[item.first : item.end] = [True] * (item.end - item.first)
    for index in written.claimed:
        known[index] = True
    for start, end in written.symbols:
        for index in range(count):
            known[index] = known[index] or start <= tokens.starts[index] < end
    if not all(known):
        for index in range(count):  # what is asked for it
            known[index] = known[index] or (tokens.numeric[index] and is_sum(tokens, index))
        for index in range(count - 1):
            known[index] = known[index] or (tokens.numeric[index] and known[index + 1])
        for index in range(count):  # `one` as in the blue one
            known[index] = known[index] or (tokens.numeric[index] and tokens.raw(index).isalpha())
    return known


def leftover(
    tokens: Tokens, matched: Matched, written: WrittenTexts, unknown: list[int]
) -> Leftover:
    """Count the words of a segment; `unknown` are those not understood. Little words are not
    counted.
    """
    quiet, lost = 0, set(unknown)
    for item in matched.items:
        roles, kinds = item.meaning.roles, item.meaning.kinds
        if roles and kinds <= _PLAIN_KINDS and not roles.isdisjoint(_QUIET):
            claimed = written.claimed
            quiet += sum(
                index not in claimed and index not in lost for index in range(item.first, item.end)
            )
    total = len(tokens) - quiet
    stretches = tuple(_stretches(tokens, unknown)) if unknown else ()
    return Leftover(stretches, total, total - len(unknown))


def _stretches(tokens: Tokens, unknown: list[int]) -> list[str]:
    """Neighbouring words together, as written."""
    stretches: list[str] = []
    begin = 0
    for position, index in enumerate(unknown):
        if position + 1 == len(unknown) or unknown[position + 1] != index + 1:
            stretches.append(tokens.slice(unknown[begin], index + 1))
            begin = position + 1
    return stretches
