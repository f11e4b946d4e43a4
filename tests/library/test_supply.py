"""What markrules stands on: told with its licence, and extras named as they are."""

from __future__ import annotations

import importlib.metadata
import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
FULL_NAMES = {"LGPL": "Lesser General Public", "MPL": "Mozilla Public"}
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def names(requirements: list[str]) -> set[str]:
    found = {re.match(r"[A-Za-z0-9.-]+", each)[0].lower() for each in requirements}  # type: ignore[index]
    return found - {"markrules"}


def direct() -> set[str]:
    """The packages that pyproject names, also for its extras."""
    extras = PROJECT["optional-dependencies"].values()
    return names(PROJECT["dependencies"]).union(*map(names, extras))


def test_every_direct_dependency_stands_in_a_table_with_its_licence() -> None:
    cells = [
        cell for line in PAGE.splitlines() if line.startswith("| ") for cell in line.split("|")
    ]
    told = {word.lower() for cell in cells for word in re.findall(r"[A-Za-z0-9-]+", cell)}

    assert direct() - told == set()


def licences() -> dict[str, str]:
    """The licence that the tables tell for each package; of several in a cell, each has its own."""
    found: dict[str, str] = {}
    for line in PAGE.splitlines():
        cells = [cell.strip() for cell in line.strip("| ").split(" | ")]
        for named, licence in zip(cells[::2], cells[1::2], strict=False):
            each = [name.split(" (")[0].lower() for name in named.split(", ")]
            told = licence.split(", ")
            found |= dict(
                zip(each, told if len(told) == len(each) else told * len(each), strict=False)
            )
    return found


def test_the_licences_told_are_those_that_the_packages_bear() -> None:
    """As their metadata say it: an SPDX expression (PEP 639), else a trove classifier."""
    told, compared = licences(), 0
    for name in sorted(direct()):
        try:
            borne = importlib.metadata.metadata(name)
        except importlib.metadata.PackageNotFoundError:
            continue
        expression = borne.get("License-Expression", "")
        kinds = [
            each for each in borne.get_all("Classifier", []) if each.startswith("License :: OSI")
        ]
        family = told[name].split("-")[0]
        if not expression and not kinds:
            continue
        compared += 1
        if expression:
            assert told[name].removesuffix("-only") in expression, (name, expression)
        else:
            assert any(family in each or FULL_NAMES.get(family, "?") in each for each in kinds), (
                name
            )
    assert compared > 15


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
