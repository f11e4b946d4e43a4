"""An archive restores exactly; a hostile one restores nothing."""

from __future__ import annotations

import hashlib
import io
import json
import warnings
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from building import NOTES, reader, whole
from PIL import Image

from markrules.catalogue import restoring
from markrules.catalogue.archive import archive
from markrules.catalogue.problems import CatalogueProblem, FileTrouble
from markrules.catalogue.records import Sale, SpareStone
from markrules.catalogue.restoring import restore
from markrules.catalogue.store import Catalogue
from markrules.knowledge.observation import Observation
from markrules.tasks.entering import new_piece
from markrules.tasks.reading_pieces import read_pieces

Parts = dict[str, bytes]


def rich(path: Path) -> Path:
    """A catalogue with something in every table."""
    out = io.BytesIO()
    Image.effect_noise((80, 60), 50).convert("RGB").save(out, "JPEG")
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.start("tin", "é ⚒ \u202e")
        catalogue.pieces.add(box, [new_piece(reader(), note) for note in NOTES], who="Ada")
        piece, other = catalogue.pieces.numbered(box, 1), catalogue.pieces.numbered(box, 2)
        mark = next(x for x in catalogue.log.seen_on(piece) if x.observation.feature == "mark")
        catalogue.log.add(piece, [Observation("mark", "BIRCH")], corrects=mark.id)
        photo = catalogue.photos.add(piece, out.getvalue(), "back")
        catalogue.photos.pin(photo, mark.id, 0.1, 0.9)
        catalogue.sets.start("pair", [piece, other])
        catalogue.money.record_acquisition(box, cost_minor=4000, currency="EUR", when="2024-06")
        sale = Sale(0, piece.id, "2024", 1, "EUR", "", "", 1, 2, "", True, "", "")
        catalogue.money.record_sales([sale])
        catalogue.money.record_event(piece, "listed", place="fair", price_minor=500, currency="EUR")
        lab = (50.0, 1.5, -3.25)
        catalogue.stones.add([SpareStone(0, "round", 4.1, "", "", lab, "", "", 3, other.id, "")])
        catalogue.decisions.decide(piece, "keep", "pretty", {"net": 1.5})
        catalogue.log.pass_over(piece, ["hinge"])
        catalogue.figures.set("postage", "4.20")
        read_pieces(catalogue, catalogue.readings.to_read(), reader)
        catalogue.pieces.take_out(catalogue.pieces.numbered(box, 5), "sold")
        catalogue.steps.undo()
    return path


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return rich(tmp_path_factory.mktemp("source") / "catalogue.db")


@pytest.fixture(scope="module")
def packed(source: Path) -> Path:
    path = source.with_name("tin.zip")
    with Catalogue(source) as catalogue:
        counts = archive(catalogue, path)
    assert all(counts.values()), counts
    return path


def test_it_restores_every_row_of_every_table(source: Path, packed: Path, tmp_path: Path) -> None:
    place = tmp_path / "new" / "catalogue.db"
    restore(packed, place)
    with Catalogue(source) as old, Catalogue(place) as new:
        assert whole(new) == whole(old)
        assert new.rows("pragma integrity_check")[0][0] == "ok"
        assert [each.piece.number for each in new.pieces.search("birch")] == [1]
        new.steps.undo()  # steps are restored with what takes them back
    assert [each.name for each in place.parent.iterdir()] == ["catalogue.db"]
    again = tmp_path / "again.zip"
    with Catalogue(source) as old:
        archive(old, again)
    assert tables(again) == tables(packed)


def tables(path: Path) -> Parts:
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name) for name in package.namelist() if name != "manifest.json"}


def test_it_can_be_read_without_any_program_of_ours(packed: Path) -> None:
    """The archive is a plain zip of JSON Lines; the manifest's checksums are SHA-256."""
    with zipfile.ZipFile(packed) as package:
        manifest = json.loads(package.read("manifest.json"))
        assert set(manifest["parts"]) == set(package.namelist()) - {"manifest.json"}
        for name, part in manifest["parts"].items():
            data = package.read(name)
            assert hashlib.sha256(data).hexdigest() == part["sha256"]
            if name.startswith("tables/"):
                assert len([json.loads(line) for line in data.splitlines()]) == part["rows"]
            if name.startswith("pictures/"):
                assert name == f"pictures/{part['sha256']}.jpg"


def test_nothing_is_written_over(source: Path, packed: Path, tmp_path: Path) -> None:
    before = source.read_bytes()
    with pytest.raises(CatalogueProblem, match="there is a catalogue already"):
        restore(packed, source)
    assert source.read_bytes() == before
    with Catalogue(source) as catalogue, pytest.raises(CatalogueProblem, match="already"):
        archive(catalogue, packed)
    with Catalogue(source) as catalogue, pytest.raises(FileTrouble, match="no archive was made"):
        archive(catalogue, tmp_path / "nowhere" / "a.zip")


# --- Archives that mean harm ----------------------------------------------------------------


def parts_of(path: Path) -> Parts:
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name) for name in package.namelist()}


def sign(parts: Parts) -> None:
    """Make the manifest agree with the parts, as somebody who means harm would."""
    manifest = json.loads(parts["manifest.json"])
    manifest["parts"] = {
        name: {
            **({"rows": len(data.splitlines())} if name.endswith(".jsonl") else {}),
            "sha256": hashlib.sha256(data).hexdigest(),
        }
        for name, data in parts.items()
        if name != "manifest.json"
    }
    parts["manifest.json"] = json.dumps(manifest).encode()


def set_column(table: str, column: str, value: Any) -> Callable[[Parts], None]:
    def change(parts: Parts) -> None:
        name = f"tables/{table}.jsonl"
        rows = [json.loads(line) for line in parts[name].splitlines()]
        rows[-1][column] = value
        parts[name] = b"".join(json.dumps(row).encode() + b"\n" for row in rows)
        sign(parts)

    return change


def add_part(name: str, data: bytes = b"{}\n") -> Callable[[Parts], None]:
    def change(parts: Parts) -> None:
        parts[name] = data
        sign(parts)

    return change


def set_manifest(**values: Any) -> Callable[[Parts], None]:
    def change(parts: Parts) -> None:
        manifest = {**json.loads(parts["manifest.json"]), **values}
        parts["manifest.json"] = json.dumps(manifest).encode()

    return change


def change_byte(parts: Parts) -> None:
    parts["tables/piece.jsonl"] = parts["tables/piece.jsonl"].replace(b"brooch", b"broach", 1)


def change_picture(parts: Parts) -> None:
    name = next(each for each in parts if each.startswith("pictures/"))
    parts[name] = parts[name][:-10] + b"<script/>\xff"
    sign(parts)


def drop(name: str) -> Callable[[Parts], None]:
    def change(parts: Parts) -> None:
        del parts[name]

    return change


def deep(parts: Parts) -> None:
    add_part("tables/figure.jsonl", b"[" * 100_000)(parts)


HARM: list[tuple[Callable[[Parts], None], str]] = [
    (add_part("../../etc/passwd"), "a part that no archive has"),
    (add_part("/etc/passwd"), "a part that no archive has"),
    (add_part("tables/..\\x.jsonl"), "a part that no archive has"),
    (add_part("tables/sqlite_schema.jsonl"), "no catalogue has this table"),
    (add_part("tables/piece_text.jsonl"), "no catalogue has this table"),
    (add_part("pictures/" + "0" * 64 + ".jpg", b"GIF89a"), ""),
    (change_byte, "was changed: its checksum differs"),
    (change_picture, "is not the checksum of its bytes"),
    (drop("tables/seen.jsonl"), "its manifest and its parts differ"),
    (drop("manifest.json"), "no manifest"),
    (set_manifest(schema=99), "newer markrules"),
    (set_manifest(form="else"), "its form is"),
    (set_manifest(parts=[1]), "manifest cannot be read"),
    (set_column("piece", "box_id", 99), "not there"),
    (set_column("piece", "nonsense", 1), "a column that no catalogue has"),
    (set_column("piece", "note) values (1); --", 1), "a column that no catalogue has"),
    (set_column("piece", "number", -1), "CHECK"),
    (set_column("piece", "note", {"a": 1}), "plain values"),
    (set_column("piece", "id", 2**70), "plain values"),
    (set_column("piece", "not_understood", "{}"), "cannot be read"),
    (set_column("seen", "weights", "x"), "cannot be read"),
    (set_column("seen", "weights", '[["a", 1]]'), "cannot be read"),
    (set_column("reading", "data", '{"date": [], "makers": []}'), "cannot be read"),
    (set_column("step", "undoes", None), "cannot be read"),
    (set_column("reading", "data", "[]"), "cannot be read"),
    (deep, "not JSON"),
    (add_part("tables/figure.jsonl", b"\xff\xfe{"), "not JSON"),
    (
        add_part("tables/figure.jsonl", b'{"name":"a","value":"' + b" " * 9_000_000),
        "more than|to 1",
    ),
]


@pytest.mark.parametrize(("harm", "told"), HARM)
def test_a_tampered_archive_restores_nothing(
    packed: Path, tmp_path: Path, harm: Callable[[Parts], None], told: str
) -> None:
    parts = parts_of(packed)
    harm(parts)
    bad, place = tmp_path / "bad.zip", tmp_path / "to" / "catalogue.db"
    with zipfile.ZipFile(bad, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            package.writestr(name, data)
    if not told:  # a picture that no row speaks of is harmless: it is not taken
        restore(bad, place)
        return
    with pytest.raises(CatalogueProblem, match=told) as caught:
        restore(bad, place)
    assert "nothing was restored" in str(caught.value)
    assert list(place.parent.iterdir()) == []
    outside = {each.name for each in tmp_path.iterdir()}
    assert outside == {"bad.zip", "to"}


def test_steps_of_a_tampered_archive_cannot_reach_beyond_their_tables(
    packed: Path, tmp_path: Path
) -> None:
    undoes = [
        [{"table": "seen", "id": 1, "set": {"value": "x"}}],
        [{"table": "box", "id": 1, "set": {"name = 'x' --": 1}}],
        [{"table": "sqlite_schema", "first": 1, "last": 99}],
        [{"nonsense": 1}],
    ]
    for number, each in enumerate(undoes):
        parts = parts_of(packed)
        rows = [json.loads(line) for line in parts["tables/step.jsonl"].splitlines()]
        rows = [{**row, "undoes": json.dumps(each), "undone": ""} for row in rows]
        parts["tables/step.jsonl"] = b"".join(json.dumps(row).encode() + b"\n" for row in rows)
        sign(parts)
        bad, place = tmp_path / f"{number}.zip", tmp_path / f"{number}.db"
        with zipfile.ZipFile(bad, "w") as package:
            for name, data in parts.items():
                package.writestr(name, data)
        restore(bad, place)
        with Catalogue(place) as catalogue:
            before = whole(catalogue)
            with pytest.raises(CatalogueProblem):
                catalogue.steps.undo()
            assert whole(catalogue) == before


def test_archives_that_swell_or_are_none_are_refused(
    packed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "catalogue.db"
    swell = tmp_path / "swell.zip"
    with zipfile.ZipFile(swell, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as package:
        package.writestr("tables/piece.jsonl", b" " * 200_000_000)
    none = tmp_path / "none.zip"
    none.write_bytes(b"PK but not a zip")
    twice = tmp_path / "twice.zip"
    with zipfile.ZipFile(twice, "w") as package, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for data in (b"{}", b"{}"):
            package.writestr("manifest.json", data)
    cut = tmp_path / "cut.zip"
    cut.write_bytes(packed.read_bytes()[:-200])
    for path, told in [(swell, "to 1"), (none, "not an archive"), (twice, "no archive has")]:
        with pytest.raises(CatalogueProblem, match=told):
            restore(path, place)
    for path in (cut, tmp_path / "missing.zip", tmp_path):
        with pytest.raises(CatalogueProblem):
            restore(path, place)
    monkeypatch.setattr(restoring, "MOST_PARTS", 3)
    with pytest.raises(CatalogueProblem, match="parts"):
        restore(packed, place)
    monkeypatch.setattr(restoring, "MOST_PARTS", 3000)
    monkeypatch.setattr(restoring, "LARGEST_UNPACKED", 3000)
    with pytest.raises(CatalogueProblem, match="unpack"):
        restore(packed, place)
    assert not place.exists()


def test_an_archive_with_any_byte_changed_restores_the_same_or_nothing(
    source: Path, packed: Path, tmp_path: Path
) -> None:
    import random

    chance, data = random.Random(6), packed.read_bytes()
    with Catalogue(source) as catalogue:
        wanted = whole(catalogue)
    for number in range(60):
        changed = bytearray(data)
        changed[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        path, place = tmp_path / f"{number}.zip", tmp_path / f"{number}.db"
        path.write_bytes(changed)
        try:
            restore(path, place)
        except CatalogueProblem:
            assert not place.exists()
            continue
        with Catalogue(place) as catalogue:
            assert whole(catalogue) == wanted
