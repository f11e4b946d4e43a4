from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from web_browsing import close_all
from web_serving import Served, Visitor, serving


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
def shared(tmp_path: Path) -> Iterator[Served]:
    with serving(tmp_path, shared=True) as running:
        yield running
