"""Spelling slips: the one known word that an unknown word can sensibly stand for."""

from __future__ import annotations

from markrules.notes.vocabulary import Vocabulary

SHORTEST = 5
"""Letters of the shortest word that is ever corrected: shorter ones have too many neighbours."""
LONGEST = 24
"""Letters of the longest: no word of the trade is longer."""
MOST_KEPT = 20_000
"""Corrections remembered before the memory is emptied."""


def corrected(vocabulary: Vocabulary, fold: str) -> str:
    """The fold of the known word meant by an unknown one, or an empty text.

    Where two known words of different meanings are equally near, one is taken only if the last
    letter is doubled: `silverr` is no silvery. Within a word that makes other words: `booth`.
    """
    words = nearest_words(vocabulary, fold)
    if len(words) > 1 and not _of_one_meaning(vocabulary, words):
        words = (fold[:-1],) if fold[-1] == fold[-2] and fold[:-1] in words else words
    return words[0] if words and _of_one_meaning(vocabulary, words) else ""


def nearest_words(vocabulary: Vocabulary, fold: str) -> tuple[str, ...]:
    """The folds of the known words that an unknown one may stand for, all equally near.

    One letter left out, added or two exchanged; from seven letters on also one letter wrong,
    from twelve on two slips. The first letter is taken as right. Words of the role `no-slip` are
    what they are.
    """
    if not SHORTEST <= len(fold) <= LONGEST or not fold.isalpha() or fold in vocabulary.no_slips:
        return ()
    known = vocabulary.corrections.get(fold)
    if known is None:
        if len(vocabulary.corrections) >= MOST_KEPT:
            vocabulary.corrections.clear()
        known = vocabulary.corrections[fold] = _nearest(vocabulary, fold)
    return known


def _nearest(vocabulary: Vocabulary, fold: str) -> tuple[str, ...]:
    from rapidfuzz.distance import OSA

    best = 2 if len(fold) >= 12 else 1
    nearest: list[str] = []
    for word in _alike(vocabulary, fold, best):
        slips = OSA.distance(fold, word, score_cutoff=best)
        if slips > best or (len(fold) < 7 and _one_letter_wrong(fold, word)):
            continue
        if slips < best:
            best, nearest = slips, []
        nearest.append(word)
    return tuple(dict.fromkeys(vocabulary.folding[word] for word in nearest))


def _of_one_meaning(vocabulary: Vocabulary, words: tuple[str, ...]) -> bool:
    """Whether words stand for the same: one may be a slip that the rules list themselves."""
    if len(words) == 1:
        return True
    found = [vocabulary.words.first(word) for word in words]
    senses = {each.meaning.senses if each is not None else () for each in found}
    return len(senses) == 1 and () not in senses


def _one_letter_wrong(fold: str, word: str) -> bool:
    """Whether the words differ by one letter for another: `store` is not `stone`."""
    return len(fold) == len(word) and sorted(fold) != sorted(word)


def _alike(vocabulary: Vocabulary, fold: str, most: int) -> list[str]:
    """The known words, in each spelling, with the same first letter and about the same length."""
    return [
        word
        for length in range(len(fold) - most, len(fold) + most + 1)
        for word in vocabulary.alike(fold[0], length)
    ]
