"""Text on a piece, compared as people read it: without case, accents, dots and spacing."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

# The longest run of words that is tried as one phrase: no stamped legend comes near.
LONGEST_RUN = 24
MOST_WORDS = 200
_INITIALS = re.compile(r"(?<!\w)(?:\w\.){2,}\w?(?!\w)|(?<!\w)\w\.\w(?!\w)")
_SIGNS = re.compile(r"[©®]")
_WORDS = re.compile(r"[^\W_]+|[©®]")
_UNREAD = re.compile(r"[?*…\[\]]")


@lru_cache(maxsize=8192)
def words(text: str) -> tuple[str, ...]:
    """The words of a text, folded: `"Made in U.S.A. ©"` gives made, in, usa, ©.

    Letters lose case and accents; dots within initials go, so that U.S.A. is usa; all other
    punctuation parts words. © and ® are words of their own.
    """
    plain = _INITIALS.sub(lambda initials: initials.group().replace(".", ""), text)
    spread = _SIGNS.sub(r" \g<0> ", unicodedata.normalize("NFKD", plain.replace("™", " TM ")))
    folded = "".join(sign for sign in spread if not unicodedata.combining(sign)).casefold()
    return tuple(_WORDS.findall(folded))


@lru_cache(maxsize=8192)
def phrase(text: str) -> str:
    """The words of a text run together: the form in which `runs` holds a phrase."""
    return "".join(words(text))


@lru_cache(maxsize=1024)
def runs(text: str) -> frozenset[str]:
    """Every run of whole words in a text, each run together.

    A phrase stands in the text when `phrase(it)` is among them: so MADEIN AUSTRIA says
    `made in Austria`, and T R I F O L D says `trifold`, but AUSTRIAN does not say `Austria`.
    """
    all_words = words(text)[:MOST_WORDS]
    found = set()
    for start in range(len(all_words)):
        run = ""
        for word in all_words[start : start + LONGEST_RUN]:
            run += word
            found.add(run)
    return frozenset(found)


def is_partly_unread(text: str) -> bool:
    """True if some letters are marked as unread: what the text does not say stays open."""
    return _UNREAD.search(text) is not None
