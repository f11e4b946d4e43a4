"""`markrules sheet` from end to end: a catalogue, its sheets, and errors told plainly."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from sheets_building import jpeg
from together import every_case

from markrules.cli import main  # noqa: F401  the entry point must import
from markrules.cli.commands import cli

NOTES = (
    "brooch, rollover catch, AB rhinestones, marked AUSTRIA, 5.5 cm",
    "earrings, clip backs, signed TRIFARI with crown",
    "=HYPERLINK(1) <script>x</script> ring, marked 14K",
)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue with an invented box of three pieces."""
    from markrules.catalogue.store import Catalogue
    from markrules.cli.common import open_reader
    from markrules.tasks.entering import new_piece

    path = tmp_path_factory.mktemp("sheets") / "catalogue.db"
    reader = open_reader(())
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [new_piece(reader, note) for note in NOTES], "Invented Observer")
        piece = catalogue.pieces.numbered(box, 1)
        catalogue.photos.add(piece, jpeg(), "front")
        catalogue.money.record_acquisition(
            box, when="2026-05-02", where="Springfield", who_from="a sale"
        )
    return path


def run(*words: str, place: Path | None = None, text: str = "") -> Result:
    more = ["--catalogue", str(place)] if place else []
    return CliRunner().invoke(cli, ["sheet", *words, *more], input=text)


def test_make_html_and_pdf(place: Path, tmp_path: Path) -> None:
    for name, start in (("a.html", b"<!doctype html>"), ("a.pdf", b"%PDF-")):
        done = run("make", "tin", "1", "--to", str(tmp_path / name), place=place)
        assert done.exit_code == 0, done.output
        assert (tmp_path / name).read_bytes().startswith(start)
    page = (tmp_path / "a.html").read_text()
    for wanted in ("Springfield", "data:image/jpeg", "AUSTRIA"):
        assert wanted in page
    assert "Invented Observer" not in page
    named = run("make", "tin", "1", "--people", place=place)
    assert "Invented Observer" in named.output


def test_make_without_a_catalogue(tmp_path: Path) -> None:
    done = run("make", "--note", NOTES[0], "--told", "it was a gift")
    assert done.exit_code == 0
    assert "it was a gift" in done.output


def test_verify(place: Path, tmp_path: Path) -> None:
    page = run("make", "tin", "2", place=place).output
    digits = page.split('<td class="mono">')[1].split("<")[0]
    assert run("make", "tin", "2", "--verify", digits, place=place).exit_code == 0
    changed = run("make", "tin", "1", "--verify", digits, place=place)
    assert changed.exit_code == 1
    assert "differs" in changed.output
    assert run("make", "tin", "1", "--verify", "nonsense", place=place).exit_code == 2


def test_listing_complete_and_exports(place: Path) -> None:
    data = json.loads(run("listing", "tin", "1", "--json", place=place).output)
    assert data["title"].startswith("Brooch")
    assert len(data["title"]) <= 80
    found = json.loads(run("complete", "tin", "1", "--json", place=place).output)
    assert len(found) == 11
    for form in ("schema-org", "linked-art"):
        assert "@context" in json.loads(run("export", "tin", "1", "--as", form, place=place).output)
    assert run("export", "tin", "1", "--as", "edtf", place=place).output.count("\n") == 1
    assert "<dc:title>" in run("export", "tin", "1", "--as", "dublin-core", place=place).output


def test_check_a_text(place: Path, tmp_path: Path) -> None:
    listing = tmp_path / "listing.txt"
    listing.write_text("A brooch.\nSolid gold, signed Trifari.")
    done = run("check", str(listing), "--piece", "tin", "1", place=place)
    assert done.exit_code == 1
    assert f"{listing}:2:1" in done.output
    assert "^^^^^^^^^^" in done.output
    assert "16 CFR 23.3" in done.output
    better = run("check", str(listing), "--piece", "tin", "1", "--better", place=place)
    assert better.exit_code == 0
    assert "gold," not in better.output
    standard = run("check", "-", "--note", "ring, marked 14K", text="14K gold ring")
    assert standard.exit_code == 0
    assert "no phrases" in standard.output


def test_a_box_with_index_contact_sheet_and_table(place: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    done = run("box", "tin", "--to", str(folder), "--data", "--jobs", "1", place=place)
    assert done.exit_code == 0, done.output
    names = {each.name for each in folder.iterdir()}
    assert {"index.html", "contact.html", "pieces.csv"} <= names
    for number in (1, 2, 3):
        for ending in ("html", "pdf", "linked-art.jsonld", "schema.jsonld"):
            assert f"piece-{number:04d}.{ending}" in names
    with (folder / "pieces.csv").open(encoding="utf-8-sig", newline="") as handle:
        rows = list(csv.DictReader(handle))
    assert [row["number"] for row in rows] == ["1", "2", "3"]
    assert "<script>x" not in (folder / "index.html").read_text()
    assert "data:image/jpeg" in (folder / "contact.html").read_text()


def test_several_processes_make_the_same(place: Path, tmp_path: Path, monkeypatch) -> None:
    from markrules.tasks import sheets_of_box as box

    monkeypatch.setattr(box, "WORTH_PROCESSES", 1)
    monkeypatch.setattr(box, "CHUNK", 1)
    for jobs in ("1", "2"):
        done = run("box", "tin", "--to", str(tmp_path / jobs), "--jobs", jobs, place=place)
        assert done.exit_code == 0, done.output
    for file in (tmp_path / "1").iterdir():
        assert file.read_bytes() == (tmp_path / "2" / file.name).read_bytes()


def test_labels(place: Path, tmp_path: Path) -> None:
    done = run("labels", "tin", "--pieces", "1,3", "--to", str(tmp_path / "l.pdf"), place=place)
    assert done.exit_code == 0, done.output
    assert run("labels", "tin", place=place).output.count('class="label"') == 3


@every_case(
    ("words", "code", "said"),
    [
        (["make"], 2, "which piece"),
        (["make", "tin"], 2, "Give its number"),
        (["make", "tim", "1"], 2, 'nearest: "tin"'),
        (["make", "tin", "99"], 2, "no piece 99"),
        (["make", "tin", "1", "--to", "x.doc"], 2, ".html or .pdf"),
        (["make", "tin", "1", "--to", "/no/such/folder/x.html"], 3, "/no/such/folder"),
        (["check", "/no/such/file"], 3, "/no/such/file"),
        (["labels", "tin", "--pieces", "one"], 2, "1,3-7"),
        (["labels", "tin", "--pieces", "50"], 2, "no such piece"),
    ],
)
def test_errors_are_told_plainly(place: Path, words: list[str], code: int, said: str) -> None:
    done = run(*words, place=place)
    assert done.exit_code == code, done.output
    assert said in done.output
    assert "Traceback" not in done.output


def test_bad_photos_and_dates_are_told(tmp_path: Path) -> None:
    wrong = tmp_path / "photo.jpg"
    wrong.write_bytes(b"<html>not a photo</html>")
    done = run("make", "--note", "brooch", "--photo", str(wrong))
    assert done.exit_code == 3
    assert "no JPEG" in done.output
    assert run("make", "--note", "brooch", "--when", "yesterday").exit_code == 2


def test_no_text_is_no_utf8(tmp_path: Path) -> None:
    wrong = tmp_path / "listing.txt"
    wrong.write_bytes(b"gold \xff")
    done = run("check", str(wrong))
    assert done.exit_code == 3
    assert "byte 6" in done.output


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "no text in it"),
        (b" \n\t\n", "no text in it"),
        (b"PK\x03\x04\0\0solid gold", "byte 5 is no text"),
        (b"\xff\xfes\0o\0\0", "no UTF-16"),
    ],
)
def test_what_holds_no_text_is_not_said_to_be_well(tmp_path: Path, data: bytes, told: str) -> None:
    listing = tmp_path / "listing.txt"
    listing.write_bytes(data)
    done = run("check", str(listing))
    assert done.exit_code == 3
    assert told in done.output
    assert "too far" not in done.output


def test_a_text_of_a_windows_editor_is_read(tmp_path: Path) -> None:
    listing = tmp_path / "listing.txt"
    listing.write_bytes("solid gold ring".encode("utf-16"))
    done = run("check", str(listing))
    assert done.exit_code == 1, done.output
    assert "solid gold" in done.output


def test_a_claim_at_the_end_of_a_long_text_is_found(tmp_path: Path) -> None:
    plain = "a plain thing of no note, in a drawer with others\n"
    listing = tmp_path / "long.txt"
    listing.write_text(plain * (190_000 // len(plain)) + "solid gold")
    done = CliRunner().invoke(cli, ["sheet", "check", str(listing)])
    assert done.exit_code == 1, done.output
    assert "solid gold" in done.output
    listing.write_text(plain * (210_000 // len(plain)))
    done = CliRunner().invoke(cli, ["sheet", "check", str(listing)])
    assert done.exit_code == 3
    assert "more than 200,000 bytes" in done.output


def test_sheets_of_a_box_are_the_owners_and_name_people_only_when_asked(
    place: Path, tmp_path: Path
) -> None:
    import stat

    for name, more, named in (("plain", (), False), ("named", ("--people",), True)):
        folder = tmp_path / name
        done = run("box", "tin", "--to", str(folder), "--no-pdf", "--jobs", "1", *more, place=place)
        assert done.exit_code == 0, done.output
        assert ("Invented Observer" in (folder / "piece-0001.html").read_text()) is named
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
        modes = {stat.S_IMODE(each.stat().st_mode) for each in folder.iterdir()}
        assert modes == {0o600}


def test_letters_without_a_font_are_told_for_a_box_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from markrules.catalogue.records import NewPiece
    from markrules.catalogue.store import Catalogue
    from markrules.tasks import sheets_of_box

    monkeypatch.setattr(sheets_of_box, "missing_letters", lambda text: "漢" if "漢" in text else "")
    path = tmp_path / "c.db"
    with Catalogue(path) as catalogue:
        catalogue.pieces.add(catalogue.boxes.start("tin"), [NewPiece("ring", title="漢")])
    done = run("box", "tin", "--to", str(tmp_path / "out"), "--jobs", "1", place=path)
    assert done.exit_code == 0, done.output
    assert "no font here has the letters 漢" in done.output
