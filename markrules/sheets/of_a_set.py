"""One sheet for a set: titled as the set, every piece in it, and what they say of each other."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from markrules.sheets.attribution import attribution, date_words
from markrules.sheets.content import Data, content, heading
from markrules.sheets.fingerprint import fingerprint, short
from markrules.sheets.listing import when_told
from markrules.sheets.matter import SheetMatter
from markrules.sheets.printing import PAPERS, data_uri, framed, render, typeset
from markrules.telling.words import bounds, capital, count_of, listed, one_of, plain, visible


def set_content(name: str, matters: Sequence[SheetMatter]) -> Data:
    """All that the sheet of a set says: the set as one, then each piece as on its own sheet.

    Raises ValueError for a set without pieces.
    """
    if not matters:
        raise ValueError("a set without pieces has no sheet")
    digest = hashlib.sha256("".join(fingerprint(each) for each in matters).encode()).hexdigest()
    alone = [replace(each, of_set="", mates=()) for each in matters]
    return {
        "heading": visible(name),
        "subheading": _subheading(matters),
        "story": [*_years(matters), *_makers(matters)],
        "rows": [
            [
                visible(f"{each.box}, piece {each.number}") if each.number is not None else "",
                heading(each),
                when_told(each) if each.reading.evidence else "date not known",
                attribution(each.base, each.reading).words,
            ]
            for each in matters
        ],
        "fingerprint": short(digest),
        "digest": digest,
        "knowledge": visible(matters[0].reading.knowledge_version),
        "pieces": [content(each) for each in alone],
    }


def set_page(name: str, matters: Sequence[SheetMatter]) -> str:
    """The sheet of a set as an HTML document that stands alone."""
    photos = [[data_uri(each) for each in matter.photos] for matter in matters]
    return render("set.html", set=set_content(name, matters), photos_of=photos)


def set_pdf(name: str, matters: Sequence[SheetMatter], paper: str = "a4") -> bytes:
    """The sheet of a set as PDF. Raises PrintProblem where typst is not there or cannot set it."""
    photos = {
        f"p{at}-photo-{number}": framed(photo.width, photo.height, data_uri(photo))
        for at, matter in enumerate(matters, 1)
        for number, photo in enumerate(matter.photos, 1)
    }
    told = json.dumps(set_content(name, matters), ensure_ascii=False)
    inputs: dict[str, Any] = {"sheet": told, "paper": PAPERS[paper], **photos}
    return typeset("sheet.typ", inputs)


def _subheading(matters: Sequence[SheetMatter]) -> str:
    kinds = Counter(plain(each.reading.piece_type) or "piece" for each in matters)
    named = [one_of(kind) if count == 1 else count_of(count, kind) for kind, count in kinds.items()]
    return f"A set of {count_of(len(matters), 'piece')}: {listed(named)}"


def _years(matters: Sequence[SheetMatter]) -> list[str]:
    """The years that all pieces share; where they share none, that is said."""
    dated = [each for each in matters if each.reading.evidence]
    if not dated:
        return ["Nothing seen on any of them speaks of a date."]
    first = max(each.reading.date.span.first for each in dated)
    last = min(each.reading.date.span.last for each in dated)
    undated = len(matters) - len(dated)
    rest = f" {count_of(undated, 'piece')} of it cannot be dated." if undated else ""
    if len(dated) == 1:
        return [f"One piece of it is dated {date_words(dated[0].base, dated[0].reading)}.{rest}"]
    if first <= last:
        return [f"The years of all that are dated agree on {bounds(first, last)}.{rest}"]
    told = [
        f"{plain(each.reading.piece_type) or 'a piece'} {date_words(each.base, each.reading)}"
        for each in dated
    ]
    return [
        f"Their years do not agree: {listed(told)}. The set may have been put together later.{rest}"
    ]


def _makers(matters: Sequence[SheetMatter]) -> list[str]:
    found = [attribution(each.base, each.reading) for each in matters]
    words = list(dict.fromkeys(each.words for each in found))
    if len(words) == 1:
        return [f"{capital(words[0])}, all of them."] if words[0] else []
    named = [
        f"{plain(each.reading.piece_type) or 'piece'}: {one.words}"
        for each, one in zip(matters, found, strict=True)
        if one.words
    ]
    makers = {each.maker.maker for each in found if each.maker is not None and each.maker.maker}
    doubt = " They are not by one maker, as far as their marks tell." if len(makers) > 1 else ""
    return [f"{capital('; '.join(named))}.{doubt}"]
