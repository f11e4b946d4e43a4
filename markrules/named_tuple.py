"""Tuples with named fields, as `typing.NamedTuple` makes them, in a fifth of the time.

The standard one writes and compiles a function for each class when its module is imported. A cold
reading has some forty such classes. This one takes a function that is compiled already, and leaves
classes of more fields than that holds to the standard.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from markrules.named_functions import MOST_HELD, holding

__all__ = ["NamedTuple"]

if TYPE_CHECKING:
    from typing import NamedTuple
else:
    try:
        from _collections import _tuplegetter as _field
    except ImportError:  # an interpreter without what its own named tuples use

        def _field(at: int, doc: str) -> property:
            return property(lambda held: held[at], doc=doc)

    class _Making(type):
        """Makes a plain class of tuples from what stands below `class Name(NamedTuple)`."""

        def __new__(cls, name: str, bases: tuple[type, ...], space: dict[str, Any]) -> type:
            if not bases or bases == (tuple,):
                return super().__new__(cls, name, bases, space)
            fields = tuple(space.get("__annotations__", ()))
            last = [each for each in fields if each in space]
            if len(fields) > MOST_HELD or fields[len(fields) - len(last) :] != tuple(last):
                return types.new_class(name, (typing.NamedTuple,), exec_body=_filled(space))
            defaults = {each: space[each] for each in last}
            new = holding(fields, list(defaults.values()), name)
            own = {each: _field(at, "") for at, each in enumerate(fields)}
            own |= {"__new__": new, "__slots__": (), "__match_args__": fields, "_fields": fields}
            return type(name, (tuple,), {**_SHARED, **space, **own, "_field_defaults": defaults})

    def _filled(space: dict[str, Any]) -> Any:
        return lambda other: other.update(space)

    class NamedTuple(tuple, metaclass=_Making):
        """Stands for `typing.NamedTuple`; no class made with it has this one among its bases."""

        __slots__ = ()


def _make(cls: Any, values: Iterable[Any]) -> Any:
    """One with these values; raises TypeError for too few or too many."""
    held = tuple(values)
    if len(held) != len(cls._fields):
        raise TypeError(f"Expected {len(cls._fields)} arguments, got {len(held)}")
    return tuple.__new__(cls, held)


def _replace(self: Any, /, **others: Any) -> Any:
    """One with other values in these fields; raises ValueError for what is no field."""
    made = self._make(map(others.pop, self._fields, self))
    if others:
        raise ValueError(f"Got unexpected field names: {list(others)!r}")
    return made


def _asdict(self: Any) -> dict[str, Any]:
    """The values by their names."""
    return dict(zip(self._fields, self, strict=True))


def _shown(self: Any) -> str:
    told = ", ".join(f"{name}={value!r}" for name, value in _asdict(self).items())
    return f"{type(self).__name__}({told})"


def _values(self: Any) -> tuple[Any, ...]:
    """What copying and pickling give to `__new__`."""
    return tuple(self)


_SHARED = {
    "_make": classmethod(_make),
    "_replace": _replace,
    "_asdict": _asdict,
    "__repr__": _shown,
    "__getnewargs__": _values,
    "__replace__": _replace,  # what `copy.replace` calls from Python 3.13 on
}
