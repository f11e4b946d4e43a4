"""The application: every address, what stands before it, and how a visit is run."""

from __future__ import annotations

import gzip
import threading
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from typing import cast
from urllib.parse import quote, unquote, urlencode

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from markrules.catalogue.problems import CatalogueProblem, FileTrouble
from markrules.catalogue.store import Catalogue
from markrules.reading.observing import WordProblem
from markrules.web.access import Visitor
from markrules.web.desk import TOLD, Desk, Posted, Refused, Visit
from markrules.web.guard import Application, Guard
from markrules.web.pages import routes
from markrules.web.pages.entrance import local_address
from markrules.web.posted_forms import posted
from markrules.web.serving import ServerSettings

FIELD_WORDS = {
    "words": "Say what you see",
    "value": "What it says",
    "notes": "Pieces, one a line",
    "when": "Day",
    "who_from": "From whom",
    "who": "Your name",
    "place": "What it shows",
    "told": "What was told",
}
"""How fields are called where their names are not plain words."""

Handler = Callable[[Visit], Response]
Endpoint = Callable[[Request], Awaitable[Response]]

OUTSIDE = ("/enter", "/static/{name}", "/manifest.webmanifest")
"""What a browser may see before it gave the code."""


def build_app(settings: ServerSettings) -> Application:
    """The bench page as an ASGI application."""
    desk = Desk(settings)
    _ = desk.templates, desk.files  # before the first visitor waits for them
    found = [
        Route(path, _endpoint(desk, path, method, handler), methods=[method])
        for method, path, handler in routes()
    ]

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        """Keep the catalogue open once, so that its log is not folded in after each page."""
        del app
        with Catalogue(settings.catalogue):  # made here, if at all: never on a visit
            threading.Thread(target=desk.warm, daemon=True).start()
            yield
            desk.keeper.close()
            desk.sent_files.close()

    inner = Starlette(
        routes=found,
        lifespan=life,
        exception_handlers={HTTPException: _not_found(desk), Exception: _failed(desk)},
    )
    return Guard(cast(Application, inner), settings)


def _endpoint(desk: Desk, path: str, method: str, handler: Handler) -> Endpoint:
    async def endpoint(request: Request) -> Response:
        visitor = desk.seal.visitor(request.cookies.get(desk.cookie, ""))
        if not desk.may_enter(visitor, _address(request)) and path not in OUTSIDE:
            return _shut_out(request)
        form = Posted()
        try:
            if method == "POST":
                form = await posted(request)
                _check_token(desk, visitor, request, form)
            response = await run_in_threadpool(_run, desk, request, visitor, form, handler)
        except Refused as refused:
            response = _told(desk, request, visitor, refused, form)
        if request.cookies.get(TOLD) and response.status_code == 200 and method == "GET":
            response.delete_cookie(TOLD, path="/")
        _compress(request, response)
        if visitor.fresh and desk.cookie not in response.headers.get("set-cookie", ""):
            desk.let_know(response, visitor)
        desk.answered.set()
        return response

    return endpoint


def _check_token(desk: Desk, visitor: Visitor, request: Request, form: Posted) -> None:
    token = request.headers.get("x-token") or form.fields.get("token", "")
    if not desk.seal.is_token(visitor, token):
        raise Refused(
            403, "This page has been open since the server was last started. Reload it; then again."
        )


def _run(
    desk: Desk, request: Request, visitor: Visitor, form: Posted, handler: Handler
) -> Response:
    """Run a handler in this thread, with a catalogue of its own."""
    try:
        with Catalogue(desk.settings.catalogue, create=False, browser=visitor.browser) as catalogue:
            response = handler(_visit(desk, catalogue, request, visitor, form))
            if catalogue.changed:
                desk.keeper.archive_today()
            return response
    except FileTrouble as problem:
        file = desk.settings.catalogue
        words = str(problem).replace(str(file), file.name)  # guests are told of no folder
        if not file.exists():
            words += "; was it moved while the page was open? Put it back, or start the server anew"
        raise Refused(500, words) from None
    except (CatalogueProblem, WordProblem) as problem:
        field = "value" if isinstance(problem, WordProblem) else ""
        status = 404 if request.method == "GET" else 400
        raise Refused(status, str(problem), field) from None


def _visit(
    desk: Desk, catalogue: Catalogue, request: Request, visitor: Visitor, form: Posted
) -> Visit:
    return Visit(
        desk=desk,
        catalogue=catalogue,
        visitor=visitor,
        address=_address(request),
        path=request.path_params,
        query=dict(request.query_params),
        every=tuple(request.query_params.multi_items()),
        form=form,
        fragment=request.headers.get("x-fragment", "")[:20],
        told=unquote(request.cookies.get(TOLD, "")),
    )


def _address(request: Request) -> str:
    return request.client.host if request.client else ""


def _shut_out(request: Request) -> Response:
    """To the door, from where one gets to the page that was asked for."""
    if request.method == "GET":
        asked = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        wanted = local_address(asked)
        return RedirectResponse(f"/enter?{urlencode({'to': wanted})}" if wanted else "/enter", 303)
    return Response("Give the code first.", 403, media_type="text/plain")


LEAST_PACKED = 1_400
"""Bytes below which an answer fits one packet as it is."""


def _compress(request: Request, response: Response) -> None:
    """Pack text for browsers that take gzip (RFC 9110, 8.4.1.3)."""
    body = bytes(getattr(response, "body", b""))
    text = response.headers.get("content-type", "").startswith(("text/", "image/svg"))
    if text and len(body) >= LEAST_PACKED and "gzip" in request.headers.get("accept-encoding", ""):
        response.body = gzip.compress(body, 5, mtime=0)
        response.headers["content-encoding"] = "gzip"
        response.headers["content-length"] = str(len(response.body))
        response.headers["vary"] = "accept-encoding"


def _told(
    desk: Desk, request: Request, visitor: Visitor, refused: Refused, form: Posted | None = None
) -> Response:
    """A page that says what went wrong, with all that was typed; for a script the words alone."""
    if request.headers.get("x-fragment"):
        headers = {"x-field": quote(refused.field)} if refused.field else {}
        return Response(str(refused), refused.status, headers, media_type="text/plain")
    page = desk.templates.get_template("problem.html")
    typed = form.every if form is not None else ()
    text = page.render(
        visitor=visitor,
        token=desk.seal.token(visitor),
        shared=desk.settings.shared,
        query={},
        told="",
        rules_left_out=(),
        status=refused.status,
        words=str(refused),
        field=refused.field,
        action=request.url.path if typed else "",
        fields=[(name, value) for name, value in typed if name != "token"],
        files=bool(form is not None and form.files),
        names=FIELD_WORDS,
    )
    return Response(text, refused.status, media_type="text/html")


def _not_found(desk: Desk) -> Callable[[Request, Exception], Awaitable[Response]]:
    async def answer(request: Request, error: Exception) -> Response:
        status = error.status_code if isinstance(error, HTTPException) else 404
        visitor = desk.seal.visitor(request.cookies.get(desk.cookie, ""))
        if not desk.may_enter(visitor, _address(request)):
            return _shut_out(request)
        words = "There is no such page." if status == 404 else "That cannot be done here."
        return _told(desk, request, visitor, Refused(status, words))

    return answer


def _failed(desk: Desk) -> Callable[[Request, Exception], Awaitable[Response]]:
    async def answer(request: Request, error: Exception) -> Response:
        del error
        visitor = desk.seal.visitor(request.cookies.get(desk.cookie, ""))
        words = "Something went wrong on the server. What was kept before is kept still."
        return _told(desk, request, visitor, Refused(500, words))

    return answer
