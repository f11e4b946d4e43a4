"""Everything there is, in one place, by what a person wants to do."""

from __future__ import annotations

from starlette.responses import Response

from markrules.web.desk import Visit

PLACES: tuple[tuple[str, tuple[tuple[str, str, str], ...]], ...] = (
    (
        "Marks, metal, and a piece in words",
        (
            ("/marks", "Whose mark is this?", "letters as far as they can be read"),
            ("/marks/own", "Marks of your own", "a register or a list, searched beside the others"),
            ("/metal", "A mark of metal", "what it claims, and what the metal would fetch"),
            ("/numbers", "Numbers", "patents, designs, trade marks, registry marks"),
            ("/note", "A piece in words", "when, by whom and what it may fetch; not kept"),
        ),
    ),
    (
        "Money",
        (
            ("/report", "Bought and sold", "by month, year, box or venue; as a file, too"),
            ("/sales", "Sold prices", "what estimates rest on; add, or take in a list"),
            ("/figures", "Your figures", "fees, postage, what an hour is worth, metal prices"),
        ),
    ),
    (
        "The table",
        (
            ("/search", "Find a piece", "by words, what was seen, maker, label, or shelf"),
            ("/stones", "Spare stones", "the tin, which one fits, and two that should be alike"),
            ("/past", "What was done", "the last steps, and the way back"),
            ("/table", "Who is at the table", "your name, and letting others in"),
        ),
    ),
    (
        "Files",
        (
            ("/files", "Export, archive, restore", "pieces as a table; all of it in one file"),
            ("/files/check", "Is all of it whole?", "the file, the log, photos, archives"),
        ),
    ),
    (
        "Knowledge",
        (
            ("/book", "The book", "every question, clue, maker and source"),
            ("/rules", "Rules of your own", "check them, put them in order, try some"),
            ("/audit", "How well do the ranges hold?", "against dated pieces of your own"),
        ),
    ),
)


def more(visit: Visit) -> Response:
    """Every place of the bench."""
    return visit.page("more.html", places=PLACES)


ROUTES = (("GET", "/more", more),)
