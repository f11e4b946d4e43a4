"""P(what was read | a mark that is in no list): its words are spelt as names are.

The same process of wear as in `wear`, with the words of the mark drawn from the model of names
and summed out: a forward pass over the places of the reading, which keeps for each run of letters
that may have come before how likely it is. A run that becomes too unlikely goes on as a run of
which nothing is known. Initials are words of their own kind.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import product
from math import exp, log, prod

from markrules.frozen import dataclass
from markrules.knowledge.base import Chance, KnowledgeBase, Several
from markrules.marks.further_words import AND, NONE_FURTHER, Further
from markrules.marks.letters import ALPHABET
from markrules.marks.likelihood import added, log_likelihoods
from markrules.marks.name_model import ORDER, SIGNS, START, NameModel
from markrules.marks.reading_syntax import Cell
from markrules.marks.usual_names import names_near, usual_name
from markrules.marks.wear import WearModel, compiled, in_other_letters


@dataclass(frozen=True, slots=True)
class UnlistedShares:
    """How marks that no list holds are made up, each the setting `unlisted-NAME`, with hyphens.

    `initials`: the share of their words that are initials; `initials_of_one` to `initials_of_four`:
    of those, the ones of so many letters. `another_word`: a further word follows a word. `pairs`:
    of so many pairs of letters, were all alike common, one is a maker's; two makers that sign with
    two letters sign with the same two as often; `partner_pairs`: the same of two letters with `&`
    between them, and `partners`: how many of the makers that sign with two letters do so.
    `named_initials`: of initials, the letters that are met as often as names begin with them; the
    others are met alike. `usual`:
    of the words of a name of several words, those of which many names are made. `usual_names`: of
    the words that are no initials, those that are surnames and given names, each as often as people
    bear it. `other_script`: the share of words in letters other than Latin ones, and
    `other_letter`: how likely a letter of such a word is, whatever stands before it.
    """

    initials: Chance
    initials_of_one: Chance
    initials_of_two: Chance
    initials_of_three: Chance
    initials_of_four: Chance
    another_word: Chance
    pairs: Several
    partner_pairs: Several
    partners: Chance
    named_initials: Chance
    usual: Chance
    usual_names: Chance
    other_script: Chance
    other_letter: Chance

    def initials_long(self, letters: int) -> float:
        """Of initials, those of so many letters."""
        each = (
            self.initials_of_one,
            self.initials_of_two,
            self.initials_of_three,
            self.initials_of_four,
        )
        return each[letters - 1] if 0 < letters <= len(each) else 0.0


@lru_cache(maxsize=8)
def unlisted_shares(base: KnowledgeBase) -> UnlistedShares:
    """The shares of a knowledge base. Raises UnfitSetting."""
    return base.settings_as(UnlistedShares, "unlisted-")


# How finely the sum is taken, and no knowledge: more of each gives the same answers, slower.
KEPT = 12
"""Letters after each run that are followed up by themselves where a letter is doubtful."""

_MOST_RUNS = 32
"""Runs of letters that are told apart from place to place; the others go on as one."""

_FOLLOWED = 0.05
"""A letter is followed up by itself from this part of the likeliest letter's chance on."""

_END = len(SIGNS) - 1
_Runs = dict[str, float]


def unlisted_log_likelihood(
    names: NameModel,
    wear: WearModel,
    shares: UnlistedShares,
    words: Sequence[Sequence[Cell]],
    usual: frozenset[str] = frozenset(),
    further: Further = NONE_FURTHER,
) -> float:
    """The natural log of P(reading | a mark in no list), for the places of each word read.

    `usual` are words of which many names are made, whatever they are spelt like (`KORU`): a word of
    a longer name is one of them with `shares.usual`, each as likely as the next. `further` are the
    words that follow others, such as CO, with their shares.
    """
    logs = [
        log(share) + _unlisted(names, model, shares, words, usual, further)
        for share, model in wear.shares
    ]
    return logs[0] if len(logs) == 1 else added(logs)


def _unlisted(
    names: NameModel,
    wear: WearModel,
    shares: UnlistedShares,
    words: Sequence[Sequence[Cell]],
    usual: frozenset[str],
    further: Further,
) -> float:
    """The same where one thing befell the mark."""
    chance = shares.usual / len(usual) if usual and len(words) > 1 else 0.0
    another = shares.another_word
    total = (len(words) - 1) * log(another) + log(1 - another) if words else 0.0
    last = len(words) - 1
    before = ""
    for place, cells in enumerate(words):
        if in_other_letters(cells):
            total += log(shares.other_script) + _of_other_letters(names, shares, cells)
            continue
        whole = _word(names, wear, another, tuple(cells), place == 0, place == last)
        spelt = "".join(_sure(cells))
        met = _usual(cells)
        if met is not None:
            met += _slip_of_usual(wear, cells, spelt)
            for other in _in_other_order(cells, spelt):
                again = _word(names, wear, another, other, place == 0, place == last)
                whole += wear.rates.swapped * again
            whole += shares.usual_names * (met - whole)
        if chance and spelt in usual:
            whole += chance
        # No word is quite impossible: the model of names has not met every one.
        initials = shares.initials * _initials(names, wear, shares, cells)
        found = max((1 - shares.initials) * whole + initials, 1e-300)
        if place:
            known = further.get(AND if before == AND else "", {})
            found = (1 - sum(known.values())) * found + _one_of(wear, cells, spelt, known)
        total += log(found)
        before = spelt
    return total


_MOST_SPELLINGS = 64
"""Ways of spelling a word with doubtful letters that are looked up one by one."""


def _usual(cells: Sequence[Cell]) -> float | None:
    """How often people bear the name that these places spell; None where some of it was not read,
    since there the model of letters stands for all names.
    """
    if any(cell.kind != "letter" for cell in cells):
        return None
    if prod(len(cell.letters) for cell in cells) > _MOST_SPELLINGS:
        return None
    return sum(
        prod(weight for _, weight in spelling)
        * usual_name("".join(letter for letter, _ in spelling))
        for spelling in product(*(cell.letters for cell in cells))
    )


_LEAST_WITH_A_SLIP = 5
"""Letters of a word that is taken for a name with a slip: a shorter one is a slip of too many."""


def _slip_of_usual(wear: WearModel, cells: Sequence[Cell], spelt: str) -> float:
    """P(these places | a name that people bear, written with a slip): a listed maker's name is
    found through a slip, and so must the same name be where others bear it: JHONSON.
    """
    if len(spelt) < _LEAST_WITH_A_SLIP or not spelt.isalpha():
        return 0.0
    near = names_near(spelt)
    names = sorted(near)
    fits = log_likelihoods(compiled(wear, cells), names) if names else ()
    return sum(near[name] * exp(fit) for name, fit in zip(names, fits, strict=True))


def _in_other_order(cells: Sequence[Cell], spelt: str) -> Iterator[tuple[Cell, ...]]:
    """The places where two side by side change about, so that a name of many people stands there.
    The model of letters knows of every other slip.
    """
    if len(spelt) < _LEAST_WITH_A_SLIP or not spelt.isalpha():
        return
    near = names_near(spelt)
    for at in range(len(spelt) - 1):
        if spelt[:at] + spelt[at + 1] + spelt[at] + spelt[at + 2 :] in near:
            yield (*cells[:at], cells[at + 1], cells[at], *cells[at + 2 :])


def _one_of(
    wear: WearModel, cells: Sequence[Cell], spelt: str, known: Mapping[str, float]
) -> float:
    """P(these places | one of these words, each with its share)."""
    if "?" not in spelt:
        return known.get(spelt, 0.0)
    texts = sorted(known)
    fits = log_likelihoods(compiled(wear, cells), texts)
    return sum(known[text] * exp(fit) for text, fit in zip(texts, fits, strict=True))


def _of_other_letters(names: NameModel, shares: UnlistedShares, cells: Sequence[Cell]) -> float:
    """The natural log of P(these places | a word in other letters), as long as names are. What was
    not read may be any letter; a letter misread is another one, as likely as the right one.
    """
    goes_on = 1 - names.row("")[_END]
    read = sum(cell.kind == "letter" for cell in cells)
    return read * log(shares.other_letter * goes_on) + log(1 - goes_on)


def _sure(cells: Sequence[Cell]) -> Iterator[str]:
    """The letters of the places, where each is read for sure; else nothing that is a word."""
    for cell in cells:
        yield cell.letters[0][0] if len(cell.letters) == 1 else "?"


def shared_initials(
    names: NameModel, wear: WearModel, shares: UnlistedShares, words: Sequence[Sequence[Cell]]
) -> float:
    """P(reading | a mark in no list of two letters), for `AB`, `A B`, `A.B.`, `A & B`; else 0.

    So few letters are shared by makers who never heard of each other, and lists of names lack most
    of those who sign so. How often two makers coincide is measured; letters that many names begin
    with are shared by more of them.
    """
    cells = [cell for word in words for cell in word]
    partners = len(cells) == 3 and cells[1].letters == (("&", 1.0),)
    if partners:
        cells = [cells[0], cells[2]]
    if len(cells) != 2 or any(cell.kind != "letter" for cell in cells):
        return 0.0
    of_two = 1 - shares.partners
    total = shares.partners / shares.partner_pairs if partners else of_two / shares.pairs
    met = _letters_of_initials(names, shares.named_initials)
    alike = sum(share * share for share in met)
    for column, rest in compiled(wear, cells).columns:
        chances = (column.get(letter, rest) for letter in ALPHABET[:26])
        total *= sum(a * b for a, b in zip(met, chances, strict=True)) / alike
    return total


@lru_cache(maxsize=8)
def _letters_of_initials(names: NameModel, named: float) -> tuple[float, ...]:
    """How often each letter of the alphabet is met in initials, where so many of them are met as
    names begin and the others alike. Sums to 1.
    """
    begins = names.row(START)[:26]
    total = sum(begins)
    return tuple(named * share / total + (1 - named) / 26 for share in begins)


def _word(
    names: NameModel,
    wear: WearModel,
    another: float,
    cells: tuple[Cell, ...],
    first: bool,
    last: bool,
) -> float:
    """P(these places | a word as names are spelt)."""
    rates = wear.rates
    reading = compiled(wear, cells)
    goes_on = 1 - names.row("")[_END]
    # Runs of every length that may have gone, summed: a geometric series. So is a gap, below.
    lost = (1 - rates.run_on) * goes_on / (1 - goes_on * rates.run_on)
    runs: _Runs = {START: 1 - rates.head_lost if first else 1.0}
    if first:
        # Behind a lost beginning nothing is known of the letters before.
        runs[""] = rates.head_lost * lost
    for cell, (column, rest), inserted in zip(
        cells, reading.columns, reading.inserted, strict=True
    ):
        if cell.kind == "gap":
            runs = over_gap(sum(runs.values()), goes_on, rates.gap_on, another)
            continue
        nothing = inserted if cell.kind == "unread" else 0.0
        chances = _emissions(tuple(column.get(letter, rest) for letter in ALPHABET))
        runs = _read(names, runs, chances, nothing)
    ends = sum(chance * names.row(run)[_END] for run, chance in runs.items())
    if not last:
        return ends
    every = sum(runs.values())
    return ends * (1 - rates.tail_lost) + every * names.row("")[_END] * rates.tail_lost * lost


def over_gap(chance: float, goes_on: float, gap_on: float, another: float) -> _Runs:
    """What may stand after a gap of any length: the middle of a word, or the start of a further
    one, since whole words may have gone with it.

    Each letter of the gap goes on with the word (`goes_on`) or begins the next (`another`, after
    the word has ended), and is there with `gap_on`: two sums of geometric series.
    """
    next_word = (1 - goes_on) * another
    within = chance / (1 - (goes_on + next_word) * gap_on)
    return {"": within, START: within * next_word}


@lru_cache(maxsize=256)
def _emissions(chances: tuple[float, ...]) -> tuple[tuple[float, ...], tuple[int, ...]]:
    """The chance of the place for each letter, and the letters that are followed up."""
    best = max(chances)
    order = sorted(range(len(chances)), key=lambda at: -chances[at])
    return chances, tuple(at for at in order if chances[at] > best * _FOLLOWED)


def _read(
    names: NameModel,
    runs: _Runs,
    emissions: tuple[tuple[float, ...], tuple[int, ...]],
    nothing: float,
) -> _Runs:
    """One place on: each run with the letters that it may go on with."""
    chances, likely = emissions
    after: _Runs = {}
    for run, chance in runs.items():
        row = names.row(run)
        shares = [a * b for a, b in zip(row, chances, strict=False)]
        rest = sum(shares)
        follow = (
            likely if len(likely) <= KEPT else sorted(likely, key=lambda at: -shares[at])[:KEPT]
        )
        for at in follow:
            share = shares[at]
            rest -= share
            longer = (run + ALPHABET[at])[-ORDER:]
            after[longer] = after.get(longer, 0.0) + chance * share
        # Rounding may leave a little less than nothing.
        after[""] = after.get("", 0.0) + chance * max(rest, 0.0)
        if nothing:
            # What was not read there may be no letter of the mark at all.
            after[run] = after.get(run, 0.0) + chance * nothing
    if len(after) > _MOST_RUNS:
        order = sorted(after, key=lambda run: -after[run])
        kept = {run: after[run] for run in order[:_MOST_RUNS]}
        kept[""] = kept.get("", 0.0) + sum(after[run] for run in order[_MOST_RUNS:] if run)
        return kept
    return after


def _initials(
    names: NameModel, wear: WearModel, shares: UnlistedShares, cells: Sequence[Cell]
) -> float:
    """P(these places | initials), each letter as often as it is met in initials."""
    total = shares.initials_long(len(cells))
    if not total or any(cell.kind == "gap" for cell in cells):
        return 0.0
    met = _letters_of_initials(names, shares.named_initials)
    for column, rest in compiled(wear, cells).columns:
        total *= sum(
            share * column.get(letter, rest)
            for share, letter in zip(met, ALPHABET[:26], strict=True)
        )
    return total
