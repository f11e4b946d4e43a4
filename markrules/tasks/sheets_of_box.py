"""Sheets for a whole box, on all cores, with an index page, a contact sheet and a table."""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from markrules.catalogue.private import private_folder, write_private
from markrules.frozen import dataclass
from markrules.language.escaping import escaped_json
from markrules.reading.processes import processes
from markrules.reading.reader import Reader
from markrules.sheets.attribution import attribution, date_words
from markrules.sheets.content import content, heading
from markrules.sheets.discretion import discreet
from markrules.sheets.exports.linked_art import linked_art
from markrules.sheets.exports.schema_org import schema_org
from markrules.sheets.exports.shared import exported
from markrules.sheets.exports.table import row, table
from markrules.sheets.fingerprint import fingerprint, short
from markrules.sheets.matter import SheetMatter
from markrules.sheets.page_photos import PictureProblem
from markrules.sheets.printing import PrintProblem, data_uri, missing_letters, pdf_of, render
from markrules.tasks.gathering_for_sheets import matter_of
from markrules.telling.words import shortened, visible

if TYPE_CHECKING:
    from markrules.catalogue.store import Catalogue

CHUNK = 16
"""Pieces handed to a process at once."""
WORTH_PROCESSES = 24
"""Fewer pieces than this are made sooner than further processes start."""


@dataclass(frozen=True, slots=True)
class BoxJob:
    """What to make of a box: where the catalogue lies, where to write, and which forms."""

    catalogue: Path
    box: str
    folder: Path
    open_reader: Callable[[], Reader]
    made_on: str = ""
    pdf: bool = True
    data: bool = False
    paper: str = "a4"
    people: bool = False


@dataclass(frozen=True, slots=True)
class Made:
    """One piece that was made: its line of the index and of the table, or its `problem`.

    `lacking` are letters that no font here has: in print they stand as their numbers.
    """

    number: int
    file: str
    heading: str = ""
    words: str = ""
    dated: str = ""
    attribution: str = ""
    fingerprint: str = ""
    thumbnail: str = ""
    pdf: bool = False
    cells: tuple[str, ...] = ()
    knowledge: str = ""
    problem: str = ""
    lacking: str = ""


def make_box(
    job: BoxJob, numbers: Sequence[int], jobs: int = 1, done: Callable[[int], None] | None = None
) -> list[Made]:
    """Make the sheets of the pieces of those numbers, then index, contact sheet and table.

    `done` is told how many more are made. A piece that fails is told in its `problem` and in
    the index, and the rest go on. Raises OSError where the folder cannot be written.
    """
    private_folder(job.folder)
    made: list[Made] = []
    for some in _made(job, numbers, jobs):
        made += some
        if done is not None:
            done(len(some))
    _write_together(job, made)
    return made


def _made(job: BoxJob, numbers: Sequence[int], jobs: int) -> Iterator[list[Made]]:
    chunks = [numbers[at : at + CHUNK] for at in range(0, len(numbers), CHUNK)]
    if jobs == 1 or len(numbers) < WORTH_PROCESSES:
        with _Worker(job) as worker:
            for chunk in chunks:
                yield worker.make(chunk)
        return
    with processes(jobs, _start, job) as pool:
        waiting: list[Future[list[Made]]] = []
        for chunk in chunks:
            waiting.append(pool.submit(_make_here, chunk))
            if len(waiting) >= 4 * jobs:
                yield waiting.pop(0).result()
        for future in waiting:
            yield future.result()


class _Worker:
    """Makes sheets in one process: one open catalogue, one reader."""

    def __init__(self, job: BoxJob) -> None:
        from markrules.catalogue.store import Catalogue

        self.job = job
        self.reader = job.open_reader()
        self.catalogue: Catalogue = Catalogue(job.catalogue, create=False)
        self.box = self.catalogue.boxes.named(job.box)

    def __enter__(self) -> _Worker:
        return self

    def __exit__(self, *_: object) -> None:
        self.catalogue.close()

    def make(self, numbers: Sequence[int]) -> list[Made]:
        return [self._one(number) for number in numbers]

    def _one(self, number: int) -> Made:
        file = f"piece-{number:04d}"
        try:
            piece = self.catalogue.pieces.numbered(self.box, number)
            matter = matter_of(
                self.catalogue, self.reader, self.box, piece, self.job.made_on, self.job.people
            )
            return self._written(matter, number, file)
        except (PrintProblem, PictureProblem) as problem:
            return Made(number, file, problem=str(problem))

    def _written(self, matter: SheetMatter, number: int, file: str) -> Made:
        sheet = content(matter)
        photos = [data_uri(each) for each in matter.photos]
        page = render("sheet.html", sheet=sheet, photos=photos)
        folder = self.job.folder
        _write(folder / f"{file}.html", page)
        lacking = ""
        if self.job.pdf:
            write_private(folder / f"{file}.pdf", pdf_of(sheet, matter, self.job.paper))
            lacking = missing_letters(json.dumps(sheet, ensure_ascii=False))
        piece = exported(matter)
        if self.job.data:
            _write_json(folder / f"{file}.schema.jsonld", schema_org(piece))
            _write_json(folder / f"{file}.linked-art.jsonld", linked_art(piece))
        shown = matter if matter.people else discreet(matter)
        return Made(
            number=number,
            file=file,
            heading=heading(shown),
            words=visible(shortened(" ".join(shown.note.split()), 90)),
            dated=date_words(matter.base, matter.reading),
            attribution=attribution(matter.base, matter.reading).words,
            fingerprint=short(fingerprint(matter)),
            thumbnail=_thumbnail(self.catalogue, matter),
            pdf=self.job.pdf,
            cells=tuple(row(piece)),
            knowledge=matter.reading.knowledge_version,
            lacking=lacking,
        )


def _thumbnail(catalogue: Catalogue, matter: SheetMatter) -> str:
    if not matter.photos:
        return ""
    small = catalogue.photos.thumbnail(matter.photos[0].digest)
    return f"data:image/jpeg;base64,{base64.b64encode(small).decode()}"


def _write_json(path: Path, data: dict[str, Any]) -> None:
    text = escaped_json(json.dumps(data, ensure_ascii=False, indent=1))
    _write(path, text)


def _write(path: Path, text: str) -> None:
    write_private(path, text, encoding="utf-8", errors="replace")


def _write_together(job: BoxJob, made: Sequence[Made]) -> None:
    good = [each for each in made if not each.problem]
    values: dict[str, Any] = {"box": job.box, "made_on": job.made_on, "rows": good}
    others = [("contact.html", "contact sheet"), ("pieces.csv", "table (CSV)")]
    index = render(
        "index.html",
        **values,
        others=others,
        knowledge=next((each.knowledge for each in good), ""),
        problems=[(each.number, each.problem) for each in made if each.problem],
    )
    _write(job.folder / "index.html", index)
    contact = render("contact.html", **values)
    _write(job.folder / "contact.html", contact)
    text = table(list(each.cells) for each in good)
    named = {"encoding": "utf-8-sig", "newline": "", "errors": "replace"}
    write_private(job.folder / "pieces.csv", text, **named)


_here: dict[str, _Worker] = {}
"""The worker of this process; empty in the parent."""


def _start(job: BoxJob) -> None:
    _here["worker"] = _Worker(replace(job))


def _make_here(numbers: Sequence[int]) -> list[Made]:
    return _here["worker"].make(numbers)
