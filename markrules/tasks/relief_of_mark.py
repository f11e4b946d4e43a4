"""The relief of a mark from photos that a piece has: found, kept with the piece, found again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from markrules.catalogue.pictures import prepare
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import LampsUsed, Photo, Piece
from markrules.catalogue.store import Catalogue
from markrules.extras import to_install

if TYPE_CHECKING:
    from markrules.lamps.relief import Relief

HEIGHT, COMMON = "height", "alike"
PLACES = {
    HEIGHT: "relief of the mark, high is light",
    COMMON: "what every lamp shows alike",
}

NEEDS_EXTRA = f"photos lit from several sides need numpy: {to_install('photo')}"


def can_find_relief() -> bool:
    """Whether the extra that this needs is there."""
    from importlib.util import find_spec

    return find_spec("numpy") is not None


def relief_from(
    catalogue: Catalogue, used: LampsUsed, step: Callable[[str], None] = lambda _: None
) -> Relief:
    """The relief of a mark, from kept photos.

    Raises CatalogueProblem where a photo is not there, the extra is missing, or photos, lamps or
    box cannot serve.
    """
    if not can_find_relief():
        raise CatalogueProblem(NEEDS_EXTRA)
    from markrules.lamps.frames import LampProblem, MarkFrame
    from markrules.lamps.relief import Shot, relief

    photos = [catalogue.photos.by_id(each) for each in used.photos]
    if not photos:
        raise CatalogueProblem("choose the photos first")
    first = photos[0]
    left, top, width, height = used.box
    box = MarkFrame(
        round(left * first.width),
        round(top * first.height),
        round(width * first.width),
        round(height * first.height),
        used.lines,
    )
    shots = [
        Shot(catalogue.photos.picture(photo.digest), f"photo {photo.id}", hour)
        for photo, hour in zip(photos, used.hours, strict=True)
    ]
    try:
        return relief(shots, box, step)
    except LampProblem as problem:
        raise CatalogueProblem(str(problem)) from None


def keep_relief(
    catalogue: Catalogue, piece: Piece, used: LampsUsed, found: Relief, who: str = ""
) -> Photo:
    """Keep the height and what all lamps show alike as pictures of the piece; the height's."""
    from markrules.lamps.relief import common_png, height_png

    kept = [
        catalogue.photos.keep(
            piece,
            prepare(data),
            PLACES[shows],
            who,
            LampsUsed(used.photos, used.hours, used.box, used.lines, shows),
        )
        for shows, data in ((COMMON, common_png(found)), (HEIGHT, height_png(found)))
    ]
    return kept[-1]


def lit_pictures(found: Relief) -> Sequence[bytes]:
    """Each photo as it was lit, cut to the mark and laid over the first, as PNG."""
    from markrules.lamps.relief import lit_png

    return [lit_png(found, at) for at in range(len(found.lit))]
