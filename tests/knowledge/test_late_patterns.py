"""Patterns that are compiled late answer as if they had been compiled at once."""

from __future__ import annotations

import importlib
import pkgutil
import re
from collections.abc import Iterator
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples

import markrules
from markrules import late as home
from markrules.late import FIGURES, late

PATTERN = r"(?P<sign>[a-z])([0-9]{1,2})(?![0-9])"


def waiting() -> Iterator[tuple[str, home._Late]]:
    """All patterns of the program that wait for a sign."""
    for each in pkgutil.walk_packages(markrules.__path__, "markrules."):
        if each.name.endswith("__main__"):
            continue
        try:
            module = importlib.import_module(each.name)
        except ImportError:  # of an extra that is not installed
            continue
        for name, value in vars(module).items():
            if isinstance(value, home._Late) and value._among:
                yield f"{each.name}.{name}", value


def test_every_match_holds_a_sign_that_was_told() -> None:
    found = dict(waiting())
    assert len(found) > 10
    for name, pattern in found.items():
        _holds(name, pattern)


def _holds(name: str, pattern: home._Late) -> None:
    compiled = re.compile(*pattern._given)

    @settings(max_examples=samples(200), deadline=None)
    @given(text=st.from_regex(compiled))
    def holds(text: str) -> None:
        assert not pattern._among.isdisjoint(text), (name, text)

    holds()


@settings(max_examples=samples(200), deadline=None)
@given(
    texts=st.lists(st.text("ab0123 -", max_size=12), min_size=1, max_size=4),
    start=st.integers(0, 4),
)
def test_a_pattern_answers_as_one_compiled_at_once(texts: list[str], start: int) -> None:
    waits, compiled = late(PATTERN, among=FIGURES), re.compile(PATTERN)

    def told(found: object) -> object:
        return (found.span(), found.groups()) if isinstance(found, re.Match) else found

    for text in texts:
        for name in ("match", "fullmatch", "search"):
            ours, theirs = getattr(waits, name), getattr(compiled, name)
            assert told(ours(text, start)) == told(theirs(text, start))
        assert waits.findall(text, start) == compiled.findall(text, start)
        assert list(map(told, waits.finditer(text))) == list(map(told, compiled.finditer(text)))
        assert waits.sub("<\\1>", text, count=1) == compiled.sub("<\\1>", text, count=1)
        assert waits.split(text) == compiled.split(text)


def test_a_text_without_a_sign_compiles_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("compiled")

    waits = late(PATTERN, among=FIGURES)
    monkeypatch.setattr(home, "re", SimpleNamespace(compile=refuse))
    assert waits.search("a few mm") is None
    assert waits.sub("x", "a few mm") == "a few mm"
    with pytest.raises(AssertionError, match="compiled"):
        waits.search("a5")
