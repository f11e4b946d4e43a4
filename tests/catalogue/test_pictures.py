"""Photos: kept upright and small, without where they were taken; hostile ones refused."""

from __future__ import annotations

import hashlib
import io
import sqlite3
import struct
import zlib
from pathlib import Path

import pytest
from PIL import ExifTags, Image
from together import every_case

from markrules.catalogue.archive import archive
from markrules.catalogue.pictures import KEPT_SIDE, THUMBNAIL_SIDE, prepare
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import NewPiece, Photo
from markrules.catalogue.restoring import restore, verify
from markrules.catalogue.schema import APPLICATION_ID, MIGRATIONS, statements
from markrules.catalogue.store import Catalogue
from markrules.catalogue.wholeness import check
from markrules.photo_limits import LARGEST_BYTES


def jpeg(size: tuple[int, int] = (60, 40), orientation: int = 1, comment: bytes = b"") -> bytes:
    """Red on the left half, blue on the right, with a place and a time of taking."""
    image = Image.new("RGB", size, "blue")
    image.paste("red", (0, 0, size[0] // 2, size[1]))
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    exif[ExifTags.Base.DateTime] = "2024:06:30 12:00:00"
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitudeRef] = "N"
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (48.0, 12.0, 30.0)
    out = io.BytesIO()
    image.save(out, "JPEG", exif=exif, comment=comment, quality=95)
    return out.getvalue()


def test_where_and_when_it_was_taken_is_left_out() -> None:
    """Exif (CIPA DC-008): no APP1 segment is left, nor a comment (ITU-T T.81, B.2.4.5)."""
    sent = jpeg(comment=b"my garden")
    assert Image.open(io.BytesIO(sent)).getexif().get_ifd(ExifTags.IFD.GPSInfo)
    picture = prepare(sent)
    for data in (picture.data, picture.thumbnail):
        opened = Image.open(io.BytesIO(data))
        assert not opened.getexif()
        assert b"Exif" not in data
        assert b"my garden" not in data
        assert b"\xff\xe1" not in data[:200]
        assert opened.info.get("icc_profile") is None


@every_case(
    ("orientation", "red_at"),
    # Exif 2.32, tag 274: where the 0th row and column of what was stored are shown. The stored
    # left half is red; 3 is upside down, 6 is turned right to be upright, 8 turned left.
    [(1, "left"), (3, "right"), (6, "top"), (8, "bottom")],
)
def test_it_is_turned_upright(orientation: int, red_at: str) -> None:
    picture = prepare(jpeg(orientation=orientation))
    opened = Image.open(io.BytesIO(picture.data)).convert("RGB")
    width, height = opened.size
    assert (width, height) == (picture.width, picture.height)
    assert (width > height) == (orientation in (1, 3))
    spots = {
        "left": (5, height // 2),
        "right": (width - 5, height // 2),
        "top": (width // 2, 5),
        "bottom": (width // 2, height - 5),
    }
    red, _, blue = opened.getpixel(spots[red_at])  # type: ignore[misc]
    assert red > 200
    assert blue < 60


def test_large_ones_are_made_smaller_and_named_by_their_bytes() -> None:
    picture = prepare(jpeg((5000, 2500)))
    assert (picture.width, picture.height) == (KEPT_SIDE, KEPT_SIDE // 2)
    assert Image.open(io.BytesIO(picture.data)).size == (picture.width, picture.height)
    assert max(Image.open(io.BytesIO(picture.thumbnail)).size) == THUMBNAIL_SIDE
    assert picture.digest == hashlib.sha256(picture.data).hexdigest()
    tall = prepare(jpeg((3, 3000)))
    assert Image.open(io.BytesIO(tall.thumbnail)).size[0] >= 1


@every_case("kind", ["PNG", "WEBP"])
@every_case("mode", ["RGB", "RGBA", "P", "L", "LA"])
def test_other_types_and_modes_are_taken(kind: str, mode: str) -> None:
    if kind == "WEBP" and mode in ("P", "LA"):
        mode = "RGBA"
    image = Image.new(mode, (30, 20))
    out = io.BytesIO()
    image.save(out, kind)
    picture = prepare(out.getvalue())
    assert (picture.width, picture.height, picture.media_type) == (30, 20, "image/jpeg")
    if mode in ("RGBA", "LA"):  # what is clear is shown on white
        pixel = Image.open(io.BytesIO(picture.data)).convert("RGB").getpixel((5, 5))
        assert pixel == (255, 255, 255)


def png_of(width: int, height: int) -> bytes:
    """A PNG that says it is huge (ISO/IEC 15948, 11.2.2), with next to no data."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        whole = kind + data
        return struct.pack(">I", len(data)) + whole + struct.pack(">I", zlib.crc32(whole))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    packed = zlib.compress(b"\0" * 1_000_000)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")
    )


def other(kind: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (10, 10)).save(out, kind)
    return out.getvalue()


@every_case(
    ("data", "told"),
    [
        (png_of(60_000, 60_000), "pixels"),
        (png_of(2_000_000_000, 1), "pixels"),
        (png_of(8000, 8000), "damaged"),
        (b"\xff\xd8\xff" + b"\0" * LARGEST_BYTES, "bytes"),
        (jpeg()[:300], "damaged|not one"),
        (b"\xff\xd8\xff\xe0 nothing more", "damaged|not one"),
        (b"", "not a photo"),
        (b"<svg onload='alert(1)'/>", "not a photo"),
        (b"%!PS-Adobe-3.0 EPSF", "not a photo"),
        (b"<html><script>alert(1)</script>", "not a photo"),
        (other("GIF"), "not a photo"),
        (other("BMP"), "not a photo"),
        (other("TIFF"), "not a photo"),
        (b"RIFF\x10\0\0\0AVI LIST", "not a photo"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
    ],
)
def test_hostile_ones_and_other_types_are_refused(data: bytes, told: str) -> None:
    with pytest.raises(CatalogueProblem, match=told):
        prepare(data)


def test_bytes_hidden_after_the_picture_are_not_kept() -> None:
    assert b"<script>" not in prepare(jpeg() + b"<script>alert(1)</script>").data


def test_a_photo_is_kept_once_and_pins_tie_it_to_what_is_seen(tmp_path: Path) -> None:
    from building import reader

    from markrules.tasks.entering import new_piece

    with Catalogue(tmp_path / "c.db") as catalogue:
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [new_piece(reader(), "brooch, C catch"), NewPiece("other")])
        piece, other_piece = catalogue.pieces.numbered(box, 1), catalogue.pieces.numbered(box, 2)
        first = catalogue.photos.add(piece, jpeg(), "back", who="Ada")
        second = catalogue.photos.add(other_piece, jpeg())
        assert first.digest == second.digest
        assert len(catalogue.rows("select 1 from picture")) == 1
        line = catalogue.log.seen_on(piece)[1].id
        catalogue.photos.pin(first, line, 0.25, 0.5)
        assert catalogue.photos.of(piece)[0].pins == ((0.25, 0.5, line),)
        for photo, x, told in ((first, 1.5, "from 0 to 1"), (second, 0.5, "no line")):
            with pytest.raises(CatalogueProblem, match=told):
                catalogue.photos.pin(photo, line, x, 0.5)
        catalogue.steps.undo()
        assert catalogue.photos.of(piece)[0].pins == ()
        catalogue.photos.take_out(first)
        assert catalogue.photos.of(piece) == ()
        catalogue.steps.undo()
        assert len(catalogue.photos.of(piece)) == 1
        assert hashlib.sha256(catalogue.photos.picture(first.digest)).hexdigest() == first.digest
        assert catalogue.pieces.listed(box)[0].photo == first.digest


def test_a_picture_of_more_than_eighty_million_pixels_is_refused_undecoded() -> None:
    out = io.BytesIO()
    Image.new("1", (10_001, 8_000)).save(out, "PNG")

    with pytest.raises(CatalogueProblem, match="80,000,000"):
        prepare(out.getvalue())


# --- As it was given ----------------------------------------------------------------------------


def with_photo(path: Path, data: bytes) -> Photo:
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [NewPiece("brooch")])
        return catalogue.photos.add(catalogue.pieces.numbered(box, 1), data, "back")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_every_byte_is_kept_as_it_was_given(tmp_path: Path, kind: str) -> None:
    out = io.BytesIO()
    Image.effect_noise((50, 40), 40).convert("RGB").save(out, kind)
    given = jpeg(comment=b"my garden") + b"trailing" if kind == "JPEG" else out.getvalue()
    photo = with_photo(tmp_path / "c.db", given)

    with Catalogue(tmp_path / "c.db") as catalogue:
        media_type, data = catalogue.photos.as_given(photo)
    assert data == given
    assert media_type == f"image/{kind.casefold()}"
    assert photo.original == hashlib.sha256(given).hexdigest()


def test_what_leaves_with_the_piece_tells_no_place(tmp_path: Path) -> None:
    """Sheet, schema.org and Linked Art hold pictures without Exif (CIPA DC-008)."""
    import base64
    import re

    from building import reader

    from markrules.sheets.printing import sheet_page
    from markrules.tasks.exporting_piece import piece_as
    from markrules.tasks.gathering_for_sheets import matter_of

    with_photo(tmp_path / "c.db", jpeg(comment=b"my garden"))
    with Catalogue(tmp_path / "c.db") as catalogue:
        box = catalogue.boxes.named("tin")
        matter = matter_of(catalogue, reader(), box, catalogue.pieces.numbered(box, 1))
    for text in (
        sheet_page(matter),
        piece_as(matter, "schema-org"),
        piece_as(matter, "linked-art"),
    ):
        pictures = re.findall(r"data:image/jpeg;base64,([A-Za-z0-9+/=]+)", text)
        assert pictures
        for each in pictures:
            data = base64.b64decode(each)
            assert b"Exif" not in data
            assert b"my garden" not in data


def test_an_archive_holds_it_or_leaves_it_out(tmp_path: Path) -> None:
    given = jpeg(comment=b"my garden")
    photo = with_photo(tmp_path / "c.db", given)
    with Catalogue(tmp_path / "c.db") as catalogue:
        archive(catalogue, tmp_path / "mine.zip")
        archive(catalogue, tmp_path / "shared.zip", originals=False)
        assert not [each for each in check(catalogue, [tmp_path / "mine.zip"]) if each.faults]
    restore(tmp_path / "mine.zip", tmp_path / "mine.db")
    restore(tmp_path / "shared.zip", tmp_path / "shared.db")

    assert verify(tmp_path / "mine.zip").rows["original"] == 1
    assert b"my garden" not in (tmp_path / "shared.zip").read_bytes()
    with Catalogue(tmp_path / "mine.db") as mine:
        assert mine.photos.as_given(mine.photos.by_id(photo.id))[1] == given
    with Catalogue(tmp_path / "shared.db") as shared:
        found = shared.photos.by_id(photo.id)
        assert found.original == ""
        assert shared.photos.picture(found.digest)
        with pytest.raises(CatalogueProblem, match="not kept as it was given"):
            shared.photos.as_given(found)


def test_a_changed_byte_of_it_is_told(tmp_path: Path) -> None:
    with_photo(tmp_path / "c.db", jpeg())
    with Catalogue(tmp_path / "c.db") as catalogue, catalogue.change():
        catalogue.connection.execute("update original set bytes = bytes || x'00'")
    with Catalogue(tmp_path / "c.db") as catalogue:
        told = {each.what: each.faults for each in check(catalogue, [])}
    assert "not as it was given" in told["photos as given"][0]


def test_a_number_in_its_place_is_no_photo(tmp_path: Path) -> None:
    """Bytes made of a number would be so many zeros: here 900 GB."""
    photo = with_photo(tmp_path / "c.db", jpeg())
    with Catalogue(tmp_path / "c.db") as catalogue, catalogue.change():
        catalogue.connection.execute("update original set bytes = 900000000000")
    with Catalogue(tmp_path / "c.db") as catalogue:
        told = {each.what: each.faults for each in check(catalogue, [])}
        with pytest.raises(CatalogueProblem, match="no photo"):
            catalogue.photos.as_given(catalogue.photos.by_id(photo.id))
    assert "not as it was given" in told["photos as given"][0]


def test_photos_of_an_older_catalogue_stay_as_they_are(tmp_path: Path) -> None:
    """A file of the schema before: its photos are shown, and none is kept as given."""
    path = tmp_path / "old.db"
    with sqlite3.connect(path) as db:
        for step in MIGRATIONS[:6]:
            for statement in statements(step):
                db.execute(statement)
        db.execute(f"pragma application_id = {APPLICATION_ID}")
        db.execute("pragma user_version = 6")
        picture = prepare(jpeg())
        db.execute("insert into box (name, added) values ('tin', '2026-01-01T00:00:00+00:00')")
        db.execute("insert into piece (uid, box_id, number, added) values ('u1', 1, 1, 'then')")
        db.execute(
            "insert into picture values (?, 'image/jpeg', ?, ?, ?, ?)",
            (picture.digest, picture.width, picture.height, picture.data, picture.thumbnail),
        )
        db.execute(
            "insert into photo (piece_id, digest, added) values (1, ?, 'then')", (picture.digest,)
        )
    db.close()
    with Catalogue(path) as catalogue:
        (photo,) = catalogue.photos.of(catalogue.pieces.numbered(catalogue.boxes.named("tin"), 1))
        assert photo.original == ""
        assert catalogue.photos.picture(photo.digest) == picture.data
        assert not [each for each in check(catalogue, []) if each.faults]
