"""The guard, the door and the bounds of connections by themselves, at each of their limits.

Expected answers are those that the modules' own words promise; statuses are of RFC 9110, 15.5.
"""

from __future__ import annotations

import asyncio
import logging
import string
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from markrules.web import access
from markrules.web.access import CODE_LETTERS, Door, Guests, Seal, Visitor, clean_who, cookie_name
from markrules.web.connections import BoundedProtocol, OneLine, raise_file_limit
from markrules.web.guard import (
    HEADERS,
    LARGEST_ARCHIVE,
    LARGEST_POST,
    LARGEST_UPLOAD,
    LONGEST_ADDRESS,
    Guard,
    TooLarge,
    largest_post,
    too_large,
)
from markrules.web.serving import ServerSettings

HOST = "127.0.0.1:8001"


# --- The guard --------------------------------------------------------------------------------


def said(text: str) -> str:
    """The same text in a string of its own, as it comes off the wire."""
    return "".join(list(text))


@dataclass
class Asked:
    """What a guard let through and what it answered."""

    passed: list[Any] = field(default_factory=list)
    sent: list[Any] = field(default_factory=list)
    body: bytes = b""

    @property
    def status(self) -> int:
        return int(self.sent[0]["status"])

    @property
    def headers(self) -> dict[str, str]:
        found = {name.decode(): value.decode() for name, value in self.sent[0]["headers"]}
        assert len(found) == len(self.sent[0]["headers"])
        return found


def ask(
    *,
    method: str = "GET",
    path: str = "/",
    raw_path: bytes | None = b"/",
    query: bytes = b"",
    headers: tuple[tuple[str, str], ...] = (("Host", HOST),),
    kind: str = "http",
    shared: bool = False,
    parts: tuple[bytes, ...] = (b"",),
    given: tuple[tuple[bytes, bytes], ...] = (),
) -> Asked:
    asked = Asked()
    waiting = list(parts)

    async def application(scope: Any, receive: Any, send: Any) -> None:
        asked.passed.append(scope)
        if scope["type"] == "lifespan":
            return
        for _ in parts:
            asked.body += (await receive()).get("body", b"")
        await send({"type": said("http.response.start"), "status": 200, "headers": list(given)})
        await send({"type": said("http.response.body"), "body": b"page"})

    async def receive() -> Any:
        return {"type": "http.request", "body": waiting.pop(0)} if waiting else {"type": "x"}

    async def send(message: Any) -> None:
        asked.sent.append(message)

    settings = ServerSettings(
        catalogue=Path("none"), open_reader=lambda: None, hosts=frozenset({HOST}), shared=shared
    )  # type: ignore[arg-type]
    scope = {
        "type": said(kind),
        "method": said(method),
        "path": path,
        "raw_path": raw_path,
        "query_string": query,
        "headers": [(name.encode(), value.encode()) for name, value in headers],
    }
    asyncio.run(Guard(application, settings)(scope, receive, send))
    return asked


ORIGIN = ("Origin", f"http://{HOST}")


@pytest.mark.parametrize(
    ("status", "how"),
    [
        (200, {}),
        (200, {"method": "HEAD"}),
        (200, {"headers": (("HOST", HOST.upper()),)}),
        (421, {"headers": ()}),
        (421, {"headers": (("Host", HOST), ("Host", HOST))}),
        (421, {"headers": (("Host", "localhost"),)}),
        (200, {"headers": (("Host", HOST), ("Upgrade", "h2c"))}),
        (400, {"headers": (("Host", HOST), ("Upgrade", "h2c, WebSocket"))}),
        (200, {"raw_path": b"/" * 5000, "query": b"q" * (LONGEST_ADDRESS - 5000)}),
        (414, {"raw_path": b"/" * 5000, "query": b"q" * (LONGEST_ADDRESS - 4999)}),
        (200, {"raw_path": None, "query": b"q" * LONGEST_ADDRESS}),
        (405, {"method": "PUT", "headers": (("Host", HOST), ORIGIN)}),
        (405, {"method": "OPTIONS", "headers": (("Host", HOST), ORIGIN)}),
        (200, {"method": "POST", "headers": (("Host", HOST), ORIGIN)}),
        (200, {"method": "POST", "headers": (("Host", HOST.upper()), ORIGIN)}),
        (403, {"method": "POST"}),
        (403, {"method": "POST", "headers": (("Host", HOST), ("Origin", "null"))}),
        (403, {"method": "POST", "headers": (("Host", HOST), ("Origin", f"https://{HOST}"))}),
        (403, {"method": "POST", "headers": (("Host", HOST), ("Origin", "http://127.0.0.1"))}),
        (403, {"method": "POST", "headers": (("Host", HOST), ORIGIN, ORIGIN)}),
        (200, {"method": "POST", "headers": (("Host", HOST), ("Referer", f"http://{HOST}/a"))}),
        (403, {"method": "POST", "headers": (("Host", HOST), ("Referer", "http://x.test/"))}),
        (
            403,
            {
                "method": "POST",
                "headers": (("Host", HOST), ("Origin", "http://x.test"), ("Referer", ORIGIN[1])),
            },
        ),
    ],
)
def test_what_is_let_through_and_what_is_refused(status: int, how: dict[str, Any]) -> None:
    asked = ask(**how)

    assert asked.status == status
    assert bool(asked.passed) == (status == 200)
    if status != 200:
        assert len(asked.sent) == 2
        assert asked.headers["content-length"] == str(len(asked.sent[1]["body"]))
        assert asked.headers["connection"] == "close"
        assert asked.headers["content-type"] == "text/plain; charset=utf-8"
    assert asked.headers.items() >= HEADERS.items()


@pytest.mark.parametrize(
    ("length", "path", "status"),
    [
        (str(LARGEST_POST), "/boxes", 200),
        (str(LARGEST_POST + 1), "/boxes", 413),
        (str(LARGEST_UPLOAD), "/piece/a/photos", 200),
        (str(LARGEST_UPLOAD + 1), "/piece/a/photos", 413),
        (str(LARGEST_UPLOAD), "/photos/x", 413),
        (str(LARGEST_ARCHIVE), "/restore", 200),
        (str(LARGEST_ARCHIVE + 1), "/restore", 413),
        (str(LARGEST_UPLOAD), "/box/restore", 413),
        ("-1", "/boxes", 413),
        ("1e3", "/boxes", 413),
        ("", "/boxes", 413),
        ("0", "/boxes", 200),
        ("9" * 5000, "/boxes", 413),
        ("0" * 17 + "5", "/boxes", 200),
    ],
)
def test_a_form_may_be_as_long_as_its_place_takes(length: str, path: str, status: int) -> None:
    headers = (("Host", HOST), ORIGIN, ("Content-Length", length))

    assert ask(method="POST", path=path, headers=headers).status == status


def test_two_lengths_are_both_looked_at() -> None:
    """RFC 9112, 6.3: lengths that differ are how one request is hidden behind another."""
    for lengths in (("5", "9999999"), ("9999999", "5")):
        headers = (("Host", HOST), ORIGIN, *(("Content-Length", each) for each in lengths))
        assert ask(method="POST", headers=headers).status == 413


def test_a_body_is_counted_as_it_comes() -> None:
    half = b"x" * (LARGEST_POST // 2)
    headers = (("Host", HOST), ORIGIN)

    assert ask(method="POST", headers=headers, parts=(half, half)).body == half + half
    with pytest.raises(TooLarge, match="1 million bytes at most"):
        ask(method="POST", headers=headers, parts=(half, half, b"y"))


@pytest.mark.parametrize(
    ("path", "most"),
    [
        ("/restore", LARGEST_ARCHIVE),
        ("/box/a/import", LARGEST_UPLOAD),
        ("/audit", LARGEST_UPLOAD),
        ("/take-in", LARGEST_UPLOAD),
        ("/stones/many", LARGEST_UPLOAD),
        ("/stones", LARGEST_POST),
    ],
)
def test_what_each_address_takes(path: str, most: int) -> None:
    assert largest_post(path) == most
    assert too_large(most).startswith(f"That is too large: {most // 10**6} million bytes")


def test_only_pages_are_spoken() -> None:
    assert ask(kind="lifespan").passed
    socket = ask(kind="websocket")
    assert (socket.passed, socket.sent) == ([], [{"type": "websocket.close", "code": 1003}])
    other = ask(kind="gopher")
    assert (other.passed, other.sent) == ([], [])


@pytest.mark.parametrize(
    ("shared", "given", "kept"),
    [
        (False, b"private, max-age=9", "private, max-age=9"),
        (True, b"private, max-age=9", "no-store"),
        (True, b"public, max-age=9", "public, max-age=9"),
    ],
)
def test_what_a_browser_may_keep(shared: bool, given: bytes, kept: str) -> None:
    asked = ask(shared=shared, given=((b"Cache-Control", given), (b"X-Own", b"private")))

    found = {name.lower(): value for name, value in asked.headers.items()}
    assert found["cache-control"] == kept
    assert found["x-own"] == "private"
    assert found.items() >= {each for each in HEADERS.items() if each[0] != "cache-control"}


# --- The door ---------------------------------------------------------------------------------


def test_a_cookie_gives_back_whom_it_stands_for() -> None:
    """Names of several lengths: base64 (RFC 4648, 4) is filled up differently for each."""
    seal = Seal()
    for length in range(9):
        for admitted in (False, True):
            visitor = Visitor("id", "n" * length, admitted)
            assert seal.visitor(seal.cookie(visitor)) == visitor


def test_a_cookie_as_long_as_is_taken_and_one_longer() -> None:
    seal = Seal()
    sizes = {}
    for length in range(600, 760):
        visitor = Visitor("id", "n" * length)
        cookie = seal.cookie(visitor)
        sizes[len(cookie)] = seal.visitor(cookie) == visitor
    assert {size: size <= access.LONGEST_COOKIE for size in sizes} == sizes
    assert min(sizes) < access.LONGEST_COOKIE < max(sizes)


@pytest.mark.parametrize("cookie", ["", ".", "a", "a.b", "ä.b", "W10.", "." + "0" * 64])
def test_what_is_no_cookie_is_a_newcomer(cookie: str) -> None:
    found = Seal().visitor(cookie)

    assert (found.fresh, found.admitted, found.who) == (True, False, "")


def test_a_signature_serves_one_purpose_and_one_visitor() -> None:
    seal = Seal()
    one, other = seal.newcomer(), seal.newcomer()

    assert seal.is_token(one, seal.token(one))
    assert not seal.is_token(one, seal.token(other))
    assert not seal.is_token(one, seal.cookie(one).partition(".")[2])
    assert not seal.is_token(one, "ä")
    assert not Seal().is_token(one, seal.token(one))
    body, _, signature = seal.cookie(one).partition(".")
    assert seal.visitor(f"{body}.{signature[:-1]}").fresh
    assert not seal.visitor(f"{body}.{signature}").fresh


def test_an_identifier_is_hard_to_guess_and_new_at_the_door() -> None:
    """OWASP, Session Management: 64 bits at least; base64 holds six in a letter."""
    before = Seal().newcomer()
    after = before.named("Ada").let_in()

    assert (after.admitted, after.who) == (True, "Ada")
    assert before.id != after.id
    assert before.browser != after.browser
    assert len(before.browser) == 20
    assert all(len(each.id) * 6 >= 128 for each in (before, after))


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("Ada", "Ada"),
        ("  Ada \n\t Birch ", "Ada Birch"),
        ("A\x07da", "A da"),
        ("n" * 41, "n" * 40),
        ("n" * 39 + " x", "n" * 39),
        ("", ""),
    ],
)
def test_a_name_is_one_line_of_forty_letters(name: str, kept: str) -> None:
    assert clean_who(name) == kept


def test_a_cookie_is_named_by_all_hosts_in_any_order() -> None:
    assert cookie_name(["a", "b"]) == cookie_name(["b", "a"]) != cookie_name(["a", "c"])
    assert cookie_name(["a"]).startswith("bench-")
    assert len(cookie_name(["a"])) == len("bench-") + 8


def test_a_code_is_drawn_and_told_each_time() -> None:
    told: list[str] = []
    door = Door(told.append)
    assert told == [door.code]
    first, second = door.code.split("-")
    assert len(first) == len(second) == 4
    assert set(first + second) <= set(CODE_LETTERS)
    assert not set(CODE_LETTERS) & set("01IO" + string.ascii_lowercase)
    door.renew()
    assert told[1:] == [door.code]
    assert told[0] != told[1]


def test_a_right_code_lets_one_in_and_a_wrong_one_counts() -> None:
    now = [100.0]
    door = Door(clock=lambda: now[0])
    code = door.code
    assert door.open(f" {code.lower().replace('-', ' ')} ", "a")
    assert door.code != code
    assert not door.open(code, "a")
    assert door.wait("a") == 0

    for moment in (100.0, 101.0, 102.0):
        now[0] = moment
        assert not door.open("WRONG", "a")
    assert door.wait("a") == 0  # four so far
    now[0] = 110.5
    assert not door.open("", "a")
    assert door.wait("a") == 50  # until a minute after the first, rounded up
    assert not door.open(door.code, "a")
    assert door.wait("b") == 0
    now[0] = 159.9
    assert door.wait("a") == 1
    now[0] = 160.0  # both tries of the moment 100 are a minute old
    assert door.wait("a") == 0
    assert door.open(door.code, "a")


def test_of_many_addresses_the_oldest_is_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(access, "MOST_ADDRESSES", 3)
    door = Door(clock=lambda: 0.0)
    for address in "abc":
        for _ in range(5):
            door.open("WRONG", address)
    assert all(door.wait(each) for each in "abc")
    door.open("WRONG", "d")
    assert [bool(door.wait(each)) for each in "abcd"] == [False, True, True, False]


def test_guests_are_told_apart_from_the_host() -> None:
    host, guest, stranger = (Visitor(name, name, True) for name in ("host", "guest", "stranger"))
    guests = Guests()
    guests.let_in(host, "1")
    guests.let_in(guest, "2")

    assert [each.who for each in guests.every()] == ["host", "guest"]
    assert (guests.is_host(host), guests.is_host(guest), guests.is_host(stranger)) == (
        True,
        False,
        False,
    )
    assert guests.saw(guest.named("Ben"), "3")
    assert not guests.saw(stranger, "3")
    assert not guests.saw(Visitor("guest", "x", False), "4")
    (_, seen) = guests.every()
    assert (seen.who, seen.address) == ("Ben", "3")
    assert seen.since <= seen.seen
    seen.who = "changed"
    assert guests.every()[1].who == "Ben"

    assert guests.shut_out(host.browser) is None
    assert guests.shut_out(stranger.browser) is None
    gone = guests.shut_out(guest.browser)
    assert gone is not None
    assert gone.id == "guest"
    assert [each.id for each in guests.every()] == ["host"]


def test_where_hosts_sit_here_nobody_else_is_one() -> None:
    guests = Guests(first_is_host=False)
    guests.let_in(Visitor("first", "", True), "1")
    guests.sits_here(Visitor("here"), "0")
    guests.sits_here(Visitor("passing", fresh=True), "0")
    before = guests.every()
    guests.sits_here(Visitor("here", "Ada"), "0")

    assert [(each.id, each.host) for each in before] == [("first", False), ("here", True)]
    assert guests.every()[1].since == before[1].since
    assert guests.every()[1].who == "Ada"


# --- Connections ------------------------------------------------------------------------------


class Cycle:
    """A request that is being answered, or was."""

    def __init__(self, done: bool) -> None:
        self.response_complete = done
        self.disconnected = False
        self.message_event = asyncio.Event()


class Line:
    """The other end of a connection; tells whether it was ended."""

    def __init__(self) -> None:
        self.ended = False

    def abort(self) -> None:
        self.ended = True


def protocol(
    every: set[Any], address: str, since: float | None, answering: bool = False
) -> BoundedProtocol:
    made: Any = BoundedProtocol.__new__(BoundedProtocol)
    made.connections, made.client, made.transport = every, (address, 1), Line()
    made.cycle = Cycle(done=False) if answering else None
    made._waiting_since = since
    made.most_of_one, made.most_of_all = 3, 5
    every.add(made)
    return made  # type: ignore[no-any-return]


def ended(some: list[Any]) -> list[bool]:
    return [each.transport.ended for each in some]


def test_one_address_holds_so_many_and_the_longest_waiting_makes_room() -> None:
    every: set[Any] = set()
    mine = [protocol(every, "a", since) for since in (7.0, 5.0, 9.0)]
    mine[-1]._make_room()
    assert ended(mine) == [False, False, False]

    mine.append(protocol(every, "a", 11.0))
    mine[-1]._make_room()
    assert ended(mine) == [False, True, False, False]


def test_of_a_second_too_many_another_goes() -> None:
    every: set[Any] = set()
    mine = [protocol(every, "a", since) for since in (7.0, 5.0, 9.0, 10.0, 11.0)]
    mine[-1]._make_room()
    assert ended(mine) == [False, True, False, False, False]


def test_what_is_being_answered_is_left_and_the_newest_goes_where_all_are() -> None:
    every: set[Any] = set()
    busy = [protocol(every, "a", None, answering=True) for _ in range(3)]
    newest = protocol(every, "a", 1.0)
    newest._make_room()
    assert ended([*busy, newest]) == [False, False, False, True]

    idle = protocol(set(), "b", None)
    idle.cycle = Cycle(done=True)  # type: ignore[assignment]
    assert idle.waits
    assert not busy[0].waits


def test_where_there_are_too_many_the_address_with_most_makes_room() -> None:
    every: set[Any] = set()
    crowd = [protocol(every, "crowd", since) for since in (4.0, 3.0, 5.0)]
    others = [protocol(every, address, 1.0) for address in "bc"]
    others[-1]._make_room()
    assert ended([*crowd, *others]) == [False] * 5

    newest = protocol(every, "d", 9.0)
    newest._make_room()
    assert ended([*crowd, *others, newest]) == [False, True, False, False, False, False]


def test_one_that_is_between_requests_has_waited_longest() -> None:
    every: set[Any] = set()
    mine = [protocol(every, "a", since) for since in (2.0, None, 3.0, 4.0)]
    mine[-1]._make_room()
    assert ended(mine) == [False, True, False, False]


def test_an_end_wakes_what_waits_for_more_of_a_body() -> None:
    busy = protocol(set(), "a", None, answering=True)
    busy._end()
    assert busy.cycle.disconnected
    assert busy.cycle.message_event.is_set()
    assert ended([busy]) == [True]
    assert protocol(set(), "a", None).address == "a"
    nobody = protocol(set(), "a", None)
    nobody.client = None
    assert nobody.address == ""


def test_a_deadline_takes_the_place_of_the_one_before() -> None:
    calls: list[tuple[float, Callable[[], None]]] = []
    cancelled: list[int] = []

    class Timer:
        def __init__(self, number: int) -> None:
            self.number = number

        def cancel(self) -> None:
            cancelled.append(self.number)

    class Loop:
        def call_later(self, seconds: float, act: Callable[[], None]) -> Timer:
            calls.append((seconds, act))
            return Timer(len(calls))

    one: Any = protocol(set(), "a", None)
    one.loop = Loop()
    one._set_deadline(0.0)
    one._set_deadline(2.0)
    assert ([each for each, _ in calls], cancelled) == ([0.0, 2.0], [1])
    one._set_deadline(None)
    one._set_deadline(None)
    assert (len(calls), cancelled) == (2, [1, 2])


def test_the_same_trouble_is_told_once_a_minute() -> None:
    told: list[str] = []
    now = [0.0]
    handler = OneLine(told.append, lambda: now[0])

    def trouble(words: str, level: int = logging.ERROR) -> None:
        handler.handle(logging.LogRecord("of a test", level, "", 0, words, (), None))

    trouble("one")
    now[0] = 59.9
    trouble("one")
    trouble("two")
    now[0] = 60.0
    trouble("one")
    trouble("two")
    trouble("\n  third\nline")
    trouble("")
    trouble("x" * 400)
    expected = ["one", "two", "one", "third", "", "x" * 300]
    assert told == [f"Trouble: {each}" for each in expected]


@pytest.mark.parametrize(
    ("soft", "hard", "wanted"),
    [
        (100, -1, (1200, -1)),
        (100, 500, (500, 500)),
        (100, 5000, (1200, 5000)),
        (1199, 5000, (1200, 5000)),
        (1200, 5000, None),
        (4000, 5000, None),
        (500, 500, None),
        (-1, -1, None),
    ],
)
def test_files_are_allowed_for_four_times_the_connections(
    soft: int, hard: int, wanted: tuple[int, int] | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A connection, the catalogue and what a page reads: getrlimit(2), setrlimit(2)."""
    import resource

    asked: list[tuple[int, int]] = []
    monkeypatch.setattr(resource, "RLIM_INFINITY", -1)
    monkeypatch.setattr(resource, "getrlimit", lambda _: (soft, hard))
    monkeypatch.setattr(resource, "setrlimit", lambda _, pair: asked.append(pair))

    raise_file_limit()

    assert asked == ([] if wanted is None else [wanted])
