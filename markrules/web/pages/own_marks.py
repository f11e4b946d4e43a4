"""Marks of a person's own, from a register or a list, added to those that are searched."""

from __future__ import annotations

from starlette.responses import Response

from markrules.knowledge.places import imported_marks
from markrules.marks.mark_import import COLUMNS, ImportReport, import_csv
from markrules.marks.private_marks import PrivateMarks, StoreError
from markrules.telling.words import count_of
from markrules.web.desk import Refused, Visit

SHOWN = 20
HOSTS_ALONE = "Marks are added at the computer that serves."


def own_marks(visit: Visit) -> Response:
    """Say what is wanted."""
    return _page(visit, None)


def take_marks(visit: Visit) -> Response:
    """Add the marks of a file, or only look at it; bad lines are told and left out."""
    visit.for_host(HOSTS_ALONE)
    sent = visit.form.files.get("marks", ())
    if not sent or not sent[0]:
        raise Refused(400, "Choose a file of marks.", "marks")
    held = visit.desk.sent_files.take(visit.form.names["marks"][0], sent[0], visit.visitor.browser)
    try_only = visit.form.fields.get("try") == "yes"
    try:
        report = import_csv(held.path, PrivateMarks(imported_marks()), dry_run=try_only)
    except (StoreError, UnicodeDecodeError) as problem:
        words = str(problem).replace(str(held.path), held.name)
        raise Refused(400, words, "marks") from None
    finally:
        visit.desk.sent_files.drop(held.key)
    if report.added and not try_only:
        visit.desk.renew()
    if report.bad_lines or try_only:
        return _page(visit, report)
    return visit.go("/marks/own", told=f"{count_of(report.added, 'mark')} added.")


def _page(visit: Visit, report: ImportReport | None) -> Response:
    return visit.page(
        "own_marks.html",
        host=visit.is_host,
        hosts_alone=HOSTS_ALONE,
        columns=COLUMNS,
        report=report,
        problems=report.problems[:SHOWN] if report is not None else (),
    )


ROUTES = (
    ("GET", "/marks/own", own_marks),
    ("POST", "/marks/own", take_marks),
)
