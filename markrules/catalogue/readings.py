"""Readings as they were given, each with the evidence and the knowledge behind it."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Sequence
from typing import Any

from markrules.catalogue.core import OpenFile, now
from markrules.catalogue.log import standing
from markrules.catalogue.problems import BrokenRow
from markrules.catalogue.records import Box, Piece, Seen, StoredReading
from markrules.catalogue.rows import reading_of, seen_of, values_of
from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation

PIECES_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class PieceEvidence:
    """What stands for a piece, to be read: the observations, their fingerprint, the last line.

    `note` is the one that the piece began with: some of what misleads is told by all its words.
    """

    piece: int
    observations: tuple[Observation, ...]
    fingerprint: str
    last_line: int
    not_understood: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class NewReading:
    """A reading to be stored: the evidence it rests on, its data, and what lists show of it."""

    evidence: PieceEvidence
    knowledge_version: str
    first_year: int
    last_year: int
    maker: str
    maker_probability: float
    gain_bits: float
    data: str
    piece_type: str = ""
    faults: tuple[str, ...] = ()


class KeptReadings:
    """The readings of pieces, as they were given."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def to_read(
        self, box: Box | None = None, *, changed_only: bool = False, knowledge_version: str = ""
    ) -> list[int]:
        """Row numbers of the pieces to read: all, or those whose log or knowledge changed."""
        box_id = box.id if box is not None else None
        if not changed_only:
            found = self._file.rows(
                "select id from piece where gone = '' and (:box is null or box_id = :box)"
                " order by box_id, number",
                {"box": box_id},
            )
        else:
            found = self._file.rows(_CHANGED, {"box": box_id, "version": knowledge_version})
        return [row[0] for row in found]

    def evidence_for(self, pieces: Sequence[int]) -> list[PieceEvidence]:
        """What stands for each of the pieces, in the order asked."""
        found: dict[int, list[Seen]] = {piece: [] for piece in pieces}
        left_over: dict[int, tuple[str, tuple[str, ...]]] = {}
        for start in range(0, len(pieces), PIECES_AT_ONCE):
            some = list(pieces[start : start + PIECES_AT_ONCE])
            marks = ", ".join("?" * len(some))
            sql = f"select * from seen where piece_id in ({marks}) order by id"
            for line in self._file.each(seen_of, self._file.rows(sql, some)):
                found[line.piece].append(line)
            sql = f"select id, note, not_understood from piece where id in ({marks})"
            left_over.update(self._file.each(_left_over, self._file.rows(sql, some)))
        return [evidence_of(each, found[each], *left_over.get(each, ("", ()))) for each in pieces]

    def evidence(self, piece: Piece) -> PieceEvidence:
        """What stands for one piece."""
        return self.evidence_for([piece.id])[0]

    def store(self, readings: Iterable[NewReading]) -> int:
        """Keep readings; earlier ones stay. Returns how many. A reading is no step to undo."""
        moment = now()
        rows = [
            (
                each.evidence.piece,
                moment,
                each.knowledge_version,
                each.evidence.fingerprint,
                each.first_year,
                each.last_year,
                each.maker,
                each.maker_probability,
                each.gain_bits,
                each.data,
                each.evidence.last_line,
                each.piece_type,
                f" {' '.join(each.faults)} " if each.faults else "",
            )
            for each in readings
        ]
        with self._file.change():
            self._file.connection.executemany(
                "insert into reading (piece_id, moment, knowledge_version, evidence, first_year,"
                " last_year, maker, maker_probability, gain_bits, data, log_line, piece_type,"
                " faults)"
                " values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                rows,
            )
        return len(rows)

    def latest(self, piece: Piece) -> StoredReading | None:
        """The latest reading of a piece, or None."""
        found = self._file.row(
            "select * from reading where piece_id = ? order by id desc limit 1", (piece.id,)
        )
        return next(iter(self._file.each(reading_of, [found] if found is not None else [])), None)

    def of(self, piece: Piece) -> tuple[StoredReading, ...]:
        """Every reading of a piece, oldest first."""
        found = self._file.rows("select * from reading where piece_id = ? order by id", (piece.id,))
        return tuple(self._file.each(reading_of, found))

    def looks_kept(
        self, knowledge_version: str
    ) -> dict[tuple[int, str], tuple[dict[str, Any], ...]]:
        """The next looks kept with the latest readings, by piece and fingerprint of its evidence.

        Only those of this version of the knowledge.
        """
        rows = self._file.rows(
            "select piece_id, evidence, json_extract(data, '$.next') from reading where"
            " knowledge_version = ? and id in (select max(id) from reading group by piece_id)",
            (knowledge_version,),
        )
        return {(row[0], row[1]): tuple(json.loads(row[2] or "[]")) for row in rows}


def _left_over(row: sqlite3.Row) -> tuple[int, tuple[str, tuple[str, ...]]]:
    """A piece's row number, its note, and the stretches of that which no rule knows."""
    try:
        texts = json.loads(row[2])
    except (ValueError, TypeError, RecursionError):
        texts = None
    if not isinstance(texts, list) or not all(isinstance(each, str) for each in texts):
        raise BrokenRow(f"piece with row number {row[0]}: not_understood cannot be read")
    return int(row[0]), (str(row[1]), tuple(texts))


_CHANGED = """
select piece.id from piece left join reading on reading.id =
    (select max(id) from reading as other where other.piece_id = piece.id)
where piece.gone = '' and (:box is null or piece.box_id = :box) and (
    reading.id is null or reading.knowledge_version <> :version or reading.log_line <>
        coalesce((select max(id) from seen where seen.piece_id = piece.id), 0))
order by piece.box_id, piece.number
"""


def evidence_of(
    piece: int, log: Sequence[Seen], note: str = "", not_understood: Sequence[str] = ()
) -> PieceEvidence:
    """What stands of a log, with its fingerprint."""
    stand = standing(log)
    last = log[-1].id if log else 0
    observations = tuple(each.observation for each in stand)
    return PieceEvidence(
        piece, observations, fingerprint(observations), last, tuple(not_understood), note
    )


def fingerprint(observations: Sequence[Observation]) -> str:
    """SHA-256, in hexadecimal, over the observations in their order."""
    rows: list[tuple[Any, ...]] = [values_of(each) for each in observations]
    text = json.dumps(rows, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
