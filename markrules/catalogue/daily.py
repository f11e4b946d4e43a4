"""An archive for each day of use, beside the catalogue, and which of them are kept."""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import os
import re
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path

from markrules.catalogue.archive import archive
from markrules.catalogue.problems import CatalogueProblem, FileTrouble
from markrules.catalogue.store import Catalogue

PLACE = "MARKRULES_ARCHIVES"
"""The environment variable that names another folder for the archives, or is `none`."""
DAYS, WEEKS, MONTHS = 7, 4, 12
"""How many last days of use keep their archive; then the newest of each week and month."""
LEAST_KEPT = 2
TIMES_THE_CATALOGUE = 4
LEAST_ROOM = 100_000_000
"""Bytes: all archives together may take this, or so many times the catalogue, if that is more."""

Day = datetime.date


def archives_folder(path: Path) -> Path | None:
    """The folder of the daily archives of the catalogue at `path`; None where none are wanted.

    In a folder that is told each catalogue has its own: two of one name would keep each other from
    an archive of the day.
    """
    told = os.environ.get(PLACE, "").strip()
    if told == "none":
        return None
    if not told:
        return path.with_name(f"{path.name}.archives")
    place = hashlib.sha256(os.fsencode(path.resolve())).hexdigest()[:8]
    return Path(told) / f"{path.name}-{place}.archives"


def daily_archives(path: Path) -> dict[Day, Path]:
    """The archives of the catalogue at `path` by day, oldest first."""
    folder = archives_folder(path)
    found: dict[Day, Path] = {}
    if folder is not None and folder.is_dir():
        for each in sorted(folder.iterdir()):
            day = re.fullmatch(re.escape(path.stem) + r"-(\d{4}-\d\d-\d\d)\.zip", each.name)
            with contextlib.suppress(ValueError):
                if day is not None:
                    found[Day.fromisoformat(day[1])] = each
    return found


def keep_daily(catalogue: Catalogue, today: Day | None = None) -> Path | None:
    """Make today's archive where there is none yet, and remove those that are not kept.

    Returns the new archive, or None where there was nothing to do. Raises FileTrouble where it
    cannot be written; the catalogue itself is never touched.
    """
    folder = archives_folder(catalogue.path)
    today = today or datetime.date.today()
    if folder is None:
        return None
    place = folder / f"{catalogue.path.stem}-{today.isoformat()}.zip"
    if place.exists():
        return None
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        size = catalogue.path.stat().st_size
        if shutil.disk_usage(folder).free < 2 * size:
            raise FileTrouble(f"{folder}: too little room for today's archive")
    except OSError as error:
        raise FileTrouble(f"{folder}: {error.strerror or error}") from None
    try:
        archive(catalogue, place)
    except FileTrouble:
        raise
    except CatalogueProblem:  # another has just made it
        return None
    found = daily_archives(catalogue.path)
    sizes = {day: each.stat().st_size for day, each in found.items()}
    room = max(LEAST_ROOM, TIMES_THE_CATALOGUE * size)
    for day in surplus(sorted(found), sizes.__getitem__, room):
        with contextlib.suppress(OSError):
            found[day].unlink()
    return place


def surplus(days: Sequence[Day], size_of: Callable[[Day], int], room: int) -> list[Day]:
    """The days whose archives are not kept, of those there are, oldest first.

    Kept are the last seven days of use, the newest of each of the last four weeks and twelve
    months that have one, and the oldest of all falls away first where they take more than
    `room` bytes; the newest two are always kept.
    """
    newest = sorted(days, reverse=True)
    kept = set(newest[:DAYS])
    for count, part in ((WEEKS, _week), (MONTHS, _month)):
        firsts: dict[object, Day] = {}
        for day in newest:
            firsts.setdefault(part(day), day)
        kept.update(list(firsts.values())[:count])
    taken = 0
    for number, day in enumerate(each for each in newest if each in kept):
        taken += size_of(day)
        if taken > room and number >= LEAST_KEPT:
            kept.discard(day)
    return [day for day in sorted(days) if day not in kept]


def _week(day: Day) -> object:
    return day.isocalendar()[:2]


def _month(day: Day) -> object:
    return day.year, day.month
