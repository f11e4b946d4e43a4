"""`markrules stones`: the tin of spare stones, and which of them fits an empty setting."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from markrules.catalogue.records import SpareStone
from markrules.cli.bad_lines import tell_bad_lines
from markrules.cli.catalogue import catalogue_options, opened, opened_if_there, who_option
from markrules.cli.common import (
    json_option,
    open_knowledge,
    rules_options,
    write_json,
)
from markrules.cli.groups import WholeSummaries
from markrules.cli.stones_matching import match_command, mirror_command
from markrules.cli.stones_told import sample_option, sampled, stone_data, stone_text
from markrules.named_path import NamedPath
from markrules.tasks.stocking import kept_size, known_shape
from markrules.telling.words import count_of

LONGEST_PASTE = 200_000
"""Characters."""


@click.group(cls=WholeSummaries)
def command() -> None:
    """The tin of spare stones: add, list, use, and match to an empty setting.

    \b
    markrules stones add --shape round --size SS16 --colour "light blue" --back foil --count 12
    markrules stones match --shape round --size 4mm --colour sapphire --back foil
    markrules stones mirror "round, 4 mm, red" "round, 4 mm, pink"
    """


@command.command("add")
@click.option("--shape", required=True, help="round, oval, navette ...")
@click.option("--size", default="", help="4 mm, 10x5 mm, SS16, PP24 ...")
@click.option("--colour", "--color", default="", help="Its colour in a word or two.")
@sample_option("sample")
@click.option("--cut", default="", help="chaton, rivoli, cabochon ...")
@click.option("--back", default="", help="foil, unfoiled, flat ...")
@click.option("--count", type=click.IntRange(1, 1_000_000), default=1, show_default=True)
@click.option("--from", "source", nargs=2, type=(str, int), default=None, metavar="BOX NUMBER")
@click.option("--note", default="")
@json_option
@rules_options
@who_option
@catalogue_options
def add(
    shape: str,
    size: str,
    colour: str,
    sample: tuple[Path, float, float] | None,
    cut: str,
    back: str,
    count: int,
    source: tuple[str, int] | None,
    note: str,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
    place: Path | None,
) -> None:
    """Put stones into the tin.

    \b
    markrules stones add --shape round --size SS16 --colour red --back foil --count 6
    markrules stones add --shape oval --size 6mm --sample stone.jpg 0.4 0.5 --from "attic tin" 7
    """
    base = open_knowledge(rule_folders)
    exact, code = kept_size(base, size)
    stone = SpareStone(
        0,
        known_shape(base, shape),
        exact,
        code,
        colour,
        sampled(sample),
        cut,
        back,
        count,
        None,
        note,
    )
    with opened(place, create=True) as catalogue:
        if source is not None:
            from dataclasses import replace

            piece = catalogue.pieces.numbered(catalogue.boxes.named(source[0]), source[1])
            stone = replace(stone, from_piece=piece.id)
        rows = catalogue.stones.add([stone], who)
    if as_json:
        write_json({"stone": rows[0], **stone_data(stone)}, "stone")
    else:
        click.echo(f"{rows[0]}: {stone_text(stone)}")


@command.command("import")
@click.argument("file", type=NamedPath(path_type=Path, allow_dash=True))
@click.option("--dry-run", is_flag=True, help="Tell what would be put in; put in nothing.")
@click.option("--skip-bad", is_flag=True, help="Put in the good lines though others are bad.")
@click.option("--again", is_flag=True, help="More of the same: put in lines the tin has, too.")
@json_option
@rules_options
@who_option
@catalogue_options
def import_stones(
    file: Path,
    dry_run: bool,
    skip_bad: bool,
    again: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
    place: Path | None,
) -> None:
    """Put many kinds of stones into the tin, from FILE or, with -, from what is pasted.

    A table (CSV, XLSX, JSON Lines) has the headings shape, size, colour, cut, back, count, note.
    A text (.txt, or pasted) has one kind a line, its parts with commas, in any order; how many
    stands first or last: 12 x navette ..., or ... 12 pcs.

    \b
    markrules stones import stones.csv --dry-run
    echo "12 x navette, 10x5 mm, red, foil" | markrules stones import -
    """
    from markrules.tasks.stocking import new_to_the_tin, stones_in_table, stones_in_text

    base = open_knowledge(rule_folders)
    if str(file) == "-":
        text = sys.stdin.read(LONGEST_PASTE + 1)
        if len(text) > LONGEST_PASTE:
            raise click.UsageError(f"more than {LONGEST_PASTE:,} characters were pasted")
        found = stones_in_text(base, text)
    else:
        found = stones_in_table(base, file)
    if not again:
        with opened_if_there(place) as there:
            found = new_to_the_tin(there.stones.all() if there is not None else (), found)
    good = bool(found.stones) and (skip_bad or not found.errors) and not dry_run
    if good:
        with opened(place, create=True) as catalogue:
            catalogue.stones.add([stone for _, stone in found.stones], who)
    if as_json:
        write_json(
            {
                "lines_good": len(found.stones),
                "entered": len(found.stones) if good else 0,
                "errors": [{"line": line, "error": error} for line, error in found.errors],
                "stones": [stone_data(stone) for _, stone in found.stones],
            },
            "stones-import",
        )
    else:
        tell_bad_lines(file, found.errors)
        for _, stone in found.stones[:200] if dry_run or good else ():
            click.echo(f"  {stone_text(stone)}")
        count = sum(stone.count for _, stone in found.stones)
        kinds = len(found.stones)
        said = f"{count_of(count, 'stone')} of {count_of(kinds, 'kind')}"
        put = "is in the tin" if count == 1 else "are in the tin"
        click.echo(f"{said} {put}" if good else f"Nothing was put in: {said} could be")
    if found.errors and not (skip_bad and found.stones):
        raise SystemExit(1)


@command.command("list")
@json_option
@catalogue_options
def list_stones(as_json: bool, place: Path | None) -> None:
    """List the stones in the tin.

    \b
    markrules stones list
    """
    with opened_if_there(place) as catalogue:
        found = catalogue.stones.all() if catalogue is not None else ()
    if as_json:
        write_json([{"stone": each.id, **stone_data(each)} for each in found], "stones")
        return
    for each in found:
        click.echo(f"{each.id:>5}  {stone_text(each)}")
    if not found:
        click.echo("The tin is empty: markrules stones add")


@command.command("use")
@click.argument("stone", type=int)
@click.option("--count", type=click.IntRange(1), default=1, show_default=True)
@json_option
@who_option
@catalogue_options
def use(stone: int, count: int, as_json: bool, who: str, place: Path | None) -> None:
    """Take stones out of the tin, by the number they are listed under.

    \b
    markrules stones use 4 --count 2
    """
    with opened(place) as catalogue:
        left = catalogue.stones.use(stone, count, who)
    if as_json:
        write_json({"stone": left.id, **stone_data(left)}, "stone")
    else:
        click.echo(f"{left.count} left of {stone_text(left)}")


command.add_command(match_command)
command.add_command(mirror_command)
