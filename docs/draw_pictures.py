"""Draws the pictures of README.md anew, from the pages as they are and the invented demo box.

    python docs/draw_pictures.py

It needs what the tests of pages need: a Chromium and its driver.
"""

from __future__ import annotations

import base64
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
PICTURES = ROOT / "reference_demo" / "pictures"
LAPTOP, PHONE, PHONE_SCALE = (1280, 860), (390, 844), 1.5
PIECE = 14
"""The piece of the demo box that is shown: it misleads, and its next look is drawn."""


def draw() -> None:
    """Serve the demo box, and take the three pictures."""
    from web_browsing import browsing
    from web_serving import serving

    with tempfile.TemporaryDirectory() as folder, serving(Path(folder)) as served:
        visitor = served.visitor()
        visitor.post("/demo")
        links = _links(visitor.get("/box/1").text, "/piece/")
        piece = [each for each in links if not each.endswith("/look")][PIECE - 1]
        with browsing(LAPTOP) as browser:
            _take(browser, served.address + "/box/1/glance", "glance")  # reads all of the box
            _take(browser, served.address + piece, "piece")
        with browsing(PHONE) as browser:
            _take(browser, served.address + piece + "/look", "look", PHONE_SCALE)


def _links(page: str, begin: str) -> list[str]:
    """The addresses on a page that begin so, each once, in order."""
    found = (part.split('"', 1)[0] for part in page.split('href="')[1:])
    return list(
        dict.fromkeys(each.split("?")[0].split("#")[0] for each in found if each.startswith(begin))
    )


def _take(browser: Any, address: str, name: str, scale: float = 1) -> None:
    browser.open(address)
    browser.run("window.scrollTo(0, 0)")
    width, height = browser.run("return [window.innerWidth, window.innerHeight]")
    clip = {"x": 0, "y": 0, "width": width, "height": height, "scale": scale}
    taken = browser.command("Page.captureScreenshot", {"clip": clip})
    (PICTURES / f"{name}.png").write_bytes(base64.b64decode(taken["data"]))


if __name__ == "__main__":
    sys.path[:0] = [str(ROOT / "tests" / "web"), str(ROOT / "tests" / "support")]
    draw()
