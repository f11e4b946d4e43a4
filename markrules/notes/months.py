"""The names of the months, as people and stampers write them."""

from __future__ import annotations

ENGLISH = (
    *("January", "February", "March", "April", "May", "June", "July", "August", "September"),
    *("October", "November", "December"),
)
_ELSEWHERE = (
    "januar janvier januari gennaio enero janeiro leden tammikuuta",
    "februar février fevrier februari febbraio febrero fevereiro helmikuuta",
    "märz maerz mars maart marzo março maaliskuuta",
    "avril aprile abril huhtikuuta",
    "mai maj mei maggio mayo maio toukokuuta",
    "juni juin giugno junio junho kesäkuuta",
    "juli juillet luglio julio julho heinäkuuta",
    "août aout augusti augustus agosto elokuuta",
    "septembre settembre septiembre setembro syyskuuta",
    "oktober octobre ottobre octubre outubro okt lokakuuta",
    "novembre noviembre novembro marraskuuta",
    "dezember décembre decembre dicembre diciembre dezembro dez joulukuuta",
)
"""The months as Germans, the French, Italians, Spaniards and others write them, in their order."""
_IN_SHORT = tuple(f"{month[:3].lower()} {month[:4].lower()}" for month in ENGLISH)
_AS_STAMPED = dict(
    zip(
        ["jany", "feby", "mch", "apl", "augt", "sept", "sepr", "octr", "novr", "decr"],
        (1, 2, 3, 4, 8, 9, 9, 10, 11, 12),
        strict=True,
    )
)
"""Months as stampers and engravers shorten them, beside their first letters."""
MONTH_OF = _AS_STAMPED | {
    word: number
    for number, (month, short, elsewhere) in enumerate(
        zip(ENGLISH, _IN_SHORT, _ELSEWHERE, strict=True), start=1
    )
    for word in (month.lower(), *short.split(), *elsewhere.split())
}
"""The number of a month by its name in these languages, or by its first three or four letters."""
_LOWER = tuple(month.lower() for month in ENGLISH)
FEWEST_LETTERS = 3
"""Letters by which a month is known at the least."""


def is_month(text: str) -> bool:
    """Whether a word of three letters or more is a month, or short for one."""
    word = text.casefold()
    if len(word) < FEWEST_LETTERS:
        return False
    return word in _AS_STAMPED or any(month.startswith(word) for month in _LOWER)
