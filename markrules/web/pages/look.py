"""The guided look: one question a screen, always the one that settles most."""

from __future__ import annotations

from starlette.responses import Response

from markrules.catalogue.records import Piece
from markrules.tasks.looking import ALL_LOOKS, why_enough
from markrules.tasks.questions import kinds_offered
from markrules.web.desk import Visit
from markrules.web.drawing import curve_of
from markrules.web.seeing import (
    Change,
    change_in_address,
    change_told,
    keep_seen,
    not_known,
    passed_over,
    question_in,
    read_piece,
)
from markrules.web.tray import title_of


def look(visit: Visit) -> Response:
    """The question that settles most now."""
    return show(visit, visit.piece(), change_told(visit))


def show(visit: Visit, found: Piece, change: Change | None = None) -> Response:
    """The question, what the last answer changed, and the curve as it stands."""
    passed = passed_over(visit, found)
    evidence = visit.evidence(found)
    reading = read_piece(visit, evidence, passed, ALL_LOOKS)
    untyped = not reading.piece_type and "piece" not in passed
    question = None if untyped else question_in(visit, reading, passed)
    return visit.page(
        "look.html",
        piece=found,
        title=title_of(found),
        reading=reading,
        curve=curve_of(reading),
        question=question,
        enough="" if untyped or question else why_enough(reading, passed),
        kinds=kinds_offered(visit.base, visit.query.get("group", "")[:100]) if untyped else None,
        group=visit.query.get("group", "")[:100],
        passed=passed,
        certainties=list(visit.base.certainty_levels),
        change=change,
        here=f"/piece/{found.uid}/look",
    )


def answer(visit: Visit) -> Response:
    """Keep an answer and go on to the next question."""
    found = visit.piece()
    if not_known(visit, found):
        return show(visit, found) if visit.fragment else visit.go(f"/piece/{found.uid}/look")
    change = keep_seen(visit, found)
    if visit.fragment:
        return show(visit, found, change)
    told = f"Not understood: {', '.join(change.unknown)}." if change.unknown else ""
    passed = ",".join(passed_over(visit, found))
    more = f"&passed={passed}" if passed else ""
    return visit.go(f"/piece/{found.uid}/look?{change_in_address(change)}{more}", told=told)


ROUTES = (
    ("GET", "/piece/{uid}/look", look),
    ("POST", "/piece/{uid}/look", answer),
)
