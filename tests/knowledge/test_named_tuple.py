"""Tuples with names made by us are those that the standard makes."""

from __future__ import annotations

import copy
import pickle
import typing
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples

from markrules.frozen import dataclass
from markrules.named_functions import MOST_HELD, MOST_SET
from markrules.named_tuple import NamedTuple


class Place(NamedTuple):
    """Where something lies."""

    file: str
    line: int = 1
    column: int = 1

    @property
    def shown(self) -> str:
        """In one line."""
        return f"{self.file}:{self.line}"


class Standard(typing.NamedTuple):
    """The same by the standard library."""

    file: str
    line: int = 1
    column: int = 1


def test_it_is_a_tuple_with_names_as_the_standard_one_is() -> None:
    one, theirs = Place("a", column=3), Standard("a", column=3)

    assert one == theirs == ("a", 1, 3)
    assert hash(one) == hash(theirs)
    assert (one.file, one.line, one.column, one.shown) == ("a", 1, 3, "a:1")
    assert repr(one) == repr(theirs).replace("Standard", "Place")
    assert Place._fields == Standard._fields == Place.__match_args__
    assert Place._field_defaults == Standard._field_defaults
    assert one._asdict() == theirs._asdict()
    assert one._replace(line=2) == theirs._replace(line=2)
    assert isinstance(one._replace(line=2), Place)
    assert Place._make(["b", 2, 3]) == Standard._make(["b", 2, 3])
    assert not hasattr(one, "__dict__")
    assert type(one) is Place
    assert Place.__bases__ == (tuple,)
    assert (Place.__name__, Place.__module__) == ("Place", __name__)
    assert Place.__doc__ == "Where something lies."
    match one:
        case Place(file, line):
            assert (file, line) == ("a", 1)


def test_it_is_copied_and_pickled() -> None:
    one = Place("a", 4)

    for again in (copy.copy(one), copy.deepcopy(one), pickle.loads(pickle.dumps(one))):
        assert again == one
        assert type(again) is Place


def test_it_cannot_be_changed_and_says_what_is_amiss() -> None:
    with pytest.raises(AttributeError):
        Place("a").file = "b"  # type: ignore[misc]
    with pytest.raises(ValueError, match="sheet"):
        Place("a")._replace(sheet=1)  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="Expected 3"):
        Place._make(["a"])
    with pytest.raises(TypeError, match=r"Place\.__new__\(\) missing.*'file'"):
        Place()  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="sheet"):
        Place("a", sheet=1)  # type: ignore[call-arg]


def _tuple_of(count: int, defaults: int, maker: Any) -> Any:
    names = [f"field{at}" for at in range(count)]
    space = {"__annotations__": dict.fromkeys(names, "int"), "__module__": __name__}
    space |= {name: at for at, name in enumerate(names) if at >= count - defaults}
    if maker is NamedTuple:
        return type(NamedTuple)("Made", (NamedTuple,), space)
    return typing.NamedTuple("Made", [(name, int) for name in names])  # type: ignore[misc]


@pytest.mark.parametrize("count", range(MOST_HELD + 3))
def test_of_any_number_of_fields(count: int) -> None:
    ours, theirs = (_tuple_of(count, 0, maker) for maker in (NamedTuple, typing.NamedTuple))
    values = list(range(10, 10 + count))

    assert ours(*values) == theirs(*values)
    assert ours(**dict(zip(ours._fields, values, strict=True))) == theirs(*values)
    assert [getattr(ours(*values), name) for name in theirs._fields] == values
    assert repr(ours(*values)) == repr(theirs(*values))
    for many in {*range(MOST_HELD + 4)} - {count}:
        with pytest.raises(TypeError):
            ours(*range(many))


def test_a_default_before_a_field_without_one_is_refused_as_by_the_standard() -> None:
    with pytest.raises(TypeError, match="cannot follow default field"):

        class Wrong(NamedTuple):
            line: int = 1
            file: str  # type: ignore[misc]


@given(st.data())
@settings(max_examples=samples(60))
def test_a_class_of_any_number_of_fields_sets_them_in_order(data: st.DataObject) -> None:
    count = data.draw(st.integers(1, MOST_SET + 3))
    defaults = data.draw(st.integers(0, count))
    names = [f"field{at}" for at in range(count)]
    space = {"__annotations__": dict.fromkeys(names, "int"), "__module__": __name__}
    space |= {name: at for at, name in enumerate(names) if at >= count - defaults}
    kind: Any = dataclass(frozen=True, slots=True)(type("Made", (), space))
    given_ = data.draw(st.integers(count - defaults, count))
    named = data.draw(st.integers(0, given_))
    values = {name: 100 + at for at, name in enumerate(names[:given_])}
    first = [values[name] for name in names[: given_ - named]]
    rest = {name: values[name] for name in names[given_ - named : given_]}

    made = kind(*first, **rest)

    assert [getattr(made, name) for name in names] == [
        values.get(name, at) for at, name in enumerate(names)
    ]
    with pytest.raises(TypeError):
        kind(*range(count + 1))
    if count > defaults:
        with pytest.raises(TypeError, match=r"Made\.__init__\(\) missing.*'field0'"):
            kind()
