"""`markrules read --batch`: a file of pieces, read on one core or many, with progress."""

from __future__ import annotations

import datetime
import functools
import itertools
import json
import sys
from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Protocol

import click

from markrules.cli.common import FileProblem, open_knowledge, open_reader, own_marks
from markrules.language.escaping import escaped_json
from markrules.reading.batch import read_line
from markrules.reading.file_lines import BatchLine, lines_of
from markrules.reading.processes import processes
from markrules.reading.reader import Reader, Request
from markrules.telling.words import printable

_ENCODER = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), check_circular=False)

CHUNK = 64
"""Lines handed to a process at once: enough to outweigh the cost of handing over."""


class Progress(Protocol):
    """Told how many lines are done."""

    def __call__(self, lines: int, /) -> None:
        """Note that so many more lines are done."""


def run_batch(path: Path, template: Request, rule_folders: tuple[Path, ...], jobs: int) -> None:
    """Read every line of the file and write one JSON line for each, in the same order.

    Ends with exit code 1 where any line was bad; each is told on standard error.
    """
    bad = 0
    with _progress(path) as progress:
        for texts in _readings(path, template, rule_folders, jobs):
            for number, error, _ in texts:
                if error:
                    bad += 1
                    click.echo(printable(f"{path}:{number}: {error}"), err=True)
            click.echo("\n".join(text for _, _, text in texts))
            progress(len(texts))
    if bad:
        raise SystemExit(1)


def run_on_cluster(
    path: Path, template: Request, rule_folders: tuple[Path, ...], cluster: str, jobs: int
) -> None:
    """Like `run_batch`, on a Dask cluster at that address, or `local` with so many workers.

    Also reads Parquet. Ends with exit code 3 where the cluster or the file cannot be used.
    """
    from markrules.reading.distributed import DistributedProblem, run_distributed

    open_knowledge(rule_folders)
    try:
        bad = run_distributed(
            path,
            functools.partial(open_reader, rule_folders),
            template,
            cluster,
            write=click.echo,
            tell=lambda line, error: click.echo(printable(f"{path}:{line}: {error}"), err=True),
            workers=max(jobs, 1),
        )
    except DistributedProblem as problem:
        raise FileProblem(str(problem)) from None
    if bad:
        raise SystemExit(1)


Answer = tuple[int, str, str]
"""Line number, what is wrong with the line or the empty text, and the JSON line."""


def _readings(
    path: Path, template: Request, rule_folders: tuple[Path, ...], jobs: int
) -> Iterator[list[Answer]]:
    lines = lines_of(path)
    chunks = iter(lambda: list(itertools.islice(lines, CHUNK)), [])
    if jobs == 1:
        reader = open_reader(rule_folders)
        for chunk in chunks:
            yield _answers(reader, chunk, template)
        return
    open_knowledge(rule_folders)  # so that problems are told once, and the cache is warm
    with processes(jobs, _open, rule_folders) as pool:
        waiting: list[Future[list[Answer]]] = []
        for chunk in chunks:
            waiting.append(pool.submit(_answers_here, chunk, template))
            if len(waiting) >= 4 * jobs:
                yield waiting.pop(0).result()
        for future in waiting:
            yield future.result()


def _answers(reader: Reader, chunk: list[BatchLine], template: Request) -> list[Answer]:
    answers = []
    for line in chunk:
        data = read_line(reader, line, template)
        text = escaped_json(_ENCODER.encode(data))
        answers.append((line.number, str(data.get("error", "")), text))
    return answers


_here: dict[str, Reader] = {}
"""The reader of this worker process; empty in the parent."""


def _open(rule_folders: tuple[Path, ...]) -> None:
    base = open_knowledge(rule_folders)
    _here["reader"] = Reader(base, datetime.date.today().year, own_marks=own_marks())


def _answers_here(chunk: list[BatchLine], template: Request) -> list[Answer]:
    return _answers(_here["reader"], chunk, template)


def _untold(_: int) -> None:
    """Nobody watches."""


@contextmanager
def _progress(path: Path) -> Iterator[Progress]:
    """A bar on standard error when that is a terminal and the output is not; else nothing.

    Nor for a pipe: its lines can be read only once, and not to count them.
    """
    if not sys.stderr.isatty() or sys.stdout.isatty() or not path.is_file():
        yield _untold
        return
    from rich.console import Console
    from rich.progress import Progress as Bar

    with path.open("rb") as handle:
        total = sum(1 for _ in handle)
    with Bar(console=Console(stderr=True), transient=True) as bar:
        task: Any = bar.add_task(f"reading {path.name}", total=total)
        yield lambda lines: bar.advance(task, lines)
