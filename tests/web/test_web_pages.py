"""What the pages show and do, without a browser."""

from __future__ import annotations

import html
import io
import re
from pathlib import Path

import pytest
from samples import some_of
from shipped_base import shipped_reader
from web_hostile import ATTACKS
from web_serving import Served, Visitor, serving

from markrules.appraisal.figures import KINDS, NEEDED
from markrules.catalogue.store import Catalogue
from markrules.reading.reader import Request


def the_range(page: str) -> str:
    found = re.search(r'class="made">([^<]+)<', page)
    assert found is not None
    return found[1]


def a_photo(colour: tuple[int, int, int] = (180, 20, 40), side: int = 600) -> bytes:
    """A plain photo with a square of white in its middle."""
    from PIL import Image

    image = Image.new("RGB", (side, side // 2), colour)
    image.paste((255, 255, 255), (side // 2 - 40, side // 4 - 40, side // 2 + 40, side // 4 + 40))
    held = io.BytesIO()
    image.save(held, "JPEG", quality=95)
    return held.getvalue()


def test_a_piece_shows_what_the_reader_says(visitor: Visitor) -> None:
    note = "brooch, rollover catch, prong set rhinestones, marked AUSTRIA"
    piece = visitor.start_box("same answer", note)[0]
    date = shipped_reader().read(Request(note=note)).date

    assert the_range(visitor.get(piece).text) == f"{date.range.first}–{date.range.last}"


def test_an_answer_moves_the_years_and_says_so(visitor: Visitor) -> None:
    piece = visitor.start_box("answers", "brooch")[0]
    before = the_range(visitor.get(piece).text)

    page = visitor.post(
        f"{piece}/see", {"feature": "catch", "value": "rollover"}, fragment=True
    ).text

    after = the_range(page)
    assert before != after
    assert f"moved from <b>{before}</b> to <b>{after}</b>" in page
    assert "<html" not in page
    assert the_range(visitor.get(piece).text) == after


def test_without_a_script_the_change_is_told_too(visitor: Visitor) -> None:
    piece = visitor.start_box("no script", "brooch")[0]
    before = the_range(visitor.get(piece).text)

    page = visitor.post(f"{piece}/see", {"feature": "catch", "value": "rollover"})

    assert page.history[0].status_code == 303
    assert f"moved from <b>{before}</b> to <b>{the_range(page.text)}</b>" in page.text


def test_undo_brings_the_years_back(visitor: Visitor) -> None:
    piece = visitor.start_box("undo", "brooch, tube hinge")[0]
    before = the_range(visitor.get(piece).text)
    visitor.post(f"{piece}/see", {"words": "rollover catch"})
    assert the_range(visitor.get(piece).text) != before

    page = visitor.post("/undo", {"back": piece}).text

    assert the_range(page) == before


def test_nothing_is_erased(served: Served, visitor: Visitor) -> None:
    piece = visitor.start_box("log", "brooch, c catch")[0]
    page = visitor.get(piece).text
    lines = re.findall(r'name="corrects" value="(\d+)"', page)
    fields = {"feature": "catch", "value": "rollover", "corrects": lines[-1]}
    visitor.post(f"{piece}/see", fields)
    with Catalogue(served.catalogue) as catalogue:
        kept = catalogue.pieces.by_uid(piece.rpartition("/")[2])
        seen = [each.observation.value for each in catalogue.log.of(kept)]
        stands = [each.observation.value for each in catalogue.log.seen_on(kept)]

    assert {"c-catch", "rollover"} <= set(seen)
    assert "rollover" in stands
    assert "c-catch" not in stands


def test_what_if_keeps_nothing(served: Served, visitor: Visitor) -> None:
    note = "brooch, C catch replaced by a rollover catch, tube hinge, closed back setting"
    piece = visitor.start_box("what if", note)[0]
    with Catalogue(served.catalogue) as catalogue:
        steps = catalogue.steps.last(1)[0].id

    page = visitor.get(f"{piece}/what-if?without=tube-hinge&part=stone-back").text

    reading = shipped_reader().read(Request(note=note, without=("tube-hinge", "stone-back")))
    assert the_range(page) == f"{reading.date.range.first}–{reading.date.range.last}"
    assert the_range(page) != the_range(visitor.get(piece).text)
    with Catalogue(served.catalogue) as catalogue:
        assert catalogue.steps.last(1)[0].id == steps


def test_being_less_sure_moves_the_years(visitor: Visitor) -> None:
    piece = visitor.start_box("less sure", "brooch, rollover catch")[0]
    page = visitor.get(f"{piece}/what-if").text
    lines = re.findall(r'name="(sure-\d+)"', page)

    other = visitor.get(f"{piece}/what-if", params=dict.fromkeys(lines, "guess")).text

    assert the_range(other) != the_range(page)


def test_dont_know_asks_something_else(visitor: Visitor) -> None:
    piece = visitor.start_box("dont know", "brooch")[0]
    asked = re.compile(r'name="feature" value="([^"]+)"')
    first = asked.search(visitor.get(f"{piece}/look").text)
    assert first is not None

    second = asked.search(visitor.get(f"{piece}/look?passed={first[1]}").text)

    assert second is not None
    assert second[1] != first[1]


def test_several_answers_are_kept_as_one_step_and_the_rest_is_remembered(visitor: Visitor) -> None:
    piece = visitor.start_box("several at once", "brooch")[0]
    page = visitor.get(f"{piece}/look").text
    asked = re.findall(r'name="feature" value="([^"]+)"', page)
    before = the_range(page)

    visitor.post(
        f"{piece}/look",
        {"feature": asked, "several": "yes", "of-catch": "rollover", "of-hinge": "", "of-x": "y"},
    )

    later = visitor.get(f"{piece}/look").text
    assert "catch" in asked
    assert the_range(later) != before
    again = re.findall(r'name="feature" value="([^"]+)"', later)
    assert again
    assert not set(again) & set(asked)
    shown = visitor.get(piece).text
    assert "rollover" in shown
    visitor.post("/undo", {"back": f"{piece}/look"})
    undone = visitor.get(f"{piece}/look").text
    assert re.findall(r'name="feature" value="([^"]+)"', undone) == asked
    assert the_range(undone) == before


def test_a_kind_that_is_ticked_beside_none_counts(visitor: Visitor) -> None:
    piece = visitor.start_box("both ticked", "brooch")[0]
    said = {"feature": ["setting", "stone-kind"], "several": "yes", "of-stone-kind": "none"}
    visitor.post(f"{piece}/look", {**said, "of-setting": ["prong", "none", "glued"]})

    page = visitor.get(f"{piece}/what-if").text

    assert "prong" in page
    assert "glued" in page
    assert "setting: none" not in page
    assert "stone kind: none" in page


def test_nothing_ticked_is_told_and_keeps_the_question(visitor: Visitor) -> None:
    piece = visitor.start_box("nothing ticked", "brooch")[0]
    asked = {"feature": ["catch", "hinge"], "several": "yes", "of-catch": ""}

    answer = visitor.post(f"{piece}/look", asked)

    assert answer.status_code == 400
    assert "Tick what you see" in answer.text
    wrong = visitor.post(f"{piece}/look", {"feature": ["cach"], "several": "yes"})
    assert wrong.status_code == 400
    assert "no question is about" in wrong.text


def test_dont_know_of_a_screen_passes_all_of_it_over(visitor: Visitor) -> None:
    piece = visitor.start_box("dont know any", "brooch")[0]
    asked = re.findall(r'name="feature" value="([^"]+)"', visitor.get(f"{piece}/look").text)

    visitor.post(f"{piece}/look", {"feature": asked, "dont-know": "yes"})

    again = re.findall(r'name="feature" value="([^"]+)"', visitor.get(f"{piece}/look").text)
    assert len(asked) > 1
    assert not set(again) & set(asked)


def test_an_empty_piece_is_first_asked_what_it_is(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "by questions"}).url.path

    look = visitor.post(f"{box}/pieces", {"notes": ""})

    assert look.url.path.endswith("/look")
    assert 'name="feature" value="piece"' in look.text
    answered = visitor.post(look.url.path, {"feature": "piece", "value": "brooch"})
    assert 'name="feature" value="piece"' not in answered.text


def test_bad_answers_are_told_plainly(visitor: Visitor) -> None:
    piece = visitor.start_box("bad answers", "brooch")[0]
    for fields, said in (
        ({"feature": "catch", "value": "rolover"}, "nearest"),
        ({"feature": "cach", "value": "rollover"}, "nearest"),
        ({"feature": "catch", "value": ""}, "choose an answer"),
        ({"feature": "catch", "value": "rollover", "certainty": "utterly"}, "how sure"),
        ({"words": "qqqq zzzz"}, "No rule knows"),
        ({"feature": "catch", "value": "rollover", "corrects": "x"}, "whole number"),
        ({"feature": "catch", "value": "rollover", "corrects": "999999"}, "no line"),
    ):
        answer = visitor.post(f"{piece}/see", fields, fragment=True)
        assert answer.status_code == 400, fields
        assert said in answer.text, (fields, answer.text)


def test_marks_are_found_with_letters_aligned(visitor: Visitor) -> None:
    answer = shipped_reader().marks.search("?RIF...", 1)
    page = visitor.get("/marks", params={"read": "?RIF..."}).text

    best = answer.results[0]
    assert best.title.replace("&", "&amp;") in page
    assert best.aligned is not None
    cells = re.findall(r"<td>([^<]*)</td>", page.partition(">mark</th>")[2].partition("</tr>")[0])
    assert "".join(cells) == best.aligned.struck.replace(" ", "")
    assert "letters" in visitor.get("/marks", params={"read": "x" * 2000}).text


def test_a_photo_is_kept_without_its_place(visitor: Visitor) -> None:
    from PIL import Image

    piece = visitor.start_box("photos", "brooch")[0]
    image = Image.open(io.BytesIO(a_photo()))
    exif = image.getexif()
    exif[0x8825] = {1: "N", 2: (52.0, 0.0, 0.0)}
    held = io.BytesIO()
    image.save(held, "JPEG", exif=exif)

    page = visitor.post(
        f"{piece}/photos", {"place": "back"}, files={"photo": ("a.jpg", held.getvalue())}
    ).text

    small = re.search(r'src="(/thumbnail/[0-9a-f]{64})"', page)
    assert small is not None
    answer = visitor.get(small[1].replace("thumbnail", "picture"))
    assert answer.headers["content-type"] == "image/jpeg"
    assert not Image.open(io.BytesIO(answer.content)).getexif().get_ifd(0x8825)
    assert "sandbox" in answer.headers["content-security-policy"]


def test_a_place_on_a_photo_has_a_colour_and_takes_a_pin(visitor: Visitor) -> None:
    """The colour is checked with the sRGB values painted; the Lab of white is (100, 0, 0)."""
    piece = visitor.start_box("pins", "brooch, rollover catch")[0]
    page = visitor.post(f"{piece}/photos", files={"photo": ("a.jpg", a_photo())}).text
    photo = re.search(rf'href="({piece}/photo/\d+)"', page)
    assert photo is not None

    white = visitor.get(photo[1], params={"x": "50", "y": "50", "colour": "1"}).text
    red = visitor.get(photo[1], params={"at.x": "20", "at.y": "20", "colour": "1"}).text

    assert "CIE Lab 100.0, 0.0, 0.0" in white or "CIE Lab 100.0, -0.0, 0.0" in white
    code = re.search(r"<b>#([0-9a-f]{6})</b>", red)
    assert code is not None
    painted = tuple(int(code[1][at : at + 2], 16) for at in (0, 2, 4))
    assert all(abs(a - b) <= 4 for a, b in zip(painted, (180, 20, 40), strict=True))
    pinned = visitor.post(f"{photo[1]}/pin", {"x": "50", "y": "50", "words": "tube hinge"}).text
    assert "hinge: tube hinge" in pinned
    assert 'aria-label="Photo, 1 pin"' in pinned
    for bad in ({"x": "150", "y": "5"}, {"x": "nan", "y": "5"}, {"x": "a", "y": "b"}):
        assert visitor.post(f"{photo[1]}/pin", {**bad, "words": "tube hinge"}).status_code == 400


def test_another_pieces_photo_is_not_shown(visitor: Visitor) -> None:
    one, other = visitor.start_box("two pieces", "brooch", "ring")
    page = visitor.post(f"{one}/photos", files={"photo": ("a.jpg", a_photo())}).text
    photo = re.search(rf"{one}(/photo/\d+)", page)
    assert photo is not None

    assert visitor.get(f"{other}{photo[1]}").status_code == 404


def test_the_book_finds_features_clues_makers_and_sources(visitor: Visitor) -> None:
    for words, address in (
        ("rollover", "/book/clue/"),
        ("pin hinge", "/book/feature/"),
        ("patent 1911", "/book/source/"),
    ):
        assert address in visitor.get("/book", params={"q": words}).text, words
    makers = visitor.get("/book", params={"kind": "maker"}).text
    first = re.search(r'href="(/book/maker/[^"]+)"', makers)
    assert first is not None
    assert visitor.get(first[1]).status_code == 200


@pytest.mark.slow
def test_every_entry_of_the_book_has_a_page(visitor: Visitor) -> None:
    base = shipped_reader().base
    for kind, entries in (("feature", base.features), ("clue", base.clues), ("maker", base.makers)):
        for name in list(entries)[::7]:
            assert visitor.get(f"/book/{kind}/{name}").status_code == 200, (kind, name)


def test_a_sold_price_and_figures_give_sums(visitor: Visitor) -> None:
    piece = visitor.start_box("worth", "brooch, unsigned, rollover catch, prong set")[0]
    assert "none" in visitor.get(piece).text
    for price in ("30 EUR", "40 EUR", "50 EUR", "36,50 EUR"):
        fields = {"when": "2026-05-01", "price": price, "type": "brooch", "signed": "no"}
        assert visitor.post("/sales", fields).status_code == 200
    figures = {"currency": "EUR", "fee": "13%", "postage": "3", "hour": "10"}
    more = {"listing-minutes": "10", "packing-minutes": "10"}
    assert visitor.post("/figures", {**figures, **more}).status_code == 200

    page = visitor.get(piece).text

    assert re.search(r"<b>[\d.]+ to [\d.]+ EUR</b>", page)
    kept = visitor.post(f"{piece}/decide").text
    assert "Kept: <b>" in kept
    for bad in ({"price": "cheap"}, {"price": "-3 EUR"}, {"price": "30 EUR", "when": "31.12.99"}):
        assert visitor.post("/sales", {"when": "2026-05-01", **bad}).status_code == 400
    assert visitor.post("/figures", {"fee": "130%"}).status_code == 400


def test_stones_are_kept_found_and_used(visitor: Visitor) -> None:
    visitor.post("/stones", {"shape": "round", "size": "SS16", "colour": "red", "count": "2"})

    assert "2 ×" in visitor.get("/stones?shape=round&size=4 mm&named=red").text
    visitor.post("/stones/use", {"stone": "1"})
    assert "1 ×" in visitor.get("/stones").text
    for bad in ({"size": "enormous"}, {"count": "0"}, {"count": "many"}):
        assert visitor.post("/stones", {"shape": "round", **bad}).status_code == 400


def test_a_listing_is_as_long_as_asked_for(visitor: Visitor) -> None:
    (piece,) = visitor.start_box(
        "lengths", "brooch, rollover catch, gold tone, signed NAPIER, 5 cm"
    )

    def text(query: str) -> str:
        found = re.search(
            r"<textarea[^>]* readonly>([^<]*)<", visitor.get(f"{piece}/papers{query}").text
        )
        assert found is not None
        return found[1].strip()

    texts = {length: text(f"?length={length}") for length in ("short", "medium", "long")}
    assert text("") == texts["long"]
    assert "Care:" in texts["long"]
    assert "Care:" not in texts["medium"]
    assert "Measurements:" in texts["medium"]
    assert texts["short"].count("\n") == 2
    for most in (20, 45, 120):
        assert len(text(f"?title={most}").split("\n")[0]) <= most
    assert len(text("?title=120").split("\n")[0]) > len(text("?title=45").split("\n")[0]) > 20
    for bad in ("?length=endless", "?title=19", "?title=1001", "?title=many"):
        assert visitor.get(f"{piece}/papers{bad}").status_code == 400


def test_the_papers_of_a_piece(visitor: Visitor) -> None:
    piece = visitor.start_box("papers", "brooch, rollover catch, gold tone")[0]

    sheet = visitor.get(f"{piece}/sheet")
    checked = visitor.post(f"{piece}/papers", {"text": "A solid gold brooch"}).text

    assert "script-src" not in sheet.headers["content-security-policy"]
    assert "default-src 'none'" in sheet.headers["content-security-policy"]
    assert "<script" not in sheet.text
    assert re.search(r"<q><bdi>[^<]*gold", checked)
    pdf = visitor.get(f"{piece}/sheet.pdf")
    assert pdf.content.startswith(b"%PDF-")
    assert visitor.get(f"{piece}/label").status_code == 200


def test_a_piece_comes_and_goes(visitor: Visitor) -> None:
    one, other = visitor.start_box("coming and going", "brooch, first", "brooch, second")
    fields = {"when": "2026-05-02", "where": "fair", "who_from": "a dealer", "cost": "2.50 EUR"}
    assert "from <bdi>a dealer</bdi>, for 2.50 EUR" in visitor.post(f"{one}/came", fields).text
    assert visitor.post(f"{one}/came", {"cost": "cheap"}).status_code == 400

    box = visitor.post(f"{one}/leave", {"why": "sold"})

    assert one not in box.text
    assert other in box.text
    assert "sold" in visitor.get(one).text
    visitor.post(f"{one}/leave")
    assert one in visitor.get(box.url.path).text


def test_a_large_box_is_paged(visitor: Visitor) -> None:
    notes = [f"brooch number {number}" for number in range(95)]
    visitor.start_box("large", *notes)
    box = re.findall(r'href="(/box/\d+)"', visitor.get("/").text)[-1]
    seen: list[str] = []
    address = box
    for _ in range(5):
        page = visitor.get(address).text
        seen += re.findall(r"Choose No\. (\d+)", page)
        on = re.search(r'rel="next" href="([^"]+)"', page)
        if on is None:
            break
        address = on[1]

    assert [int(each) for each in seen] == list(range(1, 96))


@pytest.mark.parametrize("attack", some_of(ATTACKS, least=6))
def test_hostile_text_appears_as_itself(served: Served, attack: str) -> None:
    visitor = served.visitor()
    visitor.post("/table", {"who": attack})
    name = f"box {attack}"
    piece = (visitor.start_box(name, f"brooch, rollover catch, marked {attack}") or [""])[0]
    visitor.post(f"{piece}/see", {"feature": "mark", "value": attack})
    visitor.post(f"{piece}/describe", {"title": attack, "told": attack})
    visitor.post(f"{piece}/decide", {"choice": attack[:90], "reason": attack})
    visitor.post("/stones", dict.fromkeys(("shape", "colour", "cut", "back", "note"), attack[:90]))
    sale = dict.fromkeys(("maker", "condition", "note", "link"), attack)
    visitor.post("/sales", {"when": "2026-01-01", "price": "3 EUR", **sale})
    pages = [
        visitor.get(path, params=params).text
        for path, params in (
            ("/", {}),
            (piece, {}),
            (f"{piece}/look", {}),
            (f"{piece}/what-if", {}),
            (f"{piece}/papers", {}),
            (f"{piece}/sheet", {}),
            (f"{piece}/label", {}),
            ("/stones", {"shape": attack, "named": attack}),
            ("/sales", {}),
            ("/past", {}),
            ("/table", {}),
            ("/marks", {"read": attack}),
            ("/book", {"q": attack}),
            ("/search", {"q": attack}),
        )
    ]

    for page in pages:
        assert not re.search(r"<script(?![^>]*\bsrc=\"/static/(?:bench|letters)\.js)", page)
        assert not re.search(r"<(iframe|object|embed|base)\b", page)
        assert not re.search(r"<[^>]*\son\w+\s*=(?=(?:[^\"]*\"[^\"]*\")*[^\"]*>)", page)
        assert not re.search(r'(?:href|src|action)="\s*javascript:', page)
        assert not re.search(r"(?<![0-9a-f])1337(?![0-9a-f])", page)  # no template was filled in
        assert "\x1b" not in page
        assert "\u202e" not in page


def test_the_code_of_a_label_opens_its_piece(visitor: Visitor) -> None:
    piece = visitor.start_box("coded", "brooch, leaf")[0]
    uid = piece.rsplit("/", 1)[-1]

    for code in (uid, uid.upper(), f"https://bench.invalid/piece/{uid}"):
        found = visitor.get(f"/search?q={code}")
        assert "brooch, leaf" in found.text
        assert 'class="made"' in found.text
    labels = visitor.get(f"{piece}/label?stock=a4-65").text
    assert uid in labels
    assert "38.1mm" in labels
    assert visitor.get(f"{piece}/label?stock=none").status_code == 400


@pytest.mark.parametrize(
    ("words", "letters"),
    [("begins with EIS", "EIS..."), ("COVA or CODA", "CO[VD]A"), ("ends in RI", "...RI")],
)
def test_words_that_tell_of_letters_not_read_are_taken_so(
    visitor: Visitor, words: str, letters: str
) -> None:
    page = visitor.get("/marks", params={"read": words}).text
    assert f"<q><bdi>{words}</bdi></q> is taken as <b><bdi>{letters}</bdi></b>" in page
    assert f'value="{letters}"' in page

    piece = visitor.start_box(words, "brooch")[0]
    visitor.post(f"{piece}/see", {"feature": "mark", "value": words})
    assert f"mark: {letters}</bdi>" in visitor.get(piece).text


@pytest.mark.parametrize("text", ["TRIFARI", "Made in Japan", "N?PI[E>F]R", "S.A.L. / 925", "A or"])
def test_any_other_mark_is_taken_as_written(visitor: Visitor, text: str) -> None:
    page = visitor.get("/marks", params={"read": text}).text
    assert "is taken as" not in page
    assert f'value="{html.escape(text)}"' in page


def test_a_turn_of_phrase_is_told_in_the_words_that_were_used(visitor: Visitor) -> None:
    piece = visitor.start_box("phrases", "brooch, black enamel border, engraved 1868")[0]
    page = visitor.get(piece).text
    assert "remark:" not in page
    assert re.search(r"<bdi>said: “[^”]*1868[^”]*”</bdi>", page)
    supposing = visitor.get(f"{piece}/what-if").text
    assert "remark" not in supposing
    assert "said: “" not in supposing


def test_the_kinds_at_a_glance_are_counted_in_words(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "kinds"}).url.path
    visitor.post(f"{box}/pieces", {"notes": "brooch, rollover catch\nbrooch, jet\nbar pin, gilt"})
    page = visitor.get(f"{box}/glance").text
    assert "2 brooches" in page
    assert "1 bar pin" in page


def test_figures_stand_by_what_they_are_wanted_for(visitor: Visitor) -> None:
    page = visitor.get("/figures").text
    fields = re.findall(r'<legend>(.*?)</legend>|<input name="([a-z-]+)"', page)
    legends = [legend for legend, _ in fields if legend]
    told: dict[str, list[str]] = {}
    for legend, name in fields:
        if legend:
            told[legend] = []
        elif legends and told:
            told[list(told)[-1]].append(name)

    assert legends[0] == "For every sale"
    assert set(NEEDED) <= set(told[legends[0]])
    assert len(legends) == len(set(legends)) == 5
    assert [name for names in told.values() for name in names] == [each.name for each in KINDS]


def test_figures_that_are_wanting_are_told_as_they_are_asked_for(tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        visitor = served.visitor()
        page = visitor.get(visitor.start_box("wanting", "brooch, jet")[0]).text
    assert "listing minutes" in page
    assert re.search(r">[^<]*listing-minutes", page) is None


def test_no_labels_of_an_empty_box_and_no_box_are_told(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "nothing to label"}).url.path
    labels = visitor.get(f"{box}/labels")
    assert labels.status_code == 404
    assert "There is no piece in this box yet" in labels.text
    missing = visitor.get("/box/999999")
    assert missing.status_code == 404
    assert "no such box" in missing.text


def test_a_table_of_which_nothing_is_taken_asks_for_its_columns(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "strange headings"}).url.path
    page = visitor.post(f"{box}/import", {"pasted": "Nr;Zusatz\n1;Brosche\n2;Ring\n"}).text
    assert "say above which column holds the note" in page
    assert page.count('<option value="mark">') == 2  # once for each of the two columns
    assert '<option value="remark">' not in page


def test_what_is_unsold_adds_up_also_without_a_day(visitor: Visitor) -> None:
    piece = visitor.start_box("bought some day", "brooch, jet")[0]
    visitor.post(f"{piece}/came", {"cost": "5 XPF"})
    page = visitor.get("/report").text
    cell = r'</t[hd]><td class="amount">'
    rows = re.findall(rf'<th scope="row">([^<]+){cell}(\d+){cell}(\d+) XPF', page)
    assert rows[-2:] == [("no day said", "1", "5"), ("all", "1", "5")]
    assert sum(int(pieces) for _, pieces, _ in rows[:-1]) == 1


def test_a_large_box_says_what_is_not_made_of_it_here(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "a large box"}).url.path
    for notes in (400, 101):
        assert visitor.post(f"{box}/pieces", {"notes": "ring\n" * notes}).status_code == 200
    page = visitor.get(box).text
    assert "are made here for up to 500 pieces" in page
    assert f"{box}/glance" not in page
    refused = visitor.get(f"{box}/glance")
    assert refused.status_code == 400
    assert "more than the 500 pieces" in refused.text
