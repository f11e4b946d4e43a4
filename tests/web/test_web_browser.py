"""The bench page in a real browser: the whole job, with and without scripts, by two at once."""

from __future__ import annotations

import base64
import io
import itertools
import time
from collections.abc import Iterator
from math import isqrt
from pathlib import Path

import pytest
from samples import FULL, some_of
from web_browsing import LAPTOP, PHONE, Browser, axe_source, browsing
from web_hostile import ATTACKS
from web_serving import Served

from markrules import photo_limits

pytestmark = pytest.mark.slow
OWN = ("/static/bench.js", "/static/letters.js")
NOTE = "brooch, C catch replaced by a rollover catch, tube hinge, closed back setting"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with browsing() as found:
        yield found


@pytest.fixture(scope="module")
def photo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from PIL import Image

    image = Image.effect_noise((900, 700), 60).convert("RGB")
    image.paste((150, 20, 40), (300, 200, 600, 500))
    path = tmp_path_factory.mktemp("photo") / "back.jpg"
    image.save(path, "JPEG")
    return path


def start(browser: Browser, served: Served, name: str, notes: str) -> None:
    """From the first page to a box with pieces."""
    browser.open(served.address)
    browser.write("input[name=name]", name)
    browser.press(browser.button("Start"))
    browser.wait(lambda: browser.one("textarea[name=notes]"))
    browser.write("textarea[name=notes]", notes)
    browser.press(browser.button("Add"))
    browser.wait(lambda: browser.one("a.row"), seconds=60)  # the first to come waits for the rules


def first_piece(browser: Browser) -> str:
    browser.press(browser.one("a.row"))
    browser.wait(lambda: browser.one("#answer"))
    return str(browser.driver.current_url).partition("?")[0]


@pytest.mark.parametrize("size", [PHONE, LAPTOP] if FULL else [PHONE], ids=str)
def test_the_whole_job(
    browser: Browser, served: Served, photo: Path, size: tuple[int, int]
) -> None:
    browser.resize(*size)
    start(browser, served, f"the whole job {size[0]}", NOTE)
    piece = first_piece(browser)
    before = browser.made
    browser.run("window.stayed = true")

    browser.write("#say input[name=words]", "carved jet, pin stem extends beyond the edge")
    browser.press(browser.one("form.say button"))

    browser.wait(lambda: browser.made != before)
    assert browser.run("return window.stayed")
    told = browser.run("return document.getElementById('told').textContent")
    assert before in told
    assert browser.made in told

    browser.open(f"{piece}/what-if")
    browser.press(browser.one("input[name=without]"))
    browser.wait(lambda: "dashed line" in browser.one("#part").text)
    assert browser.all(".curve .ghost")

    browser.open(f"{piece}/look")
    asked = browser.one("#ask").text
    browser.press(browser.one("button[name=dont-know]"))
    browser.wait(lambda: browser.one("#ask").text != asked)
    asked = browser.one("#ask").text
    browser.press(browser.one(".asked > .answers > .tick"))
    browser.press(browser.one(".pinned button.main"))
    browser.wait(lambda: browser.one("#ask").text != asked)
    assert browser.all(".change")

    browser.open(piece)
    browser.one("input[name=photo]:not([capture])").send_keys(str(photo))
    browser.press(browser.all("#photos button")[-1])
    browser.wait(lambda: browser.one(".photos img"))
    assert browser.one("input[capture]").get_attribute("capture") == "environment"
    browser.press(browser.one(".photos a"))
    browser.wait(lambda: browser.one("#photo"))
    browser.press(browser.one("#photo"))
    browser.wait(lambda: browser.one(".swatch"))
    browser.write("input[name=words]", "rhinestones")
    browser.press(browser.button("Pin"))
    browser.wait(lambda: browser.one(".pins li"))

    browser.open(piece)
    browser.press(browser.button("Keep this decision"))
    browser.wait(lambda: "Kept:" in browser.one("#worth").text)

    browser.open(f"{piece}/papers")
    assert len(browser.one("textarea[readonly]").get_attribute("value")) > 100
    browser.open(f"{piece}/sheet")
    printed = browser.command("Page.printToPDF", {"printBackground": True})
    pdf = base64.b64decode(printed["data"])
    assert pdf.startswith(b"%PDF-")
    assert len(pdf) > 10_000

    browser.open(f"{served.address}/past")
    assert "decide" in browser.text
    assert browser.complaints() == []


def test_marks_are_searched_while_typing(browser: Browser, served: Served) -> None:
    browser.resize(*PHONE)
    browser.open(f"{served.address}/marks")
    browser.run("window.stayed = true")

    browser.one("#read").send_keys("?RIF...")

    browser.wait(lambda: browser.one(".found .aligned"))
    assert browser.run("return window.stayed")
    assert "?RIF" in browser.driver.current_url.replace("%3F", "?")


def test_without_scripts(served: Served, photo: Path) -> None:
    with browsing(PHONE, scripts=False) as plain:
        start(plain, served, "no scripts", NOTE)
        piece = first_piece(plain)
        before = plain.made
        plain.write("#say input[name=words]", "carved jet, pin stem extends beyond the edge")
        plain.press(plain.one("form.say button"))
        plain.wait(lambda: plain.made != before)
        assert before in plain.one(".change").text
        assert plain.made in plain.one(".change").text

        plain.press(plain.button("Undo"))
        plain.wait(lambda: plain.made == before)

        plain.one("input[name=photo]:not([capture])").send_keys(str(photo))
        plain.press(plain.all("#photos button")[-1])
        plain.wait(lambda: plain.one(".photos img"))
        plain.press(plain.one(".photos a"))
        plain.wait(lambda: plain.one("input[type=image]"))
        plain.press(plain.one("input[type=image]"))
        code = plain.wait(lambda: plain.one(".swatch b").text)
        painted = tuple(int(code[at : at + 2], 16) for at in (1, 3, 5))
        assert all(abs(a - b) <= 6 for a, b in zip(painted, (150, 20, 40), strict=True))

        plain.open(f"{piece}/look")
        asked = plain.one("#ask").text
        plain.press(plain.one("button[name=dont-know]"))
        plain.wait(lambda: plain.one("#ask").text != asked)

        plain.open(f"{piece}/what-if")
        plain.press(plain.one("input[name=without]"))
        plain.press(plain.button("Show"))
        plain.wait(lambda: "without=" in plain.driver.current_url)

        plain.open(f"{served.address}/marks")
        plain.write("#read", "?RIF...")
        plain.press(plain.button("Find"))
        plain.wait(lambda: plain.one(".found .aligned"))


def test_nothing_is_asked_of_other_places(browser: Browser, served: Served) -> None:
    browser.resize(*LAPTOP)
    browser.requests()
    start(browser, served, "offline", NOTE)
    piece = first_piece(browser)
    for path in ("/", "/marks?read=A", "/stones", "/sales", "/book", "/figures"):
        browser.open(f"{served.address}{path}")
    browser.open(f"{piece}/sheet")

    asked = [each for each in browser.requests() if each.startswith(("http", "ws", "ftp"))]

    assert len(asked) > 10
    assert all(each.startswith(f"{served.address}/") for each in asked)


def test_two_at_once_lose_nothing(browser: Browser, served: Served) -> None:
    browser.resize(*LAPTOP)
    start(browser, served, "two at once", "brooch")
    piece = first_piece(browser)
    with browsing(PHONE) as other:
        for each, name in ((browser, "Ada"), (other, "Ben")):
            each.open(f"{served.address}/table")
            each.write("input[name=who]", name)
            each.press(each.button("Keep"))
            each.wait(lambda each=each, name=name: name in each.one("nav").text)
            each.open(piece)
        for ours, theirs in (("rollover catch", "tube hinge"), ("rhinestones", "3 cm wide")):
            browser.write("#say input[name=words]", ours)
            other.write("#say input[name=words]", theirs)
            browser.press("form.say button")
            other.press("form.say button")
            for each in (browser, other):
                each.wait(
                    lambda each=each: not each.one("#say input[name=words]").get_attribute("value")
                )
        browser.open(piece)

    lines = browser.steadily(lambda: browser.one(".seen").text)
    assert lines.count("Ada,") >= 2
    assert lines.count("Ben,") >= 2


def test_hostile_texts_run_nothing(browser: Browser, served: Served) -> None:
    visitor = served.visitor()
    visitor.post("/table", {"who": ATTACKS[0]})
    notes = [" ".join(f"marked {each}".split()) for each in ATTACKS]
    pieces = visitor.start_box(f"hostile {ATTACKS[2]}", *notes)
    for piece, attack in zip(pieces, ATTACKS, strict=True):
        visitor.post(f"{piece}/describe", {"title": attack, "told": attack})
        visitor.post(f"{piece}/see", {"feature": "mark", "value": attack})
        visitor.post("/stones", dict.fromkeys(("shape", "colour", "back", "note"), attack[:90]))
        sale = dict.fromkeys(("maker", "condition", "note", "link"), attack)
        visitor.post("/sales", {"when": "2026-01-01", "price": "3 EUR", **sale})
    box = visitor.get(pieces[0]).text.partition('href="/box/')[2].partition('"')[0]
    browser.complaints()
    addresses = [
        f"/box/{box}",
        "/",
        "/past",
        "/table",
        "/stones",
        "/sales",
        *some_of(pieces, least=5),
    ]
    addresses += [f"{each}/sheet" for each in pieces[:3]] + [f"{pieces[0]}/papers"]
    for path in addresses:
        browser.open(f"{served.address}{path}")
        scripts = browser.run("return [...document.scripts].map((s) => s.getAttribute('src'))")
        own = [each for each in scripts if each and each.startswith(OWN)]
        assert scripts == own, path
        assert "taken" not in browser.driver.title.replace("='taken'", "")
        assert not browser.run("return document.querySelectorAll('iframe, object, embed').length")
        assert not browser.run(
            "return [...document.querySelectorAll('*')].some((e) =>"
            " [...e.attributes].some((a) => a.name.startsWith('on')))"
        )
    assert [each for each in browser.complaints() if "Content Security" in each] == []


def test_the_keyboard_is_enough(browser: Browser, served: Served) -> None:
    from selenium.webdriver.common.keys import Keys

    browser.resize(*LAPTOP)
    start(browser, served, "keyboard", "brooch")
    piece = first_piece(browser)
    browser.open(f"{piece}/look?passed=mark")

    def here() -> str:
        return str(browser.run("return document.activeElement.textContent.trim()"))

    def tab() -> None:
        browser.driver.switch_to.active_element.send_keys(Keys.TAB)

    browser.one("body").send_keys(Keys.TAB)
    assert here() == "To the page"
    assert browser.run("return getComputedStyle(document.activeElement).outlineStyle") == "solid"
    browser.driver.switch_to.active_element.send_keys(Keys.ENTER)

    def to(selector: str) -> None:
        """Goes on by the keyboard until it comes to such a place."""
        for _ in range(60):
            tab()
            if browser.run(f"return document.activeElement.matches('{selector}')"):
                return
        raise AssertionError(f"the keyboard does not come to {selector}")

    asked = browser.one("#ask").text
    to(".kinds > summary, .tick input")
    if browser.run("return document.activeElement.matches('summary')"):
        browser.driver.switch_to.active_element.send_keys(Keys.ENTER)
        to(".tick input")
    radio = browser.run("return document.activeElement.type") == "radio"
    browser.driver.switch_to.active_element.send_keys(Keys.ARROW_DOWN if radio else Keys.SPACE)
    assert browser.run("const here = document.activeElement; return here.checked && here.value")
    to(".pinned button.main")
    browser.driver.switch_to.active_element.send_keys(Keys.ENTER)

    browser.wait(lambda: browser.one("#ask").text != asked)
    assert browser.run("return document.activeElement.id") == "ask"


def test_a_long_list_is_chosen_in_two_steps_by_the_keyboard(
    browser: Browser, served: Served
) -> None:
    from selenium.webdriver.common.keys import Keys

    browser.resize(*LAPTOP)
    start(browser, served, "two steps by keys", "a thing")
    piece = first_piece(browser)
    browser.open(f"{piece}/look")
    asked = browser.one("#ask").text

    for wanted in ("a.answer", "button.answer"):
        for _ in range(30):
            browser.driver.switch_to.active_element.send_keys(Keys.TAB)
            if browser.run(f"return document.activeElement.matches('{wanted}')"):
                break
        browser.driver.switch_to.active_element.send_keys(Keys.ENTER)
        browser.wait(lambda before=asked: browser.one("#ask").text != before)
        asked = browser.one("#ask").text
        browser.wait(lambda: browser.run("return document.activeElement.id") == "ask")
    assert not browser.all("button.answer[value=brooch]")


def addresses(served: Served, photo: Path) -> list[str]:
    """One of every kind of page, with something on it."""
    visitor = served.visitor()
    with photo.open("rb") as held:
        piece = visitor.start_box(
            f"every page {time.monotonic()}", NOTE, "ring, marked 18K HGE", "brooch"
        )[0]
        visitor.post(f"{piece}/photos", {"place": "back"}, files={"photo": held})
    page = visitor.get(piece).text
    shot = page.partition(f'href="{piece}/photo/')[2].partition('"')[0]
    box = page.partition('href="/box/')[2].partition('"')[0]
    visitor.post(f"{piece}/photo/{shot}/pin", {"x": "40", "y": "50", "words": "rhinestones"})
    visitor.post("/stones", {"shape": "round", "size": "4 mm", "colour": "red", "count": "3"})
    visitor.post("/sales", {"when": "2026-05-01", "price": "30 EUR", "type": "brooch"})
    visitor.post(f"{piece}/came", {"cost": "3 EUR", "when": "2026-04-01"})
    visitor.post(f"{piece}/stored", {"place": "shelf B"})
    sold = visitor.start_box(f"a sold one {time.monotonic()}", "ring")[0]
    visitor.post(f"{sold}/came", {"cost": "9 EUR", "when": "2026-04-01"})
    visitor.post(f"{sold}/sold", {"price": "7 EUR", "day": "2026-05-01", "venue": "fair"})
    return [
        "/",
        f"/box/{box}",
        f"/box/{box}/glance",
        piece,
        sold,
        f"{piece}/look",
        f"{piece}/look?passed=mark",
        f"{piece}/what-if",
        f"{piece}/papers",
        f"{piece}/photo/{shot}?x=40&y=50&colour=1",
        "/marks?read=?RIF...",
        "/stones?shape=round&size=4mm",
        "/stones?one=round, red&other=round, pink",
        f"/box/{box}/stones",
        "/note?note=brooch, rollover catch, one stone missing, marked MONTEL",
        "/note?note=1. brooch, C catch 2. ring, marked 925",
        "/note?note=brooch, "
        "marked ?RIF...&answer=fair catch=rollover&answer=dont-know back-texture",
        "/rules",
        "/marks/own",
        "/sales",
        "/sales/import",
        "/figures",
        "/more",
        "/metal?text=14K&weight=5&price=2400",
        "/numbers?text=PAT.%201,798,867",
        "/report",
        "/report?by=venue",
        "/files",
        "/files/check",
        f"/box/{box}/import",
        f"/box/{box}/labels",
        f"{piece}/sheet",
        f"{piece}/label",
        "/audit",
        "/book",
        "/book?q=catch",
        "/book/feature/catch",
        "/book/clue/rollover-catch",
        "/book?kind=maker",
        "/search?q=brooch",
        "/past",
        "/table",
        "/nowhere",
    ]


AXE = """
const done = arguments[arguments.length - 1];
axe.run(document, {rules: {'target-size': {enabled: true}}}).then(
  (found) => done(found.passes.length < 10 ? ['axe looked at too little'] :
    found.violations.map((each) =>
      each.id + ': ' + each.nodes.map((node) => node.target + node.failureSummary).join(' | '))),
  (error) => done(['axe failed: ' + error]));
"""


def test_axe_finds_nothing(browser: Browser, served: Served, photo: Path) -> None:
    """WCAG 2.2 A and AA and axe-core's best practices, on every page, light and dark."""
    source = axe_source()
    pages = addresses(served, photo)
    found = []
    shown = itertools.product(((PHONE, "dark"), (LAPTOP, "light")), pages)
    # Papers are served in a sandbox that runs no script, in which the checker's timers never fire.
    browser.command("Page.setBypassCSP", {"enabled": True})
    for (size, scheme), path in some_of(shown):
        browser.resize(*size)
        browser.scheme(scheme)
        browser.open(f"{served.address}{path}")
        browser.run(source)
        found += [f"{path} {scheme}: {each}" for each in browser.driver.execute_async_script(AXE)]
    browser.command("Page.setBypassCSP", {"enabled": False})
    browser.scheme("light")

    assert found == []


def test_no_page_scrolls_sideways(browser: Browser, served: Served, photo: Path) -> None:
    """640 px is a laptop of 1280 px at 200 % zoom; 320 px is the reflow width of WCAG 1.4.10."""
    pages = addresses(served, photo)
    wide = []
    for path in some_of(pages):
        browser.open(f"{served.address}{path}")
        for width in (320, 360, 640, 768, 1280, 1600):
            browser.resize(width, 740, 2 if width == 640 else 1)
            if browser.run("return document.documentElement.scrollWidth > innerWidth"):
                wide.append(f"{path} at {width}")
        browser.resize(360, 740)
        browser.run("document.documentElement.style.fontSize = '200%'")  # WCAG 1.4.4
        if browser.run("return document.documentElement.scrollWidth > innerWidth"):
            wide.append(f"{path} with letters twice as large")

    assert wide == []


@pytest.mark.parametrize("letters", ["100%", "200%"])
def test_on_a_phone_a_list_tells_its_pieces_apart(
    browser: Browser, served: Served, letters: str
) -> None:
    """The words of a piece have the room of ten letters at least, also where letters are large."""
    piece = served.visitor().start_box(f"told at {letters}", NOTE, "earrings, clip, glass")[0]
    browser.resize(*PHONE)
    browser.open(served.address + piece)
    browser.open(browser.run("return document.querySelector('.where-in a').href"))
    browser.run("document.documentElement.style.fontSize = arguments[0]", letters)
    widths = browser.run(
        "return [...document.querySelectorAll('.tag .name')]"
        ".map((each) => each.getBoundingClientRect().width"
        " / parseFloat(getComputedStyle(each).fontSize))"
    )

    assert len(widths) >= 2
    assert min(widths) >= 6


def test_the_years_of_a_curve_are_read_at_once_on_a_phone(browser: Browser, served: Served) -> None:
    """Nothing is to be tapped: the curve stands there with its years, and once only."""
    start(browser, served, "curves", NOTE)
    first_piece(browser)
    for size in (PHONE, LAPTOP):
        browser.resize(*size)
        shown = browser.run(
            "return [...document.querySelectorAll('.curve')]"
            ".filter((each) => each.getClientRects().length)"
            ".map((each) => [each.getBoundingClientRect().height,"
            " each.querySelectorAll('text.year').length])"
        )
        assert len(shown) == 1
        assert shown[0][0] >= 80
        assert shown[0][1] >= 3


def test_a_page_prints_without_its_forms(browser: Browser, served: Served) -> None:
    browser.resize(*LAPTOP)
    start(browser, served, "printing", NOTE)
    first_piece(browser)
    browser.scheme("light", media="print")

    shown = browser.run(
        "return [...document.querySelectorAll('form, nav, .told')]"
        ".filter((each) => each.getClientRects().length).length"
    )
    curve = browser.run("return document.querySelector('.curve').getClientRects().length")
    browser.scheme("light")

    assert shown == 0
    assert curve == 1


PASTE = """
const field = arguments[0];
field.dispatchEvent(new ClipboardEvent("paste", { bubbles: true, cancelable: true }));
field.focus();
document.execCommand("insertText", false, arguments[1]);
return [field.value.length, field.validationMessage, field.form.checkValidity()];
"""


def test_what_is_pasted_is_not_cut_in_silence(browser: Browser, served: Served) -> None:
    """A field with a limit would take the beginning of it, and say nothing of the rest."""
    piece = served.visitor().start_box("pasted", "brooch")[0]
    for path, field in (("/", "textarea[name=note]"), (piece, "#say input[name=words]")):
        browser.open(served.address + path)
        long = browser.run(PASTE, browser.one(field), "rollover catch, " * 150)
        browser.one(field).clear()
        fits = browser.run(PASTE, browser.one(field), "rollover catch")

        assert long == [2_400, "2,400 characters here; 2,000 at most.", False]
        assert fits == [14, "", True]


def test_a_form_that_is_tapped_twice_is_sent_once(browser: Browser, served: Served) -> None:
    browser.open(f"{served.address}/note?note=brooch, jet")
    sent = browser.run(
        """
        const form = document.querySelector("form[action='/note'][method=post]");
        let sent = 0;
        addEventListener("submit", (event) => {
          sent += !event.defaultPrevented;
          event.preventDefault();
        });
        form.elements.name.value = "tapped";
        for (let tap = 0; tap < 3; tap += 1) form.requestSubmit();
        return sent;
        """
    )

    assert sent == 1


def test_a_photo_too_large_or_wrong_is_refused_kindly(
    browser: Browser, served: Served, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from PIL import Image

    # The browser decodes it too, for half a minute at the true limit, which is tested without one.
    monkeypatch.setattr(photo_limits, "LARGEST_PIXELS", 1_000_000)
    bomb = tmp_path / "bomb.png"
    held = io.BytesIO()
    side = isqrt(photo_limits.LARGEST_PIXELS) + 1
    Image.new("1", (side, side)).save(held, "PNG", compress_level=1)
    bomb.write_bytes(held.getvalue())
    start(browser, served, "wrong photos", "brooch")
    first_piece(browser)

    browser.one("input[name=photo]:not([capture])").send_keys(str(bomb))
    browser.press(browser.all("#photos button")[-1])

    assert "pixels" in browser.wait(lambda: browser.one("[role=alert]").text)
