"""Spare stones: the tin of loose ones that an empty setting may be filled from."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from typing import Any

from markrules.catalogue.core import OpenFile
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import SpareStone
from markrules.catalogue.rows import stone_of


class Stones:
    """The spare stones of the tin."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def add(self, stones: Iterable[SpareStone], who: str = "") -> range:
        """Put stones into the tin; `id` of each is not looked at. Returns their row numbers."""
        first = row = 0
        with self._file.change("add stones", who) as step:
            for stone in stones:
                row = self._file.insert("spare_stone", _columns(stone))
                first = first or row
            if row:
                self._file.keep_undo(step, {"table": "spare_stone", "first": first, "last": row})
        return range(first, row + 1 if row else 0)

    def all(self) -> tuple[SpareStone, ...]:
        """The stones in the tin, in the order they came; used-up ones left out."""
        found = self._file.rows(
            "select * from spare_stone where gone = '' and count > 0 order by id"
        )
        return tuple(self._file.each(stone_of, found))

    def use(self, stone_id: int, count: int = 1, who: str = "") -> SpareStone:
        """Take stones out of the tin; what is left. Raises CatalogueProblem with too few."""
        with self._file.change("use stones", who) as step:
            found = self._file.row(
                "select * from spare_stone where id = ? and gone = ''", (stone_id,)
            )
            if found is None:
                raise CatalogueProblem(f"the tin has no stones under {stone_id}")
            there = stone_of(found).count
            if not 0 < count <= there:
                raise CatalogueProblem(f"the tin has {there} of these stones, not {count}")
            self._file.update("spare_stone", stone_id, {"count": there - count})
            self._file.keep_undo(
                step, {"table": "spare_stone", "id": stone_id, "add": {"count": count}}
            )
        return stone_of(self._file.rows("select * from spare_stone where id = ?", (stone_id,))[0])


def _columns(stone: SpareStone) -> dict[str, Any]:
    values = dataclasses.asdict(stone)
    del values["id"]
    values["from_piece_id"] = values.pop("from_piece")
    lab = values.pop("lab") or (None, None, None)
    values["lab_l"], values["lab_a"], values["lab_b"] = lab
    return values
