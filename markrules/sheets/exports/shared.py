"""What the exports have in common: an address for the piece, its texts, and bounds of its years."""

from __future__ import annotations

import json
import uuid
from functools import lru_cache
from importlib.resources import files
from typing import Any

from markrules.frozen import dataclass
from markrules.knowledge.observation import PLAIN, Observation
from markrules.marks.metal_value import is_coat
from markrules.reading.reader import METAL_MARK
from markrules.sheets.claims import check_text
from markrules.sheets.content import heading
from markrules.sheets.discretion import discreet
from markrules.sheets.fingerprint import fingerprint
from markrules.sheets.listing import Listing, listing
from markrules.sheets.matter import SheetMatter
from markrules.sheets.object_id import observations_for
from markrules.telling.words import plain, visible

_SPACE = uuid.uuid5(uuid.NAMESPACE_URL, "https://markrules.invalid/pieces")
"""The name space of piece identifiers; `.invalid` is kept free by RFC 2606."""


@dataclass(frozen=True)
class Exported:
    """One piece, ready for any export. `address` is a URN (RFC 9562, version 5) of its own.

    `digest` is the fingerprint of the whole evidence, also where people are left out.
    """

    matter: SheetMatter
    listing: Listing
    address: str
    name: str
    digest: str

    @property
    def edtf(self) -> str:
        """The range of years as EDTF (ISO 8601-2, level 1); `XXXX`, any year, without evidence."""
        reading = self.matter.reading
        return reading.date.edtf if reading.evidence else "XXXX"


def exported(matter: SheetMatter) -> Exported:
    """What every export needs of a piece; made once."""
    digest = fingerprint(matter)
    own = visible(matter.uid) or digest
    address = f"urn:uuid:{uuid.uuid5(_SPACE, own)}"
    shown = matter if matter.people else discreet(matter)
    return Exported(shown, listing(shown), address, heading(shown), digest)


@lru_cache(maxsize=1)
def thesaurus() -> dict[str, Any]:
    """Identifiers of the Getty Art & Architecture Thesaurus, by our own names."""
    text = files("markrules.sheets").joinpath("aat.json").read_text(encoding="utf-8")
    data: dict[str, Any] = json.loads(text)
    return data


def seen_materials(matter: SheetMatter) -> list[Observation]:
    """The materials that somebody saw and was sure of: not what was told, guessed or ruled out.

    Object ID counts techniques with the materials; nothing is made of them.
    """
    return [
        each
        for each in observations_for(matter, "materials")
        if each.state == "seen" and not each.heard and each.certainty == PLAIN and each.value
        if each.feature not in _TECHNIQUES
    ]


_TECHNIQUES = ("technique", "setting")
UNNAMED = " unnamed"
"""Stands after the name of a material of no kind told; it is a word of the rules alone."""


def borne_materials(matter: SheetMatter) -> list[str]:
    """The materials seen, each in words that the evidence bears: gold that nobody tested or found
    marked is gold-coloured, and what may not be said at all is left out.
    """
    said = []
    coats = {each.words: each.claim for each in matter.metals if is_coat(each)}
    for each in seen_materials(matter):
        words = visible(plain(each.value).removesuffix(UNNAMED))
        if each.feature == METAL_MARK:
            # `gold filled fraction` is a word of the rules; the mark claims `1/20 12K gold filled`.
            stamped = coats.get(each.words, "")
            words = visible(stamped.partition(",")[0].rstrip(".")) or words
        flags = check_text(matter.base, words, matter.reading)
        said.append(flags[0].instead if flags else words)
    return [each for each in dict.fromkeys(said) if each]


def seen_texts(matter: SheetMatter, feature: str) -> list[str]:
    """The texts of a feature as seen, not those that were told."""
    return [
        each.value
        for each in matter.reading.observations
        if each.feature == feature and each.state == "seen" and each.value and not each.heard
    ]
