"""Benchmarks are not run with the tests, but what they use must still be there."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

BENCHMARKS = sorted(Path(__file__).parent.glob("bench_*.py"))
LOAD = """
import os, runpy, sys
sys.path.insert(0, os.path.dirname(sys.argv[1]))
assert callable(runpy.run_path(sys.argv[1], run_name="loaded")["main"])
"""


@pytest.mark.parametrize("path", BENCHMARKS, ids=lambda path: path.stem)
def test_a_benchmark_finds_what_it_uses(path: Path) -> None:
    """In a process of its own: the tests find more modules than a benchmark run by hand does."""
    done = subprocess.run(
        [sys.executable, "-c", LOAD, str(path)],
        check=False,
        capture_output=True,
        text=True,
        timeout=120,
    )

    assert done.returncode == 0, done.stderr[-2000:]
