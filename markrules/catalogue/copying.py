"""A catalogue copied while others write to it: one file that is whole and stands alone."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from markrules.catalogue.file import (
    beside_of,
    companions,
    names_of,
    open_private,
    put_in_place,
    remove,
    sweep,
)
from markrules.catalogue.problems import CatalogueProblem, FileTrouble, why
from markrules.catalogue.store import Catalogue


def copy(catalogue: Catalogue, path: Path) -> int:
    """Copy the catalogue to a new file at `path`, all of it or nothing; its size in bytes.

    What is copied is one moment, though others go on writing. The copy is checked before it
    gets its name, and only its owner may read it. Raises CatalogueProblem where something is
    there already, and FileTrouble where it cannot be written.
    """
    if not path.name:
        raise CatalogueProblem(f"{path}: this is a folder; name a file")
    there = [each for each in [path, *companions(path)] if each.exists()]
    if there:
        raise CatalogueProblem(f"{names_of(there)}: there already; name another place")
    beside = beside_of(path, "copying")
    try:
        sweep(path, "copying")
        open_private(beside)
        with closing(sqlite3.connect(beside, isolation_level=None)) as target:
            catalogue.copy_to(target)
            target.execute("pragma journal_mode = delete")
            found = target.execute("pragma integrity_check(1)").fetchone()[0]
        if found != "ok":
            raise FileTrouble(f"{catalogue.path}: the catalogue is damaged ({found}); no copy")
        with beside.open("rb") as handle:
            os.fsync(handle.fileno())
        put_in_place(beside, path)
        return path.stat().st_size
    except FileExistsError:
        raise CatalogueProblem(f"{path}: there already; name another place") from None
    except (OSError, sqlite3.Error) as error:
        raise FileTrouble(f"{path}: {why(error)}; no copy was made") from None
    finally:
        remove(beside)
