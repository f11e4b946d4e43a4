"""Whose work and when, in words that follow the evidence; the thresholds are settings."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.inference.held import counts_when_told
from markrules.inference.reading import MakerShare, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import MARK, Observation
from markrules.telling.limits import firm_limits
from markrules.telling.words import bounds, listed, visible, years_of


@dataclass(frozen=True, slots=True)
class Attribution:
    """How a maker may be named: `strength` is by, attributed, manner, unsigned, marked or unknown.

    `words` can follow the name of the piece: `by X`, `attributed to X`, `unsigned`.
    """

    strength: str
    words: str
    maker: MakerShare | None = None


def rests_on_told(base: KnowledgeBase, reading: Reading) -> bool:
    """Whether the years rest on one in which somebody had the piece too, which nobody can see."""
    return any(counts_when_told(base, clue.feature) for clue in reading.clues)


def attribution(base: KnowledgeBase, reading: Reading) -> Attribution:
    """The wording that the probability of the likeliest known maker bears."""
    known = [share for share in reading.makers if share.maker]
    best = max(known, key=lambda share: share.probability, default=None)
    if best is not None:
        title = visible(best.title)
        for strength, words in (
            ("by", f"by {title}"),
            ("attributed", f"attributed to {title}"),
            ("manner", f"in the manner of {title}"),
        ):
            if best.probability >= base.setting(f"maker-{strength}-share"):
                return Attribution(strength, _in_doubt(reading, best) or words, best)
    unlisted = [f"“{visible(each.text)}”" for each in reading.marks if each.unlisted]
    if unlisted:
        words = f"signed {listed(unlisted)}, maker not known"
        return Attribution("marked", words)
    return _without_maker(reading.observations)


def _in_doubt(reading: Reading, maker: MakerShare) -> str:
    """The words where nothing but doubt of the mark stands against a maker whose mark was read:
    what bears a name is not made in its manner. Empty where it stands firm, or was not read.
    """
    known = _letters(maker.mark_text)
    texts = [
        each.text
        for each in reading.marks
        if each.how == "in full" and not each.unlisted and _opens(known, _letters(each.text))
    ]
    if maker.probability > 0.5 or not texts:
        return ""
    return f"marked “{visible(texts[0])}”, perhaps by {visible(maker.title)}"


def _letters(text: str) -> str:
    return "".join(each for each in text.casefold() if each.isalnum())


def _opens(known: str, read: str) -> bool:
    """Whether a mark begins with what was read: CH of `C.H STERLING`, where the rest is worn."""
    return bool(read) and known.startswith(read)


def _without_maker(seen: tuple[Observation, ...]) -> Attribution:
    marks = [each for each in seen if each.feature == MARK and not each.heard]
    texts = [f"“{visible(each.value)}”" for each in marks if each.is_read_mark]
    if texts:
        return Attribution("marked", f"marked {listed(texts)}, maker not known")
    if any(each.is_unread_mark for each in marks):
        return Attribution("marked", "marked, the mark not read, maker not known")
    if any(each.state == "absent" for each in marks):
        return Attribution("unsigned", "unsigned")
    return Attribution("unknown", "maker not known")


def date_words(base: KnowledgeBase, reading: Reading) -> str:
    """When, as far as the evidence goes: `circa 1955–1965`, `no earlier than 1911`, `1938`,
    `circa 1925–1940 or 1988–2005`.
    """
    date = reading.date
    if not reading.evidence:
        return "date not known"
    first, last = date.range.first, date.range.last
    limits = firm_limits(reading)
    if len(date.years) > 1:
        return f"circa {years_of(date)}"
    if last - first + 1 > base.setting("widest-range") and limits.count(None) == 1:
        return bounds(*limits)
    if (first, last) == limits:
        return bounds(first, last)
    return f"circa {bounds(first, last)}"
