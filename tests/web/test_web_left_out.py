"""Own rules that could not be used are told first, on every page, to whom they belong."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from shipped_base import shipped_base
from web_serving import Served, serving

from markrules.reading.reader import Reader

SAID = 'Read without your own rules in slip.rules, which have an error, line 9: "<b>no</b>"'


def test_it_stands_above_every_page_and_runs_nothing(tmp_path: Path, served: Served) -> None:
    base = replace(shipped_base(), left_out=(SAID,)).keeping(shipped_base().workings)
    with serving(tmp_path, open_reader=lambda: Reader(base, 2026)) as running:
        visitor = running.visitor()
        for place in ("/", "/rules", "/marks", "/note?note=brooch,+c+catch"):
            page = visitor.client.get(place).text
            told, main = page.index("in slip.rules"), page.index("<h1")
            assert told < main, place
            assert "&lt;b&gt;no&lt;/b&gt;" in page
            assert "<b>no</b>" not in page
    assert "slip.rules" not in served.visitor().client.get("/").text
