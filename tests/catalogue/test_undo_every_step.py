"""Undo of every kind of step, with every kind of step done by another person after it."""

from __future__ import annotations

import inspect
import io
import re
import shutil
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any, TypeVar

import pytest
from building import NOTES
from PIL import Image
from samples import some_of

from markrules import catalogue
from markrules.catalogue.archive import archive
from markrules.catalogue.pictures import prepare
from markrules.catalogue.records import NewPiece, Piece, Sale, SpareStone
from markrules.catalogue.store import Catalogue, CatalogueProblem
from markrules.catalogue.wholeness import check
from markrules.knowledge.observation import Observation

Item = TypeVar("Item")
Shown = dict[tuple[Any, ...], Any]
DAY = "2026-03-01"


@cache
def jpeg(shade: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (30, 20), (shade, 90, 10)).save(out, "JPEG")
    return out.getvalue()


def a_sale(price: int) -> Sale:
    return Sale(0, None, DAY, price, "EUR", "", "brooch", None, None, "", None, "", "")


def some_stones(count: int) -> SpareStone:
    return SpareStone(0, "round", 4.0, "", "red", None, "", "", count, None, "")


def first(found: Sequence[Item]) -> Item:
    """The first of what there is; where another took it away, nothing can be done to it."""
    if not found:
        raise CatalogueProblem("none is left")
    return found[0]


class Person:
    """One of two at a table: everything that can be done to piece `at`, with values of its own."""

    def __init__(self, path: Path, name: str) -> None:
        self.all = Catalogue(path, browser=name)
        self.name, self.shade = name, len(name) * 20

    def do(self, what: str, at: int) -> None:
        getattr(self, f"do_{what}")(self.all.pieces.by_id(at))

    def do_start_box(self, _: Piece) -> None:
        self.all.boxes.start(f"box of {self.name}", who=self.name)

    def do_change_box(self, _: Piece) -> None:
        self.all.boxes.change(self.all.boxes.by_id(1), note=f"by {self.name}", who=self.name)

    def do_add_pieces(self, _: Piece) -> None:
        self.all.pieces.add(self.all.boxes.by_id(1), [NewPiece(self.name)] * 2, who=self.name)

    def do_change_piece(self, piece: Piece) -> None:
        self.all.pieces.change(piece, title=f"of {self.name}", told="from aunt", who=self.name)

    def do_take_out(self, piece: Piece) -> None:
        self.all.pieces.take_out(piece, f"given by {self.name}", who=self.name)

    def do_put_back(self, _: Piece) -> None:
        self.all.pieces.put_back(self.all.pieces.by_id(4), who=self.name)

    def do_take_out_several(self, piece: Piece) -> None:
        self.all.pieces.take_out_each([piece, self.all.pieces.by_id(3)], "sold", who=self.name)

    def do_see(self, piece: Piece) -> None:
        self.all.log.add(
            piece,
            [Observation("catch", "c-catch")],
            who=self.name,
            not_understood=(f"words of {self.name}",),
            unknown=("hinge",),
        )

    def do_see_on_several(self, piece: Piece) -> None:
        pieces = [piece, self.all.pieces.by_id(3)]
        self.all.log.add_on_each(pieces, [Observation("hinge", "tube-hinge")], who=self.name)

    def do_correct(self, piece: Piece) -> None:
        line = first(self.all.log.seen_on(piece)).id
        value = "c-catch" if self.name == "Ada" else "safety"
        self.all.log.add(piece, [Observation("catch", value)], self.name, corrects=line)

    def do_withdraw(self, piece: Piece) -> None:
        self.all.log.withdraw(piece, first(self.all.log.seen_on(piece)).id, who=self.name)

    def do_dont_know(self, piece: Piece) -> None:
        self.all.log.pass_over(piece, [f"catch-{self.name}"], who=self.name)

    def do_set_aside(self, piece: Piece) -> None:
        self.all.log.set_unknown(piece, [f"left by {self.name}"], who=self.name)

    def do_add_photo(self, piece: Piece) -> None:
        self.all.photos.add(piece, jpeg(self.shade), who=self.name)

    def do_add_photos(self, piece: Piece) -> None:
        self.all.photos.keep_each(piece, [prepare(jpeg(self.shade + 1))], who=self.name)

    def do_add_photographed_pieces(self, _: Piece) -> None:
        box = self.all.boxes.by_id(1)
        self.all.photos.add_photographed(box, [[prepare(jpeg(self.shade + 2))]], who=self.name)

    def do_take_out_photo(self, piece: Piece) -> None:
        self.all.photos.take_out(first(self.all.photos.of(piece)), who=self.name)

    def do_pin(self, piece: Piece) -> None:
        photo, line = first(self.all.photos.of(piece)), self.all.log.of(piece)[0].id
        self.all.photos.pin(photo, line, 0.5, self.shade / 1000, who=self.name)

    def do_record_acquisition(self, piece: Piece) -> None:
        self.all.money.record_acquisition(piece, cost_minor=900, currency="EUR", who=self.name)

    def do_correct_cost(self, _: Piece) -> None:
        self.all.money.correct_acquisition(
            1, cost_minor=100 + self.shade, currency="EUR", who=self.name
        )

    def do_record_sales(self, _: Piece) -> None:
        self.all.money.record_sales([a_sale(1000 + self.shade)], who=self.name)

    def do_sell(self, piece: Piece) -> None:
        self.all.money.record_sold([piece], [a_sale(2000 + self.shade)], who=self.name)

    def do_take_return(self, _: Piece) -> None:
        self.all.money.take_return(2, DAY, who=self.name)

    def do_list(self, piece: Piece) -> None:
        self.all.money.record_event(piece, "listed", place=self.name, who=self.name)

    def do_take_down(self, piece: Piece) -> None:
        self.all.money.record_event(piece, "unlisted", place=self.name, who=self.name)

    def do_store(self, piece: Piece) -> None:
        self.all.money.record_event(piece, "stored", place=self.name, who=self.name)

    def do_take_out_sale(self, _: Piece) -> None:
        self.all.money.take_out_sale(1, who=self.name)

    def do_start_set(self, piece: Piece) -> None:
        self.all.sets.start(f"set of {self.name}", [piece], who=self.name)

    def do_add_stones(self, _: Piece) -> None:
        self.all.stones.add([some_stones(5)], who=self.name)

    def do_use_stones(self, _: Piece) -> None:
        self.all.stones.use(1, 3, who=self.name)

    def do_decide(self, piece: Piece) -> None:
        self.all.decisions.decide(piece, "keep", f"says {self.name}", who=self.name)

    def do_decide_on_several(self, piece: Piece) -> None:
        self.all.decisions.decide_each([(piece, "sell", self.name, {})], who=self.name)

    def do_set_figure(self, _: Piece) -> None:
        self.all.figures.set("fee", f"{self.shade}%", who=self.name)


KINDS = [name.removeprefix("do_") for name in vars(Person) if name.startswith("do_")]


def begun(path: Path) -> None:
    with Catalogue(path) as made:
        box = made.boxes.start("tin")
        made.pieces.add(box, [NewPiece(note) for note in NOTES])
        for at in (1, 2, 3):
            made.log.add(made.pieces.by_id(at), [Observation("catch", "rollover")])
            made.photos.add(made.pieces.by_id(at), jpeg(at))
        made.money.record_acquisition(box, cost_minor=4000, currency="EUR")
        made.money.record_sales([a_sale(1500)])
        made.money.record_sold([made.pieces.by_id(5)], [a_sale(1700)])
        made.pieces.take_out(made.pieces.by_id(4), "lost")
        made.stones.add([some_stones(10)])
        made.figures.set("fee", "13%")


def shown(made: Catalogue) -> Shown:
    """What a person finds in a catalogue, cell by cell."""
    found: Shown = {("figure", name): value for name, value in made.figures.all().items()}
    for box in made.boxes.all():
        found |= {("box", box.id, name): getattr(box, name) for name in ("name", "note")}
    for piece in made.pieces.all(gone=True):
        if " undone in step " in piece.gone:
            continue
        for name in ("number", "title", "told", "set", "gone_why", "not_understood"):
            found[("piece", piece.id, name)] = getattr(piece, name)
        found[("piece", piece.id, "gone")] = bool(piece.gone)
        for line in made.log.seen_on(piece):
            found[("seen", piece.id, str(line.observation.value), line.who)] = True
        found |= {("passed", piece.id, each): True for each in made.log.passed_on(piece)}
        for photo in made.photos.of(piece):
            found[("photo", photo.id)] = photo.digest
            found |= {("pin", photo.id, *pin): True for pin in photo.pins}
        for each in made.decisions.of(piece):
            found[("decision", each.id)] = (each.choice, each.reason)
    for bought in made.money.acquisitions():
        found[("acquisition", bought.id)] = bought.cost_minor
    for sale in made.money.sales():
        found |= {("sale", sale.id): sale.price_minor, ("sale", sale.id, "back"): sale.returned}
    found |= {("event", each.id): each.kind for each in made.money.events()}
    found |= {("set", each.id): each.name for each in made.sets.all()}
    found |= {("stones", each.id): each.count for each in made.stones.all()}
    return found


def changed(before: Shown, after: Shown) -> set[tuple[Any, ...]]:
    return {key for key in before.keys() | after.keys() if before.get(key) != after.get(key)}


@pytest.fixture(scope="module")
def beginning(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("beginning") / "catalogue.db"
    begun(path)
    return path


@pytest.fixture
def table(beginning: Path, tmp_path: Path) -> Iterator[tuple[Person, Person]]:
    shutil.copyfile(beginning, tmp_path / "catalogue.db")
    ada, ben = (
        Person(tmp_path / "catalogue.db", "Ada"),
        Person(tmp_path / "catalogue.db", "Benjamin"),
    )
    with ada.all, ben.all:
        yield ada, ben


def test_every_kind_of_step_is_tried_here_and_can_be_taken_back(
    table: tuple[Person, Person],
) -> None:
    """The steps named in the program are those that these two people do.

    And `box check` finds in the steps why rows are otherwise than in an archive.
    """
    ada, _ = table
    start = shown(ada.all)
    archived = ada.all.path.with_name("archive.zip")
    archive(ada.all, archived)
    for kind in KINDS:
        ada.do(kind, 1)
        done = shown(ada.all)
        assert done != start, kind
        assert ada.all.steps.undo(only_own=True).kept == ()
        assert shown(ada.all) == start, kind
        ada.all.steps.redo(only_own=True)
        assert shown(ada.all) == done, kind
        assert not any(each.faults for each in check(ada.all, [archived])), kind
        ada.all.steps.undo(only_own=True)
    assert not any(each.faults for each in check(ada.all, [archived]))
    text = "".join(
        path.read_text(encoding="utf-8")
        for path in Path(inspect.getfile(catalogue)).parent.glob("*.py")
    )
    named = set(re.findall(r"""\.change\(\s*"([a-z ']+)""", text))
    named |= set(re.findall(r"""set_columns\([^)]*"([a-z ]+)", who\)""", text))
    tried = {step.what for step in ada.all.steps.last(200)}
    assert len(named) > 25
    assert named <= tried, named - tried


PAIRS = [(mine, theirs, 1 + n % 2) for n, (mine, theirs) in enumerate(product(KINDS, KINDS))]
"""In turn on the same piece (1) and on the one beside it (2)."""


@pytest.mark.parametrize(("mine", "theirs", "at"), some_of(PAIRS))
def test_undo_takes_back_ones_own_and_nothing_of_anothers(
    table: tuple[Person, Person], mine: str, theirs: str, at: int
) -> None:
    """What was done later stays, whatever it is; what does not come back is told."""
    ada, ben = table
    start = shown(ada.all)
    ada.do(mine, 1)
    after_mine = shown(ada.all)
    my_part = changed(start, after_mine)
    assert my_part
    try:
        ben.do(theirs, at)
    except CatalogueProblem:
        return  # what Ada did leaves nothing for this one: a piece that left cannot be sold
    before = shown(ada.all)
    their_part = changed(after_mine, before)
    try:
        step = ada.all.steps.undo(only_own=True)
    except CatalogueProblem as stands:
        reason = str(stands)
        assert re.search(r"since, by Benjamin \(\d|too few are left|took the name", reason)
        assert shown(ada.all) == before
        assert their_part
        return
    now = shown(ada.all)
    for key in changed(before, now):
        if key[0] == "stones" and key in their_part:
            assert now[key] - before[key] == start[key] - after_mine[key]
            continue
        assert key in my_part
        assert key not in their_part
        assert now.get(key) == start.get(key)
    stays = {key for key in my_part if now.get(key) != start.get(key)}
    if not step.kept:
        assert stays <= their_part
    for words in step.kept:
        assert "since, by Benjamin (" in words
        assert "_" not in words, "a name of the file's own columns"
    ada.all.steps.redo(only_own=True)
    assert shown(ada.all) == before
