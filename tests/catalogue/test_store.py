"""Boxes, pieces, the log, sets, steps: what is kept, and that nothing is ever lost."""

from __future__ import annotations

import base64
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from building import NOTES, reader, whole
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from samples import samples

from markrules.catalogue.records import NewPiece, Sale, SpareStone
from markrules.catalogue.store import Catalogue, CatalogueProblem
from markrules.knowledge.observation import Observation
from markrules.tasks.entering import new_piece, told_sentences


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with Catalogue(tmp_path / "catalogue.db") as opened:
        yield opened


def test_pieces_keep_note_words_and_what_was_told_apart(catalogue: Catalogue) -> None:
    box = catalogue.boxes.start("tin")
    numbers = catalogue.pieces.add(box, [new_piece(reader(), note) for note in NOTES], who="Ada")
    assert list(numbers) == [1, 2, 3, 4, 5]

    earrings = catalogue.pieces.numbered(box, 3)
    assert earrings.note == NOTES[2]
    assert earrings.told == "Seller says they are from 1920."
    seen = {each.observation.feature: each for each in catalogue.log.seen_on(earrings)}
    assert seen["piece"].observation.value == "earrings"
    assert all(line.who == "Ada" for line in seen.values())
    heard = [line for line in seen.values() if line.observation.heard]
    assert [line.observation.words for line in heard] == ["Seller says they are from 1920"]


def test_told_sentences_are_found_however_they_are_written() -> None:
    note = "Brooch, C catch.  SELLER SAYS\n it is from 1920; heavy! Nice."
    assert told_sentences(note, []) == []
    assert told_sentences("A b. Seller  says it is c. D", ["seller says it"]) == [
        "Seller  says it is c."
    ]
    assert told_sentences(note, ["from 1920"]) == ["it is from 1920;"]
    assert told_sentences(note, ["words of nowhere"]) == ["words of nowhere"]


def test_an_identifier_is_80_bits_in_base32(catalogue: Catalogue) -> None:
    """RFC 4648, section 6: eight characters for five bytes."""
    box = catalogue.boxes.start("tin")
    catalogue.pieces.add(box, [NewPiece("a")] * 300)
    uids = {piece.uid for piece in catalogue.pieces.all(box)}
    assert len(uids) == 300
    assert all(len(base64.b32decode(uid.upper())) == 10 for uid in uids)
    assert catalogue.pieces.by_uid(min(uids).upper()).uid == min(uids)


_NUMBERS = st.none() | st.floats(allow_nan=False, allow_infinity=False, width=32)
_OBSERVATIONS = st.builds(
    Observation,
    feature=st.text(min_size=1, max_size=20),
    value=st.text(max_size=20),
    state=st.sampled_from(["seen", "absent", "ruled-out"]),
    number=_NUMBERS,
    years=st.none() | st.tuples(st.integers(1700, 2026), st.integers(1700, 2026)),
    certainty=st.sampled_from(["sure", "fair", "guess"]),
    heard=st.booleans(),
    words=st.text(max_size=20),
    assumed=st.text(max_size=20),
    weights=st.lists(
        st.tuples(st.integers(1700, 2026), st.floats(0, 1, allow_nan=False)), max_size=3
    ).map(tuple),
)


@settings(max_examples=samples(60), suppress_health_check=list(HealthCheck))
@given(observations=st.lists(_OBSERVATIONS, max_size=5))
def test_an_observation_comes_back_as_it_went_in(
    catalogue: Catalogue, observations: list[Observation]
) -> None:
    names = [box.name for box in catalogue.boxes.all()]
    box = catalogue.boxes.start(f"box {len(names)}")
    # A lone surrogate is no text in UTF-8; SQLite cannot keep it and says so.
    if any(surrogate(each) for each in observations):
        with pytest.raises(CatalogueProblem, match="not UTF-8"):
            catalogue.pieces.add(box, [NewPiece(observations=tuple(observations))])
        return
    catalogue.pieces.add(box, [NewPiece(observations=tuple(observations))])
    piece = catalogue.pieces.numbered(box, 1)
    assert [line.observation for line in catalogue.log.seen_on(piece)] == observations


def surrogate(seen: Observation) -> bool:
    text = seen.feature + seen.value + seen.words + seen.assumed
    return any("\ud800" <= character <= "\udfff" for character in text)


def test_the_log_cannot_be_changed_or_erased_even_by_hand(catalogue: Catalogue) -> None:
    box = catalogue.boxes.start("tin")
    catalogue.pieces.add(box, [new_piece(reader(), NOTES[0])])
    with sqlite3.connect(catalogue.path) as other:
        for statement in ("update seen set value = 'x'", "delete from seen"):
            with pytest.raises(sqlite3.IntegrityError, match="only grows"):
                other.execute(statement)
    other.close()


def test_a_correction_takes_the_place_of_a_line_and_can_be_taken_back(
    catalogue: Catalogue,
) -> None:
    box = catalogue.boxes.start("tin")
    catalogue.pieces.add(box, [new_piece(reader(), "brooch, C catch, marked AUSTRIA")])
    piece = catalogue.pieces.numbered(box, 1)
    catch = next(x for x in catalogue.log.seen_on(piece) if x.observation.feature == "catch")

    catalogue.log.add(piece, [Observation("catch", "rollover")], corrects=catch.id)
    values = [x.observation.value for x in catalogue.log.seen_on(piece)]
    assert "rollover" in values
    assert "c-catch" not in values
    with pytest.raises(CatalogueProblem, match="no line"):
        catalogue.log.add(piece, [Observation("catch", "trombone")], corrects=catch.id)

    catalogue.steps.undo()
    assert "c-catch" in [x.observation.value for x in catalogue.log.seen_on(piece)]
    assert len(catalogue.log.of(piece)) == 5  # three lines, the correction, its withdrawal


def test_search_follows_marks_that_are_corrected(catalogue: Catalogue) -> None:
    box = catalogue.boxes.start("tin")
    catalogue.pieces.add(box, [NewPiece("a clip", observations=(Observation("mark", "ACORN"),))])
    piece = catalogue.pieces.numbered(box, 1)
    line = catalogue.log.seen_on(piece)[0].id
    assert catalogue.pieces.search("acorn")
    catalogue.log.add(piece, [Observation("mark", "BIRCH")], corrects=line)
    assert not catalogue.pieces.search("acorn")
    assert catalogue.pieces.search("birch")
    catalogue.steps.undo()
    assert catalogue.pieces.search("acorn")
    assert not catalogue.pieces.search("birch")


@settings(max_examples=samples(150), suppress_health_check=list(HealthCheck))
@given(text=st.text(max_size=40) | st.text(alphabet='"*():^-+ANDORNEARé\0', max_size=30))
def test_no_search_text_is_taken_for_syntax(catalogue: Catalogue, text: str) -> None:
    catalogue.pieces.search(text)


def test_a_search_finds_beginnings_and_letters_without_accents(catalogue: Catalogue) -> None:
    box, other = catalogue.boxes.start("tin"), catalogue.boxes.start("tray")
    catalogue.pieces.add(box, [NewPiece("émail sur cuivre"), NewPiece("gone leaf")])
    catalogue.pieces.add(other, [NewPiece("email, leaf")])
    catalogue.pieces.take_out(catalogue.pieces.numbered(box, 2), "sold")
    assert len(catalogue.pieces.search("emai")) == 2
    assert [each.piece.box for each in catalogue.pieces.search("EMAIL", box=other)] == [other.id]
    assert [each.piece.box for each in catalogue.pieces.search("leaf")] == [other.id]
    assert catalogue.pieces.search("") == ()


def test_every_kind_of_step_can_be_taken_back_and_done_again(catalogue: Catalogue) -> None:
    box = catalogue.boxes.start("tin")
    catalogue.pieces.add(box, [new_piece(reader(), note) for note in NOTES])
    piece, other = catalogue.pieces.numbered(box, 1), catalogue.pieces.numbered(box, 2)
    catalogue.stones.add([SpareStone(0, "round", 4.0, "", "clear", None, "", "", 5, None, "")])
    line = catalogue.log.seen_on(piece)[0].id
    sale = Sale(0, None, "2024", 100, "EUR", "", "", None, None, "", None, "", "")
    changes = [
        lambda: catalogue.pieces.change(piece, title="leaf", told="a gift"),
        lambda: catalogue.pieces.take_out(piece, "sold"),
        lambda: catalogue.sets.start("pair", [piece, other]),
        lambda: catalogue.log.add(piece, [Observation("catch", "c-catch")]),
        lambda: catalogue.log.withdraw(piece, line),
        lambda: catalogue.boxes.change(box, name="tin 2", note="n"),
        lambda: catalogue.pieces.add(box, [NewPiece("more")]),
        lambda: catalogue.boxes.start("tray"),
        lambda: catalogue.money.record_sales([sale, sale]),
        lambda: catalogue.money.record_acquisition(piece, cost_minor=5, currency="EUR"),
        lambda: catalogue.decisions.decide(piece, "keep", "pretty", {"net": 3}),
        lambda: catalogue.stones.use(1, 2),
    ]
    for change in changes:
        before = _seen_by_a_person(catalogue)
        change()
        after = _seen_by_a_person(catalogue)
        assert after != before
        catalogue.steps.undo()
        assert _seen_by_a_person(catalogue) == before
        catalogue.steps.redo()
        assert _seen_by_a_person(catalogue) == after
        catalogue.steps.undo()
        assert _seen_by_a_person(catalogue) == before


def _seen_by_a_person(catalogue: Catalogue) -> object:
    pieces = catalogue.pieces.all()
    return (
        catalogue.boxes.all(),
        pieces,
        catalogue.sets.all(),
        [[line.observation for line in catalogue.log.seen_on(each)] for each in pieces],
        catalogue.money.sales(),
        catalogue.money.acquisitions(),
        catalogue.decisions.standing(),
        catalogue.stones.all(),
    )


def test_undo_goes_back_step_by_step_to_an_empty_catalogue(catalogue: Catalogue) -> None:
    box = catalogue.boxes.start("tin")
    catalogue.pieces.add(box, [NewPiece("a"), NewPiece("b")], who="Ada")
    catalogue.pieces.add(box, [NewPiece("c")], who="Ben")
    assert catalogue.steps.undo("Ada", only_own=True).who == "Ada"
    assert [piece.note for piece in catalogue.pieces.all()] == ["c"]
    catalogue.steps.undo()
    catalogue.steps.undo()
    assert catalogue.boxes.all() == ()
    with pytest.raises(CatalogueProblem, match="no step left"):
        catalogue.steps.undo()
    assert catalogue.boxes.start("tin").name == "tin"
    assert len(whole(catalogue)["piece"]) == 3  # nothing was erased


def test_what_was_taken_back_is_not_done_again_after_another_change(catalogue: Catalogue) -> None:
    box = catalogue.boxes.start("tin")
    catalogue.pieces.add(box, [NewPiece("a")])
    catalogue.steps.undo()
    catalogue.pieces.add(box, [NewPiece("b")])

    with pytest.raises(CatalogueProblem, match="since the last change"):
        catalogue.steps.redo()

    assert [piece.note for piece in catalogue.pieces.all()] == ["b"]


def test_what_was_taken_back_is_done_again_at_once(catalogue: Catalogue) -> None:
    box = catalogue.boxes.start("tin")
    catalogue.pieces.add(box, [NewPiece("a")])
    catalogue.steps.undo()

    catalogue.steps.redo()

    assert [piece.note for piece in catalogue.pieces.all()] == ["a"]


def test_what_is_asked_wrongly_is_told_with_the_nearest(catalogue: Catalogue) -> None:
    with pytest.raises(CatalogueProblem, match="no box yet"):
        catalogue.boxes.named("tin")
    box = catalogue.boxes.start("attic tin")
    for ask, told in [
        (lambda: catalogue.boxes.named("atic tin"), 'nearest: "attic tin"'),
        (lambda: catalogue.boxes.start("attic tin"), "already"),
        (lambda: catalogue.boxes.start("  "), "needs a name"),
        (lambda: catalogue.boxes.start("x" * 300), "300 characters"),
        (lambda: catalogue.pieces.numbered(box, 1), "it is empty"),
        (lambda: catalogue.pieces.by_id(7), "no piece"),
        (lambda: catalogue.pieces.by_uid("zz"), "identifier"),
        (lambda: catalogue.stones.use(1), "no stones"),
        (catalogue.steps.redo, "nothing was taken back"),
        (lambda: catalogue.photos.picture("0"), "no picture"),
    ]:
        with pytest.raises(CatalogueProblem, match=told):
            ask()


def test_an_error_within_a_change_leaves_nothing(catalogue: Catalogue) -> None:
    box = catalogue.boxes.start("tin")
    before = whole(catalogue)

    def pieces() -> Iterator[NewPiece]:
        yield NewPiece("one")
        raise RuntimeError

    with pytest.raises(RuntimeError):
        catalogue.pieces.add(box, pieces())
    assert whole(catalogue) == before


def test_lists_come_in_pages(catalogue: Catalogue) -> None:
    box = catalogue.boxes.start("tin")
    catalogue.pieces.add(box, [NewPiece(str(i)) for i in range(120)])
    catalogue.pieces.take_out(catalogue.pieces.numbered(box, 50))
    pages, after = [], 0
    while page := catalogue.pieces.listed(box, after=after, limit=50):
        pages.append(len(page))
        after = page[-1].piece.number
    assert pages == [50, 50, 19]
    assert catalogue.boxes.counts() == {box.id: 119}


def test_the_tables_can_be_read_by_sqlite_utils(catalogue: Catalogue) -> None:
    catalogue.boxes.start("tin")
    assert [row["name"] for row in catalogue.db["box"].rows] == ["tin"]
    names = set(catalogue.db.table_names())
    assert {"box", "piece", "seen", "photo", "reading", "sale", "acquisition"} <= names
    for table in names:
        for key in catalogue.db[table].foreign_keys:
            assert key.other_table in names
    assert {"standing_piece", "latest_reading"} <= set(catalogue.db.view_names())
    for view in ("standing_piece", "latest_reading"):
        assert list(catalogue.db[view].rows) == []
