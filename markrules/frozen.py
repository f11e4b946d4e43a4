"""Frozen dataclasses whose methods are made when first needed.

The standard decorator writes and compiles six methods for each class when its module is
imported: a third of a millisecond, times more than a hundred classes that one command loads
and mostly never makes an object of. This one does the same for classes that are frozen and
slotted, or frozen and equal to themselves alone, but compiles a method when it is first called.
All other classes are left to the standard decorator, and so is all that is asked of `dataclasses`
(`fields`, `replace`).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls: type | None = None, /, **options: bool) -> Any:
        """As `dataclasses.dataclass`."""
        if cls is not None:
            return dataclasses.dataclass(cls)

        def made(given: type) -> type:
            said = {"frozen": False, "slots": False, "eq": True, **options}
            if said.keys() == {"frozen", "slots", "eq"} and said["frozen"]:
                slots, eq = said["slots"], said["eq"]
                lazy = _lazy(given, slots, eq) if slots or not eq else None
                if lazy is not None:
                    return lazy
            return dataclasses.dataclass(**options)(given)

        return made


__all__ = ["MISSING", "dataclass", "layout"]

MISSING = dataclasses.MISSING


def layout(kind: Any) -> tuple[tuple[str, str, Any], ...]:
    """Name, annotation and default (or MISSING) of each field of a dataclass, in order."""
    types, defaults = (kind.__dict__.get(f"__field_{each}__") for each in ("types", "defaults"))
    if types is None or defaults is None:
        found = dataclasses.fields(kind)
        return tuple((each.name, str(each.type), each.default) for each in found)
    named = zip(kind.__match_args__, types, strict=True)
    return tuple((name, type_, defaults.get(name, MISSING)) for name, type_ in named)


def _lazy(given: type, slots: bool, eq: bool) -> type | None:
    """The class with methods to be made; None where it needs the standard way."""
    space = dict(given.__dict__)
    annotations = space.get("__annotations__")
    if not annotations:
        return None
    told = {name: space[name] for name in annotations if name in space}
    given_fields = {
        name: each for name, each in told.items() if isinstance(each, dataclasses.Field)
    }
    defaults = {**told, **{name: each.default for name, each in given_fields.items()}}
    plain = (
        all(isinstance(each, str) and "ClassVar" not in each for each in annotations.values())
        and all(each.init and each.default is not MISSING for each in given_fields.values())
        and not any(hasattr(base, "__dataclass_fields__") for base in given.__bases__)
        and all(name not in space for name in ("__slots__", "__init__", "__setattr__"))
    )
    if not plain:
        return None
    for name in ("__dict__", "__weakref__", *told):
        space.pop(name, None)
    names = tuple(annotations)
    if slots:
        space |= {"__slots__": names, "__getstate__": _state, "__setstate__": _set_state}
    space |= {
        "__match_args__": names,
        "__field_types__": tuple(annotations.values()),
        "__field_defaults__": defaults,
        "__init__": _to_make("__init__", told, defaults),
        "__setattr__": _no_setting,
        "__delattr__": _no_deleting,
        "__dataclass_fields__": _Told("__dataclass_fields__", told),
        "__dataclass_params__": _Told("__dataclass_params__", told),
    }
    space.setdefault("__repr__", _to_make("__repr__", told))
    if eq:
        space.setdefault("__eq__", _to_make("__eq__", told))
        if space.get("__hash__") is None:
            space["__hash__"] = _to_make("__hash__", told)
    made = type(given)(given.__name__, given.__bases__, space)
    made.__qualname__ = given.__qualname__
    return made


def _standard(kind: Any, told: dict[str, Any], **options: bool) -> Any:
    """A class with the same fields, made by the standard decorator."""
    annotations = dict(zip(kind.__match_args__, kind.__field_types__, strict=True))
    own = {name: _copied(each) for name, each in told.items()}
    space = {"__annotations__": annotations, "__module__": kind.__module__, **own}
    if hasattr(kind, "__post_init__"):
        space["__post_init__"] = kind.__post_init__
    return dataclasses.dataclass(**(options or {"frozen": True}))(type(kind.__name__, (), space))


def _copied(told: Any) -> Any:
    """A default, or a field as it was before any class took it up."""
    if not isinstance(told, dataclasses.Field):
        return told
    return dataclasses.field(
        default=told.default, repr=told.repr, hash=told.hash, compare=told.compare
    )


def _to_make(
    name: str, told: dict[str, Any], defaults: dict[str, Any] | None = None
) -> Callable[..., Any]:
    """A method that puts the real one in its own place when it is first called."""

    def method(self: Any, *args: Any, **more: Any) -> Any:
        kind = next(each for each in type(self).__mro__ if each.__dict__.get(name) is method)
        if defaults is not None:
            real = _initialiser(kind, defaults)
        elif name == "__repr__":
            real = getattr(_standard(kind, told), name)
        else:
            real = _comparer(kind, told, name)
        setattr(kind, name, real)
        return real(self, *args, **more)

    return method


def _initialiser(kind: type, defaults: dict[str, Any]) -> Callable[..., None]:
    """What the standard decorator writes for a frozen class, compiled by itself."""
    names = kind.__dict__["__match_args__"]
    taken = ", ".join(f"{name}=_of[{name!r}]" if name in defaults else name for name in names)
    lines = [f"    _set(self, {name!r}, {name})" for name in names] or ["    pass"]
    if hasattr(kind, "__post_init__"):
        lines.append("    self.__post_init__()")
    space: dict[str, Any] = {"_of": defaults, "_set": object.__setattr__}
    exec("\n".join((f"def __init__(self, {taken}):", *lines)), space)
    made: Callable[..., None] = space["__init__"]
    made.__qualname__ = f"{kind.__qualname__}.__init__"
    return made


def _comparer(kind: type, told: dict[str, Any], name: str) -> Callable[..., Any]:
    """What the standard decorator writes for `__eq__` or `__hash__`, compiled by itself."""
    counted = [each for each in kind.__dict__["__match_args__"] if _counts(told.get(each), name)]
    mine, theirs = (
        "(" + "".join(f"{whose}.{each}, " for each in counted) + ")" for whose in ("self", "other")
    )
    lines = {
        "__hash__": f"def __hash__(self): return hash({mine})",
        "__eq__": "def __eq__(self, other):\n"
        "    if other.__class__ is not self.__class__: return NotImplemented\n"
        f"    return {mine} == {theirs}",
    }
    space: dict[str, Any] = {}
    exec(lines[name], space)
    made: Callable[..., Any] = space[name]
    made.__qualname__ = f"{kind.__qualname__}.{name}"
    return made


def _counts(told: Any, name: str) -> bool:
    """Whether a field takes part in a comparison or a hash."""
    if not isinstance(told, dataclasses.Field):
        return True
    for_hash = told.compare if told.hash is None else told.hash
    return bool(for_hash if name == "__hash__" else told.compare)


class _Told:
    """What `dataclasses` asks of a class, made when it is asked for."""

    def __init__(self, name: str, told: dict[str, Any]) -> None:
        self._name, self._told = name, told

    def __get__(self, _: object, kind: type) -> Any:
        owner = next(each for each in kind.__mro__ if each.__dict__.get(self._name) is self)
        # The fields alone need no methods, which are what takes the time.
        few = {"init": False, "repr": False, "eq": False} if "fields" in self._name else {}
        found = getattr(_standard(owner, self._told, **few), self._name)
        setattr(owner, self._name, found)
        return found


def _no_setting(_self: object, name: str, _value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _no_deleting(_self: object, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, name) for name in self.__match_args__]


def _set_state(self: Any, state: list[Any]) -> None:
    for name, value in zip(self.__match_args__, state, strict=True):
        object.__setattr__(self, name, value)
