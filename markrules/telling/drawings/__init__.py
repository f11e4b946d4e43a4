"""Line drawings of what there is to look for, by feature and value.

The drawings are SVG files of our own beside this module; `index.json` names the file of each
`feature/value`, as the rules spell them. They are meant to stand inside a page: they are drawn
in `currentColor`, so that they follow the colour of the text around them, and the telling part
has the class `accent` and a heavier line, so that nothing hangs on colour alone.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType


@cache
def available() -> Mapping[tuple[str, str], str]:
    """File names by feature and value, in the order of the index."""
    text = files(__name__).joinpath("index.json").read_text(encoding="utf-8")
    named: dict[str, str] = json.loads(text)
    pairs = ((key.partition("/"), name) for key, name in named.items())
    return MappingProxyType({(feature, value): name for (feature, _, value), name in pairs})


@cache
def drawing(feature: str, value: str) -> str | None:
    """The drawing of a value of a feature as SVG text, or None where there is none.

    The text holds one `svg` element of 240 by 160 units without a size of its own, whose
    `title` says in plain words what is seen.
    """
    name = available().get((feature, value))
    if name is None:
        return None
    return files(__name__).joinpath(name).read_text(encoding="utf-8")
