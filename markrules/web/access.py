"""Who is at the table: signed cookies, tokens for forms, and the one-time code."""

from __future__ import annotations

import base64
import datetime
import hashlib
import hmac
import json
import math
import secrets
import threading
import time
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import field, replace

from markrules.frozen import dataclass

CODE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""Letters and digits that are not taken for one another when read aloud or typed."""
CODE_LENGTH = 8
LONGEST_NAME = 40
LONGEST_COOKIE = 1000

TRIES_A_MINUTE = 5
"""Of one address. Wrong codes from elsewhere keep nobody out: of 32^8 codes, an hour of guessing
from a thousand addresses finds one with a chance below 1 in 10^6."""
MOST_ADDRESSES = 10_000
"""Addresses whose wrong tries are remembered."""


@dataclass(frozen=True, slots=True)
class Visitor:
    """A browser at the table. `who` is the name its entries bear; `admitted` that it gave a code.

    `fresh` marks one that has no cookie yet.
    """

    id: str
    who: str = ""
    admitted: bool = False
    fresh: bool = False

    @property
    def browser(self) -> str:
        """What the catalogue keeps of it, to tell whose step is whose: it opens nothing."""
        return hashlib.sha256(f"browser {self.id}".encode()).hexdigest()[:20]

    def named(self, who: str) -> Visitor:
        """The same browser, under this name from now on."""
        return replace(self, who=clean_who(who))

    def let_in(self) -> Visitor:
        """The same browser, admitted, under a new identifier."""
        # Somebody may have planted the old one in this browser (session fixation).
        return replace(self, id=secrets.token_urlsafe(18), admitted=True)


def clean_who(name: str) -> str:
    """A name as entries may bear it: one line, no more than 40 characters."""
    plain = "".join(each if each.isprintable() else " " for each in name)
    return " ".join(plain.split())[:LONGEST_NAME].rstrip()


def cookie_name(hosts: Iterable[str]) -> str:
    """The name of the cookie: browsers tell hosts apart but not ports, so that ports do it here."""
    known = " ".join(sorted(hosts)).encode()
    return f"bench-{hashlib.sha256(known).hexdigest()[:8]}"


class Seal:
    """Signs cookies and form tokens with a secret that lives as long as the server."""

    def __init__(self) -> None:
        """Draw a new secret."""
        self._secret = secrets.token_bytes(32)

    def newcomer(self) -> Visitor:
        """A browser that has not been here before."""
        return Visitor(secrets.token_urlsafe(18), fresh=True)

    def cookie(self, visitor: Visitor) -> str:
        """The value of the cookie that stands for this visitor."""
        data = json.dumps([visitor.id, visitor.who, visitor.admitted]).encode()
        body = base64.urlsafe_b64encode(data).decode().rstrip("=")
        return f"{body}.{self._sign('cookie', body)}"

    def visitor(self, cookie: str) -> Visitor:
        """The visitor a cookie stands for; a newcomer where it is not one of ours."""
        body, dot, signature = cookie.partition(".")
        # `compare_digest` refuses what is not ASCII, and a long one would be hashed in vain.
        known = dot and len(cookie) <= LONGEST_COOKIE and cookie.isascii()
        if not known or not hmac.compare_digest(signature, self._sign("cookie", body)):
            return self.newcomer()
        fields = json.loads(base64.urlsafe_b64decode(body + "=" * (-len(body) % 4)))
        # The signature held, so the fields are those that `cookie` wrote.
        return Visitor(*fields)

    def token(self, visitor: Visitor) -> str:
        """The token that this visitor's forms carry."""
        return self._sign("form", visitor.id)

    def is_token(self, visitor: Visitor, token: str) -> bool:
        """Whether a form came from a page that this visitor was shown."""
        return token.isascii() and hmac.compare_digest(token, self.token(visitor))

    def _sign(self, purpose: str, text: str) -> str:
        return hmac.new(self._secret, f"{purpose} {text}".encode(), hashlib.sha256).hexdigest()


@dataclass
class Door:
    """The one-time code, and how often somebody may try it.

    A code lets one browser in and is then replaced; `announce` is told each new one.
    """

    announce: Callable[[str], None] = lambda _code: None
    clock: Callable[[], float] = time.monotonic
    code: str = ""
    _wrong: dict[str, deque[float]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def __post_init__(self) -> None:
        """Draw the first code."""
        self._renew()

    def _renew(self) -> None:
        drawn = "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))
        self.code = f"{drawn[:4]}-{drawn[4:]}"
        self.announce(self.code)

    def wait(self, address: str) -> int:
        """Seconds until this address may try again; 0 when it may now."""
        with self._lock:
            return self._wait(address)

    def _wait(self, address: str) -> int:
        since = self.clock() - 60
        for tries in self._wrong.values():
            while tries and tries[0] <= since:
                tries.popleft()
        self._wrong = {each: tries for each, tries in self._wrong.items() if tries}
        own = self._wrong.get(address, deque())
        if len(own) >= TRIES_A_MINUTE:
            return max(1, math.ceil(own[0] - since))
        return 0

    def open(self, code: str, address: str) -> bool:
        """Whether the code is right and the address has not tried too often."""
        # However it is typed: with the dash, a space or none, in small letters.
        given = "".join(each for each in code.upper() if each.isalnum())
        with self._lock:
            if self._wait(address):
                return False
            if hmac.compare_digest(given.encode(), self.code.replace("-", "").encode()):
                self._renew()
                return True
            self._wrong.setdefault(address, deque()).append(self.clock())
            # The oldest goes first: a crowd of addresses must not fill the memory.
            while len(self._wrong) > MOST_ADDRESSES:
                del self._wrong[next(iter(self._wrong))]
            return False

    def renew(self) -> None:
        """Draw another code, so that the one that was shown lets nobody in."""
        with self._lock:
            self._renew()


@dataclass
class Guest:
    """An admitted browser: its name, its address, and when it was last seen."""

    id: str
    who: str
    address: str
    since: datetime.datetime
    seen: datetime.datetime
    host: bool = False


class Guests:
    """The browsers that were let in since the server was started.

    The host's are those on the computer that serves; where that is not told apart, the first one.
    """

    def __init__(self, first_is_host: bool = True) -> None:
        """Nobody is in yet."""
        self._first_is_host = first_is_host
        self._in: dict[str, Guest] = {}
        self._lock = threading.Lock()

    def let_in(self, visitor: Visitor, address: str) -> None:
        """Remember a browser that gave the code."""
        moment = datetime.datetime.now(datetime.UTC)
        with self._lock:
            host = not self._in and self._first_is_host
            self._in[visitor.id] = Guest(visitor.id, visitor.who, address, moment, moment, host)

    def sits_here(self, visitor: Visitor, address: str) -> None:
        """Remember a browser on the computer that serves: it is the host's, and gave no code.

        One that keeps no cookie is not remembered: it would come as another each time.
        """
        if visitor.fresh:
            return
        moment = datetime.datetime.now(datetime.UTC)
        with self._lock:
            guest = self._in.get(visitor.id)
            since = guest.since if guest is not None else moment
            self._in[visitor.id] = Guest(visitor.id, visitor.who, address, since, moment, host=True)

    def saw(self, visitor: Visitor, address: str) -> bool:
        """Whether this browser is in; its name and address are kept as they are now."""
        with self._lock:
            guest = self._in.get(visitor.id)
            if guest is None or not visitor.admitted:
                return False
            guest.who, guest.address = visitor.who, address
            guest.seen = datetime.datetime.now(datetime.UTC)
            return True

    def every(self) -> list[Guest]:
        """All that are in, in the order they came."""
        with self._lock:
            return [replace(each) for each in self._in.values()]

    def is_host(self, visitor: Visitor) -> bool:
        """Whether this browser is the host's."""
        with self._lock:
            guest = self._in.get(visitor.id)
            return guest is not None and guest.host

    def shut_out(self, browser: str) -> Guest | None:
        """Shut a guest's browser out, by what `Visitor.browser` tells of it; never the host's."""
        with self._lock:
            for guest in self._in.values():
                if not guest.host and Visitor(guest.id).browser == browser:
                    return self._in.pop(guest.id)
        return None
