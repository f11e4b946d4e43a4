"""`markrules rules book`: the whole knowledge as pages to read."""

from __future__ import annotations

import datetime
from pathlib import Path

import click

from markrules.cli.common import (
    FileProblem,
    json_option,
    open_knowledge,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.named_path import NamedPath


@click.command()
@click.argument("out", type=NamedPath(path_type=Path))
@click.option("--force", is_flag=True, help="Write even where the folder holds other files.")
@json_option
@rules_options
@told_plainly
def command(out: Path, force: bool, as_json: bool, rule_folders: tuple[Path, ...]) -> None:
    """Write the knowledge into the folder OUT as pages to read, and as one Markdown file.

    The pages need no connection; open OUT/index.html. An earlier book in OUT is replaced.

    \b
    markrules rules book my-book/
    """
    from markrules.book.book import Book
    from markrules.book.rendering import files
    from markrules.book.writing import FolderInUse, write_book

    book = Book(open_knowledge(rule_folders), datetime.date.today().year)
    try:
        names = write_book(out, files(book), force=force)
    except FolderInUse as problem:
        raise FileProblem(str(problem)) from None
    if as_json:
        write_json({"folder": str(out), "entries": book.count(), "files": names}, "book")
    else:
        click.echo(f"{book.count()} entries on {len(book.pages)} pages: {out / 'index.html'}")
