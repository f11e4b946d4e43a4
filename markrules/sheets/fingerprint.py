"""A short fingerprint of the evidence, by which a later copy of a sheet can be checked."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from markrules.reading.reading_data import observation_data
from markrules.sheets.matter import SeenLine, SheetMatter

SCHEMA = "markrules-evidence/1"
SHORT = 16
"""Hexadecimal digits of the short form: 64 bits. Chance agreement of two pieces is one in 10^19."""
LEAST = 8
"""Fewer digits than this are too few to check by."""


def evidence(matter: SheetMatter) -> dict[str, Any]:
    """What the fingerprint covers: all that was put in, and nothing that was concluded from it."""
    return {
        "schema": SCHEMA,
        "uid": matter.uid,
        "note": matter.note,
        "told": matter.told,
        "seen": [_line(each) for each in matter.seen],
        "photos": [{"sha256": each.digest, "place": each.place} for each in matter.photos],
        "owners": [
            [each.when, each.where, each.who_from, each.note, each.of_box] for each in matter.owners
        ],
    }


def _line(line: SeenLine) -> dict[str, Any]:
    data = {**observation_data(line.observation), "who": line.who, "when": line.when}
    if line.observation.weights:
        data["weights"] = [list(each) for each in line.observation.weights]
    if line.photo is not None:
        data["photo"] = line.photo
    return data


def fingerprint(matter: SheetMatter) -> str:
    """SHA-256 (FIPS 180-4), in hexadecimal, over the evidence as canonical JSON.

    Canonical: keys in order, no blanks, UTF-8, as RFC 8785 has it; the numbers used here are
    written alike by it and by Python.
    """
    text = json.dumps(evidence(matter), ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def short(digest: str) -> str:
    """The short form, in groups of four: `a1b2-c3d4-e5f6-0718`."""
    return "-".join(digest[at : at + 4] for at in range(0, SHORT, 4))


def agrees(digest: str, given: str) -> bool:
    """Whether a fingerprint as somebody typed it, short or long, is that of the digest.

    Raises ValueError where it is no fingerprint: fewer than 8 digits, or other signs in it.
    """
    typed = "".join(sign for sign in given.casefold() if sign not in "- :\u2013\n\t")
    if not LEAST <= len(typed) <= len(digest) or set(typed) - set("0123456789abcdef"):
        raise ValueError(
            f'"{given[:80]}" is no fingerprint: it has 8 to 64 digits 0-9 and a-f,'
            " such as a1b2-c3d4-e5f6-0718"
        )
    return digest.startswith(typed)
