"""A real browser for a test: headless Chromium, driven over the WebDriver protocol."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

PHONE, LAPTOP = (360, 740), (1280, 800)
FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
)
_SCRIPTS_BLOCKED = {"profile.managed_default_content_settings.javascript": 2}


def needs_chromium() -> None:
    """Skip, saying why, where there is no Chromium to drive."""
    pytest.importorskip("selenium", reason="selenium is not installed (pip install selenium)")
    for program in ("chromium", "chromedriver"):
        if shutil.which(program) is None:
            pytest.skip(f"no {program} here (Debian: apt-get install chromium chromium-driver)")


def axe_source() -> str:
    """The accessibility checker axe-core, or a skip that says where to put it."""
    here = Path(__file__).resolve().parents[2]
    places = [os.environ.get("MARKRULES_AXE", ""), here / ".ci/node_modules/axe-core/axe.min.js"]
    for place in places:
        if place and Path(place).is_file():
            return Path(place).read_text(encoding="utf-8")
    pytest.skip("axe-core is not here (npm install --prefix .ci axe-core, or set MARKRULES_AXE)")


class Browser:
    """A window of a given size; what is called here acts as a person does."""

    def __init__(self, driver: Any, size: tuple[int, int]) -> None:
        self.driver = driver
        self.resize(*size)

    def resize(self, width: int, height: int, scale: float = 1) -> None:
        metrics = {"width": width, "height": height, "deviceScaleFactor": scale}
        self.command("Emulation.setDeviceMetricsOverride", {**metrics, "mobile": width < 600})

    def scheme(self, name: str, media: str = "") -> None:
        features = [{"name": "prefers-color-scheme", "value": name}]
        self.command("Emulation.setEmulatedMedia", {"media": media, "features": features})

    def command(self, name: str, values: dict[str, Any]) -> Any:
        return self.driver.execute_cdp_cmd(name, values)

    def open(self, address: str) -> None:
        self.driver.get(address)

    def run(self, script: str, *values: Any) -> Any:
        return self.driver.execute_script(script, *values)

    def all(self, selector: str) -> list[Any]:
        found: list[Any] = self.driver.find_elements("css selector", selector)
        return found

    def one(self, selector: str) -> Any:
        return self.driver.find_element("css selector", selector)

    def button(self, words: str) -> Any:
        path = f"//button[contains(normalize-space(.), {json.dumps(words)})]"
        return self.driver.find_element("xpath", path)

    def press(self, element: Any) -> None:
        """Bring the element into view and click it; a selector is looked up as often as needed."""
        if isinstance(element, str):
            self.steadily(lambda: self.press(self.one(element)))
            return
        self.driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", element)
        element.click()

    def write(self, selector: str, text: str) -> None:
        def fill() -> None:
            field = self.one(selector)
            field.clear()
            field.send_keys(text)

        self.steadily(fill)

    def steadily(self, act: Callable[[], Any]) -> Any:
        """What `act` gives, done again where the page was redrawn between two of its steps.

        A page that another person writes on is redrawn at any time, so that what was found a
        moment ago is no longer on it.
        """
        from selenium.common.exceptions import StaleElementReferenceException

        for _ in range(50):
            try:
                return act()
            except StaleElementReferenceException:
                time.sleep(0.05)
        return act()

    def wait(self, what: Any, seconds: float = 15) -> Any:
        from selenium.common.exceptions import WebDriverException
        from selenium.webdriver.support.ui import WebDriverWait

        # While one page gives way to another, what was found may belong to neither.
        ignored = (WebDriverException,)
        return WebDriverWait(self.driver, seconds, 0.05, ignored).until(lambda _: what())

    @property
    def text(self) -> str:
        return str(self.steadily(lambda: self.one("body").text))

    @property
    def made(self) -> str:
        return str(self.steadily(lambda: self.one(".made").text))

    def requests(self) -> list[str]:
        """The addresses that were asked for since this was last called."""
        found = []
        for line in self.driver.get_log("performance"):
            message = json.loads(line["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                found.append(message["params"]["request"]["url"])
        return found

    def complaints(self) -> list[str]:
        """What the console holds against the page: errors, and breaches of its policy."""
        return [line["message"] for line in self.driver.get_log("browser")]


_idle: dict[bool, list[Any]] = {True: [], False: []}
"""Browsers that are started and that no test uses, with scripts and without: to start one takes
two seconds of a core, more than most of what is done with it.
"""


@contextmanager
def browsing(size: tuple[int, int] = LAPTOP, *, scripts: bool = True) -> Iterator[Browser]:
    """A new window that knows nothing of those before it, closed when the block ends.

    Two that are open at once stand in two browsers. What a page keeps is kept by its address, and
    each server has one of its own; but cookies know no ports, and are thrown away.
    """
    needs_chromium()
    driver = _idle[scripts].pop() if _idle[scripts] else _started(scripts)
    first = driver.current_window_handle
    driver.switch_to.new_window("window")
    for forgotten in ("Network.clearBrowserCookies", "Network.clearBrowserCache"):
        driver.execute_cdp_cmd(forgotten, {})
    browser = Browser(driver, size)
    browser.requests(), browser.complaints()  # what earlier windows left
    try:
        yield browser
    finally:
        driver.close()
        driver.switch_to.window(first)
        _idle[scripts].append(driver)


def _started(scripts: bool) -> Any:
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    profile = tempfile.mkdtemp(prefix="bench-browser-")
    options = webdriver.ChromeOptions()
    for flag in (*FLAGS, f"--user-data-dir={profile}", "--window-size=1280,800"):
        options.add_argument(flag)
    options.binary_location = shutil.which("chromium") or ""
    options.set_capability("goog:loggingPrefs", {"performance": "ALL", "browser": "ALL"})
    if not scripts:
        options.add_experimental_option("prefs", _SCRIPTS_BLOCKED)
    return webdriver.Chrome(options, Service(shutil.which("chromedriver") or ""))


def close_all() -> None:
    """Close the browsers that no test uses any more, and take their profiles away."""
    for idle in _idle.values():
        while idle:
            driver = idle.pop()
            profile = driver.capabilities["chrome"]["userDataDir"]
            driver.quit()
            shutil.rmtree(profile, ignore_errors=True)
