"""Modules that cost time to import, imported when a test first asks something of them.

Each worker collects every file of tests, and runs half of them.
"""

from __future__ import annotations

import importlib
import importlib.util
from typing import Any

import pytest


class Lazily:
    """Stands for a module; where its package is not installed, the file of tests is skipped."""

    def __init__(self, name: str) -> None:
        package = name.partition(".")[0]
        if importlib.util.find_spec(package) is None:
            pytest.skip(f"{package} is not installed", allow_module_level=True)
        self._name = name

    def __getattr__(self, attribute: str) -> Any:
        return getattr(importlib.import_module(self._name), attribute)
