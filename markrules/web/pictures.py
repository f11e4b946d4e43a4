"""Line drawings of what there is to look for, ready to stand in a page."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from markrules.drawings import drawing

if TYPE_CHECKING:
    from markupsafe import Markup


@cache
def drawn(feature: str, value: str, *, named: bool = True) -> Markup | None:
    """The drawing of a value as an SVG element, or None where there is none.

    Where the words beside it say the same (`named` is False), it is kept from screen readers.
    The drawings are files of this package: nothing that a user wrote is in them.
    """
    from markupsafe import Markup

    found = drawing(feature, value)
    if found is None:
        return None
    if not named:
        found = found.replace('role="img"', 'aria-hidden="true" focusable="false"', 1)
    return Markup(found)
