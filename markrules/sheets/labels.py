"""Small tags with box, number and a QR code that carries the piece's own identifier."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence

from markrules.frozen import dataclass
from markrules.sheets.printing import PAPERS, PrintProblem, render, typeset
from markrules.telling.words import shortened, visible

ACROSS = {"a4": 3, "letter": 3}
LONGEST = 46


@dataclass(frozen=True, slots=True)
class Label:
    """One tag: the identifier, the box, the number in it, and a line of words."""

    uid: str
    box: str
    number: int
    words: str = ""


def qr_svg(text: str) -> str:
    """A QR code (ISO/IEC 18004, error correction M) as an SVG element without a style.

    Raises PrintProblem where segno is not there.
    """
    try:
        import segno
    except ImportError:
        raise PrintProblem(
            "QR codes need the segno package: pip install 'markrules[sheets]'"
        ) from None
    written = io.BytesIO()
    code = segno.make(text, error="m", micro=False)
    code.save(
        written, kind="svg", xmldecl=False, svgclass=None, lineclass=None, border=2, omitsize=True
    )
    return written.getvalue().decode()


def labels_page(labels: Sequence[Label]) -> str:
    """The tags as an HTML document, to be printed and cut."""
    return render("labels.html", labels=_data(labels))


def labels_pdf(labels: Sequence[Label], paper: str = "a4") -> bytes:
    """The tags as PDF. Raises PrintProblem."""
    text = json.dumps(_data(labels), ensure_ascii=False)
    return typeset("labels.typ", {"labels": text, "paper": PAPERS[paper]})


def _data(labels: Sequence[Label]) -> list[dict[str, str]]:
    return [
        {
            "uid": visible(each.uid),
            "box": visible(shortened(each.box, LONGEST)),
            "number": str(each.number),
            "words": visible(shortened(" ".join(each.words.split()), LONGEST)),
            "code": qr_svg(each.uid),
        }
        for each in labels
    ]
