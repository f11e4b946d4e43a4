"""Finding pieces by what is left of a mark, with the same search that finds makers."""

from __future__ import annotations

from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box, Listed
from markrules.catalogue.store import Catalogue
from markrules.knowledge.base import KnowledgeBase
from markrules.marks.entries import MarkEntry, apart
from markrules.marks.lists import ListedMarks
from markrules.marks.reading_syntax import MarkSyntaxError
from markrules.marks.search import MarkSearch
from markrules.marks.vocabulary import MarkWords

LEAST_PROBABILITY = 0.001
"""A mark less probable than this among the catalogue's own is not shown."""

_MARKS = """
select seen.value, piece.id from seen join piece on piece.id = seen.piece_id
where seen.feature = 'mark' and seen.state = 'seen' and seen.value <> '' and seen.withdrawn = 0
    and (:gone or piece.gone = '') and (:box is null or piece.box_id = :box)
    and not exists (select 1 from seen as later where later.corrects = seen.id)
order by piece.box_id, piece.number
"""


def find_by_mark(
    catalogue: Catalogue,
    base: KnowledgeBase,
    text: str,
    *,
    box: Box | None = None,
    limit: int = 20,
    gone: bool = False,
) -> tuple[Listed, ...]:
    """The pieces whose marks may read like `text`, likeliest first, in the reading syntax.

    With `gone`, pieces that left their box, too. A mark of the catalogue counts with the letters
    that were read. Raises CatalogueProblem where the text breaks the reading syntax.
    """
    pieces: dict[str, list[int]] = {}
    asked = {"box": box.id if box is not None else None, "gone": gone}
    for value, piece in catalogue.rows(_MARKS, asked):
        pieces.setdefault(value, []).append(piece)
    if not pieces:
        return ()
    search = MarkSearch(base)
    search.lists = (ListedMarks(_entry(mark, search.words) for mark in pieces),)
    try:
        answer = search.search(text, k=limit, doubt=1.0)
    except MarkSyntaxError as problem:
        raise CatalogueProblem(f"the mark cannot be searched: {problem}") from None
    found = [
        piece
        for result in answer.results
        if result.probability >= LEAST_PROBABILITY
        for piece in pieces[result.maker]
    ]
    return catalogue.pieces.listed_by_id(list(dict.fromkeys(found))[:limit])


def _entry(text: str, words: MarkWords) -> MarkEntry:
    """A mark of the catalogue as the search takes it; its text stands for its maker."""
    own, whole, beside, divided = apart(text, words)
    return MarkEntry(
        maker=text,
        title=text,
        mark=text,
        text=text,
        own=own or whole,
        whole=whole,
        beside=beside,
        words_only=bool(whole) and not own,
        lines=text.count("/") + 1,
        form="",
        method="",
        symbol="",
        country="",
        place="",
        weight=1.0,
        divided=(divided[0] if own else divided[1], divided[1]),
    )
