"""The language server, spoken to as an editor does: a client (pytest-lsp) over the real command."""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

import pytest
import pytest_asyncio
from lazily import Lazily

if TYPE_CHECKING:
    from pytest_lsp import LanguageClient

lsp, pytest_lsp = Lazily("lsprotocol.types"), Lazily("pytest_lsp")

RULES = """source fair-notes
    title "Notes from an invented fair"
    kind  memory

feature bow-clasp
    ask   "Is the clasp stamped with a bow?"
    look  "Where the necklace closes."
    value stamped-bow "a stamped bow"
    value cast-bow    "a cast bow"

clue a-bow
    when  bow-clasp is stamped-bow
    common 1921 1924 1930
    made  from 1919
    trust moderate
    why   "On three invented pieces."
    cite  fair-notes

clue two-bows
    when  bow-clasp is cast-bow and catch is rollovr
    made  mostly 1921 to 1926
    trust moderte
    why   "Invented \U0001f380." # \U0001f380
    cite  fair-notes
"""


@pytest.fixture(scope="module", autouse=True)
def _what_the_client_meets_is_reported(request: pytest.FixtureRequest) -> Iterator[None]:
    """The plugin that comes with the client fails a test for errors that the client met beside it.

    It is switched off in pyproject.toml, since all would wait for its types, and on here.
    """
    names = ("pytest_runtest_call", "pytest_runtest_makereport")
    hooks = ModuleType("the hooks of an editor's client")  # pytest keeps plugins in sets
    for name in names:
        setattr(hooks, name, getattr(pytest_lsp, name))
    request.config.pluginmanager.register(hooks, "what-the-client-meets")
    yield
    request.config.pluginmanager.unregister(hooks)


@asynccontextmanager
async def spoken_to() -> AsyncIterator[LanguageClient]:
    """A client of a server that was started for it."""
    server = pytest_lsp.ClientServerConfig(
        server_command=[sys.executable, "-m", "markrules", "rules", "editor"],
        server_env=dict(os.environ),
    )
    found = await server.start()
    yield found
    await found.shutdown_session()
    await found.stop()


@pytest_asyncio.fixture
async def client(tmp_path: Path) -> AsyncIterator[LanguageClient]:
    folder = tmp_path / "my-rules"
    folder.mkdir()
    (folder / "bow.rules").write_text(RULES, encoding="utf-8")
    async with spoken_to() as lsp_client:
        await lsp_client.initialize_session(
            lsp.InitializeParams(
                capabilities=lsp.ClientCapabilities(),
                workspace_folders=[lsp.WorkspaceFolder(folder.as_uri(), "my-rules")],
            )
        )
        lsp_client.file = (folder / "bow.rules").as_uri()
        show(lsp_client, RULES)
        yield lsp_client


def show(client: LanguageClient, text: str) -> None:
    client.text_document_did_open(
        lsp.DidOpenTextDocumentParams(lsp.TextDocumentItem(client.file, "markrules", 1, text))
    )


async def told(client: LanguageClient, wanted) -> list[lsp.Diagnostic]:
    """The problems of the file, once they are as wanted."""
    for _ in range(600):
        found = list(client.diagnostics.get(client.file, ()))
        if client.file in client.diagnostics and wanted(found):
            return found
        await asyncio.sleep(0.1)
    raise AssertionError(client.diagnostics.get(client.file))


def place(text: str, within: int = 1, number: int = 1) -> lsp.Position:
    """Inside the text that stands so in the rules for the time that is numbered."""
    at = -1
    for _ in range(number):
        at = RULES.index(text, at + 1)
    before = RULES[: at + within]
    return lsp.Position(before.count("\n"), len(before) - before.rfind("\n") - 1)


def ask(client: LanguageClient) -> lsp.TextDocumentIdentifier:
    return lsp.TextDocumentIdentifier(client.file)


@pytest.mark.asyncio
async def test_an_editing_session(client: LanguageClient) -> None:
    found = await told(client, lambda each: len(each) == 2)
    by_code = {each.code: each for each in found}
    value, trust = by_code["unknown-value"], by_code["unknown-trust"]
    assert 'nearest: "rollover"' in value.message
    assert 'nearest: "moderate"' in trust.message
    assert value.range == lsp.Range(place("rollovr", 0), place("rollovr", 7))
    assert value.severity == lsp.DiagnosticSeverity.Error

    await hovers(client)
    await goes(client)
    await offers(client)
    await renames(client)
    await forms(client)

    client.text_document_did_change(
        lsp.DidChangeTextDocumentParams(
            lsp.VersionedTextDocumentIdentifier(2, client.file),
            [lsp.TextDocumentContentChangeWholeDocument(mended())],
        )
    )
    assert await told(client, lambda each: not each) == []


def mended() -> str:
    return RULES.replace("rollovr", "rollover").replace("moderte", "moderate")


async def hovers(client: LanguageClient) -> None:
    async def said(position: lsp.Position) -> str:
        found = await client.text_document_hover_async(lsp.HoverParams(ask(client), position))
        assert found is not None
        return found.contents.value

    feature = await said(place("bow-clasp is stamped"))
    assert "Is the clasp stamped with a bow?" in feature
    assert "Where the necklace closes." in feature
    assert "a stamped bow" in await said(place("is stamped-bow", 5))
    clue = await said(place("a-bow", number=1))
    assert "half by 1924, most between 1921 and 1930" in clue
    assert "made from 1919" in clue
    assert "On three invented pieces." in clue
    assert "Notes from an invented fair" in await said(place("fair-notes", number=2))
    nothing = lsp.HoverParams(ask(client), place("On three"))
    assert await client.text_document_hover_async(nothing) is None


async def goes(client: LanguageClient) -> None:
    async def at(position: lsp.Position) -> lsp.Location:
        found = await client.text_document_definition_async(
            lsp.DefinitionParams(ask(client), position)
        )
        assert isinstance(found, lsp.Location)
        return found

    own = await at(place("cast-bow and"))
    assert (own.uri, own.range.start) == (client.file, place("cast-bow    ", 0))
    shipped = await at(place("catch is rollovr"))
    assert shipped.uri.endswith(".rules")
    assert shipped.uri != client.file
    file = Path(shipped.uri.removeprefix("file://"))
    line = file.read_text(encoding="utf-8").splitlines()[shipped.range.start.line]
    assert line == "feature catch"
    told = await client.text_document_references_async(
        lsp.ReferenceParams(lsp.ReferenceContext(True), ask(client), place("bow-clasp"))
    )
    assert len(told) == 3


async def offers(client: LanguageClient) -> None:
    async def words(position: lsp.Position) -> set[str]:
        found = await client.text_document_completion_async(
            lsp.CompletionParams(ask(client), position)
        )
        return {each.label for each in found.items}

    assert {"stamped-bow", "cast-bow", "seen", "absent"} <= await words(place("stamped-bow\n", 3))
    assert "rollover" in await words(place("is rollovr", 5))
    assert {"bow-clasp", "catch", "hinge"} <= await words(place("when  bow", 8))
    assert {"fair-notes", "from-memory", "common-practice"} <= await words(place("cite  fair", 8))
    assert {"strong", "moderate"} <= await words(place("trust moderte", 8))
    assert {"memory", "book"} <= await words(place("kind  memory", 8))
    assert {"when", "made", "cite", "why"} <= await words(place("    made  from", 5))
    assert {"ask", "value", "look"} <= await words(place("    ask", 5))
    assert {"clue", "feature", "maker"} <= await words(place("clue a-bow", 2))
    assert await words(place("On three", 4)) == set()


async def renames(client: LanguageClient) -> None:
    async def renamed(position: lsp.Position, name: str) -> lsp.WorkspaceEdit | None:
        return await client.text_document_rename_async(
            lsp.RenameParams(ask(client), position, name)
        )

    edit = await renamed(place("bow-clasp is"), "tie-clasp")
    assert edit is not None
    lines = RULES.split("\n")
    for each in reversed(edit.changes[client.file]):
        line = lines[each.range.start.line]
        lines[each.range.start.line] = (
            line[: each.range.start.character] + each.new_text + line[each.range.end.character :]
        )
    assert "\n".join(lines) == RULES.replace("bow-clasp", "tie-clasp")
    values = await renamed(place("stamped-bow"), "struck-bow")
    assert [each.new_text for each in values.changes[client.file]] == ["struck-bow"] * 2
    for position, name in (
        (place("catch is"), "hook"),  # shipped: not ours to rename
        (place("bow-clasp is"), "Bow Clasp"),  # no name
        (place("bow-clasp is"), "hinge"),  # taken
    ):
        with pytest.raises(Exception, match=r"not defined in the files|is no name|already"):
            await renamed(position, name)


async def forms(client: LanguageClient) -> None:
    found = await client.text_document_formatting_async(
        lsp.DocumentFormattingParams(ask(client), lsp.FormattingOptions(4, True))
    )
    from markrules.language.formatter import format_text

    assert [each.new_text for each in found] == [format_text(RULES, "bow.rules")[0]]


TWO_FILES = {
    "a.rules": """feature tin-box
    ask   "Is the tin painted?"
    value hand-painted "painted by hand"
    value litho        "printed"

slot tin-thing
    fill lid "lid"
        words "{tin-box}"
        part tin-box

case a-painted-tin
    given  "brooch"
    expect not tin-box is hand-painted
""",
    "deep/b.rules": """clue painted
    when   tin-box is one of (litho,
               hand-painted)
    made   from 1919
    trust  weak
    why    "\U0001f380"
    cite   from-memory

type painted-tin
    title  "a painted tin"
    when   catch is rollover
           and tin-box is hand-painted
    common 1920 1930 1940
    trust  weak
    why    "Invented."
    cite   from-memory

shares tin-box
    in 1920 litho 30%, hand-painted 60%
    why  "Invented."
    cite from-memory
""",
}


@pytest_asyncio.fixture
async def at_home(tmp_path: Path) -> AsyncIterator[LanguageClient]:
    """A client over a folder of two files, as they lie on the disk; none is open."""
    for name, text in TWO_FILES.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    async with spoken_to() as lsp_client:
        lsp_client.folder = tmp_path
        await lsp_client.initialize_session(
            lsp.InitializeParams(
                capabilities=lsp.ClientCapabilities(),
                workspace_folders=[lsp.WorkspaceFolder(tmp_path.as_uri(), "rules")],
            )
        )
        yield lsp_client


def position(text: str, words: str, within: int = 0) -> lsp.Position:
    before = text[: text.index(words) + within]
    return lsp.Position(before.count("\n"), len(before) - before.rfind("\n") - 1)


@pytest.mark.asyncio
async def test_files_that_come_move_and_go(at_home: LanguageClient) -> None:
    """Names are renamed in every file; files that are moved or gone leave no problem behind."""
    client, one = at_home, at_home.folder / "a.rules"
    client.file = (client.folder / "deep" / "b.rules").as_uri()
    await told(client, lambda each: not [one for one in each if one.severity == 1])

    client.text_document_did_open(
        lsp.DidOpenTextDocumentParams(
            lsp.TextDocumentItem(one.as_uri(), "markrules", 1, TWO_FILES["a.rules"])
        )
    )
    asked = lsp.TextDocumentIdentifier(one.as_uri())
    at = position(TWO_FILES["a.rules"], "hand-painted", 3)
    edit = await client.text_document_rename_async(lsp.RenameParams(asked, at, "by-hand"))
    edited = {
        name: applied(text, edit.changes[(client.folder / name).as_uri()])
        for name, text in TWO_FILES.items()
    }
    assert edited == {
        name: text.replace("hand-painted", "by-hand") for name, text in TWO_FILES.items()
    }
    at = position(TWO_FILES["a.rules"], "tin-box")
    edit = await client.text_document_rename_async(lsp.RenameParams(asked, at, "tin"))
    shared = (client.folder / "deep" / "b.rules").as_uri()
    assert applied(TWO_FILES["a.rules"], edit.changes[one.as_uri()]) == (
        TWO_FILES["a.rules"].replace("tin-box", "tin")
    )
    assert applied(TWO_FILES["deep/b.rules"], edit.changes[shared]) == (
        TWO_FILES["deep/b.rules"].replace("tin-box", "tin")
    )
    at = position(TWO_FILES["a.rules"], "hand-painted", 3)
    with pytest.raises(Exception, match="has a meaning"):
        await client.text_document_rename_async(lsp.RenameParams(asked, at, "absent"))

    moved = client.folder / "c.rules"
    one.rename(moved)
    client.text_document_did_close(lsp.DidCloseTextDocumentParams(asked))
    client.workspace_did_rename_files(
        lsp.RenameFilesParams([lsp.FileRename(one.as_uri(), moved.as_uri())])
    )
    await told(client, lambda each: not [one for one in each if one.severity == 1])
    moved.unlink()
    client.workspace_did_delete_files(lsp.DeleteFilesParams([lsp.FileDelete(moved.as_uri())]))
    found = await told(client, lambda each: any(one.code == "unknown-feature" for one in each))
    assert {each.code for each in found if each.severity == 1} == {"unknown-feature"}
    one.write_text(TWO_FILES["a.rules"], encoding="utf-8")
    change = lsp.FileEvent(one.as_uri(), lsp.FileChangeType.Created)
    client.workspace_did_change_watched_files(lsp.DidChangeWatchedFilesParams([change]))
    await told(client, lambda each: not [one for one in each if one.severity == 1])


def applied(text: str, edits: list[lsp.TextEdit]) -> str:
    """A text with edits made, in the units of the protocol (UTF-16)."""
    lines = text.split("\n")
    for each in sorted(edits, key=lambda one: (one.range.start.line, -one.range.start.character)):
        line = lines[each.range.start.line].encode("utf-16-le")
        first, last = 2 * each.range.start.character, 2 * each.range.end.character
        made = line[:first] + each.new_text.encode("utf-16-le") + line[last:]
        lines[each.range.start.line] = made.decode("utf-16-le")
    return "\n".join(lines)


@pytest.mark.asyncio
async def test_a_shipped_file_that_is_open_is_read_and_not_checked_again(
    at_home: LanguageClient,
) -> None:
    """Who follows a name into the shipped rules reads on there; nothing is doubled."""
    client = at_home
    own = (client.folder / "deep" / "b.rules").as_uri()
    asked = lsp.TextDocumentIdentifier(own)
    place = position(TWO_FILES["deep/b.rules"], "catch is", 1)
    found = await client.text_document_definition_async(lsp.DefinitionParams(asked, place))
    shipped = Path(found.uri.removeprefix("file://"))
    text = shipped.read_text(encoding="utf-8")
    client.text_document_did_open(
        lsp.DidOpenTextDocumentParams(lsp.TextDocumentItem(found.uri, "markrules", 1, text))
    )
    hover = await client.text_document_hover_async(
        lsp.HoverParams(lsp.TextDocumentIdentifier(found.uri), position(text, "catch is", 1))
    )
    assert "catch" in hover.contents.value
    with pytest.raises(Exception, match="not defined in the files"):
        await client.text_document_rename_async(
            lsp.RenameParams(
                lsp.TextDocumentIdentifier(found.uri), position(text, "catch is", 1), "hook"
            )
        )
    client.file = own
    await told(client, lambda each: not [one for one in each if one.severity == 1])
    assert not client.diagnostics.get(found.uri)


@pytest.mark.asyncio
async def test_a_file_without_a_folder_has_those_beside_it(tmp_path: Path) -> None:
    """Some editors open a file and no folder: its names stand in the files beside it, too."""
    for name, text in TWO_FILES.items():
        (tmp_path / Path(name).name).write_text(text, encoding="utf-8")
    async with spoken_to() as client:
        await client.initialize_session(lsp.InitializeParams(lsp.ClientCapabilities()))
        client.file = (tmp_path / "b.rules").as_uri()
        show(client, TWO_FILES["deep/b.rules"])
        await told(client, lambda each: not [one for one in each if one.severity == 1])
        asked, text = lsp.TextDocumentIdentifier(client.file), TWO_FILES["deep/b.rules"]
        at = position(text, "hand-painted", 3)
        edit = await client.text_document_rename_async(lsp.RenameParams(asked, at, "by-hand"))

        assert set(edit.changes) == {(tmp_path / each).as_uri() for each in ("a.rules", "b.rules")}


@pytest.mark.asyncio
async def test_a_slip_is_mended_by_its_nearest_name(client: LanguageClient) -> None:
    found = await told(client, lambda each: len(each) == 2)
    whole = lsp.Range(lsp.Position(0, 0), lsp.Position(99, 0))
    # What an editor tells back may have been changed on the way.
    odd = lsp.Diagnostic(found[0].range, "all is well", data="else", source="markrules")
    actions = await client.text_document_code_action_async(
        lsp.CodeActionParams(ask(client), whole, lsp.CodeActionContext([*found, odd]))
    )

    assert {each.title for each in actions} == {'Write "rollover"', 'Write "moderate"'}
    text = RULES
    for each in actions:
        text = applied(text, each.edit.changes[client.file])
    assert text == mended()
