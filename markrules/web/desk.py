"""What all pages share: the knowledge, the catalogue, the templates, and one visit to a page."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Mapping
from contextlib import AbstractContextManager
from dataclasses import field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from starlette.responses import HTMLResponse, RedirectResponse, Response

from markrules.catalogue.readings import NewReading, PieceEvidence
from markrules.catalogue.records import Piece
from markrules.catalogue.store import Catalogue
from markrules.frozen import dataclass
from markrules.inference.chances import percent
from markrules.inference.reading import NOT_READ, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.reading.reader import Reader, Request
from markrules.tasks.reading_pieces import ReadPieces, new_reading
from markrules.telling import words
from markrules.telling.limits import firm_limits, limits_of_parts, mass_of_years
from markrules.telling.misleading import against, to_bear_in_mind
from markrules.telling.signatures import (
    UNLISTED,
    likely_of_none,
    nearest_listed,
    read_as,
    who_shares,
)
from markrules.web.access import Door, Guests, Seal, Visitor, cookie_name
from markrules.web.added_rules import Added
from markrules.web.box_lines import Lines
from markrules.web.drawing import drawn, lamp_place
from markrules.web.keeping import Keeper
from markrules.web.sent_files import SentFiles
from markrules.web.serving import ServerSettings

if TYPE_CHECKING:
    from jinja2 import Environment

HERE = Path(__file__).parent
FIRST_TEMPLATES = ("base.html", "macros.html", "boxes.html")
TOLD = "told"
"""The cookie that carries what a page tells once, after a form was posted."""
LONGEST_TOLD = 2_000
LONGEST_WAIT = 1.5
"""Seconds after which the tables are made although nobody has asked for a page yet."""


class Refused(Exception):
    """What was asked cannot be done; `status` is that of HTTP, the message is for a person.

    `field` names the field of the form at fault, where it is known.
    """

    def __init__(self, status: int, message: str, field: str = "") -> None:
        """Keep all three."""
        super().__init__(message)
        self.status = status
        self.field = field


@dataclass(frozen=True, slots=True)
class Posted:
    """The fields of a posted form, and the files sent with it by field.

    `every` holds all texts of the form, also those of one name; `names` what the files were
    called, in their order.
    """

    fields: Mapping[str, str] = field(default_factory=dict)
    files: Mapping[str, tuple[bytes, ...]] = field(default_factory=dict)
    every: tuple[tuple[str, str], ...] = ()
    names: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def text(self, name: str, most: int = 20_000) -> str:
        """A field's text without blanks around it. Raises Refused where it is too long."""
        value = self.fields.get(name, "").strip()
        if len(value) > most:
            raise Refused(400, f"{len(value):,} characters here; {most:,} at most", name)
        return value

    def number(self, name: str) -> int:
        """A field that holds a whole number. Raises Refused where it does not."""
        return whole(self.fields.get(name, ""), name)


def whole(text: str, name: str, default: int | None = None) -> int:
    """The whole number in a text, of at most nine digits; `default` stands for an empty one."""
    clean = text.strip()
    if not clean and default is not None:
        return default
    if not (clean.isascii() and clean.isdecimal() and len(clean) <= 9):
        raise Refused(400, f"{name}: a whole number is wanted here", name)
    return int(clean)


class Desk:
    """Everything that lives as long as the server. One reader serves all, one piece at a time."""

    def __init__(self, settings: ServerSettings) -> None:
        """Prepare the desk; the knowledge is opened when first needed."""
        self.settings = settings
        self.seal = Seal()
        self.cookie = cookie_name(settings.hosts)
        self.door = Door(settings.announce) if settings.shared else None
        self.guests = Guests(first_is_host=not settings.own_address)
        self._opening = threading.Lock()
        self._readings: ReadPieces | None = None
        self.keeper = Keeper(settings.catalogue, self.read_to_keep)
        self.lines = Lines()
        self.sent_files = SentFiles()
        self.answered = threading.Event()
        self.added: list[Added] = []

    @property
    def readings(self) -> ReadPieces:
        """Pieces read, one at a time, and remembered for a while; opened when first needed."""
        if self._readings is None:
            with self._opening:
                if self._readings is None:
                    self._readings = ReadPieces(self.settings.open_reader())
        return self._readings

    @property
    def reader(self) -> Reader:
        """The reader over the knowledge."""
        return self.readings.reader

    def renew(self) -> None:
        """Open the knowledge again: the person's own rules have changed."""
        opened = (self.settings.open_anew or self.settings.open_reader)()
        with self._opening:
            self._readings = ReadPieces(opened)

    def read(self, request: Request) -> Reading:
        """A reading; the engine's tables are made by one thread at a time."""
        with self.readings.lock:
            return self.reader.read(request)

    def read_to_keep(self, evidence: PieceEvidence) -> NewReading:
        """The reading of what stands for a piece, ready to be kept; by one thread at a time."""
        with self.readings.lock:
            return new_reading(self.reader, evidence)

    def may_enter(self, visitor: Visitor, address: str) -> bool:
        """Whether this browser may see the pages: all may where nothing is shared.

        Nobody but this computer can talk from its own address, so that one needs no code.
        """
        if self.door is None:
            return True
        if self.settings.own_address and address == self.settings.own_address:
            self.guests.sits_here(visitor, address)
            return True
        return self.guests.saw(visitor, address)

    def is_host(self, visitor: Visitor) -> bool:
        """Whether this browser keeps the table: any does where nothing is shared."""
        return self.door is None or self.guests.is_host(visitor)

    def let_know(self, response: Response, visitor: Visitor) -> None:
        """Let the browser keep who it is; scripts and other sites never see it."""
        value = self.seal.cookie(visitor)
        response.set_cookie(self.cookie, value, httponly=True, samesite="strict", path="/")

    def locked(self) -> AbstractContextManager[bool]:
        """Hold the reader for a longer piece of work."""
        return self.readings.lock

    def warm(self) -> None:
        """Make what most pages need, so that nobody waits for it; the first page goes before."""
        self.answered.wait(LONGEST_WAIT)
        self.read(Request(next_looks=1))
        for name in self.templates.list_templates():
            self.templates.get_template(name)
        with self.readings.lock:
            _ = self.reader.marks

    @cached_property
    def templates(self) -> Environment:
        """The page templates; whatever they are given is escaped."""
        from jinja2 import Environment, FileSystemLoader, StrictUndefined

        from markrules.marks import cells

        pages = Environment(
            loader=FileSystemLoader(HERE / "templates"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            finalize=words.shown,
            auto_reload=False,
        )
        pages.filters.update(
            plain=words.plain,
            chance=percent,
            when=words.moment,
            count_of=words.count_of,
            telling=words.telling,
            capital=words.capital,
        )
        pages.filters["lamp"] = lamp_place
        pages.globals.update(
            years=words.years,
            years_of=words.years_of,
            likeliest=words.likeliest,
            mass_of_years=mass_of_years,
            firm_limits=firm_limits,
            limits_of_parts=limits_of_parts,
            window_years=words.window_years,
            static=self.static,
            drawing=drawn,
        )
        pages.globals.update(
            laid_out=cells.laid_out,
            places_shown=cells.places_shown,
            look_alikes=lambda: cells.look_alikes(self.reader.base),
        )
        pages.globals.update(against=against, to_bear_in_mind=to_bear_in_mind)
        pages.globals.update(
            read_as=read_as,
            nearest_listed=nearest_listed,
            likely_of_none=likely_of_none,
            who_shares=who_shares,
            unlisted=UNLISTED,
            unread_mark=NOT_READ,
        )
        for name in FIRST_TEMPLATES:
            pages.get_template(name)
        return pages

    def static(self, name: str) -> str:
        """The address of a file that pages use; it changes when the file does."""
        return f"/static/{name}?v={self.files[name][1]}"

    @cached_property
    def files(self) -> dict[str, tuple[bytes, str]]:
        """The files that pages use, with a digest of each. Nothing else is ever served."""
        found = {}
        for path in sorted((HERE / "static").iterdir()):
            data = path.read_bytes()
            found[path.name] = data, hashlib.sha256(data).hexdigest()[:12]
        return found


@dataclass(frozen=True, slots=True)
class Visit:
    """One request for a page, with all that its handler needs.

    `fragment` is not empty where a script asks for a part of the page; `list` is that beside it.
    """

    desk: Desk
    catalogue: Catalogue
    visitor: Visitor
    address: str
    path: Mapping[str, str]
    query: Mapping[str, str]
    every: tuple[tuple[str, str], ...] = ()
    form: Posted = field(default_factory=Posted)
    fragment: str = ""
    told: str = ""

    @property
    def base(self) -> KnowledgeBase:
        """The knowledge."""
        return self.desk.reader.base

    @property
    def who(self) -> str:
        """The name that this visitor's entries bear."""
        return self.visitor.who

    @property
    def is_host(self) -> bool:
        """Whether it comes from the browser that keeps the table."""
        return self.desk.is_host(self.visitor)

    def for_host(self, words: str) -> None:
        """Refuse with these words what the host alone may do. Raises Refused."""
        if not self.is_host:
            raise Refused(403, words)

    def piece(self) -> Piece:
        """The piece that the address names."""
        return self.catalogue.pieces.by_uid(self.path["uid"])

    def evidence(self, piece: Piece) -> PieceEvidence:
        """What stands for a piece."""
        return self.catalogue.readings.evidence(piece)

    def page(self, template: str, *, status: int = 200, **values: Any) -> Response:
        """The page, or only the part of it that changes where that is asked for."""
        name = template.replace(".html", "_part.html") if self.fragment else template
        return self.part(name, status=status, **values)

    def part(self, template: str, *, status: int = 200, **values: Any) -> Response:
        """A page or a part of one, as its template has it."""
        given = {
            "visitor": self.visitor,
            "token": self.desk.seal.token(self.visitor),
            "shared": self.desk.settings.shared,
            "query": self.query,
            "told": self.told,
            "rules_left_out": self.base.left_out if self.is_host else (),
            **values,
        }
        return HTMLResponse(self.desk.templates.get_template(template).render(given), status)

    def go(self, address: str, told: str = "") -> Response:
        """Send the browser on, after a form was posted; `told` is shown there, once.

        A script is told where to go, and stays where it is if it can.
        """
        if self.fragment:
            return Response("", 204, {"x-go": address, **({"x-told": quote(told)} if told else {})})
        response = RedirectResponse(address, 303)
        if told:
            kept = quote(told)[:LONGEST_TOLD]
            response.set_cookie(TOLD, kept, max_age=60, httponly=True, samesite="strict", path="/")
        return response
