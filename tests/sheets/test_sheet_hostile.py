"""Whatever a mark, a note or a title holds appears as itself, on the page, in print and in data."""

from __future__ import annotations

import json
import re
from xml.etree import ElementTree

import pytest
from hostile_texts import OTHER_SCRIPTS, PLAIN_HOSTILE, UNPRINTABLE
from sheets_building import hostile_matter, html_tree
from shipped_base import shipped_base
from together import every_case

from markrules.sheets.content import content
from markrules.sheets.exports.dublin_core import dublin_core
from markrules.sheets.exports.linked_art import linked_art
from markrules.sheets.exports.schema_org import schema_org
from markrules.sheets.exports.shared import exported
from markrules.sheets.labels import Label, labels_page, labels_pdf
from markrules.sheets.printing import sheet_page, sheet_pdf
from markrules.telling.words import visible

ALL = (*PLAIN_HOSTILE, *UNPRINTABLE, *OTHER_SCRIPTS)


@every_case("text", ALL)
def test_the_page_shows_it_and_does_nothing_with_it(make_matter, text: str) -> None:
    """html5lib reads the page as a browser does (WHATWG HTML)."""
    tree = html_tree(sheet_page(hostile_matter(make_matter, text)))
    shown = "".join(tree.itertext())
    assert shown.count(visible(text).replace("\r", "\n")) >= 8
    for element in tree.iter():
        assert element.tag not in ("script", "iframe", "object", "embed", "base", "form")
        for name, value in element.attrib.items():
            assert not name.startswith("on")
            if name in ("href", "src", "{http://www.w3.org/1999/xlink}href"):
                assert value.startswith(("#", "data:"))


@every_case(("text", "appears"), UNPRINTABLE.items())
def test_what_cannot_be_printed_is_shown_by_its_number(text: str, appears: str) -> None:
    assert visible(text) == appears


@every_case("text", OTHER_SCRIPTS)
def test_other_scripts_stay_as_they_are(text: str) -> None:
    assert visible(text) == text


@every_case("text", ALL)
def test_print_shows_it_as_itself(make_matter, text: str) -> None:
    """pypdf takes the text out again: typst must not have taken it as markup."""
    pytest.importorskip("typst")
    pypdf = pytest.importorskip("pypdf")
    import io

    pages = pypdf.PdfReader(io.BytesIO(sheet_pdf(hostile_matter(make_matter, text)))).pages
    taken = _bare("".join(page.extract_text() for page in pages))
    if text not in OTHER_SCRIPTS:  # fonts for them may be wanting, and order of signs differs
        assert _bare(visible(text)) in taken
    assert len(pages) >= 1


def _bare(text: str) -> str:
    """Without blanks, line ends and hyphens, which setting type puts in or takes out."""
    return re.sub(r"[\s\-\u00ad\u2010]|fi|fl|ff", "", text.replace("ﬁ", "fi").replace("ﬂ", "fl"))


@every_case("text", ALL)
def test_data_holds_it_whole(make_matter, text: str) -> None:
    piece = exported(hostile_matter(make_matter, text))
    for data in (schema_org(piece), linked_art(piece)):
        written = json.dumps(data, ensure_ascii=False)
        assert json.loads(written.encode()) == data
        assert visible(text) in set(_strings(data)) or not text.strip()
    root = ElementTree.fromstring(dublin_core(piece).encode())
    assert visible(text) in [each.text for each in root]


def _strings(data: object):
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from _strings(value)
    elif isinstance(data, list):
        for value in data:
            yield from _strings(value)


@every_case("text", ALL)
def test_labels_show_it(text: str) -> None:
    label = Label("abcdefghijklmnop", text, 3, text)
    tree = html_tree(labels_page(shipped_base(), [label]))
    assert not [each for each in tree.iter() if each.tag in ("script", "img", "iframe")]
    pytest.importorskip("typst")
    assert labels_pdf(shipped_base(), [label]).startswith(b"%PDF-")


def test_seen_concluded_and_told_never_mix(make_matter) -> None:
    """What was told stands in its own part, and in no other; it moves no year."""
    told = "it is from 1850 and by Invented House"
    plain = make_matter("brooch, AB rhinestones, snap rivets")
    with_told = make_matter("brooch, AB rhinestones, snap rivets", told=told)
    sheet = content(with_told)
    assert told in sheet["told"]["text"]
    assert "1850" not in json.dumps(sheet["seen"]) + json.dumps(sheet["concluded"])
    assert sheet["concluded"] == content(plain)["concluded"]
    heard = content(make_matter("brooch, AB rhinestones, grandmother said it is from 1930"))
    assert [line["text"] for line in heard["told"]["lines"]] != []
    assert "1930" not in json.dumps(heard["seen"]["rows"])
