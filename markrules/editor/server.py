"""The language server: the protocol of editors over `Workspace`, on standard input and output."""

from __future__ import annotations

import asyncio
from pathlib import Path

from lsprotocol import types as lsp
from pygls import uris
from pygls.exceptions import JsonRpcException
from pygls.lsp.server import LanguageServer
from pygls.workspace import TextDocument

from markrules import __version__
from markrules.editor.completing import Completion, offers
from markrules.editor.hover_text import hover_text
from markrules.editor.workspace import (
    ALONE,
    Occurrence,
    Workspace,
    problems_of,
    shipped_entries,
)
from markrules.language.checks.names import RESERVED_FEATURES, RESERVED_VALUES
from markrules.language.formatter import format_text
from markrules.language.line_words import NAME
from markrules.language.lines import physical_lines
from markrules.language.problems import Problem
from markrules.language.spans import Span

WAIT = 0.3
"""Seconds of rest after a key before all rules are checked."""

ITEMS = {
    "entry": lsp.CompletionItemKind.Class,
    "key": lsp.CompletionItemKind.Property,
    "word": lsp.CompletionItemKind.Keyword,
    "feature": lsp.CompletionItemKind.Field,
    "value": lsp.CompletionItemKind.EnumMember,
    "source": lsp.CompletionItemKind.Reference,
}


RULE_FILES = lsp.FileOperationRegistrationOptions(
    [
        lsp.FileOperationFilter(lsp.FileOperationPattern("**/*.rules")),
        lsp.FileOperationFilter(
            lsp.FileOperationPattern("**", matches=lsp.FileOperationPatternKind.Folder)
        ),
    ]
)
"""The files and folders of which the editor tells when it makes, moves or deletes them."""


RESERVED = {"feature": RESERVED_FEATURES, "value": RESERVED_VALUES}
"""What nothing of a kind may be called."""


class RequestRefused(JsonRpcException):
    """A request that cannot be granted, told in words that the editor shows."""

    CODE = lsp.LSPErrorCodes.RequestFailed
    MESSAGE = "not possible"


class RulesServer(LanguageServer):
    """A server for one editor window. `alone` takes the folder as a whole rule base."""

    def __init__(self, *, alone: bool = False) -> None:
        """Make the server; nothing is read before the editor has said which folder is open."""
        super().__init__("markrules", __version__)
        self.alone = alone
        self.rules = Workspace()
        self.turn = 0
        self.without_folder = False
        self.beside: set[Path] = set()

    def begin(self, files: list[Path]) -> None:
        """Read the shipped rules, compiled, and these files; those that are open, as they are."""
        alone = self.alone or any(each.name == ALONE for each in files)
        self.rules = Workspace(() if alone else shipped_entries())
        for file in files:
            self.read(file)
        for document in self.workspace.text_documents.values():
            self.rules.put(path_of(document.uri), document.source)

    def take_beside(self, file: Path) -> None:
        """Take the rule files beside one that is shown for its folder, where no folder is open.

        Else names of the others would be unknown, and a renaming would leave them out.
        """
        folder = file.parent
        if not self.without_folder or folder in self.beside or self.rules.is_shipped(str(file)):
            return
        self.beside.add(folder)
        self.begin([each for held in sorted(self.beside) for each in sorted(held.glob("*.rules"))])

    def read(self, file: Path) -> None:
        """Take a file as it is on the disk; one that cannot be read is forgotten."""
        try:
            self.rules.put(str(file), file.read_text(encoding="utf-8", errors="replace"))
        except OSError:
            self.forget(file)

    def forget(self, file: Path) -> None:
        """Take a file, or all files of a folder, for gone, with all that was told of them."""
        gone = [
            each for each in self.rules.texts if each == str(file) or file in Path(each).parents
        ]
        for each in gone:
            self.rules.drop(each)
        if gone:
            self.tell({each: [] for each in gone})

    def look_again(self, uri: str, *, gone: bool = False) -> None:
        """Take a file or a folder as it is on the disk now; one that is open, as it is open."""
        place = Path(path_of(uri))
        if gone:
            self.forget(place)
            return
        for file in sorted(place.rglob("*.rules")) if place.is_dir() else [place]:
            if file.suffix == ".rules" and uri_of(str(file)) not in self.workspace.text_documents:
                self.read(file)

    def watch(self) -> None:
        """Ask to be told of rule files that change outside the editor, where it can tell."""
        asked = self.client_capabilities.workspace
        watched = asked.did_change_watched_files if asked is not None else None
        if watched is None or not watched.dynamic_registration:
            return
        options = lsp.DidChangeWatchedFilesRegistrationOptions(
            [lsp.FileSystemWatcher("**/*.rules")]
        )
        method = lsp.WORKSPACE_DID_CHANGE_WATCHED_FILES
        self.client_register_capability(
            lsp.RegistrationParams([lsp.Registration("rule-files", method, options)])
        )

    def document(self, file: str) -> TextDocument:
        """A file as the editor has it, or as it is on the disk."""
        return self.workspace.get_text_document(uri_of(file))

    async def check_soon(self) -> None:
        """Check everything when the keys have rested, and tell every problem of every own file.

        The check runs beside the answers, so that nothing asked meanwhile waits for it; what it
        finds in a text that has changed since is not told.
        """
        self.turn += 1
        turn = self.turn
        await asyncio.sleep(WAIT)
        if turn != self.turn:
            return
        self.rules.known()
        found = await asyncio.to_thread(problems_of, self.rules.as_it_stands())
        if turn == self.turn:
            self.tell(found)

    def tell(self, found: dict[str, list[Problem]]) -> None:
        """Publish the problems of some files."""
        for file, problems in found.items():
            self.text_document_publish_diagnostics(
                lsp.PublishDiagnosticsParams(
                    uri_of(file), [self.diagnostic(each) for each in problems]
                )
            )

    def diagnostic(self, problem: Problem) -> lsp.Diagnostic:
        """A problem with its code, its nearest name, and the other places it speaks of."""
        near = f'; nearest: "{problem.nearest}"' if problem.nearest else ""
        warns = problem.severity == "warning"
        return lsp.Diagnostic(
            range=self.range_of(problem.place),
            message=problem.message + near,
            severity=lsp.DiagnosticSeverity.Warning if warns else lsp.DiagnosticSeverity.Error,
            code=problem.code,
            source="markrules",
            data=problem.nearest,
            related_information=[
                lsp.DiagnosticRelatedInformation(self.location(each.span), each.reason)
                for each in problem.also
                if each.span.file
            ],
        )

    def location(self, span: Span) -> lsp.Location:
        """A stretch of a file, as the protocol names it."""
        return lsp.Location(uri_of(span.file), self.range_of(span))

    def range_of(self, span: Span) -> lsp.Range:
        """A stretch of a line, in the editor's own units."""
        at = max(0, span.line - 1)
        try:
            document = self.document(span.file)
            lines = document.lines
        except OSError:
            lines = []
        made = lsp.Range(
            lsp.Position(at, max(0, span.column - 1)), lsp.Position(at, max(0, span.end_column - 1))
        )
        return self.workspace.position_codec.range_to_client_units(lines, made)

    def named_at(self, uri: str, position: lsp.Position) -> Occurrence | None:
        """The name at a place of the editor's."""
        file = path_of(uri)
        document = self.document(file)
        place = self.workspace.position_codec.position_from_client_units(document.lines, position)
        return self.rules.at(file, place.line + 1, place.character + 1)


def path_of(uri: str) -> str:
    """The path of a file that an editor names."""
    return uris.to_fs_path(uri) or uri


def uri_of(file: str) -> str:
    """The name by which an editor knows a file."""
    return uris.from_fs_path(str(Path(file).absolute())) or file


def server(*, alone: bool = False) -> RulesServer:
    """A server with all that it answers, not yet started."""
    made = RulesServer(alone=alone)
    _files(made)
    _answers(made)
    _changes(made)
    return made


def _files(made: RulesServer) -> None:
    @made.feature(lsp.INITIALIZED)
    async def begun(ls: RulesServer, _: lsp.InitializedParams) -> None:
        folders = [Path(path_of(each.uri)) for each in ls.workspace.folders.values()]
        if not folders and ls.workspace.root_path:
            folders = [Path(ls.workspace.root_path)]
        ls.without_folder = not folders
        ls.begin([each for folder in folders for each in sorted(folder.rglob("*.rules"))])
        ls.watch()
        await ls.check_soon()

    @made.feature(lsp.TEXT_DOCUMENT_DID_OPEN)
    async def opened(ls: RulesServer, params: lsp.DidOpenTextDocumentParams) -> None:
        file = path_of(params.text_document.uri)
        ls.take_beside(Path(file))
        ls.rules.put(file, params.text_document.text)
        await ls.check_soon()

    @made.feature(lsp.TEXT_DOCUMENT_DID_CHANGE)
    async def changed(ls: RulesServer, params: lsp.DidChangeTextDocumentParams) -> None:
        file = path_of(params.text_document.uri)
        ls.rules.put(file, ls.document(file).source)
        await ls.check_soon()

    @made.feature(lsp.TEXT_DOCUMENT_DID_CLOSE)
    async def closed(ls: RulesServer, params: lsp.DidCloseTextDocumentParams) -> None:
        ls.read(Path(path_of(params.text_document.uri)))
        await ls.check_soon()

    @made.feature(lsp.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    async def changed_outside(ls: RulesServer, params: lsp.DidChangeWatchedFilesParams) -> None:
        for each in params.changes:
            ls.look_again(each.uri, gone=each.type == lsp.FileChangeType.Deleted)
        await ls.check_soon()

    @made.feature(lsp.WORKSPACE_DID_DELETE_FILES, RULE_FILES)
    async def deleted(ls: RulesServer, params: lsp.DeleteFilesParams) -> None:
        for each in params.files:
            ls.look_again(each.uri, gone=True)
        await ls.check_soon()

    @made.feature(lsp.WORKSPACE_DID_CREATE_FILES, RULE_FILES)
    async def created(ls: RulesServer, params: lsp.CreateFilesParams) -> None:
        for each in params.files:
            ls.look_again(each.uri)
        await ls.check_soon()

    @made.feature(lsp.WORKSPACE_DID_RENAME_FILES, RULE_FILES)
    async def renamed(ls: RulesServer, params: lsp.RenameFilesParams) -> None:
        for each in params.files:
            ls.look_again(each.old_uri, gone=True)
            ls.look_again(each.new_uri)
        await ls.check_soon()


def _answers(made: RulesServer) -> None:
    @made.feature(
        lsp.TEXT_DOCUMENT_COMPLETION, lsp.CompletionOptions(trigger_characters=[" ", "("])
    )
    def complete(ls: RulesServer, params: lsp.CompletionParams) -> lsp.CompletionList:
        document = ls.document(path_of(params.text_document.uri))
        lines = document.lines
        place = ls.workspace.position_codec.position_from_client_units(lines, params.position)
        bare = physical_lines(document.source)
        found = offers(ls.rules, bare, place.line, place.character)
        return lsp.CompletionList(is_incomplete=False, items=[_item(each) for each in found])

    @made.feature(lsp.TEXT_DOCUMENT_HOVER)
    def hover(ls: RulesServer, params: lsp.HoverParams) -> lsp.Hover | None:
        named = ls.named_at(params.text_document.uri, params.position)
        entry = ls.rules.entry(named.kind, named.name) if named is not None else None
        if named is None or entry is None:
            return None
        text = hover_text(named.kind, named.name, entry)
        shown = lsp.MarkupContent(lsp.MarkupKind.Markdown, text)
        return lsp.Hover(shown, ls.range_of(named.span))

    @made.feature(lsp.TEXT_DOCUMENT_DEFINITION)
    def define(ls: RulesServer, params: lsp.DefinitionParams) -> lsp.Location | None:
        named = ls.named_at(params.text_document.uri, params.position)
        place = ls.rules.definition(named.kind, named.name) if named is not None else None
        return ls.location(place) if place is not None else None

    @made.feature(lsp.TEXT_DOCUMENT_REFERENCES)
    def refer(ls: RulesServer, params: lsp.ReferenceParams) -> list[lsp.Location]:
        named = ls.named_at(params.text_document.uri, params.position)
        if named is None:
            return []
        return [ls.location(each.span) for each in ls.rules.all_of(named.kind, named.name)]


def _item(offer: Completion) -> lsp.CompletionItem:
    return lsp.CompletionItem(
        offer.word,
        kind=ITEMS.get(offer.what, lsp.CompletionItemKind.Value),
        detail=offer.what,
        documentation=offer.about or None,
    )


def _changes(made: RulesServer) -> None:
    @made.feature(lsp.TEXT_DOCUMENT_FORMATTING)
    def form(ls: RulesServer, params: lsp.DocumentFormattingParams) -> list[lsp.TextEdit]:
        document = ls.document(path_of(params.text_document.uri))
        text, problems = format_text(document.source, document.path)
        if problems or text == document.source:
            return []
        end = lsp.Position(len(document.lines) + 1, 0)
        return [lsp.TextEdit(lsp.Range(lsp.Position(0, 0), end), text)]

    @made.feature(
        lsp.TEXT_DOCUMENT_CODE_ACTION, lsp.CodeActionOptions([lsp.CodeActionKind.QuickFix])
    )
    def mend(ls: RulesServer, params: lsp.CodeActionParams) -> list[lsp.CodeAction]:
        found = (_mended(ls, params.text_document.uri, x) for x in params.context.diagnostics)
        return [each for each in found if each is not None]

    @made.feature(lsp.TEXT_DOCUMENT_RENAME)
    def rename(ls: RulesServer, params: lsp.RenameParams) -> lsp.WorkspaceEdit | None:
        named = ls.named_at(params.text_document.uri, params.position)
        if named is None:
            return None
        if not NAME.fullmatch(params.new_name):
            raise RequestRefused(f'"{params.new_name}" is no name: lower case, digits and hyphens')
        if params.new_name in RESERVED.get(named.kind, ()):
            raise RequestRefused(f'"{params.new_name}" is no name: it has a meaning in conditions')
        place = ls.rules.definition(named.kind, named.name)
        if place is None or place.file not in ls.rules.texts:
            raise RequestRefused(f'"{named.name}" is not defined in the files of this folder')
        taken = named.name.rpartition("/")[0]
        wanted = f"{taken}/{params.new_name}" if named.kind == "value" else params.new_name
        if ls.rules.entry(named.kind, wanted) is not None:
            raise RequestRefused(f'there is a {named.kind} "{params.new_name}" already')
        changes: dict[str, list[lsp.TextEdit]] = {}
        spans = {each.span for each in ls.rules.all_of(named.kind, named.name)}
        for span in sorted(spans, key=lambda each: (each.file, each.line, each.column)):
            edit = lsp.TextEdit(ls.range_of(span), params.new_name)
            changes.setdefault(uri_of(span.file), []).append(edit)
        return lsp.WorkspaceEdit(changes=changes)


def _mended(ls: RulesServer, uri: str, problem: lsp.Diagnostic) -> lsp.CodeAction | None:
    """The nearest name in the place of one that is not known; None where a problem names none."""
    near, place = problem.data, problem.range
    if not isinstance(near, str) or place.start.line != place.end.line:
        return None
    lines = ls.document(path_of(uri)).lines
    held = ls.workspace.position_codec.range_from_client_units(lines, place)
    line = lines[held.start.line] if held.start.line < len(lines) else ""
    word = line[held.start.character : held.end.character]
    # Some problems stand at another word than the one that is near to a name.
    if f'"{word}"' not in problem.message:
        return None
    edit = lsp.WorkspaceEdit(changes={uri: [lsp.TextEdit(place, near)]})
    kind = lsp.CodeActionKind.QuickFix
    return lsp.CodeAction(f'Write "{near}"', kind, [problem], True, edit=edit)


def run(*, alone: bool = False) -> None:
    """Serve one editor on standard input and output, until it says goodbye."""
    server(alone=alone).start_io()
