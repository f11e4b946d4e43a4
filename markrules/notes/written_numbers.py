"""Stamped numbers as people type them, spaced so that their words are read: `Rd.No.234567`."""

from __future__ import annotations

import re
from collections.abc import Mapping

from markrules.late import FIGURES, late
from markrules.notes.tokens import QUOTED

_MAY_BE = late(
    r"[^\W\d_][.#°º]*\s?[0-9][0-9,.]{3,}|[°º№#]|[0-9] [0-9]{3} [0-9]{3}|©[0-9]{2}|\([cC]\)[0-9]{2}",
    among=f"{FIGURES}°º№#",
)
"""Letters and figures close together, without which nothing is put apart here."""
_NUMBER = late(
    rf"(?P<quote>{QUOTED})"
    # U.S.PAT.1,933,576 and Rd.No.234567: stops without a space
    r"|(?<![\w.])(?P<stops>(?:[^\W\d_]{1,6}\.){1,4}(?:[^\W\d_]{1,6})?)(?P<n1>#?[0-9](?:[0-9]|,(?=[0-9])){3,})(?!\w)"
    # RdNo234567, Pat1933576
    r"|(?<![\w.])(?P<close>[^\W\d_]{2,8})(?P<n2>#?[0-9](?:[0-9]|,(?=[0-9])){4,})(?!\w)"
    # Rd#234567, Rd N° 234567
    r"|(?<=[^\W\d_])(?P<sign>#)(?=[0-9]{3})"
    r"|(?<!\w)(?P<degree>[Nn][°º]|№)\s?(?=[0-9])"
    # pat 1 933 576
    r"|(?<=[^\W\d_] )(?P<groups>[0-9]{1,2} [0-9]{3} [0-9]{3})(?![\w.,])"
    # ©87
    r"|(?P<right>©|\([cC]\))(?P<short>[0-9]{2})(?![0-9])"
)


def with_numbers_plain(note: str) -> tuple[str, Mapping[str, str]]:
    """The note with a space between the words and the figures of a stamped number, and for each
    that was put otherwise how it was written.

    What stands in quotes is left as it is: it stands so on the piece.
    """
    if _MAY_BE.search(note) is None:
        return note, {}
    written: dict[str, str] = {}

    def spaced(found: re.Match[str]) -> str:
        put = _spaced(found)
        if put != found[0]:
            written.setdefault(put.strip(), found[0].strip())
        return put

    return _NUMBER.sub(spaced, note), written


def _spaced(found: re.Match[str]) -> str:
    if found["quote"]:
        return found[0]
    if found["stops"]:
        words = found["stops"].replace(".", ". ").strip()
        return f"{words} {found['n1']}"
    if found["close"]:
        return f"{found['close']} {found['n2']}"
    if found["groups"]:
        return found["groups"].replace(" ", ",")
    if found["sign"]:
        return " #"
    if found["degree"]:
        return "No. "
    return f"{found['right']} '{found['short']}"
