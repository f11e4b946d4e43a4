"""The sorting bench in a real browser: keys, chips, many at once, photos, errors, and the phone."""

from __future__ import annotations

import base64
import io
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from samples import FULL
from web_browsing import LAPTOP, Browser, browsing
from web_serving import Served, serving

pytestmark = pytest.mark.slow
SMALL_PHONE = (360, 640)
NOTES = ("brooch, rollover catch", "ring, green enamel", "bangle, bakelite")
LINE = "#say input[name=words]"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with browsing() as found:
        yield found


def opened(browser: Browser, served: Served, *notes: str, size: tuple[int, int] = LAPTOP) -> str:
    """A new box with these pieces, the first one open; its address."""
    pieces = served.visitor().start_box(f"bench {time.monotonic()}", *(notes or NOTES))
    browser.resize(*size)
    browser.open(f"{served.address}{pieces[0]}")
    browser.wait(lambda: browser.one("#answer"), seconds=60)  # the first waits for the rules
    return f"{served.address}{pieces[0]}"


def press(browser: Browser, key: str) -> None:
    browser.driver.switch_to.active_element.send_keys(key)


def out_of_the_line(browser: Browser) -> None:
    browser.run("document.activeElement.blur()")


def number(browser: Browser) -> str:
    return str(browser.one(".tag.here .number").text).split()[1]


def send_files(browser: Browser, happening: str, selector: str, count: int = 1) -> None:
    """Drop or paste so many invented photos there, as the browser would tell of them."""
    from PIL import Image

    photos = []
    for shade in range(count):
        held = io.BytesIO()
        Image.new("RGB", (64, 48), (40 + 60 * shade, 90, 120)).save(held, "PNG")
        photos.append(base64.b64encode(held.getvalue()).decode())
    browser.run(
        """
        const [happening, selector, photos] = arguments;
        const data = new DataTransfer();
        for (const [at, photo] of photos.entries()) {
          const bytes = Uint8Array.from(atob(photo), (each) => each.charCodeAt(0));
          data.items.add(new File([bytes], `photo-${at}.png`, {type: 'image/png'}));
        }
        const event = happening === 'drop'
          ? new DragEvent('drop', {dataTransfer: data, bubbles: true, cancelable: true})
          : new ClipboardEvent('paste', {clipboardData: data, bubbles: true, cancelable: true});
        document.querySelector(selector).dispatchEvent(event);
        """,
        happening,
        selector,
        photos,
    )


# --- Keys -------------------------------------------------------------------------------------


def test_keys_go_from_piece_to_piece_and_nothing_reloads(browser: Browser, served: Served) -> None:
    first = opened(browser, served)
    browser.run("window.stayed = true")
    out_of_the_line(browser)

    press(browser, "j")
    browser.wait(lambda: number(browser) == "2")
    assert browser.driver.current_url != first
    press(browser, "j")
    browser.wait(lambda: number(browser) == "3")
    press(browser, "j")
    browser.wait(lambda: "last piece" in browser.one("#told").text)
    press(browser, "k")
    browser.wait(lambda: number(browser) == "2")
    press(browser, "k")
    browser.wait(lambda: number(browser) == "1")

    assert browser.run("return window.stayed")
    assert browser.driver.current_url == first
    browser.driver.back()  # the way back of the browser works, too
    browser.wait(lambda: number(browser) == "2")


def test_a_list_that_comes_late_leaves_open_what_is_open(browser: Browser, served: Served) -> None:
    """It was asked for beside the first piece, and comes when the second is open."""
    opened(browser, served)
    out_of_the_line(browser)
    browser.run(
        """
        const plainly = window.fetch;
        window.came = 0;
        window.fetch = async (address, given) => {
          const answer = await plainly(address, given);
          if (given?.headers?.["X-Fragment"] !== "list") return answer;
          await new Promise((go) => { window.letGo = go; });
          setTimeout(() => { window.came += 1; }, 200);
          return answer;
        };
        document.getElementById("tray").dataset.again = "";
        askAgain(0);
        """
    )
    browser.wait(lambda: browser.run("return Boolean(window.letGo)"))

    press(browser, "j")
    browser.wait(lambda: number(browser) == "2")
    browser.run("window.letGo()")
    browser.wait(lambda: browser.run("return window.came"))

    assert number(browser) == "2"


def test_the_question_mark_shows_the_keys(browser: Browser, served: Served) -> None:
    from selenium.webdriver.common.keys import Keys

    opened(browser, served)
    out_of_the_line(browser)
    press(browser, "?")
    sheet = browser.wait(lambda: browser.one("dialog#keys[open]"))
    for words in ("next piece", "piece before", "undo", "don’t know", "keep the proposed decision"):
        assert words in sheet.text
    press(browser, Keys.ESCAPE)
    browser.wait(lambda: not browser.all("dialog#keys[open]"))

    out_of_the_line(browser)  # the closing sheet may still hold the focus
    press(browser, "t")
    assert browser.run("return document.activeElement.name") == "words"
    press(browser, "j")  # in the line, a letter is a letter
    assert browser.one(LINE).get_attribute("value") == "j"
    assert number(browser) == "1"


def test_a_button_tells_that_there_are_keys(browser: Browser, served: Served) -> None:
    opened(browser, served)
    # Parts of the page may still come in: what was found a moment before may be another's.
    browser.wait(lambda: browser.press(browser.button("Keys: ?")) is None)
    browser.wait(lambda: browser.one("dialog[open] dl"))
    assert "next piece" in browser.one("dialog[open]").text
    press(browser, "\ue00c")
    browser.wait(lambda: not browser.all("dialog[open]"))


def test_a_change_is_told_once(browser: Browser, served: Served) -> None:
    opened(browser, served, "brooch")
    browser.write(LINE, "C catch")
    press(browser, "\ue007")
    change = browser.wait(lambda: browser.one("#part .change"))

    assert "moved from" in change.text
    assert browser.run("return document.getElementById('told').textContent") == change.text
    assert browser.run("return document.getElementById('told').classList.contains('unseen')")


def test_letter_keys_can_be_switched_off(browser: Browser, served: Served) -> None:
    """WCAG 2.1.4: a shortcut of one letter can be turned off."""
    opened(browser, served)
    out_of_the_line(browser)
    press(browser, "?")
    browser.press(browser.wait(lambda: browser.one("#keys-on")))
    browser.press(browser.one("dialog#keys button"))
    out_of_the_line(browser)

    press(browser, "j")

    time.sleep(0.3)
    assert number(browser) == "1"
    press(browser, "?")
    browser.press(browser.wait(lambda: browser.one("#keys-on")))
    browser.press(browser.one("dialog#keys button"))


def test_a_decision_is_kept_and_undone_by_keys(browser: Browser, served: Served) -> None:
    opened(browser, served)
    out_of_the_line(browser)
    press(browser, "d")
    browser.wait(lambda: "Kept:" in browser.one("#worth").text)
    assert "1 of 3 decided" in browser.one(".progress").text
    assert browser.all(".tag.here .mark-do")

    out_of_the_line(browser)
    press(browser, "u")

    told = browser.wait(lambda: browser.one("#told").text)
    browser.wait(lambda: "Kept:" not in browser.one("#worth").text)
    assert "Taken back" in told or "Taken back" in browser.one("#told").text
    browser.wait(lambda: "0 of 3 decided" in browser.one(".progress").text)


# --- What is typed ----------------------------------------------------------------------------


def test_chips_tell_how_each_phrase_is_understood(browser: Browser, served: Served) -> None:
    opened(browser, served)
    browser.write(LINE, "tube hinge, qqzzxx wobblefoo")

    browser.wait(lambda: len(browser.all("#chips .chip")) >= 2)
    understood = browser.wait(lambda: browser.one("#chips .chip:not(.unknown)").text)
    unknown = browser.wait(lambda: browser.one("#chips .chip.unknown").text)
    assert "hinge" in understood
    assert "✓" in understood  # told in words and signs, not by colour alone
    assert "not understood" in unknown
    assert "qqzzxx" in unknown
    assert browser.one("#chips").get_attribute("aria-live") == "polite"


def test_an_error_stands_at_its_field_and_keeps_all(browser: Browser, served: Served) -> None:
    opened(browser, served)
    browser.write(LINE, "qqzzxx wobblefoo")
    browser.press(browser.one("form.say button"))
    wrong = browser.wait(lambda: browser.one("#say .wrong"))
    field = browser.one(LINE)
    assert "No rule knows" in wrong.text
    assert field.get_attribute("value") == "qqzzxx wobblefoo"
    assert field.get_attribute("aria-invalid") == "true"
    assert field.get_attribute("aria-describedby") == wrong.get_attribute("id")
    assert browser.run("return document.activeElement.name") == "words"

    browser.press(browser.one("#money details summary"))
    sold = "form[action$='/sold']"
    typed = {"price": "34.50 EUR", "fees": "2 USD", "venue": "Sunday fair"}
    for name, text in typed.items():
        browser.write(f"{sold} input[name={name}]", text)
    browser.press(browser.one(f"{sold} button"))
    wrong = browser.wait(lambda: browser.one(f"{sold} .wrong"))
    assert "give one currency" in wrong.text
    assert browser.one(f"{sold} [aria-invalid]").get_attribute("name") == "fees"
    for name, text in typed.items():
        assert browser.one(f"{sold} input[name={name}]").get_attribute("value") == text

    browser.write(f"{sold} input[name=fees]", "2")
    browser.press(browser.one(f"{sold} button"))
    browser.wait(lambda: "Sold for" in browser.one("#money").text)


def test_a_stopped_server_says_so_and_keeps_the_words(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        opened(browser, served)
    browser.write(LINE, "tube hinge")
    browser.press(browser.one("form.say button"))

    wrong = browser.wait(lambda: browser.one("#say .wrong"))

    assert "does not answer" in wrong.text
    assert browser.one(LINE).get_attribute("value") == "tube hinge"


def test_what_another_says_meanwhile_is_shown_and_nothing_lost(
    browser: Browser, served: Served
) -> None:
    piece = opened(browser, served)
    browser.write(LINE, "half a sentence")
    other = served.visitor()
    other.post("/table", {"who": "Ben"})

    other.post(f"{piece.removeprefix(served.address)}/see", {"words": "tube hinge"})

    browser.wait(lambda: "hinge: tube hinge" in browser.one("#seen").text)
    assert browser.one(LINE).get_attribute("value") == "half a sentence"
    assert "Ben" in browser.one("#told").text


def test_whoever_types_meanwhile_goes_on_in_the_same_field(
    browser: Browser, served: Served
) -> None:
    """Another person's change draws the page anew: under the hands of who writes a title."""
    piece = opened(browser, served, "brooch, C catch, celluloid, 2 stones missing")
    browser.run(
        "document.querySelectorAll('#part details').forEach((each) => { each.open = true; })"
    )
    corrects = browser.all("#seen form input[name=corrects]")
    lines = [each.get_attribute("value") for each in corrects]
    choice = f"#seen form:has([value='{lines[1]}']) select[name=certainty]"
    browser.run("document.querySelector(arguments[0]).value = 'guess'", choice)
    browser.write("input[name=title]", "a half ")
    browser.run("document.activeElement.setSelectionRange(2, 2)")

    other = served.visitor()
    other.post(f"{piece.removeprefix(served.address)}/see", {"words": "tube hinge"})
    browser.wait(lambda: "hinge: tube hinge" in browser.one("#seen").text)
    browser.driver.switch_to.active_element.send_keys("good ")

    assert browser.one("input[name=title]").get_attribute("value") == "a good half "
    chosen = browser.run(
        "return [...document.querySelectorAll('#seen form')].map((each) => each.elements)"
        ".filter((each) => each.corrects)"
        ".map((each) => [each.corrects.value, each.certainty.value])"
    )
    assert dict(chosen)[lines[1]] == "guess"
    assert [value for line, value in chosen if line != lines[1]].count("guess") == 0


# --- Several at once --------------------------------------------------------------------------


def settled(browser: Browser) -> None:
    """Wait until the list is read to its end."""
    browser.wait(lambda: not browser.all("#tray[data-again]"), seconds=30)


def test_what_is_ticked_stays_while_the_list_is_read_on(browser: Browser, served: Served) -> None:
    opened(browser, served)
    settled(browser)
    browser.press(browser.one(".several summary"))
    browser.press(browser.all(".tag input[type=checkbox]")[1])
    browser.write("#several input[name=words]", "half a sentence")

    browser.run("ask(location.href, null, 'list').then((answer) => { putList(answer.text); })")

    time.sleep(1)
    ticked = browser.run(
        "return [...document.querySelectorAll('.tag input')].map((each) => each.checked)"
    )
    assert ticked == [False, True, False]
    assert browser.run("return document.querySelector('.several').open")
    words = browser.one("#several input[name=words]")
    assert words.get_attribute("value") == "half a sentence"
    assert browser.run("return document.activeElement === arguments[0]", words)


def test_what_is_done_to_several_is_one_step(browser: Browser, served: Served) -> None:
    opened(browser, served)
    settled(browser)
    browser.press(browser.one(".several summary"))
    for box in browser.all(".tag input[type=checkbox]")[:2]:
        browser.press(box)
    browser.press(browser.one("button[value=keep]"))
    browser.wait(lambda: "2 of 3 decided" in browser.one(".progress").text)
    assert "One undo takes it back" in browser.one("#told").text

    out_of_the_line(browser)
    press(browser, "u")

    browser.wait(lambda: "0 of 3 decided" in browser.one(".progress").text)

    settled(browser)
    if not browser.run("return document.querySelector('.several').open"):
        browser.press(browser.one(".several summary"))
    browser.press(browser.one("input[name=all]"))
    browser.write("#several input[name=words]", "tube hinge")
    browser.press(browser.one("button[value=say]"))
    browser.wait(lambda: "hinge: tube hinge" in browser.one("#seen").text)
    browser.wait(lambda: "Said of 3 pieces" in browser.one("#told").text)


# --- Photos -----------------------------------------------------------------------------------


def test_a_photo_dropped_on_a_piece_is_its_own_and_wipes_no_words(
    browser: Browser, served: Served
) -> None:
    opened(browser, served)
    browser.write(LINE, "half a sentence")

    send_files(browser, "drop", "#part")

    browser.wait(lambda: len(browser.all("#photos img")) == 1)
    assert browser.one(LINE).get_attribute("value") == "half a sentence"
    send_files(browser, "paste", "body")
    browser.wait(lambda: len(browser.all("#photos img")) == 2)
    assert browser.one(LINE).get_attribute("value") == "half a sentence"
    assert "kept" in browser.one("#told").text


def test_photos_dropped_on_the_box_become_pieces(browser: Browser, served: Served) -> None:
    opened(browser, served)
    send_files(browser, "drop", "#tray", 2)
    browser.press(browser.wait(lambda: browser.button("A new piece each")))
    browser.wait(lambda: len(browser.all(".tag")) == 5)

    send_files(browser, "drop", "#tray", 2)
    browser.press(browser.wait(lambda: browser.button("All of one new piece")))
    browser.wait(lambda: len(browser.all(".tag")) == 6)


# --- The phone --------------------------------------------------------------------------------


def in_view(browser: Browser, selector: str) -> bool:
    """Whether the whole of the first such element is in view, with nothing over its middle."""
    return bool(
        browser.run(
            """
            const found = document.querySelector(arguments[0]);
            const box = found.getBoundingClientRect();
            const over = document.elementFromPoint(
              (box.left + box.right) / 2, (box.top + box.bottom) / 2);
            return box.top >= 0 && box.bottom <= innerHeight && box.left >= 0 &&
              box.right <= innerWidth && (found === over || found.contains(over));
            """,
            selector,
        )
    )


def test_on_a_phone_the_first_answer_is_above_the_fold(browser: Browser, served: Served) -> None:
    piece = opened(browser, served, *NOTES, size=SMALL_PHONE)
    assert in_view(browser, "#made")
    for passed in ("", "?passed=mark", "?passed=mark,catch,hinge"):
        browser.open(f"{piece}/look{passed}")
        browser.wait(lambda: browser.one("#ask"))
        first = ".answers .kinds > summary, .answers > .answer, .question input[name=value]"
        first += ", .cells input"
        assert in_view(browser, first), passed
        assert in_view(browser, "button[name=dont-know]"), passed
        assert in_view(browser, "button[value=none]"), passed
        assert in_view(browser, ".pinned select"), passed
        browser.run("window.scrollTo(0, 120)")
        assert in_view(browser, "button[name=dont-know]"), passed
    assert not browser.run(
        "const n = document.querySelector('.top'); return n.scrollWidth > n.clientWidth"
    )


def test_on_a_phone_what_is_told_covers_no_answer(browser: Browser, served: Served) -> None:
    piece = opened(browser, served, "brooch", size=SMALL_PHONE)
    browser.open(f"{piece}/look?passed=mark")
    asked = browser.one("#ask").text
    browser.press(browser.one("button[value=none]"))
    browser.wait(lambda: browser.one("#ask").text != asked)
    browser.wait(lambda: browser.one("#told").text)

    covered = browser.run(
        """
        const told = document.getElementById('told').getBoundingClientRect();
        return [...document.querySelectorAll('.answer, .pinned button, #ask')].filter((each) => {
          const box = each.getBoundingClientRect();
          return box.top < told.bottom && box.bottom > told.top && box.height;
        }).map((each) => each.textContent.trim());
        """
    )

    assert covered == []
    assert not [each for each in browser.all("#part .change") if each.is_displayed()]
    assert not browser.run("return document.getElementById('told').classList.contains('unseen')")


def test_on_a_phone_what_is_touched_is_large_enough(browser: Browser, served: Served) -> None:
    """WCAG 2.5.8 asks for 24 CSS pixels; answers and what is pinned have the 44 of WCAG 2.5.5."""
    piece = opened(browser, served, "brooch", size=SMALL_PHONE)
    for path in ("/look?passed=mark", ""):
        browser.open(f"{piece}{path}")
        small = browser.run(
            """
            return [...document.querySelectorAll(
              '.answer, .pinned button, .pinned select, #say button, #say input[name=words]')]
              .filter((each) => each.getClientRects().length)
              .filter((each) => {
                const box = each.getBoundingClientRect();
                return box.height < 43.5 || box.width < 43.5;
              }).map((each) => each.outerHTML.slice(0, 80));
            """
        )
        assert small == [], path


def test_the_page_can_be_installed(browser: Browser, served: Served) -> None:
    """The browser itself judges the manifest (W3C Web Application Manifest) and the icons."""
    browser.resize(*SMALL_PHONE)
    browser.open(served.address)

    manifest = browser.command("Page.getAppManifest", {})
    errors = browser.command("Page.getInstallabilityErrors", {})["installabilityErrors"]

    assert manifest["url"] == f"{served.address}/manifest.webmanifest"
    assert manifest["errors"] == []
    # A private window, as tests use, is never offered to be installed; nothing else is wrong.
    assert [each["errorId"] for each in errors if each["errorId"] != "in-incognito"] == []


# --- Everywhere -------------------------------------------------------------------------------


@pytest.mark.parametrize("scheme", ["light", "dark"] if FULL else ["dark"])
def test_a_sale_by_keyboard_alone(browser: Browser, served: Served, scheme: str) -> None:
    from selenium.webdriver.common.keys import Keys

    opened(browser, served, "brooch, unsigned")
    browser.scheme(scheme)

    def to(selector: str) -> None:
        for _ in range(160):
            if browser.run("return document.activeElement.matches(arguments[0])", selector):
                return
            press(browser, Keys.TAB)
        raise AssertionError(f"the keyboard does not come to {selector}")

    to("#money details:has(form[action$='/sold']) > summary")
    press(browser, Keys.ENTER)
    to("form[action$='/sold'] input[name=price]")
    press(browser, "12 EUR")
    press(browser, Keys.ENTER)

    browser.wait(lambda: "Sold for 12.00 EUR" in browser.one("#money").text)
    browser.scheme("light")
