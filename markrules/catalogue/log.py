"""What was seen: a log that only grows. A correction names the line it takes the place of."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from markrules.catalogue.core import OpenFile, check_lengths, now
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Piece, Seen
from markrules.catalogue.rows import SEEN_COLUMNS, seen_of, values_of
from markrules.knowledge.observation import MARK, Observation

_INSERT = (
    f"insert into seen ({', '.join(SEEN_COLUMNS)}, piece_id, who, moment, photo_id, corrects,"
    f" withdrawn, step_id) values ({', '.join('?' * (len(SEEN_COLUMNS) + 7))})"
)

MOST_UNKNOWN = 200
"""Phrases not understood that are kept with a piece."""


class Log:
    """What was seen on the pieces: a log that only grows."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def add(
        self,
        piece: Piece,
        observations: Iterable[Observation],
        who: str = "",
        *,
        corrects: int | None = None,
        photo: int | None = None,
        not_understood: Sequence[str] = (),
        unknown: Sequence[str] = (),
    ) -> list[int]:
        """Add to the log of a piece; the line numbers. `corrects` names the line replaced.

        `not_understood` is what was said beside it that no rule knows: kept with the piece.
        `unknown` are features that were asked for with it and that nobody knew.
        Raises CatalogueProblem where that line is not one that stands for this piece.
        """
        if corrects is not None:
            self._standing_line(piece, corrects)
        with self._file.change("correct" if corrects is not None else "see", who) as step:
            lines = log_lines(
                self._file, piece.id, observations, who, now(), step, corrects=corrects, photo=photo
            )
            if corrects is not None:
                index_marks(self._file, piece.id)
            kept = self._keep_unknown(piece, not_understood)
            kept += self._pass_over(piece, unknown, who)
            self._file.keep_undo(step, {"seen": lines}, *kept)
        return lines

    def add_on_each(
        self, pieces: Sequence[Piece], observations: Sequence[Observation], who: str = ""
    ) -> int:
        """Add the same observations to the logs of several pieces, as one step; how many lines."""
        with self._file.change("see on several", who) as step:
            moment = now()
            lines = [
                line
                for piece in pieces
                for line in log_lines(self._file, piece.id, observations, who, moment, step)
            ]
            self._file.keep_undo(step, {"seen": lines})
        return len(lines)

    def pass_over(self, piece: Piece, features: Sequence[str], who: str = "") -> None:
        """Remember that the questions about features could not be answered on this piece."""
        with self._file.change("don't know", who) as step:
            self._file.keep_undo(step, *self._pass_over(piece, features, who))

    def _pass_over(self, piece: Piece, features: Sequence[str], who: str) -> list[dict[str, Any]]:
        """Remember them within the caller's change; what takes it back."""
        moment = now()
        rows = [
            self._file.insert(
                "passed",
                {"piece_id": piece.id, "feature": each, "who": who, "moment": moment},
            )
            for each in features
        ]
        return [{"table": "passed", "first": rows[0], "last": rows[-1]}] if rows else []

    def passed_on(self, piece: Piece) -> tuple[str, ...]:
        """The features whose questions could not be answered on a piece, oldest first."""
        found = self._file.rows(
            "select distinct feature from passed where piece_id = ? and gone = '' order by id",
            (piece.id,),
        )
        return tuple(row[0] for row in found)

    def set_unknown(self, piece: Piece, phrases: Sequence[str], who: str = "") -> None:
        """Set the phrases of a piece that no rule knows: those set aside stand no longer."""
        with self._file.change("set aside", who) as step:
            self._file.keep_undo(step, *self._put_unknown(piece, list(phrases)))

    def _keep_unknown(self, piece: Piece, phrases: Sequence[str]) -> list[dict[str, Any]]:
        """Add phrases to those not understood within the caller's change; what takes it back."""
        if not phrases:
            return []
        held = self._file.columns("piece", piece.id, ["not_understood"])["not_understood"]
        return self._put_unknown(piece, [*json.loads(held), *phrases])

    def _put_unknown(self, piece: Piece, phrases: Sequence[str]) -> list[dict[str, Any]]:
        check_lengths({"note": "".join(phrases)})
        kept = list(dict.fromkeys(phrases))[:MOST_UNKNOWN]
        new = {"not_understood": json.dumps(kept, ensure_ascii=False)}
        was = self._file.update("piece", piece.id, new)
        return [{"table": "piece", "id": piece.id, "set": was, "from": new}]

    def withdraw(self, piece: Piece, line: int, who: str = "") -> int:
        """Take a line of the log back without putting anything in its place; the new line.

        Raises CatalogueProblem where the piece has no such line that stands.
        """
        self._standing_line(piece, line)
        with self._file.change("withdraw", who) as step:
            lines = withdraw_lines(self._file, [line], step, now(), who)
            self._file.keep_undo(step, {"seen": lines})
        return lines[0]

    def of(self, piece: Piece) -> tuple[Seen, ...]:
        """Every line ever written for a piece, oldest first."""
        found = self._file.rows("select * from seen where piece_id = ? order by id", (piece.id,))
        return tuple(self._file.each(seen_of, found))

    def seen_on(self, piece: Piece) -> tuple[Seen, ...]:
        """The lines that stand: those neither corrected nor taken back."""
        return standing(self.of(piece))

    def _standing_line(self, piece: Piece, line: int) -> Seen:
        stand = self.seen_on(piece)
        for each in stand:
            if each.id == line:
                return each
        lines = ", ".join(str(each.id) for each in stand[:20]) or "none"
        raise CatalogueProblem(
            f"piece {piece.number} has no line {line} that stands in its log; it has {lines}"
        )

    def index_all_marks(self) -> None:
        """Let the text index follow the log again, for pieces whose marks were corrected."""
        found = self._file.rows(
            "select distinct piece_id from seen where feature = ? and corrects is not null",
            (MARK,),
        )
        for row in found:
            index_marks(self._file, row[0])


def log_lines(
    file: OpenFile,
    piece: int,
    observations: Iterable[Observation],
    who: str,
    moment: str,
    step: int,
    *,
    corrects: int | None = None,
    photo: int | None = None,
) -> list[int]:
    """Write lines within the caller's change. Of several, the first is the correction."""
    lines = []
    for each in observations:
        check_lengths({"value": each.value, "note": each.words, "who": who})
        values = (*values_of(each), piece, who, moment, photo, corrects, 0, step or None)
        lines.append(int(file.connection.execute(_INSERT, values).lastrowid or 0))
        corrects = None
    return lines


def withdraw_lines(
    file: OpenFile, lines: list[int], step: int, moment: str, who: str = ""
) -> list[int]:
    """Withdraw lines within the caller's change; lines that are withdrawals give way too."""
    new, pieces = [], set()
    for line in lines:
        row = file.rows("select * from seen where id = ?", (line,))[0]
        old = seen_of(row)
        values = (*values_of(old.observation), old.piece, who, moment, None, line, 1, step)
        new.append(int(file.connection.execute(_INSERT, values).lastrowid or 0))
        pieces.add(old.piece)
    for piece in pieces:
        index_marks(file, piece)
    return new


def index_marks(file: OpenFile, piece: int) -> None:
    """Let the text index hold the marks that stand, and no others."""
    found = file.rows("select * from seen where piece_id = ? order by id", (piece,))
    marks = [
        each.observation.value
        for each in standing(file.each(seen_of, found))
        if each.observation.feature == MARK
    ]
    file.connection.execute(
        "update piece_text set marks = ? where rowid = ?", (" ".join(marks), piece)
    )


def standing(log: Sequence[Seen]) -> tuple[Seen, ...]:
    """The lines of a log that stand. A correction that is itself taken back lets the old stand.

    Lines are looked at newest first: a line stands unless a standing line corrects it; a
    line that withdraws takes its target away and shows nothing itself.
    """
    replaced: set[int] = set()
    kept: list[Seen] = []
    for line in reversed(log):
        if line.id in replaced:
            continue
        if line.corrects is not None:
            replaced.add(line.corrects)
        if not line.withdrawn:
            kept.append(line)
    return tuple(reversed(kept))
