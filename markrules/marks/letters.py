"""Letters of a mark, brought to one form: upper case, no accents, no dots or spaces."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789&"
"""The letters that the wear model knows. Any other letter is kept and only matches itself."""

# Latin letters that canonical decomposition leaves whole; written as the Latin letters that a
# reader without them would put down.
_WITHOUT_DECOMPOSITION = str.maketrans(
    {"Ø": "O", "Æ": "AE", "Œ": "OE", "ẞ": "SS", "Ł": "L", "Đ": "D", "Ð": "D", "Þ": "TH", "ı": "I"}
)
_PLAIN = frozenset(ALPHABET)


@lru_cache(maxsize=4096)
def folded(text: str) -> str:
    """The letters, digits and `&` of a text, upper case and without accents.

    >>> folded("Hobé & Co., Ltd.")
    'HOBE&COLTD'
    """
    if text.isascii():
        return "".join(filter(_is_letter, text.upper()))
    upper = unicodedata.normalize("NFKD", text).upper().translate(_WITHOUT_DECOMPOSITION)
    return "".join(filter(_is_letter, upper))


def _is_letter(character: str) -> bool:
    return character in _PLAIN or (character > "\x7f" and character.isalnum())


def visible(text: str) -> str:
    """The text without control, format and direction characters, spaces made single."""
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    kept = (" " if character.isspace() else character for character in text)
    return " ".join("".join(c for c in kept if c == " " or _shows(c)).split())


def _shows(character: str) -> bool:
    return unicodedata.category(character) not in ("Cc", "Cf", "Cs", "Co", "Cn")


def letter_case(text: str) -> str:
    """How a text is written: `upper`, `lower` or `mixed`; empty without letters."""
    letters = [character for character in text if character.isalpha()]
    if not letters:
        return ""
    upper = sum(map(str.isupper, letters))
    return "upper" if upper == len(letters) else "mixed" if upper else "lower"
