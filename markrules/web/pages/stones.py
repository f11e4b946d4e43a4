"""The tin of spare stones."""

from __future__ import annotations

import re

from starlette.responses import Response

from markrules.appraisal.colours import Lab, lab_of_srgb
from markrules.catalogue.records import SpareStone
from markrules.web.desk import Posted, Refused, Visit

COLOUR = re.compile(r"#([0-9a-fA-F]{2})([0-9a-fA-F]{2})([0-9a-fA-F]{2})")


def stones(visit: Visit) -> Response:
    """The stones in the tin."""
    colour = visit.query.get("colour", "")
    return visit.page(
        "stones.html",
        stones=visit.catalogue.stones(),
        colour=colour if COLOUR.fullmatch(colour) else "",
    )


def add(visit: Visit) -> Response:
    """Put stones into the tin."""
    form = visit.form
    stone = SpareStone(
        id=0,
        shape=form.text("shape", 100),
        size_mm=_millimetres(form),
        size_code=form.text("size_code", 40),
        colour=form.text("colour", 100),
        lab=_lab(form),
        cut=form.text("cut", 100),
        back=form.text("back", 100),
        count=form.number("count") if form.text("count", 20) else 1,
        from_piece=None,
        note=form.text("note", 2_000),
    )
    if stone.count < 1:
        raise Refused(400, "How many stones are there? One at least.")
    visit.catalogue.add_stones([stone], visit.who)
    return visit.go("/stones")


def _millimetres(form: Posted) -> float | None:
    text = form.text("size_mm", 20).replace(",", ".")
    if not text:
        return None
    try:
        size = float(text)
    except ValueError:
        size = 0.0
    if not 0.1 <= size <= 200:
        raise Refused(400, f'"{text}" is not a size in millimetres; write it like 4.2')
    return size


def _lab(form: Posted) -> Lab | None:
    match = COLOUR.fullmatch(form.text("sampled", 10))
    if match is None:
        return None
    red, green, blue = (int(each, 16) for each in match.groups())
    return lab_of_srgb(red, green, blue)


def use(visit: Visit) -> Response:
    """Take one stone out of the tin."""
    visit.catalogue.use_stones(visit.form.number("stone"), 1, visit.who)
    return visit.go("/stones")


ROUTES = (
    ("GET", "/stones", stones),
    ("POST", "/stones", add),
    ("POST", "/stones/use", use),
)
