"""Rules that try to break out of the page; the folder and the command."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from book_reading import Seen, seen_in
from command import TRACEBACK, markrules
from engine_numbers import setting_entries
from markdown_it import MarkdownIt
from samples import FULL
from together import every_case

from markrules.book.book import Book
from markrules.book.cleaned import plain_text
from markrules.book.rendering import files
from markrules.book.writing import LISTING, FolderInUse, write_book
from markrules.knowledge.loading import load
from markrules.telling.conditions import LinkedText

BREAKOUTS = (
    "<script>document.title='broken'</script>",
    "</script><script>document.title='broken'</script>",
    "<img src=x onerror=document.title='broken'>",
    "' onmouseover='document.title=1' x='",
    "{{ 7*7 }}{% raw %}",
    "<!-- --><svg/onload=document.title='broken'>",
    "]]><b>bold</b>",
    "[link](javascript:document.title=1) `code` # head",
)


def rules_text(text: str) -> str:
    said = json.dumps(text, ensure_ascii=False)
    return f"""
source bad-source
    title {said}
    kind  article
    where "javascript:document.title='broken'"
    note  {said}

feature bad-feature
    ask  {said}
    look {said}
    also "zz {text.replace(chr(34), "").replace(chr(92), "")}"
    hazard {said}
    value bad-value {said}
        look {said}

clue bad-clue
    when  bad-feature is bad-value or mark says {said}
    made  from 1900
    trust weak
    in    {said}
    misleads {said}
    why   {said}
    cite  bad-source {said}

maker bad-maker
    title {said}
    city {said}
    country {said}
    note {said}
    cite bad-source
    mark one
        text {said}
        symbol {said}
        beside {said}
        note {said}
        cite bad-source

sign bad-sign
    when bad-feature is bad-value
    better weak
    say {said}
    cite bad-source
"""


def book_with(folder: Path, texts: Iterable[str]) -> dict[str, str]:
    """The files of a book over rules that say each of these texts wherever they can."""
    for number, text in enumerate(texts):
        words = rules_text(text).replace("bad-", f"bad-{number}-")
        (folder / f"bad{number}.rules").write_text(words, encoding="utf-8")
    base, problems = load([OTHERS, folder], cache_folder=None)
    assert [
        each for each in problems if each.severity == "error" and "bad" in each.place.file
    ] == []
    return dict(files(Book(replace(base, settings=setting_entries() | base.settings), 2026)))


ROOT = Path(__file__).parents[2]
OTHERS = ROOT / ("rules" if FULL else "tests/inference/little")
"""The rules beside the hostile ones."""


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    return book_with(tmp_path_factory.mktemp("hostile"), BREAKOUTS)


def test_nothing_in_the_rules_becomes_an_element_or_an_attribute(
    hostile: dict[str, str], tmp_path: Path
) -> None:
    """Each page has the elements and attributes that it has where the same rules say plain words;
    one that is named by those words has some of those of its kind.
    """
    plain = book_with(tmp_path, [f"plain words {number}" for number, _ in enumerate(BREAKOUTS)])
    usual = {name: seen_in(text) for name, text in plain.items() if "html" in name}
    kinds: dict[str, list[Seen]] = defaultdict(list)
    for name, seen in usual.items():
        kinds[name.partition("-")[0]].append(seen)
    # A page that is what it would be with other words shows nothing of them.
    touched = [each for each in hostile if "html" in each and hostile[each] != plain.get(each)]

    assert len(touched) > len(BREAKOUTS)
    for name in touched:
        page = seen_in(hostile[name])
        like = [usual[name]] if name in usual else kinds[name.partition("-")[0]]
        assert page.elements <= set().union(*(each.elements for each in like)), name
        assert page.attributes <= set().union(*(each.attributes for each in like)), name
        allowed = 2 if name == "search.html" else 0
        assert len(page.scripts) == allowed, name
        assert not [link for link in page.links if link.startswith("javascript:")], name


def test_what_the_rules_say_is_shown_as_it_stands(hostile: dict[str, str]) -> None:
    page = seen_in(hostile["look-bad0.html"])

    assert BREAKOUTS[0] in " ".join(page.texts)


def test_markdown_from_hostile_rules_holds_no_html_and_no_link(hostile: dict[str, str]) -> None:
    tokens = MarkdownIt("commonmark").parse(hostile["book.md"])
    kinds = {child.type for token in tokens for child in token.children or ()}

    assert kinds <= {"text", "text_special", "code_inline", "strong_open", "strong_close"}
    assert "html_block" not in {token.type for token in tokens}


def chromium() -> str | None:
    return shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.mark.skipif(chromium() is None, reason="no Chromium to open the pages with")
@pytest.mark.parametrize("name", ["look-bad0.html", "sources.html", "search.html?q=document"])
def test_no_script_of_the_rules_runs_in_a_browser(
    hostile: dict[str, str], tmp_path: Path, name: str
) -> None:
    write_book(tmp_path / "book", hostile.items())
    flags = "--headless=new --no-sandbox --disable-gpu --disable-quic --no-first-run"
    flags += " --disable-background-networking --disable-component-update --disable-sync"
    address = f"{(tmp_path / 'book').as_uri()}/{name}"

    done = subprocess.run(
        [
            str(chromium()),
            *flags.split(),
            f"--user-data-dir={tmp_path / 'profile'}",
            "--virtual-time-budget=2000",
            "--dump-dom",
            address,
        ],
        capture_output=True,
        text=True,
        timeout=90,
        check=True,
    )

    assert "<title>" in done.stdout
    assert "<title>broken</title>" not in done.stdout
    if name.startswith("search"):
        assert "entries" in done.stdout
        assert '<ol id="found" class="found"><li>' in done.stdout


SMALL = (("index.html", "one"), ("book.css", "two"))


def test_an_earlier_book_is_replaced_whole(tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "book"
    write_book(folder, (*SMALL, ("gone.html", "old")))

    write_book(folder, SMALL)

    assert sorted(each.name for each in folder.iterdir()) == ["book.css", LISTING, "index.html"]
    assert [each.name for each in folder.parent.iterdir()] == ["book"]


@pytest.mark.parametrize("other", ["thesis.txt", "folder/thesis.txt"])
def test_a_folder_with_other_files_is_left_alone(tmp_path: Path, other: str) -> None:
    folder = tmp_path / "book"
    write_book(folder, SMALL)
    (folder / other).parent.mkdir(exist_ok=True)
    (folder / other).write_text("years of work")

    with pytest.raises(FolderInUse, match=other.partition("/")[0]):
        write_book(folder, (("index.html", "new"),))
    assert (folder / "index.html").read_text() == "one"

    write_book(folder, (("index.html", "new"),), force=True)
    assert (folder / "index.html").read_text() == "new"
    assert (folder / other).read_text() == "years of work"


def test_a_listing_that_is_no_listing_makes_nothing_ours(tmp_path: Path) -> None:
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / LISTING).write_text('{"thesis.txt": 1}')
    (folder / "thesis.txt").write_text("years of work")

    with pytest.raises(FolderInUse):
        write_book(folder, SMALL)


def test_a_book_that_fails_half_way_leaves_the_old_one(tmp_path: Path) -> None:
    folder = tmp_path / "book"
    write_book(folder, SMALL)

    def failing() -> Iterator[tuple[str, str]]:
        yield "index.html", "half"
        raise OSError(28, "No space left on device")

    with pytest.raises(OSError, match="No space"):
        write_book(folder, failing())

    assert (folder / "index.html").read_text() == "one"
    assert [each.name for each in tmp_path.iterdir()] == ["book"]


def test_a_file_in_the_place_of_the_folder_is_told_plainly(tmp_path: Path) -> None:
    (tmp_path / "book").write_text("a file")

    done = markrules("rules", "book", str(tmp_path / "book"))

    assert done.returncode == 3
    assert TRACEBACK not in done.stderr
    assert (tmp_path / "book").read_text() == "a file"


@every_case("sign", ["\u202e", "\u2066", "\u200f", "\x1b", "\x07", "\x9b", "\u2028"])
def test_a_sign_that_turns_or_controls_text_is_shown_as_none(sign: str) -> None:
    """UAX 9 (directions) and ECMA-48 (controls). The parser takes none; pages do not rest on it."""
    assert plain_text([LinkedText(f"a{sign}b")]) == "a\ufffdb"
    assert plain_text([LinkedText("a\n\tb é “c”")]) == "a\n\tb é “c”"
