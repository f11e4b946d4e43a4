"""`markrules sheet`: a piece documented: sheet, listing, claims check, exports, labels."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.cli.catalogue import catalogue_options, opened
from markrules.cli.common import columns, json_option, open_reader, rules_options, write_json
from markrules.cli.groups import WholeSummaries
from markrules.cli.page import wrapped
from markrules.cli.sheet_box import box_command, labels_command
from markrules.cli.sheet_check import check_command
from markrules.cli.sheet_piece import (
    PieceOfSheet,
    matter_asked,
    piece_options,
    plainly,
    warn_of_letters,
    write_out,
)
from markrules.named_path import NamedPath
from markrules.tasks.exporting_piece import FORMS, piece_as
from markrules.telling.words import printable

if TYPE_CHECKING:
    from markrules.sheets.listing import Listing
    from markrules.sheets.matter import SheetMatter

_TO = NamedPath(path_type=Path, dir_okay=False)


@click.group(cls=WholeSummaries)
def command() -> None:
    """Document a piece: provenance sheet, honest listing text, exports, labels.

    A piece is named by its BOX and its NUMBER in it, or described with --note.

    \b
    markrules sheet make "attic tin" 3 --to brooch.pdf
    markrules sheet make --note "brooch, rollover catch, marked AUSTRIA" --to brooch.html
    markrules sheet listing "attic tin" 3
    markrules sheet check listing.txt --piece "attic tin" 3
    markrules sheet box "attic tin" --to sheets
    """


@command.command("make")
@click.option("--to", "place_to", type=_TO, metavar="FILE", help="Ends in .html or .pdf.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True)
@click.option("--verify", default="", metavar="FINGERPRINT", help="Check the evidence; make none.")
@piece_options
@plainly
def make(asked: PieceOfSheet, place_to: Path | None, paper: str, verify: str) -> None:
    """Make the provenance sheet of a piece: HTML that stands alone, or PDF.

    Without --to, the HTML goes to standard output. With --verify, only the evidence on record
    is compared with the fingerprint on an older sheet; exit code 1 where it differs.
    """
    from markrules.sheets.content import content
    from markrules.sheets.printing import missing_letters, sheet_page, sheet_pdf

    matter = matter_asked(asked)
    if verify:
        _verify(matter, verify)
        return
    ending = place_to.suffix.casefold() if place_to else ".html"
    if ending not in (".html", ".htm", ".pdf"):
        raise click.UsageError(f'--to: "{ending}" is no form of sheet; end in .html or .pdf')
    if ending == ".pdf":
        write_out(sheet_pdf(matter, paper), place_to)
        warn_of_letters(missing_letters(json.dumps(content(matter), ensure_ascii=False)))
    else:
        write_out(sheet_page(matter).encode("utf-8", "replace"), place_to)


@command.command("set")
@click.argument("name")
@click.option("--to", "place_to", type=_TO, metavar="FILE", help="Ends in .html or .pdf.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True)
@click.option("--people", is_flag=True, help="Show names of people and streets, too.")
@rules_options
@catalogue_options
@plainly
def set_command(
    name: str,
    place_to: Path | None,
    paper: str,
    people: bool,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Make one sheet for the set called NAME: the set as a whole, then each piece of it.

    \b
    markrules piece set "leaf set" "attic tin" 3 4 9
    markrules sheet set "leaf set" --to leaf-set.pdf
    """
    import datetime

    from markrules.sheets.of_a_set import set_content, set_page, set_pdf
    from markrules.sheets.printing import missing_letters
    from markrules.tasks.gathering_for_sheets import matters_of_set

    ending = place_to.suffix.casefold() if place_to else ".html"
    if ending not in (".html", ".htm", ".pdf"):
        raise click.UsageError(f'--to: "{ending}" is no form of sheet; end in .html or .pdf')
    with opened(place) as catalogue:
        reader = open_reader(rule_folders)
        today = datetime.date.today().isoformat()
        called, matters = matters_of_set(catalogue, reader, name, today, people)
    if ending == ".pdf":
        write_out(set_pdf(called, matters, paper), place_to)
        told = json.dumps(set_content(called, matters), ensure_ascii=False)
        warn_of_letters(missing_letters(told))
    else:
        write_out(set_page(called, matters).encode("utf-8", "replace"), place_to)


def _verify(matter: SheetMatter, given: str) -> None:
    from markrules.sheets.fingerprint import agrees, fingerprint, short

    digest = fingerprint(matter)
    if agrees(digest, given):
        click.echo(f"The evidence is the same: {short(digest)}")
        return
    click.echo(f"The evidence differs: on record is {short(digest)}")
    raise SystemExit(1)


@command.command("listing")
@click.option("--title-length", type=click.IntRange(20, 1000), help="Characters of the title.")
@click.option(
    "--length",
    type=click.Choice(["short", "medium", "long"]),
    default="long",
    show_default=True,
    help="Of the text.",
)
@json_option
@piece_options
@plainly
def listing_command(
    asked: PieceOfSheet, title_length: int | None, length: str, as_json: bool
) -> None:
    """Write the text of a listing: only what the evidence bears.

    \b
    markrules sheet listing "attic tin" 3 --title-length 60
    """
    from markrules.sheets.listing import listing

    made = listing(matter_asked(asked), title_length)
    if as_json:
        write_json(_listing_data(made), "listing")
        return
    for line in made.text(length).split("\n"):
        click.echo(printable(line))
    if made.law:
        click.echo("\nFor you as the seller, and no part of the text:")
        for text in made.law:
            for line in wrapped(text, columns(None), "  - ", "    "):
                click.echo(line)


def _listing_data(made: Listing) -> dict[str, Any]:
    return {
        "title": made.title,
        "description": made.description,
        "condition": made.condition,
        "measurements": list(made.measurements),
        "care": list(made.care),
        "safety": list(made.safety),
        "basis": made.basis,
        "law": list(made.law),
        "taken_back": [
            {"words": each.words, "instead": each.instead, "say": each.say} for each in made.changed
        ],
    }


@command.command("complete")
@json_option
@piece_options
@plainly
def complete(asked: PieceOfSheet, as_json: bool) -> None:
    """Tell what a full description still lacks, by the categories of Object ID (ICOM).

    \b
    markrules sheet complete "attic tin" 3
    """
    from markrules.sheets.object_id import SOURCE, completeness

    found = completeness(matter_asked(asked))
    if as_json:
        write_json(
            [
                {
                    "category": each.number,
                    "name": each.name,
                    "filled": list(each.filled),
                    "ask": each.ask,
                }
                for each in found
            ],
            "complete",
        )
        return
    for each in found:
        sign, text = ("?", each.ask) if each.missing else ("+", "; ".join(each.filled))
        for line in wrapped(f"{each.name}: {text}", columns(None), f"  {sign} ", "    "):
            click.echo(line)
    missing = sum(each.missing for each in found)
    click.echo(f"{len(found) - missing} of {len(found)} categories are filled. {SOURCE}")


@command.command("export")
@click.option(
    "--as",
    "form",
    type=click.Choice(list(FORMS)),
    default="linked-art",
    show_default=True,
)
@click.option("--to", "place_to", type=_TO, metavar="FILE", help="Standard output unless said.")
@piece_options
@plainly
def export(asked: PieceOfSheet, form: str, place_to: Path | None) -> None:
    """Write a piece in an open standard.

    \b
    markrules sheet export "attic tin" 3 --as linked-art --to piece.jsonld
    """
    text = piece_as(matter_asked(asked), form)
    write_out(text.encode("utf-8", "replace"), place_to)


for each in (check_command, box_command, labels_command):
    command.add_command(each)
