"""The catalogue's tables, and the steps that bring an older file up to date.

Names are plain, so that the file reads well in any SQLite browser. Money is kept in minor
units (cents, pence) as whole numbers; moments are ISO 8601 text in UTC; years are numbers.
`SCHEMA_VERSION` stands in the file as PRAGMA user_version.
"""

from __future__ import annotations

import sqlite3

SCHEMA_VERSION = 8

APPLICATION_ID = 0x6D726B72
"""PRAGMA application_id of a catalogue: the letters `mrkr`."""

_FIRST = """
create table box ( -- a box, tin or tray of pieces
    id integer primary key,
    name text not null unique check (name <> ''),
    note text not null default '',
    added text not null
);
create table piece_set ( -- pieces that belong together
    id integer primary key,
    name text not null,
    note text not null default ''
);
create table piece ( -- a pair of earrings is one piece
    id integer primary key,
    uid text not null unique, -- its own identifier, the same in every copy of the catalogue
    box_id integer not null references box (id),
    number integer not null check (number > 0), -- within its box
    title text not null default '',
    note text not null default '', -- the words it was entered with, never changed
    told text not null default '', -- what an owner or seller said, apart from what was seen
    set_id integer references piece_set (id),
    added text not null,
    gone text not null default '', -- when it left the box; empty while it is there
    unique (box_id, number)
);
create table picture ( -- the bytes of photos, each picture once
    digest text primary key, -- SHA-256 of the bytes
    media_type text not null,
    width integer not null,
    height integer not null,
    bytes blob not null,
    thumbnail blob not null
) without rowid;
create table photo ( -- a picture of a piece
    id integer primary key,
    piece_id integer not null references piece (id),
    digest text not null references picture (digest),
    place text not null default '', -- what it shows: back, mark
    added text not null,
    gone text not null default ''
);
create index photo_of_piece on photo (piece_id);
create table seen ( -- the log of what was seen: it only grows
    id integer primary key,
    piece_id integer not null references piece (id),
    feature text not null, -- a feature of the rules
    value text not null default '',
    state text not null default 'seen' check (state in ('seen', 'absent', 'ruled-out')),
    number real, -- in the feature's own unit
    first_year integer,
    last_year integer,
    weights text not null default '[]',
    certainty text not null default 'sure',
    heard integer not null default 0, -- 1: told, not seen; 2: seen on a later part; neither counts
    words text not null default '', -- the words that said it
    assumed text not null default '', -- what was taken for granted to understand them
    who text not null default '',
    moment text not null,
    photo_id integer references photo (id),
    corrects integer references seen (id), -- the line that it takes the place of
    withdrawn integer not null default 0, -- 1: takes that line back, and says nothing itself
    step_id integer references step (id)
);
create index seen_of_piece on seen (piece_id);
create index seen_corrected on seen (corrects);
create trigger seen_is_never_changed before update on seen
begin
    select raise(abort, 'the log of what was seen only grows: add a correction');
end;
create trigger seen_is_never_erased before delete on seen
begin
    select raise(abort, 'the log of what was seen only grows: add a correction');
end;
create table pin ( -- ties a line of the log to a place on a photo
    id integer primary key,
    photo_id integer not null references photo (id),
    seen_id integer not null references seen (id),
    x real not null check (x between 0 and 1),
    y real not null check (y between 0 and 1)
);
create table reading ( -- each reading as it was given; the last one of a piece counts
    id integer primary key,
    piece_id integer not null references piece (id),
    moment text not null,
    knowledge_version text not null,
    evidence text not null, -- SHA-256 over what stood in the log
    first_year integer not null,
    last_year integer not null,
    maker text not null default '',
    maker_probability real not null default 0,
    gain_bits real not null default 0, -- what the best next look is expected to tell
    data text not null -- the whole reading as JSON
);
create index reading_of_piece on reading (piece_id, id);
create table acquisition ( -- how a box or a piece came in
    id integer primary key,
    box_id integer references box (id),
    piece_id integer references piece (id),
    day text not null default '',
    place text not null default '',
    who_from text not null default '',
    cost_minor integer, -- cents, pence: minor units of the currency
    currency text not null default '',
    note text not null default '',
    check ((box_id is null) <> (piece_id is null))
);
create table sale ( -- a sold price: of a piece here, or of another like it
    id integer primary key,
    piece_id integer references piece (id),
    day text not null,
    price_minor integer not null check (price_minor >= 0),
    currency text not null,
    maker text not null default '',
    piece_type text not null default '',
    first_year integer,
    last_year integer,
    condition text not null default '',
    signed integer,
    note text not null default '',
    link text not null default ''
);
create table spare_stone ( -- the tin of stones
    id integer primary key,
    shape text not null,
    size_mm real,
    size_code text not null default '',
    colour text not null default '',
    lab_l real,
    lab_a real,
    lab_b real,
    cut text not null default '',
    back text not null default '',
    count integer not null check (count >= 0),
    from_piece_id integer references piece (id),
    note text not null default ''
);
create table decision ( -- what to do with a piece; the last one counts
    id integer primary key,
    piece_id integer not null references piece (id),
    moment text not null,
    who text not null default '',
    choice text not null,
    reason text not null default '',
    sums text not null default '{}' -- JSON
);
create index decision_of_piece on decision (piece_id, id);
create table step ( -- every change, and what takes it back
    id integer primary key,
    moment text not null,
    who text not null default '',
    what text not null,
    undoes text not null default '[]', -- JSON
    undone text not null default '' -- when, and by which step, it was taken back
);
create table figure ( -- the user's own figures: fees, postage and the like
    name text primary key,
    value text not null
) without rowid;
create virtual table piece_text using fts5 (
    title, note, told, marks, tokenize = 'unicode61 remove_diacritics 2'
);
create trigger piece_text_new after insert on piece
begin
    insert into piece_text (rowid, title, note, told, marks)
    values (new.id, new.title, new.note, new.told, '');
end;
create trigger piece_text_changed after update of title, note, told on piece
begin
    update piece_text set title = new.title, note = new.note, told = new.told
    where rowid = new.id;
end;
create trigger piece_text_mark after insert on seen when new.feature = 'mark'
begin
    update piece_text set marks = marks || ' ' || new.value where rowid = new.piece_id;
end;
"""

_SECOND = """
alter table box add column gone text not null default '';
alter table piece add column gone_why text not null default '';
alter table piece add column not_understood text not null default '[]';
alter table piece_set add column gone text not null default '';
alter table pin add column gone text not null default '';
alter table reading add column log_line integer not null default 0;
alter table acquisition add column gone text not null default '';
alter table sale add column gone text not null default '';
alter table spare_stone add column gone text not null default '';
alter table decision add column gone text not null default '';
create index piece_of_set on piece (set_id) where set_id is not null;
create index pin_of_photo on pin (photo_id);
create index acquisition_of_piece on acquisition (piece_id) where piece_id is not null;
create index sale_of_piece on sale (piece_id) where piece_id is not null;
create index mark_seen on seen (piece_id) where feature = 'mark';
create index step_not_undone on step (id) where undone = '';
create view standing_piece as
    select box.name as box, piece.number, piece.title, piece.note, piece.told,
        piece_set.name as in_set, piece.added, piece.gone, piece.gone_why, piece.uid, piece.id
    from piece join box on box.id = piece.box_id
        left join piece_set on piece_set.id = piece.set_id;
create view latest_reading as
    select box.name as box, piece.number, reading.first_year, reading.last_year, reading.maker,
        reading.maker_probability, reading.moment, reading.knowledge_version, reading.id,
        reading.piece_id
    from reading join piece on piece.id = reading.piece_id join box on box.id = piece.box_id
    where reading.id = (select max(id) from reading as other where other.piece_id = piece.id);
"""

_THIRD = """
alter table step add column browser text not null default '';
alter table step add column log_line integer not null default 0;
alter table step add column log_hash text not null default '';
"""

_FOURTH = """
alter table photo add column made_from text not null default ''; -- of a picture worked out: JSON
"""

_FIFTH = """
alter table sale add column venue text not null default '';
alter table sale add column fees_minor integer; -- what the venue kept
alter table sale add column postage_minor integer; -- what sending it cost
alter table sale add column paid_postage_minor integer; -- what the buyer paid for sending
alter table sale add column material text not null default '';
alter table sale add column size_mm real; -- the largest measure
alter table sale add column subject text not null default '';
alter table sale add column pieces integer not null default 1; -- sold together; the price is a part
alter table sale add column returned text not null default ''; -- the day it came back
create table event ( -- what became of a piece: the last of each kind counts
    id integer primary key,
    piece_id integer not null references piece (id),
    sale_id integer references sale (id),
    kind text not null check (kind in ('listed', 'unlisted', 'stored', 'returned')),
    day text not null default '',
    place text not null default '', -- the venue, or the shelf and bag
    price_minor integer, -- the asking price
    currency text not null default '',
    note text not null default '',
    who text not null default '',
    moment text not null,
    gone text not null default ''
);
create index event_of_piece on event (piece_id, id);
"""

_SIXTH = """
alter table reading add column piece_type text not null default ''; -- as read
alter table reading add column faults text not null default ''; -- those that hold, ' a b '
update reading set
    piece_type = coalesce(json_extract(data, '$.piece_type'), ''),
    faults = coalesce((select ' ' || group_concat(json_extract(value, '$.fault'), ' ') || ' '
        from json_each(data, '$.faults')), '')
    where json_valid(data);
create table passed ( -- questions that somebody could not answer on a piece: not asked again
    id integer primary key,
    piece_id integer not null references piece (id),
    feature text not null, -- a feature of the rules
    who text not null default '',
    moment text not null,
    gone text not null default ''
);
create index passed_on_piece on passed (piece_id);
create index reading_listed on reading (piece_id, id, first_year, last_year, maker,
    maker_probability, gain_bits, piece_type, faults);
drop index reading_of_piece;
create index decision_listed on decision (piece_id, gone, id, choice);
drop index decision_of_piece;
"""

_SEVENTH = """
create table original ( -- photos as they were given, every byte unchanged: they stay in this file
    digest text primary key, -- SHA-256 of the bytes
    media_type text not null,
    bytes blob not null
) without rowid;
alter table photo add column original text references original (digest); -- none: not kept
"""

_EIGHTH = """
alter table piece add column own_number text not null default ''; -- the owner's own: BR-0014
create index piece_of_own_number on piece (own_number collate nocase) where own_number <> '';
"""

MIGRATIONS: tuple[str, ...] = (
    *(_FIRST, _SECOND, _THIRD, _FOURTH, _FIFTH, _SIXTH, _SEVENTH, _EIGHTH),
)
"""Step i brings a file from version i to i + 1; a new file takes them all."""


def statements(script: str) -> list[str]:
    """The statements of a script; a trigger's body counts as one statement."""
    found, current = [], ""
    for line in script.splitlines(keepends=True):
        current += line
        if sqlite3.complete_statement(current):
            if current.strip():
                found.append(current.strip())
            current = ""
    return found
