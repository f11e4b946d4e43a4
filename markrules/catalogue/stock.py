"""Spare stones, decisions, and the user's own figures (fees, hourly worth and the like)."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Mapping
from typing import Any

from markrules.catalogue.core import now
from markrules.catalogue.money import Money
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box, Decision, Piece, SpareStone
from markrules.catalogue.rows import decision_of, stone_of


class Stock(Money):
    """What the catalogue knows of spare stones, decisions and figures."""

    def add_stones(self, stones: Iterable[SpareStone], who: str = "") -> range:
        """Put stones into the tin; `id` of each is not looked at. Returns their row numbers."""
        first = row = 0
        with self.change("add stones", who) as step:
            for stone in stones:
                row = self._insert("spare_stone", _columns(stone))
                first = first or row
            if row:
                self._undoes(step, {"table": "spare_stone", "first": first, "last": row})
        return range(first, row + 1 if row else 0)

    def stones(self) -> tuple[SpareStone, ...]:
        """The stones in the tin, in the order they came; used-up ones left out."""
        found = self.rows("select * from spare_stone where gone = '' and count > 0 order by id")
        return tuple(self.each(stone_of, found))

    def use_stones(self, stone_id: int, count: int = 1, who: str = "") -> SpareStone:
        """Take stones out of the tin; what is left. Raises CatalogueProblem with too few."""
        with self.change("use stones", who) as step:
            found = self.row("select * from spare_stone where id = ? and gone = ''", (stone_id,))
            if found is None:
                raise CatalogueProblem(f"the tin has no stones under {stone_id}")
            if not 0 < count <= found["count"]:
                raise CatalogueProblem(f"the tin has {found['count']} of these stones, not {count}")
            self._update("spare_stone", stone_id, {"count": found["count"] - count})
            self._undoes(step, {"table": "spare_stone", "id": stone_id, "add": {"count": count}})
        return stone_of(self.rows("select * from spare_stone where id = ?", (stone_id,))[0])

    def decide(
        self,
        piece: Piece,
        choice: str,
        reason: str = "",
        sums: Mapping[str, object] | None = None,
        who: str = "",
    ) -> Decision:
        """Record what to do with a piece, and why; earlier decisions stay. `sums` must be JSON."""
        values = {
            "piece_id": piece.id,
            "moment": now(),
            "who": who,
            "choice": choice,
            "reason": reason,
            "sums": json.dumps(dict(sums or {}), ensure_ascii=False),
        }
        with self.change("decide", who) as step:
            row = self._insert("decision", values)
            self._undoes(step, {"table": "decision", "first": row, "last": row})
        return decision_of(self.rows("select * from decision where id = ?", (row,))[0])

    def decide_each(
        self,
        decisions: Iterable[tuple[Piece, str, str, Mapping[str, object]]],
        who: str = "",
    ) -> int:
        """Record decisions (piece, choice, reason, sums) on several pieces as one step."""
        made = list(decisions)
        moment = now()
        with self.change("decide on several", who) as step:
            rows = [
                self._insert(
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
                self._undoes(step, {"table": "decision", "first": rows[0], "last": rows[-1]})
        return len(rows)

    def decisions_of(self, piece: Piece) -> tuple[Decision, ...]:
        """All decisions on a piece, oldest first; the last one stands."""
        found = self.rows(
            "select * from decision where piece_id = ? and gone = '' order by id", (piece.id,)
        )
        return tuple(self.each(decision_of, found))

    def decisions(self, box: Box | None = None) -> dict[int, Decision]:
        """The decision that stands for each piece of a box, or of all, by piece row number."""
        where = "and piece.box_id = :box" if box is not None else ""
        found = self.rows(
            "select decision.* from decision join piece on piece.id = decision.piece_id"
            f" where decision.gone = '' and piece.gone = '' {where} order by decision.id",
            {"box": box.id if box is not None else None},
        )
        return {each.piece: each for each in self.each(decision_of, found)}

    def figures(self) -> dict[str, str]:
        """The user's own figures: name and value as text."""
        found = self.rows("select * from figure where instr(name, ':') = 0")
        return {row["name"]: row["value"] for row in found}

    def kept_under(self, prefix: str) -> dict[str, str]:
        """Other texts kept by name, such as how columns are taken: those of a `prefix:`."""
        found = self.rows(
            "select * from figure where substr(name, 1, ?) = ?", (len(prefix), prefix)
        )
        return {row["name"][len(prefix) :]: row["value"] for row in found}

    def set_figure(self, name: str, value: str, who: str = "") -> None:
        """Set one of the user's figures; an empty value takes it out."""
        new = value or None
        if self._figure(name) == new:
            return
        with self.change("set figure", who) as step:
            was = self._figure(name)
            self._put_figure(name, new)
            self._undoes(step, {"figure": name, "set": was, "from": new})


def _columns(stone: SpareStone) -> dict[str, Any]:
    values = dataclasses.asdict(stone)
    del values["id"]
    values["from_piece_id"] = values.pop("from_piece")
    lab = values.pop("lab") or (None, None, None)
    values["lab_l"], values["lab_a"], values["lab_b"] = lab
    return values
