"""The text of a listing, written from the evidence and checked against the claims of the rules."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from markrules.appraisal.condition import condition_of
from markrules.frozen import dataclass
from markrules.inference.fates import is_a_mark
from markrules.inference.reading import ClueReading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import BY_NATURE, MARK, Observation
from markrules.language.tree import LISTING_PARTS
from markrules.marks.metal import MetalReading
from markrules.notes.vocabulary import PART_SIZE
from markrules.sheets.as_noted import AsNoted, name_of, other_names, told_pieces, words_of
from markrules.sheets.attribution import Attribution, attribution, date_words, rests_on_told
from markrules.sheets.claims import Flag, check_text, rewritten
from markrules.sheets.discretion import discreet
from markrules.sheets.matter import SheetMatter
from markrules.sheets.object_id import observations_for
from markrules.sheets.sellers_words import (
    as_sure,
    in_parts,
    is_legible,
    marks_read,
    part_sentences,
    part_words,
    signed,
)
from markrules.sheets.what_is_lost import with_what_is_lost
from markrules.telling.limits import firm_limits, share_of_years
from markrules.telling.words import bounds, capital, listed, plain, size, visible, years

SHORTEST_TITLE = 20
LENGTHS = ("short", "medium", "long")


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

    def text(self, length: str = "long") -> str:
        """Plain text to be pasted; `length` is one of LENGTHS.

        `short` is one paragraph, `medium` has a heading for each part, `long` also care.
        Safety is told in all but the short one.
        """
        if length == "short":
            sizes = f"Size: {listed(self.measurements)}." if self.measurements else ""
            parts = (self.description, f"Condition: {self.condition}", sizes)
            return "\n\n".join((self.title, " ".join(part for part in parts if part)))
        lines = [self.title, "", self.description, "", f"Condition: {self.condition}"]
        for head, some in (
            ("Measurements", self.measurements),
            ("Care", self.care if length == "long" else ()),
            ("Safety", self.safety),
        ):
            if some:
                lines += ["", f"{head}:", *(f"- {line}" for line in some)]
        return "\n".join([*lines, "", self.basis])


def listing(matter: SheetMatter, title_length: int | None = None) -> Listing:
    """The listing of one piece; its title holds at most `title_length` characters.

    Raises ValueError where the title may hold fewer than SHORTEST_TITLE.
    """
    most = title_length or int(matter.base.setting("title-length"))
    if most < SHORTEST_TITLE:
        raise ValueError(f"a title needs {SHORTEST_TITLE} characters or more, not {most}")
    matter = matter if matter.people else discreet(matter)
    flags: list[Flag] = []

    def checked(text: str) -> str:
        found = check_text(matter.base, text, matter.reading)
        flags.extend(found)
        return rewritten(text, found)

    def checked_detail(text: str) -> str:
        # The checker writes better words as a sentence begins; this stands in the midst of one.
        better = checked(text)
        return better[:1].lower() + better[1:] if better != text else text

    noted, name = _to_be_told(matter), _name(matter)
    named = {name, *(each for each in told_pieces(matter) if each in name)}
    told = {
        part: [
            each
            for each in _once(map(checked_detail, noted[part]))
            if each.casefold() not in named and f" {each.casefold()} " not in f" {name} "
        ]
        for part in LISTING_PARTS
    }
    parts = [checked(part) for part in _title_parts(matter, told)]
    return Listing(
        title=_fitted([part for part in parts if part], most),
        description=checked(_description(matter, told)),
        condition=checked(_condition(matter)),
        measurements=measurements(matter),
        care=_care(matter),
        safety=_cautions(matter, "hazard"),
        law=_cautions(matter, "law"),
        basis=_basis(matter),
        changed=tuple(flags),
    )


def _to_be_told(matter: SheetMatter) -> dict[str, list[str]]:
    """The parts of the text: each detail where it says most, and none that a flaw or an inscription
    tells alone.
    """
    parts, beside = in_parts(matter), AsNoted(matter)
    flaws = list(flaws_as_noted(matter).values())
    for part in _TOLD_BY_FLAWS:
        parts[part] = [each for each in parts[part] if not beside.only_within(each, flaws)]
    inscribed = [words_of(each) for each in observations_for(matter, "inscription", "describe")]
    parts["materials"] = [
        each for each in parts["materials"] if not beside.only_within(each, inscribed)
    ]
    sizes = [words_of(each) for each in observations_for(matter, "measurements")]
    parts["form"] += other_names(matter)
    parts["form"] += beside.counted([*flaws, *sizes])
    # `rhinestones` is not told beside `clear rhinestones`.
    for part in _TITLE_ORDER:
        others = [each for other in _TITLE_ORDER for each in parts[other]]
        parts[part] = [
            each
            for each in parts[part]
            if not any(f" {each} " in f" {other} " for other in others if other != each)
        ]
    return parts


_TOLD_BY_FLAWS = ("form", "stones", "fastening")


def _once(words: Iterable[str]) -> list[str]:
    return [each for each in dict.fromkeys(words) if each]


def _fitted(parts: list[str], most: int) -> str:
    """The parts in their order of weight, as many as the title holds."""
    title = _cut(capital(parts[0]), most) if parts else ""
    for part in parts[1:]:
        longer = f"{title}, {part}"
        # One that is too long is passed over, and the next may still fit.
        if len(longer) <= most and f" {part.casefold()}," not in f" {title.casefold()},":
            title = longer
    return title


def _cut(words: str, most: int) -> str:
    """The name and the maker, as much of both as the title holds, and no part of a word."""
    if len(words) <= most:
        return words
    joint = next((each for each in _BEFORE_A_MAKER if each in words), _BEFORE_A_MAKER[0])
    name, _, maker = words.partition(joint)
    if len(name) > most:
        # A set whose pieces do not all fit is called a set: some of them would say too little.
        kind = name.partition(" of ")[0]
        return kind if len(kind) <= most else (name[: name.rfind(" ", 0, most + 1)])[:most]
    first = f"{name}{joint}{maker.partition(',')[0]}"
    return first if len(first) <= most else name


# The firm of a maker is named whole or not at all: half of its name is another firm's.
_BEFORE_A_MAKER = (" attributed to ", " by ")


def _name(matter: SheetMatter) -> str:
    return name_of(matter) or "piece of jewelry"


def _named_maker(found: Attribution) -> bool:
    """Whether a listing names the maker: at what may be of one alone it says the mark."""
    return found.maker is not None and found.strength != "manner"


def _in_short(found: Attribution) -> str:
    """By whom, without the other names of the firm: these are for the sheet."""
    return _OTHER_NAMES.sub("", found.words)


_OTHER_NAMES = re.compile(r" \([^()]*\)$")


def _title_parts(matter: SheetMatter, told: Mapping[str, list[str]]) -> Iterator[str]:
    """What a title says, weightiest first: what, by whom, of what, when, and all that fits."""
    found = attribution(matter.base, matter.reading)
    parts = "".join(f" {each}" for each in told["state"])
    name = f"{_name(matter)}{parts}"
    yield f"{name} {_in_short(found)}" if _named_maker(found) else name
    false = mark_is_false(matter)
    texts = [] if false else signed(matter)
    others = [] if false else [each for each in marks_read(matter) if each not in texts]
    of_metal = [each for each in others if any(one.words in each for one in matter.metals)]
    names = [each for each in others if each not in of_metal]
    if texts:
        yield f"signed “{visible(texts[0])}”"
    elif names:
        # Whose it is stays open; that it stands there is what a buyer looks for.
        yield f"marked “{visible(names.pop(0))}”"
    elif found.strength == "unsigned":
        yield found.words
    firsts = [told[part][0] for part in _TITLE_ORDER if told[part]]
    yield from firsts[:2]
    yield from told["tested"][:1]
    yield from (f"{each[0].lower()}{each[1:-1]}" for each in _hallmark(told["hallmark"])[:1])
    yield from (f"marked “{visible(each)}”" for each in of_metal)
    if when := when_told(matter):
        yield when
    # From here on what a title seldom has room for.
    yield from firsts[2:]
    yield from (each for part in _TITLE_ORDER for each in told[part][1:])
    yield from (f"marked “{visible(each)}”" for each in names)
    yield from measurements(matter)


_TITLE_ORDER = ("subject", "materials", "stones", "colour", "fastening", "form")


def when_told(matter: SheetMatter) -> str:
    """When the piece was made, where that says something: not over more years than a buyer can
    make anything of, which the last line of the text tells with their chance.
    """
    if not matter.reading.evidence:
        return ""
    words = date_words(matter.base, matter.reading)
    stretch = matter.reading.date.range
    wide = stretch.last - stretch.first + 1 > matter.base.setting("widest-told")
    return "" if wide and words == f"circa {bounds(stretch.first, stretch.last)}" else words


def _description(matter: SheetMatter, told: Mapping[str, list[str]]) -> str:
    found = attribution(matter.base, matter.reading)
    maker = f" {_in_short(found)}" if _named_maker(found) else ""
    when = f", {told_when}" if (told_when := when_told(matter)) else ""
    sentences = [f"{capital(_name(matter))}{maker}{when}."]
    if matter.of_set:
        # Of a set whose other pieces have left, a buyer gets this one alone.
        others = f"the others are {listed(matter.mates)}" if matter.mates else "it comes alone"
        sentences.append(f"It is one of a set: {others}.")
    for part in ("subject", "form", "materials", "stones"):
        if told[part]:
            # What is sure stands first: after "perhaps" all that follows would be doubted.
            surest = sorted(told[part], key=lambda words: words.startswith("perhaps "))
            joined = listed(surest) if part == "stones" else ", ".join(surest)
            sentences.append(f"{capital(joined)}.")
    for head, part in (("Colour", "colour"), ("Fastening", "fastening")):
        if told[part]:
            sentences.append(f"{head}: {listed(told[part])}.")
    sentences += part_sentences(matter, "wearing")
    sentences += _marks(matter, found)
    sentences += _hallmark(told["hallmark"])
    sentences += _inscribed(matter)
    sentences += _metals(matter)
    sentences += [f"{capital(each)}." for part in ("tested", "packaging") for each in told[part]]
    return " ".join(sentences)


def _marks(matter: SheetMatter, found: Attribution) -> list[str]:
    """The marks as read, on what and by what way of marking they stand; that none was found, or
    that nobody looked, is told as well.
    """
    texts, names = marks_read(matter), signed(matter)
    noted = AsNoted(matter)
    piece = matter.base.pieces.get(matter.reading.piece_type)
    itself = {plain(each) for each in (piece.name, *piece.also)} if piece is not None else set()
    heads: dict[str, list[str]] = {}
    for text in [*names, *(each for each in texts if each not in names)]:
        place, how = noted.announced(_announcing(matter, text))
        place = "" if place.casefold() in itself else place  # `brooch signed` of a brooch
        head = "Signed" if text in names else capital(how if how.endswith("ed") else "marked")
        heads.setdefault(f"{capital(place)} {head.casefold()}" if place else head, []).append(text)
    sentences = [
        f"{head} {listed([f'“{visible(each)}”' for each in some])}." for head, some in heads.items()
    ]
    unknown = [each.text for each in matter.reading.marks if each.unlisted and each.text in names]
    if unknown:
        sentences.append("Who made it is not known.")
    if any(not is_legible(each) for each in texts):
        sentences.append("A question mark or dots stand for letters that cannot be read.")
    if texts and mark_is_false(matter):
        sentences.append("By what was noted, this mark is likely false.")
    if not texts:
        unread = any(each.is_unread_mark for each in matter.reading.observations)
        unsigned = found.strength == "unsigned"
        said = "No mark was found on it." if unsigned else ""
        sentences.append("A mark is on it and was not read." if unread else said)
    return [each for each in sentences if each]


def mark_is_false(matter: SheetMatter) -> bool:
    """Whether the reading calls the mark on the piece false: then a title does not bear it."""
    return any(
        each.kind == FALSE_MARK and MARK in each.part and (each.stated or each.openly_told)
        for each in matter.reading.misleading
    )


FALSE_MARK = "false-mark"
"""The kind of what misleads by which a mark is not true; see MISLEADING_KINDS."""


def _inscribed(matter: SheetMatter) -> list[str]:
    """What is cut in for an owner, as it was read: Engraved “In memory of M.K. 1868”."""
    noted = AsNoted(matter)
    sentences = []
    for each in observations_for(matter, "inscription", "describe"):
        if each.state == "seen" and not each.heard and each.value in words_of(each):
            _, how = noted.announced(words_of(each))
            sentences.append(f"{capital(how or 'inscribed')} “{visible(each.value)}”.")
    return list(dict.fromkeys(sentences))


def _hallmark(words: list[str]) -> list[str]:
    """What was read of a hallmark: by its own words, or its parts in one sentence."""
    said = [each for each in words if "hallmark" in each.casefold()]
    parts = [each for each in words if each not in said]
    return [
        *(f"{capital(each)}." for each in said),
        *([f"Marks: {listed(parts)}."] if parts else []),
    ]


def _announcing(matter: SheetMatter, text: str) -> str:
    """The words of the note with which a mark was told."""
    return next(
        (
            words_of(each)
            for each in matter.reading.observations
            if each.feature == MARK and each.value == text and not each.heard
        ),
        "",
    )


def _metals(matter: SheetMatter) -> list[str]:
    """What the marks claim of the metal; a mark on a part speaks for the part, a false one for
    nothing.
    """
    if mark_is_false(matter):
        return []
    noted = AsNoted(matter)
    claims = []
    for each in matter.metals:
        if each.claim and each.weight > 0.5:
            text = next((text for text in marks_read(matter) if each.words in text), "")
            place, _ = noted.announced(_announcing(matter, text))
            claim = visible(_besides(each) if text else each.claim)
            if claim:
                claims.append(
                    f"{capital(place)}: {claim[0].lower()}{claim[1:]}" if place else claim
                )
    return claims


def _besides(metal: MetalReading) -> str:
    """What a claim says besides the mark, where that stands in quotes before it: of `Stamped 925;
    sterling silver.` that it is `By the mark, sterling silver.`; nothing where it says no more.
    """
    if metal.besides == metal.claim:
        return metal.claim
    return f"By the mark, {metal.besides}" if metal.besides else ""


def measurements(matter: SheetMatter) -> tuple[str, ...]:
    """Every measure in centimetres and inches, or grams and ounces, and every size as read."""
    noted = AsNoted(matter)
    seen = [each for each in matter.reading.observations if each.state == "seen" and not each.heard]
    sizes = [each for each in observations_for(matter, "measurements") if each in seen]
    found = []
    for each in seen:
        measure = size(matter.base, each)
        if measure:
            found.append(_measure(noted, each, measure))
        elif each in sizes:
            found.append(f"{plain(each.feature)} {visible(each.value)}")
    return tuple(found)


def _measure(noted: AsNoted, observation: Observation, measure: str) -> str:
    """A measure of the whole by its name; of a part by what the note says was measured."""
    part, how = noted.measured(words_of(observation))
    if observation.feature == PART_SIZE:
        return f"{part or 'a part'} {measure}"
    return f"{how or plain(observation.feature)} {measure}"


def _condition(matter: SheetMatter) -> str:
    """What it is called by whoever had it in hand, unless faults contradict that; the faults as
    they were noted; then what the rules say of those noted in no words.
    """
    reading = matter.reading
    condition = condition_of(matter.base, reading)
    worst = condition.grade.rank
    called = [
        f"{capital(visible(each.words))}."
        for each in condition.said
        if not each.told and each.grade.rank == worst
    ]
    seen = [
        each
        for each in reading.observations
        if each.feature == "fault" and not each.heard and each.assumed != BY_NATURE
    ]
    noted = flaws_as_noted(matter)
    own = [f"{capital(words)}." for words in dict.fromkeys(noted.values())]
    faults = [capital(visible(each.say)) for each in reading.faults if each.fault not in noted]
    repairs = [_repair(each) for each in replaced(matter.base, reading.clues)]
    missed = [
        _not_found(matter.base, each) for each in seen if each.state == "ruled-out" and each.value
    ]
    missed = list(dict.fromkeys(missed))
    if any(each.state == "absent" for each in seen) and not (own or faults):
        missed.append("Looked over; no faults were found.")
    own = [each for each in own if each not in called]
    return " ".join([*called[:1], *own, *faults, *repairs, *missed]) or NOT_STATED


_IS_PLAIN = re.compile(r"[^\W\d_]+(?: [^\W\d_]+){0,4}")
_PARTICIPLE = re.compile(r"[^\W\d_]+e[dn]")
"""How English forms the words for what was done to a thing, but for those that rules list."""


def _not_found(base: KnowledgeBase, observation: Observation) -> str:
    """What was looked for in vain, as it was noted: `No chips.`, `Not bent.`"""
    words = visible(observation.words.strip(". ")).casefold()
    if _IS_PLAIN.fullmatch(words):
        done = words in base.words_of("done-to-it") or _PARTICIPLE.fullmatch(words)
        return f"{'Not' if done else 'No'} {words}."
    return f"Looked for and not found: {plain(observation.value)}."


def flaws_as_noted(matter: SheetMatter) -> dict[str, str]:
    """The observer's words of each fault, with its thing, count and place: `two stones missing`."""
    links = set(matter.base.words_of("link"))
    beside = AsNoted(matter)
    noted = {
        each.value: as_sure(
            matter.base,
            each,
            with_what_is_lost(matter, each.value, beside.in_full(_noted(each, links))),
        )
        for each in matter.reading.observations
        if each.feature == "fault" and each.state == "seen" and not each.heard
    }
    return {value: words for value, words in noted.items() if words}


NOT_STATED = "not stated; ask for what you need to know."


def _noted(observation: Observation, links: set[str]) -> str:
    """The observer's words of a fault, without a word at the end that leads on to something."""
    words = observation.words.rstrip(". ").split()
    while words and words[-1].casefold() in links:
        words.pop()
    return visible(" ".join(words))


def replaced(base: KnowledgeBase, clues: tuple[ClueReading, ...]) -> tuple[ClueReading, ...]:
    """The clues read from parts that were likely fitted later, one for each part; no marks."""
    least = base.setting("chance-likely")
    found: dict[str, ClueReading] = {}
    for clue in clues:
        if clue.branches.refit >= least and not is_a_mark(base, clue.feature):
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
    """What the rules warn of, but for what threatens at the bench alone: a buyer wears it."""
    return tuple(
        visible(each.say)
        for each in matter.reading.cautions
        if each.level == level and matter.base.cautions[each.caution].where != BENCH
    )


BENCH = "bench"


def _basis(matter: SheetMatter) -> str:
    tests = "" if part_words(matter, "tested") else " Metal and stones were not tested."
    if not matter.reading.evidence:
        return f"Nothing seen on it speaks of its date.{tests}"
    date = matter.reading.date
    # One run of a set by itself would say too much: the whole stretch is told, with its own chance.
    runs = date.years or (date.range,)
    first, last = runs[0].first, runs[-1].last
    share = share_of_years(matter.reading, first, last)
    headline = date_words(matter.base, matter.reading)
    and_told = " and what was told of it" if rests_on_told(matter.base, matter.reading) else ""
    grounds = f"what is seen on it{and_told}"
    likeliest = f"{years(first, last)} by {grounds} ({share:.0%} likely)"
    if headline == bounds(*firm_limits(matter.reading)) and headline != years(first, last):
        return f"{capital(headline)} by what must hold of it; most likely {likeliest}.{tests}"
    if not when_told(matter):
        wide = f"{years(first, last)}, {share:.0%} likely"
        return f"What is seen on it leaves its years open ({wide}).{tests}"
    return f"Dated {likeliest}.{tests}"
