"""`markrules box read` and `search`."""

from __future__ import annotations

import functools
import time
from pathlib import Path

import click

from markrules.catalogue.records import Listed
from markrules.cli.catalogue import (
    all_cores,
    catalogue_options,
    list_lines,
    listed_json,
    opened,
    progress,
)
from markrules.cli.common import json_option, open_knowledge, open_reader, rules_options, write_json
from markrules.telling.words import shorten


@click.command("read")
@click.argument("box", required=False)
@click.option("--changed", is_flag=True, help="Only pieces whose log, or the rules, changed.")
@click.option("--no-looks", is_flag=True, help="Leave out the next looks: far faster.")
@click.option("--jobs", type=click.IntRange(1, 256), help="Processes; all cores unless said.")
@json_option
@rules_options
@catalogue_options
def read_command(
    box: str | None,
    changed: bool,
    no_looks: bool,
    jobs: int | None,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Read all pieces of BOX, or of every box, and keep the readings.

    \b
    markrules box read "attic tin"
    markrules box read --changed

    A run that is broken off keeps what it has read; --changed goes on from there.
    """
    from markrules.tasks.reading_pieces import NEXT_LOOKS, read_pieces

    with opened(place) as catalogue:
        wanted = catalogue.boxes.named(box) if box is not None else None
        reader = open_reader(rule_folders)
        version = reader.base.version
        pieces = catalogue.readings.to_read(wanted, changed_only=changed, knowledge_version=version)
        several = jobs or all_cores()
        opener = functools.partial(open_reader, rule_folders) if several > 1 else lambda: reader
        start = time.perf_counter()
        with progress("reading", len(pieces)) as tick:
            count = read_pieces(
                catalogue,
                pieces,
                opener,
                jobs=several,
                next_looks=0 if no_looks else NEXT_LOOKS,
                done=tick,
            )
        seconds = time.perf_counter() - start
    if as_json:
        write_json(
            {"read": count, "seconds": round(seconds, 3), "knowledge_version": version}, "box-read"
        )
    elif count:
        click.echo(f"{count} piece{'s' if count > 1 else ''} read in {seconds:.1f} s")
    else:
        click.echo("Nothing to read: no piece and no rule has changed" if changed else "No pieces")


@click.command("search")
@click.argument("text", required=False, default="")
@click.option("--box", "box_name", metavar="BOX", help="In this box only.")
@click.option("--mark", default="", metavar="TEXT", help="By what is left of a mark: ?RIF...")
@click.option("--limit", default=20, show_default=True, type=click.IntRange(1, 1000))
@json_option
@rules_options
@catalogue_options
def search_command(
    text: str,
    box_name: str | None,
    mark: str,
    limit: int,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Find pieces by words, by what was seen, by maker, by label, by your own numbers, or by
    where they are stored.

    Pieces that left their box come last.

    \b
    markrules box search "austria brooch"
    markrules box search "rollover catch"
    markrules box search "shelf B"
    markrules box search --mark "?RIF..."

    In a mark, ? is one letter unread, ... a run unread, [CG] one of these.
    """
    from markrules.cli.common import columns
    from markrules.tasks.finding import find_pieces
    from markrules.tasks.finding_by_mark import find_by_mark

    if not text.strip() and not mark.strip():
        raise click.UsageError("say what to search for: words, or --mark")
    with opened(place) as catalogue:
        box = catalogue.boxes.named(box_name) if box_name is not None else None
        found: tuple[Listed, ...] = ()
        if text.strip():
            reader = open_reader(rule_folders)
            pieces = find_pieces(catalogue, reader, text, box=box, limit=limit)
            found = tuple(each.listed for each in pieces)
        if mark.strip():
            by_mark = find_by_mark(
                catalogue, open_knowledge(rule_folders), mark, box=box, limit=limit
            )
            found = _both(found, by_mark) if text.strip() else by_mark
        names = {each.id: each for each in catalogue.boxes.all()}
    pairs = [(names[each.piece.box], each) for each in found if each.piece.box in names]
    if as_json:
        write_json([listed_json(box, each) for box, each in pairs], "pieces")
    elif pairs:
        for line in list_lines(pairs, columns(None), boxes=True):
            click.echo(line)
    else:
        click.echo(f"No piece found for {shorten(text or mark, 60)}")


def _both(first: tuple[Listed, ...], second: tuple[Listed, ...]) -> tuple[Listed, ...]:
    """Those of the second that are in the first, too."""
    ids = {each.piece.id for each in first}
    return tuple(each for each in second if each.piece.id in ids)
