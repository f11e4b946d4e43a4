"""Years in a segment: which feature each belongs to, and which are only somebody's word."""

from __future__ import annotations

from markrules.knowledge.observation import Observation
from markrules.language.entries.features import WORN
from markrules.late import late
from markrules.notes.items import LINKS, Item, WrittenYears
from markrules.notes.marktext import WrittenTexts
from markrules.notes.matching import Matched
from markrules.notes.months import is_month
from markrules.notes.numbering import is_numbered, numbering_before
from markrules.notes.tokens import Tokens
from markrules.notes.view import ends_in_link
from markrules.notes.vocabulary import (
    DATE_LETTER,
    DATE_OFFICE,
    HALLMARK_YEAR,
    INSCRIBED_YEAR,
    LABEL_YEAR,
    NO_YEAR,
    PACKAGING_FEATURES,
    PLACE_FEATURES,
    TOLD_YEAR,
    Vocabulary,
)

OF_HALLMARK = "a year behind an assay office: taken as that of its date letter"
"""What is assumed of such a year."""
ON_THE_PIECE = "a year at a place for marks: taken as one that stands on the piece"
"""What is assumed of such a year."""
ON_WHAT_CAME_WITH_IT = "a year beside a card, box or label: taken as one that stands on it"
"""What is assumed of such a year."""
NEAREST = 2
"""Words between an estimate and what tells of which year it is, at most: `design of the 1930s`."""
_OF_THIS_CENTURY = 1900
"""From here on a year of two figures behind an apostrophe is of this century or the last."""
_LONGEST_DAY = 4
"""Words between the month and the year of a day: `Oct. 3rd of 05`."""
_YEAR = late(r"(?<![0-9./])(?:1[6-9]|20)[0-9]{2}(?![0-9])")
_SHORT_YEAR = late(r"(?<!\w)['’]([0-9]{2})(?![\w'’])")
_ROMAN = late(r"\bM[MDCLXVI]{4,}\b")


def years_read(
    vocabulary: Vocabulary,
    tokens: Tokens,
    matched: Matched,
    written: WrittenTexts,
    certainty: str,
    heard: bool,
    of_label: bool = False,
) -> list[Observation]:
    """The years of a segment, each with the feature that the words nearest before it name.

    A year that nothing names is told, not seen. One inside a text on the piece counts only
    where a word outside the text, or a sign inside it, names what it is, or where the text
    stands on a label (`of_label`).
    """
    found: list[Observation] = []
    for item in matched.items:
        if item.years is None or _dated_as_a_whole(tokens, written, item):
            found += _of_office(tokens, item, certainty, heard)
            found += _within(vocabulary, tokens, item, certainty, heard)
            continue
        claimed = item.first in written.claimed
        if _is_no_year(vocabulary, tokens, matched.items, item):
            if NO_YEAR in vocabulary.base.features:
                found.append(_observation(item.years, NO_YEAR, tokens, certainty, True))
            continue
        others = [
            each for each in matched.items if not claimed or each.first not in written.claimed
        ]
        feature, assumed = _feature_of(vocabulary, tokens, written, others, item), ""
        if not heard and not feature and _beside_office(vocabulary, tokens, matched.items, item):
            feature, assumed = HALLMARK_YEAR, OF_HALLMARK
        if not heard and not feature and _beside_place(vocabulary, matched.items, item):
            feature, assumed = INSCRIBED_YEAR, ON_THE_PIECE
        label = of_label if claimed else _beside_packaging(vocabulary, tokens, matched.items, item)
        of_label_too = label and LABEL_YEAR in vocabulary.base.features
        # What a card is dated stands on the card: `on its card dated 1993`.
        open_yet = not feature or (feature == INSCRIBED_YEAR and not claimed)
        if open_yet and not heard and of_label_too and item.years.exact:
            feature, assumed = LABEL_YEAR, ON_WHAT_CAME_WITH_IT
        told = not feature or _is_told(vocabulary, feature)
        if claimed and told:
            continue
        feature = feature or TOLD_YEAR
        if feature in vocabulary.base.features:
            found.append(
                _observation(item.years, feature, tokens, certainty, heard or told, assumed)
            )
    for index in sorted(written.claimed):
        years = _quoted(tokens, index)
        feature = _named(vocabulary, tokens, matched.items, Item(index, index + 1)) if years else ""
        if years and feature and not vocabulary.base.features[feature].describes:
            found.append(_observation(years, feature, tokens, certainty, heard))
    return found


def _is_told(vocabulary: Vocabulary, feature: str) -> bool:
    """Whether nothing on the piece gives such a year, but somebody's word or memory."""
    named = vocabulary.base.features[feature]
    return named.describes or named.dates == WORN


def _feature_of(
    vocabulary: Vocabulary, tokens: Tokens, written: WrittenTexts, others: list[Item], item: Item
) -> str:
    """The feature that words name for a year; empty where none do."""
    claimed = item.first in written.claimed
    if _of_letter(vocabulary, others, item):
        return HALLMARK_YEAR
    feature = _signed(vocabulary, tokens, written, item) if claimed else ""
    feature = feature or _named(vocabulary, tokens, others, item)
    if not feature or claimed or not _only_about(tokens, item):
        return feature
    if feature == INSCRIBED_YEAR:  # nobody engraves that it is about 1890: somebody thinks so
        return ""
    if vocabulary.base.features[feature].dates == WORN:  # a gift of some time in the late sixties
        return feature
    return feature if _is_near(vocabulary, tokens, others, item, feature) else ""


def _of_letter(vocabulary: Vocabulary, items: list[Item], item: Item) -> bool:
    """Whether the date letter is named before a year: `date letter R for the year 1900`."""
    return (
        HALLMARK_YEAR in vocabulary.base.features
        and _of_one_letter(item.years)
        and any(
            sense.kind == "feature" and sense.name == DATE_LETTER
            for each in items
            if each.first < item.first
            for sense in each.senses
        )
    )


def _is_near(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], item: Item, feature: str
) -> bool:
    """Whether the words for a feature stand so near an estimate that it is of that: a `1930s
    design`, but no `piece of the 1930s, by its design`.
    """
    end = item.years.end if item.years is not None else item.end
    return any(
        0 <= each.first - end <= NEAREST or 0 <= item.first - each.end <= NEAREST
        for each in items
        if feature in features_named(vocabulary, tokens, each, "year")
    )


def _dated_as_a_whole(tokens: Tokens, written: WrittenTexts, item: Item) -> bool:
    """Whether a day with two figures for its year stands whole in a text, which is read as a date.

    It is of the nineteenth century or the next: `inscribed 17/10/68`.
    """
    years = item.years
    if years is None or years.last != years.first + 100 or years.first >= _OF_THIS_CENTURY:
        return False
    near = range(max(item.first - _LONGEST_DAY, 0), item.first)
    months = [index for index in near if is_month(tokens.raw(index))]
    return item.first in written.claimed and written.claimed.issuperset(months[-1:])


def _only_about(tokens: Tokens, item: Item) -> bool:
    """Whether a year is an estimate: a decade, or one behind `c.`."""
    last = tokens.raw(item.years.end - 1) if item.years is not None else ""
    return last.endswith("s") or not tokens.numeric[item.first]


def _is_no_year(vocabulary: Vocabulary, tokens: Tokens, items: list[Item], item: Item) -> bool:
    """Whether a number is that of something, and no year: `ref. 1912`; `date code 1912` is one."""
    if item.years is None or not is_numbered(vocabulary, tokens, item.first, item.years.end):
        return False
    words = numbering_before(vocabulary, tokens, item.first)
    return not any(
        each.end == item.first
        and each.end - each.first > words > 0
        and features_named(vocabulary, tokens, each, "year")
        for each in items
    )


def _of_office(tokens: Tokens, item: Item, certainty: str, heard: bool) -> list[Observation]:
    """The year between an office and its hallmark, as in `Edinburgh 1953 hallmark`."""
    if not item.value_of(DATE_OFFICE):
        return []
    from markrules.notes.quantities import years_at

    inside = (years_at(tokens, index) for index in range(item.first + 1, item.end - 1))
    return [
        _observation(years, HALLMARK_YEAR, tokens, certainty, heard, OF_HALLMARK)
        for years in inside
        if years is not None and years.exact
    ]


def _within(
    vocabulary: Vocabulary, tokens: Tokens, item: Item, certainty: str, heard: bool
) -> list[Observation]:
    """The year among the words of one thing, one of which names it: `inscribed 1962 inside`."""
    inner = range(item.first + 1, item.end - 1)
    if item.years is not None or item.value_of(DATE_OFFICE) or len(inner) == 0:
        return []
    from markrules.notes.quantities import years_at

    years: list[WrittenYears] = []
    for index in inner:
        told = years_at(tokens, index)
        if told is not None and not (years and index < years[-1].end):
            years.append(told)
    named = features_named(vocabulary, tokens, item, "year")
    if len(years) != 1 or not named:
        return []
    return [_observation(years[0], named[0], tokens, certainty, heard)]


def _quoted(tokens: Tokens, index: int) -> WrittenYears | None:
    """The one year that a quoted text holds: `"M.B. 1943"`, `"to Mary '68"`, `"MCMXVI"`."""
    if tokens.folded[index] != '"':
        return None
    text = tokens.raw(index)
    years = {int(each) for each in _YEAR.findall(text)} or _in_roman(text)
    if len(years) == 1:
        return WrittenYears(index + 1, min(years), min(years), True)
    short = set(_SHORT_YEAR.findall(text)) if not years else ()
    if len(short) != 1:
        return None
    year = _OF_THIS_CENTURY + int(next(iter(short)))
    return WrittenYears(index + 1, year - 100, year, False)


def _in_roman(text: str) -> set[int]:
    """The years that stand in a text in Roman figures."""
    from markrules.knowledge.roman_figures import roman_year
    from markrules.notes.quantities import EARLIEST, LATEST

    years = (roman_year(each, len(each)) for each in _ROMAN.findall(text))
    return {each for each in years if each is not None and EARLIEST <= each <= LATEST}


def features_named(vocabulary: Vocabulary, tokens: Tokens, item: Item, kind: str) -> list[str]:
    """The features of a kind that an item names, or else one of its words (`inside engraved`)."""
    features = vocabulary.base.features
    single = [
        sense
        for word in tokens.folded[item.first : item.end]
        if (node := vocabulary.words.first(word)) is not None
        for sense in node.meaning.senses
    ]
    return [
        sense.name
        for sense in (*item.senses, *single)
        if sense.kind == "feature" and sense.name in features and features[sense.name].kind == kind
    ]


def _observation(
    years: WrittenYears,
    feature: str,
    tokens: Tokens,
    certainty: str,
    heard: bool,
    assumed: str = "",
) -> Observation:
    return Observation(
        feature,
        str(years.first) if years.exact else f"{years.first}-{years.last}",
        number=float(years.first),
        years=(years.first, years.last),
        certainty=certainty,
        heard=heard,
        words=tokens.text,
        assumed=assumed,
    )


def _beside_office(vocabulary: Vocabulary, tokens: Tokens, items: list[Item], item: Item) -> bool:
    """Whether a year stands right behind an assay office, or before it: `Chester 1909`.

    So people write what a date letter gives. `Bought in Chester in 1909` is no such thing, nor
    is a year that words part from the office.
    """
    if not _of_one_letter(item.years) or HALLMARK_YEAR not in vocabulary.base.features:
        return False
    at = items.index(item)
    behind = items[at + 1 : at + 2]
    if any(each.first == item.end and each.value_of(DATE_OFFICE) for each in behind):
        return at == 0 or items[at - 1].means("value") or items[at - 1].means("piece")
    if at == 0 or items[at - 1].end != item.first:
        return False
    marked = any(each.role("mark-noun") for each in items[max(0, at - 2) : at])
    if marked and ends_in_link(vocabulary, tokens, item.first):  # Birmingham, with mark of 1871
        return any(each.value_of(DATE_OFFICE) for each in items)
    if not items[at - 1].value_of(DATE_OFFICE):
        return False
    before = items[at - 2] if at > 1 else None
    return before is None or not before.role(*LINKS, "describing", "told")


def _of_one_letter(years: WrittenYears | None) -> bool:
    """Whether a date letter may be of these years: one, or one that began within another."""
    return years is not None and (years.exact or years.last == years.first + 1)


def _beside_place(vocabulary: Vocabulary, items: list[Item], item: Item) -> bool:
    """Whether a year stands right before or behind a place for marks: `1842 inside the band`."""
    if item.years is None or not item.years.exact or INSCRIBED_YEAR not in vocabulary.base.features:
        return False
    at = items.index(item)
    before = [each for each in items[:at][-1:] if each.end == item.first]
    behind = [each for each in items[at + 1 :][:1] if each.first == item.end]
    further = items[at + 2 :][:1] if behind else ()
    if any(each.role(*LINKS) for each in further):  # on the back of something else
        return False
    return any(each.value_of(*PLACE_FEATURES) for each in (*before, *behind))


def _beside_packaging(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], item: Item
) -> bool:
    """Whether a year stands right behind a card or box: `on card 1986`, `in a box from 1972`, `on
    its card dated 1993`.
    """
    before = [each for each in items[: items.index(item)] if each.end <= item.first]
    while before and (
        before[-1].role("filler", *LINKS)
        or INSCRIBED_YEAR in features_named(vocabulary, tokens, before[-1], "year")
    ):
        before.pop()
    if not before or not before[-1].value_of(*PACKAGING_FEATURES):
        return False
    between = tokens.text[tokens.ends[before[-1].end - 1] : tokens.starts[item.first]]
    return len(between.split()) <= 1


def _named(vocabulary: Vocabulary, tokens: Tokens, items: list[Item], item: Item) -> str:
    """The feature named nearest before the year, back to another year, or else after it."""
    before = [other for other in items if other.end <= item.first]
    for other in reversed(before):
        if other.years is not None:
            break
        for name in features_named(vocabulary, tokens, other, "year"):
            return name
    for other in items:
        if other.first >= item.end:
            for name in features_named(vocabulary, tokens, other, "year"):
                return name
    return ""


def _signed(vocabulary: Vocabulary, tokens: Tokens, written: WrittenTexts, item: Item) -> str:
    """The feature that a sign in the text around a year names: the C of copyright."""
    features = vocabulary.base.features
    for start, end in written.places:
        if not start <= tokens.starts[item.first] < end:
            continue
        for char in tokens.text[start:end]:
            for sense in vocabulary.signs.get(char, ()):
                if sense.kind == "feature" and features[sense.name].kind == "year":
                    return sense.name
    return ""
