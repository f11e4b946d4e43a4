"""Benchmarks are not run with the tests, but what they use must still be there."""

from __future__ import annotations

import runpy
import sys
from pathlib import Path

import pytest

BENCHMARKS = sorted(Path(__file__).parent.glob("bench_*.py"))


@pytest.mark.parametrize("path", BENCHMARKS, ids=lambda path: path.stem)
def test_a_benchmark_finds_what_it_uses(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "path", [str(path.parent), *sys.path])

    names = runpy.run_path(str(path), run_name="imported")

    assert callable(names["main"])
