"""A box: every piece as a picture and a line."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.responses import Response

from markrules.catalogue.records import Box, Listed, Piece
from markrules.frozen import dataclass
from markrules.tasks.appraising import too_many
from markrules.tasks.entering import new_piece
from markrules.telling.words import plain, years
from markrules.telling.years_shown import percent
from markrules.web.desk import Refused, Visit, whole
from markrules.web.keeping import read_and_keep
from markrules.web.worth import choice_words

AT_ONCE = 40
MOST_ADDED = 500
LIKELY = 0.5
READING_SECONDS = 0.05
"""How long a page of a box may wait for readings; the rest follow."""
TITLE = 90


@dataclass(frozen=True, slots=True)
class Row:
    """A piece as a line of its box. `missing` says what would help most, in words."""

    piece: Piece
    title: str
    photo: str
    years: str
    maker: str
    decision: str
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """Where in a box a page of it lies: the numbers that end the pages before and after."""

    total: int
    back: int | None
    on: int | None


def box(visit: Visit) -> Response:
    """A page of a box."""
    found = box_named(visit)
    after = max(0, whole(visit.query.get("from", ""), "from", 1) - 1)
    listed = visit.catalogue.listed(found, after=after, limit=AT_ONCE + 1)
    stale = [each.piece.id for each in listed[:AT_ONCE] if not each.fresh]
    waiting: Sequence[int] = ()
    if stale:
        waiting = read_and_keep(visit.desk, visit.catalogue, stale, READING_SECONDS)
        visit.desk.keeper.later(waiting)
        listed = visit.catalogue.listed(found, after=after, limit=AT_ONCE + 1)
    shown = listed[:AT_ONCE]
    place = Place(
        total=visit.catalogue.box_counts().get(found.id, 0),
        back=max(1, after + 1 - AT_ONCE) if after else None,
        on=shown[-1].piece.number + 1 if len(listed) > AT_ONCE else None,
    )
    return visit.page(
        "box.html",
        box=found,
        rows=rows_of(visit, shown),
        place=place,
        small=not too_many(visit.base, visit.catalogue, found),
        waiting=len(waiting),
    )


def box_named(visit: Visit) -> Box:
    """The box that the address names."""
    return visit.catalogue.box_by_id(whole(visit.path["box"], "box"))


def rows_of(visit: Visit, listed: Sequence[Listed]) -> list[Row]:
    """The lines of a list, with decisions and with what is missing."""
    return [_row(visit, each) for each in listed]


def _row(visit: Visit, listed: Listed) -> Row:
    maker = visit.base.makers.get(listed.maker)
    named = maker is not None and listed.maker_probability >= LIKELY
    decisions = visit.catalogue.decisions_of(listed.piece)
    return Row(
        piece=listed.piece,
        title=title_of(listed.piece),
        photo=listed.photo,
        years=years(listed.first_year, listed.last_year) if listed.first_year else "",
        maker=f"{maker.title}, {percent(listed.maker_probability)}" if maker and named else "",
        decision=choice_words(decisions[-1].choice) if decisions else "",
        missing=_missing(visit, listed),
    )


def _missing(visit: Visit, listed: Listed) -> tuple[str, ...]:
    """No photo; and the look that would settle most, from the latest reading."""
    wanted = [] if listed.photo else ["no photo"]
    stored = visit.catalogue.reading_of(listed.piece)
    looks = stored.data.get("next") if stored is not None else None
    if isinstance(looks, list) and looks:
        feature = visit.base.features.get(str(looks[0].get("feature")))
        if feature is not None:
            wanted.append(f"next look: {plain(feature.name)}")
    return tuple(wanted)


def title_of(piece: Piece) -> str:
    """The title, else the beginning of the note, else the number."""
    text = " ".join((piece.title or piece.note).split())
    if not text:
        return f"Piece {piece.number}"
    return text if len(text) <= TITLE else text[:TITLE].rstrip() + "…"


def add(visit: Visit) -> Response:
    """Enter pieces, one line each; a single one without a note begins with a guided look."""
    found = box_named(visit)
    notes = [each.strip() for each in visit.form.text("notes", 200_000).splitlines()]
    notes = [each for each in notes if each] or [""]
    if len(notes) > MOST_ADDED:
        raise Refused(400, f"{len(notes)} lines at once; {MOST_ADDED} at most are taken here")
    with visit.desk.locked():
        pieces = [new_piece(visit.desk.reader, each) for each in notes]
    numbers = visit.catalogue.add_pieces(found, pieces, visit.who)
    if notes == [""]:
        piece = visit.catalogue.piece_in(found, numbers[0])
        return visit.go(f"/piece/{piece.uid}/look")
    return visit.go(f"/box/{found.id}?from={numbers[0]}")


ROUTES = (
    ("GET", "/box/{box}", box),
    ("POST", "/box/{box}/pieces", add),
)
