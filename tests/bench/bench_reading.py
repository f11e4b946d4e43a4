"""Times whole readings: note in, reading out; a batch; and the command from a cold start.

Run `python tests/bench/bench_reading.py`. Each row prints ours beside a general-purpose peer
measured in the same run: for the batch, scikit-style text matching by one compiled regular
expression over the same words; for the cold start, a Python process that only imports what a
command of this kind loads. All is told in processor time, cold starts as the least of fifteen that
take turns with the peer: the clock tells more of what else the machine does.
"""

from __future__ import annotations

import csv
import json
import os
import random
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from markrules.knowledge.loading import load
from markrules.knowledge.places import cache_folder, shipped_rules
from markrules.reading.reader import Reader, Request
from markrules.tasks.demo import demo_folder

TWELVE = (
    "brooch, rollover catch, tube hinge, prong set, AB stones, open back, rhodium plated,"
    " white metal, marked AUSTRIA, some plating bubbling, 2 stones missing, 5.5 cm, 23 g"
)


def main() -> None:
    """Print the table."""
    base, _ = load([shipped_rules()], cache_folder=cache_folder())
    reader = Reader(base, last_year=2026)
    notes = _notes()
    row("what", "ours", "peer", "the peer")
    row(*_one_reading(reader, 0, "a note of 13 parts, no next look"))
    row(*_one_reading(reader, 5, "a note of 13 parts, with next look"))
    rate, batch = _batch(reader, notes)
    row(*batch)
    row(*_cold(["read", "brooch, rollover catch, prong set"], "markrules read, cold"))
    row(*_cold(["read", "brooch, mark ?RIF..."], "markrules read with a mark, cold"))
    row(*_cold(["read", EXAMPLE], "markrules read, README's note, cold"))
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "makers.rules").write_text(_invented_makers(), encoding="utf-8")
        row(*_cold(["read", EXAMPLE, "--rules", folder], f"the same, {MORE_MAKERS} more makers"))
    row(*_cold(["--version"], "markrules --version, cold"))
    row("memory of a reading process", f"{_memory_mb():.0f} MB", "", "")
    row(*_command_batch(notes, 1, rate))
    row(*_command_batch(notes, 2, rate))


def row(what: str, ours: str, peer: str, which: str) -> None:
    """Print one line of the table."""
    print(f"{what:<36} {ours:>16} {peer:>16}  {which}", flush=True)


def _notes() -> list[str]:
    with (demo_folder() / "box.csv").open(encoding="utf-8") as handle:
        return [each["note"] for each in csv.DictReader(handle)]


def _one_reading(reader: Reader, looks: int, what: str) -> tuple[str, str, str, str]:
    request = Request(TWELVE, next_looks=looks)
    reader.read(request)
    ours = _median_ms(lambda: reader.read(request), 200)
    return what, f"{ours:.2f} ms", "", "see bench_inference for the engine beside numpy"


def _batch(reader: Reader, notes: list[str]) -> tuple[float, tuple[str, str, str, str]]:
    """Readings a second of processor time, and the line of the table."""
    many = [Request(note, next_looks=0) for note in notes * 30]
    for request in many[: len(notes)]:
        reader.read(request)
    started = time.process_time()
    for request in many:
        reader.read(request)
    ours = len(many) / (time.process_time() - started)
    words = sorted(
        {word for feature in reader.base.features.values() for value in feature.values
         for word in (value.name.replace("-", " "), *value.also)},
        key=len, reverse=True,
    )  # fmt: skip
    pattern = re.compile("|".join(map(re.escape, words)), re.IGNORECASE)
    started = time.process_time()
    for note in notes:
        pattern.findall(note)
    peer = len(notes) / (time.process_time() - started)
    told = f"{ours:.0f}", f"{peer:.0f}", "re.findall of the words"
    return ours, ("readings a second of one core", *told)


PEER = "import click, rich, sqlite_utils"
"""What any command of this kind loads: a cold reading is measured in times of it."""

WITHOUT = "import sys; sys.modules.update(numpy=None, pandas=None); "
"""sqlite_utils imports these where the tests have them installed; who only reads has not."""

MAIN = "from markrules.cli import main; main()"
"""What the installed command runs."""

EXAMPLE = "brooch, safety catch, gilt sterling, jelly belly bird, mark ?RIF..."
"""The note of the README."""

COLD_RUNS = 15
MORE_MAKERS = 900


def _invented_makers() -> str:
    """Rules with that many invented makers, each with a mark of letters drawn by a fixed seed."""
    drawn = random.Random(11)
    makers = []
    for number in range(MORE_MAKERS):
        letters = "".join(drawn.choices("AEIOULNRSTBCDFGMPV", k=drawn.randint(4, 9)))
        first = drawn.randint(1880, 1970)
        makers.append(
            f'maker bench-{number}\n    title "{letters.title()} (invented)"\n'
            f"    works mostly {first} to {first + 20}\n    cite  from-memory\n"
            f'    mark bench-{number}\n        text "{letters}"\n        cite from-memory\n'
        )
    return "\n".join(makers)


def _cold(arguments: list[str], what: str) -> tuple[str, str, str, str]:
    command = [sys.executable, "-c", MAIN, *arguments]
    peer_command = [sys.executable, "-c", WITHOUT + PEER]
    _cpu_ms(command), _cpu_ms(peer_command)  # the caches, and what Python keeps of its sources
    turns = [(_cpu_ms(command), _cpu_ms(peer_command)) for _ in range(COLD_RUNS)]
    ours, peer = (min(each) for each in zip(*turns, strict=True))
    return what, f"{ours:.0f} ms", f"{peer:.0f} ms", f"{PEER}: {ours / peer:.2f} times"


def _command_batch(notes: list[str], jobs: int, in_process: float) -> tuple[str, str, str, str]:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "many.jsonl"
        lines = [json.dumps({"id": at, "note": note}) for at, note in enumerate(notes * 100)]
        file.write_text("\n".join(lines), encoding="utf-8")
        command = [sys.executable, "-c", MAIN, "read", "--batch", str(file), "--jobs", str(jobs)]
        rate = len(lines) / _cpu_ms(command) * 1000
    which = f"with start and JSON: {rate / in_process:.2f} of the rate in process"
    return f"read --batch --jobs {jobs}, a core's second", f"{rate:.0f}", "", which


def _median_ms(call: Callable[[], object], times: int) -> float:
    found = []
    for _ in range(times):
        started = time.process_time()
        call()
        found.append(time.process_time() - started)
    return statistics.median(found) * 1000


def _cpu_ms(command: list[str]) -> float:
    """Processor time that a process takes, in its own code and in the system's for it."""
    kept = {name: each for name, each in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, capture_output=True, env=kept)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    took = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return took * 1000


def _memory_mb() -> float:
    """The most memory that a process for one reading holds. The kernel tells it of the process by
    itself; `getrusage` would tell of the one that started it.
    """
    script = (
        "import sys; from markrules.cli import main\n"
        "try:\n    main(['read', 'brooch, rollover catch, mark ?RIF...'])\n"
        "except SystemExit:\n    pass\n"
        "told = [line for line in open('/proc/self/status') if line.startswith('VmHWM')]\n"
        "print(told[0], file=sys.stderr)"
    )
    command = [sys.executable, "-c", script]
    for _ in range(2):  # the first may still work out what the second finds in the cache
        done = subprocess.run(command, check=True, capture_output=True, text=True)
    return int(done.stderr.split()[-2]) / 1024


if __name__ == "__main__":
    main()
