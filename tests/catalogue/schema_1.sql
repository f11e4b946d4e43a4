-- The tables as schema 1 made them: a file of that age must still open.
create table box (
    id integer primary key,
    name text not null unique check (name <> ''),
    note text not null default '',
    added text not null
);
create table piece_set (
    id integer primary key,
    name text not null,
    note text not null default ''
);
create table piece (
    id integer primary key,
    uid text not null unique,
    box_id integer not null references box (id),
    number integer not null check (number > 0),
    title text not null default '',
    note text not null default '',
    told text not null default '',
    set_id integer references piece_set (id),
    added text not null,
    gone text not null default '',
    unique (box_id, number)
);
create table picture (
    digest text primary key,
    media_type text not null,
    width integer not null,
    height integer not null,
    bytes blob not null,
    thumbnail blob not null
) without rowid;
create table photo (
    id integer primary key,
    piece_id integer not null references piece (id),
    digest text not null references picture (digest),
    place text not null default '',
    added text not null,
    gone text not null default ''
);
create index photo_of_piece on photo (piece_id);
create table seen (
    id integer primary key,
    piece_id integer not null references piece (id),
    feature text not null,
    value text not null default '',
    state text not null default 'seen' check (state in ('seen', 'absent', 'ruled-out')),
    number real,
    first_year integer,
    last_year integer,
    weights text not null default '[]',
    certainty text not null default 'sure',
    heard integer not null default 0,
    words text not null default '',
    assumed text not null default '',
    who text not null default '',
    moment text not null,
    photo_id integer references photo (id),
    corrects integer references seen (id),
    withdrawn integer not null default 0,
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
create table pin (
    id integer primary key,
    photo_id integer not null references photo (id),
    seen_id integer not null references seen (id),
    x real not null check (x between 0 and 1),
    y real not null check (y between 0 and 1)
);
create table reading (
    id integer primary key,
    piece_id integer not null references piece (id),
    moment text not null,
    knowledge_version text not null,
    evidence text not null,
    first_year integer not null,
    last_year integer not null,
    maker text not null default '',
    maker_probability real not null default 0,
    gain_bits real not null default 0,
    data text not null
);
create index reading_of_piece on reading (piece_id, id);
create table acquisition (
    id integer primary key,
    box_id integer references box (id),
    piece_id integer references piece (id),
    day text not null default '',
    place text not null default '',
    who_from text not null default '',
    cost_minor integer,
    currency text not null default '',
    note text not null default '',
    check ((box_id is null) <> (piece_id is null))
);
create table sale (
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
create table spare_stone (
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
create table decision (
    id integer primary key,
    piece_id integer not null references piece (id),
    moment text not null,
    who text not null default '',
    choice text not null,
    reason text not null default '',
    sums text not null default '{}'
);
create index decision_of_piece on decision (piece_id, id);
create table step (
    id integer primary key,
    moment text not null,
    who text not null default '',
    what text not null,
    undoes text not null default '[]',
    undone text not null default ''
);
create table figure (
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
