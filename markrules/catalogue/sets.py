"""Sets of pieces that belong together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from markrules.catalogue.boxes import clean_name
from markrules.catalogue.core import OpenFile
from markrules.catalogue.records import Piece, PieceSet
from markrules.catalogue.rows import piece_of


class Sets:
    """The sets, and which pieces belong to them."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def start(
        self, name: str, pieces: Sequence[Piece] = (), note: str = "", who: str = ""
    ) -> PieceSet:
        """A new set of pieces that belong together. Raises CatalogueProblem for an empty name."""
        name = clean_name(name, "a set")
        with self._file.change("start set", who) as step:
            row = self._file.insert("piece_set", {"name": name, "note": note})
            undoes: list[dict[str, Any]] = [{"table": "piece_set", "first": row, "last": row}]
            for each in pieces:
                was = self._file.update("piece", each.id, {"set_id": row})
                left = {"set_id": row}
                undoes.append({"table": "piece", "id": each.id, "set": was, "from": left})
            self._file.keep_undo(step, *undoes)
        return PieceSet(row, name, note)

    def all(self) -> tuple[PieceSet, ...]:
        """All sets, oldest first."""
        found = self._file.rows("select id, name, note from piece_set where gone = '' order by id")
        return tuple(PieceSet(*row) for row in found)

    def pieces_of_set(self, set_id: int) -> tuple[Piece, ...]:
        """The pieces of a set, in the order of their boxes and numbers."""
        found = self._file.rows(
            "select * from piece where set_id = ? and gone = '' order by box_id, number", (set_id,)
        )
        return tuple(self._file.each(piece_of, found))
