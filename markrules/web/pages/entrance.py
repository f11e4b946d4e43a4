"""Getting in with a one-time code, and the name that entries bear."""

from __future__ import annotations

import json
import re
from urllib.parse import urlencode

from starlette.responses import Response

from markrules.sheets.labels import qr_svg
from markrules.sheets.printing import PrintProblem
from markrules.web.access import Visitor, clean_who
from markrules.web.desk import Refused, Visit

LONGEST_WANTED = 600
_LOCAL = re.compile(r"/(?:[a-z0-9][^\s\\\x00-\x1f]*)?", re.ASCII)
"""An address on this server: a second slash or a backslash would lead a browser elsewhere."""


def local_address(text: str) -> str:
    """The address if it is one of pages of ours to which the door may lead; else empty."""
    fits = len(text) <= LONGEST_WANTED and _LOCAL.fullmatch(text) is not None
    return text if fits and text != "/" and not text.startswith(("/enter", "/static")) else ""


def enter(visit: Visit) -> Response:
    """The door, where the bench is shared; else the first page, or the one that was asked for."""
    if visit.desk.may_enter(visit.visitor, visit.address):
        return visit.go(local_address(visit.query.get("to", "")) or "/")
    return _door(visit, 200, "")


def _door(visit: Visit, status: int, problem: str, field: str = "") -> Response:
    """The door, with what was typed of the name and with where the person was going."""
    posted = visit.form.fields
    return visit.page(
        "enter.html",
        status=status,
        problem=problem,
        field=field,
        who=clean_who(posted.get("who", "") or visit.visitor.who),
        code="" if problem else visit.query.get("code", "")[:20],
        to=local_address(posted.get("to", "") or visit.query.get("to", "")),
    )


def knock(visit: Visit) -> Response:
    """Let a browser in that gives the code."""
    door = visit.desk.door
    if door is None:
        return visit.go("/")
    wait = door.wait(visit.address)
    if wait:
        words = f"Too many wrong codes. Wait {wait} seconds, then try again."
        return _door(visit, 429, words)
    who = clean_who(visit.form.text("who", 200))
    if not who:
        return _door(visit, 400, "Say who you are, so that others know.", "who")
    if not door.open(visit.form.text("code", 40), visit.address):
        words = "That is not the code. Each code lets one browser in; ask for the one shown now."
        return _door(visit, 403, words, "code")
    admitted = visit.visitor.let_in().named(who)
    visit.desk.guests.let_in(admitted, visit.address)
    return _known_as(visit, admitted, local_address(visit.form.text("to", 2_000)) or "/")


def table(visit: Visit) -> Response:
    """Who sits here, and the code that lets the next one in."""
    door = visit.desk.door
    return visit.page(
        "table.html",
        code=door.code if door is not None else "",
        address=visit.desk.settings.address,
        qr=_invitation(visit),
        guests=visit.desk.guests.every(),
        host=visit.desk.guests.is_host(visit.visitor),
        browser_of=lambda guest: Visitor(guest.id).browser,
    )


def _invitation(visit: Visit) -> str:
    """The address as a QR code that carries the code, too: its reader types only a name.

    Empty where nothing is shared, or QR codes cannot be drawn here.
    """
    door, address = visit.desk.door, visit.desk.settings.address
    if door is None or not address:
        return ""
    try:
        return qr_svg(f"{address}enter?{urlencode({'code': door.code})}")
    except PrintProblem:
        return ""


def shut_out(visit: Visit) -> Response:
    """Shut a browser out, if the host asks; the code shown until now lets nobody in again."""
    if visit.desk.door is None or not visit.desk.guests.is_host(visit.visitor):
        raise Refused(403, "Only the host's browser can shut others out.")
    if visit.desk.guests.shut_out(visit.form.text("browser", 40)) is None:
        raise Refused(404, "That browser is not at the table.")
    visit.desk.door.renew()
    return visit.go("/table")


def name(visit: Visit) -> Response:
    """Take a name for the entries to come."""
    return _known_as(visit, visit.visitor.named(visit.form.text("who", 200)), "/table")


def _known_as(visit: Visit, visitor: Visitor, address: str) -> Response:
    response = visit.go(address)
    visit.desk.let_know(response, visitor)
    return response


TYPES = {
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
    "png": "image/png",
}
A_YEAR = {"cache-control": "public, max-age=31536000, immutable"}


def static(visit: Visit) -> Response:
    """A file that pages use."""
    name = visit.path["name"]
    found = visit.desk.files.get(name)
    if found is None:
        raise Refused(404, "There is no such file.")
    return _file(name, found[0], A_YEAR)


def manifest(visit: Visit) -> Response:
    """What makes the page installable (W3C Web Application Manifest)."""
    sizes = (192, 512)
    icons = [
        {"src": visit.desk.static(f"icon-{n}.png"), "sizes": f"{n}x{n}", "type": "image/png"}
        for n in sizes
    ]
    data = {
        "name": "markrules",
        "short_name": "markrules",
        "description": "A sorting bench for jewelry",
        "id": "/",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": "#faf8f4",
        "theme_color": "#0e5a63",
        "icons": [
            *({**each, "purpose": "any"} for each in icons),
            *({**each, "purpose": "maskable"} for each in icons),
            {"src": visit.desk.static("icon.svg"), "sizes": "any", "type": "image/svg+xml"},
        ],
    }
    return Response(json.dumps(data), media_type="application/manifest+json")


def _file(name: str, data: bytes, keep: dict[str, str]) -> Response:
    return Response(data, media_type=TYPES[name.rpartition(".")[2]], headers=keep)


ROUTES = (
    ("GET", "/enter", enter),
    ("POST", "/enter", knock),
    ("GET", "/table", table),
    ("POST", "/table", name),
    ("POST", "/table/out", shut_out),
    ("GET", "/static/{name}", static),
    ("GET", "/manifest.webmanifest", manifest),
)
