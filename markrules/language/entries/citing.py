"""Where knowledge comes from: sources, and the citations that name them."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.language.spans import Named, Span, its_span

SOURCE_KINDS = (
    "patent",  # a patent specification or grant
    "law",  # a statute, regulation, treaty or ruling
    "register",  # an official or copied numbering table
    "standard",  # ISO, ANSI and the like
    "book",
    "article",  # magazine, newspaper, blog, dealer's or collector's page
    "museum",  # a museum's or conservation body's text
    "record",  # another official or company record
    "practice",  # common practice, no source
    "memory",  # written from memory, unchecked
)


@dataclass(frozen=True, slots=True)
class Source:
    """Where knowledge comes from. `kind` is one of SOURCE_KINDS."""

    name: str
    title: str
    kind: str
    author: str = ""
    year: int | None = None
    where: str = ""
    note: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Cite:
    """A citation: the source's name and, optionally, the place in it (`"p. 12"`)."""

    source: Named
    place: str = ""
    span: Span = its_span()
