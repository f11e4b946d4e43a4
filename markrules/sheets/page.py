"""Pages that stand alone: HTML with style, drawings and photos in it, nothing from outside."""

from __future__ import annotations

import base64
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from markrules.sheets.content import content
from markrules.sheets.matter import SheetMatter, SheetPhoto

if TYPE_CHECKING:
    from jinja2 import Environment

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
"""Content Security Policy (W3C, level 3): no script, no request, whatever the page holds."""


def sheet_page(matter: SheetMatter) -> str:
    """The sheet of one piece as an HTML document."""
    photos = [data_uri(each) for each in matter.photos]
    return render("sheet.html", sheet=content(matter), photos=photos)


def render(template: str, **values: Any) -> str:
    """A template filled in; every value is escaped, but for drawings made here."""
    from markupsafe import Markup

    return _environment().get_template(template).render(**values, policy=POLICY, drawing=Markup)


@lru_cache(maxsize=1)
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("markrules.sheets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def data_uri(photo: SheetPhoto) -> str:
    """A photo as a `data:` address (RFC 2397)."""
    kind = photo.media_type if photo.media_type in ("image/jpeg", "image/png") else "image/jpeg"
    return f"data:{kind};base64,{base64.b64encode(photo.data).decode()}"
