"""Rules of one's own: checked beside those that come with markrules, and put in the common form."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.knowledge.places import cache_folder, personal_rules, shipped_rules
from markrules.knowledge.texts import LARGEST_FILE
from markrules.language.formatter import format_text
from markrules.language.problems import Problem
from markrules.plain_files import read_plain
from markrules.tasks.numbers_checked import check_numbers


@dataclass(frozen=True, slots=True)
class Checked:
    """The knowledge with rules of one's own, and all that is wrong with it."""

    base: KnowledgeBase
    problems: tuple[Problem, ...]

    @property
    def errors(self) -> int:
        """How many of the problems are errors; the others are warnings."""
        return sum(each.severity == "error" for each in self.problems)


@dataclass(frozen=True, slots=True)
class Formatted:
    """A file in the common form: whether that changed it, or what is wrong with it.

    `amiss` tells why it is no text.
    """

    path: Path
    changed: bool = False
    problems: tuple[Problem, ...] = ()
    amiss: str = ""


def checked(folders: Sequence[Path], *, cases: bool = True) -> Checked:
    """The rules that come with markrules and those of these folders, checked together.

    With `cases`, every worked example is read too, where there are no errors.
    """
    base, met = load([shipped_rules(), *folders], cache_folder=None, parsed_in=cache_folder())
    problems = (*met, *check_numbers(base))
    if cases and not any(each.severity == "error" for each in problems):
        from markrules.reading.cases import check_cases

        problems = (*problems, *check_cases(base))
    return Checked(base, tuple(problems))


def formatted(paths: Iterable[Path], *, change: bool) -> tuple[Formatted, ...]:
    """What the common form changes in these files; with `change`, they are written anew.

    A file that cannot be read as rules stays as it is.
    """
    found = []
    for path in paths:
        try:
            text = read_plain(path, LARGEST_FILE).decode("utf-8")
        except UnicodeDecodeError as error:
            found.append(Formatted(path, amiss=f"byte {error.start + 1} is no UTF-8 text"))
            continue
        form, problems = format_text(text, str(path))
        if not problems and change and form != text:
            _replace(path, form)
        found.append(Formatted(path, not problems and form != text, tuple(problems)))
    return tuple(found)


def own_folders(folders: Sequence[Path] = ()) -> tuple[Path, ...]:
    """The folders of a person's own rules that are there: the usual one, and these."""
    usual = personal_rules()
    every = ((usual,) if usual is not None else ()) + tuple(folders)
    return tuple(dict.fromkeys(each for each in every if each.is_dir()))


KEPT = "kept-on-the-page.rules"
"""The file in the person's own folder that takes rules which were tried and are to be kept."""


@dataclass(frozen=True, slots=True)
class KeptText:
    """Rules that were kept: the first line of them, their file, and all of it before and since.

    `before` is None where there was no file.
    """

    head: str
    file: Path
    before: str | None
    since: str


def keep_text(text: str, folder: Path) -> KeptText:
    """Write rules that have no errors behind those that were kept before.

    Raises OSError where it cannot be written, and ValueError where they have errors after all.
    """
    file = folder / KEPT
    before = read_plain(file, LARGEST_FILE).decode("utf-8") if file.is_file() else None
    above = (before if before is not None else _KEPT_HEAD).rstrip()
    form, problems = format_text(f"{above}\n\n{text.strip()}\n", str(file))
    if problems:
        raise ValueError(problems[0].message)
    folder.mkdir(parents=True, exist_ok=True)
    _replace(file, form)
    heads = [line for line in text.splitlines() if line[:1].strip(" \t#")]
    return KeptText(heads[0].strip() if heads else file.name, file, before, form)


def take_back(kept: KeptText) -> bool:
    """Put the file back as it was before these rules were kept; False, and nothing done, where it
    is no longer as it was left.
    """
    try:
        if read_plain(kept.file, LARGEST_FILE).decode("utf-8", "replace") != kept.since:
            return False
        if kept.before is None:
            kept.file.unlink()
        else:
            _replace(kept.file, kept.before)
    except OSError:
        return False
    return True


_KEPT_HEAD = "# Rules of my own, tried and kept on the page. Each can be corrected here.\n"


def rule_files(folders: Iterable[Path]) -> tuple[Path, ...]:
    """The files of rules in these folders, in order."""
    return tuple(file for folder in folders for file in sorted(folder.rglob("*.rules")))


def _replace(path: Path, text: str) -> None:
    """Write beside the file and put it in its place, so that a crash loses nothing."""
    beside = path.with_name(path.name + ".new")
    beside.write_text(text, encoding="utf-8")
    beside.replace(path)
