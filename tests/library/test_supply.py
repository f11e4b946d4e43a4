"""What markrules stands on: told with its licence, and extras named as they are."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def names(requirements: list[str]) -> set[str]:
    found = {re.match(r"[A-Za-z0-9.-]+", each)[0].lower() for each in requirements}  # type: ignore[index]
    return found - {"markrules"}


def direct() -> set[str]:
    """The packages that pyproject names, also for its extras; stubs of types are no part of it."""
    extras = PROJECT["optional-dependencies"].values()
    every = names(PROJECT["dependencies"]).union(*map(names, extras))
    return {each for each in every if not each.startswith("types-")}


def test_every_direct_dependency_stands_in_a_table_with_its_licence() -> None:
    cells = [
        cell for line in PAGE.splitlines() if line.startswith("| ") for cell in line.split("|")
    ]
    told = {word.lower() for cell in cells for word in re.findall(r"[A-Za-z0-9-]+", cell)}

    assert direct() - told == set()


def test_every_direct_dependency_has_a_floor_and_a_known_version() -> None:
    pinned = {
        line.split("==")[0]
        for line in (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    }
    lists = (PROJECT["dependencies"], *PROJECT["optional-dependencies"].values())
    plain = [each for found in lists for each in found if not each.startswith("markrules")]

    assert all(">=" in each for each in plain)
    assert direct() - pinned == set()


def test_extras_that_are_named_anywhere_are_there() -> None:
    texts = [
        path.read_text(encoding="utf-8")
        for path in (
            *(ROOT / "markrules").rglob("*.py"),
            *(ROOT / "docs").glob("*.md"),
            *ROOT.glob("*.md"),
        )
    ]
    named = {
        extra.strip()
        for text in texts
        for found in re.findall(r"(?:markrules|\.)\[([a-z, ]+)\]", text)
        for extra in found.split(",")
    }

    assert "dask" in named
    assert named - PROJECT["optional-dependencies"].keys() == set()
