"""On a Dask cluster of two workers the answers are those of one process, in the same order."""

from __future__ import annotations

import csv
import functools
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from lazily import Lazily
from samples import FULL, samples
from shipped_base import shipped_reader
from together import every_case

from markrules.cli.common import open_reader
from markrules.reading.batch import read_line
from markrules.reading.distributed import (
    AnswersOfPart,
    DistributedProblem,
    lines_in,
    parts_of,
    read_distributed,
    read_part,
)
from markrules.reading.file_lines import lines_of
from markrules.reading.reader import Reader, Request
from markrules.tasks.demo import demo_folder

parquet, pyarrow, distributed = map(Lazily, ("pyarrow.parquet", "pyarrow", "distributed"))

TEMPLATE = Request(next_looks=3)
DEMO_ROWS = samples(36)
ROWS = 3 * DEMO_ROWS
OPENER = functools.partial(open_reader, ())


@pytest.fixture(scope="module")
def reader() -> Reader:
    return shipped_reader()


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The demo box a few times over, with bad lines and line breaks in quotes, in three forms."""
    folder = tmp_path_factory.mktemp("batch")
    demo = [line.data for line in lines_of(demo_folder() / "box.csv") if line.data is not None]
    demo = demo[:DEMO_ROWS]
    rows = [
        {"note": f"{row['note']}, {n + 1} cm\nsecond line", "piece_type": ""}
        for n in range(3)
        for row in demo
    ]
    with (folder / "b.csv").open("w", newline="", encoding="utf-8") as out:
        writer = csv.DictWriter(out, ["note", "piece_type"])
        writer.writeheader()
        writer.writerows(rows)
    with (folder / "b.jsonl").open("w", encoding="utf-8") as lines:
        for number, row in enumerate(rows):
            lines.write(json.dumps({**row, "marks": ["AUSTRIA"]}) + "\n")
            if number % 10 == 3:
                lines.write('{"note": 5}\n{broken\n\n')
    table = pyarrow.Table.from_pylist([{"id": n, **row} for n, row in enumerate(rows)])
    parquet.write_table(table, folder / "b.parquet", row_group_size=17)
    return {kind: folder / f"b.{kind}" for kind in ("csv", "jsonl", "parquet")}


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    """The address of two workers that are there already, spoken to over TCP.

    They are threads of this process; those of a cluster that is made for a file are processes.
    """
    with distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=False,
        protocol="tcp",
        host="127.0.0.1",
        dashboard_address="127.0.0.1:0",
    ) as running:
        yield str(running.scheduler_address)


def alone(reader: Reader, path: Path) -> list[str]:
    """The single-process batch: each line of the file through `read_line`."""
    return [
        json.dumps(read_line(reader, line, TEMPLATE), ensure_ascii=False, separators=(",", ":"))
        for line in lines_of(path)
    ]


@every_case("kind", ["csv", "jsonl"])
@every_case("part_bytes", [1, 700, 10**9])
def test_parts_hold_the_lines_of_the_file_with_their_numbers(
    files: dict[str, Path], kind: str, part_bytes: int
) -> None:
    found = [line for part in parts_of(files[kind], part_bytes) for line in lines_in(part)]
    assert found == list(lines_of(files[kind]))


def test_row_groups_hold_the_rows_of_a_parquet_file(files: dict[str, Path]) -> None:
    parts = list(parts_of(files["parquet"]))
    assert len(parts) == -(-ROWS // 17)
    found = [line for part in parts for line in lines_in(part)]
    assert [line.number for line in found] == list(range(1, ROWS + 1))
    wanted = parquet.read_table(files["parquet"]).to_pylist()
    assert [line.data for line in found] == wanted


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["csv", "jsonl", "parquet"] if FULL else ["csv"])
def test_two_workers_answer_like_one_process(
    files: dict[str, Path], reader: Reader, cluster: str, kind: str
) -> None:
    """On a cluster that is made for it, and on one that is there."""
    where = "local" if kind == "csv" else cluster
    found = list(read_distributed(files[kind], OPENER, TEMPLATE, where, part_bytes=10 * ROWS))
    assert len(found) > 4
    texts = [text for answers in found for text in answers.texts]
    if kind == "parquet":
        parts = parts_of(files[kind])
        assert texts == [text for each in parts for text in read_part(reader, each, TEMPLATE).texts]
        assert [json.loads(text)["id"] for text in texts] == list(range(ROWS))
        return
    assert texts == alone(reader, files[kind])
    errors = [number for answers in found for number, _ in answers.errors]
    wanted = [n for n, text in enumerate(texts) if "error" in json.loads(text)]
    assert len(errors) == len(wanted) == (2 * len(range(3, ROWS, 10)) if kind == "jsonl" else 0)


def test_a_worker_with_other_rules_ends_the_run() -> None:
    from markrules.reading.distributed import _checked

    with pytest.raises(DistributedProblem, match="other rules"):
        _checked(AnswersOfPart("0.1+aaa", (), ()), "0.1+bbb")


@pytest.mark.slow
def test_an_address_where_nobody_answers_is_told(
    files: dict[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("markrules.reading.distributed.PATIENCE_SECONDS", 1)
    found = read_distributed(files["csv"], OPENER, TEMPLATE, "tcp://127.0.0.1:9")
    with pytest.raises(DistributedProblem, match="no scheduler answers"):
        list(found)


def test_an_unbalanced_quote_does_not_swallow_the_memory(tmp_path: Path) -> None:
    path = tmp_path / "b.csv"
    with path.open("w") as out:
        out.write('note\n"unbalanced\n')
        for _ in range(30_000):
            out.write("brooch, a leaf, and a long enough line of words to fill a megabyte soon\n")
    sizes = [part.stop - part.start for part in parts_of(path, 1)]
    assert max(sizes) < 1_100_000
    assert sum(sizes) == path.stat().st_size - 5
