"""The code on a label, read by ZXing (another hand's reader of ISO/IEC 18004)."""

from __future__ import annotations

import io
import shutil
import subprocess
from pathlib import Path

import pytest

from markrules.sheets.labels import Label, labels_pdf, qr_svg

UIDS = ("abcdefghijklmnop", "234567abcdefghij", "zzzzzzzzzzzzzzzz")


def test_labels_carry_the_identifier(tmp_path: Path) -> None:
    zxing = pytest.importorskip("zxingcpp")
    if shutil.which("pdftoppm") is None:
        pytest.skip("no pdftoppm here: on Debian, apt-get install poppler-utils")
    from PIL import Image

    pdf = labels_pdf([Label(uid, "Invented tin", at, "a piece") for at, uid in enumerate(UIDS)])
    (tmp_path / "labels.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", "200", "-png", str(tmp_path / "labels.pdf"), str(tmp_path / "label")],
        check=True,
    )
    picture = Image.open(next(tmp_path.glob("label*.png")))
    assert {each.text for each in zxing.read_barcodes(picture)} == set(UIDS)


def test_many_labels_fill_more_pages() -> None:
    pypdf = pytest.importorskip("pypdf")
    labels = [Label(f"{at:016d}", "Invented tin", at) for at in range(100)]
    assert len(pypdf.PdfReader(io.BytesIO(labels_pdf(labels))).pages) >= 3


def test_the_code_is_a_drawing_without_more() -> None:
    drawing = qr_svg(UIDS[0])
    assert drawing.startswith("<svg")
    assert "script" not in drawing
    assert "viewBox" in drawing
