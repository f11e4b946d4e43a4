"""Files out and in: pieces as a table, the whole catalogue as an archive, and one restored."""

from __future__ import annotations

import datetime
import io
import shutil
import tempfile
from pathlib import Path

from starlette.background import BackgroundTask
from starlette.responses import FileResponse, Response

from markrules.catalogue.archive import archive
from markrules.catalogue.daily import daily_archives
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box
from markrules.catalogue.restoring import restore
from markrules.catalogue.wholeness import check
from markrules.tasks.exporting import LEFT_OUT, export_csv, export_lines
from markrules.tasks.sheets_of_box import BoxJob, make_box
from markrules.telling.words import count_of
from markrules.web.desk import Refused, Visit, whole
from markrules.web.pages.box import box_named

FORMS = {
    "csv": ("text/csv; charset=utf-8", export_csv),
    "jsonl": ("application/jsonl; charset=utf-8", export_lines),
}
HOSTS_ALONE = "Only the host may take the whole catalogue away, or bring one back."
MOST_DAYS = 40
MOST_SHEETS = 100
"""Sheets made at once: others at the table wait meanwhile."""


def files(visit: Visit) -> Response:
    """What can be taken away, and what can be brought back."""
    return visit.page(
        "files.html",
        boxes=visit.catalogue.boxes.all(),
        host=visit.is_host,
        left_out=LEFT_OUT,
        days=list(_days(visit))[:MOST_DAYS],
        catalogue_name=visit.desk.settings.catalogue.name,
    )


def _days(visit: Visit) -> dict[str, Path]:
    """The daily archives, newest first, by their day."""
    found = daily_archives(visit.desk.settings.catalogue)
    return {day.isoformat(): found[day] for day in sorted(found, reverse=True)}


def export(visit: Visit) -> Response:
    """The pieces of a box, or of all, as a table."""
    form = visit.path["form"]
    if form not in FORMS:
        raise Refused(404, "Pieces are written as .csv or .jsonl.")
    kind, write = FORMS[form]
    box: Box | None = None
    if visit.query.get("box"):
        box = visit.catalogue.boxes.by_id(whole(visit.query["box"], "box"))
    out = io.StringIO(newline="")
    write(visit.catalogue, out, box)
    name = f"pieces-{f'box-{box.id}-' if box is not None else ''}{_today()}.{form}"
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(out.getvalue().encode(), media_type=kind, headers=headers)


def take_away(visit: Visit) -> Response:
    """The whole catalogue, photos too, as one file."""
    visit.for_host(HOSTS_ALONE)
    folder = tempfile.TemporaryDirectory(prefix="markrules-archive-")
    path = Path(folder.name) / f"markrules-{_today()}.zip"
    try:
        archive(visit.catalogue, path)
    except BaseException:
        folder.cleanup()
        raise
    return FileResponse(
        path,
        media_type="application/zip",
        filename=path.name,
        background=BackgroundTask(folder.cleanup),
    )


def sheets(visit: Visit) -> Response:
    """The sheets of all pieces of a box in one file, with an index page and a table."""
    box = box_named(visit)
    numbers = [each.number for each in visit.catalogue.pieces.all(box, limit=MOST_SHEETS + 1)]
    if not numbers:
        raise Refused(400, f'Box "{box.name}" holds no piece to document.')
    if len(numbers) > MOST_SHEETS:
        raise Refused(400, f"More than {MOST_SHEETS} pieces: `markrules sheet box` makes them all.")
    folder = tempfile.TemporaryDirectory(prefix="markrules-sheets-")
    try:
        job = BoxJob(
            catalogue=visit.desk.settings.catalogue,
            box=box.name,
            folder=Path(folder.name) / "sheets",
            open_reader=lambda: visit.desk.reader,
            made_on=_today(),
            pdf=False,
        )
        with visit.desk.locked():
            make_box(job, numbers)
        packed = shutil.make_archive(str(Path(folder.name) / "packed"), "zip", job.folder)
    except BaseException:
        folder.cleanup()
        raise
    return FileResponse(
        packed,
        media_type="application/zip",
        filename=f"sheets-box-{box.id}-{_today()}.zip",
        background=BackgroundTask(folder.cleanup),
    )


def bring_back(visit: Visit) -> Response:
    """Make a catalogue of an archive, beside the one in use, which stays as it is."""
    visit.for_host(HOSTS_ALONE)
    day = visit.form.text("day", 20)
    sent = visit.form.files.get("archive", ())
    if sent and sent[0]:
        held = visit.desk.sent_files.take("archive.zip", sent[0], visit.visitor.browser)
        source, name = held.path, visit.form.names["archive"][0][-80:]
    elif day:
        found = _days(visit).get(day)
        if found is None:
            raise Refused(404, f"There is no archive of {day}.", "day")
        held, source, name = None, found, f"the archive of {day}"
    else:
        raise Refused(400, "Choose an archive, or the day of one.", "archive")
    place = _free_place(visit.desk.settings.catalogue)
    try:
        counts = restore(source, place)
    except CatalogueProblem as problem:
        raise Refused(400, str(problem).replace(str(source), name), "archive") from None
    finally:
        if held is not None:
            visit.desk.sent_files.drop(held.key)
    pieces, photos = count_of(counts["piece"], "piece"), count_of(counts["picture"], "photo")
    return visit.page("restored.html", name=name, place=str(place), pieces=pieces, photos=photos)


def _free_place(catalogue: Path) -> Path:
    """A name beside the catalogue that no file has."""
    stem = f"{catalogue.stem}-restored-{_today()}"
    for number in range(1, 1000):
        ending = f"-{number}" if number > 1 else ""
        place = catalogue.with_name(f"{stem}{ending}{catalogue.suffix}")
        if not place.exists():
            return place
    raise Refused(400, "A thousand were restored today; move some away first.")


def look_over(visit: Visit) -> Response:
    """Whether all is whole: file, log, pictures, rows, and the newest daily archive."""
    newest = list(_days(visit).values())[:1]
    return visit.page("check.html", checks=check(visit.catalogue, newest), archived=bool(newest))


def _today() -> str:
    return datetime.date.today().isoformat()


ROUTES = (
    ("GET", "/files", files),
    ("GET", "/pieces.{form}", export),
    ("GET", "/archive", take_away),
    ("GET", "/box/{box}/sheets.zip", sheets),
    ("POST", "/restore", bring_back),
    ("GET", "/files/check", look_over),
)
