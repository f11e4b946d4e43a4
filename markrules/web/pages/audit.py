"""How well the ranges hold against dated pieces of a person's own."""

from __future__ import annotations

import datetime
from pathlib import Path

from starlette.responses import Response

from markrules.web.desk import Refused, Visit

MOST_CASES = 400
"""Pieces at once: a reading more would keep others at the table waiting for too long."""
SHOWN_PROBLEMS = 20


def audit_page(visit: Visit) -> Response:
    """Say what is wanted."""
    return visit.page("audit.html", lines=None, problems=())


def audit_file(visit: Visit) -> Response:
    """Read every dated piece of a file, and hold the ranges against the years that are stated."""
    from markrules.auditing.dated_pieces import cases_of
    from markrules.auditing.preparing import PieceReader
    from markrules.auditing.report import audit
    from markrules.auditing.report_text import told
    from markrules.reading.observing import WordProblem

    sent = visit.form.files.get("dated", ())
    if not sent or not sent[0]:
        raise Refused(400, "Choose a file of dated pieces.", "dated")
    held = visit.desk.sent_files.take("dated.jsonl", sent[0], visit.visitor.browser)
    try:
        cases, problems = cases_of(Path(held.path))
        if len(cases) > MOST_CASES:
            raise Refused(400, f"{len(cases)} pieces; {MOST_CASES} at most here", "dated")
        if not cases:
            why = f" Line {problems[0][0]}: {problems[0][1]}" if problems else ""
            raise Refused(400, f"There is no dated piece in this file.{why}", "dated")
        reader = PieceReader(visit.base, datetime.date.today().year)
        with visit.desk.locked():
            report = audit(reader, cases)
    except (ValueError, WordProblem) as problem:
        raise Refused(400, str(problem).replace(str(held.path), "the file"), "dated") from None
    finally:
        visit.desk.sent_files.drop(held.key)
    return visit.page(
        "audit.html",
        lines=told(report),
        problems=problems[:SHOWN_PROBLEMS],
    )


ROUTES = (
    ("GET", "/audit", audit_page),
    ("POST", "/audit", audit_file),
)
