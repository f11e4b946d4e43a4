"""Two people at one table: undo takes back one's own change, and nobody else's work."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
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
    ada.pieces.add(ada.boxes.start("tin", who="Ada"), [NewPiece(note) for note in notes], who="Ada")


def test_each_field_is_taken_back_alone(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf")
    ada.pieces.change(ada.pieces.by_id(1), title="A leaf", told="from aunt", who="Ada")
    ben.pieces.change(ben.pieces.by_id(1), told="from uncle", who="Ben")

    step = ada.steps.undo(only_own=True)

    piece = ada.pieces.by_id(1)
    assert (piece.title, piece.told) == ("", "from uncle")
    assert len(step.kept) == 1
    assert 'told of piece 1 of "tin" was changed since, by Ben' in step.kept[0]
    ada.steps.redo(only_own=True)
    assert (ada.pieces.by_id(1).title, ada.pieces.by_id(1).told) == ("A leaf", "from uncle")
    ben.steps.undo(only_own=True)
    assert ada.pieces.by_id(1).told == "from aunt"


def test_where_all_was_touched_nothing_is_changed_and_it_is_told(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf")
    ada.pieces.change(ada.pieces.by_id(1), title="mine", who="Ada")
    ben.pieces.change(ben.pieces.by_id(1), title="ours", who="Ben")
    before = whole(ada)
    with pytest.raises(CatalogueProblem, match=r"title of piece 1 .* changed since, by Ben"):
        ada.steps.undo(only_own=True)
    assert whole(ada) == before


def test_a_broken_step_between_hides_none_of_the_later_ones(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf", "bird")
    ada.pieces.change(ada.pieces.by_id(1), title="mine", who="Ada")
    ben.pieces.change(ben.pieces.by_id(2), title="a bird", who="Ben")
    with closing(sqlite3.connect(ada.path)) as by_hand, by_hand:
        by_hand.execute("update step set undoes = '[{' where id = (select max(id) from step)")
    ben.pieces.change(ben.pieces.by_id(1), title="ours", who="Ben")

    with pytest.raises(CatalogueProblem, match=r"title of piece 1 .* changed since, by Ben"):
        ada.steps.undo(only_own=True)
    assert ada.pieces.by_id(1).title == "ours"


def test_what_another_wrote_last_stays_though_it_is_the_same_again(two: Two) -> None:
    """Ben changed Ada's title and wrote it once more: it is his now."""
    ada, ben = two
    filled(ada, "leaf")
    ada.pieces.change(ada.pieces.by_id(1), title="a leaf", who="Ada")
    for title in ("a bird", "a leaf"):
        ben.pieces.change(ben.pieces.by_id(1), title=title, who="Ben")
    with pytest.raises(CatalogueProblem, match=r"title of piece 1 .* changed since, by Ben"):
        ada.steps.undo(only_own=True)
    assert ada.pieces.by_id(1).title == "a leaf"


def test_a_box_with_anothers_pieces_stays(two: Two) -> None:
    ada, ben = two
    box = ada.boxes.start("tin", who="Ada")
    ben.pieces.add(box, [NewPiece("a"), NewPiece("b"), NewPiece("c")], who="Ben")
    with pytest.raises(CatalogueProblem, match='box "tin" was used since, by Ben'):
        ada.steps.undo(only_own=True)
    assert len(ada.pieces.all(ada.boxes.named("tin"))) == 3
    ben.steps.undo(only_own=True)
    ada.steps.undo(only_own=True)
    assert ada.boxes.all() == ()


def test_a_renamed_box_is_not_taken_back_in_part(two: Two) -> None:
    ada, ben = two
    ada.boxes.start("tin", who="Ada")
    ben.boxes.change(ben.boxes.named("tin"), name="tray", who="Ben")
    with pytest.raises(CatalogueProblem, match='box "tray" was used since, by Ben'):
        ada.steps.undo(only_own=True)
    assert [box.name for box in ada.boxes.all()] == ["tray"]


def test_pieces_that_another_worked_on_stay(two: Two) -> None:
    ada, ben = two
    filled(ada, "a", "b", "c", "d", "e")
    ben.log.add(ben.pieces.by_id(2), [Observation("catch", "rollover")], who="Ben")
    ben.decisions.decide(ben.pieces.by_id(4), "keep", who="Ben")

    step = ada.steps.undo(only_own=True)

    assert [piece.note for piece in ada.pieces.all()] == ["b", "d"]
    assert len(step.kept) == 2
    ada.steps.redo(only_own=True)
    assert len(ada.pieces.all()) == 5


def test_counts_are_added_to_and_not_overwritten(two: Two) -> None:
    ada, ben = two
    ada.stones.add([SpareStone(0, "round", 4.0, "", "", None, "", "", 10, None, "")])
    ada.stones.use(1, 3)
    ben.stones.use(1, 4)
    ada.steps.undo(only_own=True)
    assert ada.stones.all()[0].count == 6
    ada.steps.redo(only_own=True)
    assert ada.stones.all()[0].count == 3
    ben.stones.use(1, 3)
    ada.steps.undo(only_own=True)
    assert ada.stones.all()[0].count == 3


def test_a_line_that_another_corrected_stays(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf")
    line = ada.log.add(ada.pieces.by_id(1), [Observation("catch", "c-catch")], who="Ada")[0]
    ben.log.add(ben.pieces.by_id(1), [Observation("catch", "rollover")], "Ben", corrects=line)
    with pytest.raises(CatalogueProblem, match=r"was corrected since, by Ben"):
        ada.steps.undo(only_own=True)
    assert [each.observation.value for each in ada.log.seen_on(ada.pieces.by_id(1))] == ["rollover"]


def test_a_figure_is_a_step_and_merges(two: Two) -> None:
    ada, ben = two
    ada.figures.set("fee", "13%", "Ada")
    assert ada.steps.last()[0].what == "set figure"
    ben.figures.set("fee", "15%", "Ben")
    with pytest.raises(CatalogueProblem, match="figure fee was set again since, by Ben"):
        ada.steps.undo(only_own=True)
    ben.steps.undo(only_own=True)
    assert ada.figures.all() == {"fee": "13%"}
    ada.steps.undo(only_own=True)
    assert ada.figures.all() == {}
    ada.steps.redo(only_own=True)
    assert ada.figures.all() == {"fee": "13%"}
    count = len(ada.steps.last(1000))
    ada.figures.set("fee", "13%")
    assert len(ada.steps.last(1000)) == count


def test_a_name_taken_meanwhile_is_told(two: Two) -> None:
    ada, ben = two
    box = ada.boxes.start("tin", who="Ada")
    ada.boxes.change(box, name="tray", who="Ada")
    ben.boxes.start("tin", who="Ben")
    with pytest.raises(CatalogueProblem, match="another took the name"):
        ada.steps.undo(only_own=True)
    assert sorted(each.name for each in ada.boxes.all()) == ["tin", "tray"]


def test_the_name_typed_gives_no_right(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf")
    for ask in (
        lambda: ben.steps.undo("Ada", only_own=True),
        lambda: ben.steps.undo("Ada", only_own=True, number=1),
        lambda: ben.steps.redo("Ada", only_own=True),
    ):
        with pytest.raises(CatalogueProblem):
            ask()
    ada.steps.undo(only_own=True)
    with pytest.raises(CatalogueProblem, match="nothing was taken back"):
        ben.steps.redo("Ada", only_own=True)


def test_a_step_of_the_list_can_be_chosen(two: Two) -> None:
    ada, ben = two
    filled(ada, "leaf")
    ada.pieces.change(ada.pieces.by_id(1), title="mine", who="Ada")
    chosen = ada.steps.last()[0].id
    ada.pieces.change(ada.pieces.by_id(1), told="from aunt", who="Ada")
    ben.pieces.change(ben.pieces.by_id(1), told="from uncle", who="Ben")
    ada.steps.undo(only_own=True, number=chosen)
    assert (ada.pieces.by_id(1).title, ada.pieces.by_id(1).told) == ("", "from uncle")


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
            before = {name: getattr(ada.pieces.by_id(1), name) for name in _FIELDS}
            if what != "undo":
                person.pieces.change(person.pieces.by_id(1), **{what: value})  # type: ignore[arg-type]
                if before[what] != value:
                    last[what] = person
                continue
            try:
                step = person.steps.undo(only_own=True)
            except CatalogueProblem:
                assert {name: getattr(ada.pieces.by_id(1), name) for name in _FIELDS} == before
                continue
            if step.what != "change piece":
                break  # the piece itself was taken back
            for name in _FIELDS:
                changed = getattr(ada.pieces.by_id(1), name) != before[name]
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
