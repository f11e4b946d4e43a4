"""Dated pieces from a file: what is asked of a reading, and what its answer is held against."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from markrules.frozen import dataclass
from markrules.language.nearest import nearest
from markrules.language.tree import MISLEADING_KINDS
from markrules.reading.file_lines import BatchLine, lines_of

CIRCA = re.compile(r"\b(c|ca|circa|about|around|approximately)\b|\bca?\d", re.IGNORECASE)
"""Words by which a source says that its year is not exact."""

CIRCA_TOLERANCE = 5
"""Years that a single circa year may be off on each side."""


@dataclass(frozen=True, slots=True)
class DatedCase:
    """One published piece.

    `question` is all that a reading is given. `stated_from` and `stated_to` are the years that
    a source states, None where it states none; an open end counts as the year that is stated.
    `doubted` says that the source's years are not believed, `year_known` that what was seen
    gives the year away. `trap` marks a piece on which something misleads; `misleads` are the kinds
    of thing that it may rightly be said to be, and `parts` the features that may be blamed (none:
    the whole piece), both empty where nobody wrote such a key. `source` is who published it: what
    one source says of its pieces is of one hand.
    """

    name: str
    question: dict[str, Any]
    piece_type: str
    stated_from: int | None
    stated_to: int | None
    circa: bool = False
    maker: str = ""
    doubted: bool = False
    year_known: bool = False
    trap: bool = False
    score_maker: bool = True
    remark: str = ""
    misleads: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    source: str = ""

    @property
    def dated(self) -> bool:
        """Whether its years can be scored."""
        return self.stated_from is not None and not self.doubted

    @property
    def years(self) -> tuple[int, int]:
        """The stated years, first and last. Raises ValueError where none are stated."""
        if self.stated_from is None or self.stated_to is None:
            raise ValueError(f"{self.name} states no year")
        return self.stated_from, self.stated_to

    @property
    def tolerance(self) -> int:
        """Years that its midpoint may lie outside a range: a single circa year is rounded."""
        first, last = self.years
        return CIRCA_TOLERANCE if self.circa and first == last else 0


class CaseProblem(ValueError):
    """A line that is no dated piece; the text says why."""


def cases_of(path: Path) -> tuple[list[DatedCase], list[tuple[int, str]]]:
    """The pieces of a JSON Lines file, and the lines that are none, each with its reason.

    A line is an object with `id`, `piece_type`, `observations` (texts), `stated_from`, `stated_to`,
    and may have `date_text`, `stated_maker`, `date_doubted`, `year_in_observations`,
    `source_address` or `source`, `kind` (`trap` or another), `misleads` and `parts` (texts: the key
    to a trap), `score_on` (`date`, `maker`, `trap`) and `note`, which is a remark and never read.
    Raises OSError where the file cannot be read.
    """
    return gathered(lines_of(path))


def gathered(lines: Iterable[BatchLine]) -> tuple[list[DatedCase], list[tuple[int, str]]]:
    """The pieces on these lines, and the lines that hold none."""
    cases, problems = [], []
    for line in lines:
        try:
            cases.append(case_of(line))
        except CaseProblem as problem:
            problems.append((line.number, str(problem)))
    return cases, problems


def case_of(line: BatchLine) -> DatedCase:
    """The piece on one line. Raises CaseProblem where it is none."""
    if line.data is None:
        raise CaseProblem(line.error)
    data = line.data
    first, last = _year(data, "stated_from"), _year(data, "stated_to")
    if first is None:
        first = last
    last = first if last is None else last
    if first is not None and last is not None and first > last:
        raise CaseProblem(f"`stated_from` ({first}) lies after `stated_to` ({last})")
    score_on = data.get("score_on", ["date", "maker"])
    if not isinstance(score_on, list):
        raise CaseProblem("`score_on` is not a list")
    return DatedCase(
        name=str(data.get("id", f"line {line.number}")),
        question=_question(data),
        piece_type=_text(data, "piece_type"),
        stated_from=first,
        stated_to=last,
        circa=bool(CIRCA.search(_text(data, "date_text"))),
        maker=_text(data, "stated_maker"),
        doubted=_flag(data, "date_doubted"),
        year_known=_flag(data, "year_in_observations"),
        trap=data.get("kind") == "trap",
        score_maker="maker" in score_on,
        remark=_text(data, "note"),
        misleads=_kinds(data),
        parts=_texts(data, "parts"),
        source=_publisher(data),
    )


def _publisher(data: dict[str, Any]) -> str:
    """Who published it: the host of its address, else what `source` says; empty where neither."""
    address, said = _text(data, "source_address"), _text(data, "source")
    host = address.partition("://")[2].partition("/")[0].lower().removeprefix("www.")
    return host or address or said


def _question(data: dict[str, Any]) -> dict[str, Any]:
    """What may be asked: never `note`, which in such files tells what became of the piece."""
    return {
        "piece_type": _text(data, "piece_type"),
        "observations": list(_texts(data, "observations")),
    }


def _kinds(data: dict[str, Any]) -> tuple[str, ...]:
    kinds = _texts(data, "misleads")
    for kind in kinds:
        if kind not in MISLEADING_KINDS:
            near = nearest(kind, MISLEADING_KINDS)
            hint = f'; nearest: "{near}"' if near else ""
            raise CaseProblem(f'`misleads` has no kind "{kind}"{hint}')
    return kinds


def _texts(data: dict[str, Any], key: str) -> tuple[str, ...]:
    found = data.get(key, [])
    if not isinstance(found, list) or not all(isinstance(each, str) for each in found):
        raise CaseProblem(f"`{key}` is not a list of texts")
    return tuple(found)


def _text(data: dict[str, Any], key: str) -> str:
    value = data.get(key)
    if value is None:
        return ""
    if not isinstance(value, str):
        raise CaseProblem(f"`{key}` is not a text")
    return value


def _flag(data: dict[str, Any], key: str) -> bool:
    value = data.get(key, False)
    if not isinstance(value, bool):
        raise CaseProblem(f"`{key}` is neither true nor false")
    return value


def _year(data: dict[str, Any], key: str) -> int | None:
    value = data.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 9999:
        raise CaseProblem(f"`{key}` is not a year")
    return value
