"""Gathers what a sheet needs: from a note alone, or from a piece in a catalogue."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from markrules.inference.reading import Citation, Reading
from markrules.knowledge.observation import Observation
from markrules.language.tree import Mark
from markrules.marks.reading_syntax import MarkSyntaxError
from markrules.marks.results import MarkResult
from markrules.reading.reader import Reader, Request
from markrules.sheets.matter import MarkBeside, Owner, SeenLine, SheetMatter, SheetPhoto, citations
from markrules.sheets.page_photos import shrunk
from markrules.tasks.entering import PIECE
from markrules.tasks.relief_of_mark import HEIGHT
from markrules.telling.words import plain

if TYPE_CHECKING:
    from markrules.catalogue.records import Acquisition, Box, Photo, Piece, Seen
    from markrules.catalogue.store import Catalogue

MOST_PHOTOS = 4
MOST_MARKS = 4


def matter_from_note(
    reader: Reader,
    request: Request,
    *,
    who: str = "",
    when: str = "",
    told: str = "",
    title: str = "",
    photos: Sequence[tuple[bytes, str]] = (),
    made_on: str = "",
    people: bool = False,
) -> SheetMatter:
    """A piece that is in no catalogue. `photos` are (bytes, place).

    Raises PictureProblem where a photo cannot be taken.
    """
    reading = reader.read(request)
    seen = tuple(SeenLine(each, who, when) for each in reading.observations)
    return SheetMatter(
        reading=reading,
        base=reader.base,
        seen=seen,
        metals=reader.metals(reading.observations),
        marks=marks_beside(reader, reading),
        photos=tuple(_photo(data, place) for data, place in photos[:MOST_PHOTOS]),
        told=told,
        note=request.note,
        account=reading.account,
        title=title,
        made_on=made_on,
        people=people,
    )


def matter_of(
    catalogue: Catalogue,
    reader: Reader,
    box: Box,
    piece: Piece,
    made_on: str = "",
    people: bool = False,
) -> SheetMatter:
    """A piece of a catalogue, read now by the reader's knowledge.

    With `people`, what is made of it shows names of people and addresses.
    """
    from markrules.tasks.reading_pieces import read_evidence

    reading = read_evidence(reader, catalogue.readings.evidence(piece))
    lines = catalogue.log.seen_on(piece)
    photos = _for_sheet(catalogue.photos.of(piece))
    return SheetMatter(
        reading=reading,
        base=reader.base,
        seen=_seen_lines(lines, photos),
        metals=reader.metals(reading.observations),
        marks=marks_beside(reader, reading),
        photos=tuple(_kept_photo(catalogue, each, lines, photos) for each in photos),
        owners=_owners((*catalogue.money.acquisitions(box), *catalogue.money.acquisitions(piece))),
        told=piece.told,
        note=piece.note,
        account=reader.understand(piece.note).account,
        title=piece.title,
        uid=piece.uid,
        box=box.name,
        number=piece.number,
        made_on=made_on,
        people=people,
        of_set=next((each.name for each in catalogue.sets.all() if each.id == piece.set), ""),
        mates=_mates(catalogue, reader, piece),
    )


def matters_of_set(
    catalogue: Catalogue, reader: Reader, name: str, made_on: str = "", people: bool = False
) -> tuple[str, tuple[SheetMatter, ...]]:
    """The name of a set and its pieces, in the order of their boxes and numbers.

    Raises CatalogueProblem, with the nearest name, where no set with pieces is called so.
    """
    from markrules.catalogue.problems import CatalogueProblem
    from markrules.reading.observing import nearest

    wanted = " ".join(name.casefold().split())
    sets = {each.name.casefold(): each for each in catalogue.sets.all()}
    found = sets.get(wanted)
    pieces = catalogue.sets.pieces_of_set(found.id) if found is not None else ()
    if found is None or not pieces:
        near = nearest(wanted, sets) if found is None else None
        hint = f'; nearest: "{sets[near].name}"' if near else ""
        say = "" if hint else ': markrules piece set "leaf set" BOX 3 4'
        what = "has no piece in it any more" if found is not None else "is not there"
        raise CatalogueProblem(f'set "{name[:80]}" {what}{hint}{say}')
    return found.name, tuple(
        matter_of(catalogue, reader, catalogue.boxes.by_id(piece.box), piece, made_on, people)
        for piece in pieces
    )


def _mates(catalogue: Catalogue, reader: Reader, piece: Piece) -> tuple[str, ...]:
    """What the other pieces of the set are, each in a word or two."""
    if not piece.set:
        return ()
    others = [each for each in catalogue.sets.pieces_of_set(piece.set) if each.id != piece.id]
    return tuple(_kind(catalogue, reader, each) for each in others)


def _kind(catalogue: Catalogue, reader: Reader, piece: Piece) -> str:
    seen = catalogue.readings.evidence(piece).observations
    named = next((each.value for each in seen if each.feature == PIECE), "")
    return plain(named or reader.understand(piece.note).piece_type) or piece.title or "a piece"


def _seen_lines(lines: Sequence[Seen], photos: Sequence[Photo]) -> tuple[SeenLine, ...]:
    places = {photo.id: at for at, photo in enumerate(photos)}
    pinned = {line: at for at, photo in enumerate(photos) for _, _, line in photo.pins}
    return tuple(
        SeenLine(
            each.observation,
            each.who,
            each.when,
            places.get(each.photo or 0, pinned.get(each.id)),
        )
        for each in lines
    )


def _owners(found: Iterable[Acquisition]) -> tuple[Owner, ...]:
    """The steps in the order of their dates, those without a date first."""
    steps = [
        Owner(each.when, each.where, each.who_from, each.note, each.piece is None) for each in found
    ]
    return tuple(sorted(steps, key=lambda each: each.when))


# --- Photos ---------------------------------------------------------------------------------------


def _photo(data: bytes, place: str) -> SheetPhoto:
    picture, width, height = shrunk(data)
    digest = hashlib.sha256(data).hexdigest()
    return SheetPhoto(picture, "image/jpeg", width, height, digest, place)


def _kept_photo(
    catalogue: Catalogue, photo: Photo, lines: Sequence[Seen], shown: Sequence[Photo]
) -> SheetPhoto:
    data, width, height = shrunk(catalogue.photos.picture(photo.digest))
    words = {each.id: _pin_words(each.observation) for each in lines}
    pins = tuple((x, y, words[line]) for x, y, line in photo.pins if line in words)
    place = _made_from(photo, shown) or photo.place
    return SheetPhoto(data, "image/jpeg", width, height, photo.digest, place, pins)


def _for_sheet(photos: Sequence[Photo]) -> tuple[Photo, ...]:
    """The photos that a sheet has room for, in their order.

    Photos that only served to work out a relief come after those of the piece and the relief.
    """
    made = [each.made_from for each in photos if each.made_from is not None]
    served = {number for each in made for number in each.photos}
    first = [each for each in photos if each.id not in served and not _is_aside(each)]
    last = [each for each in photos if each not in first]
    return tuple(sorted([*first, *last][:MOST_PHOTOS], key=lambda each: each.id))


def _is_aside(photo: Photo) -> bool:
    return photo.made_from is not None and photo.made_from.shows != HEIGHT


def _made_from(photo: Photo, shown: Sequence[Photo]) -> str:
    """What a picture worked out from other photos is called on a sheet; empty for a photo."""
    if photo.made_from is None:
        return ""
    numbers = {each.id: str(at) for at, each in enumerate(shown, 1)}
    from_which = [numbers[each] for each in photo.made_from.photos if each in numbers]
    whole = len(from_which) == len(photo.made_from.photos)
    named = f"photos {', '.join(from_which)}" if whole else f"{len(photo.made_from.photos)} photos"
    return f"{photo.place}: no photo, but worked out from {named} lit from several sides"


def _pin_words(observation: Observation) -> str:
    return f"{observation.feature}: {observation.value}".replace("-", " ")


# --- Marks ----------------------------------------------------------------------------------------


def marks_beside(reader: Reader, reading: Reading) -> tuple[MarkBeside, ...]:
    """Each text read on the piece, beside the recorded mark that stands behind the reading."""
    likely = {each.maker: each.probability for each in reading.makers if each.maker}
    if not likely:
        return ()
    texts = [each.value for each in reading.observations if each.is_read_mark]
    found = [_beside(reader, text, likely) for text in dict.fromkeys(texts)]
    return tuple(each for each in found if each is not None)[:MOST_MARKS]


def _beside(reader: Reader, text: str, likely: dict[str, float]) -> MarkBeside | None:
    try:
        results = reader.marks.search(text, 5).results
    except MarkSyntaxError:
        return None
    for result in results:
        if result.maker in likely and result.aligned is not None:
            return _mark(reader, text, result, likely[result.maker])
    return None


def _mark(reader: Reader, text: str, result: MarkResult, probability: float) -> MarkBeside | None:
    aligned = result.aligned
    if aligned is None:
        return None
    return MarkBeside(
        text=text,
        maker=result.title,
        recorded=result.text,
        read=aligned.read,
        agreement=aligned.agreement,
        struck=aligned.struck,
        probability=probability,
        cites=_cites(reader, result.maker, result.mark),
    )


def _cites(reader: Reader, maker: str, name: str) -> tuple[Citation, ...]:
    entry = reader.base.makers.get(maker)
    if entry is None:
        return ()
    marks: list[Mark] = [each for each in entry.marks if each.name == name and each.cites]
    return citations(reader.base, (marks[0].cites if marks else entry.cites)[:2])
