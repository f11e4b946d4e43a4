"""Reading the pieces of a catalogue, on one core or all, and keeping the readings."""

from __future__ import annotations

import json
import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from dataclasses import replace
from itertools import islice
from multiprocessing.connection import wait

from markrules.appraisal.box import Read
from markrules.catalogue.readings import NewReading, PieceEvidence
from markrules.catalogue.store import Catalogue
from markrules.inference.reading import Reading
from markrules.reading.processes import processes
from markrules.reading.reader import Reader, Request
from markrules.reading.reading_data import reading_data

CHUNK = 64
"""Pieces handed to a process at once: enough to outweigh the cost of handing over."""

STORED_AT_ONCE = 512
"""Readings kept in one transaction: what is read is on the disk within seconds."""

WORTH_PROCESSES = 400
"""Fewer pieces than this are read sooner than further processes start."""

_ENCODER = json.JSONEncoder(ensure_ascii=False, check_circular=False, separators=(",", ":"))

READINGS_KEPT = 1500
"""Readings remembered by a program that runs on: those of a large box."""

NEXT_LOOKS = 3
"""Looks proposed for each piece. Finding them takes most of the time of a reading."""


def request_for(evidence: PieceEvidence, next_looks: int = NEXT_LOOKS) -> Request:
    """The request that reads what stands for a piece."""
    return Request(observations=evidence.observations, said=evidence.note, next_looks=next_looks)


def read_evidence(reader: Reader, evidence: PieceEvidence, next_looks: int = NEXT_LOOKS) -> Reading:
    """The reading of what stands for a piece, with what its note said that no rule knows."""
    reading = reader.read(request_for(evidence, next_looks))
    return replace(reading, not_understood=evidence.not_understood)


class ReadPieces:
    """Reads pieces by what stands for them, one at a time, and remembers the latest.

    One object serves all that a program does, from any thread. What is remembered holds only
    for the reader's knowledge.
    """

    def __init__(self, reader: Reader) -> None:
        """Nothing is read yet."""
        self.reader = reader
        self.lock = threading.RLock()
        self._kept: dict[tuple[str, str], tuple[int, Read]] = {}

    def read(self, evidence: PieceEvidence, next_looks: int = NEXT_LOOKS) -> Read:
        """The reading of this evidence and its marks of metal, with so many looks or more."""
        key = evidence.fingerprint, evidence.note
        with self.lock:
            looks, found = self._kept.pop(key, (0, None))
            if found is None or looks < next_looks:
                reading = read_evidence(self.reader, evidence, next_looks)
                looks, found = next_looks, Read(reading, self.reader.metals(reading.observations))
            self._kept[key] = looks, found
            while len(self._kept) > READINGS_KEPT:
                del self._kept[next(iter(self._kept))]
            return found


def new_reading(
    reader: Reader, evidence: PieceEvidence, next_looks: int = NEXT_LOOKS
) -> NewReading:
    """The reading of what stands for a piece, ready to be stored. Pure."""
    reading = read_evidence(reader, evidence, next_looks)
    known = [each for each in reading.makers if each.maker]
    best = known[0] if known else None
    data = _ENCODER.encode(reading_data(reading))
    return NewReading(
        evidence=evidence,
        knowledge_version=reading.knowledge_version,
        first_year=reading.date.span.first,
        last_year=reading.date.span.last,
        maker=best.maker if best else "",
        maker_probability=best.probability if best else 0.0,
        gain_bits=reading.next[0].gain_bits if reading.next else 0.0,
        data=data,
        piece_type=reading.piece_type,
        faults=tuple(each.fault for each in reading.faults),
    )


def read_pieces(
    catalogue: Catalogue,
    pieces: Sequence[int],
    open_reader: Callable[[], Reader],
    *,
    jobs: int = 1,
    next_looks: int = NEXT_LOOKS,
    done: Callable[[int], None] | None = None,
) -> int:
    """Read pieces by row number and keep the readings; how many were read.

    With `next_looks` 0 the next looks are left out, and readings take a third of the time.
    `open_reader` is called in each process, so it must be picklable where `jobs` is above 1.
    `done` is told how many more are kept, each time some are. What is kept stays kept when the
    run is broken off. Raises FileTrouble where the file cannot be written.
    """
    chunks = (pieces[i : i + CHUNK] for i in range(0, len(pieces), CHUNK))
    evidence = (catalogue.readings.evidence_for(chunk) for chunk in chunks)
    if jobs > 1 and len(pieces) >= WORTH_PROCESSES:
        read = _on_many(evidence, open_reader, jobs, next_looks)
    else:
        read = _on_one(evidence, open_reader, next_looks)
    count = 0
    while batch := list(islice(read, STORED_AT_ONCE)):
        count += catalogue.readings.store(batch)
        if done is not None:
            done(len(batch))
    return count


def _on_one(
    evidence: Iterator[list[PieceEvidence]], open_reader: Callable[[], Reader], next_looks: int
) -> Iterator[NewReading]:
    reader = open_reader()
    for chunk in evidence:
        yield from (new_reading(reader, each, next_looks) for each in chunk)


def _on_many(
    evidence: Iterator[list[PieceEvidence]],
    open_reader: Callable[[], Reader],
    jobs: int,
    next_looks: int,
) -> Iterator[NewReading]:
    """Readings in order; new processes are started afresh, so that they share no open file."""
    with processes(jobs, _open, open_reader) as pool:
        waiting: list[Future[list[NewReading]]] = []
        for chunk in evidence:
            waiting.append(pool.submit(_read_here, chunk, next_looks))
            if len(waiting) >= 4 * jobs:
                yield from waiting.pop(0).result()
        for future in waiting:
            yield from future.result()


_here: dict[str, Reader] = {}
"""The reader of this worker process; empty in the parent."""


def _open(open_reader: Callable[[], Reader]) -> None:
    _leave_with_parent()
    _here["reader"] = open_reader()


def _leave_with_parent() -> None:
    """End this process when its parent is gone, killed too: nobody would take its answers."""
    parent = multiprocessing.parent_process()
    if parent is None:
        return

    def watch() -> None:
        wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def _read_here(chunk: list[PieceEvidence], next_looks: int) -> list[NewReading]:
    return [new_reading(_here["reader"], each, next_looks) for each in chunk]
