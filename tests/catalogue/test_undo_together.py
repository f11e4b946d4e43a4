"""Two people at one table: undo takes back one's own change, and nobody else's work."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from building import whole
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from markrules.catalogue.records import NewPiece, SpareStone
from markrules.catalogue.store import Catalogue, CatalogueProblem
from markrules.knowledge.observation import Observation

Two = tuple[Catalogue, Catalogue]


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Two]:
    """The same catalogue as two admitted browsers have it; both type the name Ada."""
    path = tmp_path / "catalogue.db"
    with Catalogue(path, browser="one") as ada, Catalogue(path, browser="other") as ben:
        yield ada, ben


def filled(ada: Catalogue, *notes: str) -> None:
    ada.add_pieces(ada.start_box("tin", who="Ada"), [NewPiece(note) for note in notes], who="Ada")


def test_each_field_is_taken_back_alone(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf")
    ada.change_piece(ada.piece(1), title="A leaf", told="from aunt", who="Ada")
    ben.change_piece(ben.piece(1), told="from uncle", who="Ben")

    step = ada.undo(only_own=True)

    piece = ada.piece(1)
    assert (piece.title, piece.told) == ("", "from uncle")
    assert len(step.kept) == 1
    assert 'told of piece 1 of "tin" was changed since, by Ben' in step.kept[0]
    ada.redo(only_own=True)
    assert (ada.piece(1).title, ada.piece(1).told) == ("A leaf", "from uncle")
    ben.undo(only_own=True)
    assert ada.piece(1).told == "from aunt"


def test_where_all_was_touched_nothing_is_changed_and_it_is_told(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf")
    ada.change_piece(ada.piece(1), title="mine", who="Ada")
    ben.change_piece(ben.piece(1), title="ours", who="Ben")
    before = whole(ada)
    with pytest.raises(CatalogueProblem, match=r"title of piece 1 .* changed since, by Ben"):
        ada.undo(only_own=True)
    assert whole(ada) == before


def test_a_box_with_anothers_pieces_stays(two: Two) -> None:
    ada, ben = two
    box = ada.start_box("tin", who="Ada")
    ben.add_pieces(box, [NewPiece("a"), NewPiece("b"), NewPiece("c")], who="Ben")
    with pytest.raises(CatalogueProblem, match='box "tin" was used since, by Ben'):
        ada.undo(only_own=True)
    assert len(ada.pieces(ada.box("tin"))) == 3
    ben.undo(only_own=True)
    ada.undo(only_own=True)
    assert ada.boxes() == ()


def test_a_renamed_box_is_not_taken_back_in_part(two: Two) -> None:
    ada, ben = two
    ada.start_box("tin", who="Ada")
    ben.change_box(ben.box("tin"), name="tray", who="Ben")
    with pytest.raises(CatalogueProblem, match='box "tray" was used since, by Ben'):
        ada.undo(only_own=True)
    assert [box.name for box in ada.boxes()] == ["tray"]


def test_pieces_that_another_worked_on_stay(two: Two) -> None:
    ada, ben = two
    filled(ada, "a", "b", "c", "d", "e")
    ben.log(ben.piece(2), [Observation("catch", "rollover")], who="Ben")
    ben.decide(ben.piece(4), "keep", who="Ben")

    step = ada.undo(only_own=True)

    assert [piece.note for piece in ada.pieces()] == ["b", "d"]
    assert len(step.kept) == 2
    ada.redo(only_own=True)
    assert len(ada.pieces()) == 5


def test_counts_are_added_to_and_not_overwritten(two: Two) -> None:
    ada, ben = two
    ada.add_stones([SpareStone(0, "round", 4.0, "", "", None, "", "", 10, None, "")])
    ada.use_stones(1, 3)
    ben.use_stones(1, 4)
    ada.undo(only_own=True)
    assert ada.stones()[0].count == 6
    ada.redo(only_own=True)
    assert ada.stones()[0].count == 3
    ben.use_stones(1, 3)
    ada.undo(only_own=True)
    assert ada.stones()[0].count == 3


def test_a_line_that_another_corrected_stays(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf")
    line = ada.log(ada.piece(1), [Observation("catch", "c-catch")], who="Ada")[0]
    ben.log(ben.piece(1), [Observation("catch", "rollover")], "Ben", corrects=line)
    with pytest.raises(CatalogueProblem, match=r"was corrected since, by Ben"):
        ada.undo(only_own=True)
    assert [each.observation.value for each in ada.seen_on(ada.piece(1))] == ["rollover"]


def test_a_figure_is_a_step_and_merges(two: Two) -> None:
    ada, ben = two
    ada.set_figure("fee", "13%", "Ada")
    assert ada.steps()[0].what == "set figure"
    ben.set_figure("fee", "15%", "Ben")
    with pytest.raises(CatalogueProblem, match="figure fee was set again since, by Ben"):
        ada.undo(only_own=True)
    ben.undo(only_own=True)
    assert ada.figures() == {"fee": "13%"}
    ada.undo(only_own=True)
    assert ada.figures() == {}
    ada.redo(only_own=True)
    assert ada.figures() == {"fee": "13%"}
    count = len(ada.steps(1000))
    ada.set_figure("fee", "13%")
    assert len(ada.steps(1000)) == count


def test_a_name_taken_meanwhile_is_told(two: Two) -> None:
    ada, ben = two
    box = ada.start_box("tin", who="Ada")
    ada.change_box(box, name="tray", who="Ada")
    ben.start_box("tin", who="Ben")
    with pytest.raises(CatalogueProblem, match="another took the name"):
        ada.undo(only_own=True)
    assert sorted(each.name for each in ada.boxes()) == ["tin", "tray"]


def test_the_name_typed_gives_no_right(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf")
    for ask in (
        lambda: ben.undo("Ada", only_own=True),
        lambda: ben.undo("Ada", only_own=True, number=1),
        lambda: ben.redo("Ada", only_own=True),
    ):
        with pytest.raises(CatalogueProblem):
            ask()
    ada.undo(only_own=True)
    with pytest.raises(CatalogueProblem, match="nothing was taken back"):
        ben.redo("Ada", only_own=True)


def test_a_step_of_the_list_can_be_chosen(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf")
    ada.change_piece(ada.piece(1), title="mine", who="Ada")
    chosen = ada.steps()[0].id
    ada.change_piece(ada.piece(1), told="from aunt", who="Ada")
    ben.change_piece(ben.piece(1), told="from uncle", who="Ben")
    ada.undo(only_own=True, number=chosen)
    assert (ada.piece(1).title, ada.piece(1).told) == ("", "from uncle")


_FIELDS = ("title", "told")
_CHANGES = st.lists(
    st.tuples(st.booleans(), st.sampled_from(["title", "told", "undo"]), st.sampled_from("abcd")),
    max_size=14,
)


@settings(deadline=None, max_examples=25, suppress_health_check=list(HealthCheck))
@given(changes=_CHANGES)
def test_undo_never_changes_what_another_wrote_last(
    changes: list[tuple[bool, str, str]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("two") / "catalogue.db"
    with Catalogue(path, browser="one") as ada, Catalogue(path, browser="other") as ben:
        filled(ada, "leaf")
        last = {"title": ada, "told": ada}  # who wrote what stands there
        for first, what, value in changes:
            person = ada if first else ben
            before = {name: getattr(ada.piece(1), name) for name in _FIELDS}
            if what != "undo":
                person.change_piece(person.piece(1), **{what: value})  # type: ignore[arg-type]
                if before[what] != value:
                    last[what] = person
                continue
            try:
                step = person.undo(only_own=True)
            except CatalogueProblem:
                assert {name: getattr(ada.piece(1), name) for name in _FIELDS} == before
                continue
            if step.what != "change piece":
                break  # the piece itself was taken back
            for name in _FIELDS:
                changed = getattr(ada.piece(1), name) != before[name]
                assert not changed or last[name] is person
            last = {name: _writer(path, name, last[name], ada, ben) for name in _FIELDS}


def _writer(path: Path, name: str, was: Catalogue, ada: Catalogue, ben: Catalogue) -> Catalogue:
    """Who wrote what stands in a field: the last step that stands and touched it."""
    for row in ada.rows(
        "select browser, undoes from step where undone = '' and what <> 'undo' order by id desc"
    ):
        if f'"{name}":' in row["undoes"]:
            return ada if row["browser"] == "one" else ben
    return was
