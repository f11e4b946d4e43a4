"""markrules: from what is seen on a piece of jewelry to when, by whom, how sure and why.

    >>> import markrules
    >>> reading = markrules.read("brooch, rollover catch, gilt sterling")
    >>> reading.piece_type
    'brooch'

All names of `markrules.library` stand here too, and are loaded when they are first used: to
import markrules costs nothing.
"""

TYPE_CHECKING = False  # as in `typing`, which takes its time to import
if TYPE_CHECKING:
    from markrules.library import *  # noqa: F403  (the same names, for type checkers and editors)

__version__ = "0.1.0"


def __getattr__(name: str) -> object:
    """A name of `markrules.library`, which is imported now. Raises AttributeError for others."""
    if not name.startswith("_"):
        from importlib import import_module

        library = import_module("markrules.library")
        if name in library.__all__:
            found: object = getattr(library, name)
            return found
    raise AttributeError(f"module 'markrules' has no attribute {name!r}")


def __dir__() -> list[str]:
    """The names that can be used."""
    from markrules.library import __all__ as names

    return sorted([*globals(), *names])
