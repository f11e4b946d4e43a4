"""Marks as the search takes them: letters folded, words beside them set apart."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Iterator, Sequence
from dataclasses import replace
from math import log

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Maker, Mark
from markrules.language.windows import Window
from markrules.late import late
from markrules.marks.divisions import Divisions, divisions_of
from markrules.marks.letters import folded
from markrules.marks.mark_shares import MarkShares, mark_shares
from markrules.marks.vocabulary import MarkWords, words_of, written_words

_BRACKETS = late(r"[()]")


@dataclass(frozen=True, slots=True)
class MarkEntry:
    """A mark variant, ready to be searched.

    `own` holds the maker's letters alone and `whole` all letters of the mark; both are folded,
    and `own` equals `whole` where the mark is only words such as STERLING (`words_only`).
    `beside` are the phrases that stand with it. `weight` is the prior weight: how often the
    maker is met, shared out among its marks. `used` are the years of a mark of the rules,
    `years` those of a user's own mark, as they were written. `lessened` is the natural log of the
    chance that the maker's pieces bear this text, where it is no mark of the maker but its name or
    some words of a mark; `mark` is empty where it stands for none. `divided` tells where the words
    of `own` and those of `whole` part; empty where that is not known.
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
    lessened: float = 0.0
    divided: tuple[Divisions, ...] = ()


def entries_of(base: KnowledgeBase, words: MarkWords) -> Iterator[MarkEntry]:
    """Every mark variant of the knowledge base, marks without letters too."""
    for maker in base.makers.values():
        weight = _weight(base, maker) / max(len(maker.marks), 1)
        for mark in maker.marks:
            yield _entry(maker, mark, weight, words)


def weights_of(base: KnowledgeBase) -> Iterator[tuple[str, str, float]]:
    """Maker, mark and prior weight of all marks; of a maker that has none, with an empty mark."""
    for maker in base.makers.values():
        weight = _weight(base, maker)
        for mark in maker.marks:
            yield maker.name, mark.name, weight / len(maker.marks)
        if not maker.marks:
            yield maker.name, "", weight


def in_other_words(
    base: KnowledgeBase, entries: Sequence[MarkEntry], words: MarkWords
) -> Iterator[MarkEntry]:
    """Further texts by which makers are found: their names, and the first or last words of names
    and marks of several words.
    """
    known: defaultdict[str, set[str]] = defaultdict(set)
    for entry in entries:
        known[entry.maker].update((entry.own, entry.whole))
    spelled = {maker: set(letters) for maker, letters in known.items()}
    named = {maker.name: tuple(names_of(maker)) for maker in base.makers.values()}
    makers_with = Counter(
        word for texts in named.values() for word in {w for text in texts for w in words_of(text)}
    )
    shares = mark_shares(base)
    told_by_none = {word for word, makers in makers_with.items() if makers >= shares.common_word}
    told_by_none |= words.in_many_names
    for entry in entries:
        for part, chance, divided in _parts(entry.text, words, told_by_none, shares):
            if part not in known[entry.maker]:
                known[entry.maker].add(part)
                yield replace(
                    entry,
                    own=part,
                    whole=part,
                    beside=frozenset(),
                    lessened=log(chance),
                    divided=(divided, divided),
                )
    for maker in base.makers.values():
        for text in named[maker.name]:
            own, whole, _, (own_divided, divided) = apart(text, words)
            told = [word for word in words_of(text) if folded(word) in own]
            if all(word in told_by_none for word in told):
                title = maker.title.partition(" (")[0]
                bare = title if " " in title else maker.title
                if text not in (maker.title, bare, *maker.also):
                    continue  # `(shop)` behind a name
                own, own_divided = whole, divided  # `Quality Trading` is no TRADING
            parts = _parts(text, words, told_by_none, shares)
            some = {part: (shares.name_as_mark * share, where) for part, share, where in parts}
            full, where = (own, own_divided) if own else (whole, divided)
            # A name that a mark spells too: lists of marks have gaps, and it was used all along.
            if maker.works is not None and full in spelled.get(maker.name, ()):
                spelled[maker.name].remove(full)
                known[maker.name].discard(full)
            named_so = {full: (shares.name_as_mark, where), **some}
            for letters, (chance, where) in named_so.items():
                if len(letters) >= shares.shortest_part and letters not in known[maker.name]:
                    known[maker.name].add(letters)
                    weight = _weight(base, maker)
                    yield _name(maker, text, letters, log(chance), weight, (where, where))


def _parts(
    text: str, words: MarkWords, told_by_none: Container[str], shares: MarkShares
) -> Iterator[tuple[str, float, Divisions]]:
    """The first words, and the last words, of a text of several words, in folded letters, how
    often they alone are written down, and where they part.
    """
    each = words_of(text)
    own, _ = words.apart(each)
    told = [each[place] for place in own]
    written = written_words(text)
    spelt = [written[place] for place in own]
    for size in range(1, len(told)):
        for some, as_written, chance in (
            (told[:size], spelt[:size], shares.first_words),
            (told[-size:], spelt[-size:], shares.last_words),
        ):
            letters = folded("".join(some))
            common = all(w in told_by_none or len(w) < shares.shortest_part for w in some)
            if len(letters) >= shares.shortest_part and not common:
                yield letters, chance, divisions_of(as_written)


def names_of(maker: Maker) -> Iterator[str]:
    """The names of a maker: title and other names, what stands in brackets apart."""
    for text in (maker.title, *maker.also):
        for part in _BRACKETS.split(text):
            yield from (each.strip() for each in part.split(" / ") if folded(each))


def _name(
    maker: Maker,
    text: str,
    letters: str,
    lessened: float,
    weight: float,
    divided: tuple[Divisions, Divisions],
) -> MarkEntry:
    return MarkEntry(
        maker=maker.name,
        title=maker.title,
        mark="",
        text=text,
        own=letters,
        whole=letters,
        beside=frozenset(),
        words_only=False,
        lines=1,
        form="",
        method="",
        symbol="",
        country=maker.country,
        place="",
        weight=weight,
        used=maker.works,
        lessened=lessened,
        divided=divided,
    )


def _weight(base: KnowledgeBase, maker: Maker) -> float:
    common = base.commonness.get(maker.common.name) if maker.common else None
    return common.weight if common else 1.0


def _entry(maker: Maker, mark: Mark, weight: float, words: MarkWords) -> MarkEntry:
    own, whole, beside, (divided, all_divided) = apart(mark.text, words)
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
        divided=(divided if own else all_divided, all_divided),
    )


def apart(
    text: str, words: MarkWords
) -> tuple[str, str, frozenset[str], tuple[Divisions, Divisions]]:
    """The maker's letters, all letters, and the phrases beside them, of a mark's text; and where
    the words of the first two part.
    """
    each, written = words_of(text), written_words(text)
    own, beside = words.apart(each)
    whole, divided = folded(text), divisions_of(written)
    if len(own) == len(each):
        return whole, whole, frozenset(), (divided, divided)
    letters = folded("".join(each[place] for place in own))
    own_divided = divisions_of(written[place] for place in own)
    return letters, whole, frozenset(beside), (own_divided, divided)
