"""Photos: taken with the phone, looked at closely, tied to what is seen on them."""

from __future__ import annotations

from starlette.responses import Response

from markrules.catalogue.pictures import ENDINGS
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Photo, Piece, Seen
from markrules.frozen import dataclass
from markrules.web.desk import Refused, Visit, whole
from markrules.web.pages.box import refused_words, sent_photos
from markrules.web.photo_colour import Sample, sample
from markrules.web.seeing import answer_words, seen_in_form
from markrules.web.tray import title_of

FOREVER = {
    "cache-control": "private, max-age=31536000, immutable",
    "content-security-policy": "default-src 'none'; sandbox",
}
CLICK_WIDTH = 300
"""Width in pixels at which a photo is shown to be clicked on without a script."""


@dataclass(frozen=True, slots=True)
class Pin:
    """A pin: its number, its place in pixels of the photo, and what is seen there."""

    number: int
    x: float
    y: float
    seen: Seen | None


def picture(visit: Visit) -> Response:
    """A picture in full."""
    return _jpeg(visit.catalogue.photos.picture(visit.path["digest"]))


def as_given(visit: Visit) -> Response:
    """A photo with every byte as it was given, where it was taken too: for the host alone."""
    visit.for_host("Only the host may take a photo away as it was given.")
    _, found = _photo(visit)
    try:
        kind, data = visit.catalogue.photos.as_given(found)
    except CatalogueProblem as problem:
        raise Refused(404, str(problem)) from None
    name = f"photo-{found.id}.{ENDINGS.get(kind, 'jpg')}"
    headers = {
        "content-disposition": f'attachment; filename="{name}"',
        "cache-control": "no-store",
        "content-security-policy": "default-src 'none'; sandbox",
    }
    return Response(data, media_type=kind if kind in ENDINGS else "image/jpeg", headers=headers)


def thumbnail(visit: Visit) -> Response:
    """A small picture."""
    return _jpeg(visit.catalogue.photos.thumbnail(visit.path["digest"]))


def _jpeg(data: bytes) -> Response:
    return Response(data, media_type="image/jpeg", headers=FOREVER)


def add(visit: Visit) -> Response:
    """Keep the photos sent; those that cannot be kept are told."""
    found = visit.piece()
    photos = sent_photos(visit)
    place = visit.form.text("place", 200)
    visit.catalogue.photos.keep_each(found, photos.pictures, place, visit.who)
    return visit.go(f"/piece/{found.uid}#photos", told=refused_words(photos.refused))


def photo(visit: Visit) -> Response:
    """A photo with its pins; a place or a colour may have been asked for."""
    piece, found = _photo(visit)
    seen = {each.id: each for each in visit.catalogue.log.seen_on(piece)}
    pins = [
        Pin(number, x * found.width, y * found.height, seen.get(line))
        for number, (x, y, line) in enumerate(found.pins, 1)
    ]
    place = _place(visit, found)
    return visit.page(
        "photo.html",
        piece=piece,
        title=title_of(piece),
        photo=found,
        pins=[each for each in pins if each.seen is not None],
        seen=list(seen.values()),
        features=visit.base.features,
        place=place,
        colour=_colour(visit, found, place),
        click_width=CLICK_WIDTH,
        click_height=max(1, round(CLICK_WIDTH * found.height / found.width)),
        words=answer_words,
        as_given=bool(found.original) and visit.is_host,
    )


def _photo(visit: Visit) -> tuple[Piece, Photo]:
    """The piece and the photo of the address; one of another piece is not shown."""
    piece = visit.piece()
    wanted = whole(visit.path["photo"], "photo")
    for each in visit.catalogue.photos.of(piece):
        if each.id == wanted:
            return piece, each
    raise Refused(404, f"Piece {piece.number} has no photo {wanted}.")


def _place(visit: Visit, photo: Photo) -> tuple[float, float] | None:
    """The place asked for, from 0 to 1: as percentages, or as a click on the small picture."""
    query = visit.query
    if "at.x" in query and "at.y" in query:
        height = CLICK_WIDTH * photo.height / photo.width
        x, y = _share(query["at.x"], CLICK_WIDTH), _share(query["at.y"], height)
        return x, y
    if query.get("x") and query.get("y"):
        return _share(query["x"], 100), _share(query["y"], 100)
    return None


def _share(text: str, of: float) -> float:
    try:
        number = float(text[:20]) / of
    except ValueError:
        raise Refused(400, "A place on the photo is given in numbers.") from None
    if not 0 <= number <= 1:
        raise Refused(400, "That place lies outside the photo.")
    return round(number, 4)


def _colour(visit: Visit, photo: Photo, place: tuple[float, float] | None) -> Sample | None:
    if place is None or not visit.query.get("colour"):
        return None
    try:
        return sample(visit.catalogue.photos.picture(photo.digest), *place)
    except (OSError, ValueError):  # the catalogue may have come from somebody else
        raise Refused(400, "This photo cannot be read; `markrules box check` tells more.") from None


def pin(visit: Visit) -> Response:
    """Tie a place to a line of the log, or to a new observation."""
    piece, found = _photo(visit)
    x, y = _share(visit.form.text("x", 20), 100), _share(visit.form.text("y", 20), 100)
    line = visit.form.fields.get("line", "")
    if line:
        number = visit.form.number("line")
    else:
        number = _log_on(visit, piece, found)
        visit.desk.keeper.later([piece.id])
    visit.catalogue.photos.pin(found, number, x, y, visit.who)
    return visit.go(f"/piece/{piece.uid}/photo/{found.id}")


def _log_on(visit: Visit, piece: Piece, found: Photo) -> int:
    said = seen_in_form(visit)
    return visit.catalogue.log.add(
        piece, said.observations, visit.who, photo=found.id, not_understood=said.unknown
    )[0]


def take_out(visit: Visit) -> Response:
    """Show a photo no longer."""
    piece, found = _photo(visit)
    visit.catalogue.photos.take_out(found, visit.who)
    return visit.go(f"/piece/{piece.uid}#photos")


ROUTES = (
    ("GET", "/picture/{digest}", picture),
    ("GET", "/thumbnail/{digest}", thumbnail),
    ("POST", "/piece/{uid}/photos", add),
    ("GET", "/piece/{uid}/photo/{photo}/as-given", as_given),
    ("GET", "/piece/{uid}/photo/{photo}", photo),
    ("POST", "/piece/{uid}/photo/{photo}/pin", pin),
    ("POST", "/piece/{uid}/photo/{photo}/take-out", take_out),
)
