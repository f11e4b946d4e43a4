"""Classes made late are those that the standard decorator makes."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from functools import cached_property
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from markrules.frozen import FEW, dataclass, layout


@dataclass(frozen=True, slots=True)
class Late:
    """A class of ours."""

    name: str
    years: tuple[int, ...] = ()
    note: str = ""
    place: int = dataclasses.field(default=0, compare=False, repr=False)

    def __post_init__(self) -> None:
        if not self.name:
            raise ValueError("no name")


@dataclasses.dataclass(frozen=True, slots=True)
class Standard:
    """The same by the standard library."""

    name: str
    years: tuple[int, ...] = ()
    note: str = ""
    place: int = dataclasses.field(default=0, compare=False, repr=False)


@dataclass(frozen=True, slots=True, eq=False)
class Itself:
    """Equal to itself alone."""

    name: str


def test_it_makes_compares_hashes_and_shows_as_the_standard_does() -> None:
    one, same, other = Late("a", (1,)), Late(name="a", years=(1,)), Late("a", note="n")
    moved = Late("a", (1,), place=7)
    standard = Standard("a", (1,))

    assert one == same
    assert one == moved
    assert hash(one) == hash(moved)
    assert moved.place == 7
    assert one != other
    assert one != standard
    assert hash(one) == hash(same) == hash(standard)
    assert repr(one) == repr(standard).replace("Standard", "Late")
    assert Itself("a") != Itself("a")
    assert len({Itself("a"), Itself("a")}) == 2


def test_it_is_frozen_and_slotted() -> None:
    one = Late("a")
    with pytest.raises(dataclasses.FrozenInstanceError):
        one.name = "b"  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError):
        del one.name
    with pytest.raises((AttributeError, TypeError)):
        object.__setattr__(one, "more", 1)
    assert not hasattr(one, "__dict__")


def test_missing_unknown_and_bad_arguments_are_refused_from_the_first() -> None:
    @dataclass(frozen=True, slots=True)
    class Fresh:
        name: str

    with pytest.raises(TypeError):
        Fresh()  # type: ignore[call-arg]
    with pytest.raises(TypeError):
        Fresh("a", more=1)  # type: ignore[call-arg]
    with pytest.raises(ValueError, match="no name"):
        Late("")


def test_the_standard_tools_take_it() -> None:
    one = Late("a", (1, 2))

    assert dataclasses.is_dataclass(Late)
    assert [each.name for each in dataclasses.fields(one)] == ["name", "years", "note", "place"]
    assert dataclasses.replace(one, note="n") == Late("a", (1, 2), "n")
    assert dataclasses.asdict(one) == {
        "name": "a",
        "years": (1, 2),
        "note": "",
        "place": 0,
    }
    assert pickle.loads(pickle.dumps(one)) == one
    assert copy.copy(one) == copy.deepcopy(one) == one
    assert layout(Late) == layout(Standard)
    match one:
        case Late(name, years):
            assert (name, years) == ("a", (1, 2))


def test_a_class_that_inherits_one_has_the_fields_of_both() -> None:
    @dataclass(frozen=True, slots=True)
    class More(Late):
        last: int = 0

    assert More("a", last=3) == More("a", (), "", 0, 3)
    assert [each.name for each in dataclasses.fields(More)] == [
        "name",
        "years",
        "note",
        "place",
        "last",
    ]
    with pytest.raises(dataclasses.FrozenInstanceError):
        More("a").name = "b"  # type: ignore[misc]


def test_one_with_no_slots_keeps_what_it_works_out_and_is_equal_to_itself_alone() -> None:
    @dataclass(frozen=True, eq=False)
    class Kept:
        name: str
        more: str = "m"

        @cached_property
        def long(self) -> str:
            return self.name * 3

    one = Kept("a")

    assert (one.long, one.more) == ("aaa", "m")
    assert one.__dict__["long"] is one.long
    assert one != Kept("a")
    assert len({one, Kept("a")}) == 2
    assert [each.name for each in dataclasses.fields(Kept)] == ["name", "more"]
    assert dataclasses.replace(one, more="n").more == "n"
    assert "name='a', more='m'" in repr(one)
    with pytest.raises(dataclasses.FrozenInstanceError):
        one.name = "b"  # type: ignore[misc]


def test_what_is_left_out_of_comparing_and_hashing_is_as_with_the_standard() -> None:
    @dataclass(frozen=True, slots=True)
    class Ours:
        name: str
        seen: int = dataclasses.field(default=0, hash=False)
        place: int = dataclasses.field(default=0, compare=False)

    @dataclasses.dataclass(frozen=True, slots=True)
    class Theirs:
        name: str
        seen: int = dataclasses.field(default=0, hash=False)
        place: int = dataclasses.field(default=0, compare=False)

    for kind in (Ours, Theirs):
        assert kind("a", 1) != kind("a", 2)
        assert hash(kind("a", 1)) == hash(kind("a", 2, 3))
        assert kind("a", 1, 2) == kind("a", 1, 3)
        assert kind("a") != "a"
    assert hash(Ours("a")) == hash(Theirs("a"))


@dataclass(frozen=True, slots=True)
class Built:
    """A field that is made for each object, and one that the object works out itself."""

    text: str
    words: list[str] = dataclasses.field(default_factory=list)
    number: int = 0
    letters: int = dataclasses.field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "letters", len(self.text))


def test_fields_made_for_each_object_are_not_shared_before_or_after_compiling() -> None:
    @dataclass(frozen=True, eq=False)
    class Kept:
        name: str
        known: dict[str, int] = dataclasses.field(default_factory=dict, init=False, repr=False)

    for _ in range(FEW + 2):
        one, other = Built("abc"), Built("abc", number=1)
        assert one.words is not other.words
        assert one.letters == 3
        assert Built("a", words := ["x"]).words is words
        assert Kept("a").known is not Kept("a").known
        with pytest.raises(TypeError):
            Built("a", letters=2)  # type: ignore[call-arg]
        with pytest.raises(TypeError):
            Kept("a", {})  # type: ignore[call-arg]
    assert Built.__match_args__ == ("text", "words", "number")
    assert [each.name for each in dataclasses.fields(Built)] == [
        "text",
        "words",
        "number",
        "letters",
    ]
    assert dataclasses.replace(Built("abc"), text="ab").letters == 2
    assert pickle.loads(pickle.dumps(Built("abc", ["x"], 2))) == Built("abc", ["x"], 2)
    assert repr(Built("a")) == "Built(text='a', words=[], number=0, letters=1)"
    assert "known" not in repr(Kept("a"))


def test_one_that_can_change_is_compared_and_cannot_be_a_key() -> None:
    @dataclass(slots=True)
    class Changing:
        name: str
        many: list[int] = dataclasses.field(default_factory=list)

    one = Changing("a")
    one.many.append(1)
    one.name = "b"

    assert one == Changing("b", [1])
    assert one != Changing("b")
    assert not hasattr(one, "__dict__")
    with pytest.raises(TypeError):
        hash(one)
    assert dataclasses.replace(one, name="c") == Changing("c", [1])
    assert copy.deepcopy(one) == one


@given(
    st.lists(st.integers(), max_size=5),
    st.dictionaries(st.sampled_from(["name", "years", "note", "place", "other"]), st.integers()),
)
def test_any_arguments_are_taken_or_refused_as_by_the_standard(
    given_: list[int], named: dict[str, int]
) -> None:
    """Whether made field by field or by what was compiled (reference: `dataclasses`)."""

    @dataclass(frozen=True, slots=True)
    class Ours:
        name: int
        years: int = 5
        note: list[int] = dataclasses.field(default_factory=list)
        place: int = dataclasses.field(default=7, compare=False)

    @dataclasses.dataclass(frozen=True, slots=True)
    class Theirs:
        name: int
        years: int = 5
        note: list[int] = dataclasses.field(default_factory=list)
        place: int = dataclasses.field(default=7, compare=False)

    def told(kind: Any) -> object:
        try:
            return dataclasses.astuple(kind(*given_, **named))
        except TypeError:
            return None

    wanted = told(Theirs)
    assert told(Ours) == wanted
    for _ in range(FEW):
        Ours(1)
    assert told(Ours) == wanted
