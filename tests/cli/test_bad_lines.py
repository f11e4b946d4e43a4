"""Three thousand bad lines alike do not hide the one that differs."""

from __future__ import annotations

from pathlib import Path

import pytest

from markrules.cli.bad_lines import ALIKE, TOLD, tell_bad_lines


def test_of_lines_bad_in_one_way_a_few_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    errors = [(n, f'cost: "{n}.50" names no currency') for n in range(2, 3002)]
    errors.insert(2000, (2002, 'no piece type is "broch"; nearest: "brooch"'))

    tell_bad_lines(Path("own.csv"), errors)

    told = capsys.readouterr().err.splitlines()
    assert len(told) == ALIKE + 2
    assert 'own.csv:2002: no piece type is "broch"' in told[ALIKE]
    assert told[-1].startswith("… and 2,997 more bad lines")


def test_of_many_ways_no_more_than_a_screen_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    tell_bad_lines(Path("own.csv"), [(n, "x" * n) for n in range(1, 60)])

    assert len(capsys.readouterr().err.splitlines()) == TOLD + 1


def test_control_characters_are_shown_as_such(capsys: pytest.CaptureFixture[str]) -> None:
    tell_bad_lines(Path("own.csv"), [(1, "bad \x1b[31m")])

    assert "\x1b" not in capsys.readouterr().err
