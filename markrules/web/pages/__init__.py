"""The pages of the bench, one module for each part of the work."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from starlette.responses import Response

from markrules.web.desk import Visit

Routes = Iterator[tuple[str, str, Callable[[Visit], Response]]]


def routes() -> Routes:
    """Method, address and handler of every page."""
    from markrules.web.pages import (
        book,
        box,
        boxes,
        entrance,
        lamps,
        look,
        marks,
        papers,
        past,
        photos,
        piece,
        sales,
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
        papers,
        photos,
        lamps,
        marks,
        stones,
        sales,
        book,
        past,
        entrance,
    ):
        yield from module.ROUTES
