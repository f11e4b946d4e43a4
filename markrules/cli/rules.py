"""`markrules rules`: check, format, show and list the knowledge."""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from markrules.cli.common import (
    FileProblem,
    json_option,
    no_folder,
    open_knowledge,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.cli.groups import WholeSummaries
from markrules.knowledge.base import KnowledgeBase
from markrules.language.kinds import KINDS as ENTRY_KINDS
from markrules.named_path import NamedPath
from markrules.plain_files import read_plain
from markrules.telling.words import printable

KINDS = tuple(kind.field for kind in ENTRY_KINDS.values())


_APART = {
    "add-maker": ("markrules.cli.own_makers", "add_command"),
    "audit": ("markrules.cli.audit", "command"),
    "book": ("markrules.cli.book", "command"),
    "editor": ("markrules.cli.editor", "command"),
    "take-out-maker": ("markrules.cli.own_makers", "take_out_command"),
}
"""Commands in modules of their own, imported when they are called."""


class _Group(WholeSummaries):
    def list_commands(self, ctx: click.Context) -> list[str]:
        return [*super().list_commands(ctx), *_APART]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _APART:
            return super().get_command(ctx, cmd_name)
        module, name = _APART[cmd_name]
        apart: click.Command = getattr(importlib.import_module(module), name)
        return apart


@click.group(cls=_Group)
def command() -> None:
    """Check, format, show, list, audit and print the knowledge in rules/."""


@command.command()
@click.argument("folders", nargs=-1, type=NamedPath(path_type=Path))
@click.option("--strict", is_flag=True, help="Warnings count as errors.")
@click.option("--no-cases", is_flag=True, help="Leave out the worked examples.")
@json_option
@rules_options
@told_plainly
def check(
    folders: tuple[Path, ...],
    strict: bool,
    no_cases: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
) -> None:
    """Check every rule and run every worked example.

    With FOLDERS, those are checked as an addition to the rules that come with markrules.
    Exit code 1 when there are errors.

    \b
    markrules rules check
    markrules rules check ~/my-rules
    """
    from markrules.language.messages import show as tell
    from markrules.tasks.own_rules import checked

    extra = [*folders, *rule_folders]
    for folder in extra:
        if not folder.is_dir():
            raise FileProblem(no_folder(folder))
    found = checked(extra, cases=not no_cases)
    if as_json:
        write_json([_problem(each) for each in found.problems], "problems")
    else:
        for each in found.problems:
            click.echo(tell(each))
    warnings = len(found.problems) - found.errors
    click.echo(f"{_count(found.base)}; {found.errors} errors, {warnings} warnings", err=as_json)
    if found.errors or (strict and warnings):
        raise SystemExit(1)


@command.command("format")
@click.argument("paths", nargs=-1, required=True, type=NamedPath(path_type=Path))
@click.option("--check", "only_check", is_flag=True, help="Change nothing; exit 1 if it would.")
@told_plainly
def format_command(paths: tuple[Path, ...], only_check: bool) -> None:
    """Put rule files into the one common form. Comments are kept.

    \b
    markrules rules format my-rules/
    """
    from markrules.language.messages import show as tell
    from markrules.tasks.own_rules import formatted

    changed = broken = 0
    for each in formatted(_rule_files(paths), change=not only_check):
        broken += bool(each.problems or each.amiss)
        changed += each.changed
        if each.amiss:
            click.echo(printable(f"{each.path}: {each.amiss}"), err=True)
        for problem in each.problems:
            click.echo(tell(problem), err=True)
        if each.changed:
            click.echo(printable(f"{'would change' if only_check else 'changed'} {each.path}"))
    click.echo(f"{changed} changed, {broken} with errors", err=True)
    if broken or (only_check and changed):
        raise SystemExit(1)


@command.command("show")
@click.argument("name")
@rules_options
@told_plainly
def show_command(name: str, rule_folders: tuple[Path, ...]) -> None:
    """Show the entry of that NAME as it is written, with its place.

    \b
    markrules rules show rollover-catch
    """
    base = open_knowledge(rule_folders)
    found = [
        (kind, entries[name])
        for kind, entries in _kinds(base)
        if name in entries and entries[name].span.file
    ]
    if not found:
        from markrules.reading.observing import nearest

        near = nearest(name, {each for _, entries in _kinds(base) for each in entries})
        hint = f'; nearest: "{near}"' if near else ""
        raise click.UsageError(f'no entry is called "{name}"{hint}')
    for _, entry in found:
        span = entry.span
        click.echo(printable(f"# {span.file}:{span.line}"))
        click.echo(_text_of(Path(span.file), span.line))


@command.command("list")
@click.argument("kind", required=False, type=click.Choice(KINDS))
@click.option("--search", default="", help="Only names that contain this.")
@json_option
@rules_options
@told_plainly
def list_command(
    kind: str | None, search: str, as_json: bool, rule_folders: tuple[Path, ...]
) -> None:
    """Count the entries of each kind, or list those of one KIND.

    \b
    markrules rules list
    markrules rules list clues --search catch
    """
    base = open_knowledge(rule_folders)
    if kind is None:
        counts = {name: len(entries) for name, entries in _kinds(base)}
        if as_json:
            write_json(counts, "rules-counted")
        else:
            for name, number in counts.items():
                click.echo(f"{number:>6}  {name.replace('_', ' ')}")
        return
    names = [name for name in dict(_kinds(base))[kind] if search.casefold() in name]
    if as_json:
        write_json({"kind": kind, "names": names}, "rules-listed")
    else:
        for name in names:
            click.echo(name)


def _kinds(base: KnowledgeBase) -> Iterator[tuple[str, Any]]:
    for kind in KINDS:
        entries = getattr(base, kind, None)
        if entries is not None:
            yield kind, entries


def _count(base: KnowledgeBase) -> str:
    return ", ".join(
        f"{len(entries)} {kind}"
        for kind, entries in _kinds(base)
        if kind
        in (
            "clues",
            "types",
            "misleading",
            "signs",
            "faults",
            "cautions",
            "makers",
            "features",
            "cases",
        )
    )


def _problem(problem: Any) -> dict[str, Any]:
    return {
        "code": problem.code,
        "severity": problem.severity,
        "message": problem.message,
        "file": problem.place.file,
        "line": problem.place.line,
        "column": problem.place.column,
        "nearest": problem.nearest,
    }


def _rule_files(paths: tuple[Path, ...]) -> Iterator[Path]:
    for path in paths:
        if path.is_dir():
            yield from sorted(path.rglob("*.rules"))
        elif path.exists():
            yield path
        else:
            raise FileProblem(f"{path}: there is no such file or folder")


def _text_of(path: Path, line: int) -> str:
    """The entry that starts at this line: up to the next line at the left margin."""
    from markrules.knowledge.texts import LARGEST_FILE

    lines = read_plain(path, LARGEST_FILE).decode("utf-8").splitlines()
    end = line
    while end < len(lines) and (not lines[end].strip() or lines[end][0] in " \t"):
        end += 1
    return "\n".join(lines[line - 1 : end]).rstrip()
