"""Getting in with a one-time code, and the name that entries bear."""

from __future__ import annotations

from starlette.responses import Response

from markrules.web.access import Visitor, clean_who
from markrules.web.desk import Refused, Visit


def enter(visit: Visit) -> Response:
    """The door, where the bench is shared; else the first page."""
    if visit.desk.may_enter(visit.visitor, visit.address):
        return visit.go("/")
    return visit.page("enter.html", problem="")


def knock(visit: Visit) -> Response:
    """Let a browser in that gives the code."""
    door = visit.desk.door
    if door is None:
        return visit.go("/")
    wait = door.wait(visit.address)
    if wait:
        words = f"Too many wrong codes. Wait {wait} seconds, then try again."
        return visit.page("enter.html", status=429, problem=words)
    who = clean_who(visit.form.text("who", 200))
    if not who:
        return visit.page("enter.html", status=400, problem="Say who you are, so that others know.")
    if not door.open(visit.form.text("code", 40), visit.address):
        words = "That is not the code. Each code lets one browser in; ask for the one shown now."
        return visit.page("enter.html", status=403, problem=words)
    admitted = visit.visitor.let_in().named(who)
    visit.desk.guests.let_in(admitted, visit.address)
    return _known_as(visit, admitted, "/")


def table(visit: Visit) -> Response:
    """Who sits here, and the code that lets the next one in."""
    door = visit.desk.door
    return visit.page(
        "table.html",
        code=door.code if door is not None else "",
        guests=visit.desk.guests.every(),
        host=visit.desk.guests.is_host(visit.visitor),
        browser_of=lambda guest: Visitor(guest.id).browser,
    )


def shut_out(visit: Visit) -> Response:
    """Shut a browser out, if the host asks; the code shown until now lets nobody in again."""
    if visit.desk.door is None or not visit.desk.guests.is_host(visit.visitor):
        raise Refused(403, "Only the browser that came in first can shut others out.")
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


ROUTES = (
    ("GET", "/enter", enter),
    ("POST", "/enter", knock),
    ("GET", "/table", table),
    ("POST", "/table", name),
    ("POST", "/table/out", shut_out),
    ("GET", "/static/{name}", static),
)
