"""Rule text in the one common form: `format_text`. It moves words, and never changes them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from markrules.language.kinds import KINDS
from markrules.language.line_words import Comment, Layout, Line, Word
from markrules.language.lines import logical_lines, physical_lines
from markrules.language.parser import parse
from markrules.language.problems import Problem
from markrules.language.wrapping import wrapped
from markrules.named_tuple import NamedTuple

STEP = 4
# How wide the keys of an entry are set, by its kind; longer keys stand out, others are not set.
_KEY_WIDTHS: Mapping[str, int] = {
    **{name: kind.width for name, kind in KINDS.items() if kind.width},
    "value": 5,
    "mark": 6,
    "fill": 5,
}
_UNSET_KEYS = ("value", "mark", "row", "fill")
_FARTHEST_HANG = 48


def format_text(text: str, file: str) -> tuple[str, tuple[Problem, ...]]:
    """The text in the common form, and no problems; or, where it has problems, as it was.

    Formatting twice changes nothing more, every comment is kept, and the formatted text
    says the same: `parse` gives an equal book.
    """
    _, problems = parse(text, file)
    if problems:
        return text, problems
    return "".join(f"{line}\n" for line in _formatted(text, file)), ()


class _Item(NamedTuple):
    """A logical line with the comments inside it, or a comment on lines of its own."""

    first: int
    last: int
    line: Line | None
    comments: tuple[Comment, ...]


def _formatted(text: str, file: str) -> Iterator[str]:
    items = _items(text, file)
    blank = {number for number, line in enumerate(physical_lines(text), 1) if not line.strip(" \t")}
    depths = _depths(items)
    owners = [""]
    for at, item in enumerate(items):
        if at and item.first - 1 in blank:
            yield ""
        depth = depths[at]
        if item.line is None:
            yield " " * STEP * depth + item.comments[0].text
        else:
            owners[depth + 1 :] = [item.line.words[0].text]
            yield from _set(item.line, item.comments, depth, owners[depth])


def _items(text: str, file: str) -> list[_Item]:
    layout = Layout(file, joins_texts=False)
    lines = list(logical_lines(text, layout))
    comments = layout.comments
    items: list[_Item] = []
    at = 0
    for line in lines:
        last = line.words[-1].line
        while at < len(comments) and comments[at].line < line.number:
            items.append(_alone(comments[at]))
            at += 1
        inside = at
        while at < len(comments) and comments[at].line <= last:
            at += 1
        items.append(_Item(line.number, last, line, tuple(comments[inside:at])))
    return items + [_alone(comment) for comment in comments[at:]]


def _alone(comment: Comment) -> _Item:
    return _Item(comment.line, comment.line, None, (comment,))


def _depths(items: Sequence[_Item]) -> list[int]:
    """How many steps in each item stands.

    A comment stands as the line after it; at the end of an entry, as the line before it,
    unless it was at the margin.
    """
    levels = [0]
    depths: list[int] = []
    for item in items:
        if item.line is not None:
            while levels[-1] > item.line.indent:
                levels.pop()
            if levels[-1] < item.line.indent:
                levels.append(item.line.indent)
            depths.append(len(levels) - 1)
        else:
            depths.append(-1)
    after = 0
    for at in range(len(items) - 1, -1, -1):
        if depths[at] >= 0:
            after = depths[at]
        elif after > 0:
            depths[at] = after
        else:
            depths[at] = 0 if items[at].comments[0].column == 1 else _before(depths, at)
    return depths


def _before(depths: Sequence[int], at: int) -> int:
    """The depth of the last line before a comment."""
    return next((depth for depth in reversed(depths[:at]) if depth >= 0), 0)


def _set(line: Line, comments: Sequence[Comment], depth: int, owner: str) -> list[str]:
    """The physical lines of a logical line, each comment where it stood among the words."""
    lead = " " * STEP * depth + _padded(line.words[0].text, depth, owner)
    words = line.words[1:]
    hang = _hang(line, lead, depth)
    lines: list[str] = []
    begun = 0
    for comment in comments:
        end = sum(word.line <= comment.line for word in words)
        lines += _segment(lead, words[begun:end], hang)
        if comment.alone:
            lines.append(" " * hang + comment.text)
        else:
            lines[-1] += f"  {comment.text}"
        begun, lead = end, ""
    return lines + _segment(lead, words[begun:], hang)


def _segment(lead: str, words: Sequence[Word], hang: int) -> list[str]:
    """Words between two comments; `lead` is what stands before the first of all."""
    if not words:
        return [lead.rstrip()] if lead else []
    start = lead or " " * hang
    first, *rest = wrapped(words, len(start), hang)
    return [start + first, *rest]


def _padded(key: str, depth: int, owner: str) -> str:
    if depth == 0 or (key in _UNSET_KEYS and owner in ("feature", "maker", "register", "slot")):
        return f"{key} "
    return f"{key:<{_KEY_WIDTHS.get(owner, 0)}} "


def _hang(line: Line, lead: str, depth: int) -> int:
    """The column of the lines that go on: under the value, or under the text of a part."""
    words = line.words
    if words[0].text == "value" and len(words) > 2 and words[2].kind == "text":
        under_text = len(lead) + len(words[1].text) + 1
        return under_text if under_text <= _FARTHEST_HANG else STEP * (depth + 2)
    return max(len(lead), STEP)
