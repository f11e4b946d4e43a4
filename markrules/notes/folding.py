"""One spelling for each word: case, accents, plurals, US and UK spellings, number words.

Notes and rules are folded alike, so that a fold need not be good English, only the same on
both sides.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping

from markrules.late import late

MOST_KEPT = 60_000
"""Words remembered before the memory is emptied: hostile text must not fill it for ever."""

# Letters that the Unicode decomposition leaves whole.
_LETTERS = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "’": "'"})


_SHORTENED = late(
    r"'s$|(?<=i)(?<!\wi)'(?:d|ll|ve|m)$|(?:(?<=he)|(?<=we)|(?<=ou)|(?<=ey)|(?<=it)|(?<=ho))'(?:d|ll|ve|re)$"
)
"""What is cut off a word: the possessive, and the verb behind a pronoun (I'd, she'll), but not all
endings: PAT'D is one word.
"""


class Folding(dict[str, str]):
    """The fold of each word as written, made when first asked for.

    `spellings` maps a plain word to the one it is to be read as (colour to color, leaves to
    leaf); `numbers` maps a number word to its digits. `moving` holds the first two letters of
    words that fold to another beginning (feet to foot): all others keep theirs.
    """

    def __init__(
        self, spellings: Mapping[str, str] | None = None, numbers: Mapping[str, str] | None = None
    ) -> None:
        """Start with no word known."""
        super().__init__()
        self._spellings = dict(spellings or {})
        self._numbers = dict(numbers or {})
        self.moving = frozenset(
            word[:2]
            for words in (self._spellings, self._numbers)
            for word, fold in words.items()
            if word[:2] != fold[:2]
        )

    def __missing__(self, word: str) -> str:
        """Fold a word met for the first time, and keep it."""
        whole = plain(word)
        stem = singular(whole)
        known = self._spellings.get(whole) or self._spellings.get(stem) or stem
        folded = self._numbers.get(whole, known)
        if len(self) >= MOST_KEPT:
            self.clear()
        self[word] = folded
        return folded


def plain(word: str) -> str:
    """The word in lower case without accents, apostrophes, the possessive s or a shortened verb.

    >>> [plain(word) for word in ("Gran's", "I'd", "she'll", "don't")]
    ['gran', 'i', 'she', 'dont']
    """
    text = "and" if word == "&" else word.casefold()
    if not text.isascii():
        parts = unicodedata.normalize("NFKD", text.translate(_LETTERS))
        text = "".join(part for part in parts if not unicodedata.combining(part))
    if "'" in text:
        text = _SHORTENED.sub("", text).replace("'", "")
    return text


def singular(word: str) -> str:
    """The word without a regular English plural ending.

    >>> [singular(word) for word in ("catches", "lilies", "ties", "glass", "cameos", "lotus")]
    ['catch', 'lily', 'tie', 'glass', 'cameo', 'lotus']
    """
    if len(word) < 4 or word[-1] != "s" or word[-2] in "sui":
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("ches", "shes", "sses", "xes", "zzes")):
        return word[:-2]
    return word[:-1]


def verb_forms(word: str) -> tuple[str, ...]:
    """The other regular forms in `-ed` and `-ing` of a word that may be a verb.

    Some are no English; both sides of a comparison only need the same ones.

    >>> verb_forms("wobble"), verb_forms("scratched"), verb_forms("rip")
    (('wobbled', 'wobbling'), ('scratching',), ('ripped', 'ripping', 'riped', 'riping'))
    """
    if not word.isalpha() or not word.isascii() or len(word) < 3:
        return ()
    if word.endswith("ed"):
        return (f"{word[:-2]}ing",)
    if word.endswith("ing"):
        return (f"{word[:-3]}ed",)
    stem = singular(word)
    if stem.endswith("e"):
        return (f"{stem}d", f"{stem[:-1]}ing")
    plainly = (f"{stem}ed", f"{stem}ing")
    short = len(stem) < 6 and stem[-1] not in "aeiouwxys" and stem[-2] in "aeiou"
    doubled = (f"{stem}{stem[-1]}ed", f"{stem}{stem[-1]}ing")
    return (*doubled, *plainly) if short else plainly


def letters_alone(text: str) -> str:
    """The letters of a text, small, without anything that stands between them."""
    return "".join(filter(str.isalpha, text.casefold()))
