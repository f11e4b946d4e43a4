"""Which words of a text go further than the evidence: each with its place, reason and better words.

The words are `claim` entries of the rules; here is only how they are looked for and judged.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace

from markrules.frozen import dataclass
from markrules.inference.reading import Citation, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Claim
from markrules.sheets.claim_finding import ClaimFinder, claim_finder
from markrules.sheets.claim_judging import Judge
from markrules.sheets.matter import citations
from markrules.sheets.measures_told import other_measures
from markrules.sheets.phrases import FoundPhrase, TextToken

LONGEST_TEXT = 2_000_000
"""Characters looked at; the time is in proportion. `sheet check` takes no longer text."""


_MEASURE = "{measure}"
"""In what is said of a claim: the measure on record."""


@dataclass(frozen=True, slots=True)
class Flag:
    """A phrase that does not stand: `start` to `end` in the text, why, and what to say.

    `instead` is empty where the words are to be left out. `line` and `column` count from 1.
    """

    claim: str
    words: str
    start: int
    end: int
    line: int
    column: int
    say: str
    law: str
    instead: str
    note: str
    cites: tuple[Citation, ...]


def check_text(base: KnowledgeBase, text: str, reading: Reading | None = None) -> tuple[Flag, ...]:
    """Every phrase of the text that the evidence does not bear, in order.

    Without a reading nothing is borne out: each claim is flagged. Only the first
    LONGEST_TEXT characters are looked at. Never raises.
    """
    text = text[:LONGEST_TEXT]
    checker = claim_finder(base)
    judge = Judge(base, reading)
    breaks = [place for place, sign in enumerate(text) if sign == "\n"]
    recorded = _recorded(checker, reading) if reading is not None else frozenset()
    made = [
        (
            claim,
            tokens,
            found,
            (claim.recorded and (claim.name, found.name) in recorded)
            or judge.bears(claim, found, tokens, text),
        )
        for claim, tokens, found in checker.found(text)
    ]
    borne = {claim.name for claim, _, _, bears in made if bears} if reading is not None else set()
    flags = [
        _flag(base, judge, claim, text, breaks, tokens, found)
        for claim, tokens, found, bears in made
        if not bears and not any(each.name in borne for each in claim.beside)
    ]
    if reading is not None:
        flags += _flags_of_measures(base, judge, text, breaks, reading)
    kept: list[Flag] = []
    for flag in sorted(flags, key=lambda each: (each.start, -each.end)):
        if kept and _says_again(text, kept[-1], flag):
            end = max(kept[-1].end, flag.end)
            kept[-1] = replace(kept[-1], words=text[kept[-1].start : end], end=end)
        elif not kept or flag.start >= kept[-1].end:
            kept.append(flag)
    return tuple(kept)


def _says_again(text: str, before: Flag, flag: Flag) -> bool:
    """Whether a flag makes the same claim as the one before it, in the next words of its sentence,
    `hypoallergenic so fine for sensitive ears`: both are to go, and one flag says so.
    """
    if before.claim != flag.claim or flag.start < before.end or before.instead:
        return False
    between = text[before.end : flag.start]
    return len(between.split()) <= _MOST_BETWEEN and _SENTENCE_ENDS.search(between) is None


_MOST_BETWEEN = 2
"""Words between what says the same twice, at most: `so`, `and I`."""
_SENTENCE_ENDS = re.compile(r"[.!?;:\n](?!\d)")


def _flags_of_measures(
    base: KnowledgeBase, judge: Judge, text: str, breaks: Sequence[int], reading: Reading
) -> list[Flag]:
    """One for each measure that is not the one on record, for each claim about measures."""
    claims = [claim for claim in base.claims.values() if claim.about == "measure"]
    return [
        _flag_at(base, judge, claim, text, breaks, (told.start, told.end), told.on_record)
        for told in (other_measures(base, text, reading) if claims else ())
        for claim in claims
    ]


def _recorded(checker: ClaimFinder, reading: Reading) -> frozenset[tuple[str, str]]:
    """What the note on record claims itself, by claim and by the maker that it names."""
    note = " ".join(each.words for each in reading.account)
    return frozenset((claim.name, found.name) for claim, _, found in checker.found(note))


def rewritten(text: str, flags: Sequence[Flag]) -> str:
    """The text with better words in place of each flagged phrase; those without any fall out."""
    parts, at = [], 0
    for flag in flags:
        parts += [text[at : flag.start], _like(flag.words, flag.instead)]
        at = flag.end
    whole = "".join((*parts, text[at:]))
    return "\n".join(map(_tidy, whole.split("\n"))) if flags else text


def _tidy(line: str) -> str:
    """The line without the blanks and signs that words left behind."""
    for pattern, right in _LEFT_BEHIND:
        line = pattern.sub(right, line)
    return line.strip()


_LEFT_BEHIND = (
    (re.compile(r" +"), " "),
    (re.compile(r"([.!?]) [,;.!?]+"), r"\1"),
    (re.compile(r"\b(\w{4,}) \1(s?)\b"), r"\1\2"),
    (re.compile(r" +([,.;!?)])"), r"\1"),
    (re.compile(r"\( +"), "("),
    (re.compile(r" *\(\)"), ""),
    (re.compile(r"([,;])[,;]+"), r"\1"),
    (re.compile(r"[,;]+([.!?])"), r"\1"),
    (re.compile(r"(^|[.!?] )[,;.!?]+ ?"), r"\1"),
)


def _like(words: str, instead: str) -> str:
    """Better words begin large where the words did and stood alone so."""
    return instead[:1].upper() + instead[1:] if words[:1].isupper() else instead


def _flag(
    base: KnowledgeBase,
    judge: Judge,
    claim: Claim,
    text: str,
    breaks: Sequence[int],
    tokens: Sequence[TextToken],
    found: FoundPhrase,
) -> Flag:
    place = tokens[found.first].start, tokens[found.after - 1].end
    return _flag_at(base, judge, claim, text, breaks, place)


def _flag_at(
    base: KnowledgeBase,
    judge: Judge,
    claim: Claim,
    text: str,
    breaks: Sequence[int],
    place: tuple[int, int],
    measure: str = "",
) -> Flag:
    """The flag of the words at a place; `measure` is what was measured instead of them."""
    start, end = place
    words = text[start:end]
    lines = bisect_right(breaks, start)
    return Flag(
        claim=claim.name,
        words=words,
        start=start,
        end=end,
        line=lines + 1,
        column=start - (breaks[lines - 1] if lines else -1),
        say=claim.say.replace(_MEASURE, measure),
        law=claim.law,
        instead=judge.better(claim, words).replace(_MEASURE, measure),
        note=claim.note,
        cites=citations(base, claim.cites),
    )
