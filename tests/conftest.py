"""Lets helper modules beside the tests be imported by name, and keeps caches out of the home."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
for folder in sorted(each for each in HERE.iterdir() if each.is_dir()):
    if str(folder) not in sys.path:
        sys.path.append(str(folder))


@pytest.fixture(scope="session", autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Caches, personal rules and catalogues of the tests lie in a folder of their own."""
    place = tmp_path_factory.mktemp("own")
    os.environ["MARKRULES_CACHE"] = str(place / "cache")
    os.environ["MARKRULES_RULES"] = str(place / "rules")
    os.environ["MARKRULES_MARKS"] = str(place / "marks.sqlite")
    os.environ["MARKRULES_CATALOGUE"] = str(place / "catalogue.db")
