"""Photos of pieces, kept by the digest of their bytes, and pins from photo to observation."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Sequence
from dataclasses import asdict

from markrules.catalogue.core import OpenFile, now
from markrules.catalogue.pictures import Picture, prepare
from markrules.catalogue.pieces import insert_piece, last_number
from markrules.catalogue.problems import BrokenRow, CatalogueProblem
from markrules.catalogue.records import Box, LampsUsed, NewPiece, Photo, Piece
from markrules.catalogue.rows import checked


class Photos:
    """The photos of pieces, their pictures, and pins on them."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def add(self, piece: Piece, data: bytes, place: str = "", who: str = "") -> Photo:
        """Keep a photo of a piece; `place` says what it shows. See `pictures.prepare`.

        Raises CatalogueProblem where the photo cannot be taken. The same picture is kept once.
        """
        return self.keep(piece, prepare(data), place, who)

    def keep(
        self,
        piece: Piece,
        picture: Picture,
        place: str = "",
        who: str = "",
        made_from: LampsUsed | None = None,
    ) -> Photo:
        """Keep a picture that was prepared already as a photo of a piece."""
        with self._file.change("add photo", who) as step:
            row = self._insert_photo(piece.id, picture, place, made_from)
            self._file.keep_undo(step, {"table": "photo", "first": row, "last": row})
        return self.by_id(row)

    def keep_each(
        self, piece: Piece, pictures: Sequence[Picture], place: str = "", who: str = ""
    ) -> int:
        """Keep several prepared pictures of a piece as one step; how many."""
        with self._file.change("add photos", who) as step:
            rows = [self._insert_photo(piece.id, each, place) for each in pictures]
            self._file.keep_undo(step, {"table": "photo", "first": rows[0], "last": rows[-1]})
        return len(rows)

    def add_photographed(
        self, box: Box, photographed: Sequence[Sequence[Picture]], who: str = ""
    ) -> range:
        """A new piece for each run of prepared pictures, all as one step; their numbers."""
        with self._file.change("add photographed pieces", who) as step:
            last, moment = last_number(self._file, box), now()
            pieces, photos = [], []
            for number, pictures in enumerate(photographed, last + 1):
                pieces.append(insert_piece(self._file, box.id, number, NewPiece(), moment))
                photos += [self._insert_photo(pieces[-1], each) for each in pictures]
            self._file.keep_undo(
                step,
                {"table": "piece", "first": pieces[0], "last": pieces[-1]},
                {"table": "photo", "first": photos[0], "last": photos[-1]},
            )
        return range(last + 1, last + 1 + len(pieces))

    def _insert_photo(
        self, piece: int, picture: Picture, place: str = "", made_from: LampsUsed | None = None
    ) -> int:
        """Keep a picture as a photo of a piece within the caller's change; its row number."""
        self._file.connection.execute(
            "insert into picture (digest, media_type, width, height, bytes, thumbnail)"
            " values (?, ?, ?, ?, ?, ?) on conflict do nothing",
            (
                picture.digest,
                picture.media_type,
                picture.width,
                picture.height,
                picture.data,
                picture.thumbnail,
            ),
        )
        original = None
        if picture.original and made_from is None:
            original = hashlib.sha256(picture.original).hexdigest()
            self._file.connection.execute(
                "insert into original (digest, media_type, bytes) values (?, ?, ?)"
                " on conflict do nothing",
                (original, picture.original_type, picture.original),
            )
        values = {
            "piece_id": piece,
            "digest": picture.digest,
            "original": original,
            "place": place,
            "added": now(),
            "made_from": json.dumps(asdict(made_from)) if made_from is not None else "",
        }
        return self._file.insert("photo", values)

    def by_id(self, photo_id: int) -> Photo:
        """The photo with that row number. Raises CatalogueProblem where there is none."""
        found = self._file.row(f"{_PHOTO} where photo.id = ?", (photo_id,))
        if found is None:
            raise CatalogueProblem(f"there is no photo {photo_id}")
        return self._photo(found)

    def of(self, piece: Piece) -> tuple[Photo, ...]:
        """The photos of a piece, in the order they were added."""
        found = self._file.rows(
            f"{_PHOTO} where piece_id = ? and gone = '' order by photo.id", (piece.id,)
        )
        return tuple(self._file.each(self._photo, found))

    def _photo(self, row: sqlite3.Row) -> Photo:
        pins = self._file.rows(
            "select x, y, seen_id from pin where photo_id = ? and gone = '' order by id",
            (row["id"],),
        )
        return _photo_of(row, pins)

    def picture(self, digest: str) -> bytes:
        """The bytes of a picture (JPEG). Raises CatalogueProblem where there is none."""
        return self._blob(digest, "bytes")

    def thumbnail(self, digest: str) -> bytes:
        """The bytes of a picture's thumbnail (JPEG). Raises CatalogueProblem without one."""
        return self._blob(digest, "thumbnail")

    def as_given(self, photo: Photo) -> tuple[str, bytes]:
        """The type and the bytes of a photo as it was given, with all that its camera wrote in it.

        Raises CatalogueProblem where it was not kept.
        """
        found = self._file.row(
            "select media_type, bytes from original where digest = ?", (photo.original,)
        )
        if found is None:
            raise CatalogueProblem(
                f"photo {photo.id} is not kept as it was given: it came with an older markrules, or"
                " was worked out from others"
            )
        if not isinstance(found[1], bytes):
            raise BrokenRow(f"photo {photo.id}: what was kept as given is no photo")
        return str(found[0]), found[1]

    def _blob(self, digest: str, column: str) -> bytes:
        found = self._file.row(f"select {column} from picture where digest = ?", (digest,))
        if found is None:
            raise CatalogueProblem(f'there is no picture "{digest[:64]}"')
        if not isinstance(found[0], bytes):
            raise BrokenRow(f'picture "{digest[:64]}": {column} is no picture')
        return found[0]

    def take_out(self, photo: Photo, who: str = "") -> None:
        """Show a photo no longer. Its picture stays in the file, so that this can be undone."""
        with self._file.change("take out photo", who) as step:
            new = {"gone": now()}
            was = self._file.update("photo", photo.id, new)
            self._file.keep_undo(step, {"table": "photo", "id": photo.id, "set": was, "from": new})

    def pin(self, photo: Photo, line: int, x: float, y: float, who: str = "") -> None:
        """Tie a line of the log to a place on a photo, x and y from 0 to 1 from the upper left.

        Raises CatalogueProblem where the place is outside, or the line is of another piece.
        """
        if not (0.0 <= x <= 1.0 and 0.0 <= y <= 1.0):
            raise CatalogueProblem("a place on a photo is given from 0 to 1 across and down")
        if not self._file.row(
            "select 1 from seen where id = ? and piece_id = ?", (line, photo.piece)
        ):
            raise CatalogueProblem(f"the piece on photo {photo.id} has no line {line} in its log")
        values = {"photo_id": photo.id, "seen_id": line, "x": x, "y": y}
        with self._file.change("pin", who) as step:
            row = self._file.insert("pin", values)
            self._file.keep_undo(step, {"table": "pin", "first": row, "last": row})


_PHOTO = (
    "select photo.*, picture.media_type, picture.width, picture.height"
    " from photo join picture using (digest)"
)


@checked("photo")
def _photo_of(row: sqlite3.Row, pins: Sequence[sqlite3.Row]) -> Photo:
    if not all(isinstance(each, int | float) for pin in pins for each in pin):
        raise ValueError("a place on a photo is given in numbers")
    return Photo(
        row["id"],
        row["piece_id"],
        row["digest"],
        row["media_type"],
        row["width"],
        row["height"],
        row["place"],
        row["added"],
        tuple((pin[0], pin[1], pin[2]) for pin in pins),
        _lamps_used(row["made_from"]),
        row["original"] or "",
    )


def _lamps_used(text: str) -> LampsUsed | None:
    """How a picture was made; None for a photo, and for a row that makes no sense."""
    if not text:
        return None
    try:
        data = json.loads(text)
        left, top, width, height = map(float, data["box"])
        return LampsUsed(
            tuple(map(int, data["photos"])),
            tuple(map(float, data["hours"])),
            (left, top, width, height),
            int(data["lines"]),
            str(data["shows"]),
        )
    except (ValueError, KeyError, TypeError):
        return None
