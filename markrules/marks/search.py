"""Finding the mark from what is left of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property, lru_cache, partial
from itertools import permutations, repeat
from math import exp, inf, log
from typing import TYPE_CHECKING

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import LEAST_SHOWN, ImportedMark, MarkEvidence, MarkHypothesis
from markrules.marks.candidates import FEWEST, LOOKED_AT, SHORT, Candidate, candidates
from markrules.marks.context import ContextModel, context_rates, division_rates
from markrules.marks.entries import MarkEntry
from markrules.marks.kept import KeptMarks, kept_vocabulary
from markrules.marks.letters import ALPHABET
from markrules.marks.likelihood import (
    log_likelihood,
    log_likelihoods,
    mixed_log_likelihoods,
)
from markrules.marks.lists import MarkList, OtherMarks
from markrules.marks.mark_shares import mark_shares
from markrules.marks.name_model import NameModel, shipped_name_model
from markrules.marks.reading_syntax import Cell, MarkQuery, parse, read_text
from markrules.marks.reading_variants import ReadingVariant, variants
from markrules.marks.results import ScoredMark
from markrules.marks.unlisted import (
    shared_initials,
    unlisted_log_likelihood,
    unlisted_shares,
)
from markrules.marks.vocabulary import CODE, NUMBER, MarkWords
from markrules.marks.wear import (
    UNREAD_CHANCE,
    Compiled,
    WearModel,
    compiled,
    rates_by_ear,
    rates_in_full,
    rates_in_part,
    wear_model,
)

if TYPE_CHECKING:
    from markrules.marks.description import Descriptions
    from markrules.marks.results import SearchAnswer

WORTH_KEEPING = 14.0
"""Candidates whose log-likelihood lies further than this below the best are not evidence: with
the priors in use they would hold less than a millionth of the probability."""

HOPELESS = 11.0
"""A mark whose log-likelihood lies about so far below that of a mark in no list is no evidence."""

FEWEST_AS_EVIDENCE = 5
"""A reading needs no marks to compare with: those that share little weigh nothing."""

POOR = -16.0
"""With a best log-likelihood below this, unread letters aside, a reading is tried from right to
left too: well below that of a mark read with two letters wrong, and of `turned_about`."""

NEAREST_TRIED = 6
"""Of the likeliest marks, so many are looked at for the nearest one."""

LOOKED_AT_OWN = 20
"""Marks of a person's own list that are scored for each reading of a piece in part: only those of a
long list that share most with it can weigh anything, and each stands for all that share as much."""

MOST_ALIKE = 20
"""Marks of one's own that have the same letters, as far as it bears on whether they can weigh
anything: more makers seldom share more than two letters."""

OWN = "own:"
"""Stands before the name of a maker from a person's own list, so that it is none of the rules'."""


class MarkSearch:
    """Search over lists of marks.

    `marks` are those of the knowledge base; `more` are other lists, such as a user's own.
    """

    def __init__(
        self,
        base: KnowledgeBase,
        more: Sequence[OtherMarks] = (),
        wear: WearModel | None = None,
    ) -> None:
        """Take the marks of the knowledge base, and use `wear` in place of the rules' own model."""
        self.base, self.shares = base, mark_shares(base)
        self.words: MarkWords = kept_vocabulary(base)
        self.marks = KeptMarks(base)
        self.others: tuple[OtherMarks, ...] = tuple(more)
        self.lists: tuple[MarkList, ...] = (self.marks, *more)
        self.wear = wear or wear_model(base)
        self.context = ContextModel(
            self.words, self._descriptions, context_rates(base), division_rates(base)
        )
        # Doubts are as few as the words for them; in a box the same marks come again and again.
        self._wear_at = lru_cache(maxsize=16)(self._wear_for)
        self._part_at = lru_cache(maxsize=16)(self._part_for)
        self._variants = lru_cache(maxsize=64)(partial(variants, words=self.words))
        self._compared = lru_cache(maxsize=1024)(self._compare)
        self._evidence = lru_cache(maxsize=4096)(self._weigh)
        self._listed = lru_cache(maxsize=1024)(self._is_listed)

    @cached_property
    def names(self) -> NameModel:
        """How names that are in no list are spelt."""
        return shipped_name_model()

    @cached_property
    def doubt(self) -> float:
        """The chance that a mark written down in full, without a word of doubt, was worn and
        guessed at: the setting `full-doubt`.
        """
        return self.base.setting("full-doubt")

    @cached_property
    def _initials_share(self) -> float:
        """Of the marks in no list, those of two letters: the setting `initials-share`."""
        return self.base.setting("initials-share")

    def _wear_for(self, doubt: float, copied: bool, by_ear: float) -> WearModel:
        """The model of wear for a mark read with so much doubt: 0 in full, 1 in part; whether it is
        written in capitals, as it stands on the piece; and the chance that it is known by ear.
        """
        if doubt >= 1:
            return self.wear
        full = rates_in_full(self.base, self.wear.rates)
        if copied:
            full = full.less_by_ear(self.base.setting("copied-by-ear"))
        if doubt < self.doubt:  # who says that it is clear has looked twice, at every letter
            full = full.rarer(doubt / self.doubt)
        rates = full.towards(self.wear.rates, doubt)
        if not by_ear:
            return self.wear.with_rates(rates)
        heard = self.wear.with_rates(rates_by_ear(self.base, rates))
        return self.wear.with_rates(rates, (by_ear, heard))

    def _part_for(self, doubt: float) -> WearModel:
        """The same for a mark of which the reader saw that something is lost."""
        if doubt >= 1:
            return self.wear
        part, worn = (
            rates_in_part(self.base, self.wear.rates, of).towards(self.wear.rates, doubt)
            for of in ("part-", "part-worn-")
        )
        share = self.base.setting("part-worn")
        return self.wear.with_rates(part, (share, self.wear.with_rates(worn)))

    def wear_of(
        self, query: MarkQuery, doubt: float | None = None, by_ear: float = 0.0
    ) -> WearModel:
        """The model of wear for a reading: between that of one in full, or in part, and that of a
        worn mark; `by_ear` is the chance that a name told in full was written as it was heard.
        """
        chance = self.doubt if doubt is None else min(1.0, doubt)
        if query.in_full:
            return self._wear_at(chance, query.text.isupper(), by_ear)
        return self._part_at(chance)

    @property
    def unknown_weight(self) -> float:
        """The prior weight of all marks that are in no list."""
        listed = sum(each.weight for each in self.lists)
        set_by_rules = self.base.setting("unknown-maker")
        return max(set_by_rules, self.shares.not_listed / (1 - self.shares.not_listed) * listed)

    def weight_of(self, maker: str, mark: str) -> float:
        """The prior weight of a mark of the rules, or with an empty `mark` of its maker."""
        return self._weights.get((maker, mark), 0.0)

    @cached_property
    def _weights(self) -> dict[tuple[str, str], float]:
        found: dict[tuple[str, str], float] = {}
        for maker, mark, weight in self.marks.weights:
            found[maker, mark] = weight
        for maker, mark, weight in self.marks.weights:
            if mark:
                # A maker is as common as all its marks together.
                found[maker, ""] = found.get((maker, ""), 0.0) + weight
        return found

    def search(
        self, query: MarkQuery | str, k: int = 10, doubt: float | None = None
    ) -> SearchAnswer:
        """The `k` likeliest makers, best first.

        `doubt` is the chance that a reading in full was guessed at, 1 where letters may have been
        lost or misread as in a worn mark; left out, the rules' own (`doubt`). Raises
        MarkSyntaxError where a text breaks the reading syntax.
        """
        # What only a list of results needs is not loaded for the reading of a piece.
        from markrules.marks.letters_explained import explained
        from markrules.marks.results import SearchAnswer

        parsed = parse(query) if isinstance(query, str) else query
        found, unknown = self._scored(parsed, self.wear_of(parsed, doubt))
        none, order = self._shares(found, unknown)
        results = explained(found, order[:k])
        return SearchAnswer(parsed, results, none, self.context.not_used(parsed.described))

    def evidence(
        self, texts: str | Sequence[str], doubt: float | None = None, by_ear: float = 0.0
    ) -> MarkEvidence:
        """What the texts on a piece say of its maker, for a reading of the piece.

        `doubt` is as for `search`, `by_ear` as for `wear_of`. Without a letter that can be searched
        there are no candidates. Never raises for a bad text. Only marks of the knowledge base are
        candidates.
        """
        return self._evidence((texts,) if isinstance(texts, str) else tuple(texts), doubt, by_ear)

    def _descriptions(self) -> Descriptions:
        from markrules.marks.description import descriptions

        return descriptions(self.marks.entries, self.base)

    def _weigh(self, texts: tuple[str, ...], doubt: float | None, by_ear: float) -> MarkEvidence:
        read = " / ".join(texts)
        found, unknown = self._compared(texts, doubt, by_ear)
        least = found[0].score - WORTH_KEEPING if found else 0.0
        kept = tuple(
            MarkHypothesis(
                each.entry.maker, each.entry.mark, each.score, imported=self.imported(each)
            )
            for each in found
            if each.score >= least
        )
        return MarkEvidence(read, kept, unknown)

    def _compare(
        self, texts: tuple[str, ...], doubt: float | None, by_ear: float = 0.0
    ) -> tuple[list[ScoredMark], float]:
        """The listed marks that come near what was read, likeliest first, and the log-likelihood of
        a mark in no list; no marks where nothing can be searched.
        """
        query = read_text(" / ".join(texts))
        if query is None:
            return [], 0.0
        wear = self.wear_of(query, doubt, by_ear)
        found, unknown = self._scored(query, wear, self.lists[:1], as_evidence=True)
        if len(self.lists) > 1:
            more = self._imported(query, wear, unknown)
            found = sorted((*found, *more), key=_rank)
        return found, unknown

    def _imported(self, query: MarkQuery, wear: WearModel, unknown: float) -> list[ScoredMark]:
        """The marks of other lists than the rules' that come near what was read; `unknown` is the
        log-likelihood of a mark in no list.

        A legible reading is looked up by its letters: of a long list every other mark would weigh
        next to nothing. So would marks of a reading in part that, with their prior weight, are less
        than a millionth of those in no list (WORTH_KEEPING).
        """
        best: dict[tuple[str, str], ScoredMark] = {}
        tried = self._variants(query)
        if wear is self.wear or wear.otherwise is not None or not query.in_full:
            odds = self.base.setting("unknown-maker") / self._own_share
            least = unknown + log(odds) - WORTH_KEEPING
            self._try(tried, wear, self.lists[1:], FEWEST_AS_EVIDENCE, least, best)
            return list(best.values())
        for variant in tried:
            reading = compiled(wear, variant.cells)
            for each in self.others:
                for candidate, entry, own in each.with_letters(variant.plain):
                    if variant.fits(own, entry.words_only, entry.own == entry.whole):
                        (score,) = log_likelihoods(reading, [candidate.text])
                        score += self.context.log_likelihood(variant, entry, own)
                        found = ScoredMark(entry, score, variant, reading, candidate.stands_for)
                        best[entry.maker, entry.mark] = found
        return list(best.values())

    def imported(self, each: ScoredMark) -> ImportedMark | None:
        """What a mark of another list than the rules' brings along; None for one of the rules."""
        entry = each.entry
        if not entry.maker.startswith(OWN):
            return None
        share = self._own_share * each.stands_for
        return ImportedMark(entry.title, entry.text or entry.symbol, share, entry.used)

    @property
    def _own_share(self) -> float:
        """The prior weight of one mark of a person's own lists."""
        weight = sum(one.weight for one in self.lists[1:])
        return min(1.0, self.shares.own_lists / max(weight, 1.0))

    def nearest(
        self, text: str, doubt: float | None = None, maker: str = "", by_ear: float = 0.0
    ) -> tuple[MarkEntry, tuple[str, ...]] | None:
        """The listed mark nearest to a text, of one maker if one is named, and what must have
        happened for it to be read so; None where none comes near.

        Without a maker a mark is near where few letters would have to be lost, added or misread:
        one in so many of those read (setting `mark-near`).
        """
        from markrules.marks.letters_explained import explained, letters_wrong

        found, _ = self._compared((text,), doubt, by_ear)
        if maker:
            found = [each for each in found if each.entry.maker == maker]
        for best in found[: 1 if maker else NEAREST_TRIED]:
            (result,) = explained([best], [(1.0, [0])])
            read = len(best.variant.cells)
            if maker or letters_wrong(result.aligned) <= read // self.shares.near:
                return best.entry, result.assumed
        return None

    def listed_chance(self, text: str, by_ear: float = 0.0) -> float:
        """The probability that a text is the mark or name of any listed maker; `by_ear` as for
        `wear_of`.
        """
        found, unknown = self._compared((text,), None, by_ear)
        return 1.0 - self._shares(found, unknown)[0] if found else 0.0

    def is_listed(self, text: str) -> bool:
        """Whether a listed mark, or the name of a maker, has exactly these letters."""
        return self._listed(text)

    def makers_with(self, text: str) -> dict[str, str]:
        """The names of the makers of whom a listed mark has exactly these letters, by maker."""
        query = read_text(text)
        if query is None or not query.in_full:
            return {}
        letters = {each.plain for each in self._variants(query) if each.plain}
        return dict(pair for each in sorted(letters) for pair in self.marks.makers_with(each))

    def _is_listed(self, text: str) -> bool:
        query = read_text(text)
        if query is None or not query.in_full:
            return False
        return any(self.marks.has(each.plain) for each in self._variants(query) if each.plain)

    def _scored(
        self,
        query: MarkQuery,
        wear: WearModel,
        lists: Sequence[MarkList] | None = None,
        as_evidence: bool = False,
    ) -> tuple[list[ScoredMark], float]:
        """The marks worth it, likeliest first, and the log-likelihood of a mark in no list."""
        tried = self._variants(query)
        best: dict[tuple[str, str], ScoredMark] = {}
        among = lists or self.lists
        unlisted = [self._unlisted(wear, each.words) for each in tried]
        least = max(unlisted) - HOPELESS if as_evidence else -inf
        fewest = FEWEST_AS_EVIDENCE if as_evidence else FEWEST
        self._try(tried, wear, among, fewest, least, best)
        # What is unread lowers the score of every mark alike, and makes no reading poor.
        unread = sum(cell.kind == "unread" for cell in query.cells) * log(UNREAD_CHANCE)
        if max((each.score for each in best.values()), default=-inf) < POOR + unread:
            turned = [variant.turned_about() for variant in tried if len(variant.cells) > 2]
            if query.in_full and wear is not self.wear:
                # Legible: nothing but a mark that reads so to the letter.
                turned = [each for each in turned if self.marks.has(each.plain)]
            self._try(turned, wear, among, fewest, least, best)
        found = sorted(best.values(), key=_rank)
        return found, max(map(self._unknown, tried, repeat(wear), unlisted, repeat(found)))

    def _unlisted(self, wear: WearModel, words: Sequence[Sequence[Cell]]) -> float:
        """The natural log of P(letters | a mark in no list): of a name, or two initials."""
        made = unlisted_shares(self.base)
        name = unlisted_log_likelihood(
            self.names, wear, made, words, self.words.in_many_names, self.words.further
        )
        shared = self._initials_share * shared_initials(self.names, wear, made, words)
        return log(exp(name) + shared) if shared else name

    def _try(
        self,
        tried: Sequence[ReadingVariant],
        wear: WearModel,
        lists: Sequence[MarkList],
        fewest: int,
        least: float,
        best: dict[tuple[str, str], ScoredMark],
    ) -> None:
        """Score the marks for each variant, and keep the best score of each mark."""
        for variant in tried:
            for each in self._scores(variant, wear, lists, fewest, least):
                key = (each.entry.maker, each.entry.mark)
                if key not in best or each.score > best[key].score:
                    best[key] = each

    def _scores(
        self,
        variant: ReadingVariant,
        wear: WearModel,
        lists: Sequence[MarkList],
        fewest: int,
        least: float,
    ) -> Iterator[ScoredMark]:
        if not any(cell.kind == "letter" for cell in variant.cells):
            # No letter to look up: every mark is weighed by what else was said of it.
            for entry in self.marks.entries:
                yield ScoredMark(entry, self.context.log_likelihood(variant, entry, True), variant)
            return
        legible = variant.plain and wear is not self.wear
        turned = self.shares.turned_in_full if legible else self.shares.turned_about
        prior = log(turned) if variant.turned else 0.0
        readings = [(share, compiled(model, variant.cells)) for share, model in wear.shares]
        # Texts are looked for, and explained, by what may have gone most wrong.
        reading = readings[-1][1]
        indexes = [index for each in lists for index in each.indexes]
        if lists[0] is self.marks:
            found = candidates(indexes, reading, LOOKED_AT, fewest=fewest, least=least)
            lowest = -inf
        else:
            # Few enough to be scored at once; whose letters fit badly is not fetched. Letters in
            # another order, scored below, are possible for a few letters alone.
            found = candidates(indexes, reading, LOOKED_AT_OWN, LOOKED_AT_OWN, fewest, pairs=False)
            lowest = -inf if len(variant.cells) <= SHORT else least
        scores = mixed_log_likelihoods(readings, [each.text for each in found])
        letters = {
            (each.index, each.number): (each, score)
            for each, score in zip(found, scores, strict=True)
            if score + log(each.stands_for * MOST_ALIKE) >= lowest
        }
        for candidate, entry, own in _marks(lists, [each for each, _ in letters.values()]):
            if variant.fits(own, entry.words_only, entry.own == entry.whole):
                score = letters[candidate.index, candidate.number][1]
                swapped = self.shares.out_of_order(entry.form)
                score = _any_order(reading, candidate.text, swapped, score)
                score += prior + entry.lessened
                score += self.context.log_likelihood(variant, entry, own)
                yield ScoredMark(entry, score, variant, reading, candidate.stands_for)

    def _unknown(
        self, variant: ReadingVariant, wear: WearModel, letters: float, found: Sequence[ScoredMark]
    ) -> float:
        """The natural log of P(reading | a mark in no list); `letters` is that of its spelling."""
        if variant.plain.isdigit():  # a number of a style, a mould or a worker
            letters = max(letters, log(self.shares.number_beside) - len(variant.plain) * log(10))
        if CODE.fullmatch(variant.plain):
            drawn = sum(log(10 if each.isdigit() else 26) for each in variant.plain)
            letters = max(letters, log(self.shares.code_alone) - drawn)
        if variant.nobody and variant.plain:
            letters = max(letters, self.context.words_of_anyone(variant.nobody))
        elif variant.nobody:
            letters = log(exp(letters) + self._worn_word(variant, wear))
        elif variant.plain in self.words.in_many_names:
            letters = log(exp(letters) + self.shares.word_of_many / len(self.words.in_many_names))
        else:
            letters = log(exp(letters) + self._resembling(variant, found))
        return letters + self.context.unknown(variant)

    def _worn_word(self, variant: ReadingVariant, wear: WearModel) -> float:
        """P(a reading in part | nothing but the words of anyone that it may be).

        As rare as for a listed maker, and worn as its letters are: the beginning of a long word is
        the beginning of many a name as well.
        """
        together = "".join(variant.nobody)
        if NUMBER in together:
            return 0.0
        letters = log_likelihood(compiled(wear, variant.cells), together)
        share = self.context.words_of_anyone(variant.nobody)
        return self.context.rates.words_alone * exp(share + letters)

    def _resembling(self, variant: ReadingVariant, found: Sequence[ScoredMark]) -> float:
        """P(these letters | a mark in no list that is one letter off a listed one).

        Makers' marks resemble each other more than chance would have it: families, successors,
        imitations. The setting `resembles` is the share of unlisted marks that lie one letter from
        a given listed mark; the better a maker is known, the more of them lie near its marks.
        Counted only where every letter was read.
        """
        read = variant.plain
        if len(read) < self.shares.resembles_least:
            return 0.0
        near = [
            each.entry.weight
            for each in found
            if not each.variant.turned and one_letter_off(read, each.entry.own)
        ]
        usual = self.marks.weight / max(self.marks.count, 1)
        share = self.base.setting("resembles")
        # Texts one letter off: one put in at n + 1 places, one of n changed, one of n left out.
        ways = len(ALPHABET) * (2 * len(read) + 1) + len(read)
        return sum(near) / usual * share / ways

    def _shares(
        self, found: list[ScoredMark], unknown: float
    ) -> tuple[float, list[tuple[float, list[int]]]]:
        """The probability of none, and for each maker its probability and marks, best first."""
        # Against the greatest, so that exp of none is beyond what a float holds.
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
                _shown_first(found, shares, places),
            )
            for places in makers.values()
        ]
        # Alike likely: the shorter mark first, so that no longer one pushes it out.
        order.sort(key=lambda each: (-each[0], _rank(found[each[1][0]])))
        return none / (none + crowd), order


def _shown_first(
    found: Sequence[ScoredMark], shares: Sequence[float], places: Iterable[int]
) -> list[int]:
    """The places of one maker's marks, the likeliest first, a listed mark before its name."""
    order = sorted(places, key=lambda place: -shares[place])
    least = LEAST_SHOWN * shares[order[0]]
    first = next(
        (at for at in order if found[at].entry.mark and shares[at] >= least),
        order[0],
    )
    return [first, *(at for at in order if at != first)]


def _marks(
    lists: Sequence[MarkList], found: Sequence[Candidate]
) -> Iterator[tuple[Candidate, MarkEntry, bool]]:
    """The marks of all lists with the texts found; an index keeps its number over all lists."""
    if len(lists) == 1:
        yield from lists[0].marks_of(found)
        return
    first = 0
    for each in lists:
        last = first + len(each.indexes)
        own = [replace(one, index=one.index - first) for one in found if first <= one.index < last]
        for candidate, entry, is_own in each.marks_of(own):
            yield replace(candidate, index=candidate.index + first), entry, is_own
        first = last


def _any_order(reading: Compiled, text: str, swapped: float, score: float) -> float:
    """The score of two or three letters, with the chance that they were read out of order."""
    cells = reading.cells
    if len(text) != len(cells) or len(text) not in (2, 3) or reading.has_gap:
        return score
    orders = [order for order in permutations(text) if order != tuple(text)]
    total = 0.0
    for order in orders:  # none of the other orders is likelier than the next
        chance = swapped / len(orders)
        for place, letter in enumerate(order):
            chance *= reading.row(letter)[place]
        total += chance
    return log(exp(score) + total) if total > 0 else score


def _rank(each: ScoredMark) -> tuple[float, int, str, str]:
    return (-each.score, len(each.entry.own), each.entry.maker, each.entry.mark)


def one_letter_off(one: str, other: str) -> bool:
    """Whether one letter exchanged, left out or put in makes one text the other."""
    if abs(len(one) - len(other)) > 1 or one == other:
        return False
    same = 0
    for first, second in zip(one, other, strict=False):
        if first != second:
            break
        same += 1
    skip = len(one) >= len(other), len(other) >= len(one)
    return one[same + skip[0] :] == other[same + skip[1] :]


def build_small(base: KnowledgeBase) -> MarkSearch:
    """A search over the marks of a knowledge base."""
    return MarkSearch(base)
