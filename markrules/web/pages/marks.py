"""Marks: whose it may be, from the letters that are left."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.responses import Response

from markrules.frozen import dataclass
from markrules.language.windows import Window
from markrules.marks.cells import cells_of
from markrules.marks.reading_syntax import MarkSyntaxError
from markrules.marks.results import MarkResult
from markrules.tasks.entering import letters_told
from markrules.telling.words import years
from markrules.web.desk import Refused, Visit
from markrules.web.mark_places import text_given

SHOWN = 8
LEAST = 0.001
LONGEST = 400

AGREE = {
    "|": "same letter",
    ":": "look-alike",
    "?": "unread",
    ".": "in a run unread",
    "-": "lost from the mark",
    "+": "not on the mark",
    ">": "two read as one",
    "x": "two written in the other order",
    "<": "one read as two",
}


@dataclass(frozen=True, slots=True)
class ShownResult:
    """A result with its years in words."""

    result: MarkResult
    used: str


def marks(visit: Visit) -> Response:
    """The search, and what it finds."""
    found: list[ShownResult] = []
    none_of_these, problem = 1.0, ""
    not_used: tuple[str, ...] = ()
    text = visit.query.get("read", "").strip()
    if len(text) > LONGEST:
        problem, text = f"That is {len(text):,} letters; {LONGEST} at most.", ""
    elif any(name == "cell" for name, _ in visit.every):
        try:
            text = text_given("read", visit.every, LONGEST)
        except Refused as refused:
            return _page(visit, text, problem=str(refused))
    words = ""
    if text:
        try:
            with visit.desk.locked():
                words, text = text, letters_told(visit.desk.reader, text)
                answer = visit.desk.reader.marks.search(text, SHOWN)
        except MarkSyntaxError as error:
            problem = str(error)
        else:
            none_of_these, not_used = answer.none_of_these, answer.not_used
            results = [each for each in answer.results if each.probability >= LEAST]
            found = [ShownResult(each, _used(each)) for each in results]
    return _page(visit, text, found, none_of_these, problem, not_used, words)


def letters(visit: Visit) -> Response:
    """The places of a text, for a form whose script has let it be typed as one."""
    try:
        laid = cells_of(visit.query.get("read", "")[:LONGEST])
    except MarkSyntaxError as error:
        raise Refused(400, str(error)) from None
    return visit.part("cells_part.html", laid=laid)


def _page(
    visit: Visit,
    text: str,
    found: Sequence[ShownResult] = (),
    none_of_these: float = 1.0,
    problem: str = "",
    not_used: Sequence[str] = (),
    words: str = "",
) -> Response:
    return visit.page(
        "marks.html",
        text=text,
        words="" if words == text else words,
        found=found,
        none_of_these=none_of_these,
        problem=problem,
        not_used=not_used,
        agree=AGREE,
    )


def _used(result: MarkResult) -> str:
    return result.years or (years(*window_ends(result.used)) if result.used else "")


def window_ends(window: Window | None) -> tuple[int | None, int | None]:
    """The first and last year that a window names, as far as it does."""
    if window is None:
        return None, None
    first, last = window.first or window.mostly_first, window.last or window.mostly_last
    return first.number if first else None, last.number if last else None


ROUTES = (("GET", "/marks", marks), ("GET", "/letters", letters))
