"""A mark given place by place in a form, or as one text beside the places."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.marks.cells import Cells, laid_out, text_of
from markrules.marks.reading_syntax import MarkSyntaxError, parse
from markrules.web.desk import Posted, Refused


def text_given(name: str, given: Sequence[tuple[str, str]], most: int = 2_000) -> str:
    """The text of a mark that a form holds: the field of that name, or its places.

    A script keeps the two alike and sends the field alone. Without one, that counts which differs
    from what the form held before (`was`). Raises Refused where both do, where a place holds what
    cannot stand there, or where it is no reading of a mark.
    """
    fields = {each: value.strip() for each, value in reversed(given)}
    text, was = fields.get(name, ""), fields.get("was", "")
    if len(text) > most:
        raise Refused(400, f"{len(text):,} characters here; {most:,} at most", name)
    places = tuple(value for each, value in given if each == "cell")
    try:
        before = laid_out(was)
        if places and _without_ends(places) != before.places:
            if text != was:
                raise Refused(
                    400,
                    "The line and the places under it were both changed; change one of them.",
                    name,
                )
            text = text_of(Cells(places, before.described, before.as_written))
        if text and "was" in fields:
            parse(text)
    except MarkSyntaxError as problem:
        raise Refused(400, str(problem), name) from None
    return text


def text_posted(name: str, form: Posted) -> str:
    """The text of a mark that a posted form holds; see `text_given`."""
    return text_given(name, form.every)


def _without_ends(places: Sequence[str]) -> tuple[str, ...]:
    kept = [each.strip() for each in places]
    while kept and not kept[-1]:
        kept.pop()
    return tuple(kept)
