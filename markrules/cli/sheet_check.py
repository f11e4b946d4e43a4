"""`markrules sheet check`: words of a listing that the evidence or the law does not bear."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.cli.catalogue import catalogue_options, opened
from markrules.cli.common import (
    FileProblem,
    columns,
    json_option,
    open_reader,
    rules_options,
    write_json,
)
from markrules.cli.page import wrapped
from markrules.named_path import NamedPath
from markrules.plain_files import beginning
from markrules.reading.reader import Reader, Request
from markrules.telling.words import printable

if TYPE_CHECKING:
    from markrules.inference.reading import Reading
    from markrules.sheets.claims import Flag

LARGEST = 200_000
"""Bytes of a text: more than any listing has, and looked through in a second or two."""
_AROUND = 30


@click.command("check")
@click.argument("file", type=NamedPath(path_type=Path, allow_dash=True))
@click.option("--piece", nargs=2, type=(str, int), metavar="BOX NUMBER", help="What it speaks of.")
@click.option("--note", default="", metavar="TEXT", help="What it speaks of, in plain words.")
@click.option("--better", is_flag=True, help="Write the text anew, with better words.")
@json_option
@rules_options
@catalogue_options
def check_command(
    file: Path,
    piece: tuple[str, int] | None,
    note: str,
    better: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Mark each phrase in FILE (or -) that goes further than the evidence, with its reason.

    Without --piece or --note nothing is on record, and every claim is marked. Exit code 1
    where anything is.

    \b
    markrules sheet check listing.txt --piece "attic tin" 3
    markrules sheet check - --note "brooch, unsigned" < listing.txt
    """
    from markrules.sheets.claims import check_text, rewritten

    if piece is not None and note:
        raise click.UsageError("give --piece or --note, not both")
    text = _text_of(file)
    reader = open_reader(rule_folders)
    flags = check_text(reader.base, text, _reading(reader, piece, note, place))
    if as_json:
        write_json([_data(flag) for flag in flags], "claims")
    elif better:
        click.echo("\n".join(map(printable, rewritten(text, flags).split("\n"))))
    else:
        _tell(file, text, flags)
    if flags and not better:
        raise SystemExit(1)


def _reading(
    reader: Reader, piece: tuple[str, int] | None, note: str, place: Path | None
) -> Reading | None:
    if piece is None:
        return reader.read(Request(note=note)) if note else None
    from markrules.tasks.reading_pieces import read_evidence

    with opened(place) as catalogue:
        found = catalogue.pieces.numbered(catalogue.boxes.named(piece[0]), piece[1])
        return read_evidence(reader, catalogue.readings.evidence(found))


def _text_of(file: Path) -> str:
    data = sys.stdin.buffer.read(LARGEST + 1) if str(file) == "-" else beginning(file, LARGEST + 1)
    if len(data) > LARGEST:
        raise FileProblem(f"{file}: this is no listing: it has more than {LARGEST:,} bytes")
    utf_16 = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    if not utf_16 and b"\0" in data:
        raise FileProblem(f"{file}: byte {data.index(0) + 1} is no text; save it as plain text")
    try:
        text = data.decode("utf-16" if utf_16 else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileProblem(
            f"{file}: byte {error.start + 1} is no {error.encoding.upper()} text;"
            " save it as plain text in UTF-8"
        ) from None
    if not text.strip():
        raise FileProblem(f"{file}: there is no text in it, so nothing was looked at")
    return text


def _tell(file: Path, text: str, flags: tuple[Flag, ...]) -> None:
    lines = text.split("\n")
    width = columns(None)
    reasons: dict[str, list[str]] = {}
    told = []
    for flag in flags:
        told.append(printable(f"{file}:{flag.line}:{flag.column}: “{flag.words}”"))
        told += _shown(lines[flag.line - 1], flag)
        reason = f"{flag.say} ({flag.law})" if flag.law else flag.say
        if reason not in reasons:
            reasons[reason] = list(wrapped(reason, width, "    ", "    "))
        told += reasons[reason]
        told.append(printable(f"    write: {flag.instead}" if flag.instead else "    leave it out"))
    count = len(flags)
    told.append(f"{count or 'no'} {'phrase goes' if count == 1 else 'phrases go'} too far")
    click.echo("\n".join(told))


def _shown(line: str, flag: Flag) -> tuple[str, str]:
    """The part of the line around the words, and a row of carets under them."""
    start = max(0, flag.column - 1 - _AROUND)
    before = printable(line[start : flag.column - 1])
    words = printable(flag.words.split("\n")[0])
    after = printable(line[flag.column - 1 + len(flag.words) :][:_AROUND])
    return f"    {before}{words}{after}".rstrip(), f"    {' ' * len(before)}{'^' * len(words)}"


def _data(flag: Flag) -> dict[str, Any]:
    return {
        "claim": flag.claim,
        "words": flag.words,
        "start": flag.start,
        "end": flag.end,
        "line": flag.line,
        "column": flag.column,
        "say": flag.say,
        "law": flag.law,
        "instead": flag.instead,
        "note": flag.note,
        "cites": [{"source": each.source, "title": each.title} for each in flag.cites],
    }
