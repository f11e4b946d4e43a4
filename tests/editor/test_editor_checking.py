"""Checking all rules holds up nobody who types, and tells nothing of a text that has changed."""

from __future__ import annotations

import asyncio
import threading

import pytest
from lazily import Lazily

from markrules.language.problems import Problem

editor = Lazily("markrules.editor.server")
PATIENCE = 60.0


class Checking:
    """Stands in for the check of all rules: it begins, and ends when it is let go."""

    def __init__(self) -> None:
        self.begun, self.may_end = threading.Event(), threading.Event()
        self.seen: list[object] = []

    def __call__(self, standing: object) -> dict[str, list[Problem]]:
        self.seen.append(standing)
        self.begun.set()
        assert self.may_end.wait(PATIENCE)
        return {f"of-check-{len(self.seen)}": []}


@pytest.fixture
def checking(monkeypatch: pytest.MonkeyPatch) -> Checking:
    made = Checking()
    monkeypatch.setattr("markrules.editor.server.problems_of", made)
    monkeypatch.setattr("markrules.editor.server.WAIT", 0.0)
    return made


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    files: list[str] = []
    monkeypatch.setattr(editor.RulesServer, "tell", lambda _, found: files.extend(found))
    return files


async def until(event: threading.Event) -> None:
    """The loop goes on answering while something happens beside it."""
    while not event.is_set():
        await asyncio.sleep(0.01)


def test_the_loop_answers_while_rules_are_checked(checking: Checking, told: list[str]) -> None:
    async def typed() -> None:
        server = editor.server(alone=True)
        check = asyncio.create_task(server.check_soon())
        await asyncio.wait_for(until(checking.begun), PATIENCE)
        server.rules.put("a.rules", "version 1\n")
        assert server.rules.known() is not None
        assert told == []
        checking.may_end.set()
        await check

    asyncio.run(typed())
    assert told == ["of-check-1"]


def test_what_a_check_finds_in_an_older_text_is_not_told(
    checking: Checking, told: list[str]
) -> None:
    async def typed() -> None:
        server = editor.server(alone=True)
        first = asyncio.create_task(server.check_soon())
        await asyncio.wait_for(until(checking.begun), PATIENCE)
        server.rules.put("a.rules", "version 1\n")
        second = asyncio.create_task(server.check_soon())
        await asyncio.sleep(0)
        checking.may_end.set()
        await asyncio.gather(first, second)

    asyncio.run(typed())
    assert told == ["of-check-2"]
    older, newer = checking.seen
    assert [file for file, _, _ in older.own] == []
    assert [file for file, _, _ in newer.own] == ["a.rules"]
