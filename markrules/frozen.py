"""Dataclasses whose methods are made when first needed.

The standard decorator writes and compiles six methods for each class when its module is
imported: a third of a millisecond, times more than a hundred classes that one command loads
and mostly makes few objects of. This one does the same for classes that are slotted, or frozen
and equal to themselves alone, but compiles a method when it has been called often enough to pay
for that. All other classes are left to the standard decorator, and so is all that is asked of
`dataclasses` (`fields`, `replace`).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from markrules.named_functions import MOST_SET, setting

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls: type | None = None, /, **options: bool) -> Any:
        """As `dataclasses.dataclass`."""
        if cls is not None:
            return dataclasses.dataclass(cls)

        def made(given: type) -> type:
            said = {"frozen": False, "slots": False, "eq": True, **options}
            if said.keys() == {"frozen", "slots", "eq"}:
                frozen, slots, eq = said["frozen"], said["slots"], said["eq"]
                if slots or (frozen and not eq):
                    return _lazy(given, frozen, slots, eq) or dataclasses.dataclass(**options)(
                        given
                    )
            return dataclasses.dataclass(**options)(given)

        return made


__all__ = ["MISSING", "dataclass", "layout"]

MISSING = dataclasses.MISSING


FEW = 24
"""Objects that are made field by field before an `__init__` is compiled: to compile one takes as
long as to make some sixty so, and most classes of one reading have fewer objects than this."""


class _Fields:
    """The fields of a class: their names and annotations, and what stands where nothing is given.

    `given` are those that `__init__` takes; `defaults` and `factories` are as in
    `dataclasses.field`, `told` what the class itself says of a field.
    """

    __slots__ = ("defaults", "factories", "given", "names", "told", "types")

    def __init__(self, types: dict[str, str], told: dict[str, Any]) -> None:
        self.names, self.types, self.told = tuple(types), tuple(types.values()), told
        self.defaults: dict[str, Any] = {}
        self.factories: dict[str, Callable[[], Any]] = {}
        without = set()
        for name, each in told.items():
            if not isinstance(each, dataclasses.Field):
                self.defaults[name] = each
                continue
            if each.default is not MISSING:
                self.defaults[name] = each.default
            if each.default_factory is not MISSING:
                self.factories[name] = each.default_factory
            if not each.init:
                without.add(name)
        self.given = tuple([name for name in types if name not in without])

    def set_on(self, made: Any, given: tuple[Any, ...], named: dict[str, Any]) -> bool:
        """Set the fields as a compiled `__init__` would; False, with none set, if any is amiss."""
        if not named and len(given) == len(self.names) and self.given == self.names:
            for name, value in zip(self.names, given, strict=True):
                object.__setattr__(made, name, value)
            return True
        values = dict(zip(self.given, given, strict=False))
        if len(given) > len(self.given) or not values.keys().isdisjoint(named):
            return False
        values |= named
        for name in values:
            if name not in self.given:
                return False
        for name in self.names:
            if name not in values:
                if name in self.defaults:
                    values[name] = self.defaults[name]
                elif name in self.factories:
                    values[name] = self.factories[name]()
                elif name in self.given:
                    return False
        for name, value in values.items():
            object.__setattr__(made, name, value)
        return True


def layout(kind: Any) -> tuple[tuple[str, str, Any], ...]:
    """Name, annotation and default (or MISSING) of each field of a dataclass, in order."""
    own: _Fields | None = kind.__dict__.get("__own_fields__")
    if own is None:
        found = dataclasses.fields(kind)
        return tuple((each.name, str(each.type), each.default) for each in found)
    named = zip(own.names, own.types, strict=True)
    return tuple((name, type_, own.defaults.get(name, MISSING)) for name, type_ in named)


def _lazy(given: type, frozen: bool, slots: bool, eq: bool) -> type | None:
    """The class with methods to be made; None where it needs the standard way."""
    space = dict(given.__dict__)
    annotations = space.get("__annotations__")
    if not annotations:
        return None
    told = {name: space[name] for name in annotations if name in space}
    plain = (
        all(isinstance(each, str) and "ClassVar" not in each for each in annotations.values())
        and not any(getattr(each, "kw_only", False) is True for each in told.values())
        and not any(hasattr(base, "__dataclass_fields__") for base in given.__bases__)
        and all(name not in space for name in ("__slots__", "__init__", "__setattr__"))
    )
    if not plain:
        return None
    for name in ("__dict__", "__weakref__", *told):
        space.pop(name, None)
    fields = _Fields(annotations, told)
    if slots:
        space["__slots__"] = fields.names
    space |= {
        "__match_args__": fields.given,
        "__own_fields__": fields,
        "__init__": _to_begin(fields, hasattr(given, "__post_init__")),
        "__dataclass_fields__": _Told("__dataclass_fields__", fields),
        "__dataclass_params__": _Told("__dataclass_params__", fields, frozen=frozen, eq=eq),
    }
    if frozen:
        space |= {"__setattr__": _no_setting, "__delattr__": _no_deleting}
        if slots:
            space |= {"__getstate__": _state, "__setstate__": _set_state}
    space.setdefault("__repr__", _to_make("__repr__", fields))
    if eq:
        space.setdefault("__eq__", _to_make("__eq__", fields))
        if space.get("__hash__") is None:
            space["__hash__"] = _to_make("__hash__", fields) if frozen else None
    made = type(given)(given.__name__, given.__bases__, space)
    made.__qualname__ = given.__qualname__
    return made


def _standard(kind: Any, fields: _Fields, **options: bool) -> Any:
    """A class with the same fields, made by the standard decorator."""
    annotations = dict(zip(fields.names, fields.types, strict=True))
    own = {name: _copied(each) for name, each in fields.told.items()}
    space = {"__annotations__": annotations, "__module__": kind.__module__, **own}
    space["__doc__"] = kind.__name__  # without one, the decorator works out a signature
    if hasattr(kind, "__post_init__"):
        space["__post_init__"] = kind.__post_init__
    return dataclasses.dataclass(**options)(type(kind.__name__, (), space))


def _copied(told: Any) -> Any:
    """A default, or a field as it was before any class took it up."""
    if not isinstance(told, dataclasses.Field):
        return told
    more: dict[str, Any] = {"default": told.default}
    if told.default is MISSING:
        more = {"default_factory": told.default_factory}
    return dataclasses.field(
        init=told.init, repr=told.repr, hash=told.hash, compare=told.compare, **more
    )


def _to_begin(fields: _Fields, more: bool) -> Callable[..., None]:
    """An `__init__` that puts a quicker one in its own place: at once where that needs no
    compiling, else when it was called often.

    `more` tells that the class goes on in `__post_init__`.
    """
    defaults = None if more else _last_defaults(fields)
    left = FEW

    def method(self: Any, *given: Any, **named: Any) -> None:
        nonlocal left
        left -= 1
        if defaults is None and left >= 0 and fields.set_on(self, given, named):
            if more:
                self.__post_init__()
            return
        kind = next(each for each in type(self).__mro__ if each.__dict__.get("__init__") is method)
        if defaults is None:
            real = _initialiser(kind, fields)
        else:
            real = setting(fields.names, defaults, kind.__qualname__)
        setattr(kind, "__init__", real)  # noqa: B010 (the type of an attribute is not at stake)
        real(self, *given, **named)

    return method


def _last_defaults(fields: _Fields) -> list[Any] | None:
    """The defaults of the last fields where a ready function sets all of them, else None."""
    names, told = fields.names, fields.defaults
    last = names[len(names) - len(told) :]
    if len(names) > MOST_SET or fields.given != names or fields.factories:
        return None
    # A default before a field without one is refused where the function is compiled.
    return [told[name] for name in last] if set(last) == told.keys() else None


def _to_make(name: str, fields: _Fields) -> Callable[..., Any]:
    """A method that puts the real one in its own place when it is first called."""

    def method(self: Any, *args: Any) -> Any:
        kind = next(each for each in type(self).__mro__ if each.__dict__.get(name) is method)
        if name == "__repr__":
            real = getattr(_standard(kind, fields, eq=False), name)
        else:
            real = _comparer(kind, fields, name)
        setattr(kind, name, real)
        return real(self, *args)

    return method


def _initialiser(kind: type, fields: _Fields) -> Callable[..., None]:
    """What the standard decorator writes, compiled by itself."""
    taken, lines = [], []
    for name in fields.names:
        value = name
        if name not in fields.given:
            value = f"_made[{name!r}]()" if name in fields.factories else f"_of[{name!r}]"
            if name not in fields.factories and name not in fields.defaults:
                continue  # __post_init__ sets it
        elif name in fields.defaults:
            taken.append(f"{name}=_of[{name!r}]")
        elif name in fields.factories:
            taken.append(f"{name}=_not_given")
            value = f"_made[{name!r}]() if {name} is _not_given else {name}"
        else:
            taken.append(name)
        lines.append(f"    _set(self, {name!r}, {value})")
    if hasattr(kind, "__post_init__"):
        lines.append("    self.__post_init__()")
    space: dict[str, Any] = {
        "_of": fields.defaults,
        "_made": fields.factories,
        "_not_given": MISSING,
        "_set": object.__setattr__,
    }
    exec("\n".join((f"def __init__(self, {', '.join(taken)}):", *(lines or ["    pass"]))), space)
    made: Callable[..., None] = space["__init__"]
    made.__qualname__ = f"{kind.__qualname__}.__init__"
    return made


def _comparer(kind: type, fields: _Fields, name: str) -> Callable[..., Any]:
    """What the standard decorator writes for `__eq__` or `__hash__`, compiled by itself."""
    counted = [each for each in fields.names if _counts(fields.told.get(each), name)]
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

    def __init__(self, name: str, fields: _Fields, **options: bool) -> None:
        self._name, self._fields, self._options = name, fields, options

    def __get__(self, _: object, kind: type) -> Any:
        owner = next(each for each in kind.__mro__ if each.__dict__.get(self._name) is self)
        # The fields alone need no methods, which are what takes the time.
        few = self._options or {"init": False, "repr": False, "eq": False}
        found = getattr(_standard(owner, self._fields, **few), self._name)
        setattr(owner, self._name, found)
        return found


def _no_setting(_self: object, name: str, _value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _no_deleting(_self: object, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, name) for name in self.__own_fields__.names]


def _set_state(self: Any, state: list[Any]) -> None:
    for name, value in zip(self.__own_fields__.names, state, strict=True):
        object.__setattr__(self, name, value)
