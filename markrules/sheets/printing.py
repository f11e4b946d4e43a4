"""Pages for print: PDF set by typst, from the same data as the page for the screen.

The words of a sheet reach typst as JSON through `sys.inputs` and are never made into markup, so
that a text that looks like markup appears as itself. Photos and drawings are handed over in
memory: nothing is read from or written to the disk, and nothing is fetched.
"""

from __future__ import annotations

import base64
import json
import os
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
            "PDF needs the typst package: pip install typst; HTML works without it"
        ) from None
    shown = {
        name: text if text.startswith("<svg") else with_all_letters(text)
        for name, text in inputs.items()
    }
    try:
        made = _compiler().compile(
            input=_template(template), format="pdf", sys_inputs=shown, timestamp=0
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
    """The fonts inside typst first; those of the system for scripts that these lack.

    The environment variable MARKRULES_FONTS names a folder with more.
    """
    import typst

    more = os.environ.get(FONTS_PLACE, "")
    return typst.Fonts(font_paths=[more]) if more and os.path.isdir(more) else typst.Fonts()


FONTS_PLACE = "MARKRULES_FONTS"
_UNASSIGNED = "\u0378"
"""A place of Unicode that no letter has: how a font shows what it lacks."""
_PROBE = b"#set page(width: 40pt, height: 40pt, margin: 0pt)\n#sys.inputs.letter"


def with_all_letters(text: str) -> str:
    """The text with letters that no font here has as their numbers, `[U+6F22]`, so that none
    vanishes from a paper."""
    lacking = missing_letters(text)
    return text.translate({ord(each): f"[U+{ord(each):04X}]" for each in lacking})


def missing_letters(text: str) -> str:
    """The letters of a text that no font here has, each once, in their order.

    Without typst there is nothing to ask, and the text is taken to be whole.
    """
    try:
        import typst  # noqa: F401 (only whether it is there)
    except ImportError:
        return ""
    unusual = (each for each in text if each > "\u00ff" and each.isprintable())
    return "".join(each for each in dict.fromkeys(unusual) if _is_missing(each))


@lru_cache(maxsize=4096)
def _is_missing(letter: str) -> bool:
    return _drawn(letter) == _drawn(_UNASSIGNED)


@lru_cache(maxsize=4096)
def _drawn(letter: str) -> bytes:
    """A letter as it would be drawn; empty where that cannot be told."""
    try:
        made = _compiler().compile(input=_PROBE, format="svg", sys_inputs={"letter": letter})
    except Exception:  # whatever it is, setting the sheet itself will tell
        return letter.encode("utf-8", "replace")
    return bytes(made) if isinstance(made, (bytes, bytearray)) else letter.encode()
