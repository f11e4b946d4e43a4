"""Pieces and photos made up for the tests of sheets, and a reader of pages."""

from __future__ import annotations

import io

import pytest

from markrules.knowledge.observation import Observation
from markrules.sheets.matter import MarkBeside, Owner, SeenLine


def jpeg(colour: str = "#c9a64a", width: int = 320, height: int = 240) -> bytes:
    from PIL import Image

    written = io.BytesIO()
    Image.new("RGB", (width, height), colour).save(written, "JPEG")
    return written.getvalue()


def hostile_matter(make_matter, text: str):
    """A piece with the text in every field that a person can fill."""
    seen = (
        SeenLine(Observation("mark", text, words=text), text, text),
        SeenLine(Observation("told-maker", text, heard=True, words=text), text, text),
    )
    beside = MarkBeside(text, text, text, text, text, text, 0.5)
    return make_matter(
        text,
        seen=seen,
        told=text,
        title=text,
        uid=text,
        box=text,
        number=1,
        marks=(beside,),
        owners=(Owner(text, text, text, text),),
    )


def html_tree(text: str):
    html5lib = pytest.importorskip("html5lib")
    return html5lib.parse(text, namespaceHTMLElements=False)
