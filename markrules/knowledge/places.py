"""Where rules and the cache lie: the shipped rules, the personal folder, the cache folder."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import markrules

_PACKAGE = Path(markrules.__file__).parent
# Environment variables that stand before the platform's own places.
RULES_VARIABLE = "MARKRULES_RULES"
CACHE_VARIABLE = "MARKRULES_CACHE"
MARKS_VARIABLE = "MARKRULES_MARKS"


def shipped_rules() -> Path:
    """The rules that come with the package: inside a wheel, or beside the package in a checkout."""
    packed = _PACKAGE / "_rules"
    return packed if packed.is_dir() else _PACKAGE.parent / "rules"


def rules_version(folder: Path) -> str:
    """The version of the rules in a folder: year and month, as `2026.11` or `2026.11.2`.

    Empty where its file VERSION is missing or says something else: rules of one's own need none.
    """
    try:
        with open(folder / "VERSION", "rb") as opened:
            said = opened.read(40).decode("ascii", "replace").strip()
    except OSError:
        return ""
    parts = said.split(".")
    return said if len(parts) in (2, 3) and all(map(str.isdecimal, parts)) else ""


def personal_rules() -> Path | None:
    """The user's own folder of rules; it need not exist.

    MARKRULES_RULES names it, or says with an empty value that there is none. Otherwise it is
    `rules` in the user's configuration folder of the platform.
    """
    named = os.environ.get(RULES_VARIABLE)
    if named is not None:
        return Path(named) if named else None
    return _of_the_user("config") / "rules"


def cache_folder() -> Path | None:
    """The folder for the compiled rules; it need not exist.

    MARKRULES_CACHE names it, or turns caching off with an empty value. Otherwise it is the
    user's cache folder of the platform.
    """
    named = os.environ.get(CACHE_VARIABLE)
    if named is not None:
        return Path(named) if named else None
    return _of_the_user("cache")


def imported_marks() -> Path:
    """Where the marks lie that the user imported; the file need not exist.

    MARKRULES_MARKS names it; otherwise it is `marks.sqlite` in the user's data folder of the
    platform.
    """
    named = os.environ.get(MARKS_VARIABLE)
    if named:
        return Path(named)
    return _of_the_user("data") / "marks.sqlite"


_ON_LINUX = {"config": ".config", "cache": ".cache", "data": ".local/share"}
"""Folders below the home where a variable of the environment names no other (freedesktop.org, XDG
Base Directory Specification 0.8)."""


def _of_the_user(kind: str) -> Path:
    """The folder of the platform for the user's configuration, cache or data of markrules.

    Linux is answered here as platformdirs answers it, which takes as long to load as two hundred
    pieces take to match.
    """
    home = os.environ.get("HOME", "")
    if sys.platform != "linux" or "ANDROID_DATA" in os.environ or not os.path.isabs(home):
        import platformdirs

        found: Path = getattr(platformdirs, f"user_{kind}_path")("markrules", appauthor=False)
        return found
    named = os.environ.get(f"XDG_{kind.upper()}_HOME", "")
    folder = named if os.path.isabs(named) else os.path.join(home, _ON_LINUX[kind])
    return Path(folder) / "markrules"
