"""Batches too large for one machine, spread over a Dask cluster (the extra `dask`).

A file is cut into parts by the byte (CSV, JSON Lines) or by the row group (Parquet); each part
is read where a worker is free, by the same pure function as a batch on one core, and answers
come back in the order of the file. Workers must see the file under the same name, and have the
same version of markrules and of its rules: an answer from other knowledge ends the run.
Whoever can reach a Dask scheduler can run programs on it: give addresses of your own only.
"""

from __future__ import annotations

import importlib
import io
import json
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

from markrules.extras import to_install
from markrules.frozen import dataclass
from markrules.language.escaping import escaped_json
from markrules.plain_files import open_plain
from markrules.reading.batch import read_line
from markrules.reading.file_lines import LONGEST_LINE, BatchLine, csv_lines, json_lines
from markrules.reading.reader import Reader, Request

PART_BYTES = 256_000
"""Bytes of a part of a text file: some 2,000 notes, a few seconds of work."""

WAITING_PER_THREAD = 4
"""Parts handed out ahead for each thread of the cluster, so that none waits for work."""

_SURELY_TOO_LONG = 4 * LONGEST_LINE + 1
"""Bytes: a character of UTF-8 takes four at most."""

PATIENCE_SECONDS = 20
"""How long a scheduler may take to answer."""


class DistributedProblem(Exception):
    """The cluster cannot be used, in plain words."""


@dataclass(frozen=True, slots=True)
class PartOfFile:
    """A stretch of a file: bytes `start` to `stop` of a text, or the rows of a row group.

    `line` is the number of its first line or row in the file; `heading` holds the first lines
    of a CSV file as bytes. `group` is the number of the row group, None for texts.
    """

    path: str
    line: int
    start: int = 0
    stop: int = 0
    heading: bytes = b""
    group: int | None = None


@dataclass(frozen=True, slots=True)
class AnswersOfPart:
    """The answers of a part: JSON lines in order, each with its line and error if it was bad."""

    version: str
    texts: tuple[str, ...]
    errors: tuple[tuple[int, str], ...]


def parts_of(path: Path, part_bytes: int = PART_BYTES) -> Iterator[PartOfFile]:
    """The parts of a file, by its name: `.parquet`, `.csv`, JSON Lines otherwise.

    A line break within quotes does not end a record of a CSV file. Raises OSError, also for a
    pipe or a device: each part is read for itself, from where it begins.
    """
    kind = path.suffix.casefold()
    if kind == ".parquet":
        yield from _row_groups(path)
        return
    with open_plain(path) as handle:
        records = _records(handle, quotes=kind == ".csv")
        heading, lines = next(records, (b"", 0)) if kind == ".csv" else (b"", 0)
        start = at = len(heading)
        first = line = lines + 1
        for record, lines in records:
            at += len(record)
            line += lines
            if at - start >= part_bytes:
                yield PartOfFile(str(path), first, start, at, heading)
                start, first = at, line
        if at > start or (kind == ".csv" and first == lines + 1):
            yield PartOfFile(str(path), first, start, at, heading)


def _records(handle: BinaryIO, *, quotes: bool) -> Iterator[tuple[bytes, int]]:
    """Each record with how many lines it takes; none after a line that is longer than is taken."""
    record: list[bytes] = []
    size, inside = 0, False
    while line := handle.readline(_SURELY_TOO_LONG):
        record.append(line)
        size += len(line)
        if len(line) == _SURELY_TOO_LONG:
            break
        inside ^= quotes and line.count(b'"') % 2 == 1
        if not inside or size > LONGEST_LINE:
            yield b"".join(record), len(record)
            record, size, inside = [], 0, False
    if record:
        yield b"".join(record), len(record)


def _row_groups(path: Path) -> Iterator[PartOfFile]:
    parquet: Any = importlib.import_module("pyarrow.parquet")
    described = parquet.ParquetFile(path).metadata
    row = 1
    for group in range(described.num_row_groups):
        yield PartOfFile(str(path), row, group=group)
        row += described.row_group(group).num_rows


def lines_in(part: PartOfFile) -> Iterator[BatchLine]:
    """The lines of a part, numbered as in the whole file; bad ones carry their error."""
    if part.group is not None:
        yield from _parquet_lines(part)
        return
    with Path(part.path).open("rb") as handle:
        handle.seek(part.start)
        data = part.heading + handle.read(part.stop - part.start)
    text = io.StringIO(data.decode("utf-8-sig", "replace"), newline="")
    before = part.line - 1 - part.heading.count(b"\n")
    for line in csv_lines(text) if part.heading else json_lines(text):
        yield BatchLine(line.number + before, line.data, line.error)


def _parquet_lines(part: PartOfFile) -> Iterator[BatchLine]:
    parquet: Any = importlib.import_module("pyarrow.parquet")
    with parquet.ParquetFile(part.path) as file:
        rows = file.read_row_group(part.group).to_pylist()
    for number, row in enumerate(rows, part.line):
        yield BatchLine(number, {key: value for key, value in row.items() if value is not None})


def read_part(reader: Reader, part: PartOfFile, template: Request) -> AnswersOfPart:
    """The answers of one part; the same on any machine with the same knowledge."""
    texts, errors = [], []
    for line in lines_in(part):
        data = read_line(reader, line, template)
        texts.append(
            escaped_json(json.dumps(data, ensure_ascii=False, separators=(",", ":"), default=str))
        )
        if "error" in data:
            errors.append((line.number, str(data["error"])))
    return AnswersOfPart(reader.base.version, tuple(texts), tuple(errors))


_here: dict[Callable[[], Reader], Reader] = {}
"""The readers of this worker process, by what opened them."""


def _read_here(opener: Callable[[], Reader], part: PartOfFile, template: Request) -> AnswersOfPart:
    key = _key(opener)
    if key not in _here:
        _here[key] = opener()
    return read_part(_here[key], part, template)


def _key(opener: Callable[[], Reader]) -> Any:
    """Openers that were sent twice are told alike by their function and arguments."""
    return getattr(opener, "func", opener), getattr(opener, "args", ())


def read_distributed(
    path: Path,
    opener: Callable[[], Reader],
    template: Request,
    where: str = "local",
    *,
    workers: int = 2,
    part_bytes: int = PART_BYTES,
) -> Iterator[AnswersOfPart]:
    """The answers of each part of a file, in order, read on a cluster.

    `opener` opens a reader, here and on each worker, and must be picklable. `where` is the
    address of a Dask scheduler, or `local` for a cluster of `workers` processes on this machine.
    Raises DistributedProblem where Dask is missing, the cluster cannot be reached, or a worker
    has other rules; OSError where the file cannot be read.
    """
    version = opener().base.version
    with _client(where, workers) as client:
        most = WAITING_PER_THREAD * max(1, sum(client.nthreads().values()))
        waiting: deque[Any] = deque()
        for part in parts_of(path, part_bytes):
            waiting.append(client.submit(_read_here, opener, part, template, pure=False))
            if len(waiting) >= most:
                yield _checked(waiting.popleft().result(), version)
        while waiting:
            yield _checked(waiting.popleft().result(), version)


def _checked(answers: AnswersOfPart, version: str) -> AnswersOfPart:
    if answers.version != version:
        raise DistributedProblem(
            f"a worker has other rules ({answers.version}) than this machine ({version});"
            " install the same on both"
        )
    return answers


@contextmanager
def _client(where: str, workers: int) -> Iterator[Any]:
    try:
        distributed: Any = importlib.import_module("distributed")
    except ImportError:
        raise DistributedProblem(f"Dask is not installed: {to_install('dask')}") from None
    if where != "local":
        try:
            client = distributed.Client(where, timeout=PATIENCE_SECONDS, set_as_default=False)
        except (OSError, ValueError) as error:
            raise DistributedProblem(f"no scheduler answers at {where}: {error}") from None
        with client:
            yield client
        return
    with (
        distributed.LocalCluster(  # on the loopback alone
            n_workers=workers,
            threads_per_worker=1,
            processes=True,
            host="127.0.0.1",
            dashboard_address="127.0.0.1:0",
        ) as cluster,
        distributed.Client(cluster, set_as_default=False) as client,
    ):
        yield client


def run_distributed(
    path: Path,
    opener: Callable[[], Reader],
    template: Request,
    where: str,
    *,
    write: Callable[[str], None],
    tell: Callable[[int, str], None],
    workers: int = 2,
) -> int:
    """Read a file on a cluster for the command line; how many lines were bad.

    `write` is given each JSON line in order, `tell` the number and error of each bad line.
    Raises like `read_distributed`.
    """
    bad = 0
    for answers in read_distributed(path, opener, template, where, workers=workers):
        for text in answers.texts:
            write(text)
        for line, error in answers.errors:
            tell(line, error)
        bad += len(answers.errors)
    return bad
