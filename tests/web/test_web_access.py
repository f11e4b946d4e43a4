"""Sharing the bench: one-time codes, how often they may be tried, and who wrote what."""

from __future__ import annotations

import io
import re
from collections import deque

from PIL import Image
from web_serving import Served, Visitor

from markrules.web.access import (
    CODE_LENGTH,
    CODE_LETTERS,
    MOST_ADDRESSES,
    TRIES_A_MINUTE,
    Door,
    Seal,
    clean_who,
)
from markrules.web.pages import routes


def come_in(served: Served, who: str) -> Visitor:
    visitor = served.visitor()
    token = re.search(r'name="token" value="([0-9a-f]+)"', visitor.get("/enter").text)
    assert token is not None
    answer = visitor.client.post(
        "/enter",
        data={"token": token[1], "code": served.codes[-1], "who": who},
        headers={"origin": served.address},
    )
    assert answer.status_code == 200
    assert answer.url.path == "/"
    return visitor


def knock(visitor: Visitor, code: str, who: str = "Eve") -> int:
    token = re.search(r'name="token" value="([0-9a-f]+)"', visitor.get("/enter").text)
    assert token is not None
    return visitor.client.post(
        "/enter",
        data={"token": token[1], "code": code, "who": who},
        headers={"origin": visitor.served.address},
        follow_redirects=False,
    ).status_code


def test_without_the_code_nothing_is_shown(shared: Served) -> None:
    stranger = shared.visitor()
    for method, path, _ in routes():
        if path in ("/enter", "/static/{name}"):
            continue
        address = re.sub(r"\{\w+\}", "1", path)
        answer = stranger.client.request(
            method, address, headers={"origin": shared.address}, follow_redirects=False
        )
        assert answer.status_code in (303, 403), (method, path)
        assert answer.headers.get("location", "/enter") == "/enter"
        assert "<main" not in answer.text
    assert stranger.client.get("/nowhere", follow_redirects=False).status_code == 303


def test_a_code_lets_one_in_and_is_then_used_up(shared: Served) -> None:
    first = shared.codes[-1]
    ada = come_in(shared, "Ada")

    assert ada.get("/").status_code == 200
    assert knock(shared.visitor(), first) == 403
    assert shared.codes[-1] != first
    assert shared.codes[-1] in ada.get("/table").text


def test_the_code_may_be_typed_carelessly(shared: Served) -> None:
    careless = shared.codes[-1].lower().replace("-", " ")

    assert knock(shared.visitor(), f" {careless} ", "Ada") == 303


def test_guessing_is_slowed_down(shared: Served) -> None:
    stranger = shared.visitor()
    answers = [knock(stranger, "WRONGWRO") for _ in range(7)]

    assert answers[:5] == [403] * 5
    assert answers[5:] == [429] * 2
    assert knock(stranger, shared.codes[-1], "Ada") == 429


def test_wrong_codes_from_many_addresses_keep_nobody_else_out() -> None:
    seconds = [0.0]
    door = Door(clock=lambda: seconds[0])
    for number in range(600):
        seconds[0] += 0.05
        assert not door.open("WRONG", f"10.0.{number % 60}.1")

    assert door.wait("10.0.1.1") > 0
    assert not door.open(door.code, "10.0.1.1")
    assert door.wait("10.9.9.9") == 0
    assert door.open(door.code, "10.9.9.9")
    seconds[0] += 61.0
    assert door.open(door.code, "10.0.1.1")


def test_what_is_remembered_of_wrong_codes_is_bounded() -> None:
    door = Door(clock=lambda: 0.0)
    for number in range(MOST_ADDRESSES + 50):
        door._wrong.setdefault(str(number), deque([0.0]))
    door.open("WRONG", "10.0.0.1")

    assert len(door._wrong) == MOST_ADDRESSES


def test_a_code_is_hard_to_guess() -> None:
    """From a thousand addresses at the greatest rate, an hour succeeds with under one in 10^6."""
    tries = TRIES_A_MINUTE * 60 * 1000

    assert tries / len(CODE_LETTERS) ** CODE_LENGTH < 1e-6
    assert not set("01OI") & set(CODE_LETTERS)
    assert len({Door().code for _ in range(200)}) == 200


def test_a_name_is_needed_and_made_plain(shared: Served) -> None:
    assert knock(shared.visitor(), shared.codes[-1], "  ") == 400
    assert clean_who("  Ada\n\t\x1b Lovelace  ") == "Ada Lovelace"
    assert len(clean_who("x" * 500)) == 40


def test_a_cookie_holds_only_while_its_server_runs() -> None:
    one, other = Seal(), Seal()
    visitor = one.newcomer().named("Ada").let_in()

    assert one.visitor(one.cookie(visitor)).who == "Ada"
    assert one.visitor(one.cookie(visitor)).admitted
    assert not other.visitor(one.cookie(visitor)).admitted
    assert not one.is_token(visitor, other.token(visitor))


def test_letting_in_changes_the_identifier() -> None:
    """A session identifier is renewed on login (OWASP Session Management Cheat Sheet)."""
    newcomer = Seal().newcomer()

    assert newcomer.let_in().id != newcomer.id


def test_two_at_one_table_lose_nothing(shared: Served) -> None:
    ada, ben = come_in(shared, "Ada"), come_in(shared, "Ben")
    piece = ada.start_box("tin", "brooch")[0]
    ada.post(f"{piece}/see", {"feature": "catch", "value": "rollover", "certainty": "sure"})
    ben.post(f"{piece}/see", {"feature": "hinge", "value": "tube-hinge", "certainty": "fair"})
    ben.post(f"{piece}/see", {"feature": "catch", "value": "c-catch", "certainty": "guess"})

    page = ada.get(piece).text

    assert page.count("<bdi>Ada</bdi>,") >= 1
    assert page.count("<bdi>Ben</bdi>,") == 2
    for words in ("catch: rollover", "hinge: tube hinge", "catch: c catch"):
        assert f"<bdi>{words}</bdi>" in page


def test_undo_takes_back_ones_own(shared: Served) -> None:
    ada, ben = come_in(shared, "Ada"), come_in(shared, "Ben")
    piece = ada.start_box("tin", "brooch")[0]
    ada.post(f"{piece}/see", {"feature": "catch", "value": "rollover"})
    ben.post(f"{piece}/see", {"feature": "hinge", "value": "tube-hinge"})

    page = ada.post("/undo", {"back": piece}).text

    assert "<bdi>hinge: tube hinge</bdi>" in page
    assert "<bdi>catch: rollover</bdi>" not in page


def test_the_name_of_another_does_not_give_the_right_to_undo(shared: Served) -> None:
    ada, eve = come_in(shared, "Ada"), come_in(shared, "Ada")
    piece = ada.start_box("tin", "brooch")[0]
    ada.post(f"{piece}/see", {"feature": "catch", "value": "rollover"})

    assert eve.post("/undo", {"back": piece}).status_code == 400
    assert eve.post("/undo", {"back": piece, "step": "1"}).status_code == 400
    assert "<bdi>catch: rollover</bdi>" in ada.get(piece).text
    ada.post("/table", {"who": "Ada, renamed"})
    ada.post("/undo", {"back": piece})
    assert "<bdi>catch: rollover</bdi>" not in ada.get(piece).text


def test_undo_leaves_what_another_changed_since_and_says_so(shared: Served) -> None:
    ada, ben = come_in(shared, "Ada"), come_in(shared, "Ben")
    piece = ada.start_box("tin", "brooch")[0]
    ben.post(f"{piece}/see", {"feature": "catch", "value": "rollover"})

    answer = ada.post("/undo", {"back": piece})

    assert answer.status_code == 400
    assert "was used since, by Ben" in answer.text
    assert "<bdi>catch: rollover</bdi>" in ada.get(piece).text


def test_a_catalogue_moved_away_is_told_and_not_made_anew(served: Served) -> None:
    visitor = served.visitor()
    visitor.start_box("moved tin", "brooch")
    away = served.catalogue.with_name("away.db")
    served.catalogue.rename(away)
    try:
        answer = visitor.get("/")
        assert answer.status_code == 500
        assert "there is no such catalogue" in answer.text
        assert not served.catalogue.exists()
    finally:
        away.rename(served.catalogue)
    assert "moved tin" in visitor.get("/").text


def test_the_host_can_shut_a_browser_out(shared: Served) -> None:
    host, guest, other = come_in(shared, "Ada"), come_in(shared, "Ben"), come_in(shared, "Cy")
    page = host.get("/table").text
    assert [name in page for name in ("<bdi>Ada</bdi>", "<bdi>Ben</bdi>", "<bdi>Cy</bdi>")]
    browsers = re.findall(r'name="browser" value="([0-9a-f]+)"', page)
    assert len(browsers) == 2
    assert 'name="browser"' not in guest.get("/table").text
    assert guest.post("/table/out", {"browser": browsers[1]}).status_code == 403
    code = shared.codes[-1]

    assert host.post("/table/out", {"browser": browsers[0]}).status_code == 200

    assert guest.client.get("/", follow_redirects=False).headers["location"] == "/enter"
    assert knock(shared.visitor(), code) == 403
    assert other.get("/table").status_code == 200
    assert "<bdi>Ben</bdi>" not in host.get("/table").text
    assert host.post("/table/out", {"browser": browsers[0]}).status_code == 404


def test_it_is_said_that_sharing_is_not_encrypted(shared: Served) -> None:
    assert "not encrypted" in shared.visitor().get("/enter").text
    assert "not encrypted" in come_in(shared, "Ada").get("/table").text


def test_nothing_of_a_shared_table_is_kept_by_a_browser(shared: Served) -> None:
    """RFC 9111 5.2.2.5: no-store. Files that hold nothing private may be kept."""
    ada = come_in(shared, "Ada")
    piece = ada.start_box("tin", "brooch")[0]
    held = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(held, "PNG")
    page = ada.post(f"{piece}/photos", files={"photo": ("a.png", held.getvalue())}).text
    picture = re.search(r"/thumbnail/[0-9a-f]{64}", page)
    assert picture is not None
    for path in ("/", piece, "/table", picture[0], picture[0].replace("thumbnail", "picture")):
        assert ada.get(path).headers["cache-control"] == "no-store"
    assert "public" in ada.get("/static/bench.css").headers["cache-control"]
