"""What was decided on pieces, and why."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

from markrules.catalogue.core import OpenFile, now
from markrules.catalogue.records import Box, KeptDecision, Piece
from markrules.catalogue.rows import decision_of


class Decisions:
    """The decisions on pieces; the last one on a piece stands."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def decide(
        self,
        piece: Piece,
        choice: str,
        reason: str = "",
        sums: Mapping[str, object] | None = None,
        who: str = "",
    ) -> KeptDecision:
        """Record what to do with a piece, and why; earlier decisions stay. `sums` must be JSON."""
        values = {
            "piece_id": piece.id,
            "moment": now(),
            "who": who,
            "choice": choice,
            "reason": reason,
            "sums": json.dumps(dict(sums or {}), ensure_ascii=False),
        }
        with self._file.change("decide", who) as step:
            row = self._file.insert("decision", values)
            self._file.keep_undo(step, {"table": "decision", "first": row, "last": row})
        return decision_of(self._file.rows("select * from decision where id = ?", (row,))[0])

    def decide_each(
        self,
        decisions: Iterable[tuple[Piece, str, str, Mapping[str, object]]],
        who: str = "",
    ) -> int:
        """Record decisions (piece, choice, reason, sums) on several pieces as one step."""
        made = list(decisions)
        moment = now()
        with self._file.change("decide on several", who) as step:
            rows = [
                self._file.insert(
                    "decision",
                    {
                        "piece_id": piece.id,
                        "moment": moment,
                        "who": who,
                        "choice": choice,
                        "reason": reason,
                        "sums": json.dumps(dict(sums), ensure_ascii=False),
                    },
                )
                for piece, choice, reason, sums in made
            ]
            if rows:
                self._file.keep_undo(
                    step, {"table": "decision", "first": rows[0], "last": rows[-1]}
                )
        return len(rows)

    def of(self, piece: Piece) -> tuple[KeptDecision, ...]:
        """All decisions on a piece, oldest first; the last one stands."""
        found = self._file.rows(
            "select * from decision where piece_id = ? and gone = '' order by id", (piece.id,)
        )
        return tuple(self._file.each(decision_of, found))

    def standing(self, box: Box | None = None) -> dict[int, KeptDecision]:
        """The decision that stands for each piece of a box, or of all, by piece row number."""
        where = "and piece.box_id = :box" if box is not None else ""
        found = self._file.rows(
            "select decision.* from decision join piece on piece.id = decision.piece_id"
            f" where decision.gone = '' and piece.gone = '' {where} order by decision.id",
            {"box": box.id if box is not None else None},
        )
        return {each.piece: each for each in self._file.each(decision_of, found)}
