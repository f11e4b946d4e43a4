"""Search in words over titles, notes, what was told, and marks."""

from __future__ import annotations

import re

from markrules.catalogue.readings import Readings
from markrules.catalogue.records import Box, Listed

RANKED = 2000
"""Of a word met on more pieces than this, the newest are ranked: a list that long is not read."""

MOST_WORDS = 20

_CODE = re.compile(r"(?:https?://\S+/piece/)?([a-z2-7]{16})", re.IGNORECASE | re.ASCII)
"""What the code of a label holds: the identifier, or an address that ends in it."""


class Finding(Readings):
    """Finding pieces again."""

    def search(
        self, text: str, *, box: Box | None = None, limit: int = 50, gone: bool = False
    ) -> tuple[Listed, ...]:
        """The pieces whose texts hold every word, best first; the last word may be a beginning.

        With `gone`, those that left their box, too. What the code of a label holds finds its
        piece, wherever it is. Nothing a person types is taken for syntax. An empty text finds
        nothing.
        """
        coded = self.by_code(text)
        if coded is not None:
            return () if box is not None and coded.piece.box != box.id else (coded,)
        query = quoted(text)
        if not query:
            return ()
        found = self.rows(
            "select rowid, rank from piece_text where piece_text match ?"
            " order by rowid desc limit ?",
            (query, RANKED),
        )
        best = [row[0] for row in sorted(found, key=lambda row: (row[1], row[0]))]
        kept: list[Listed] = []
        for start in range(0, len(best), 4 * limit):
            for each in self.listed_by_id(best[start : start + 4 * limit]):
                if (gone or not each.piece.gone) and (box is None or each.piece.box == box.id):
                    kept.append(each)
            if len(kept) >= limit:
                break
        return tuple(kept[:limit])

    def by_code(self, text: str) -> Listed | None:
        """The piece whose label holds this code, gone or not; None where there is none such."""
        found = _CODE.fullmatch(text.strip())
        if found is None:
            return None
        row = self.row("select id from piece where uid = ?", (found[1].casefold(),))
        return next(iter(self.listed_by_id([row["id"]])), None) if row is not None else None


def quoted(text: str) -> str:
    """The words as a full-text query that means just these words, each in quotes."""
    words = ["".join(c if c.isprintable() else " " for c in word) for word in text.split()]
    kept = [word for word in words if any(character.isalnum() for character in word)]
    if not kept:
        return ""
    return " ".join('"' + word.replace('"', '""') + '"' for word in kept[:MOST_WORDS]) + "*"
