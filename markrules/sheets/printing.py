"""Pages for print: PDF set by typst, from the same data as the page for the screen.

The words of a sheet reach typst as JSON through `sys.inputs` and are never made into markup, so
that a text that looks like markup appears as itself. Photos and drawings are handed over in
memory: nothing is read from or written to the disk, and nothing is fetched.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from markrules.sheets.content import content
from markrules.sheets.matter import SheetMatter, SheetPhoto

if TYPE_CHECKING:
    from jinja2 import Environment
    from typst import Fonts


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


PAPERS = {"a4": "a4", "letter": "us-letter"}


class PrintProblem(Exception):
    """A PDF could not be made; the message says why."""


def sheet_pdf(matter: SheetMatter, paper: str = "a4") -> bytes:
    """The sheet of one piece as PDF, on A4 (ISO 216) or US letter paper.

    Raises PrintProblem where typst is not there or cannot set it.
    """
    return pdf_of(content(matter), matter, paper)


def pdf_of(sheet: Mapping[str, Any], matter: SheetMatter, paper: str = "a4") -> bytes:
    """The same, from content made before."""
    photos = {
        f"photo-{number}": framed(photo.width, photo.height, data_uri(photo))
        for number, photo in enumerate(matter.photos, 1)
    }
    inputs = {"sheet": json.dumps(sheet, ensure_ascii=False), "paper": PAPERS[paper], **photos}
    return typeset("sheet.typ", inputs)


def framed(width: int, height: int, address: str) -> str:
    """A photo within an SVG element: as text it can be handed over like all else."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">'
        f'<image width="{width}" height="{height}" href="{address}"/></svg>'
    )


def typeset(template: str, inputs: Mapping[str, str]) -> bytes:
    """A template of this package set as PDF. Raises PrintProblem."""
    try:
        import typst
    except ImportError:
        raise PrintProblem(
            "PDF needs the typst package: pip install 'markrules[sheets]'; HTML works without it"
        ) from None
    try:
        made = _compiler().compile(
            input=_template(template), format="pdf", sys_inputs=dict(inputs), timestamp=0
        )
    except typst.TypstError as error:
        raise PrintProblem(f"typst could not set the sheet: {str(error)[:300]}") from None
    return bytes(made)


@lru_cache(maxsize=8)
def _template(name: str) -> bytes:
    return files("markrules.sheets").joinpath("templates", name).read_bytes()


@lru_cache(maxsize=1)
def _compiler() -> Any:
    import typst

    return typst.Compiler(font_paths=_fonts())


@lru_cache(maxsize=1)
def _fonts() -> Fonts:
    """The fonts inside typst first; those of the system for scripts that these lack."""
    import typst

    return typst.Fonts()
