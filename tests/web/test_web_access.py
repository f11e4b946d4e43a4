"""Sharing the bench: one-time codes, how often they may be tried, and who wrote what."""

from __future__ import annotations

import io
import re
from collections import deque
from pathlib import Path

import pytest
from PIL import Image
from web_serving import LOOPBACK, Served, Visitor, serving

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
from markrules.web.pages.entrance import local_address


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
        if path in ("/enter", "/static/{name}", "/manifest.webmanifest"):
            continue
        address = re.sub(r"\{\w+\}", "1", path)
        answer = stranger.client.request(
            method, address, headers={"origin": shared.address}, follow_redirects=False
        )
        assert answer.status_code in (303, 403), (method, path)
        assert answer.headers.get("location", "/enter").partition("?")[0] == "/enter"
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
    for words in ("catch: rollover", "hinge: tube hinge", "catch: C catch"):
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


def test_a_step_can_be_taken_back_by_the_browser_it_came_from_alone(shared: Served) -> None:
    """Whatever names are typed: the button stands where it works, and nowhere else."""
    ada, other = come_in(shared, "Ada"), come_in(shared, "Ada")
    piece = ada.start_box("tin", "brooch")[0]
    other.post(f"{piece}/see", {"feature": "catch", "value": "rollover"})
    ada.post("/table", {"who": "Ada, renamed"})

    buttons = re.compile(r'name="step" value="(\d+)"')
    assert buttons.findall(ada.get("/past").text) == ["2", "1"]
    assert buttons.findall(other.get("/past").text) == ["3"]


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
        assert "was it moved while the page was open? Put it back" in answer.text
        assert str(served.catalogue.parent) not in answer.text
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

    assert guest.client.get("/", follow_redirects=False).headers["location"].startswith("/enter")
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


def test_the_computer_that_serves_needs_no_code(tmp_path: Path) -> None:
    with serving(tmp_path, shared=True, own_address=LOOPBACK) as served:
        host = served.visitor()
        assert host.client.get("/", follow_redirects=False).status_code == 200
        assert host.get("/archive").status_code == 200  # it keeps the table
        page = host.get("/table").text
        assert served.codes[-1] in page
        assert "(host)" in page


def test_from_elsewhere_the_code_is_asked_for(tmp_path: Path) -> None:
    """Who comes from another address than the server's own is a guest, also the first to come."""
    with serving(tmp_path, shared=True, own_address="192.0.2.7") as served:
        assert served.visitor().client.get("/", follow_redirects=False).status_code == 303
        guest = come_in(served, "Ada")
        assert guest.get("/").status_code == 200
        assert guest.get("/archive").status_code == 403
        assert "(host)" not in guest.get("/table").text


def test_the_address_is_shown_as_a_qr_code_that_carries_the_code(tmp_path: Path) -> None:
    """Read back by zxing-cpp, an independent reader of ISO/IEC 18004."""
    zxingcpp = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed")
    with serving(tmp_path, shared=True, own_address=LOOPBACK) as served:
        page = served.visitor().get("/table").text
        drawn = re.search(r'class="qr".*?<path [^>]*d="([^"]+)"', page, re.DOTALL)
        size = re.search(r'class="qr".*?viewBox="0 0 (\d+) (\d+)"', page, re.DOTALL)
        assert drawn is not None
        assert size is not None

        found = zxingcpp.read_barcodes(modules(drawn[1], int(size[1])))

        code = served.codes[-1]
        assert [each.text for each in found] == [f"{served.address}/enter?code={code}"]
        stranger = served.visitor().client.get(f"/enter?code={code}", follow_redirects=False)
        assert stranger.status_code == 303  # on this computer, at once


def modules(path: str, size: int) -> Image.Image:
    """The picture of a path of horizontal strokes, as segno draws them, eight pixels a module."""
    image = Image.new("L", (size, size), 255)
    x = y = 0.0
    for letter, text in re.findall(r"([Mmh])([-\d. ]*)", path):
        numbers = [float(each) for each in re.findall(r"-?[\d.]+", text)]
        if letter == "M":
            x, y = numbers
        elif letter == "m":
            x, y = x + numbers[0], y + numbers[1]
        else:
            for at in range(int(numbers[0])):
                image.putpixel((int(x) + at, int(y)), 0)
            x += numbers[0]
    return image.resize((8 * size, 8 * size), Image.Resampling.NEAREST)


def test_a_wrong_code_keeps_the_name(shared: Served) -> None:
    visitor = shared.visitor()
    token = re.search(r'name="token" value="([0-9a-f]+)"', visitor.get("/enter").text)
    assert token is not None
    page = visitor.client.post(
        "/enter",
        data={"token": token[1], "code": "WRONG", "who": 'Ada "L"'},
        headers={"origin": shared.address},
    ).text

    assert 'name="who" required maxlength="40" value="Ada &#34;L&#34;"' in page
    assert re.search(r'name="code"[^>]*aria-invalid="true" aria-describedby="wrong"', page)
    assert "WRONG" not in page


def test_a_deep_link_survives_the_door(shared: Served) -> None:
    ada = come_in(shared, "Ada")
    piece = ada.start_box("tin", "brooch")[0]
    stranger = shared.visitor()

    door = stranger.get(f"{piece}/what-if?part=catch")
    token = re.search(r'name="token" value="([0-9a-f]+)"', door.text)
    wanted = re.search(r'name="to" value="([^"]+)"', door.text)
    assert token is not None
    assert wanted is not None
    fields = {"token": token[1], "code": "WRONG", "who": "Ben", "to": wanted[1]}
    head = {"origin": shared.address}
    again = stranger.client.post("/enter", data=fields, headers=head).text
    assert f'name="to" value="{wanted[1]}"' in again
    fields["code"] = shared.codes[-1]
    inside = stranger.client.post("/enter", data=fields, headers=head)

    assert inside.status_code == 200
    assert inside.url.path == f"{piece}/what-if"
    assert inside.url.query == b"part=catch"


@pytest.mark.parametrize(
    "elsewhere",
    ["//evil.example", "https://evil.example/", "/\\evil.example", "/\tevil", "javascript:1", "x"],
)
def test_the_door_leads_nowhere_else(elsewhere: str) -> None:
    assert local_address(elsewhere) == ""
    assert local_address("/piece/abc?more=1") == "/piece/abc?more=1"
