"""Whose work and when, in words that follow the evidence; the thresholds are settings."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.inference.reading import MakerShare, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.telling.words import bounds, listed, plain, visible, years_of

MARK = "mark"
"""The built-in feature for text on the piece."""


@dataclass(frozen=True, slots=True)
class Attribution:
    """How a maker may be named: `strength` is by, attributed, manner, unsigned, marked or unknown.

    `words` can follow the name of the piece: `by X`, `attributed to X`, `unsigned`.
    """

    strength: str
    words: str
    maker: MakerShare | None = None


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
                return Attribution(strength, words, best)
    unlisted = [f"“{visible(each.text)}”" for each in reading.marks if each.unlisted]
    if unlisted:
        words = f"signed {listed(unlisted)}, a maker not known to these rules"
        return Attribution("marked", words)
    return _without_maker(reading.observations)


def _without_maker(seen: tuple[Observation, ...]) -> Attribution:
    marks = [each for each in seen if each.feature == MARK and not each.heard]
    texts = [f"“{visible(each.value)}”" for each in marks if each.state == "seen" and each.value]
    if texts:
        return Attribution("marked", f"marked {listed(texts)}, maker not known")
    if any(each.state == "absent" for each in marks):
        return Attribution("unsigned", "unsigned")
    return Attribution("unknown", "maker not known")


STRAY = 0.01
"""A limit is one of the piece where less than this share of its years lies beyond; else it is one
of a part, which may have come to the piece later or been there before."""


def firm_limits(reading: Reading) -> tuple[int | None, int | None]:
    """Not before and not after, where they hold for the whole piece; None where they do not."""
    date = reading.date
    first, last = date.not_before, date.not_after
    if first is not None and (_beyond(reading, None, first - 1) or date.range.first < first):
        first = None
    if last is not None and (_beyond(reading, last + 1, None) or date.range.last > last):
        last = None
    return first, last


def _beyond(reading: Reading, first: int | None, last: int | None) -> bool:
    return share_of_years(reading, first, last) >= STRAY


def limits_of_parts(reading: Reading) -> tuple[str, ...]:
    """What the limits say that hold for a part alone: `ab-stones: no earlier than 1953`."""
    date, (first, last) = reading.date, firm_limits(reading)
    said = []
    if date.not_before is not None and first is None:
        said.append((date.not_before_clue, bounds(date.not_before, None)))
    if date.not_after is not None and last is None:
        said.append((date.not_after_clue, bounds(None, date.not_after)))
    return tuple(f"{plain(clue)}: {when}" if clue else when for clue, when in said)


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
    if last - first + 1 > base.setting("widest-range") and limits != (None, None):
        return bounds(*limits)
    if (first, last) == limits:
        return bounds(first, last)
    return f"circa {bounds(first, last)}"


def mass_told(reading: Reading) -> float:
    """The probability that the years of `years_of` hold."""
    date = reading.date
    return sum(each.mass for each in date.years) or date.range.mass


def share_of_years(reading: Reading, first: int | None, last: int | None) -> float:
    """The probability that the piece was made from `first` to `last`; None is an open end."""
    start = reading.date.first_year
    return sum(
        share
        for year, share in enumerate(reading.date.curve, start)
        if (first is None or year >= first) and (last is None or year <= last)
    )
