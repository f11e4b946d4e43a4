"""Commands of one process share what they open.

Loading the same rules again gives an equal base, and a reader over it the same tables: that is
tested where they are made. A process answers one command; a test process answers hundreds.

Every server of a test compiles the same templates; here each is compiled once.

Where rules of a test's own stand beside the shipped ones, all is built anew: only the parsing of
a text that was parsed before, and the curve of a wave that was drawn before, are not repeated.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

import jinja2
import pytest

from markrules.inference import spreads
from markrules.knowledge import loading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.texts import fingerprint, read_texts
from markrules.language import parser
from markrules.language.problems import Problem
from markrules.reading.reader import Reader

MOST_KEPT = 4
MOST_TEXTS = 400
"""Three times the files of the shipped rules."""
MOST_CURVES = 4000
"""Twice their curves."""
_drawn = spreads._within.__wrapped__

BUILT = ("model", "vocabulary", "decode", "marks")
"""What a reader builds from its base when first asked."""


def share(patch: pytest.MonkeyPatch) -> None:
    """Let `load` give again what it gave for the same texts, and readers what they built.

    Modules that have imported `load` by name keep the real one: it is the commands, which
    import where they use, that share.
    """
    real_load = loading.load
    bases: dict[Any, tuple[KnowledgeBase, tuple[Problem, ...]]] = {}
    built: dict[Any, Any] = {}

    def load(
        folders: Sequence[Path],
        *,
        cache_folder: Path | None,
        parsed_in: Path | None = None,
        without: frozenset[str] = frozenset(),
    ) -> tuple[KnowledgeBase, tuple[Problem, ...]]:
        texts, unreadable = read_texts(folders)
        key = (
            tuple(map(str, folders)),
            cache_folder,
            fingerprint(texts),
            tuple(unreadable),
            without,
        )
        if key not in bases:
            if len(bases) >= MOST_KEPT:
                bases.clear()
                built.clear()
            bases[key] = real_load(
                folders, cache_folder=cache_folder, parsed_in=parsed_in, without=without
            )
        return bases[key]

    def shared(name: str) -> Any:
        make = Reader.__dict__[name].func

        def get(self: Reader) -> Any:
            if not any(self.base is base for base, _ in bases.values()):
                return make(self)
            key = (name, id(self.base), self.last_year)
            if key not in built:
                built[key] = make(self)
            return built[key]

        found = cached_property(get)
        found.__set_name__(Reader, name)
        return found

    patch.setattr(loading, "load", load)
    patch.setattr(jinja2.Environment, "compile", _compiled_once())
    patch.setattr(parser, "parse", lru_cache(maxsize=MOST_TEXTS)(parser.parse))
    patch.setattr(spreads, "_within", lru_cache(maxsize=MOST_CURVES)(_drawn))
    for name in BUILT:
        patch.setattr(Reader, name, shared(name))


def _compiled_once() -> Any:
    """`Environment.compile`, which gives again the code that it made of the same template.

    Code is bound to no environment: Jinja's own caches of bytecode share it in the same way.
    """
    real = jinja2.Environment.compile
    made: dict[Any, Any] = {}

    def compiled(
        self: jinja2.Environment,
        source: Any,
        name: str | None = None,
        filename: str | None = None,
        raw: bool = False,
        defer_init: bool = False,
    ) -> Any:
        options = (self.autoescape, self.trim_blocks, self.lstrip_blocks, self.undefined)
        key = (source, name, filename, raw, defer_init, options, self.finalize, *self.filters)
        if not isinstance(source, str):
            return real(self, source, name, filename, raw, defer_init)
        if key not in made:
            made[key] = real(self, source, name, filename, raw, defer_init)
        return made[key]

    return compiled
