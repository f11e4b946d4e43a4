"""A faint mark under several lamps, on the page: sent, boxed, looked at, kept, and on a sheet."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from lamp_simulator import Scene, photos
from PIL import Image
from web_browsing import PHONE, browsing
from web_serving import Served, Visitor

from markrules.catalogue.store import Catalogue

HOURS = (12, 3, 6, 9)


def send(visitor: Visitor, piece: str, shots: list[bytes]) -> str:
    """The page that asks for a box, after the photos were sent."""
    page = visitor.post(
        f"{piece}/lamps/photos",
        files=[
            (f"lamp-{hour}", (f"{hour}.jpg", data, "image/jpeg"))
            for hour, data in zip(HOURS, shots, strict=False)
        ],
    )
    assert page.status_code == 200
    return page.text


def percents(box: tuple[int, ...], shot: bytes) -> dict[str, str]:
    width, height = Image.open(io.BytesIO(shot)).size
    shares = (box[0] / width, box[1] / height, box[2] / width, box[3] / height)
    return {
        name: f"{share * 100:.2f}"
        for name, share in zip(("left", "top", "width", "height"), shares, strict=True)
    }


def the_photos(page: str) -> str:
    found = re.search(r'name="at" value="([^"]+)"', page)
    assert found is not None
    return found[1]


@pytest.fixture(scope="module")
def scene() -> tuple[list[bytes], tuple[int, ...]]:
    shots, box, _ = photos(Scene(depth=0.03))
    return shots, tuple(int(each) for each in box)


def test_a_mark_is_boxed_and_its_relief_kept_and_named(
    served: Served, visitor: Visitor, scene: tuple[list[bytes], tuple[int, ...]]
) -> None:
    shots, box = scene
    piece = visitor.start_box("lamps", "brooch, C catch")[0]

    asked = send(visitor, piece, shots)
    page = visitor.post(
        f"{piece}/lamps/find", {"at": the_photos(asked), "lines": "1", **percents(box, shots[0])}
    )

    assert page.status_code == 200
    assert "times the grain" in page.text
    assert page.text.count("/lit/") == 4
    lit = re.findall(r'src="([^"]+/lit/\d)"', page.text)
    assert visitor.get(lit[0]).headers["content-type"] == "image/png"
    with Catalogue(served.catalogue) as catalogue:
        kept = catalogue.photos.of(catalogue.pieces.by_uid(piece.rpartition("/")[2]))
    made = [each for each in kept if each.made_from is not None]
    assert [each.made_from.shows for each in made if each.made_from] == ["alike", "height"]
    assert made[0].made_from is not None
    assert made[0].made_from.photos == tuple(each.id for each in kept[:4])
    sheet = visitor.get(f"{piece}/sheet").text
    assert "worked out from 4 photos lit from several sides" in sheet


def test_two_photos_are_too_few(
    visitor: Visitor, scene: tuple[list[bytes], tuple[int, ...]]
) -> None:
    piece = visitor.start_box("too few", "brooch")[0]

    page = visitor.post(
        f"{piece}/lamps/photos",
        files=[("lamp-12", ("a.jpg", scene[0][0], "image/jpeg"))],
    )

    assert page.status_code == 400
    assert "Three photos at least" in page.text


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"width": "0.1", "height": "0.1"}, "too small"),
        ({"left": "95"}, "outside the first photo"),
        ({"left": "wide"}, "percent is wanted"),
    ],
)
def test_a_box_that_cannot_serve_is_refused_in_words(
    visitor: Visitor,
    scene: tuple[list[bytes], tuple[int, ...]],
    fields: dict[str, str],
    says: str,
) -> None:
    shots, box = scene
    piece = visitor.start_box(f"bad box, {says}", "brooch")[0]
    asked = send(visitor, piece, shots)

    page = visitor.post(
        f"{piece}/lamps/find",
        {"at": the_photos(asked), "lines": "1", **percents(box, shots[0]), **fields},
    )

    assert page.status_code in (400, 409)
    assert says in page.text


@pytest.mark.slow
def test_the_box_is_dragged_on_a_phone(
    served: Served,
    visitor: Visitor,
    scene: tuple[list[bytes], tuple[int, ...]],
    tmp_path: Path,
) -> None:
    shots, box = scene
    piece = visitor.start_box("dragged", "brooch, C catch")[0]
    with browsing(PHONE) as browser:
        from selenium.webdriver.common.action_chains import ActionChains
        from selenium.webdriver.common.by import By

        browser.open(f"{served.address}{piece}/lamps")
        for hour, data in zip(HOURS, shots, strict=True):
            file = tmp_path / f"{hour}.jpg"
            file.write_bytes(data)
            browser.one(f"input[name=lamp-{hour}]").send_keys(str(file))
        browser.press(browser.button("Send the photos"))
        browser.wait(lambda: browser.one("#boxing"))
        photo = browser.one("#boxing")
        browser.driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", photo)
        width = Image.open(io.BytesIO(shots[0])).size[0]
        scale = photo.rect["width"] / width
        middle = photo.rect["width"] / 2, photo.rect["height"] / 2
        ActionChains(browser.driver).move_to_element_with_offset(
            photo, round(box[0] * scale - middle[0]), round(box[1] * scale - middle[1])
        ).click_and_hold().move_by_offset(
            round(box[2] * scale / 2), round(box[3] * scale / 2)
        ).move_by_offset(round(box[2] * scale / 2), round(box[3] * scale / 2)).release().perform()
        given = browser.one("input[name=width]").get_attribute("value")
        assert abs(float(given) - 100 * box[2] / width) < 3

        browser.press(browser.button("Show the relief"))
        browser.wait(lambda: browser.one(".flick"))
        shown = [
            each
            for each in browser.driver.find_elements(By.CSS_SELECTOR, ".flick img")
            if each.is_displayed()
        ]
        assert len(shown) == 1
        assert not browser.complaints()
