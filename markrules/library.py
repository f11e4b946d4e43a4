"""What a program can ask of markrules. `import markrules` offers the same names, loaded when used.

Nothing here prints, asks the network, or ends the program. Readings are frozen records; as plain
data (`as_data`) they have the forms that the commands write with `--json`, see `schema`.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Sequence
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from markrules.catalogue.problems import CatalogueProblem, FileTrouble
from markrules.catalogue.store import Catalogue
from markrules.forms import schema, schemas
from markrules.frozen import dataclass
from markrules.inference.ranges import USUAL_MASS
from markrules.inference.reading import (
    Branches,
    CautionReading,
    Citation,
    ClueReading,
    DateRange,
    Dating,
    ExceptionReading,
    FaultReading,
    MakerShare,
    MarkReading,
    MisleadingReading,
    NextLook,
    OriginReading,
    Reading,
    SignReading,
    TypeReading,
)
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Accounted, Observation
from markrules.language.problems import Problem
from markrules.marks.metal import MetalReading
from markrules.marks.numbers import NumberReading
from markrules.marks.reading_syntax import MarkSyntaxError
from markrules.marks.results import MarkResult, SearchAnswer
from markrules.reading.observing import WordProblem
from markrules.reading.reader import Reader, Request

__all__ = [
    "Accounted",
    "Branches",
    "Catalogue",
    "CatalogueProblem",
    "CautionReading",
    "Citation",
    "ClueReading",
    "DateRange",
    "Dating",
    "ExceptionReading",
    "FaultReading",
    "FileTrouble",
    "MakerShare",
    "MarkReading",
    "MarkResult",
    "MarkSyntaxError",
    "MetalReading",
    "MisleadingReading",
    "NextLook",
    "NumberReading",
    "Observation",
    "OriginReading",
    "Problem",
    "Reading",
    "Request",
    "Rules",
    "RulesProblem",
    "SearchAnswer",
    "SignReading",
    "TypeReading",
    "WordProblem",
    "as_data",
    "check_rules",
    "decode_metal",
    "decode_numbers",
    "open_catalogue",
    "open_rules",
    "read",
    "read_many",
    "schema",
    "schemas",
    "search_mark",
]


class RulesProblem(ValueError):
    """Rules with errors, or a folder of rules that is not there.

    `problems` are the errors with their places; empty where the folder is missing.
    """

    def __init__(self, message: str, problems: tuple[Problem, ...] = ()) -> None:
        """Take the message and the errors behind it."""
        super().__init__(message)
        self.problems = problems


@dataclass(frozen=True, eq=False)
class Rules:
    """The knowledge, opened: what reads notes, marks and numbers. See `open_rules`.

    It is built once and may be used from then on by any number of readings. What is costly is
    made when it is first needed.
    """

    reader: Reader

    @property
    def base(self) -> KnowledgeBase:
        """Every entry by kind and name: `rules.base.clues["rollover-catch"].why`."""
        return self.reader.base

    @property
    def version(self) -> str:
        """The version of the program and, behind `+`, that of the rules and their fingerprint."""
        return self.base.version

    def read(
        self,
        note: str = "",
        *,
        seen: Sequence[str | Observation] = (),
        marks: Sequence[str] = (),
        mass: float = USUAL_MASS,
        flat_prior: bool = False,
        without: Sequence[str] = (),
        next_looks: int = 5,
        origin: str = "",
    ) -> Reading:
        """The reading of one piece.

        `note` is in plain words. `seen` adds what was seen by name, as `"catch=rollover"` (also
        `none`, `not VALUE`, and `?` at the end for a guess) or as observations; it stands before
        what the note says of the same feature, marks and faults beside it. `marks` are texts on
        the piece, `?` a letter unread and `...` a run of them. The date range holds `mass` of the
        probability, a share from 0.01 to 0.999. `flat_prior` takes every year as equally likely at
        first; `without` leaves out features or clues by name; `next_looks` is how many looks to
        propose. `origin` names where the piece comes from, such as `box`; left out, it is what the
        note says or the rules take.

        No note raises; what is not understood stands in the reading. Raises WordProblem for a
        feature, value or name that the rules do not know, and ValueError for another `mass`.
        """
        return self.reader.read(
            self.request(
                note,
                seen=seen,
                marks=marks,
                mass=mass,
                flat_prior=flat_prior,
                without=without,
                next_looks=next_looks,
                origin=origin,
            )
        )

    def request(
        self,
        note: str = "",
        *,
        seen: Sequence[str | Observation] = (),
        marks: Sequence[str] = (),
        mass: float = USUAL_MASS,
        flat_prior: bool = False,
        without: Sequence[str] = (),
        next_looks: int = 5,
        origin: str = "",
    ) -> Request:
        """What `read` would read, checked, for `read_many`. Takes and raises the same."""
        from markrules.reading.observing import nearest, observe

        for name, given in (("seen", seen), ("marks", marks), ("without", without)):
            if isinstance(given, str):
                raise ValueError(f"`{name}` is a list of texts, not one text: [{given!r}]")
        if not 0.01 <= mass <= 0.999:
            raise ValueError(f"`mass` is a share from 0.01 to 0.999, not {mass}")
        for name in without:
            if name not in self.base.features and name not in self.base.clues:
                near = nearest(name, [*self.base.features, *self.base.clues])
                hint = f'; nearest: "{near}"' if near else ""
                raise WordProblem(f'no feature or clue is called "{name}"{hint}')
        if origin and origin not in self.base.origins:
            near = nearest(origin, self.base.origins)
            hint = f'; nearest: "{near}"' if near else ""
            raise WordProblem(f'no origin is called "{origin}"{hint}')
        return Request(
            note=note,
            observations=tuple(
                observe(self.base, each) if isinstance(each, str) else each for each in seen
            ),
            marks=tuple(marks),
            mass=mass,
            flat_prior=flat_prior,
            without=tuple(without),
            next_looks=next_looks,
            origin=origin,
        )

    def read_many(self, notes: Iterable[str | Request]) -> Iterator[Reading]:
        """The readings of many pieces, one by one and in order, as they are asked for.

        A text is read as `read` reads it, but proposes no next looks, which cost the most; a
        request of `request` says all itself. A reading is the same, alone or among many.
        """
        for each in notes:
            yield self.reader.read(
                Request(note=each, next_looks=0) if isinstance(each, str) else each
            )

    def search_mark(self, text: str, most: int = 5) -> SearchAnswer:
        """Whose mark a text may be, the likeliest maker first, `most` of them at most.

        Write `?` for a letter that is quite unread, `...` for a run of them, `[CGO]` for one of
        these, `/` for a line break, and what else is seen in round brackets: `(crown)`. Raises
        MarkSyntaxError, with the place, for a text that is not so written, and ValueError for
        `most` below 1.
        """
        if most < 1:
            raise ValueError(f"`most` is 1 or more, not {most}")
        return self.reader.marks.search(text, most)

    def decode_numbers(self, text: str) -> tuple[NumberReading, ...]:
        """The numbers of registers in a text, each with the years that it was given in.

        Empty where there is none. Write the words beside a number too: `"PAT. 1,798,867"`.
        """
        from markrules.marks.numbers import find_numbers

        return find_numbers(text, self.base)

    def decode_metal(self, text: str) -> tuple[MetalReading, ...]:
        """The marks of metal content in a text: what each claims. A mark is a claim, not a test."""
        from markrules.marks.metal import find_metal_marks

        return find_metal_marks(text, self.base)

    def metals(self, reading: Reading) -> tuple[MetalReading, ...]:
        """The marks of metal content in the texts that a reading found on the piece."""
        return self.reader.metals(reading.observations)

    @cached_property
    def features(self) -> tuple[str, ...]:
        """The names of all that can be seen; `base.features` holds their values."""
        return tuple(self.base.features)


def open_rules(*folders: str | Path, personal: bool = True, last_year: int | None = None) -> Rules:
    """Open the rules that come with markrules, and any of one's own.

    `folders` are folders of own rules. `personal` also takes the personal folder and the
    imported list of marks, as the command does; without it an answer depends on nothing but the
    rules named here. The grid of years ends with `last_year`, this year where it is not given.

    Raises RulesProblem for a folder that is not there, and where the rules have errors.
    """
    from markrules.knowledge.loading import load
    from markrules.knowledge.places import (
        cache_folder,
        imported_marks,
        personal_rules,
        shipped_rules,
    )

    own = [Path(folder) for folder in folders]
    for folder in own:
        if not folder.is_dir():
            raise RulesProblem(f"{folder}: there is no such folder of rules")
    mine = personal_rules() if personal else None
    if mine is not None and mine.is_dir():
        own.insert(0, mine)
    base, problems = load([shipped_rules(), *own], cache_folder=cache_folder())
    errors = tuple(each for each in problems if each.severity == "error")
    if errors:
        first = errors[0]
        place = f"{first.place.file}:{first.place.line}:{first.place.column}"
        raise RulesProblem(
            f"{len(errors)} error{'s' if len(errors) > 1 else ''} in the rules, the first at"
            f" {place}: {first.message}",
            errors,
        )
    marks = imported_marks() if personal else None
    if marks is not None and not (marks.is_file() and marks.stat().st_size):
        marks = None
    year = datetime.date.today().year if last_year is None else last_year
    return Rules(Reader(base, year, own_marks=marks))


@cache
def _usual() -> Rules:
    return open_rules()


def read(
    note: str = "",
    *,
    seen: Sequence[str | Observation] = (),
    marks: Sequence[str] = (),
    mass: float = USUAL_MASS,
    next_looks: int = 5,
) -> Reading:
    """The reading of one piece, by the rules as the command opens them: see `Rules.read`.

    The rules are opened once and kept while the program runs.
    """
    return _usual().read(note, seen=seen, marks=marks, mass=mass, next_looks=next_looks)


def read_many(notes: Iterable[str | Request]) -> Iterator[Reading]:
    """The readings of many notes, one by one and in order: see `Rules.read_many`."""
    return _usual().read_many(notes)


def search_mark(text: str, most: int = 5) -> SearchAnswer:
    """Whose mark a text may be: see `Rules.search_mark`."""
    return _usual().search_mark(text, most)


def decode_numbers(text: str) -> tuple[NumberReading, ...]:
    """The numbers of registers in a text: see `Rules.decode_numbers`."""
    return _usual().decode_numbers(text)


def decode_metal(text: str) -> tuple[MetalReading, ...]:
    """The marks of metal content in a text: see `Rules.decode_metal`."""
    return _usual().decode_metal(text)


def open_catalogue(path: str | Path | None = None, *, create: bool = False) -> Catalogue:
    """Open a catalogue of boxes and pieces; use it in a `with` block, or call `close`.

    `path` is the file, the person's own where it is not given; `create` makes one where there is
    none. A file of an older form is copied beside itself before it is brought up to date. Raises
    FileTrouble where the file is missing, or is no catalogue; its methods raise CatalogueProblem
    for what cannot be done.
    """
    from markrules.catalogue.file import catalogue_place

    return Catalogue(Path(path) if path is not None else catalogue_place(), create=create)


def check_rules(*folders: str | Path, cases: bool = True) -> tuple[Problem, ...]:
    """The problems of folders of rules, checked as an addition to those that come with markrules.

    Without folders, the rules that come with markrules. `cases` also reads every worked example,
    where the rules have no errors. Errors and warnings, in the order of files and lines; raises
    RulesProblem for a folder that is not there.
    """
    from markrules.knowledge.loading import load
    from markrules.knowledge.places import cache_folder, shipped_rules
    from markrules.reading.cases import check_cases

    own = [Path(folder) for folder in folders]
    for folder in own:
        if not folder.is_dir():
            raise RulesProblem(f"{folder}: there is no such folder of rules")
    base, problems = load([shipped_rules(), *own], cache_folder=None, parsed_in=cache_folder())
    if cases and not any(each.severity == "error" for each in problems):
        problems = (*problems, *check_cases(base))
    return problems


def as_data(
    found: Reading | SearchAnswer | MetalReading | NumberReading | Observation,
    metals: Sequence[MetalReading] = (),
) -> dict[str, Any]:
    """The same as dictionaries, lists, texts and numbers, ready for `json.dumps`.

    A reading has the form that `markrules read --json` writes (schema `reading`); `metals`, from
    `Rules.metals`, are written into it. Raises TypeError for anything else.
    """
    from markrules.marks.decoded_data import answer_data, number_data
    from markrules.reading.reading_data import metal_data, observation_data, reading_data

    match found:
        case Reading():
            return reading_data(found, metals)
        case SearchAnswer():
            return answer_data(found)
        case MetalReading():
            return metal_data(found)
        case NumberReading():
            return number_data(found)
        case Observation():
            return observation_data(found)
    raise TypeError(f"{type(found).__name__} has no form of plain data here")
