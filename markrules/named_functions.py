"""Functions that set or hold so many values, compiled with this module and given names later.

The `__init__` of one class of four fields is that of any other, but for names. To write and compile
it takes a seventh of a millisecond for each class, of which a cold reading uses some sixty; to put
other names into code that is compiled already takes a tenth of that.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from types import FunctionType
from typing import Any

MOST_SET, MOST_HELD = 10, 7
"""Fields that are set, and that are held, at most: nine classes of ten have no more."""

_set: Any = object.__setattr__
_new: Any = tuple.__new__


def setting(names: Sequence[str], defaults: Sequence[Any], owner: str) -> Callable[..., None]:
    """The `__init__` of a class of at most `MOST_SET` fields that sets them.

    `defaults` are those of the last of them; `owner` is the name of the class, for complaints.
    """
    return _named(_SETTING[len(names)], "__init__", names, defaults, owner)


def holding(names: Sequence[str], defaults: Sequence[Any], owner: str) -> Callable[..., Any]:
    """The `__new__` of a tuple of at most `MOST_HELD` fields, as `setting`."""
    return _named(_HOLDING[len(names)], "__new__", names, defaults, owner)


def _named(
    form: Any, name: str, names: Sequence[str], defaults: Sequence[Any], owner: str
) -> Callable[..., Any]:
    """The form with its own names, for whoever names an argument or reads a complaint."""
    code = form.__code__
    first, *places = code.co_varnames
    named = dict(zip(places, names, strict=True))
    code = code.replace(
        co_name=name,
        co_varnames=(first, *names),
        # The names of fields stand among the constants too, where they are set by name.
        co_consts=tuple([named.get(each, each) for each in code.co_consts]),
    )
    made = FunctionType(code, form.__globals__, name, tuple(defaults))
    made.__qualname__ = f"{owner}.{name}"
    return made


# fmt: off
# `_set` gives None, so that each `or` goes on to the next.
_SETTING: tuple[Any, ...] = (
    lambda self: None,  # noqa: ARG005 (its name is the first of each)
    lambda self, a: _set(self, "a", a),
    lambda self, a, b: _set(self, "a", a) or _set(self, "b", b),
    lambda self, a, b, c: _set(self, "a", a) or _set(self, "b", b) or _set(self, "c", c),
    lambda self, a, b, c, d: (
        _set(self, "a", a) or _set(self, "b", b) or _set(self, "c", c) or _set(self, "d", d)
    ),
    lambda self, a, b, c, d, e: (
        _set(self, "a", a) or _set(self, "b", b) or _set(self, "c", c) or _set(self, "d", d)
        or _set(self, "e", e)
    ),
    lambda self, a, b, c, d, e, f: (
        _set(self, "a", a) or _set(self, "b", b) or _set(self, "c", c) or _set(self, "d", d)
        or _set(self, "e", e) or _set(self, "f", f)
    ),
    lambda self, a, b, c, d, e, f, g: (
        _set(self, "a", a) or _set(self, "b", b) or _set(self, "c", c) or _set(self, "d", d)
        or _set(self, "e", e) or _set(self, "f", f) or _set(self, "g", g)
    ),
    lambda self, a, b, c, d, e, f, g, h: (
        _set(self, "a", a) or _set(self, "b", b) or _set(self, "c", c) or _set(self, "d", d)
        or _set(self, "e", e) or _set(self, "f", f) or _set(self, "g", g) or _set(self, "h", h)
    ),
    lambda self, a, b, c, d, e, f, g, h, i: (
        _set(self, "a", a) or _set(self, "b", b) or _set(self, "c", c) or _set(self, "d", d)
        or _set(self, "e", e) or _set(self, "f", f) or _set(self, "g", g) or _set(self, "h", h)
        or _set(self, "i", i)
    ),
    lambda self, a, b, c, d, e, f, g, h, i, j: (
        _set(self, "a", a) or _set(self, "b", b) or _set(self, "c", c) or _set(self, "d", d)
        or _set(self, "e", e) or _set(self, "f", f) or _set(self, "g", g) or _set(self, "h", h)
        or _set(self, "i", i) or _set(self, "j", j)
    ),
)
_HOLDING: tuple[Any, ...] = (
    lambda cls: _new(cls),  # noqa: PLW0108 (its name is the first of each)
    lambda cls, a: _new(cls, (a,)),
    lambda cls, a, b: _new(cls, (a, b,)),
    lambda cls, a, b, c: _new(cls, (a, b, c,)),
    lambda cls, a, b, c, d: _new(cls, (a, b, c, d,)),
    lambda cls, a, b, c, d, e: _new(cls, (a, b, c, d, e,)),
    lambda cls, a, b, c, d, e, f: _new(cls, (a, b, c, d, e, f,)),
    lambda cls, a, b, c, d, e, f, g: _new(cls, (a, b, c, d, e, f, g,)),
)
# fmt: on
