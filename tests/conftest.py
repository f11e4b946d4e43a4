"""Lets helper modules beside the tests be imported by name, and keeps caches out of the home."""

from __future__ import annotations

import gc
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import hypothesis
import pytest

HERE = Path(__file__).parent
for folder in sorted(each for each in HERE.iterdir() if each.is_dir()):
    if str(folder) not in sys.path:
        sys.path.append(str(folder))

# Each worker has a core. Numerical libraries that start threads for small tables only spin.
for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(name, "1")

from samples import samples  # noqa: E402  (the folders must be on the path)

# A shared machine stalls for longer than any deadline; what is slow is caught by the benches.
# The same commit is to have the same answer twice, so properties draw the same examples each time
# unless new ones are asked for, as they are on a schedule.
SAME = os.environ.get("MARKRULES_SEEDS") != "new"
for profile, count in (("quick", samples(100)), ("full", 100)):
    hypothesis.settings.register_profile(
        profile, deadline=None, max_examples=count, derandomize=SAME
    )
hypothesis.settings.load_profile(
    "full" if os.environ.get("MARKRULES_SAMPLES") == "full" else "quick"
)

OBJECTS_BETWEEN_COLLECTIONS = 50_000
"""The interpreter's own 700 would look through each base of rules again and again."""

OWN = pytest.StashKey[Path]()


def pytest_configure(config: pytest.Config) -> None:
    """Compiled rules lie in one folder that all workers and their processes share."""
    gc.set_threshold(OBJECTS_BETWEEN_COLLECTIONS)
    gc.disable()  # what is collected stays to the end
    if hasattr(config, "workerinput"):
        return
    place = Path(tempfile.mkdtemp(prefix="markrules-tests-"))
    config.stash[OWN] = place
    os.environ["MARKRULES_CACHE"] = str(place / "cache")


@pytest.hookimpl(wrapper=True)
def pytest_sessionstart(session: pytest.Session) -> Iterator[None]:
    """While the workers collect the tests, the rules are compiled for them, and what a first
    reading works out is kept: so it is done once.
    """
    yield
    if session.config.pluginmanager.hasplugin("dsession"):
        from shipped_base import shipped_reader

        from markrules.reading.reader import Request

        shipped_reader().read(Request("brooch, rollover catch, marked STERLING", next_looks=3))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files that take long come first, so that no worker is left with one at the end."""
    slow = {each.path for each in items if each.get_closest_marker("slow")}
    items.sort(key=lambda each: each.path not in slow)


def pytest_collection_finish() -> None:
    """Modules and tests stay to the end: no use in looking through them for circles.

    Every worker collects every test, so rules that a module reads while it is imported are read by
    each of them, and compiled by each, since none has compiled them yet.
    """
    support = sys.modules.get("shipped_base")
    if support is not None and support.shipped_base.cache_info().currsize:
        raise pytest.UsageError("rules were loaded while tests were collected: see DEVELOPERS.md")
    gc.freeze()
    gc.enable()


def pytest_sessionfinish() -> None:
    """What is there at the end is not looked through for circles, five times, by pytest."""
    gc.freeze()


def pytest_unconfigure(config: pytest.Config) -> None:
    """Take the shared folder away."""
    if OWN in config.stash:
        shutil.rmtree(config.stash[OWN], ignore_errors=True)


@pytest.fixture(scope="session", autouse=True)
def _opened_once() -> Iterator[None]:
    from opened_once import share

    with pytest.MonkeyPatch.context() as patch:
        share(patch)
        yield


@pytest.fixture(scope="session", autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Personal rules, marks and catalogues of a worker's tests lie in a folder of its own."""
    place = tmp_path_factory.mktemp("own")
    os.environ["MARKRULES_RULES"] = str(place / "rules")
    os.environ["MARKRULES_MARKS"] = str(place / "marks.sqlite")
    os.environ["MARKRULES_CATALOGUE"] = str(place / "catalogue.db")
