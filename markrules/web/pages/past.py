"""What was done lately and by whom, and the way back."""

from __future__ import annotations

import re

from starlette.responses import Response

from markrules.web.desk import Refused, Visit

HERE = re.compile(r"/(?:piece/[a-z2-7]{16}(?:/look)?|box/[0-9]{1,9}|stones|sales|past)")
"""Pages of ours to which a form may send the browser back."""


def past(visit: Visit) -> Response:
    """The last steps, newest first."""
    return visit.page("past.html", steps=visit.catalogue.steps(100))


def undo(visit: Visit) -> Response:
    """Take back the last step; where several sit at the table, this browser's own last.

    A step of the list may be named. What later steps touched stays, and is told.
    """
    number = visit.form.number("step") if visit.form.fields.get("step") else None
    shared = visit.desk.settings.shared
    step = visit.catalogue.undo(visit.who, only_own=shared, number=number)
    if step.kept:
        raise Refused(409, f"Taken back, but for this: {'; '.join(step.kept[:10])}.")
    return visit.go(back(visit))


def redo(visit: Visit) -> Response:
    """Do again what was last taken back."""
    visit.catalogue.redo(visit.who, only_own=visit.desk.settings.shared)
    return visit.go(back(visit))


def back(visit: Visit) -> str:
    """Where the form was, if that is a page of ours; else the list of steps."""
    asked = visit.form.fields.get("back", "")
    return asked if HERE.fullmatch(asked) else "/past"


ROUTES = (
    ("GET", "/past", past),
    ("POST", "/undo", undo),
    ("POST", "/redo", redo),
)
