"""Which type of piece a note is of: named, told by parts that it alone has, or a set listed."""

from __future__ import annotations

from collections.abc import Mapping

from markrules.knowledge.observation import Observation
from markrules.notes.saying import Open, Said
from markrules.notes.segments import Segment
from markrules.notes.settling import Place
from markrules.notes.vocabulary import (
    SEVERAL_PIECES,
    Vocabulary,
)

MOST_LISTED = 6
"""Segments at the beginning of a note in which pieces of a set are looked for."""


def piece_named(vocabulary: Vocabulary, parts: list[Said]) -> tuple[str, str]:
    """The piece type, and another one that the same words could mean.

    The first segment that names a type decides; of several names side by side the last one
    (`locket pendant`), else the first. What may be a part as well is one where a later segment
    names what it is a part of: `clips, earrings`.
    """
    for at, part in enumerate(parts):
        whole = _whole_of(vocabulary, part, parts[at + 1 :])
        if whole:
            return whole, ""
        if part.pieces:
            piece = part.pieces[0][0]
            for name, adjoining in part.pieces[1:]:
                if _holds_several(vocabulary, piece):  # `parure: necklace, earrings`
                    return piece, ""
                if not adjoining:
                    return piece, "" if name == piece else name
                piece = name
            return piece, ""
    return "", ""


def _whole_of(vocabulary: Vocabulary, part: Said, later: list[Said]) -> str:
    """The type that a later segment names, where the only piece of this one may be a part of it."""
    if len(part.pieces) != 1:
        return ""
    for portion in part.account:
        seen = [part.order[place] for place in portion.order if portion.pieces]
        names = {each.feature for each in seen if isinstance(each, Observation)}
        names |= {name for each in seen if isinstance(each, Open) for name, _ in each.choices}
        features = [vocabulary.feature(name) for name in names]
        on = {each.name for feature in features if feature is not None for each in feature.on}
        for name in (name for other in later for name, _ in other.pieces):
            if on & set(vocabulary.base.broader(name)) and part.pieces[0][0] not in on:
                return name
    return ""


def type_by_its_parts(vocabulary: Vocabulary, told: Mapping[Place, Observation]) -> str:
    """The piece type of a note that names none, where what was seen of a part is found on no
    other: a catch is that of a brooch. Nothing where parts tell of several types.

    Of the types on which a part is found the broad ones count, right below the one of all
    pieces: a narrow one is only met where it was named.
    """
    base = vocabulary.base
    types: set[str] | None = None
    for each in told.values():
        feature = vocabulary.feature(each.feature)
        if (
            feature is None
            or not feature.on
            or each.state != "seen"
            or each.heard
            or each.assumed
            or each.certainty != vocabulary.sure
        ):
            continue
        on = [on.name for on in feature.on if not _holds_several(vocabulary, on.name)]
        broad = {name for name in on if len(base.broader(name)) == 2}
        found = broad or set(on)
        types = found if types is None else types & found
    return types.pop() if types is not None and len(types) == 1 else ""


def listed_together(vocabulary: Vocabulary, parts: list[Said], segments: list[Segment]) -> str:
    """The type that holds several pieces, where a note begins with a list of them, else nothing.

    `Necklace, bracelet and earrings`: all but the last words of the list name one piece each.
    `Set: necklace and earrings` needs no more than a piece after it.
    """
    beginning = segments[0].text.casefold() if segments else ""
    if beginning.startswith(tuple(f"{each}:" for each in SEVERAL_PIECES)) and parts[0].pieces:
        held = any(_holds_several(vocabulary, name) for name, _ in parts[0].pieces)
        return "" if held else SEVERAL_PIECES[0]
    if len(segments) > 1 and segments[1].text.strip().casefold() in SEVERAL_PIECES:
        beginning = f"{beginning} {segments[1].text.strip().casefold()}"
    if parts and _is_one_with_another(vocabulary, parts[0], beginning):
        return SEVERAL_PIECES[0]
    for index, part in enumerate(parts[:MOST_LISTED]):
        if index and not segments[index].goes_on:
            break
        told = next((each for each in part.account if each.lot != "neutral" or each.pieces), None)
        names = told.pieces if told is not None else ()
        if index and any(_holds_several(vocabulary, each) for each in names):
            return SEVERAL_PIECES[0]
        if index and _is_one_with_another(vocabulary, part, segments[index].text.casefold()):
            return SEVERAL_PIECES[0]
        if len(part.pieces) != 1 or _holds_several(vocabulary, part.pieces[0][0]):
            break
    return ""


def _is_one_with_another(vocabulary: Vocabulary, part: Said, text: str) -> bool:
    """Whether a segment joins two pieces that belong together: `necklace and clip earrings set`,
    `necklace and matching clip earrings`, `set of necklace and clip earrings`.
    """
    words = text.replace("&", " and ").split()
    headed = [at for at, word in enumerate(words[:3]) if word in SEVERAL_PIECES]
    led = bool(headed) and words[headed[0] + 1 : headed[0] + 2] == ["of"]
    if not words or not (words[-1] in SEVERAL_PIECES or "matching" in words or led):
        return False
    names = {name for name, _ in part.pieces}
    alone = not any(_holds_several(vocabulary, name) for name in names)
    return len(names) > 1 and alone and "and" in words


def _holds_several(vocabulary: Vocabulary, piece: str) -> bool:
    return not set(vocabulary.base.broader(piece)).isdisjoint(SEVERAL_PIECES)
