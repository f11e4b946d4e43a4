"""What was done lately and by whom, and the way back."""

from __future__ import annotations

import re

from starlette.responses import Response

from markrules.catalogue.watching import touched_by
from markrules.tasks.steps_told import step_words
from markrules.web.added_rules import Changed, added_last, take_out_last
from markrules.web.desk import Refused, Visit

HERE = re.compile(r"/(?:piece/[a-z2-7]{16}(?:/look)?|box/[0-9]{1,9}|stones|sales|past|rules)")
"""Pages of ours to which a form may send the browser back."""


def past(visit: Visit) -> Response:
    """The last steps, newest first."""
    steps = visit.catalogue.steps.last(100)
    said = {each.id: step_words(visit.catalogue, each.id) for each in steps}
    return visit.page("past.html", steps=steps, said=said, added=added_last(visit))


def undo(visit: Visit) -> Response:
    """Take back the last step; where several sit at the table, this browser's own last.

    A step of the list may be named. What later steps touched stays, and is told.
    """
    number = visit.form.number("step") if visit.form.fields.get("step") else None
    added = added_last(visit) if number is None else None
    if added is not None:
        try:
            done = take_out_last(visit, added)
        except Changed as problem:  # and no step is taken back in its stead
            raise Refused(409, str(problem)) from None
        if done:
            return visit.go(back(visit), told=f"Taken back: {done}.")
    shared = visit.desk.settings.shared
    step = visit.catalogue.steps.undo(visit.who, only_own=shared, number=number)
    visit.desk.keeper.later(touched_by(visit.catalogue, step.id))
    done = f"Taken back: {step_words(visit.catalogue, step.id)}."
    if step.kept:
        if not visit.fragment:
            raise Refused(409, f"Taken back, but for this: {'; '.join(step.kept[:10])}.")
        done += f" But not this: {'; '.join(step.kept[:10])}."
    return visit.go(back(visit), told=done)


def redo(visit: Visit) -> Response:
    """Do again what was last taken back."""
    step = visit.catalogue.steps.redo(visit.who, only_own=visit.desk.settings.shared)
    visit.desk.keeper.later(touched_by(visit.catalogue, step.id))
    return visit.go(back(visit), told=f"Done again: {step_words(visit.catalogue, step.id)}.")


def back(visit: Visit) -> str:
    """Where the form was, if that is a page of ours; else the list of steps."""
    asked = visit.form.fields.get("back", "")
    return asked if HERE.fullmatch(asked) else "/past"


ROUTES = (
    ("GET", "/past", past),
    ("POST", "/undo", undo),
    ("POST", "/redo", redo),
)
