"""Notes and what they say, over a small invented base: one road through a note in each line."""

from __future__ import annotations

from notes_base import lines, small
from together import every_case

TABLE = [
    # Phrases, plurals, spellings, words in between, either order
    ("brooch, safety catch", ["catch=rollover"]),
    ("catch is a rollover", ["catch=rollover"]),
    ("rollover type catch", ["catch=rollover"]),
    ("prong-set rhinestones", ["setting=prong", "stone=rhinestone"]),
    ("glued stones, back is textured", ["setting=glued", "back-texture=textured"]),
    ("textured back", ["back-texture=textured"]),
    ("surface textured", ["surface=plain"]),
    ("SAFETY CATCH, PRONG SET", ["catch=rollover", "setting=prong"]),
    ("safety  catch;prong set\nC clasp", ["catch=rollover", "setting=prong", "catch=c-catch"]),
    ("rhine stone", ["stone=rhinestone"]),
    ("safetychain", ["fitting=safety-chain"]),
    ("cloisonné", ["enamel=cloisonne"]),
    ('a "safety" catch', ["catch=rollover"]),
    ('"C" clasp', ["catch=c-catch"]),
    # Denial
    ("no catch", ["no catch"]),
    ("without safety chain", ["not fitting=safety-chain"]),
    ("no catch or clasp", ["no catch", "no clasp"]),
    ("catch missing", ["no catch"]),
    ("missing catch", ["no catch"]),
    ("safety chain missing", ["not fitting=safety-chain"]),
    ("rhinestones missing", ["stone=rhinestone"]),
    ("no enamel but glued", ["no enamel", "setting=glued"]),
    ("no enamel, glued", ["no enamel", "setting=glued"]),
    (
        "no textured back on the rollover",
        ["not back-texture=textured", "no back-texture", "catch=rollover"],
    ),
    ("unmarked", ["no mark"]),
    ("not signed", ["no mark"]),
    ("no marks", ["no mark"]),
    ("no maker's mark", ["not mark-kind=maker"]),
    ("no ogham marks", []),
    ("unmarked, stamped AUSTRIA", ["mark=AUSTRIA"]),
    # Faults and their counts
    ("2 stones missing", ["fault=missing-stones: 2"]),
    ("two stones are missing", ["fault=missing-stones: 2"]),
    ("missing stones", ["fault=missing-stones"]),
    ("plating slightly worn", ["fault=worn-plating"]),
    ("no stones missing", ["not fault=missing-stones"]),
    # How sure
    ("maybe rollover", ["catch=rollover ~guess"]),
    ("looks like amethyst", ["stone=amethyst ~fair"]),
    ("amethyst?", ["stone=amethyst ~guess"]),
    ("maybe glued, rollover", ["setting=glued ~guess", "catch=rollover"]),
    ("grandmother told it was amethyst, rollover", ["stone=amethyst heard", "catch=rollover"]),
    # What is denied, how far, and what of many is gone
    ("2 rhinestones missing", ["stone=rhinestone"]),
    ("several rhinestones missing", ["stone=rhinestone"]),
    ("rhinestone missing", ["not stone=rhinestone"]),
    ("amethyst missing", ["not stone=amethyst"]),
    ("one amethyst missing", ["stone=amethyst"]),
    ("safety chain missing, glued", ["not fitting=safety-chain", "setting=glued"]),
    ("without rollover or c clasp", ["not catch=rollover", "not catch=c-catch"]),
    ("no rollover but c clasp", ["not catch=rollover", "catch=c-catch"]),
    ("not glued and not prong set", ["not setting=glued", "not setting=prong"]),
    ("no rhinestones, amethyst", ["not stone=rhinestone", "stone=amethyst"]),
    ("enamel without amethyst", ["not stone=amethyst"]),
    (
        "rollover catch, no safety chain or enamel",
        ["catch=rollover", "not fitting=safety-chain", "no enamel"],
    ),
    ("no plating worn", ["not fault=worn-plating"]),
    (
        "plating worn but no stones missing",
        ["fault=worn-plating", "not fault=missing-stones"],
    ),
    ("maybe no rollover", ["not catch=rollover ~guess"]),
    ("3 stones missing, plating worn", ["fault=missing-stones: 3", "fault=worn-plating"]),
    ("probably amethyst or rhinestone", ["stone=amethyst ~fair", "stone=rhinestone ~fair"]),
    # A question, and its answer
    ("enamel? no, glued", ["no enamel", "setting=glued"]),
    ("rhinestones, enamel? no!", ["stone=rhinestone", "no enamel"]),
    ("rollover, amethyst?", ["catch=rollover", "stone=amethyst ~guess"]),
    ("rollover with amethyst?", ["catch=rollover", "stone=amethyst ~guess"]),
    ("glued amethyst?", ["setting=glued ~guess", "stone=amethyst ~guess"]),
    ("rollover? glued", ["catch=rollover ~guess", "setting=glued"]),
    ("rollover? glued?", ["catch=rollover ~guess", "setting=glued ~guess"]),
    ("no? rollover", ["catch=rollover"]),
    # Measures beside other things
    ("5 cm, 3 cm wide", ["length: 50", "width: 30"]),
    ("begins with a W, glued", ["setting=glued"]),
    ("3 x 2 cm, rollover", ["length: 30", "width: 20", "catch=rollover"]),
    ("1 stone missing, 3 cm", ["fault=missing-stones: 1", "length: 30"]),
    ("12 stones missing", ["fault=missing-stones: 12"]),
    # Measures
    ("5.5 cm", ["length: 55"]),
    ("2 1/2 in", ["length: 63.5"]),
    ("2-1/2 inches", ["length: 63.5"]),
    ("2½ inches", ["length: 63.5"]),
    ('2.5"', ["length: 63.5"]),
    ("17 mm, 23 g", ["length: 17", "weight: 23"]),
    ("0.8 oz", ["weight: 22.6796"]),
    ("3.5 by 2.5 inches", ["length: 88.9", "width: 63.5"]),
    ("5 x 6 cm", ["length: 60", "width: 50"]),
    ("5×6 cm", ["length: 60", "width: 50"]),
    ('1¾" w x 2" long', ["width: 44.45", "length: 50.8"]),
    ("5,5 cm", ["length: 55"]),
    ("5-6 cm", ["length: 55"]),
    ("3 cm wide", ["width: 30"]),
    ("amethyst 17 mm", ["stone=amethyst", "part-size: 17"]),
    ("brooch about 5 cm", ["length: 50"]),
    # Text on the piece
    ("marked AUSTRIA", ["mark=AUSTRIA"]),
    ("stamped austria", ["mark=austria"]),
    ("AUSTRIA stamped on the back", ["mark=AUSTRIA"]),
    ("made in Austria", ["mark=made in Austria"]),
    ('"Tillander"', ["mark=Tillander"]),
    ("signed Tillander with crown over the T", ["mark=Tillander", "mark-device=crown"]),
    ("marked Denmark and GJLd", ["mark=Denmark", "mark=GJLd"]),
    ("stamped Sterling, Denmark", ["mark=Sterling", "mark=Denmark"]),
    ("marked TRIF?LD", ["mark=TRIF?LD"]),
    ("marked [CG]LARA", ["mark=[CG]LARA"]),
    ("marked ...LANDER", ["mark=...LANDER"]),
    ("marked TILLANDER / AUSTRIA", ["mark=TILLANDER / AUSTRIA"]),
    ("marked austria?", ["mark=austria ~guess"]),
    ("no ICA mark", ["not mark=ICA"]),
    ("initials W L", ["mark=W L"]),
    ("C.H maker's mark", ["mark=C.H", "mark-kind=maker"]),
    ("PAT. 1,798,867", ["mark=PAT. 1,798,867"]),
    ("pat 1798867", ["mark=pat 1798867"]),
    ("on card AUSTRIA", ["label=AUSTRIA"]),
    ("date letter R", ["date-letter=R"]),
    ("Tillander brooch", ["mark=Tillander ~fair"]),
    ("marked AUSTRIA, 2 stones missing", ["mark=AUSTRIA", "fault=missing-stones: 2"]),
    # Years
    ("hallmark for 1900", ["hallmark-year: 1900"]),
    ("dated 1909", ["inscribed-year: 1909"]),
    ("engraved 3 July 1850", ["mark=3 July 1850", "inscribed-year: 1850"]),
    ("marked © TILLANDER 1985", ["mark=© TILLANDER 1985", "copyright-year: 1985"]),
    ("about 1960", ["told-date: 1960 heard"]),
    ("1950s", ["told-date: 1950 heard"]),
    ("1955-60", ["told-date: 1955 heard"]),
]


@every_case(("note", "expected"), TABLE, ids=[note for note, _ in TABLE])
def test_note_says(note: str, expected: list[str]) -> None:
    assert sorted(lines(small(note))) == sorted(expected)


@every_case(
    ("note", "piece"),
    [
        ("pin, rollover", "brooch"),
        ("locket pendant", "pendant"),
        ("pendant with locket", "pendant"),
        ("rollover, bar pin", "bar-pin"),
        ("no brooch, earring", "earrings"),
        ("green stone", ""),
    ],
)
def test_first_segment_that_names_a_piece_decides(note: str, piece: str) -> None:
    assert small(note).piece_type == piece


def test_ambiguous_word_goes_to_the_feature_of_the_piece_type() -> None:
    assert lines(small("brooch, screw")) == ["screw-brooch=screw"]
    assert lines(small("earrings, screw")) == ["earring-back=screw-back"]


def test_word_that_may_be_pictured_is_taken_so() -> None:
    assert lines(small("brooch, beetle")) == ["motif=insect"]


def test_what_stays_ambiguous_is_said() -> None:
    told = small("screw")

    assert lines(told) == ["screw-brooch=screw"]
    assert told.assumed == ("screw: taken as screw-brooch: screw",)


def test_slip_is_put_right_and_said() -> None:
    told = small("rinestone")

    assert lines(told) == ["stone=rhinestone"]
    assert told.assumed == ('"rinestone" read as "rhinestone"',)


@every_case("word", ["score", "catsh", "Amethist", "xyzzy", "rollable"])
def test_short_words_names_and_far_words_are_not_put_right(word: str) -> None:
    told = small(f"brooch, a {word}")

    assert told.observations == ()
    assert told.not_understood == (word,)


def test_what_is_not_understood_keeps_the_writers_words() -> None:
    told = small("brooch with Flurbled Grommets, rollover, zonk 7")

    assert told.not_understood == ("Flurbled Grommets", "zonk 7")
    assert (told.words_total, told.words_understood) == (6, 2)


def test_mark_text_tells_lettering_symbols_and_doubt() -> None:
    told = small("maybe signed Tillander in script with crown over the T")

    (mark,) = told.marks
    assert (mark.text, mark.words, mark.symbols) == (
        "Tillander",
        ("script",),
        ("crown over the T",),
    )
    assert mark.certainty == "guess"
    assert told.not_understood == ()


def test_small_letters_taken_as_text_are_said() -> None:
    told = small("stamped flurb")

    assert lines(told) == ["mark=flurb"]
    assert "small letters taken as the text on the piece" in told.assumed[0]
