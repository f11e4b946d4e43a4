"""The book put into its folder: all of it, or nothing."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Iterable
from pathlib import Path

LISTING = "book.json"
"""The list of the book's files, by which a folder is known to hold nothing else."""


class FolderInUse(Exception):
    """The folder holds files that are no part of a book."""


def write_book(folder: Path, files: Iterable[tuple[str, str]], *, force: bool = False) -> list[str]:
    """Write the files into the folder, and give their names.

    They are first written beside the folder and then put in its place. A folder that holds an
    earlier book and nothing else is replaced. One that holds other files raises FolderInUse,
    unless `force` is given: then the files of the book are put between them, each whole. Raises
    OSError where something cannot be written; the folder is then as it was.
    """
    others = _others(folder)
    if others and not force:
        raise FolderInUse(
            f"{folder} holds other files ({', '.join(others[:3])}{' ...' if others[3:] else ''});"
            " give an empty folder, or --force to write between them"
        )
    folder.parent.mkdir(parents=True, exist_ok=True)
    fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    try:
        names = _fill(fresh, files)
        if others:
            for name in names:
                os.replace(fresh / name, folder / name)
        else:
            _swap(fresh, folder)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    return names


def _others(folder: Path) -> list[str]:
    """What the folder holds beside an earlier book. Raises NotADirectoryError for a file."""
    if not folder.exists():
        return []
    own = {LISTING}
    try:
        listed = json.loads((folder / LISTING).read_text(encoding="utf-8"))
        own |= {each for each in listed if isinstance(each, str)} if type(listed) is list else set()
    except (OSError, ValueError):
        own = set()
    with os.scandir(folder) as inside:
        return sorted(each.name for each in inside if each.name not in own or not each.is_file())


def _fill(fresh: Path, files: Iterable[tuple[str, str]]) -> list[str]:
    names = []
    for name, text in files:
        (fresh / name).write_text(text, encoding="utf-8", newline="\n")
        names.append(name)
    names.append(LISTING)
    listing = json.dumps(sorted(names), indent=1)
    (fresh / LISTING).write_text(f"{listing}\n", encoding="utf-8", newline="\n")
    fresh.chmod(0o755)
    return names


def _swap(fresh: Path, folder: Path) -> None:
    """Put the fresh folder where the old one is, which is put back if that fails."""
    if not folder.exists():
        fresh.rename(folder)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{folder.name}-old-", dir=folder.parent))
    old.rmdir()
    folder.rename(old)
    try:
        fresh.rename(folder)
    except OSError:
        old.rename(folder)
        raise
    shutil.rmtree(old)
