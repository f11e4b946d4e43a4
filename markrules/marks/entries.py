"""Marks as the search takes them: letters folded, words beside them set apart."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Maker, Mark, Window
from markrules.marks.letters import folded
from markrules.marks.vocabulary import Vocabulary, words_of


@dataclass(frozen=True, slots=True)
class MarkEntry:
    """A mark variant, ready to be searched.

    `own` holds the maker's letters alone and `whole` all letters of the mark; both are folded,
    and `own` equals `whole` where the mark is only words such as STERLING (`words_only`).
    `beside` are the phrases that stand with it. `weight` is the prior weight: how often the
    maker is met, shared out among its marks. `used` are the years of a mark of the rules,
    `years` those of a user's own mark, as they were written.
    """

    maker: str
    title: str
    mark: str
    text: str
    own: str
    whole: str
    beside: frozenset[str]
    words_only: bool
    lines: int
    form: str
    method: str
    symbol: str
    country: str
    place: str
    weight: float
    used: Window | None = None
    years: str = ""
    note: str = ""
    source: str = ""


def entries_of(base: KnowledgeBase, words: Vocabulary) -> Iterator[MarkEntry]:
    """Every mark variant of the knowledge base, marks without letters too."""
    for maker in base.makers.values():
        weight = _weight(base, maker) / max(len(maker.marks), 1)
        for mark in maker.marks:
            yield _entry(maker, mark, weight, words)


def _weight(base: KnowledgeBase, maker: Maker) -> float:
    common = base.commonness.get(maker.common.name) if maker.common else None
    return common.weight if common else 1.0


def _entry(maker: Maker, mark: Mark, weight: float, words: Vocabulary) -> MarkEntry:
    own, whole, beside = apart(mark.text, words)
    named = frozenset(phrase for text in mark.beside if (phrase := "".join(words_of(text))))
    return MarkEntry(
        maker=maker.name,
        title=maker.title,
        mark=mark.name,
        text=mark.text,
        own=own or whole,
        whole=whole,
        beside=beside | named,
        words_only=bool(whole) and not own,
        lines=mark.text.count("/") + 1,
        form=mark.form,
        method=mark.method,
        symbol=mark.symbol,
        country=maker.country,
        place=mark.place,
        weight=weight,
        used=mark.used or maker.works,
    )


def apart(text: str, words: Vocabulary) -> tuple[str, str, frozenset[str]]:
    """The maker's letters, all letters, and the phrases beside them, of a mark's text."""
    each = words_of(text)
    own, beside = words.apart(each)
    whole = folded(text)
    if len(own) == len(each):
        return whole, whole, frozenset()
    return folded("".join(each[place] for place in own)), whole, frozenset(beside)
