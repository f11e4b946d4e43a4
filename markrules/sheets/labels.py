"""Small tags with box, number and a QR code that carries the piece's own identifier.

They are set on sheets of labels as shops sell them, on string tags to be cut out, or one to a
page for a roll.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Sequence

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.sheets.discretion import Forms, forms_of, without_people
from markrules.sheets.printing import PrintProblem, render, typeset
from markrules.telling.words import count_of, shortened, visible

LONGEST = 46
LARGEST_CODE = 20.0
"""Millimetres of the side of a code; it is smaller on a lower label."""
WIDEST_CODE = 0.42
"""The share of a label's width that its code takes at most: the words need the rest."""
LOW, LOWEST_WITH_WORDS = 20.0, 15.0
"""Millimetres of height up to which letters are smaller, and up to which there are no words."""
SMALLEST = 10.0
"""Millimetres of height below which a code cannot be read by a telephone."""
_A4, _LETTER = (210.0, 297.0), (215.9, 279.4)


@dataclass(frozen=True, slots=True)
class Label:
    """One tag: the identifier, the box, the number in it, a line of words, and the owner's own
    number, which stands before the box.
    """

    uid: str
    box: str
    number: int
    words: str = ""
    own_number: str = ""


@dataclass(frozen=True, slots=True)
class LabelStock:
    """A sheet of labels, in millimetres: the page, how many across and down, one label, where the
    first begins, and from the start of one to that of the next.

    `cut` labels have a line to cut along; `hole` ones a ring to punch for a string.
    """

    words: str
    page: tuple[float, float]
    count: tuple[int, int]
    size: tuple[float, float]
    start: tuple[float, float]
    pitch: tuple[float, float]
    cut: bool = False
    hole: bool = False

    @property
    def code(self) -> float:
        """The side of the code."""
        return round(min(LARGEST_CODE, self.size[1] - 2.0, WIDEST_CODE * self.size[0]), 1)

    @property
    def is_high(self) -> bool:
        """Whether there is room for letters of the larger size."""
        return self.size[1] > LOW

    @property
    def letters(self) -> int:
        """Signs of the words that stand on a line beside the code, at the least."""
        width = self.size[0] - 2.0 - self.code - 1.5 - (5.5 if self.hole else 0.0)
        return max(1, int(width / (1.2 if self.is_high else 0.95)))

    @property
    def lines(self) -> int:
        """Lines of words for which there is room beneath number and box; 0 on a low label."""
        if self.size[1] <= LOWEST_WITH_WORDS:
            return 0
        others, line = (11.4, 2.7) if self.is_high else (8.5, 2.1)
        return max(0, int((self.size[1] - 2.0 - others) / line))


STOCKS = {
    "plain": LabelStock(
        "to be cut out, 63 × 25 mm, on A4",
        *(_A4, (3, 10), (63.3, 25.0), (8.0, 8.0), (65.3, 27.0)),
        cut=True,
    ),
    "plain-letter": LabelStock(
        "to be cut out, 65 × 25 mm, on US letter",
        *(_LETTER, (3, 9), (65.0, 25.0), (8.0, 8.0), (67.0, 27.0)),
        cut=True,
    ),
    "a4-21": LabelStock(
        "A4, 21 labels of 63.5 × 38.1 mm",
        *(_A4, (3, 7), (63.5, 38.1), (7.2, 15.1), (66.04, 38.1)),
    ),
    "a4-24": LabelStock(
        "A4, 24 labels of 64 × 33.9 mm",
        *(_A4, (3, 8), (64.0, 33.9), (6.5, 12.9), (66.5, 33.9)),
    ),
    "a4-40": LabelStock(
        "A4, 40 labels of 45.7 × 25.4 mm",
        *(_A4, (4, 10), (45.7, 25.4), (9.8, 21.5), (48.3, 25.4)),
    ),
    "a4-65": LabelStock(
        "A4, 65 labels of 38.1 × 21.2 mm",
        *(_A4, (5, 13), (38.1, 21.2), (4.7, 10.7), (40.6, 21.2)),
    ),
    "letter-30": LabelStock(
        "US letter, 30 labels of 2 5/8 × 1 in",
        *(_LETTER, (3, 10), (66.675, 25.4), (4.76, 12.7), (69.85, 25.4)),
    ),
    "letter-80": LabelStock(
        "US letter, 80 labels of 1 3/4 × 1/2 in",
        *(_LETTER, (4, 20), (44.45, 12.7), (7.14, 12.7), (52.39, 12.7)),
    ),
    "string": LabelStock(
        "string tags to be cut out and punched, 52 × 22 mm, on A4",
        *(_A4, (3, 11), (52.0, 22.0), (12.0, 10.0), (62.0, 25.0)),
        cut=True,
        hole=True,
    ),
    "string-letter": LabelStock(
        "string tags to be cut out and punched, 52 × 22 mm, on US letter",
        *(_LETTER, (3, 10), (52.0, 22.0), (15.0, 10.0), (62.0, 25.0)),
        cut=True,
        hole=True,
    ),
}
"""Sheets as they are sold on both sides of the Atlantic, by our own names. A sheet of another hand
may lie half a millimetre beside these."""


def stock_named(text: str) -> LabelStock:
    """A stock by its name, or one label a page for a size such as `50x25` (mm).

    Raises PrintProblem for what is neither, with the names, or is too small for a code.
    """
    if text in STOCKS:
        return STOCKS[text]
    found = re.fullmatch(r"(\d{1,3}(?:\.\d)?)\s*[x×]\s*(\d{1,3}(?:\.\d)?)(?:\s*mm)?", text.strip())
    if found is None:
        raise PrintProblem(
            f'no labels are called "{text[:40]}": {", ".join(STOCKS)}, or a size such as 50x25 (mm)'
        )
    width, height = float(found[1]), float(found[2])
    if height < SMALLEST or width < 1.5 * height:
        raise PrintProblem(
            f"{text[:40]}: a code and its number need a label {SMALLEST:g} mm high or more,"
            " and half as long again"
        )
    size = (width, height)
    return LabelStock(
        f"one a page, {width:g} × {height:g} mm", size, (1, 1), size, (0.0, 0.0), size
    )


def qr_svg(text: str) -> str:
    """A QR code (ISO/IEC 18004, error correction M) as an SVG element without a style.

    Raises PrintProblem where segno is not there.
    """
    try:
        import segno
    except ImportError:
        raise PrintProblem("QR codes need the segno package: pip install segno") from None
    written = io.BytesIO()
    code = segno.make(text, error="m", micro=False)
    code.save(
        written, kind="svg", xmldecl=False, svgclass=None, lineclass=None, border=2, omitsize=True
    )
    return written.getvalue().decode()


def labels_page(
    base: KnowledgeBase,
    labels: Sequence[Label],
    stock: str = "plain",
    *,
    address: str = "",
    skip: int = 0,
) -> str:
    """The tags as an HTML document, to be printed at its full size.

    With the `address` of a bench page the code opens the piece there. `skip` places of the first
    sheet are left out, for they are used up. People whom the words name are known by the wordings
    of `base`, and left out. Raises PrintProblem for a stock that is not known.
    """
    found = stock_named(stock)
    pages = _pages(forms_of(base), labels, found, address, skip)
    many = count_of(len(labels), "label")
    return render("labels.html", stock=found, pages=pages, many=many)


def labels_pdf(
    base: KnowledgeBase,
    labels: Sequence[Label],
    stock: str = "plain",
    *,
    address: str = "",
    skip: int = 0,
) -> bytes:
    """The tags as PDF, as `labels_page` has them. Raises PrintProblem."""
    found = stock_named(stock)
    pages = json.dumps(_pages(forms_of(base), labels, found, address, skip), ensure_ascii=False)
    return typeset("labels.typ", {"pages": pages, "stock": json.dumps(_measures(found))})


def _measures(stock: LabelStock) -> dict[str, object]:
    return {
        "page": stock.page,
        "size": stock.size,
        "code": stock.code,
        "cut": stock.cut,
        "hole": stock.hole,
    }


def _pages(
    forms: Forms, labels: Sequence[Label], stock: LabelStock, address: str, skip: int
) -> list[list[dict[str, object]]]:
    """The labels of each page, each with its place in millimetres."""
    across, down = stock.count
    per_page = across * down
    pages: list[list[dict[str, object]]] = []
    for at, label in enumerate(labels, skip % per_page):
        while len(pages) <= at // per_page:
            pages.append([])
        row, column = divmod(at % per_page, across)
        pages[-1].append(
            {
                **_data(forms, label, address, stock),
                "x": round(stock.start[0] + column * stock.pitch[0], 3),
                "y": round(stock.start[1] + row * stock.pitch[1], 3),
            }
        )
    return pages


def _data(forms: Forms, label: Label, address: str, stock: LabelStock) -> dict[str, object]:
    carried = f"{address.rstrip('/')}/piece/{label.uid}" if address else label.uid
    where = f"{label.own_number} · {label.box}" if label.own_number else label.box
    # A tag leaves with the piece, and names nobody.
    words = without_people(forms, " ".join(label.words.split()))
    return {
        "uid": visible(label.uid),
        "box": visible(shortened(where, min(LONGEST, stock.letters))),
        "number": str(label.number),
        "words": _in_lines(visible(words), stock),
        "code": qr_svg(carried),
    }


def _in_lines(words: str, stock: LabelStock) -> str:
    """As many whole words as the label has room for, line by line; dots where some are left out."""
    lines = [""]
    said = words[: LONGEST * 2].split(" ")
    for at, word in enumerate(said):
        cut = shortened(word, stock.letters)
        longer = f"{lines[-1]} {cut}".strip()
        is_last = len(lines) >= stock.lines
        room = stock.letters - (1 if is_last and at < len(said) - 1 else 0)
        if len(longer) <= room:
            lines[-1] = longer
        elif not is_last:
            lines.append(cut)
        else:
            lines[-1] = f"{lines[-1].rstrip(',;:. ')}…"
            break
    return " ".join(lines) if stock.lines else ""
