"""No letter vanishes from a paper: one that no font has stands as its number, and it is told."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from click.testing import CliRunner

from markrules.cli.commands import cli
from markrules.sheets import printing
from markrules.sheets.printing import missing_letters, with_all_letters

pypdf = pytest.importorskip("pypdf")
pytest.importorskip("typst")


def test_letters_that_fonts_have_are_left_alone() -> None:
    text = "Ærø — Žižkov, Ω, Жук, “x”, 5½ × 3"
    assert missing_letters(text) == ""
    assert with_all_letters(text) == text


def test_a_letter_that_no_font_has_stands_as_its_number(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = printing._drawn
    monkeypatch.setattr(
        printing, "_drawn", lambda letter: drawn("\u0378" if letter in "銀製" else letter)
    )
    printing._is_missing.cache_clear()
    try:
        assert missing_letters("mark 銀製 銀") == "銀製"
        assert with_all_letters("mark 銀製") == "mark [U+9280][U+88FD]"
    finally:
        printing._is_missing.cache_clear()


def test_on_the_sheet_too_and_a_font_is_asked_for(tmp_path: Path) -> None:
    paper = tmp_path / "a.pdf"
    done = CliRunner().invoke(
        cli, ["sheet", "make", "--note", "brooch, marked 銀製", "--to", str(paper)]
    )
    assert done.exit_code == 0, done.output
    text = "".join(
        page.extract_text() for page in pypdf.PdfReader(io.BytesIO(paper.read_bytes())).pages
    )
    lacking = missing_letters("銀製")
    for letter in "銀製":
        assert (f"U+{ord(letter):04X}" if letter in lacking else letter) in text.replace("\n", "")
    assert ("MARKRULES_FONTS" in done.output) == bool(lacking)


def test_and_on_labels(tmp_path: Path) -> None:
    place, paper = tmp_path / "invented.db", tmp_path / "a.pdf"
    for words in (
        ("box", "start", "銀"),
        ("box", "add", "銀", "ring, marked 製"),
        ("sheet", "labels", "銀", "--to", str(paper)),
    ):
        done = CliRunner().invoke(cli, [*words, "--catalogue", str(place)])
        assert done.exit_code == 0, done.output
    lacking = missing_letters("銀製")
    assert ("MARKRULES_FONTS" in done.output) == bool(lacking)
    assert all(letter in done.output for letter in lacking)
