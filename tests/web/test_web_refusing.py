"""What the bench page refuses. No browser is needed to see it.

Sources: WHATWG Fetch 3.2 (Origin), RFC 9110 (Host, 413, 421), RFC 6265bis (SameSite, HttpOnly),
W3C Content Security Policy level 3, OWASP Cross-Site Request Forgery Prevention Cheat Sheet.
"""

from __future__ import annotations

import http.client
import io
import re
import socket
from collections.abc import Iterator

import pytest
from web_serving import Served, Visitor

from markrules.web.guard import LARGEST_POST, LARGEST_UPLOAD, LONGEST_ADDRESS
from markrules.web.pages import routes

pytest.importorskip("PIL")


def raw(
    served: Served, method: str, path: str, headers: dict[str, str] | None = None, body: bytes = b""
) -> tuple[int, bytes, dict[str, str]]:
    """A request as given, with nothing put right on the way."""
    connection = http.client.HTTPConnection("127.0.0.1", served.port, timeout=60)
    connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    given = {"Host": served.host, **(headers or {})}
    if body and "Content-Length" not in given:
        given["Content-Length"] = str(len(body))
    for name, value in given.items():
        if value:
            connection.putheader(name, value)
    connection.endheaders(body or None)
    answer = connection.getresponse()
    data = answer.read()
    found = {name.lower(): value for name, value in answer.getheaders()}
    connection.close()
    return answer.status, data, found


@pytest.mark.parametrize(
    "host",
    ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example:{port}", "", "[::1]"],
)
def test_a_foreign_host_is_refused(served: Served, host: str) -> None:
    status, body, _ = raw(served, "GET", "/", {"Host": host.format(port=served.port)})

    assert status in (400, 421)
    assert b"<main" not in body


def test_the_loopback_names_are_answered(served: Served) -> None:
    for host in (
        f"127.0.0.1:{served.port}",
        f"localhost:{served.port}",
        f"LOCALHOST:{served.port}",
    ):
        assert raw(served, "GET", "/", {"Host": host})[0] == 200


@pytest.mark.parametrize(
    "origin",
    [
        "http://evil.example",
        "null",
        "https://127.0.0.1:{port}",
        "http://127.0.0.1:1",
        "http://127.0.0.1:{port}.evil.example",
        "http://user@127.0.0.1:{port}",
        "",
    ],
)
def test_a_form_from_elsewhere_is_refused(served: Served, visitor: Visitor, origin: str) -> None:
    token = visitor.token()
    before = visitor.get("/").text
    headers = {"origin": origin.format(port=served.port)} if origin else {}

    answer = visitor.client.post("/boxes", data={"token": token, "name": "x"}, headers=headers)

    assert answer.status_code == 403
    assert visitor.get("/").text.count("/box/") == before.count("/box/")


def test_a_referer_stands_in_for_a_missing_origin(served: Served, visitor: Visitor) -> None:
    token = visitor.token()
    good = visitor.client.post(
        "/boxes",
        data={"token": token, "name": "by referer"},
        headers={"referer": f"{served.address}/"},
    )
    bad = visitor.client.post(
        "/boxes", data={"token": token, "name": "no"}, headers={"referer": "http://evil.example/"}
    )

    assert good.status_code == 200
    assert bad.status_code == 403


POSTS = sorted({path for method, path, _ in routes() if method == "POST"})


@pytest.mark.parametrize("path", POSTS)
@pytest.mark.parametrize("token", ["", "0" * 64, "é"])
def test_every_form_needs_its_token(
    served: Served, visitor: Visitor, path: str, token: str
) -> None:
    visitor.get("/")
    address = re.sub(r"\{\w+\}", "1", path)

    answer = visitor.client.post(
        address, data={"token": token, "name": "x"}, headers={"origin": served.address}
    )

    assert answer.status_code == 403


def test_another_visitors_token_is_refused(served: Served) -> None:
    one, other = served.visitor(), served.visitor()

    answer = other.client.post(
        "/boxes",
        data={"token": one.token(), "name": "x"},
        headers={"origin": served.address},
    )

    assert answer.status_code == 403


def test_a_forged_cookie_is_a_stranger(served: Served, visitor: Visitor) -> None:
    visitor.post("/table", {"who": "Ada"})
    name, _, value = visitor.cookie.partition("=")
    body, _, signature = value.partition(".")
    for forged in (f"{body}x.{signature}", f"{body}.{'0' * 64}", "x", ".", "a" * 5000):
        status, page, _ = raw(served, "GET", "/table", {"Cookie": f"{name}={forged}"})
        assert status == 200
        assert b"Ada" not in page


def test_two_benches_on_one_machine_keep_apart(
    served: Served, visitor: Visitor, shared: Served
) -> None:
    """Cookies are kept by host without its port (RFC 6265, 8.5): their names must differ."""
    other = shared.visitor()
    other.get("/enter")
    visitor.get("/")

    assert other.cookie.partition("=")[0] != visitor.cookie.partition("=")[0]


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE", "OPTIONS", "CONNECT"])
def test_only_reading_and_forms(served: Served, method: str) -> None:
    status, _, _ = raw(served, method, "/", {"Origin": served.address})

    assert status in (400, 405)


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/..%2fapp.py",
        "/static/%2e%2e/%2e%2e/app.py",
        "/static/..%5c..%5capp.py",
        "/static//etc/passwd",
        "/static/bench.css%00.py",
        "/static/",
        "/static",
        "/static/../desk.py",
        "/static/..%2f..%2f..%2f..%2f..%2fetc%2fpasswd",
        "/picture/../../../../etc/passwd",
        "/picture/%2e%2e%2fcatalogue.db",
        "/thumbnail/..%2f..%2fcatalogue.db",
        "/templates/base.html",
        "/../catalogue.db",
        "/piece/..%2f..%2fetc",
        "//etc/passwd",
    ],
)
def test_nothing_but_what_is_named_is_served(served: Served, path: str) -> None:
    status, body, _ = raw(served, "GET", path)

    assert status in (307, 404)
    assert b"root:" not in body
    assert b"def " not in body
    assert b"SQLite format" not in body


def test_every_answer_carries_its_headers(served: Served, visitor: Visitor) -> None:
    for path in ("/", "/marks", "/nothing-here", "/static/bench.css", "/piece/none"):
        headers = visitor.get(path).headers
        policy = dict(
            part.strip().partition(" ")[::2]
            for part in headers["content-security-policy"].split(";")
        )
        assert policy["default-src"] == "'none'"
        assert policy["script-src"] == "'self'"
        assert policy["style-src"] == "'self'"
        assert policy["frame-ancestors"] == "'none'"
        assert policy["form-action"] == "'self'"
        assert policy["base-uri"] == "'none'"
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["x-frame-options"] == "DENY"
        assert "server" not in headers or "uvicorn" in headers["server"]


def test_no_page_has_script_or_style_in_it(served: Served, visitor: Visitor) -> None:
    piece = visitor.start_box("inline", "brooch, rollover catch, marked ?RIF...")[0]
    for path in ("/", "/marks?read=?RIF...", "/book?q=catch", piece, f"{piece}/look", "/stones"):
        page = visitor.get(path).text
        assert not re.search(r"<script(?![^>]*\bsrc=)", page)
        assert not re.search(r"\sstyle=", page)
        assert not re.search(r"\son[a-z]+=", page)
        assert "<style" not in page


def test_no_page_names_another_place(served: Served, visitor: Visitor) -> None:
    piece = visitor.start_box("offline", "brooch, rollover catch")[0]
    for path in ("/", "/marks", piece, f"{piece}/look", "/static/bench.css", "/static/bench.js"):
        page = visitor.get(path).text
        assert not re.search(
            r"""(?:src|href|action|url\(|import)\s*=?\s*["'(]?(?:https?:)?//""", page
        )


def test_the_cookie_is_kept_from_scripts_and_sites(served: Served) -> None:
    _, _, headers = raw(served, "GET", "/")

    parts = {part.strip().lower() for part in headers["set-cookie"].split(";")}
    assert {"httponly", "samesite=strict", "path=/"} <= parts
    assert not any(part.startswith("domain") for part in parts)


def test_a_form_that_is_too_large_is_refused(served: Served, visitor: Visitor) -> None:
    headers = {"Origin": served.address, "Content-Type": "application/x-www-form-urlencoded"}
    told = {**headers, "Content-Length": str(LARGEST_POST + 1)}

    status, body, _ = raw(served, "POST", "/boxes", told)

    assert status == 413
    assert b"too large" in body


def test_a_form_that_hides_its_size_is_refused(served: Served, visitor: Visitor) -> None:
    token = visitor.token()

    def pieces() -> Iterator[bytes]:
        yield f"token={token}&name=x".encode()
        for number in range(30):
            yield f"&f{number}=".encode() + b"x" * 100_000

    answer = visitor.client.post(
        "/boxes",
        content=pieces(),
        headers={
            "origin": served.address,
            "content-type": "application/x-www-form-urlencoded",
            "cookie": visitor.cookie,
        },
    )

    assert answer.status_code == 413


def test_an_upload_beyond_the_limit_is_refused_before_it_is_read(
    served: Served, visitor: Visitor
) -> None:
    piece = visitor.start_box("uploads, large", "brooch")[0]
    headers = {
        "Origin": served.address,
        "Content-Type": "multipart/form-data; boundary=x",
        "Content-Length": str(LARGEST_UPLOAD + 1),
    }

    # No byte of the body is ever sent: an answer at all shows that none was waited for.
    status, body, _ = raw(served, "POST", f"{piece}/photos", headers)

    assert status == 413
    assert b"million bytes" in body


def a_bomb() -> bytes:
    """A PNG of 30,000 x 30,000 pixels in half a megabyte: written so, it is packed in no time."""
    from PIL import Image

    held = io.BytesIO()
    Image.new("1", (30_000, 30_000)).save(held, "PNG", compress_level=1)
    return held.getvalue()


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("notes.txt", b"not a photo at all", "JPEG, PNG and WebP"),
        ("photo.jpg", b"\xff\xd8\xff\xe0 cut short", "photo"),
        ("photo.png", b"\x89PNG\r\n\x1a\n" + b"\x00" * 64, "photo"),
        ("photo.svg", b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "JPEG, PNG"),
        ("photo.html", b"<script>alert(1)</script>", "JPEG, PNG and WebP"),
        ("photo.heic", b"\x00\x00\x00\x18ftypheic" + b"\x00" * 64, "HEIC"),
        ("archive.zip", b"PK\x03\x04" + b"\x00" * 64, "JPEG, PNG and WebP"),
        ("empty.jpg", b"", "No photo came"),
    ],
)
def test_what_is_no_photo_is_refused_kindly(
    served: Served, visitor: Visitor, name: str, data: bytes, said: str
) -> None:
    piece = visitor.start_box(f"uploads {name}", "brooch")[0]

    answer = visitor.post(f"{piece}/photos", {"place": "back"}, files={"photo": (name, data)})

    assert answer.status_code == 400
    assert said in answer.text
    assert "Traceback" not in answer.text
    assert "/thumbnail/" not in visitor.get(piece).text


def test_an_image_bomb_is_refused(served: Served, visitor: Visitor) -> None:
    piece = visitor.start_box("uploads, bomb", "brooch")[0]

    answer = visitor.post(f"{piece}/photos", files={"photo": ("a.png", a_bomb())})

    assert answer.status_code == 400
    assert "pixels" in answer.text


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"--x",
        b"--x\r\nContent-Disposition: form-data\r\n\r\n",
        b'--x\r\nContent-Disposition: form-data; name="token"\r\n\r\n' + b"a" * 900_000,
        b"--x\r\n" + b"A: " + b"b" * 200_000 + b"\r\n\r\n",
        b"\x00" * 1000,
    ],
)
def test_a_malformed_form_is_refused(served: Served, body: bytes) -> None:
    headers = {"Origin": served.address, "Content-Type": "multipart/form-data; boundary=x"}

    status, answer, _ = raw(served, "POST", "/boxes", headers, body or b"x")

    assert status in (400, 403, 413)
    assert b"Traceback" not in answer


def test_many_fields_are_refused(served: Served, visitor: Visitor) -> None:
    parts = "".join(
        f'--x\r\nContent-Disposition: form-data; name="f{n}"\r\n\r\n1\r\n' for n in range(2000)
    )
    headers = {"Origin": served.address, "Content-Type": "multipart/form-data; boundary=x"}

    status, _, _ = raw(served, "POST", "/boxes", headers, f"{parts}--x--\r\n".encode())

    assert status == 400


@pytest.mark.parametrize("kind", ["application/json", "text/plain", "", "multipart/form-data"])
def test_what_is_no_form_is_refused(served: Served, kind: str) -> None:
    headers = {"Origin": served.address, "Content-Type": kind}

    status, _, _ = raw(served, "POST", "/boxes", headers, b'{"name": "x"}')

    assert status in (400, 403, 415)


def test_a_slow_or_broken_request_does_not_stop_the_others(
    served: Served, visitor: Visitor
) -> None:
    waiting = [socket.create_connection(("127.0.0.1", served.port)) for _ in range(30)]
    for each in waiting:
        each.sendall(b"GET / HTTP/1.1\r\nHost: 127")

    assert visitor.get("/").status_code == 200

    for each in waiting:
        each.close()


@pytest.mark.parametrize(
    "path",
    [
        "/box/999999",
        "/box/-1",
        "/box/99999999999999999999",
        "/box/x",
        "/box/1?from=x",
        "/piece/aaaaaaaaaaaaaaaa",
        "/piece/%00",
        "/picture/" + "0" * 64,
        "/book/clue/none-such",
        "/book/maker/%3Cscript%3E",
        "/nowhere",
    ],
)
def test_what_is_not_there_is_told_plainly(visitor: Visitor, path: str) -> None:
    answer = visitor.get(path)

    assert answer.status_code in (400, 404)
    assert "Traceback" not in answer.text
    assert "<script>" not in answer.text


def test_a_very_long_address_is_refused(served: Served) -> None:
    """A note of 2,000 letters fits in any script; what is longer than that is refused."""
    status, _, _ = raw(served, "GET", "/search?q=" + "a" * LONGEST_ADDRESS)

    assert status == 414


def test_a_form_sends_nobody_elsewhere(visitor: Visitor) -> None:
    visitor.start_box("to be undone")
    for back in ("http://evil.example/", "//evil.example", "/\\evil.example", "/box/1\r\nX: y", ""):
        answer = visitor.client.post(
            "/redo" if back == "" else "/undo",
            data={"token": visitor.token(), "back": back},
            headers={"origin": visitor.served.address},
            follow_redirects=False,
        )
        assert answer.status_code in (303, 400)
        if answer.status_code == 303:
            assert answer.headers["location"] == "/past"


def test_more_lines_than_are_taken_at_once_are_shown_another_way(visitor: Visitor) -> None:
    visitor.start_box("far too many")
    box = visitor.get("/").text
    address = re.findall(r'href="(/box/[0-9]+)"', box)[0]

    told = visitor.post(f"{address}/pieces", {"notes": "ring\n" * 501})
    shown = visitor.post(f"{address}/import", {"pasted": "ring, 9ct\n" * 501}).text

    assert told.status_code == 400
    assert "501 lines at once; 500 at most are taken here." in told.text
    assert "Pieces from a table" in told.text
    assert "501 good lines" in shown
    assert "Enter 501 pieces" in shown
