"""What the commands on worth share: the catalogue's figures and sales, and pieces read afresh."""

from __future__ import annotations

import datetime
import json
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import click

from markrules.appraisal.appraisal import Appraisal, appraise
from markrules.appraisal.box import BoxAppraisal, Read, appraise_box
from markrules.appraisal.figures import FigureProblem, Figures, figure_text, figures_from
from markrules.appraisal.likeness import Measure, measure
from markrules.appraisal.mates import wants_mate
from markrules.catalogue.records import Box, Piece, Sale
from markrules.cli.catalogue import lines, opened, what
from markrules.cli.common import open_reader
from markrules.cli.drawing import printable
from markrules.inference.reading import NextLook
from markrules.reading.reader import Reader, Request

if TYPE_CHECKING:
    from markrules.catalogue.store import Catalogue

TEXT_WIDTH = 78


@dataclass(frozen=True, eq=False, slots=True)
class Desk:
    """Everything an appraisal needs: the reader, the comparison, sales, figures and the day."""

    reader: Reader
    compared: Measure
    sales: tuple[Sale, ...]
    figures: Figures
    today: datetime.date


def desk(
    rule_folders: Sequence[Path], catalogue: Catalogue | None, what_if: Iterable[str] = ()
) -> Desk:
    """The desk, with figures `NAME=VALUE` of `what_if` in place of the kept ones.

    Raises click.UsageError for a figure that is not known or does not suit.
    """
    kept = dict(catalogue.figures()) if catalogue is not None else {}
    for text in what_if:
        name, equals, value = (part.strip() for part in text.partition("="))
        if not equals:
            raise click.UsageError(lines(f'--figure "{text}": write NAME=VALUE, as hour=12'))
        try:
            kept[name] = figure_text(name, value)
        except FigureProblem as problem:
            raise click.UsageError(lines(str(problem))) from None
    reader = open_reader(rule_folders)
    sales = catalogue.sales() if catalogue is not None else ()
    figures = figures_from(kept)
    return Desk(reader, measure(reader.base), sales, figures, datetime.date.today())


def kept_catalogue(place: Path | None) -> Path | None:
    """Where the catalogue lies, or None where there is none yet."""
    from markrules.catalogue.file import catalogue_place

    path = place or catalogue_place()
    return path if path.exists() else None


def appraise_note(at: Desk, note: str) -> Appraisal:
    """The appraisal of a piece from a note alone."""
    reading = at.reader.read(Request(note=note))
    metals = at.reader.metals(reading.observations)
    return appraise(at.compared, reading, metals, at.sales, at.figures, at.today)


def read_pieces(
    at: Desk, catalogue: Catalogue, pieces: Sequence[Piece], looks: int = 0
) -> dict[int, Read]:
    """The pieces read afresh from their logs, by row number, with so many next looks."""
    from markrules.catalogue.reading import request_of

    kept = stored_looks(catalogue, at.reader.base.version) if looks else {}
    sets = {piece.id: piece.set for piece in pieces}
    found = {}
    for evidence in catalogue.evidence_for([piece.id for piece in pieces]):
        known = kept.get((evidence.piece, evidence.fingerprint))
        request = request_of(at.reader, evidence.observations)
        request = replace(request, next_looks=looks if known is None else 0)
        reading = at.reader.read(request)
        reading = reading if known is None else replace(reading, next=known)
        metals = at.reader.metals(reading.observations)
        found[evidence.piece] = Read(reading, metals, sets[evidence.piece])
    return found


def stored_looks(
    catalogue: Catalogue, version: str
) -> Mapping[tuple[int, str], tuple[NextLook, ...]]:
    """The next looks kept with the latest readings, by piece and fingerprint of its evidence.

    Only those of this version of the knowledge. Finding them anew is the slowest part of a
    reading.
    """
    rows = catalogue.rows(
        "select piece_id, evidence, json_extract(data, '$.next') from reading where"
        " knowledge_version = ? and id in (select max(id) from reading group by piece_id)",
        (version,),
    )
    return {
        (row[0], row[1]): tuple(NextLook(**look) for look in json.loads(row[2] or "[]"))
        for row in rows
    }


def appraise_pieces(
    at: Desk, catalogue: Catalogue, pieces: Sequence[Piece], looks: int = 0
) -> BoxAppraisal:
    """The appraisal of these pieces together."""
    read = read_pieces(at, catalogue, pieces, looks)
    return appraise_box(at.compared, read, at.sales, at.figures, at.today)


def appraise_piece(at: Desk, catalogue: Catalogue, box: Box, piece: Piece) -> Appraisal:
    """The appraisal of one piece; its box is read only where it wants a mate or is of a set."""
    alone = read_pieces(at, catalogue, [piece])
    if piece.set is None and not wants_mate(at.compared.base, alone[piece.id].reading):
        whole = appraise_box(at.compared, alone, at.sales, at.figures, at.today)
    else:
        others = [each for each in catalogue.pieces(box) if each.id != piece.id]
        whole = appraise_pieces(at, catalogue, [piece, *others])
    return whole.pieces[piece.id]


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
        found = catalogue.box(box or "")
        piece = catalogue.piece_in(found, number or 0)
        at = desk(rule_folders, catalogue, what_if)
        return heading(found, piece), appraise_piece(at, catalogue, found, piece)


def heading(box: Box, piece: Piece) -> str:
    """A piece in one line: its box and number, and what it is."""
    return f"{box.name} {piece.number}: {what(piece)}"


def places(box: Box, pieces: Sequence[Piece]) -> Mapping[int, int]:
    """The number within its box of each piece, by row number."""
    return {piece.id: piece.number for piece in pieces if piece.box == box.id}


def wrapped(text: str, indent: str = "  ") -> list[str]:
    """Text safe for a terminal, folded, its later lines indented a little more."""
    return textwrap.wrap(
        printable(text),
        TEXT_WIDTH,
        initial_indent=indent,
        subsequent_indent=" " * len(indent) + "  ",
        break_long_words=True,
    )


def cash(amount: float | Fraction | None, currency: str = "") -> str:
    """An amount with two decimals and its currency; a dash where it is not known."""
    if amount is None:
        return "–"
    return f"{float(amount):,.2f} {currency}".rstrip()
