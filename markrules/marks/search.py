"""Finding the mark from what is left of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import exp, log

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import MarkEvidence, MarkHypothesis
from markrules.language.tree import Window
from markrules.marks.alignment import Alignment, align
from markrules.marks.candidates import SmallIndex, candidates
from markrules.marks.context import ContextModel, context_model
from markrules.marks.entries import MarkEntry, entries_of
from markrules.marks.explanation import assumed, tell_apart
from markrules.marks.letter_model import LetterModel, letter_model, unknown_log_likelihood
from markrules.marks.likelihood import log_likelihoods
from markrules.marks.reading_syntax import MarkQuery, parse, read_text
from markrules.marks.reading_variants import ReadingVariant, variants
from markrules.marks.vocabulary import Vocabulary, vocabulary
from markrules.marks.wear import WearModel, compiled, shipped_wear_model

SCORED = 80
"""Texts of a knowledge base scored for each reading."""

WORTH_KEEPING = 14.0
"""Candidates whose log-likelihood lies further than this below the best are not evidence: with
the priors in use they would hold less than a millionth of the probability."""


@dataclass(frozen=True, slots=True)
class MarkResult:
    """One maker that may stand behind a reading, by its likeliest mark.

    `score` is the natural log of P(what was read | mark); `probability` the posterior of the
    maker, beside all other makers and marks that are in no list. `variants` are other marks of
    the maker that fit nearly as well. `assumed` says what must have happened to the mark, and
    `tell_apart` what to look at to tell it from the result before (the first: from the second).
    """

    maker: str
    title: str
    mark: str
    text: str
    score: float
    probability: float
    aligned: Alignment | None
    assumed: tuple[str, ...]
    used: Window | None
    form: str
    method: str
    symbol: str
    tell_apart: str
    variants: tuple[str, ...] = ()
    note: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class SearchAnswer:
    """The results, best first; `none_of_these` is the probability that the mark is in no list."""

    query: MarkQuery
    results: tuple[MarkResult, ...]
    none_of_these: float


@dataclass(frozen=True, slots=True)
class _Scored:
    entry: MarkEntry
    score: float
    variant: ReadingVariant


class MarkSearch:
    """Search over the marks of a knowledge base, held in memory."""

    def __init__(
        self,
        entries: Iterable[MarkEntry],
        words: Vocabulary,
        unknown_weight: float,
        wear: WearModel | None = None,
    ) -> None:
        """Index the entries. `unknown_weight` is the weight of all marks that are in no list,
        beside the weights of the entries; `wear` is the shipped model unless given.
        """
        self.entries = tuple(entries)
        self.words = words
        self.unknown_weight = unknown_weight
        self.wear = wear or shipped_wear_model()
        self.letters: LetterModel = letter_model({entry.own for entry in self.entries})
        self.context: ContextModel = context_model(self.entries, words)
        self._by_text: dict[str, list[tuple[MarkEntry, bool]]] = {}
        for entry in self.entries:
            self._by_text.setdefault(entry.own, []).append((entry, True))
            if entry.whole != entry.own:
                self._by_text.setdefault(entry.whole, []).append((entry, False))
        self._index = SmallIndex(text for text in self._by_text if text)
        self._evidence = lru_cache(maxsize=4096)(self._weigh)

    def search(self, query: MarkQuery | str, k: int = 10) -> SearchAnswer:
        """The `k` likeliest makers, best first.

        Raises MarkSyntaxError where a text breaks the reading syntax.
        """
        parsed = parse(query) if isinstance(query, str) else query
        scored, unknown = self._scored(parsed)
        return self._answer(parsed, scored, unknown, k)

    def evidence(self, texts: str | Sequence[str]) -> MarkEvidence:
        """What the texts on a piece say of its maker, for a reading of the piece.

        Without a letter of a maker's own, or with a text that cannot be searched, there are no
        candidates. Never raises for a bad text.
        """
        return self._evidence((texts,) if isinstance(texts, str) else tuple(texts))

    def _weigh(self, texts: tuple[str, ...]) -> MarkEvidence:
        read = " / ".join(texts)
        query = read_text(read)
        if query is None:
            return MarkEvidence(read, (), 0.0)
        scored, unknown = self._scored(query)
        least = max((each.score for each in scored), default=0.0) - WORTH_KEEPING
        kept = tuple(
            MarkHypothesis(each.entry.maker, each.entry.mark, each.score)
            for each in scored
            if each.score >= least
        )
        return MarkEvidence(read, kept, unknown)

    def _scored(self, query: MarkQuery) -> tuple[list[_Scored], float]:
        """Every mark worth it with its log-likelihood, and that of a mark in no list."""
        best: dict[int, _Scored] = {}
        unknown = float("-inf")
        for variant in variants(query, self.words):
            unknown = max(unknown, self._unknown(variant))
            for entry, score in self._scores(variant):
                known = best.get(id(entry))
                if known is None or score > known.score:
                    best[id(entry)] = _Scored(entry, score, variant)
        return sorted(best.values(), key=_rank), unknown

    def _scores(self, variant: ReadingVariant) -> Iterable[tuple[MarkEntry, float]]:
        if not variant.cells:
            for entry in self.entries:
                if not entry.own:
                    yield entry, self.context.log_likelihood(variant, entry, True)
            return
        reading = compiled(self.wear, variant.cells)
        texts = candidates(self._index, variant.cells, self.wear, SCORED)
        for text, letters in zip(texts, log_likelihoods(reading, texts), strict=True):
            for entry, own in self._by_text[text]:
                if variant.fits(own, entry.words_only, entry.own == entry.whole):
                    yield entry, letters + self.context.log_likelihood(variant, entry, own)

    def _unknown(self, variant: ReadingVariant) -> float:
        letters = unknown_log_likelihood(self.letters, self.wear.rates, variant.cells)
        if variant.nobody:
            letters = max(letters, self.context.words_of_anyone(variant.nobody))
        return letters + self.context.unknown(variant)

    def _answer(
        self, query: MarkQuery, scored: list[_Scored], unknown: float, k: int
    ) -> SearchAnswer:
        top = max([unknown, *(each.score for each in scored)])
        none = self.unknown_weight * exp(unknown - top)
        shares = [each.entry.weight * exp(each.score - top) for each in scored]
        total = none + sum(shares)
        makers: dict[str, list[int]] = {}
        for place, each in enumerate(scored):
            makers.setdefault(each.entry.maker, []).append(place)
        mass = {maker: sum(shares[i] for i in places) for maker, places in makers.items()}
        order = sorted(makers, key=lambda maker: (-mass[maker], maker))[:k]
        firsts = [scored[max(makers[maker], key=lambda i: shares[i])] for maker in order]
        results = []
        for place, each in enumerate(firsts):
            other = firsts[place - 1] if place else firsts[1] if len(firsts) > 1 else None
            near = [i for i in makers[order[place]] if scored[i] is not each]
            results.append(
                self._result(each, other, mass[order[place]] / total, [scored[i] for i in near])
            )
        return SearchAnswer(query, tuple(results), none / total)

    def _result(
        self, each: _Scored, other: _Scored | None, probability: float, near: list[_Scored]
    ) -> MarkResult:
        entry = each.entry
        struck = entry.whole if each.variant.whole else entry.own
        aligned = None
        if each.variant.cells and struck:
            aligned = align(compiled(self.wear, each.variant.cells), struck)
        close = [
            one.entry.text or one.entry.symbol for one in near if one.score > each.score - log(20)
        ]
        return MarkResult(
            maker=entry.maker,
            title=entry.title,
            mark=entry.mark,
            text=entry.text,
            score=each.score,
            probability=probability,
            aligned=aligned,
            assumed=assumed(aligned, each.variant, entry),
            used=entry.used,
            form=entry.form,
            method=entry.method,
            symbol=entry.symbol,
            tell_apart=tell_apart(entry, other.entry) if other else "",
            variants=tuple(dict.fromkeys(close)),
            note=entry.note,
            source=entry.source,
        )


def _rank(each: _Scored) -> tuple[float, int, str, str]:
    return (-each.score, len(each.entry.own), each.entry.maker, each.entry.mark)


def build_small(base: KnowledgeBase) -> MarkSearch:
    """A search over the marks of a knowledge base."""
    words = vocabulary(base)
    return MarkSearch(entries_of(base, words), words, base.setting("unknown-maker", 30.0))
