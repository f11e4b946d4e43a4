"""A note read and valued without being kept."""

from __future__ import annotations

from starlette.responses import Response

from markrules.reading.reader import Request
from markrules.tasks.appraising import appraise_note
from markrules.telling.words import capital, chance
from markrules.web.desk import Refused, Visit
from markrules.web.drawing import curve_of
from markrules.web.worth import Worth, desk_at

LONGEST = 2_000
"""Characters."""
LEAST_MAKER = 0.05
NEXT = 1


def note(visit: Visit) -> Response:
    """When, by whom and what it may fetch, of a piece in words; nothing is kept."""
    text = visit.query.get("note", "").strip()
    if len(text) > LONGEST:
        raise Refused(400, f"{len(text):,} characters here; {LONGEST:,} at most", "note")
    if not text:
        return visit.page("note.html", text="", reading=None)
    reading = visit.desk.read(Request(note=text, next_looks=NEXT))
    with visit.desk.locked():
        account = visit.desk.reader.understand(text).account
    makers = [each for each in reading.makers if each.probability >= LEAST_MAKER]
    return visit.page(
        "note.html",
        text=text,
        reading=reading,
        account=account,
        curve=curve_of(reading),
        makers=[(capital(chance(visit.base, each.probability)), each) for each in makers],
        worth=Worth(appraise_note(desk_at(visit), text)),
    )


ROUTES = (("GET", "/note", note),)
