"""Rule folders to a knowledge base: read, checked, and kept in a cache for the next start."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from markrules import __version__
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.places import rules_version
from markrules.knowledge.seen_files import SeenFiles
from markrules.knowledge.texts import RuleText, decoded, fingerprint, read_texts
from markrules.language.problems import Problem
from markrules.language.tree import Book, Clue

if TYPE_CHECKING:
    from markrules.knowledge.kept_books import Parse, Parsed

MOST_CLUES = 5_000
"""Three times what comes with markrules. Clues of one value are weighed against each other, each
with each: rules from somebody else could make a reading take for ever."""
FILES_KEPT = 400
"""Parsed files that stay at hand: some 150 come with markrules, and several stages of one's own."""


def load(
    folders: Sequence[Path],
    *,
    cache_folder: Path | None,
    parsed_in: Path | None = None,
    without: frozenset[str] = frozenset(),
) -> tuple[KnowledgeBase, tuple[Problem, ...]]:
    """The knowledge of all `*.rules` files below the folders, and the problems in them.

    The first folder holds the shipped rules, later ones the user's additions: all are
    checked together. Below a folder's `drafts/`, problems are warnings and entries are not
    used. Rules without errors are kept compiled in `cache_folder` (None: not kept), under a
    key of all they depend on; the base is the same with and without. Where nothing is to be kept
    compiled, as all is to be checked anew, files that were parsed before are taken from the cache
    folder `parsed_in`, each by its text, and those that were not are kept there. `without` names
    files that are passed over (by the whole path, as problems name them).
    """
    from markrules.knowledge.cache import Cache

    roots = tuple(str(folder) for folder in folders)
    if cache_folder is not None:
        seen_before = SeenFiles(cache_folder)
        texts, unreadable = _texts(folders, without, seen_before)
        version = _version(folders, texts)
        if not unreadable:
            kept = Cache(cache_folder, texts).read(
                version, roots, lambda: _built(_texts(folders, without)[0], version, roots, None)[0]
            )
            seen_before.keep()
            if kept is not None:
                return kept
    # Read in full this time: files that are as they were when last seen came without their text.
    texts, unreadable = _texts(folders, without)
    version = _version(folders, texts)
    cache = Cache(cache_folder, texts) if cache_folder is not None and not unreadable else None
    base, problems = _built(texts, version, roots, cache_folder or parsed_in)
    problems = (*unreadable, *problems)
    if cache is not None and not any(problem.severity == "error" for problem in problems):
        cache.write(base, problems)
        base = base.keeping(cache.workings())
    return base, problems


def _texts(
    folders: Sequence[Path], without: frozenset[str], seen_before: SeenFiles | None = None
) -> tuple[list[RuleText], list[Problem]]:
    texts, unreadable = read_texts(folders, seen_before)
    if without:
        texts = [each for each in texts if each.file not in without]
        unreadable = [each for each in unreadable if each.place.file not in without]
    return texts, unreadable


def _version(folders: Sequence[Path], texts: Sequence[RuleText]) -> str:
    """The program's version, then that of the shipped rules and a hash of all that are in use.

    Written as a local version is (PEP 440): `0.1.0+2026.11.3f2a91c04b7d`.
    """
    shipped = rules_version(folders[0]) if folders else ""
    return f"{__version__}+{shipped}{'.' if shipped else ''}{fingerprint(_in_use(texts))[:12]}"


def _in_use(texts: Sequence[RuleText]) -> list[RuleText]:
    return [text for text in texts if not text.is_draft]


def _built(
    texts: Sequence[RuleText], version: str, roots: tuple[str, ...], cache_folder: Path | None
) -> tuple[KnowledgeBase, tuple[Problem, ...]]:
    """Parse, check and assemble; where a cache folder is given, files that were parsed before are
    taken from it.
    """
    from markrules.knowledge.assembling import assembled
    from markrules.language.checker import check, in_order
    from markrules.language.enlarging import enlarged
    from markrules.language.slots import with_slots_filled
    from markrules.language.withdrawing import without_withdrawn

    with _reading(cache_folder) as read:
        books, problems = _parsed(_in_use(texts), read)
        drafts, draft_problems = _parsed([text for text in texts if text.is_draft], read)
    too_many = _too_many_clues(books)
    if too_many is not None:  # neither checked nor used: each would take its time too
        return assembled([], version, roots), (too_many,)
    books, amiss = without_withdrawn(by_folder(books, roots))
    problems += amiss
    plain = books
    books, amiss = enlarged(plain)
    problems += amiss
    books = with_slots_filled(books)
    problems += check(books, draft_books=drafts)
    if drafts:
        draft_files = {book.file for book in drafts}
        every, amiss = enlarged([*plain, *drafts])
        met = (each for each in (*amiss, *check(every)) if each.place.file in draft_files)
        problems += [replace(each, severity="warning") for each in (*draft_problems, *met)]
    return assembled(books, version, roots), tuple(sorted(problems, key=in_order))


def _too_many_clues(books: Sequence[Book]) -> Problem | None:
    clues = [entry for book in books for entry in book.entries if isinstance(entry, Clue)]
    if len(clues) <= MOST_CLUES:
        return None
    message = f"all rules together have {len(clues):,} clues; {MOST_CLUES:,} at most are taken"
    return Problem("too-many-clues", message, clues[MOST_CLUES].span)


def by_folder(books: Sequence[Book], roots: Sequence[str]) -> list[list[Book]]:
    """The books of each folder, in the order of the folders; each stands in the last that fits."""
    folders: list[list[Book]] = [[] for _ in roots] or [[]]
    for book in books:
        fits = [at for at, root in enumerate(roots) if Path(book.file).is_relative_to(root)]
        folders[fits[-1] if fits else -1].append(book)
    return folders


_PARSED: dict[tuple[str, str], Parsed] = {}
"""Files that this process parsed, by text and name. A page that stays open, and adds to a person's
own rules, builds the base anew each time."""


@contextmanager
def _reading(cache_folder: Path | None) -> Iterator[Parse]:
    """What reads a file of rules: nine tenths of building a base were the parsing of files that
    had not changed, so those that are kept in the cache folder, or at hand, are not parsed.
    """
    from markrules.knowledge.kept_books import KeptBooks
    from markrules.language.parser import parse

    kept = KeptBooks(cache_folder) if cache_folder is not None else None

    def read(text: str, file: str) -> Parsed:
        found = _PARSED.get((text, file))
        if found is None:
            found = kept.parsed(text, file, parse) if kept is not None else parse(text, file)
            if len(_PARSED) >= FILES_KEPT:
                # Another thread may take one at the same moment; then there is room.
                with suppress(RuntimeError, StopIteration):
                    _PARSED.pop(next(iter(_PARSED)), None)
            _PARSED[text, file] = found
        return found

    yield read
    if kept is not None:
        kept.keep()


def _parsed(texts: Sequence[RuleText], read: Parse) -> tuple[list[Book], list[Problem]]:
    books: list[Book] = []
    problems: list[Problem] = []
    for text in texts:
        said, not_text = decoded(text)
        if not_text is not None:
            problems.append(not_text)
        book, met = read(said, text.file)
        books.append(book)
        problems += met
    return books, problems
