"""`markrules piece photo`: photos of a piece, taken in, listed, and written out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.catalogue.private import open_private
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Photo
from markrules.cli.catalogue import AskedProblem, catalogue_options, opened, who_option
from markrules.cli.common import json_option, write_json
from markrules.named_path import NamedPath
from markrules.telling.words import shorten

if TYPE_CHECKING:
    from markrules.catalogue.pictures import Picture
    from markrules.catalogue.store import Catalogue


@click.command("photo")
@click.argument("box")
@click.argument("number", type=int)
@click.argument("files", nargs=-1, type=NamedPath(path_type=Path), metavar="[FILE]...")
@click.option("--shows", default="", metavar="PLACE", help="What the photo shows: back, mark …")
@click.option(
    "--to", "folder", type=NamedPath(path_type=Path), metavar="DIR", help="Write the photos here."
)
@click.option("--as-given", is_flag=True, help="With --to: every byte as it was given.")
@click.option("--take-out", type=int, metavar="PHOTO", help="Show this photo no longer.")
@json_option
@who_option
@catalogue_options
def photo_command(
    box: str,
    number: int,
    files: tuple[Path, ...],
    shows: str,
    folder: Path | None,
    as_given: bool,
    take_out: int | None,
    as_json: bool,
    who: str,
    place: Path | None,
) -> None:
    """Add photos to a piece: JPEG, PNG or WebP. Without files, list those it has.

    Photos are kept in the catalogue as they are given, and beside each a copy, smaller where it is
    large, without where and when it was taken: the copy alone is shown and goes into papers.

    \b
    markrules piece photo "attic tin" 3 back.jpg --shows back
    markrules piece photo "attic tin" 3 --to photos
    markrules piece photo "attic tin" 3 --to mine --as-given
    """
    if as_given and folder is None:
        raise click.UsageError("--as-given: say where to write them, with --to DIR")
    with opened(place) as catalogue:
        piece = catalogue.pieces.numbered(catalogue.boxes.named(box), number)
        for picture in [_prepared(file) for file in files]:
            catalogue.photos.keep(piece, picture, shows, who)
        photos = catalogue.photos.of(piece)
        if take_out is not None:
            photo = next((each for each in photos if each.id == take_out), None)
            if photo is None:
                raise AskedProblem(f"piece {number} has no photo {take_out}")
            catalogue.photos.take_out(photo, who)
            photos = catalogue.photos.of(piece)
        if folder is not None:
            _write(catalogue, photos, folder, f"piece-{piece.uid}", as_given)
    if as_json:
        write_json([_data(each) for each in photos], "photos")
        return
    for each in photos:
        click.echo(
            f"{each.id:>5}: {each.width} × {each.height}  {shorten(each.place, 50)}".rstrip()
        )
    if not photos:
        click.echo(f"Piece {number} has no photos")


def _prepared(file: Path) -> Picture:
    """The picture to keep of a file. Raises CatalogueProblem, with its name, where it is none."""
    from markrules.catalogue.pictures import prepare
    from markrules.photo_limits import LARGEST_BYTES
    from markrules.plain_files import beginning

    data = beginning(file, LARGEST_BYTES + 1)
    try:
        return prepare(data)
    except CatalogueProblem as problem:
        raise CatalogueProblem(f"{file}: {problem}; no photo was added") from None


def _write(
    catalogue: Catalogue, photos: tuple[Photo, ...], folder: Path, name: str, as_given: bool
) -> None:
    """Write photos under names of our own making; a file that is there already is left alone.

    Those that are not kept as given are written as they are kept.
    """
    from markrules.catalogue.pictures import ENDINGS

    folder.mkdir(parents=True, exist_ok=True)
    for each in photos:
        ending, data = "jpg", b""
        if as_given and each.original:
            kind, data = catalogue.photos.as_given(each)
            ending = ENDINGS.get(kind, "jpg")
        elif as_given:
            click.echo(f"photo {each.id} is not kept as given: its copy is written", err=True)
        file = folder / f"{name}-photo-{each.id}.{ending}"
        with open_private(file, "xb") as out:
            out.write(data or catalogue.photos.picture(each.digest))


def _data(photo: Photo) -> dict[str, Any]:
    return {
        "photo": photo.id,
        "digest": photo.digest,
        "media_type": photo.media_type,
        "width": photo.width,
        "height": photo.height,
        "shows": photo.place,
        "added": photo.added,
        "original": photo.original,
        "pins": [{"x": x, "y": y, "line": line} for x, y, line in photo.pins],
    }
