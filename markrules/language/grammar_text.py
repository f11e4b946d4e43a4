"""The grammar file as it ships, without the machinery that reads it."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def grammar_text() -> str:
    """The text of `grammar.lark`.

    It is asked of this module's own loader, as `importlib.resources` would do; but that
    takes 5 ms to import, and every start needs the text for the key of the cache.
    """
    loader: Any = __spec__.loader if __spec__ is not None else None
    content: bytes = loader.get_data(str(Path(__file__).with_name("grammar.lark")))
    return content.decode("utf-8")
