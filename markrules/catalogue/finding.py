"""Search in words over titles, notes, what was told, and marks."""

from __future__ import annotations

from markrules.catalogue.readings import Readings
from markrules.catalogue.records import Box, Listed

RANKED = 2000
"""Of a word met on more pieces than this, the newest are ranked: a list that long is not read."""

MOST_WORDS = 20


class Finding(Readings):
    """Finding pieces again."""

    def search(self, text: str, *, box: Box | None = None, limit: int = 50) -> tuple[Listed, ...]:
        """The pieces whose texts hold every word, best first; the last word may be a beginning.

        Nothing a person types is taken for syntax. An empty text finds nothing.
        """
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
                if not each.piece.gone and (box is None or each.piece.box == box.id):
                    kept.append(each)
            if len(kept) >= limit:
                break
        return tuple(kept[:limit])


def quoted(text: str) -> str:
    """The words as a full-text query that means just these words, each in quotes."""
    words = ["".join(c if c.isprintable() else " " for c in word) for word in text.split()]
    kept = [word for word in words if any(character.isalnum() for character in word)]
    if not kept:
        return ""
    return " ".join('"' + word.replace('"', '""') + '"' for word in kept[:MOST_WORDS]) + "*"
