"""Parts that are installed for those who want them: the extras of pyproject.toml."""

from __future__ import annotations


def to_install(extra: str) -> str:
    """How to add an extra, in words.

    It is taken from the folder of markrules, not by its name: what a public index holds under
    a name may be anybody's.
    """
    return f"in the folder where you got markrules, pip install '.[{extra}]'"
