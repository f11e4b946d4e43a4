"""The pictures of a relief as files, with a page of their own to flick through them."""

from __future__ import annotations

import html
from collections.abc import Sequence
from pathlib import Path

from markrules.lamps.relief import Relief, common_png, height_png, lit_png

HIGH_LIGHT, HIGH_DARK, COMMON = "high-is-light.png", "high-is-dark.png", "alike-under-all.png"


def pictures(found: Relief, names: Sequence[str]) -> list[tuple[str, str, bytes]]:
    """File name, what it shows, and PNG bytes: the photos first, then what was made of them."""
    shown = [
        (
            f"lamp-{at + 1}.png",
            f"the photo {name}, lamp at {found.hours[at]:g} o'clock",
            lit_png(found, at),
        )
        for at, name in enumerate(names)
    ]
    return [
        *shown,
        (HIGH_LIGHT, "relief: high is light", height_png(found)),
        (HIGH_DARK, "relief: high is dark", height_png(found, dark_is_high=True)),
        (COMMON, "what every lamp shows alike", common_png(found)),
    ]


def write_all(found: Relief, names: Sequence[str], folder: Path) -> None:
    """Write the pictures and `look.html` into a folder, made if need be."""
    folder.mkdir(parents=True, exist_ok=True)
    shown = pictures(found, names)
    for file, _, data in shown:
        (folder / file).write_bytes(data)
    (folder / "look.html").write_text(page([(file, says) for file, says, _ in shown]), "utf-8")


def page(shown: Sequence[tuple[str, str]]) -> str:
    """A page that shows one picture at a time in one place; it works without a script.

    Each picture is behind a radio button, so arrow keys flick through them in place.
    """
    choices = "\n".join(
        f'<input type="radio" name="see" id="p{at}"{" checked" if at == 0 else ""}>'
        f'<label for="p{at}">{html.escape(says)}</label>'
        f'<img src="{html.escape(file)}" alt="{html.escape(says)}">'
        for at, (file, says) in enumerate(shown)
    )
    return _PAGE.replace("CHOICES", choices)


_PAGE = """<!doctype html>
<html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>A mark under several lamps</title>
<style>
:root { color-scheme: light dark }
body { font: 1.1rem/1.5 system-ui, sans-serif; margin: 1rem; padding-top: min(60vh, 60vw) }
img { display: none; position: fixed; top: 1rem; left: 1rem; image-rendering: pixelated;
  width: calc(100vw - 2rem); height: calc(min(60vh, 60vw) - 1rem); object-fit: contain }
input:checked + label + img { display: block }
label { display: inline-block; min-width: 80%; padding: .5rem 0 }
input { width: 1.3rem; height: 1.3rem; vertical-align: middle }
input:checked + label { font-weight: bold }
</style>
<body>
<h1>A mark under several lamps</h1>
<p>Choose a picture; the arrow keys flick from one to the next in the same place.
A scratch can look like a stroke: trust what several pictures show.</p>
<form>
CHOICES
</form>
"""
