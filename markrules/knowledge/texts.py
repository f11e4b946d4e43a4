"""The rule files below some folders: found, read and fingerprinted."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Sequence
from pathlib import Path

from markrules.frozen import dataclass
from markrules.knowledge.own_files import blake2b
from markrules.knowledge.seen_files import SeenFiles
from markrules.language.problems import Problem
from markrules.language.spans import Span

DRAFTS = "drafts"
LARGEST_FILE = 2_000_000
LARGEST_TOTAL = 20_000_000
"""Bytes of one file of rules, and of all: the shipped ones have three million in all, and to
check a million takes some seconds."""


@dataclass(frozen=True, slots=True)
class RuleText:
    """A rule file as read, and the hash of its content.

    `name` is its path below the folder, with slashes; `file` the whole path. `content` is None
    for a file whose hash was known without reading it.
    """

    folder: int
    name: str
    file: str
    content: bytes | None
    digest: bytes

    @property
    def is_draft(self) -> bool:
        """True below `drafts/`: checked, but not used."""
        return self.name.startswith(f"{DRAFTS}/")


def read_texts(
    folders: Sequence[Path], seen_before: SeenFiles | None = None
) -> tuple[list[RuleText], list[Problem]]:
    """Every `*.rules` file below the folders, sorted by folder and name.

    A folder named twice, or inside another, gives its files once. A file that cannot be
    read becomes a problem. A file that is as it was when last seen is not read. One that says
    nothing is left out: who has taken out all rules of one's own has those that are shipped.
    """
    texts: list[RuleText] = []
    problems: list[Problem] = []
    seen: set[str] = set()
    total = 0
    for number, folder in enumerate(folders):
        root = os.path.realpath(folder)
        for name in sorted(_names(root)):
            path = os.path.join(root, name)
            if path in seen:  # one of the folders lies inside another
                continue
            seen.add(path)
            try:
                status = os.stat(path)
                digest = seen_before.digest(path, status) if seen_before is not None else None
                content = None
                if digest is None or status.st_size > LARGEST_TOTAL - total:
                    content = _content(path, status, LARGEST_TOTAL - total)
                    if _says_nothing(content):
                        content = b""
                    digest = blake2b(content, digest_size=32).digest()
                    if seen_before is not None:
                        seen_before.add(path, status, digest)
            except OSError as error:
                problems.append(_unreadable(path, error.strerror or str(error)))
            else:
                total += status.st_size if content is None else len(content)
                if digest != _NOTHING:
                    below = name.replace(os.sep, "/")
                    texts.append(RuleText(number, below, path, content, digest))
    return texts, problems


_NOTHING = blake2b(b"", digest_size=32).digest()


def _says_nothing(content: bytes) -> bool:
    """Whether a file holds plain remarks and empty lines alone, in which nothing can be wrong."""
    if not content.isascii():
        return False
    lines = content.decode("ascii").split("\n")
    return all(not line or (line[0] == "#" and line.isprintable()) for line in lines)


def _content(path: str, status: os.stat_result, room: int) -> bytes:
    """The bytes of a file of rules. Raises OSError for what is no plain file, or too large."""
    if not stat.S_ISREG(status.st_mode):  # a pipe or a device may never end
        raise OSError("it is not a plain file")
    most = min(LARGEST_FILE, room)
    with open(path, "rb") as opened:
        content = opened.read(most + 1)
    if len(content) > LARGEST_FILE:
        raise OSError(f"it has more than {LARGEST_FILE:,} bytes; split it")
    if len(content) > most:
        raise OSError(f"all rules together have more than {LARGEST_TOTAL:,} bytes")
    return content


def _names(root: str) -> Iterator[str]:
    for at, below, files in os.walk(root):
        below[:] = [name for name in below if not name.startswith(".")]
        inside = at[len(root) :].strip(os.sep)
        for name in files:
            if name.endswith(".rules") and not name.startswith("."):
                yield os.path.join(inside, name)


def _unreadable(path: str, reason: str) -> Problem:
    return Problem("unreadable", f"this file cannot be read: {reason}", Span(path, 1, 1, 2))


def decoded(text: RuleText) -> tuple[str, Problem | None]:
    """The text of a file that was read, and a problem where it is not UTF-8."""
    assert text.content is not None
    try:
        return text.content.decode("utf-8"), None
    except UnicodeDecodeError as error:
        before = text.content[: error.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8", "replace")) + 1
        message = "this is not UTF-8 text: save the file as UTF-8"
        place = Span(text.file, line, column, column + 1)
        return "", Problem("not-utf-8", message, place)


def fingerprint(texts: Sequence[RuleText]) -> str:
    """A hash of what the rules in use say, wherever they lie: 64 hexadecimal digits."""
    digest = blake2b(digest_size=32)
    for text in texts:
        digest.update(f"{text.folder}\0{text.name}\0".encode("utf-8", "replace"))
        digest.update(text.digest)
    return digest.hexdigest()
