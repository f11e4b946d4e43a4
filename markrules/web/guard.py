"""What stands before every page: host, origin and size are checked, and headers set."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any
from urllib.parse import urlsplit

from markrules.web.serving import ServerSettings

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[Scope, Receive, Send], Awaitable[None]]

LARGEST_POST = 1_000_000
LARGEST_UPLOAD = 41_000_000
"""Bytes of a posted form, and of one with a photo: a little over the catalogue's own limit."""
LARGEST_ARCHIVE = 300_000_000
"""Bytes of an archive that is sent to be restored; larger ones are restored by the command."""
_WITH_FILES = ("/photos", "/import", "/audit", "/take-in", "/stones/many")
LONGEST_ADDRESS = 26_000
"""Bytes: a note of 2,000 letters fits, each of which may take twelve in an address."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:;"
    " connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none';"
    " frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
    "permissions-policy": "geolocation=(), microphone=(), payment=(), usb=()",
}
_READING = ("GET", "HEAD")


class TooLarge(Exception):
    """The body of a request is larger than is taken; found out while it comes in."""


class Guard:
    """Refuses what does not come from this server's own pages, before anything else runs."""

    def __init__(self, app: Application, settings: ServerSettings) -> None:
        """Stand before `app`."""
        self._app = app
        self._hosts = settings.hosts
        self._shared = settings.shared

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or refuse it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        # The close code 1003: data of a kind that is not taken (RFC 6455, 7.4.1).
        if scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1003})
            return
        if scope["type"] != "http":
            return
        sending = _with_headers(send, self._shared)
        refusal = self._refusal(scope)
        if refusal is not None:
            await _refuse(sending, *refusal)
            return
        await self._app(scope, _limited(receive, _limit(scope)), sending)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers = _headers(scope)
        hosts = headers.get("host", [])
        # A foreign name that was made to point here (DNS rebinding) would make its pages ours.
        if len(hosts) != 1 or hosts[0].lower() not in self._hosts:
            return 421, "This address is not served here."
        # Behind an upgrade the server would read on in another protocol, past every check.
        if any("websocket" in each.lower() for each in headers.get("upgrade", ())):
            return 400, "Pages are served here, and nothing else: no other protocol is spoken."
        if len(scope.get("raw_path") or b"") + len(scope["query_string"]) > LONGEST_ADDRESS:
            return 414, "That is too long for an address. Go back, and shorten what you typed."
        if scope["method"] in _READING:
            return None
        if scope["method"] != "POST":
            return 405, "Pages are read with GET and changed with POST."
        if not _from_here(headers, hosts[0].lower()):
            return 403, "This form was not sent from a page of this server."
        lengths = headers.get("content-length", ["0"])
        # Cut to 18 figures: a number of a million figures would be reckoned out first.
        if any(not each.isdecimal() or int(each[:18]) > _limit(scope) for each in lengths):
            return 413, too_large(_limit(scope))
        return None


def _limit(scope: Scope) -> int:
    return largest_post(scope["path"])


def largest_post(path: str) -> int:
    """Bytes that may be posted to this address."""
    if path == "/restore":
        return LARGEST_ARCHIVE
    return LARGEST_UPLOAD if path.endswith(_WITH_FILES) else LARGEST_POST


def _headers(scope: Scope) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, value in scope["headers"]:
        # Any byte is a letter of Latin-1: headers may hold what is no UTF-8.
        found.setdefault(name.decode("latin-1").lower(), []).append(value.decode("latin-1"))
    return found


def _from_here(headers: dict[str, list[str]], host: str) -> bool:
    """Whether a change comes from our own page: by Origin, or by Referer where it is missing.

    Browsers send Origin with every POST (Fetch Standard, 3.2); what has neither is refused.
    """
    origins = headers.get("origin") or headers.get("referer", [])
    if len(origins) != 1:
        return False
    parts = urlsplit(origins[0])
    return parts.scheme == "http" and parts.netloc.lower() == host


def too_large(limit: int) -> str:
    """What to say of a body beyond the limit, in bytes."""
    return f"That is too large: {limit // 1_000_000} million bytes at most are taken at once."


def _limited(receive: Receive, limit: int) -> Receive:
    taken = 0

    async def counted() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        # Counted as it comes: a chunked body tells no length, and a told one may be too small.
        if taken > limit:
            raise TooLarge(too_large(limit))
        return message

    return counted


def _with_headers(send: Send, shared: bool) -> Send:
    """Every answer with its headers; what a browser may keep of a shared table is nothing."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            # A picture may be kept by one's own browser, but not on a computer that others use.
            if shared:
                message["headers"] = [
                    (name, value)
                    for name, value in message["headers"]
                    if not (name.lower() == b"cache-control" and b"private" in value)
                ]
            given = {name.lower() for name, _ in message["headers"]}
            more = [
                (name.encode(), value.encode())
                for name, value in HEADERS.items()
                if name.encode() not in given
            ]
            message["headers"] = [*message["headers"], *more]
        await send(message)

    return sending


async def _refuse(send: Send, status: int, words: str) -> None:
    body = words.encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        # A refused body was not read: what follows on the connection would be taken for a request.
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
