"""The pages of the bench, one module for each part of the work."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from starlette.responses import Response

from markrules.web.desk import Visit

Routes = Iterator[tuple[str, str, Callable[[Visit], Response]]]


def routes() -> Routes:
    """Method, address and handler of every page."""
    from markrules.web.pages import (
        audit,
        book,
        box,
        boxes,
        entrance,
        files,
        importing,
        lamps,
        look,
        marks,
        metal,
        more,
        note,
        own_marks,
        papers,
        past,
        photos,
        piece,
        rules,
        sales,
        selling,
        stones,
        whatif,
        worth,
    )

    for module in (
        boxes,
        box,
        piece,
        look,
        whatif,
        worth,
        selling,
        papers,
        photos,
        lamps,
        marks,
        own_marks,
        metal,
        note,
        stones,
        sales,
        importing,
        files,
        audit,
        rules,
        book,
        past,
        more,
        entrance,
    ):
        yield from module.ROUTES
