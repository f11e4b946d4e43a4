"""Years in Roman figures, as engravers and stampers cut them."""

from __future__ import annotations

from markrules.late import late

_ROMAN = late(r"(M{1,2})(CM|DC{0,3}|C{0,3})(XC|XL|L?X{0,4})(IX|IV|V?I{0,4})", among="M")


def roman_year(text: str, shortest: int) -> int | None:
    """The year in Roman figures, of so many letters or more: MDCCCLXXXVII is 1887."""
    plain = text.strip(" .").upper()
    if len(plain) < shortest or not _ROMAN.fullmatch(plain):
        return None
    worth = {"I": 1, "V": 5, "X": 10, "L": 50, "C": 100, "D": 500, "M": 1000}
    values = [worth[letter] for letter in plain]
    return sum(
        -one if one < following else one
        for one, following in zip(values, [*values[1:], 0], strict=True)
    )
