"""What a sheet says, as plain data: one form for the page and for print, so that both say the same.

The three parts are kept apart: `seen` holds what somebody saw, `concluded` what follows from it
by the rules, `told` what somebody said. Every text here is ready to be shown: what cannot be
printed has been made visible. Escaping is the work of whatever writes the data out.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from markrules.appraisal.condition import condition_of
from markrules.knowledge.observation import ASKED, Observation
from markrules.language.builtin import STATED_CONDITION
from markrules.language.slots import REMARK
from markrules.sheets.as_noted import name_of
from markrules.sheets.attribution import attribution
from markrules.sheets.claims import check_text
from markrules.sheets.concluded import concluded_part
from markrules.sheets.discretion import discreet
from markrules.sheets.fingerprint import fingerprint, short
from markrules.sheets.listing import BENCH, flaws_as_noted, when_told
from markrules.sheets.matter import Footnotes, Owner, SeenLine, SheetMatter, SheetPhoto
from markrules.sheets.object_id import completeness
from markrules.telling.words import capital, day, listed, plain, value_words, visible

MOST_CAUTIONS = 6
LONGEST = 1200
"""Characters of a note or of what was told that a sheet shows: beyond, it says that it goes on."""

Data = dict[str, Any]


def content(matter: SheetMatter) -> Data:
    """All that a sheet says, as dictionaries, lists and strings, ready for `json.dumps`."""
    notes = Footnotes(matter.base)
    digest = fingerprint(matter)
    matter = matter if matter.people else discreet(matter)
    seen = _seen_part(matter, notes)
    concluded = concluded_part(matter, notes)
    cautions = _cautions(matter, notes)
    return {
        "heading": heading(matter),
        "subheading": _subheading(matter),
        "identity": _identity(matter),
        "fingerprint": short(digest),
        "digest": digest,
        "knowledge": visible(matter.reading.knowledge_version),
        "seen": seen,
        "concluded": concluded,
        "told": _told(matter),
        "cautions": cautions,
        "missing": [[each.name, each.ask] for each in completeness(matter) if each.missing],
        "sources": notes.texts,
    }


def heading(matter: SheetMatter) -> str:
    """The name of the piece: its own title, or what kind of piece it is."""
    return visible(matter.title) or capital(name_of(matter)) or "Piece of jewelry"


def _subheading(matter: SheetMatter) -> str:
    found = attribution(matter.base, matter.reading)
    kind = plain(matter.reading.piece_type)
    when = when_told(matter) if matter.reading.evidence else "date not known"
    parts = [kind if matter.title else "", set_words(matter), found.words, when]
    return capital(", ".join(part for part in parts if part))


def set_words(matter: SheetMatter) -> str:
    """`one of a set with earrings and a bracelet`, or `alone here`; empty for a piece of none."""
    if not matter.of_set:
        return ""
    # The others may have left: nothing is promised with it.
    with_it = f"with {listed(matter.mates)}" if matter.mates else "alone here"
    return f"one of a set {with_it}"


def _identity(matter: SheetMatter) -> list[list[str]]:
    number = f", piece {matter.number}" if matter.number is not None else ""
    rows = [
        ["Place", f"{visible(matter.box)}{number}" if matter.box else ""],
        ["Part of the set", visible(matter.of_set)],
        ["Identifier", visible(matter.uid)],
        ["Sheet made", visible(matter.made_on)],
    ]
    return [row for row in rows if row[1]]


# --- Seen ---------------------------------------------------------------------------------------


def _seen_part(matter: SheetMatter, notes: Footnotes) -> Data:
    shown = {each.observation.feature for each in matter.seen if each.observation.state == "seen"}
    lines = [
        each
        for each in matter.seen
        if not _is_told(each.observation)
        and each.observation.feature != REMARK
        # Where something is seen of a feature, `none` was said of one part: clear stone not tested.
        and not (each.observation.state == "absent" and each.observation.feature in shown)
    ]
    own = flaws_as_noted(matter)
    faults = [
        {
            "say": capital(own[each.fault]) + "." if own.get(each.fault) else visible(each.say),
            "severity": each.severity,
            "cites": notes.numbers_of(each.cites),
        }
        for each in matter.reading.faults
    ]
    return {
        "rows": [
            _seen_row(matter, each, own)
            for each in lines
            if each.observation.feature != STATED_CONDITION  # told with the faults
        ],
        "who": _who(lines),
        "photos": [_photo(number, each) for number, each in enumerate(matter.photos, 1)],
        "faults": faults,
        "condition": _condition(matter),
        "not_understood": [visible(each) for each in matter.reading.not_understood],
    }


def _condition(matter: SheetMatter) -> list[str]:
    """What the piece was called, by whoever had it in hand, and whether faults contradict it."""
    found = condition_of(matter.base, matter.reading)
    called = [
        f"Stated: “{visible(each.words)}”, taken as {each.grade.words}."
        for each in found.said
        if not each.told
    ]
    return [*called, *([visible(found.against)] if found.against else [])]


def _seen_row(matter: SheetMatter, line: SeenLine, flaws: Mapping[str, str]) -> Data:
    """A line; `flaws` are the observer's words of each fault."""
    observation = line.observation
    said = value_words(matter.base, observation)
    words = observation.words
    if observation.feature == "fault" and observation.state == "seen" and words:
        # A fault stands for many of its kind: what was seen is what the words say.
        said = flaws.get(observation.value) or words
    elif _is_unnamed(observation) and words:
        said = words
    own = words if words and words.casefold() not in said.casefold() else ""
    if own == f"{observation.feature}={observation.value}":
        own = ""  # entered as a field, and so in no words
    return {
        "what": visible(plain(observation.feature)),
        "said": visible(said),
        "words": visible(own),
        "sure": _how_sure(matter, observation, said),
        "who": visible(line.who),
        "when": visible(day(line.when)),
        "photo": str(line.photo + 1) if line.photo is not None else "",
    }


def _is_unnamed(observation: Observation) -> bool:
    """Whether the value stands for what is of no kind told: the note says it better."""
    value = observation.value
    return observation.state == "seen" and (value.endswith("-unnamed") or "-of-no-told-" in value)


def _how_sure(matter: SheetMatter, observation: Observation, said: str) -> str:
    """A doubt of the observer; of what would go too far in a listing, that it is only noted."""
    if observation.certainty != "sure":
        return visible(observation.certainty)
    feature = matter.base.features.get(observation.feature)
    if feature is None or feature.kind not in ("choice", "many") or observation.state != "seen":
        return ""
    return "as noted, not proved" if check_text(matter.base, said, matter.reading) else ""


def _who(lines: Sequence[SeenLine]) -> str:
    """Who saw it and when, where that is the same for every line; else empty."""
    told = {(each.who, day(each.when)) for each in lines}
    if len(told) != 1:
        return ""
    who, when = told.pop()
    by = f"by {visible(who)}" if who else ""
    on = f"on {visible(when)}" if when else ""
    return " ".join(part for part in (by, on) if part) or "by whom and when is not recorded"


def _photo(number: int, photo: SheetPhoto) -> Data:
    return {
        "number": number,
        "place": visible(photo.place),
        "width": photo.width,
        "height": photo.height,
        "pins": [
            {"x": round(100 * x, 1), "y": round(100 * y, 1), "words": visible(words)}
            for x, y, words in photo.pins
        ],
    }


# --- Told, and cautions ---------------------------------------------------------------------------


def _is_told(observation: Observation) -> bool:
    """Whether somebody only said it: a name before the piece may stand on it or not."""
    return observation.heard or observation.assumed == ASKED


def _stands_in(text: str, other: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(text)}(?!\w)", other) is not None


def _told(matter: SheetMatter) -> Data:
    """What was told, each thing once; a note taken over whole holds more than that."""
    told = "" if matter.told.strip() == matter.note.strip() else matter.told
    heard = [
        each
        for each in matter.seen
        if _is_told(each.observation)
        and (each.observation.words or each.observation.value) not in told
    ]
    said = [each.observation.words or each.observation.value for each in heard]
    lines = [
        {"text": visible(text), "who": visible(each.who), "when": visible(day(each.when))}
        for each, text in zip(heard, said, strict=True)
        # A place within a sentence that was told is told by that.
        if not any(text != other and _stands_in(text, other) for other in said)
    ]
    return {
        "text": visible(_cut(told)),
        "lines": lines,
        "note": visible(_cut(matter.note)),
        "chain": [step for step in map(_owner, matter.owners) if step["how"] or step["dated"]],
    }


def _cut(text: str) -> str:
    if len(text) <= LONGEST:
        return text
    return f"{text[:LONGEST]} … (goes on for {len(text) - LONGEST:,} more characters)"


def _owner(owner: Owner) -> Data:
    what = "with the whole box" if owner.of_box else ""
    parts = [
        visible(owner.where),
        f"from {visible(owner.who_from)}" if owner.who_from else "",
        what,
        visible(owner.note),
    ]
    return {
        "when": visible(owner.when) or "undated",
        "dated": bool(owner.when),
        "how": ", ".join(part for part in parts if part),
    }


def _cautions(matter: SheetMatter, notes: Footnotes) -> list[Data]:
    """Dangers and care; law concerns who sells, and stands beside the listing, and what threatens
    at the bench concerns who mends.
    """
    order = {"hazard": 0, "care": 1}
    at_bench = {each.name for each in matter.base.cautions.values() if each.where == BENCH}
    for_all = (
        each
        for each in matter.reading.cautions
        if each.level != "law" and each.caution not in at_bench
    )
    found = sorted(for_all, key=lambda each: order.get(each.level, 3))
    return [
        {
            "level": each.level,
            "say": visible(each.say),
            "cites": notes.numbers_of(each.cites),
        }
        for each in found[:MOST_CAUTIONS]
    ]
