from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from web_browsing import close_all
from web_serving import Served, Visitor, opened_anew, serving

from markrules.knowledge.places import RULES_VARIABLE


@pytest.fixture(scope="session", autouse=True)
def _browsers_closed() -> Iterator[None]:
    yield
    close_all()


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving(tmp_path_factory.mktemp("bench")) as running:
        yield running


@pytest.fixture
def visitor(served: Served) -> Visitor:
    return served.visitor()


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where a person's own rules lie: an empty place, until something is written there."""
    folder = tmp_path / "rules"
    monkeypatch.setenv(RULES_VARIABLE, str(folder))
    return folder


@pytest.fixture
def adding(tmp_path: Path, own: Path) -> Iterator[Served]:
    """A server that opens its rules anew when own ones were written."""
    with serving(tmp_path, open_anew=lambda: opened_anew(own)) as running:
        yield running


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[Served]:
    with serving(tmp_path, shared=True) as running:
        yield running
