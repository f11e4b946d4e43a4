"""How well the claims check agrees with listings labelled by hand; as a program, a table."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from markrules.reading.reader import Reader, Request
from markrules.sheets.claims import check_text

PARTS = (
    "written with",
    "kept aside",
    "written afterwards",
    "written last",
    "latest",
    "private sellers",
)
LISTINGS = Path(__file__).with_name("listings") / "labelled.txt"


@dataclass(frozen=True)
class Labelled:
    """A listing: its number, what is on record, its text, and the stretches that go too far."""

    number: int
    record: str
    text: str
    claims: tuple[tuple[int, int], ...]

    @property
    def part(self) -> str:
        """Whether the claims were written with it in sight, without, or before it."""
        if self.number > 310:
            return "private sellers"
        if self.number > 210:
            return "latest"
        if self.number > 150:
            return "written last"
        if self.number > 120:
            return "written afterwards"
        return "written with" if self.number % 3 else "kept aside"


@dataclass(frozen=True)
class Score:
    """Flags that meet a label, flags that meet none, labels that no flag meets."""

    right: int
    wrong: tuple[str, ...]
    found: int
    missed: tuple[str, ...]

    @property
    def precision(self) -> float:
        return self.right / max(1, self.right + len(self.wrong))

    @property
    def recall(self) -> float:
        return self.found / max(1, self.found + len(self.missed))


def labelled(path: Path = LISTINGS) -> list[Labelled]:
    """All listings of the file."""
    text = "\n".join(
        line for line in path.read_text(encoding="utf-8").split("\n") if line[:1] != "#"
    )
    found = []
    for block in re.split(r"\n\s*\n", text.strip()):
        number, record, marked = block.split("\n", 2)
        plain, claims, at = "", [], 0
        for part in re.split(r"([{}])", marked):
            if part == "{":
                at = len(plain)
            elif part == "}":
                claims.append((at, len(plain)))
            else:
                plain += part
        found.append(Labelled(int(number), record, plain, tuple(claims)))
    return found


def score(reader: Reader, listings: Sequence[Labelled]) -> Score:
    """Each flag and each label counts once; they meet where they share a character."""
    right, found = 0, 0
    wrong: list[str] = []
    missed: list[str] = []
    for each in listings:
        flags = check_text(reader.base, each.text, reader.read(Request(each.record, next_looks=0)))
        for flag in flags:
            if any(flag.start < end and start < flag.end for start, end in each.claims):
                right += 1
            else:
                wrong.append(f"{each.number}: {flag.claim}: {flag.words}")
        for start, end in each.claims:
            if any(flag.start < end and start < flag.end for flag in flags):
                found += 1
            else:
                missed.append(f"{each.number}: {each.text[start:end]}")
    return Score(right, tuple(wrong), found, tuple(missed))


def main() -> None:
    """Print the figures, and of the listings that the claims were written with also each miss."""
    from shipped_base import shipped_reader

    reader = shipped_reader()
    listings = labelled()
    for part in PARTS:
        result = score(reader, [each for each in listings if each.part == part])
        print(
            f"{part}: precision {result.precision:.1%} ({result.right} right,"
            f" {len(result.wrong)} wrong), recall {result.recall:.1%} ({result.found} found,"
            f" {len(result.missed)} missed)"
        )
        if part == PARTS[0]:
            print("\n".join((*result.wrong, *(f"missed {each}" for each in result.missed))))


if __name__ == "__main__":
    import sys

    sys.path.append(str(Path(__file__).parents[1] / "support"))
    main()
