"""Finding the mark from what is left of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import permutations
from math import exp, inf, log
from typing import TYPE_CHECKING

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import MarkEvidence, MarkHypothesis
from markrules.marks.candidates import FEWEST, Candidate, candidates
from markrules.marks.context import ContextModel
from markrules.marks.entries import MarkEntry, entries_of
from markrules.marks.letter_model import LetterModel, letter_model, unknown_log_likelihood
from markrules.marks.likelihood import log_likelihoods
from markrules.marks.lists import ListedMarks, MarkList
from markrules.marks.reading_syntax import MarkQuery, parse, read_text
from markrules.marks.reading_variants import ReadingVariant, variants
from markrules.marks.results import Scored
from markrules.marks.vocabulary import Vocabulary, vocabulary
from markrules.marks.wear import UNREAD_CHANCE, Compiled, WearModel, compiled, shipped_wear_model

if TYPE_CHECKING:
    from markrules.marks.description import Descriptions
    from markrules.marks.results import SearchAnswer

WORTH_KEEPING = 14.0
"""Candidates whose log-likelihood lies further than this below the best are not evidence: with
the priors in use they would hold less than a millionth of the probability."""

FEWEST_AS_EVIDENCE = 5
"""A reading needs no marks to compare with: those that share little weigh nothing."""

TURNED_ABOUT = 0.0005
"""P(a mark is read from right to left, as from a mould). Set by reason."""

POOR = -16.0
"""With a best log-likelihood below this, unread letters aside, a reading is tried from right to
left too: well below that of a mark read with two letters wrong, and of TURNED_ABOUT."""

OUT_OF_ORDER = {"monogram": 0.08, "ligature": 0.08, "": 0.01, "block": 0.003}
"""P(two or three letters are read in another order), by the form of the mark: the letters of a
monogram have none. Set by reason; other forms as `block`."""

NOT_LISTED = 0.05
"""The share of marks that no list holds is at least this, however long the lists. Set by
reason: registers have gaps, and pieces come from places that they do not cover."""


class MarkSearch:
    """Search over lists of marks.

    `marks` are those of the knowledge base; `more` are other lists, such as a user's own.
    """

    def __init__(
        self,
        base: KnowledgeBase,
        more: Sequence[MarkList] = (),
        wear: WearModel | None = None,
    ) -> None:
        """Take the marks of the knowledge base, and use `wear` in place of the shipped model."""
        self.base = base
        self.words: Vocabulary = vocabulary(base)
        self.marks = ListedMarks(entries_of(base, self.words))
        self.lists: tuple[MarkList, ...] = (self.marks, *more)
        self.wear = wear or shipped_wear_model()
        self.letters: LetterModel = letter_model({entry.own for entry in self.marks.entries})
        self.context = ContextModel(self.words, self._descriptions)
        self._evidence = lru_cache(maxsize=4096)(self._weigh)

    @property
    def unknown_weight(self) -> float:
        """The prior weight of all marks that are in no list."""
        listed = sum(each.weight for each in self.lists)
        set_by_rules = self.base.setting("unknown-maker", 30.0)
        return max(set_by_rules, NOT_LISTED / (1 - NOT_LISTED) * listed)

    def search(self, query: MarkQuery | str, k: int = 10) -> SearchAnswer:
        """The `k` likeliest makers, best first.

        Raises MarkSyntaxError where a text breaks the reading syntax.
        """
        # What only a list of results needs is not loaded for the reading of a piece.
        from markrules.marks.explanation import explained
        from markrules.marks.results import SearchAnswer

        parsed = parse(query) if isinstance(query, str) else query
        found, unknown = self._scored(parsed)
        none, order = self._shares(found, unknown)
        results = explained(found, order[:k])
        return SearchAnswer(parsed, results, none, self.context.not_used(parsed.described))

    def evidence(self, texts: str | Sequence[str]) -> MarkEvidence:
        """What the texts on a piece say of its maker, for a reading of the piece.

        Without a letter that can be searched there are no candidates. Never raises for a bad
        text. Only marks of the knowledge base are candidates.
        """
        return self._evidence((texts,) if isinstance(texts, str) else tuple(texts))

    def _descriptions(self) -> Descriptions:
        from markrules.marks.description import descriptions

        return descriptions(self.marks.entries, self.base)

    def _weigh(self, texts: tuple[str, ...]) -> MarkEvidence:
        read = " / ".join(texts)
        query = read_text(read)
        if query is None:
            return MarkEvidence(read, (), 0.0)
        found, unknown = self._scored(query, self.lists[:1], FEWEST_AS_EVIDENCE)
        least = found[0].score - WORTH_KEEPING if found else 0.0
        kept = tuple(
            MarkHypothesis(each.entry.maker, each.entry.mark, each.score)
            for each in found
            if each.score >= least
        )
        return MarkEvidence(read, kept, unknown)

    def _scored(
        self,
        query: MarkQuery,
        lists: Sequence[MarkList] | None = None,
        fewest: int = FEWEST,
    ) -> tuple[list[Scored], float]:
        """The marks worth it, likeliest first, and the log-likelihood of a mark in no list."""
        tried = variants(query, self.words)
        best: dict[tuple[str, str], Scored] = {}
        unknown = max(map(self._unknown, tried))
        self._try(tried, lists or self.lists, fewest, best)
        unread = sum(cell.kind == "unread" for cell in query.cells) * log(UNREAD_CHANCE)
        if max((each.score for each in best.values()), default=-inf) < POOR + unread:
            turned = [variant.turned_about() for variant in tried if len(variant.cells) > 2]
            self._try(turned, lists or self.lists, fewest, best)
        return sorted(best.values(), key=_rank), unknown

    def _try(
        self,
        tried: Sequence[ReadingVariant],
        lists: Sequence[MarkList],
        fewest: int,
        best: dict[tuple[str, str], Scored],
    ) -> None:
        """Score the marks for each variant, and keep the best score of each mark."""
        for variant in tried:
            for each in self._scores(variant, lists, fewest):
                key = (each.entry.maker, each.entry.mark)
                if key not in best or each.score > best[key].score:
                    best[key] = each

    def _scores(
        self, variant: ReadingVariant, lists: Sequence[MarkList], fewest: int
    ) -> Iterator[Scored]:
        if not any(cell.kind == "letter" for cell in variant.cells):
            for entry in self.marks.entries:
                yield Scored(entry, self.context.log_likelihood(variant, entry, True), variant)
            return
        prior = log(TURNED_ABOUT) if variant.turned else 0.0
        reading = compiled(self.wear, variant.cells)
        indexes = [index for each in lists for index in each.indexes]
        found = candidates(indexes, reading, fewest=fewest)
        scores = log_likelihoods(reading, [each.text for each in found])
        letters = {
            (each.index, each.number): (each, score)
            for each, score in zip(found, scores, strict=True)
        }
        for candidate, entry, own in _marks(lists, [each for each, _ in letters.values()]):
            if variant.fits(own, entry.words_only, entry.own == entry.whole):
                score = letters[candidate.index, candidate.number][1]
                score = _any_order(reading, candidate.text, entry.form, score)
                score += prior + self.context.log_likelihood(variant, entry, own)
                yield Scored(entry, score, variant, reading, candidate.stands_for)

    def _unknown(self, variant: ReadingVariant) -> float:
        letters = unknown_log_likelihood(self.letters, self.wear.rates, variant.cells)
        if variant.nobody:
            letters = max(letters, self.context.words_of_anyone(variant.nobody))
        return letters + self.context.unknown(variant)

    def _shares(
        self, found: list[Scored], unknown: float
    ) -> tuple[float, list[tuple[float, list[int]]]]:
        """The probability of none, and for each maker its probability and marks, best first."""
        top = max([unknown, *(each.score for each in found)])
        shares = [each.entry.weight * exp(each.score - top) for each in found]
        none = self.unknown_weight * exp(unknown - top)
        crowd = sum(s * each.stands_for for s, each in zip(shares, found, strict=True))
        makers: dict[str, list[int]] = {}
        for place, each in enumerate(found):
            makers.setdefault(each.entry.maker, []).append(place)
        order = [
            (
                sum(shares[place] for place in places) / (none + crowd),
                sorted(places, key=lambda place: -shares[place]),
            )
            for places in makers.values()
        ]
        # Alike likely: the shorter mark first, so that no longer one pushes it out.
        order.sort(key=lambda each: (-each[0], _rank(found[each[1][0]])))
        return none / (none + crowd), order


def _marks(
    lists: Sequence[MarkList], found: Sequence[Candidate]
) -> Iterator[tuple[Candidate, MarkEntry, bool]]:
    """The marks of all lists with the texts found; an index keeps its number over all lists."""
    first = 0
    for each in lists:
        last = first + len(each.indexes)
        own = [replace(one, index=one.index - first) for one in found if first <= one.index < last]
        for candidate, entry, is_own in each.marks_of(own):
            yield replace(candidate, index=candidate.index + first), entry, is_own
        first = last


def _any_order(reading: Compiled, text: str, form: str, score: float) -> float:
    """The score of two or three letters, with the chance that they were read out of order."""
    cells = reading.cells
    if len(text) != len(cells) or len(text) not in (2, 3) or reading.has_gap:
        return score
    swapped = OUT_OF_ORDER.get(form, OUT_OF_ORDER["block"])
    orders = [order for order in permutations(text) if order != tuple(text)]
    total = 0.0
    for order in orders:
        chance = swapped / len(orders)
        for place, letter in enumerate(order):
            chance *= reading.row(letter)[place]
        total += chance
    return log(exp(score) + total) if total > 0 else score


def _rank(each: Scored) -> tuple[float, int, str, str]:
    return (-each.score, len(each.entry.own), each.entry.maker, each.entry.mark)


def build_small(base: KnowledgeBase) -> MarkSearch:
    """A search over the marks of a knowledge base."""
    return MarkSearch(base)
