"""A faint mark under several lamps: photos sent, a box drawn, the relief looked at."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import field
from typing import TYPE_CHECKING

from starlette.responses import Response

from markrules.catalogue.records import LampsUsed, Photo, Piece
from markrules.frozen import dataclass
from markrules.tasks.relief_of_mark import (
    NEEDS_EXTRA,
    can_find_relief,
    keep_relief,
    lit_pictures,
    relief_from,
)
from markrules.web.desk import Refused, Visit, whole
from markrules.web.pages.photos import FOREVER
from markrules.web.tray import title_of

if TYPE_CHECKING:
    from markrules.lamps.relief import Relief

USUAL = (12.0, 3.0, 6.0, 9.0)
BETWEEN = (1.5, 4.5, 7.5, 10.5)
KEPT = 4
"""Reliefs remembered, so that the photos beside one are not worked out for each picture."""


@dataclass(frozen=True, slots=True)
class Remembered:
    """The newest reliefs, by how they were made. One is worked out at a time."""

    found: OrderedDict[LampsUsed, Relief] = field(default_factory=OrderedDict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def relief(self, visit: Visit, used: LampsUsed) -> Relief:
        """The relief, worked out where it is not remembered."""
        key = LampsUsed(used.photos, used.hours, used.box, used.lines, "")
        with self.lock:
            if key not in self.found:
                self.found[key] = relief_from(visit.catalogue, key)
            self.found.move_to_end(key)
            while len(self.found) > KEPT:
                self.found.popitem(last=False)
            return self.found[key]


REMEMBERED = Remembered()


def start(visit: Visit) -> Response:
    """How to take the photos; then, with photos chosen, where to draw the box."""
    piece = visit.piece()
    photos = {each.id: each for each in visit.catalogue.photos.of(piece)}
    chosen = _chosen(visit.query.get("at", ""), photos)
    return visit.page(
        "lamps.html",
        piece=piece,
        title=title_of(piece),
        chosen=chosen,
        at=visit.query.get("at", ""),
        usual=USUAL,
        between=BETWEEN,
        ready=can_find_relief(),
        needs=NEEDS_EXTRA,
    )


def send(visit: Visit) -> Response:
    """Keep the photos sent, one for each lamp, and go on to the box."""
    piece = visit.piece()
    sent = [(hour, visit.form.files.get(f"lamp-{hour:g}", ())) for hour in (*USUAL, *BETWEEN)]
    sent = [(hour, data) for hour, data in sent if any(data)]
    if len(sent) < 3:
        raise Refused(400, "Three photos at least are needed, each with the lamp at another side.")
    kept = [
        (
            visit.catalogue.photos.add(
                piece, data[0], f"mark, lamp at {hour:g} o'clock", visit.who
            ).id,
            hour,
        )
        for hour, data in sent
    ]
    at = ",".join(f"{photo}:{hour:g}" for photo, hour in kept)
    return visit.go(f"/piece/{piece.uid}/lamps?at={at}")


def find(visit: Visit) -> Response:
    """Work out the relief inside the box, keep it, and show it."""
    piece = visit.piece()
    photos = {each.id: each for each in visit.catalogue.photos.of(piece)}
    chosen = _chosen(visit.form.text("at", 400), photos)
    if not chosen:
        raise Refused(400, "Choose the photos first.")
    left, top, width, height = (
        _percent(visit.form.text(name, 20), name) for name in ("left", "top", "width", "height")
    )
    used = LampsUsed(
        tuple(photo.id for photo, _ in chosen),
        tuple(hour for _, hour in chosen),
        (left, top, width, height),
        whole(visit.form.text("lines", 3), "lines", 1),
        "",
    )
    found = REMEMBERED.relief(visit, used)
    kept = keep_relief(visit.catalogue, piece, used, found, visit.who)
    return visit.go(f"/piece/{piece.uid}/lamps/{kept.id}")


def look(visit: Visit) -> Response:
    """The relief beside the photos, flicked through in one place."""
    piece, photo, used = _made(visit)
    found = REMEMBERED.relief(visit, used)
    alike = next(
        (
            each
            for each in visit.catalogue.photos.of(piece)
            if each.made_from is not None
            and each.made_from.shows == "alike"
            and each.made_from.photos == used.photos
            and each.made_from.box == used.box
        ),
        None,
    )
    return visit.page(
        "lamps_look.html",
        piece=piece,
        title=title_of(piece),
        photo=photo,
        alike=alike,
        found=found,
        used=used,
        certainties=list(visit.base.certainty_levels),
    )


def lit(visit: Visit) -> Response:
    """One photo as it was lit, cut to the mark."""
    _, _, used = _made(visit)
    number = whole(visit.path["number"], "number")
    pictures = lit_pictures(REMEMBERED.relief(visit, used))
    if not 0 <= number < len(pictures):
        raise Refused(404, f"There is no photo {number} of this mark.")
    return Response(pictures[number], media_type="image/png", headers=FOREVER)


def _made(visit: Visit) -> tuple[Piece, Photo, LampsUsed]:
    piece = visit.piece()
    wanted = whole(visit.path["photo"], "photo")
    for each in visit.catalogue.photos.of(piece):
        if each.id == wanted and each.made_from is not None:
            return piece, each, each.made_from
    raise Refused(404, f"Piece {piece.number} has no relief {wanted}.")


def _chosen(text: str, photos: dict[int, Photo]) -> list[tuple[Photo, float]]:
    """Photos and hours from `12:3,13:6`: photo 12 with the lamp at 3, and so on."""
    chosen = []
    for part in text.split(",") if text else ():
        number, _, hour = part.partition(":")
        photo = photos.get(whole(number, "photo"))
        if photo is None:
            raise Refused(404, f"This piece has no photo {number[:20]}.")
        try:
            chosen.append((photo, float(hour[:8])))
        except ValueError:
            raise Refused(400, "A lamp stands at an hour of the clock face.") from None
    return chosen


def _percent(text: str, name: str) -> float:
    try:
        number = float(text.replace(",", ".")) / 100
    except ValueError:
        raise Refused(400, f"{name}: a number of percent is wanted here; draw the box") from None
    if not 0 <= number <= 1:
        raise Refused(400, f"{name}: from 0 to 100 percent")
    return round(number, 5)


ROUTES = (
    ("GET", "/piece/{uid}/lamps", start),
    ("POST", "/piece/{uid}/lamps/photos", send),
    ("POST", "/piece/{uid}/lamps/find", find),
    ("GET", "/piece/{uid}/lamps/{photo}", look),
    ("GET", "/piece/{uid}/lamps/{photo}/lit/{number}", lit),
)
