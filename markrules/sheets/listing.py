"""The text of a listing, written from the evidence and checked against the claims of the rules."""

from __future__ import annotations

import re
from collections.abc import Iterator

from markrules.frozen import dataclass
from markrules.inference.reading import ClueReading
from markrules.knowledge.observation import Observation
from markrules.language.tree import Feature
from markrules.sheets.attribution import Attribution, attribution, date_words
from markrules.sheets.claims import Flag, check_text, rewritten
from markrules.sheets.matter import SheetMatter
from markrules.sheets.object_id import observations_for
from markrules.telling.words import bounds, capital, listed, plain, size, value_words, visible

SHORTEST_TITLE = 20
_LONGEST_OWN = 24
_IS_PLAIN = re.compile(r"[^\W\d_]+(?:[ -][^\W\d_]+){0,2}")
_MOST_WORDS = 8  # details in a sentence: more are not read


@dataclass(frozen=True, slots=True)
class Listing:
    """What may be said of a piece. `changed` are phrases that the claims check took back.

    `safety` is for the buyer; `law` is for the seller alone, and no part of the text.
    """

    title: str
    description: str
    condition: str
    measurements: tuple[str, ...]
    care: tuple[str, ...]
    safety: tuple[str, ...]
    law: tuple[str, ...]
    basis: str
    changed: tuple[Flag, ...] = ()

    def text(self) -> str:
        """All of it as plain text, to be pasted."""
        parts = [self.title, "", self.description, "", f"Condition: {self.condition}"]
        for head, lines in (
            ("Measurements", self.measurements),
            ("Care", self.care),
            ("Safety", self.safety),
        ):
            if lines:
                parts += ["", f"{head}:", *(f"- {line}" for line in lines)]
        return "\n".join([*parts, "", self.basis])


def listing(matter: SheetMatter, title_length: int | None = None) -> Listing:
    """The listing of one piece; its title holds at most `title_length` characters.

    Raises ValueError where the title may hold fewer than SHORTEST_TITLE.
    """
    most = title_length or int(matter.base.setting("title-length", 80))
    if most < SHORTEST_TITLE:
        raise ValueError(f"a title needs {SHORTEST_TITLE} characters or more, not {most}")
    flags: list[Flag] = []

    def checked(text: str) -> str:
        found = check_text(matter.base, text, matter.reading)
        flags.extend(found)
        return rewritten(text, found)

    details = [each for each in dict.fromkeys(map(checked, _details(matter))) if each]
    parts = [checked(part) for part in _title_parts(matter, details)]
    return Listing(
        title=_fitted([part for part in parts if part], most),
        description=checked(_description(matter, details)),
        condition=_condition(matter),
        measurements=measurements(matter),
        care=_care(matter),
        safety=_cautions(matter, "hazard"),
        law=_cautions(matter, "law"),
        basis=_basis(matter),
        changed=tuple(flags),
    )


def _fitted(parts: list[str], most: int) -> str:
    """The parts in their order of weight, as many as the title holds."""
    title = capital(parts[0])[:most] if parts else ""
    for part in parts[1:]:
        longer = f"{title}, {part}"
        if len(longer) <= most:
            title = longer
    return title


def _title_parts(matter: SheetMatter, details: list[str]) -> Iterator[str]:
    """What a title says, weightiest first: what, by whom, when, of what."""
    found = attribution(matter.base, matter.reading)
    name = plain(matter.reading.piece_type) or "piece of jewelry"
    yield f"{name} {found.words}" if found.maker is not None else name
    if matter.reading.evidence:
        yield date_words(matter.base, matter.reading)
    if found.strength in ("unsigned", "marked"):
        yield found.words.partition(", maker")[0].partition(", a maker")[0]
    yield from details


def _details(matter: SheetMatter) -> list[str]:
    """Materials and subject in words, each once."""
    seen = [*observations_for(matter, "subject"), *observations_for(matter, "materials")]
    words = [_in_words(matter, each) for each in seen if each.state == "seen"]
    return [each for each in dict.fromkeys(words) if each][:_MOST_WORDS]


def _in_words(matter: SheetMatter, observation: Observation) -> str:
    """A value in words; what is sure stands plainly, a guess says so."""
    feature = matter.base.features.get(observation.feature)
    if feature is None or feature.kind not in ("choice", "many"):
        return ""
    if observation.feature == "metal-mark":
        return ""
    words = _own_words(observation) if feature.describes else _value_words(feature, observation)
    return words if observation.certainty == "sure" or not words else f"perhaps {words}"


def _own_words(observation: Observation) -> str:
    """Where a feature only describes, its values are drawers: the observer's word says more."""
    words = " ".join(observation.words.split())
    if not words:
        return plain(observation.value)
    return visible(words) if len(words) <= _LONGEST_OWN and _IS_PLAIN.fullmatch(words) else ""


def _value_words(feature: Feature, observation: Observation) -> str:
    """The name of a value, or the first of its other names that puts the same words in order."""
    name = plain(observation.value).removesuffix(" unnamed")
    value = next((each for each in feature.values if each.name == observation.value), None)
    others = value.also if value is not None else ()
    same = (each for each in others if set(each.casefold().split()) == set(name.split()))
    return next(same, name)


def _description(matter: SheetMatter, details: list[str]) -> str:
    found = attribution(matter.base, matter.reading)
    name = plain(matter.reading.piece_type) or "piece of jewelry"
    maker = f" {found.words}" if found.maker is not None else ""
    rest = "" if found.maker is not None else f", {found.words}"
    when = date_words(matter.base, matter.reading)
    sentences = [f"{capital(name)}{maker}, {when}{rest}."]
    if details:
        sentences.append(f"Seen on it: {listed(details)}.")
    sentences += _marks(matter, found)
    sentences += [visible(each.claim) for each in matter.metals if each.claim and each.weight > 0.5]
    return " ".join(sentences)


def _marks(matter: SheetMatter, found: Attribution) -> list[str]:
    texts = [
        f"“{visible(each.value)}”"
        for each in matter.reading.observations
        if each.feature == "mark" and each.state == "seen" and each.value and not each.heard
    ]
    return [f"Marked {listed(texts)}."] if texts and found.strength != "marked" else []


def measurements(matter: SheetMatter) -> tuple[str, ...]:
    """Every measure in centimetres and inches, or grams and ounces."""
    return tuple(
        f"{plain(each.feature)} {words}"
        for each in matter.reading.observations
        if each.state == "seen" and not each.heard
        for words in (size(matter.base, each),)
        if words
    )


def _condition(matter: SheetMatter) -> str:
    reading = matter.reading
    faults = [capital(visible(each.say)) for each in reading.faults]
    repairs = [_repair(each) for each in replaced(reading.clues)]
    if faults or repairs:
        return " ".join([*faults, *repairs])
    if any(each.feature == "fault" and each.state == "absent" for each in reading.observations):
        return "Looked over; no faults were found."
    return "Condition not stated; ask for what you need to know."


def replaced(clues: tuple[ClueReading, ...]) -> tuple[ClueReading, ...]:
    """The clues read from parts that were probably fitted later, one for each part."""
    found: dict[str, ClueReading] = {}
    for clue in clues:
        if clue.branches.refit >= 0.5:
            found.setdefault(clue.feature, clue)
    return tuple(found.values())


def _repair(clue: ClueReading) -> str:
    return f"The {plain(clue.feature)} was probably replaced ({clue.branches.refit:.0%})."


def _care(matter: SheetMatter) -> tuple[str, ...]:
    return tuple(
        finding.say
        for name in matter.reading.findings
        for finding in (matter.base.findings[name],)
        if finding.say and finding.advise is not None and finding.advise.effect == "care"
    )


def _cautions(matter: SheetMatter, level: str) -> tuple[str, ...]:
    return tuple(visible(each.say) for each in matter.reading.cautions if each.level == level)


def _basis(matter: SheetMatter) -> str:
    date = matter.reading.date
    if not matter.reading.evidence:
        return "Nothing seen on it speaks of its date. Metal and stones were not tested."
    stretch = bounds(date.range.first, date.range.last)
    tested = any(
        each.feature == "tested" and each.state == "seen" for each in matter.reading.observations
    )
    tests = "" if tested else " Metal and stones were not tested."
    return f"Dated {stretch} by what is seen on it ({date.range.mass:.0%} likely).{tests}"


def value_line(matter: SheetMatter, observation: Observation) -> str:
    """An observation as one line of text: `catch: safety catch`."""
    return visible(f"{plain(observation.feature)}: {value_words(matter.base, observation)}")
