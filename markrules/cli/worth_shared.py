"""What the commands on worth share: the catalogue's figures and sales, and pieces read afresh."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import click

from markrules.appraisal.appraisal import Appraisal
from markrules.appraisal.figures import FigureProblem, figure_text
from markrules.catalogue.records import Box, Piece
from markrules.cli.catalogue import lines, opened, what
from markrules.cli.common import columns, open_reader
from markrules.tasks.appraising import AppraisalDesk, appraise_note, appraise_piece, desk_of
from markrules.tasks.reading_pieces import ReadPieces
from markrules.telling.words import in_lines, printable, shorten

if TYPE_CHECKING:
    from markrules.catalogue.store import Catalogue

WIDEST = 78
"""Columns of lists and sums, however wide the terminal is."""


def desk(
    rule_folders: Sequence[Path], catalogue: Catalogue | None, what_if: Iterable[str] = ()
) -> AppraisalDesk:
    """The desk, with figures `NAME=VALUE` of `what_if` in place of the kept ones.

    Raises click.UsageError for a figure that is not known or does not suit.
    """
    figures = {}
    for text in what_if:
        name, equals, value = (part.strip() for part in text.partition("="))
        if not equals:
            raise click.UsageError(lines(f'--figure "{text}": write NAME=VALUE, as hour=12'))
        try:
            figures[name] = figure_text(name, value)
        except FigureProblem as problem:
            raise click.UsageError(lines(str(problem))) from None
    return desk_of(ReadPieces(open_reader(rule_folders)), catalogue, figures)


def kept_catalogue(place: Path | None) -> Path | None:
    """Where the catalogue lies, or None where there is none yet."""
    from markrules.catalogue.file import catalogue_place

    path = place or catalogue_place()
    return path if path.exists() else None


def appraised(
    place: Path | None,
    box: str | None,
    number: int | None,
    note: str | None,
    rule_folders: Sequence[Path],
    what_if: Iterable[str] = (),
) -> tuple[str, Appraisal]:
    """The piece asked for, of the catalogue or of a note, as a heading and its appraisal.

    Raises click.UsageError where neither, or both, are given.
    """
    if (note is None) == (box is None or number is None):
        raise click.UsageError('say which piece: BOX NUMBER, or --note "brooch, ..."')
    if note is not None:
        path = kept_catalogue(place)
        if path is None:
            return note, appraise_note(desk(rule_folders, None, what_if), note)
        with opened(path) as catalogue:
            return note, appraise_note(desk(rule_folders, catalogue, what_if), note)
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box or "")
        piece = catalogue.pieces.numbered(found, number or 0)
        at = desk(rule_folders, catalogue, what_if)
        return heading(found, piece), appraise_piece(at, catalogue, piece)


def heading(box: Box, piece: Piece) -> str:
    """A piece in one line: its box and number, and what it is."""
    return f"{box.name} {piece.number}: {what(piece)}"


def places(box: Box, pieces: Sequence[Piece]) -> Mapping[int, int]:
    """The number within its box of each piece, by row number."""
    return {piece.id: piece.number for piece in pieces if piece.box == box.id}


def wrapped(text: str, indent: str = "  ") -> list[str]:
    """Text safe for a terminal, folded, its later lines indented a little more."""
    return in_lines(printable(text), columns(most=WIDEST), indent, " " * len(indent) + "  ")


def cash(amount: float | Fraction | None, currency: str = "") -> str:
    """An amount with two decimals and its currency; a dash where it is not known."""
    if amount is None:
        return "–"
    return f"{float(amount):,.2f} {currency}".rstrip()


def empty_words(box: Box) -> str:
    """What is said of a box without pieces."""
    name = shorten(box.name, 60)
    return f'{name} holds no piece yet.\nPut some in: markrules box add "{name}" "brooch, ..."'
