"""The words of a rule line set on lines of at most 100 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markrules.language.line_words import Word

WIDTH = 100
# A text is not begun in less room than this: it goes to a line of its own.
_LEAST_ROOM = 40


def joined_texts(words: Sequence[Word]) -> list[Word]:
    """The words with quoted texts that meet put together, as the parser does."""
    found: list[Word] = []
    for word in words:
        if word.kind == "text" and found and found[-1].kind == "text":
            last = found[-1]
            found[-1] = last._replace(text=f"{last.text[:-1]} {word.text[1:]}")
        else:
            found.append(word)
    return found


def wrapped(words: Sequence[Word], start: int, hang: int) -> list[str]:
    """The words on lines: the first begins at column `start` (from 0), the rest at `hang`.

    Lines are broken only where the language lets them go on: after a comma, before a quoted
    text, and before `and` and `or`. The first line comes without what stands before `start`.
    """
    page = _Page(start, hang)
    for chunk in _chunks(joined_texts(words)):
        page.add(chunk)
    return page.lines


class _Page:
    """Lines being filled."""

    def __init__(self, start: int, hang: int) -> None:
        self.lines = [""]
        self._column, self._hang = start, hang

    def add(self, chunk: Sequence[Word]) -> None:
        text = _spaced(chunk)
        gap = 1 if self.lines[-1].strip() else 0
        if self._column + gap + len(text) <= WIDTH:
            self._append(" " * gap + text)
        elif chunk[0].kind == "text" and self._hang + len(text) > WIDTH:
            self._add_long(chunk, gap)
        else:
            if gap:
                self._new_line()
            self._append(text)

    def _add_long(self, chunk: Sequence[Word], gap: int) -> None:
        """Add a text that needs several lines, with what stands behind it."""
        closing = _spaced(chunk)[len(chunk[0].text) :]
        if gap and WIDTH - self._column < _LEAST_ROOM:
            self._new_line()
            gap = 0
        room = WIDTH - self._column - gap
        for piece in _pieces(chunk[0].text[1:-1], room, WIDTH - self._hang, len(closing)):
            if piece is not None:
                self._append(f'{" " * gap}"{piece}"')
                gap = 0
            else:
                self._new_line()
        self._append(closing)

    def _append(self, text: str) -> None:
        self.lines[-1] += text
        self._column += len(text)

    def _new_line(self) -> None:
        self.lines.append(" " * self._hang)
        self._column = self._hang


def _pieces(text: str, room: int, next_room: int, closing: int) -> Iterator[str | None]:
    """A text cut at spaces into pieces, each within its room with its quotes; None between."""
    while len(text) + 2 + closing > room:
        cut = text.rfind(" ", 1, max(room - 1, 2))
        if cut < 0:
            cut = text.find(" ", 1)
        if cut < 0:
            break
        yield text[:cut]
        yield None
        text, room = text[cut + 1 :], next_room
    yield text


def _chunks(words: Sequence[Word]) -> Iterator[list[Word]]:
    """The words in groups that stay on one line."""
    chunk: list[Word] = []
    for word in words:
        if chunk and _may_break(chunk[-1], word):
            yield chunk
            chunk = []
        chunk.append(word)
    if chunk:
        yield chunk


def _may_break(before: Word, word: Word) -> bool:
    if before.text == "(" and before.kind == "sign":
        return False
    if word.kind == "sign":
        return before.text == "," and word.text == "("
    joins = word.kind == "name" and word.text in ("and", "or")
    return before.text == "," or word.kind == "text" or joins


def _spaced(words: Sequence[Word]) -> str:
    text = ""
    for at, word in enumerate(words):
        closes = word.kind == "sign" and word.text in ",)"
        opened = at > 0 and words[at - 1].kind == "sign" and words[at - 1].text == "("
        text += word.text if at == 0 or closes or opened else f" {word.text}"
    return text
