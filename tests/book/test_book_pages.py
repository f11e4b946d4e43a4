"""The book over the shipped rules: whole, linked, well-formed, and without outside requests."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import html5lib
import pytest
from book_reading import Seen, seen_in
from command import TRACEBACK, markrules
from markdown_it import MarkdownIt
from samples import some_of
from shipped_base import shipped_base
from together import every_case

from markrules.book import rendering
from markrules.book.book import Book
from markrules.book.layout import KINDS
from markrules.book.rendering import files
from markrules.book.sourcing import counts, supports
from markrules.book.writing import LISTING

pytestmark = pytest.mark.slow


@cache
def book() -> Book:
    return Book(shipped_base(), 2026)


@cache
def texts() -> dict[str, str]:
    return dict(files(book()))


@cache
def pages() -> dict[str, Seen]:
    return {name: seen_in(text) for name, text in texts().items() if name.endswith(".html")}


def test_every_link_leads_to_a_place_that_is_there() -> None:
    missing = []
    for name in some_of(pages(), least=24):
        for link in pages()[name].links:
            file, _, anchor = link.partition("#")
            if link.startswith(("https://", "http://")):
                continue
            target = file or name
            if target not in texts() or (anchor and anchor not in pages()[target].anchors):
                missing.append((name, link))

    assert missing == []


def test_no_page_has_an_anchor_twice() -> None:
    for name, page in pages().items():
        twice = [anchor for anchor, count in Counter(page.anchors).items() if count > 1]
        assert twice == [], name


@every_case("kind", KINDS)
def test_every_entry_stands_in_the_book_once(kind: str) -> None:
    everywhere = Counter(anchor for page in pages().values() for anchor in page.anchors)

    for name in getattr(shipped_base(), KINDS[kind]):
        assert everywhere[f"{kind}-{name}"] == 1, name


def test_every_value_and_every_mark_stands_in_the_book() -> None:
    anchors = {anchor for page in pages().values() for anchor in page.anchors}

    own_pages = ("piece", "fault", "metal-mark")
    values = [
        f"value-{feature.name}-{value.name}"
        for feature in shipped_base().features.values()
        if feature.name not in own_pages
        for value in feature.values
    ]
    marks = [
        f"mark-{maker.name}-{mark.name}"
        for maker in shipped_base().makers.values()
        for mark in maker.marks
    ]
    assert set(values) | set(marks) <= anchors


def test_every_clue_is_told_with_its_reason() -> None:
    said = " ".join(" ".join(text for page in pages().values() for text in page.texts).split())

    for clue in shipped_base().clues.values():
        assert " ".join(clue.why.split()) in said, clue.name
        assert " ".join(clue.misleads.split()) in said, clue.name


def test_pages_are_well_formed() -> None:
    """By html5lib, a parser of the HTML standard (WHATWG)."""
    for name in some_of(pages()):
        parser = html5lib.HTMLParser()
        parser.parse(texts()[name])
        assert parser.errors == [], name


def test_pages_load_nothing_from_outside() -> None:
    for name, page in pages().items():
        for tag, address in page.loaded:
            own = address.startswith("#") or address in texts()
            assert own, (name, tag, address)
        assert "style" not in page.attributes, name
    for address in ("url(", "@import", "http:", "https:"):
        assert address not in texts()["book.css"]
    assert "fetch(" not in texts()["search.js"]


def test_the_markdown_holds_every_entry_and_no_html() -> None:
    """Read by markdown-it, a CommonMark parser."""
    tokens = MarkdownIt("commonmark").parse(texts()["book.md"])
    starts = [
        at for at, each in enumerate(tokens) if (each.type, each.tag) == ("heading_open", "h3")
    ]
    headings = [tokens[at + 1].content for at in starts]
    kinds = {token.type for token in tokens} | {
        child.type for token in tokens for child in token.children or ()
    }

    assert len(headings) == book().count()
    assert not {"html_block", "html_inline", "image", "fence"} & kinds
    found = Counter(heading.rpartition("`")[0].rpartition("`")[2] for heading in headings)
    wanted = Counter(name for place in KINDS.values() for name in getattr(shipped_base(), place))
    assert found == wanted


def test_the_index_for_search_leads_to_places_that_are_there() -> None:
    text = texts()["search.html"]
    start = text.index('<script type="application/json" id="entries">')
    data = text[text.index(">", start) + 1 : text.index("</script>", start)]

    rows = json.loads(data)

    assert len(rows) > book().count() / 2
    for _, _, address, _ in rows:
        file, _, anchor = address.partition("#")
        assert anchor in pages()[file].anchors


def test_counts_by_source_agree_with_plain_counting() -> None:
    base = shipped_base()
    memory = [
        clue
        for clue in base.clues.values()
        if {base.sources[cite.source.name].kind for cite in clue.cites} == {"memory"}
    ]

    found = counts(base)["clue"]

    assert found["memory"] == len(memory)
    assert sum(found.values()) == len(base.clues)


def test_a_source_supports_what_cites_it() -> None:
    base = shipped_base()
    found = supports(base)

    for name, clue in base.clues.items():
        for cite in clue.cites:
            assert ("clue", name) in found[cite.source.name]


def test_the_command_writes_the_book_and_refuses_other_folders(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What it renders is what the tests above hold to all they ask: it is not rendered again."""
    folder = tmp_path / "book"
    asked = []

    def rendered(of: Book) -> Iterator[tuple[str, str]]:
        asked.append(of)
        return iter(texts().items())

    monkeypatch.setattr(rendering, "files", rendered)

    done = markrules("rules", "book", str(folder))

    assert done.returncode == 0, done.stderr
    assert "entries on" in done.stdout
    assert [each.base.version for each in asked] == [shipped_base().version]
    assert {each.name for each in folder.iterdir()} == {*texts(), LISTING}
    assert (folder / "index.html").read_text(encoding="utf-8") == texts()["index.html"]

    (folder / "mine.txt").write_text("mine")
    again = markrules("rules", "book", str(folder))
    assert again.returncode == 3
    assert "mine.txt" in again.stderr
    assert TRACEBACK not in again.stderr
