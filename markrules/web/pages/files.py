"""Styles and scripts: only what is named is served, nothing is looked up on disk."""

from __future__ import annotations

from starlette.responses import Response

from markrules.web.desk import Refused, Visit

TYPES = {
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}
A_YEAR = {"cache-control": "public, max-age=31536000, immutable"}


def static(visit: Visit) -> Response:
    """A file that pages use."""
    name = visit.path["name"]
    found = visit.desk.files.get(name)
    if found is None:
        raise Refused(404, "There is no such file.")
    return _file(name, found[0], A_YEAR)


def _file(name: str, data: bytes, keep: dict[str, str]) -> Response:
    return Response(data, media_type=TYPES[name.rpartition(".")[2]], headers=keep)


ROUTES = (("GET", "/static/{name}", static),)
