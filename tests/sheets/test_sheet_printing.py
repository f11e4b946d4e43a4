"""PDF: read back by pypdf (another hand's reader of ISO 32000)."""

from __future__ import annotations

import io

import pytest
from sheets_notes import NOTES
from together import every_case

from markrules.sheets.content import content
from markrules.sheets.printing import sheet_pdf

pypdf = pytest.importorskip("pypdf")
pytest.importorskip("typst")


@every_case("note", NOTES)
def test_a_sheet_has_one_page_or_two(make_matter, note: str) -> None:
    pages = pypdf.PdfReader(io.BytesIO(sheet_pdf(make_matter(note)))).pages
    assert 1 <= len(pages) <= 2


def test_paper_is_a4_or_letter(whole) -> None:
    """ISO 216: 210 by 297 mm; ANSI/ASME Y14.1 size A: 8.5 by 11 in."""
    for paper, width, height in (
        ("a4", 210 / 25.4 * 72, 297 / 25.4 * 72),
        ("letter", 8.5 * 72, 11 * 72),
    ):
        page = pypdf.PdfReader(io.BytesIO(sheet_pdf(whole, paper))).pages[0]
        assert float(page.mediabox.width) == pytest.approx(width, abs=0.1)
        assert float(page.mediabox.height) == pytest.approx(height, abs=0.1)


def test_fonts_and_photos_are_inside(whole) -> None:
    read = pypdf.PdfReader(io.BytesIO(sheet_pdf(whole)))
    fonts = [
        descendant.get_object()["/FontDescriptor"]
        for page in read.pages
        for font in page["/Resources"]["/Font"].values()
        for descendant in font.get_object()["/DescendantFonts"]
    ]
    assert fonts
    assert all({"/FontFile2", "/FontFile3"} & set(each) for each in fonts)
    assert "/XObject" in read.pages[0]["/Resources"]


def test_print_says_what_the_page_says(whole) -> None:
    text = " ".join(
        " ".join(page.extract_text().split())
        for page in pypdf.PdfReader(io.BytesIO(sheet_pdf(whole))).pages
    )
    sheet = content(whole)
    for wanted in (
        sheet["heading"],
        sheet["fingerprint"],
        sheet["concluded"]["date"]["range"],
        sheet["told"]["text"],
        "Seen",
        "Concluded",
        "Told",
    ):
        assert wanted in text


def test_the_same_evidence_gives_the_same_file(whole) -> None:
    assert sheet_pdf(whole) == sheet_pdf(whole)


def test_a_lone_item_stands_on_the_left(make_matter) -> None:
    """Lists are set in two columns: what stands alone in one is not pushed into the second."""
    lefts: dict[str, float] = {}
    page = pypdf.PdfReader(
        io.BytesIO(sheet_pdf(make_matter("necklace, paste, foil backed")))
    ).pages[0]

    def place(text: str, _: object, matrix: list[float], __: object, ___: object) -> None:
        if text.strip():
            lefts.setdefault(text.strip().split()[0], matrix[4])

    page.extract_text(visitor_text=place)
    assert lefts["care:"] < float(page.mediabox.width) / 4
