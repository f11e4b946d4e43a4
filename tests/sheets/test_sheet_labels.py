"""The code on a label, read by ZXing (another hand's reader of ISO/IEC 18004)."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from samples import some_of
from shipped_base import shipped_base
from together import every_case

from markrules.catalogue.records import NewPiece
from markrules.catalogue.store import Catalogue
from markrules.sheets.labels import (
    STOCKS,
    Label,
    LabelStock,
    labels_page,
    labels_pdf,
    qr_svg,
    stock_named,
)
from markrules.sheets.printing import PrintProblem

UIDS = ("abcdefghijklmnop", "234567abcdefghij", "zzzzzzzzzzzzzzzz")


@pytest.mark.parametrize("stock", some_of([*STOCKS, "50x25", "40x12"], least=4))
def test_labels_of_every_stock_are_read_and_stay_within_them(stock: str, tmp_path: Path) -> None:
    zxing = pytest.importorskip("zxingcpp")
    if shutil.which("pdftoppm") is None:
        pytest.skip("no pdftoppm here: on Debian, apt-get install poppler-utils")
    from PIL import Image

    found = stock_named(stock)
    labels = [Label(uid, "Invented tin", at, "a piece " * 9) for at, uid in enumerate(UIDS)]
    last = found.count[0] * found.count[1] - 2
    pdf = labels_pdf(shipped_base(), labels, stock, skip=last)
    (tmp_path / "labels.pdf").write_bytes(pdf)
    dots = 300
    subprocess.run(
        ["pdftoppm", "-r", str(dots), "-png", tmp_path / "labels.pdf", tmp_path / "label"],
        check=True,
    )

    codes = {}
    for at, name in enumerate(sorted(tmp_path.glob("label*.png"))):
        for each in zxing.read_barcodes(Image.open(name)):
            place = each.position.top_left
            codes[each.text] = (at, place.x * 25.4 / dots, place.y * 25.4 / dots)

    assert set(codes) == set(UIDS)
    for at, uid in enumerate(UIDS):
        page, row, column = _where(at + last % (last + 2), found)
        number, x, y = codes[uid]
        assert number == page
        left = found.start[0] + column * found.pitch[0]
        top = found.start[1] + row * found.pitch[1]
        assert left <= x <= left + found.size[0]
        assert top <= y <= top + found.size[1]


def _where(at: int, stock: LabelStock) -> tuple[int, int, int]:
    across, down = stock.count
    page, rest = divmod(at, across * down)
    return page, *divmod(rest, across)


@every_case("stock", STOCKS.values(), ids=STOCKS)
def test_every_label_lies_on_its_page_beside_the_next(stock: LabelStock) -> None:
    for axis in (0, 1):
        end = stock.start[axis] + (stock.count[axis] - 1) * stock.pitch[axis] + stock.size[axis]
        assert stock.pitch[axis] >= stock.size[axis] or stock.count[axis] == 1
        assert end <= stock.page[axis]


@every_case("name", ["a4-22", "50", "9x9", "20x20", "x", "", "50x25cm"])
def test_labels_that_are_not_known_are_told_with_those_that_are(name: str) -> None:
    with pytest.raises(PrintProblem, match=r"a4-21|10 mm high"):
        stock_named(name)


def test_the_code_can_hold_an_address() -> None:
    page = labels_page(shipped_base(), [Label(UIDS[0], "tin", 1)], address="https://bench.invalid/")
    plain = labels_page(shipped_base(), [Label(UIDS[0], "tin", 1)])
    assert qr_svg(f"https://bench.invalid/piece/{UIDS[0]}") in page
    assert qr_svg(UIDS[0]) in plain


def test_a_code_leads_back_to_its_piece(tmp_path: Path) -> None:
    with Catalogue(tmp_path / "c.db", create=True) as catalogue:
        box, other = catalogue.boxes.start("tin"), catalogue.boxes.start("other")
        catalogue.pieces.add(box, [NewPiece("brooch"), NewPiece("clip")])
        clip = catalogue.pieces.take_out(catalogue.pieces.numbered(box, 2))
        for text in (clip.uid, clip.uid.upper(), f" https://bench.invalid/piece/{clip.uid} "):
            assert [each.piece.id for each in catalogue.pieces.search(text)] == [clip.id]
        assert catalogue.pieces.search(clip.uid, box=other) == ()
        assert catalogue.pieces.search("a" * 16) == ()


def test_many_labels_fill_more_pages() -> None:
    pypdf = pytest.importorskip("pypdf")
    labels = [Label(f"{at:016d}", "Invented tin", at) for at in range(100)]
    assert len(pypdf.PdfReader(io.BytesIO(labels_pdf(shipped_base(), labels))).pages) >= 3


def test_the_code_is_a_drawing_without_more() -> None:
    drawing = qr_svg(UIDS[0])
    assert drawing.startswith("<svg")
    assert "script" not in drawing
    assert "viewBox" in drawing


@pytest.mark.parametrize("stock", some_of([*STOCKS, "50x25", "38x21"], least=4))
def test_every_word_of_a_label_is_printed_whole_within_it(stock: str, tmp_path: Path) -> None:
    """Places of the words as poppler finds them; a long note is cut between two words."""
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext here: on Debian, apt-get install poppler-utils")
    found = stock_named(stock)
    notes = (
        "brooch, rollover catch, signed INVENTED with crown, gold tone, clear rhinestones",
        "parure of necklace bracelet and earrings, aurora borealis rhinestones, unsigned",
        "ring",
    )
    labels = [
        Label(uid, "An invented tin with a long name", at + 98, note)
        for at, (uid, note) in enumerate(zip(UIDS, notes, strict=True))
    ]
    (tmp_path / "labels.pdf").write_bytes(labels_pdf(shipped_base(), labels, stock))
    command = ["pdftotext", "-bbox", tmp_path / "labels.pdf", "-"]
    boxes = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    heights = [
        (float(top) / POINTS, float(bottom) / POINTS) for top, bottom in HEIGHTS.findall(boxes)
    ]
    assert heights
    for top, bottom in heights:
        rows = [found.start[1] + row * found.pitch[1] for row in range(found.count[1])]
        row = max(each for each in rows if each <= top + 1)
        # The box of a letter is higher than its ink by a tenth of the size.
        assert row - 0.5 <= top
        assert bottom <= row + found.size[1] + 0.5
    for uid in UIDS:
        assert uid in boxes


POINTS = 72 / 25.4
HEIGHTS = re.compile(r'<word xMin="[^"]*" yMin="([^"]*)"[^>]*yMax="([^"]*)"')
