"""A stretch of a note cut into words, numbers and quoted texts, each with its place."""

from __future__ import annotations

import re

from markrules.frozen import dataclass
from markrules.late import late
from markrules.notes.folding import Folding

LONGEST_QUOTE = 200
"""Characters of one quoted text: no mark is longer, and an open quote must not swallow a note."""

INCH_SIGNS = ('"', "”", "″", "''", "’’")
"""What stands for inches right behind a number."""

# A straight or curved quote opens only where no letter or digit stands before it: 2.5" is inches.
QUOTE_SIGNS = "\"“„«‘'"
"""With one of these begins what `QUOTED` fits."""
QUOTED = (
    rf"(?<!\w)\"[^\"\n]{{1,{LONGEST_QUOTE}}}\"|“[^”\n]{{1,{LONGEST_QUOTE}}}[”\"]"
    rf"|„[^“”\n]{{1,{LONGEST_QUOTE}}}[“”]|«[^»\n]{{1,{LONGEST_QUOTE}}}»"
    rf"|(?<!\w)‘[^’\n]{{1,{LONGEST_QUOTE}}}’(?!\w)|(?<!\w)'[^'\n]{{1,{LONGEST_QUOTE}}}'(?!\w)"
)
_TOKEN = re.compile(
    rf"(?P<quote>{QUOTED})"
    r"|(?P<number>\.?\d+(?:[.,/]\d+)*[½¼¾⅓⅔⅛⅜⅝⅞]?|[½¼¾⅓⅔⅛⅜⅝⅞])"
    r"|(?P<word>[^\W\d_½¼¾⅓⅔⅛⅜⅝⅞]+(?:['’][^\W\d_]+)*|&)"
)
_QUOTE, _NUMBER, _WORD = 1, 2, 3


@dataclass(slots=True)
class Tokens:
    """The words of one segment, side by side.

    `folded` holds each word's fold (`"` for a quoted text), `starts` and `ends` where it
    stands in `text`, and `numeric` whether it is a number, in digits or as a word.
    """

    text: str
    folded: list[str]
    starts: list[int]
    ends: list[int]
    numeric: list[bool]

    def __len__(self) -> int:
        """The number of tokens."""
        return len(self.folded)

    def slice(self, first: int, end: int) -> str:
        """The text from token `first` up to, not including, token `end`, as written."""
        return self.text[self.starts[first] : self.ends[end - 1]]

    def raw(self, index: int) -> str:
        """One token as written."""
        return self.text[self.starts[index] : self.ends[index]]


def tokens_of(text: str, folding: Folding) -> Tokens:
    """The tokens of a text, in order; what is neither word, number nor quote is passed over."""
    folded: list[str] = []
    starts: list[int] = []
    ends: list[int] = []
    numeric: list[bool] = []
    for match in _TOKEN.finditer(text):
        kind = match.lastindex
        if kind == _WORD:
            fold = folding[match[0]]
            is_number = fold[:1].isdigit()
        elif kind == _NUMBER:
            fold, is_number = folded_number(match[0]), True
        else:
            fold, is_number = '"', False
        folded.append(fold)
        starts.append(match.start())
        ends.append(match.end())
        numeric.append(is_number)
    return Tokens(text, folded, starts, ends, numeric)


def ends_an_ordinal(tokens: Tokens, index: int) -> bool:
    """Whether a word only ends the number that it stands at: `3rd`, which is nothing red."""
    return (
        index > 0
        and tokens.ends[index - 1] == tokens.starts[index]
        and tokens.numeric[index - 1]
        and tokens.raw(index).casefold() in ("st", "nd", "rd", "th")
    )


def folded_number(text: str) -> str:
    """A number's fold: no leading dot and no commas, so that .925 and 925 are one."""
    return text.lstrip(".").replace(",", "")


def phrase_of(text: str, folding: Folding) -> list[str]:
    """The folds of a phrase of the rules. `#` and `{slots}` give `#`, which any number fits."""
    words = text.replace("-", " ").split(" ")
    if "".join(words).isalpha():  # nine in ten, and there are a hundred thousand of them
        return [folding[word] for word in words if word]
    return [
        "#"
        if part[0] in "#{"
        else folding[part]
        if part[0].isalpha() or part == "&"
        else folded_number(part)
        for part in _PHRASE.findall(text)
    ]


class Cut(dict[str, list[str]]):
    """The folds of phrases of the rules, each cut once: who gathers all words meets many of them
    two or three times. What is given is not to be changed.
    """

    def __init__(self, folding: Folding) -> None:
        """Start with no phrase known."""
        super().__init__()
        self._folding = folding

    def __missing__(self, text: str) -> list[str]:
        """Cut a phrase met for the first time, and keep it."""
        words = self[text] = phrase_of(text, self._folding)
        return words


_PHRASE = late(r"#|&|\{[a-z]+\}|\.?\d+(?:[.,/]\d+)*|[^\W\d_½¼¾⅓⅔⅛⅜⅝⅞]+(?:['’][^\W\d_]+)*")
