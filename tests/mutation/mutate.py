"""Changes the program at random places, one at a time, and counts what the tests notice.

Each change (a mutant) is tried against the tests of its own folder, in a clone that is made for
it. The tool is cosmic-ray (MIT), which is no dependency of markrules: install it in an
environment of its own and run, from a checkout,

    python tests/mutation/mutate.py notes --tool PLACE/bin/cosmic-ray --tests PLACE/bin/python

It prints the share of mutants killed and a line for each that lived. The places are drawn with a
fixed seed, so a second run tries the same ones. Three kinds of places are left out of the draw,
since no change there can change an answer: annotations, which are never evaluated here; `slots`
of a dataclass, which spares memory; `maxsize` of a cache, which spares time. Nothing else is.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

GROUPS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "inference": (
        ("markrules/inference",),
        ("tests/inference/test_readings_table.py", "tests/inference/test_windows.py",
         "tests/inference/test_ranges.py", "tests/inference/test_misleading.py",
         "tests/inference/test_types_and_parts.py", "tests/inference/test_year_curves.py",
         "tests/inference/test_odds.py", "tests/inference/test_memo.py",
         "tests/inference/test_parts_apart.py", "tests/inference/test_references.py",
         "tests/inference/test_marks_of_the_same_letters.py", "tests/inference/test_families.py",
         "tests/inference/test_dates.py", "tests/inference/test_engine.py",
         "tests/inference/test_competing.py", "tests/inference"),
    ),
    "notes": (
        ("markrules/notes",),
        ("tests/notes/test_notes_quantities.py", "tests/notes/test_notes_account_table.py",
         "tests/notes/test_notes_years_beside.py", "tests/notes/test_word_forms.py",
         "tests/notes/test_notes_table.py", "tests/notes/test_notes_right_sense.py",
         "tests/notes/test_notes_remarks.py", "tests/notes/test_notes_parts.py",
         "tests/notes/test_notes_running_prose.py", "tests/notes/test_notes_denials.py",
         "tests/notes/test_notes_glue.py", "tests/notes/test_notes_layout.py",
         "tests/notes/test_notes_contrasts.py", "tests/notes/test_notes_condition.py",
         "tests/notes/test_notes_dates.py", "tests/notes/test_notes_anywhere.py",
         "tests/notes/test_notes_names_in_all_places.py", "tests/notes/test_notes_counts_left.py",
         "tests/notes/test_notes_any_number_before.py",
         "tests/notes/test_not_all_of_a_metal.py", "tests/notes/test_notes_everyday.py",
         "tests/notes/test_notes_as_forms.py", "tests/notes/test_marks_as_written.py",
         "tests/notes/test_notes_corpus.py", "tests/notes/test_notes_names_of_makers.py",
         "tests/notes/test_notes_faults.py", "tests/notes/test_metal_beside.py",
         "tests/notes/test_notes_only_alike.py", "tests/notes/test_notes_edges.py",
         "tests/notes/test_notes_colored_as_gems.py", "tests/notes/test_notes_slips.py",
         "tests/notes/test_notes_of_another_sense.py", "tests/notes/test_unread_marks.py",
         "tests/notes/test_notes_sayings_of_faults.py", "tests/notes/test_halfread.py",
         "tests/notes"),
    ),
    "marks": (
        ("markrules/marks",),
        ("tests/marks/test_marks_table.py", "tests/marks/test_number_places.py",
         "tests/marks/test_hallmarks.py", "tests/marks/test_search_syntax.py",
         "tests/marks/test_cells.py", "tests/marks/test_numbers.py", "tests/marks/test_metal.py",
         "tests/marks/test_search_wear.py", "tests/marks/test_search.py",
         "tests/marks/test_search_index.py", "tests/marks/test_names.py", "tests/marks"),
    ),
    "claims": (
        ("markrules/sheets/claim_finding.py", "markrules/sheets/claim_judging.py",
         "markrules/sheets/claims.py", "markrules/sheets/phrases.py"),
        ("tests/sheets/test_phrases.py", "tests/sheets/test_claim_finding.py",
         "tests/sheets/test_claim_judging.py", "tests/sheets/test_claim_edges.py",
         "tests/sheets/test_sheet_claims.py",
         "tests/sheets/test_sheet_listing.py", "tests/sheets/test_sheet_hostile.py"),
    ),
    "guard": (
        ("markrules/web/guard.py", "markrules/web/access.py", "markrules/web/connections.py"),
        ("tests/web/test_web_guard_parts.py", "tests/web/test_web_access.py",
         "tests/web/test_web_refusing.py", "tests/web/test_web_connections.py"),
    ),
    "catalogue": (
        ("markrules/catalogue",),
        ("tests/catalogue/test_prices.py", "tests/catalogue/test_what_can_be.py",
         "tests/catalogue/test_file.py",
         "tests/catalogue/test_checking.py", "tests/catalogue/test_hostile_catalogue.py",
         "tests/catalogue/test_pictures.py", "tests/catalogue/test_tables.py",
         "tests/catalogue/test_store.py", "tests/catalogue/test_undo_together.py",
         "tests/catalogue/test_undo_every_step.py", "tests/catalogue/test_taking_in.py",
         "tests/catalogue/test_archive.py", "tests/catalogue/test_bounds.py",
         "tests/catalogue/test_importing_own_sheets.py", "tests/catalogue/test_recovery.py",
         "tests/catalogue"),
    ),
}  # fmt: skip
"""What is changed, and the tests that should notice: the nearest files first, then their folder."""

SEED = 20
SECONDS = 900.0
"""After so long a mutant counts as noticed: it hangs, and the tests take a quarter of it."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Draw, try, tell. The exit code is 1 where fewer than `--least` of the mutants were killed."""
    options = _options(arguments)
    modules, tests = GROUPS[options.group]
    if options.nearest:
        tests = tuple(each for each in tests if each.endswith(".py"))
    place = Path(options.place or tempfile.mkdtemp(prefix=f"mutation-{options.group}-"))
    copy = place / "copy"
    if not copy.exists():
        subprocess.run(["git", "clone", "--quiet", str(ROOT), str(copy)], check=True)
    files = sorted({each for name in modules for each in _files(copy, name)})
    _configure(place, copy, files, tests, options.tests)
    tool = [str(options.tool)]
    session = str(place / "session.sqlite")
    if not Path(session).exists():
        _run([*tool, "init", "config.toml", session], place, copy)
        left = draw(Path(session), copy, options.count, options.seed)
        print(f"{options.group}: {left} mutants of {len(files)} files", flush=True)
    _run([*tool, "exec", "config.toml", session], place, copy)
    return _tell(options.group, session, tool, place, options.least)


def _options(arguments: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("group", choices=sorted(GROUPS))
    parser.add_argument("--tool", default="cosmic-ray", help="the command cosmic-ray")
    parser.add_argument("--tests", default=sys.executable, help="the Python that runs the tests")
    parser.add_argument("--count", type=int, default=40, help="how many mutants are tried")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--least", type=float, default=0.85, help="the share that must be killed")
    parser.add_argument("--nearest", action="store_true", help="without the rest of the folder")
    parser.add_argument("--place", help="a folder for the clone and the session; goes on there")
    return parser.parse_args(arguments)


def _files(copy: Path, name: str) -> Iterator[Path]:
    found = copy / name
    yield from found.rglob("*.py") if found.is_dir() else [found] if found.exists() else []


def _configure(
    place: Path, copy: Path, files: Sequence[Path], tests: Sequence[str], python: str
) -> None:
    names = json.dumps([str(each.relative_to(copy)) for each in files])
    command = (
        f"{python} -m pytest -q -x -p no:cacheprovider "
        f"-o addopts='--strict-markers --import-mode=importlib' {' '.join(tests)}"
    )
    (place / "config.toml").write_text(
        "[cosmic-ray]\n"
        f"module-path = {names}\ntimeout = {SECONDS}\nexcluded-modules = []\n"
        f"test-command = {json.dumps(command)}\n"
        '[cosmic-ray.distributor]\nname = "local"\n'
    )


def _run(command: Sequence[str], place: Path, copy: Path) -> None:
    config = [str(place / each) if each == "config.toml" else each for each in command]
    settings = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
    subprocess.run(config, cwd=copy, env=settings, check=True)


def draw(session: Path, copy: Path, count: int, seed: int) -> int:
    """Leave `count` mutants of a session, drawn with `seed`; returns how many are left."""
    with sqlite3.connect(session) as connection:
        found = connection.execute(
            "select job_id, module_path, start_pos_row, start_pos_col from mutation_specs"
            " order by module_path, operator_name, occurrence"
        ).fetchall()
        silent = {path: silent_places(copy / path) for path in {row[1] for row in found}}
        loud = [
            job
            for job, path, line, column in found
            if not any(first <= (line, column) < last for first, last in silent[path])
        ]
        kept = set(random.Random(seed).sample(loud, min(count, len(loud))))
        gone = [(row[0],) for row in found if row[0] not in kept]
        connection.executemany("delete from mutation_specs where job_id = ?", gone)
        connection.executemany("delete from work_items where job_id = ?", gone)
    return len(kept)


SILENT_KEYWORDS = {"dataclass": {"slots"}, "lru_cache": {"maxsize"}}


def silent_places(path: Path) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """Where a change changes nothing: (line, column) of the beginning and behind the end."""
    found: list[ast.expr | None] = []
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            found.append(node.returns)
        if isinstance(node, ast.arg | ast.AnnAssign):
            found.append(node.annotation)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            names = SILENT_KEYWORDS.get(node.func.id, set())
            found += [each.value for each in node.keywords if each.arg in names]
    return [
        ((each.lineno, each.col_offset), (each.end_lineno or 0, each.end_col_offset or 0))
        for each in found
        if each is not None
    ]


def _tell(group: str, session: str, tool: Sequence[str], place: Path, least: float) -> int:
    with sqlite3.connect(session) as connection:
        found = connection.execute(
            "select module_path, start_pos_row, operator_name, test_outcome, diff"
            " from mutation_specs natural join work_results order by 1, 2"
        ).fetchall()
    lived = [row for row in found if str(row[3]).endswith("SURVIVED")]
    share = 1 - len(lived) / len(found) if found else 0.0
    print(f"{group}: {len(found) - len(lived)} of {len(found)} killed ({share:.0%})")
    for path, line, operator, _, diff in lived:
        print(f"  lived: {path}:{line} {operator}")
        changed = [each for each in str(diff).splitlines() if each[:1] in "+-"]
        print("\n".join(f"    {each}" for each in changed if each[:3] not in ("+++", "---")))
    return 0 if share >= least else 1


if __name__ == "__main__":
    sys.exit(main())
