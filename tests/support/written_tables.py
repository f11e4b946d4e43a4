"""Tables that stand in a text file: what is asked at the margin, its answer indented below it."""

from __future__ import annotations

from pathlib import Path


def blocks_of(table: Path) -> list[tuple[str, list[str]]]:
    """Each thing asked, with the lines of its answer; a backslash in what is asked escapes."""
    blocks: list[tuple[str, list[str]]] = []
    for line in table.read_text(encoding="utf-8").splitlines():
        if line.startswith("    "):
            blocks[-1][1].append(line[4:])
        else:
            blocks.append((line.encode().decode("unicode_escape") if "\\" in line else line, []))
    return blocks
