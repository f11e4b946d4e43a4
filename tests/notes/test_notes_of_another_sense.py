"""Words that beside other words mean something else, and what is left open by the writer."""

from __future__ import annotations

from notes_base import lines, shipped
from together import every_case


def _told(note: str) -> set[str]:
    return {each for each in lines(shipped(note)) if not each.startswith("remark=")}


@every_case(
    ("note", "told"),
    [
        ("ring, hallmarked Chester, 1887", {"hallmark-office=chester", "hallmark-year: 1887"}),
        (
            "brooch, silver, Sheffield, 1906-07.",
            {"metal=silver", "hallmark-office=sheffield", "hallmark-year: 1906"},
        ),
        (
            "brooch, Chester hallmarks, 1887",
            {"hallmark-office=chester", "hallmark-year: 1887"},
        ),
        ("brooch, bought in Chester, 1987", {"had-year: 1987 heard"}),
        ("brooch found in Exeter", set()),
        ("brooch retailed in Newcastle", set()),
    ],
)
def test_a_year_behind_an_office_is_that_of_its_letter_where_nothing_was_bought(
    note: str, told: set[str]
) -> None:
    assert _told(note) == told


@every_case(
    ("note", "never"),
    [
        ("brooch, harvest scene", "fault=broken"),
        ("brooch, bust of a lady", "fault=broken"),
        ("brooch, what a cracking find", "fault=cracked-part"),
        ("bracelet with a safety chain to prevent loss", "fault=missing-safety-chain"),
        ("brooch, a long lost friend gave it me", "fault=missing-part"),
        ("brooch, found in the dining room", "fault=dents"),
        ("brooch, made from scratch", "fault=scratches"),
        ("bracelet with stones in different colours", "fault=mismatched-stones"),
        ("bracelet, panels in a different colour stone", "fault=mismatched-stones"),
        ("necklace with beads of different colors", "fault=mismatched-stones"),
        ("cloisonne beads, hidden box clasp", "mark-state=worn"),
        ("clip on earrings, lots of brass wire at back", "earring-back=shepherd-hook"),
        ("brooch, I was impressed by it", "mark-method=struck-mark"),
        ("brooch, fifty glass beads", "style=fifties-look"),
        ("brooch for a fur coat", "organic=leather"),
        ("brooch, wiped with a soft cloth", "organic=textile"),
        ("brooch, size of a nickel", "metal=nickel-silver"),
        ("brooch, a tortoise with green eyes", "organic=tortoiseshell"),
        ("brooch, brilliant condition", "stone-cut=brilliant-cut"),
        ("brooch, gold in colour", "metal=gold"),
        ("brooch, hair behind a glass panel", "stone-kind=glass"),
        ("brooch, gold tone twisted metal wire", "fault=bent-earring-back"),
    ],
)
def test_what_is_spoken_of_in_passing_is_not_the_piece(note: str, never: str) -> None:
    assert never not in _told(note)


@every_case(
    ("note", "told"),
    [
        ("necklace, clasp bust", "fault=missing-clasp"),
        ("brooch, safety chain lost", "fault=missing-safety-chain"),
        ("brooch, a scratch on the back", "fault=scratches"),
        ("brooch, a knock to one side", "fault=dents"),
        ("earrings, one ear wire is twisted", "fault=bent-earring-back: 1"),
        ("brooch, maker's mark struck twice", "mark-method=struck-mark"),
        ("brooch, fifties style", "style=fifties-look"),
    ],
)
def test_what_is_said_of_the_piece_still_is(note: str, told: str) -> None:
    assert told in _told(note)


@every_case(
    ("note", "told"),
    [
        ("pierced silver brooch", {"technique=pierced", "metal=silver"}),
        ("hammered silver bangle", {"assembly=hammered-sheet", "metal=silver"}),
        ("hollow gold hoop earrings", {"technique=hollow", "metal=gold", "earring-form=hoop-form"}),
        ("enamelled copper brooch", {"enamel=enamel-on-copper", "metal=copper"}),
        ("ring, cabochon garnet", {"gem=carbuncle-garnet", "stone-cut=cabochon"}),
        ("ring, rose diamonds", {"stone-cut=rose-cut", "gem=diamond"}),
        ("bakelite cameo brooch", {"stone-kind=moulded-cameo", "plastic=bakelite"}),
    ],
)
def test_one_phrase_tells_of_two_things(note: str, told: set[str]) -> None:
    assert _told(note) == told


@every_case(
    ("note", "told"),
    [
        ("brooch, amber or plastic", {"organic=amber ~guess", "plastic=plastic-unnamed ~guess"}),
        ("brooch, silver or white metal", {"metal=silver ~guess", "metal=white-metal ~guess"}),
        ("brooch, glass or green jade", {"stone-kind=glass ~guess", "gem=jade ~guess"}),
        ("brooch, resembles jade", {"gem=jade ~fair"}),
        ("ring that looks like turquoise", {"gem=turquoise ~fair"}),
        ("ring, presumably gold", {"metal=gold ~fair"}),
        ("gold brooch that resembles a swan", {"metal=gold"}),
        ("brooch, no chips or cracks", {"not fault=chipped-part", "not fault=cracked-part"}),
        ("brooch, not silver or brass", {"not metal=silver", "not metal=brass"}),
    ],
)
def test_what_the_writer_leaves_open_is_no_plain_word(note: str, told: set[str]) -> None:
    assert told <= _told(note)


@every_case(
    ("note", "piece"),
    [
        ("shell cameo, c clasp", "brooch"),
        ("kidney wires, carved wooden drops", "earrings"),
        ("turquoise, size 7", "ring"),
        ("cameo, lobster clasp", ""),  # a necklace, a bracelet or a pendant
        ("cameo, maybe a c clasp", ""),
        ("no c clasp, green stone", ""),
        ("bracelet, extended pin", "bracelet"),
    ],
)
def test_a_part_that_one_type_alone_has_names_the_type(note: str, piece: str) -> None:
    understanding = shipped(note)
    assert understanding.piece_type == piece
    assert any("which alone" in each for each in understanding.assumed) == (
        bool(piece) and piece not in note
    )


@every_case(
    ("note", "told"),
    [
        ("ring with six (6) prongs", {"setting=six-claw"}),
        ("ring, size seven (7)", {"ring-size=7"}),
        ("ring in size 7", {"ring-size=7"}),
        ("chain stamped 925 italy", {"mark=925 italy"}),
        ("brooch, some tarnishing to metal", {"fault=tarnish"}),
        ("cowboy boot earrings, pierced", {"earring-back=pierced-fitting"}),
        ("pierced brooch", {"technique=pierced"}),
        ("bracelet, two (2) stones missing", {"fault=missing-stones: 2"}),
        ("brooch made by C S & F", {"mark=C S & F ~fair"}),
        ("plain gold band", {"ring-form=band-ring", "metal=gold"}),
        ("brooch, a brass plate on the back", {"metal=brass"}),
        ("brooch, an RAF sweetheart", {"subject=air-force-badge"}),
        ("brooch, hairline fractures in the shell", {"fault=cracked-part"}),
    ],
)
def test_further_ways_of_writing(note: str, told: set[str]) -> None:
    assert told <= _told(note)


def test_an_inscription_may_stand_behind_a_comma() -> None:
    told = _told('ring, inside is the inscription, "Anna Tilford ob April 1846"')
    assert {"inscription=Anna Tilford ob April 1846", "inscribed-year: 1846"} <= told
    assert not any(each.startswith("mark=") for each in told)


@every_case(
    ("note", "told"),
    [
        ("brooch, similar ones are dated to the 1940s", {"told-date: 1940 heard"}),
        ("brooch, dated circa 1890", {"told-date: 1890 heard"}),
        ("brooch, engraved 1890s", {"technique=engraved", "told-date: 1890 heard"}),
        ("brooch, dated 1890", {"inscribed-year: 1890"}),
        ("brooch, dated to the reverse 1890", {"inscribed-year: 1890"}),
        ("medal ring, engraved 1914-18", {"technique=engraved", "inscribed-year: 1914"}),
    ],
)
def test_an_estimate_is_no_year_that_stands_on_the_piece(note: str, told: set[str]) -> None:
    assert {each for each in _told(note) if each.startswith(("told-", "insc", "tech"))} == told


def test_no_initials_of_an_owner_are_no_want_of_a_mark() -> None:
    assert "no mark" not in _told("signet ring, no initials")
