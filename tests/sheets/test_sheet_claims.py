"""Phrases that laws and trade rules let stand or not; the source stands above each."""

from __future__ import annotations

import pytest
from claims_scorer import LISTINGS, labelled, score
from growth import grows_as_its_length
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples
from together import every_case

from markrules.knowledge.base import KnowledgeBase
from markrules.reading.reader import Reader, Request
from markrules.sheets.claims import check_text, rewritten

PLATED = "brooch, gold tone, rollover catch, rhinestones, snap rivets, unsigned"

# Text, what is on record, and the words to be flagged (none: the text stands).
CASES = [
    # 16 CFR 23.3(b)(3): gold for what is only coated, without plated or the like beside it.
    ("Lovely gold brooch", PLATED, ["gold"]),
    ("Lovely GOLD brooch", PLATED, ["GOLD"]),
    ("gold tone, gold-plated, gold filled, rolled gold plate", "brooch, marked 1/20 12K GF", []),
    # 16 CFR 23.3(c)(3): "gold filled" with fraction and karat before it is an acceptable marking.
    ("marked 1/20 12K gold filled", "brooch, marked 1/20 12K GF", []),
    ("1/20 12K gold filled", PLATED, ["1/20 12K gold filled"]),
    # 16 CFR 23.3(b)(2), (c)(1): an alloy needs its karat; the karat needs a mark or a test.
    ("14K gold ring", "ring, marked 14K", []),
    ("14 karat gold ring", "ring, unmarked", ["14 karat gold"]),
    # 16 CFR 23.3(a): and it must be that one: the fineness of the mark, or what a test found.
    ("18K gold ring", "ring, marked 14K", ["18K gold"]),
    ("18ct gold ring", "ring, marked 750", []),
    ("14K gold ring", "ring, marked 585", []),
    ("eighteen carat gold", "ring, marked 9ct", ["eighteen carat gold"]),
    ("nine carat gold", "ring, marked 9ct", []),
    ("15ct gold", "ring, tests 14K", ["15ct gold"]),
    ("14K gold", "ring, tests 14K, marked 18K", []),
    ("18K gold", "ring, tests 14K, marked 18K", ["18K gold"]),
    ('marked "18K", tests as 14K', 'ring, tests 14K, marked "18K"', []),
    ("9ct gold", "ring, 9ct gold, hallmarked Chester 1916", []),
    ("22ct gold", "ring, 9ct gold, hallmarked Chester 1916", ["22ct gold"]),
    # And every fineness that a test finds is one on record: by karat, by thousandths, of any metal.
    ("12K gold", "brooch, tests 12K", []),
    ("8ct gold", "brooch, tests as 8ct", []),
    ("14K gold", "brooch, tests as 585", []),
    ("18K gold", "brooch, tests to 18K", []),
    ("12K gold", "brooch, tests 14K", ["12K gold"]),
    ("platinum ring", "ring, tests as platinum", []),
    ("silver brooch", "brooch, tests 830 silver", []),
    # A weight of stones is written with decimals, and is no karat.
    ("The large stone is about 10.00 carats", "brooch, purple stone", []),
    # With the karat told, gold in the same text is that alloy.
    ("Gold ring. Stamped 14K.", "ring, marked 14K", []),
    ("Gold ring. Stamped 18K.", "ring, marked 14K", ["Gold", "18K"]),
    ("Gold ring.", "ring, marked 14K", ["Gold"]),
    # 16 CFR 23.3(b)(1): solid and pure.
    ("solid gold ring", "ring, marked 14K", ["solid gold"]),
    # 16 CFR 23.4: vermeil is gold over sterling.
    ("vermeil brooch", PLATED, ["vermeil"]),
    # 16 CFR 23.5(b)(1): sterling and silver.
    ("Sterling silver", PLATED, ["Sterling silver"]),
    ("Sterling silver", "brooch, marked STERLING", []),
    ("German silver and nickel silver, silver-plated, silvertone", PLATED, []),
    # Harmonized System heading 9706: antiques are more than a hundred years old.
    ("antique brooch", PLATED, ["antique"]),
    ("Antiques", PLATED, ["Antiques"]),
    ("antique style", PLATED, []),
    ("antique brooch", "brooch, woven hair, C catch, tube hinge, engraved 1868", []),
    ("Victorian brooch", "brooch, woven hair, C catch, tube hinge, engraved 1868", []),
    ("Victorian brooch", PLATED, ["Victorian"]),
    # 16 CFR 23.25(a): the name of a stone alone is a mined stone.
    ("set with rubies and sapphires", PLATED, ["rubies", "sapphires"]),
    ("ruby red glass, emerald cut, imitation turquoise", PLATED, []),
    # 16 CFR 23.25, note 1: faux is no adequate disclosure.
    ("faux diamond", PLATED, ["faux diamond"]),
    # 16 CFR 23.19 (pearl alone is a natural pearl).
    ("pearl earrings", "earrings, glass pearls", ["pearl"]),
    ("imitation pearl, mother-of-pearl", PLATED, []),
    # Ivory Act 2018 section 1: offering is dealing.
    ("carved ivory", "brooch, ivory", ["ivory"]),
    ("vegetable ivory, ivory-coloured", PLATED, []),
    # CITES Appendix I: marine turtles.
    ("Tortoise-shell comb", PLATED, ["Tortoise-shell"]),
    # Indian Arts and Crafts Act of 1990.
    ("Navajo made", PLATED, ["Navajo"]),
    ("Made before 1914.", PLATED, ["Made before 1914"]),
    ("It dates from before the 1900s.", PLATED, ["dates from before the 1900s"]),
    ("Made before 2020.", PLATED, []),
    ("The firm was sold before 1930.", PLATED, []),
    # Hallmarking Act 1973: a hallmark is an assay office's.
    ("fully hallmarked", PLATED, ["fully hallmarked"]),
    ("Bakelite bangle", "bangle, bakelite", ["Bakelite"]),
    # A stone known by its bands is on record as seen, or claimed.
    ("a banded agate and a bloodstone", "brooch, agate", ["bloodstone"]),
    ("agate panels", "brooch, black glass", ["agate"]),
    # An age in years, and a decade, against a year that was read on the piece.
    ("It is some 160 years old", 'brooch, engraved "J. B. 1868"', []),
    ("It is some 60 years old", 'brooch, engraved "J. B. 1868"', ["some 60 years old"]),
    ("It dates to the 1860s", 'brooch, engraved "J. B. 1868"', []),
    ("It dates to the 1920s", 'brooch, engraved "J. B. 1868"', ["1920s"]),
    ("It is 160 years old", PLATED, ["160 years old"]),
    # Sentences on a firm, a material or a time in general tell of no piece in hand.
    ("In 1876, the firm opened its own workshop.", PLATED, []),
    ("Men's jewelry was added in 1908, and during World War I they made tags.", PLATED, []),
    ("The founder (1843-1901) was a goldsmith.", PLATED, []),
    ("A plain brooch (1843-1848).", PLATED, ["1843-1848"]),
    ("Amber is a fossil resin, and comes from pines.", PLATED, []),
    # A doubt goes on into brackets that tell years.
    ("Possibly Victorian (ca 1870).", PLATED, []),
    ("Possibly mended. Victorian (ca 1870).", PLATED, ["Victorian", "ca 1870"]),
    # A flower's name denies nothing.
    ("A forget-me-not set with rubies", PLATED, ["rubies"]),
    # Where it comes from, said of the piece.
    ("A Scottish brooch", PLATED, ["Scottish brooch"]),
    ("An Italian style brooch", PLATED, []),
    ("jade and a jade-green stone", PLATED, ["jade"]),
    # A maker's name, where the mark is only alike or there is none.
    ("signed Trifari", PLATED, ["signed Trifari"]),
    ("Trifari brooch", PLATED, ["Trifari"]),
    ("in the manner of Trifari, Trifari style", PLATED, []),
    ("Trifari earrings", "earrings, clip backs, signed TRIFARI with crown", []),
    # A name that no list holds is one by its form; a word of it read on the piece bears it.
    ("A pin by David Invented, lovely.", PLATED, ["by David Invented"]),
    ("By David Invented, of Bergen", PLATED, ["By David Invented"]),
    ("Bangle by John Donald.", "bangle, tested at 22k, marked JAD, 9.5 cm", []),
    ("Attributed to Maria Invented", PLATED, ["Attributed to Maria Invented"]),
    ("Brooch by Maria Zwölfner", "brooch, signed ZWÖLFNER", []),
    ("Photo by Maria Invented. Not by Maria Invented. BROOCH BY POST", PLATED, []),
    # Colour by name, insurance of the parcel, and a straight pin against a bent one.
    ("The gold is bright, the silver has gone dull.", PLATED, []),
    ("Ships insured.", PLATED, []),
    ("Solid silver chain", "chain, silver, hallmarked Birmingham 1898", []),
    ("Pin stem is straight and sharp", "brooch, pin stem bent", ["Pin stem is straight and sharp"]),
    ("Pin stem is straight and sharp", "brooch", []),
    # What an expert did, unless it is denied.
    ("Checked by a jeweller", PLATED, ["Checked by a jeweller"]),
    ("Not checked by a jeweller", PLATED, []),
    (
        "Travail fait main, argent massif, echte Perlen",
        PLATED,
        ["fait main", "argent massif", "echte Perlen"],
    ),
    ("I'd say mid-century by the catch", PLATED, []),
    # Years: what the reading bears, and what it does not.
    ("1880s brooch", "brooch, AB rhinestones, snap rivets", ["1880s"]),
    ("no earlier than 1911", PLATED, []),
    # Denied, it is no claim.
    ("not gold, no silver", PLATED, []),
    ("mint condition", "brooch, missing stones", ["mint condition"]),
    # Words in quotes claim nothing where they are those of the mark, and only there.
    ('stamped "sterling"', "brooch, marked STERLING", []),
    ('stamped "sterling"', "brooch, marked WELLS", ["sterling"]),
    ('stamped "solid gold"', 'brooch, marked "TRIFARI"', ["solid gold"]),
    # The first and the last figure of a claim belong to it; a fraction is no figure of carats.
    ("8k gold ring", "ring, unmarked", ["8k gold"]),
    ("24 karat gold ring", "ring, unmarked", ["24 karat gold"]),
    ("1/2 carat diamond", "ring, unmarked", ["diamond"]),
]


@every_case(("text", "note", "flagged"), CASES)
def test_phrases(reader: Reader, text: str, note: str, flagged: list[str]) -> None:
    flags = check_text(reader.base, text, reader.read(Request(note=note, next_looks=0)))
    assert [flag.words for flag in flags] == flagged
    for flag in flags:
        assert text[flag.start : flag.end] == flag.words
        assert flag.say
        assert flag.cites


def test_without_a_piece_every_claim_is_marked(base: KnowledgeBase) -> None:
    flags = check_text(base, "14K gold, sterling, antique, circa 1920, by Trifari")
    assert [flag.words for flag in flags] == [
        "14K gold",
        "sterling",
        "antique",
        "circa 1920",
        "by Trifari",
    ]


def test_lines_and_columns_count_from_one(base: KnowledgeBase) -> None:
    (flag,) = check_text(base, "A brooch.\n  It is gold.")
    assert (flag.line, flag.column) == (2, 9)


def test_signs_of_no_width_hide_nothing(base: KnowledgeBase) -> None:
    text = "g\u200bo\u00adld and ＧＯＬＤ and gòld"
    assert [flag.words for flag in check_text(base, text)] == [
        "g\u200bo\u00adld",
        "ＧＯＬＤ",
        "gòld",
    ]


def test_rewriting_leaves_nothing_to_flag(reader: Reader) -> None:
    reading = reader.read(Request(note=PLATED, next_looks=0))
    text = (
        "Antique Victorian solid gold brooch, by Trifari, circa 1890, with rubies. One of a kind!"
    )
    flags = check_text(reader.base, text, reading)
    better = rewritten(text, flags)
    assert len(flags) >= 6
    assert check_text(reader.base, better, reading) == ()
    assert "brooch" in better


def test_a_mark_that_was_only_told_of_bears_no_claim(reader: Reader) -> None:
    seen, told = (
        reader.read(Request(note=note, next_looks=0))
        for note in ("brooch, marked STERLING", "brooch, said to be marked STERLING")
    )
    text = 'Marked "STERLING".'

    assert check_text(reader.base, text, seen) == ()
    assert [flag.words for flag in check_text(reader.base, text, told)] == ["STERLING"]


def test_the_older_the_surer(reader: Reader) -> None:
    """A hundred years are counted back from the last year of the reading, and need 90%."""
    young, old = (
        reader.read(Request(note=note, next_looks=0))
        for note in ("brooch, engraved 1930", "brooch, engraved 1900")
    )
    assert [each.claim for each in check_text(reader.base, "antique", young)] == ["antique"]
    assert check_text(reader.base, "antique", old) == ()


@given(st.text(max_size=300))
@settings(max_examples=samples(200))
def test_any_text_is_taken(base: KnowledgeBase, text: str) -> None:
    flags = check_text(base, text)
    at = 0
    for flag in flags:
        assert at <= flag.start < flag.end <= len(text)
        assert text[flag.start : flag.end] == flag.words
        at = flag.end
    rewritten(text, flags)


def test_a_long_text_is_checked_to_its_end(base: KnowledgeBase) -> None:
    flags = check_text(base, "gold " * 60_000)
    assert len(flags) == 60_000


def test_a_long_text_is_bounded(base: KnowledgeBase, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("markrules.sheets.claims.LONGEST_TEXT", 50_000)
    assert len(check_text(base, "gold " * 12_000)) == 10_000


# What is said, what is on record, and the words to be flagged: doubt and denial claim nothing.
IN_DOUBT = [
    ("I can't say whether it is gold.", PLATED, []),
    ("I can't say whether it is gold. Gold all the same!", PLATED, ["Gold"]),
    ("No idea if it is shell, bone or ivory", PLATED, []),
    ("I cannot say, solid gold", PLATED, ["solid gold"]),
    ("Looks like silver but is sterling", PLATED, ["sterling"]),
    ("The ruby was not tested", PLATED, []),
    ("not South Sea pearls", PLATED, []),
    ("style of Trifari", PLATED, []),
    # What is told of such things in general is not told of this one.
    ("Bakelite was all the rage in the 1930s.", PLATED, []),
    ("This Bakelite was all the rage.", PLATED, ["Bakelite"]),
    ("Double clips soared to popularity in the early 1930s.", PLATED, []),
    ("As early as the 1930s people wore clips on a belt.", PLATED, []),
    ("Art Deco was a popular style.", PLATED, []),
    ("Marked with a leopard's head.", PLATED, []),
    ("Leopard claw.", PLATED, ["Leopard"]),
    ("Victorian jewellers were fond of garnets, which were often worn by widows.", PLATED, []),
    ("The firm was founded in 1901 and is well known for silver.", PLATED, []),
    ("It would have been worn on a ribbon in the Victorian period.", PLATED, []),
    ("Made in the Victorian period.", PLATED, ["Made in the Victorian period"]),
    ("According to the vendor, it dates from the 1880s.", PLATED, []),
    ("In 1925, he partnered with a jeweller in gold.", PLATED, []),
    (
        "Trifari was founded in 1910. He made gold and platinum. Its clasp is gold.",
        PLATED,
        ["gold"],
    ),
    ("History: A tale of gold and rubies from 1880. Weight: 12 g. Gold.", PLATED, ["Gold"]),
    ("Pinchbeck is a form of brass, so as to look like gold.", PLATED, []),
    ("Napier and Trifari became rivals in the 1930s.", PLATED, []),
    ("The brooch began in the 1930s.", PLATED, ["1930s"]),
    ("The pearls are made of glass.", PLATED, []),
    ("The pearls are made for you.", PLATED, ["pearls"]),
    ("Prices as of 2012", PLATED, []),
    ("Natural shell cameo", "brooch, shell cameo", []),
    ("Natural shell cameo", PLATED, ["Natural shell"]),
    ("Gold filled. The gold is rubbed.", "brooch, marked 1/20 12K GF", []),
    ("Gold filled. The gold is rubbed.", PLATED, ["Gold filled", "gold"]),
    ("It is getting harder and harder to find them.", PLATED, ["harder and harder to find"]),
    ("Hand painted flowers", "brooch, hand painted flowers", []),
    ("Hand painted flowers", PLATED, ["Hand painted"]),
    ("Started life as an ear clip.", PLATED, ["Started life as"]),
    ("May have started life as an ear clip.", PLATED, []),
    (
        "Bakelite, with a sticker that states genuine rosewood",
        "bangle, bakelite, tested simichrome",
        [],
    ),
    ("As far as I know, gold.", PLATED, []),
    ("Stones: diamonds (untested)", PLATED, []),
    ("The sweetest brooch I have ever come across.", PLATED, []),
    ("The only one I have ever come across.", PLATED, ["I have ever come across"]),
    ("Blue, like a natural sapphire", PLATED, []),
    ("No wear to the backs", "earrings, no wear", []),
    ("No wear to the backs", PLATED, ["No wear"]),
    ("Made in Italy", PLATED, ["Made in Italy"]),
    ("Made in Paris", "clip, silver, French hallmarks", []),
    ("Made in Italy", "brooch, marked ITALY", []),
    ("The frame is intact.", "brooch, one stone missing", []),
    ("Perfectly intact", "brooch, one stone missing", ["Perfectly intact"]),
    ("Fully hand carving", PLATED, ["hand carving"]),
    ("Hallmarked silver tone", PLATED, ["Hallmarked"]),
    ("a 2 carat stone", PLATED, []),
    # What the record tells against.
    ("all stones present", "brooch, one stone missing", ["all stones present"]),
    ("all stones present", PLATED, []),
    ("no chips, no cracks", "brooch, chipped enamel", ["no chips"]),
    ("original clasp", "necklace, clasp replaced", ["original clasp"]),
    ("never repaired", "brooch, repaired", ["never repaired"]),
    ("undamaged", "brooch, no damage", []),
    ("never worn", PLATED, ["never worn"]),
    # A mark as it stands on the piece may be given, whatever follows from it.
    ("signed Trifari", "brooch, signed TRIFARI", []),
    ("signed Trifari", "brooch, unsigned", ["signed Trifari"]),
    ("signed Trifari", "brooch, signed NAPIER", ["signed Trifari"]),
    ("signed ZORVAK", "brooch, signed ZORVAK", []),
    # 16 CFR 23.4: vermeil has 2.5 microns of gold; gilt silver without a word of it need not.
    ("vermeil", "brooch, gilt sterling, unmarked", ["vermeil"]),
    ("vermeil", "brooch, marked VERMEIL", []),
    # 16 CFR 23.2: hand-made.
    ("handmade", PLATED, ["handmade"]),
    ("worth $300", PLATED, ["worth $300"]),
]


@every_case(("text", "note", "flagged"), IN_DOUBT)
def test_doubt_and_the_record(reader: Reader, text: str, note: str, flagged: list[str]) -> None:
    flags = check_text(reader.base, text, reader.read(Request(note=note, next_looks=0)))
    assert [flag.words for flag in flags] == flagged


@every_case(
    ("part", "precision", "recall"),
    [
        ("written with", 0.98, 0.98),
        ("kept aside", 0.95, 0.95),
        ("written afterwards", 0.9, 0.85),
        ("written last", 0.95, 0.95),
        ("latest", 0.95, 0.95),
        ("private sellers", 0.95, 0.95),
    ],
)
def test_labelled_listings(reader: Reader, part: str, precision: float, recall: float) -> None:
    listings = [each for each in labelled() if each.part == part]
    result = score(reader, listings)
    assert len(listings) >= 30
    assert result.precision >= precision, result.wrong
    assert result.recall >= recall, result.missed


@every_case(
    ("text", "flagged"),
    [
        ("Silver? Sadly not. Real ruby? I doubt it.", []),
        ("Silver? It is sterling silver.", ["Silver", "sterling silver"]),
        ("Signed: no\nGold: no, platinum: no", []),
        ("Gold: no damage to it", ["Gold"]),
        ("If this were solid gold it would cost more.", []),
        ("It might be a ruby, garnet, spinel, amethyst or paste.", []),
        ("It might be paste, the garnet is not.", ["garnet"]),
        ("Turquoise in colour. A 1930s-style clip.", []),
        ("Turquoise. A 1930s clip.", ["Turquoise", "1930s"]),
        ("The ticket calls it lapis.", []),
        ("French, with a gold tone pin.", ["French"]),
        ("A Scottish brass and paste brooch.", ["Scottish brass and paste brooch"]),
        ("A Scottish terrier brooch. A note in French.", []),
        ("Bought directly from the old artist.", ["Bought directly from the old artist"]),
    ],
)
def test_who_claims_and_what_is_left_open(reader: Reader, text: str, flagged: list[str]) -> None:
    record = reader.read(Request("brooch, gold tone", next_looks=0))
    assert [flag.words for flag in check_text(reader.base, text, record)] == flagged


def test_listings_in_many_voices(reader: Reader) -> None:
    result = score(reader, labelled(LISTINGS.with_name("many_voices.txt")))
    assert result.precision >= 0.88, result.wrong
    assert result.recall >= 0.74, result.missed


def test_years_that_are_told_as_a_set_are_judged_as_one(make_matter) -> None:
    from dataclasses import replace

    matter = make_matter("brooch, AB rhinestones")
    date = matter.reading.date
    curve = tuple(
        0.45 if year in (1900, 1945) else 0.0
        for year in range(date.first_year, date.first_year + len(date.curve))
    )
    reading = replace(matter.reading, date=replace(date, curve=curve))

    def flagged(text: str) -> list[str]:
        return [each.words for each in check_text(matter.base, text, reading)]

    assert flagged("Brooch, circa 1884–1908 or 1941–1951.") == []
    assert flagged("Brooch, circa 1884–1908.") == ["circa 1884–1908"]
    assert flagged("Brooch, circa 1884–1908 or 1961–1971.") != []


@every_case(
    "text",
    [
        "Carved pendant, possibly ivory.",
        "May be ivory, we cannot say.",
        "I think tortoiseshell.",
        "Perhaps walrus ivory, perhaps bone.",
    ],
)
def test_a_doubt_does_not_lift_the_law_of_protected_materials(base, text: str) -> None:
    """Ivory Act 2018, section 1: dealing in ivory is forbidden, however it is described."""
    flags = check_text(base, text)
    assert [each for each in flags if "law" in each.law.casefold() or "Act" in each.law]
    assert not any(each.instead for each in flags)


def test_what_is_denied_or_imitated_is_not_taken_for_a_doubt(base) -> None:
    for text in ("Not ivory.", "Looks like ivory, is plastic.", "Ivory coloured plastic."):
        assert check_text(base, text) == ()


def test_seed_pearls_stay_seed_pearls(base) -> None:
    text = "Bar pin with seed pearls."
    flags = check_text(base, text)
    better = rewritten(text, flags)
    assert better == "Bar pin with untested seed pearls."
    assert check_text(base, better) == ()


def test_twice_the_text_takes_about_twice_the_time(base) -> None:
    line = "Brooch, possibly ivory, solid gold, circa 1920, rare; a plain thing in a drawer. "

    assert grows_as_its_length(lambda text: check_text(base, text), line * 1_000)


@every_case(
    ("text", "flagged"),
    [
        ("The bangle survived the magnet test.", ["survived the magnet test"]),
        ("My tester reads gold.", ["tester reads"]),
        ("These go for hundreds online.", ["go for hundreds online"]),
        ("Such pins keep climbing in value.", ["climbing in value"]),
        ("My nan wore it to the opera.", ["My nan wore it to"]),
        ("Presented to an ambassador.", ["Presented to an ambassador"]),
        ("It soothes sore joints.", ["soothes sore joints"]),
        ("CITES papers are not needed.", ["CITES papers are not needed"]),
        ("Solid brass.", ["Solid brass"]),
        ("Celluloid.", ["Celluloid"]),
        ("Near mint.", ["Near mint"]),
        ("Only a dozen exist.", ["Only a dozen exist"]),
        ("A mint green bow. It stood the test of time. A trade name for celluloid.", []),
        ("My nan wore it every day. It has not passed the water test.", []),
        ("Not near mint. Will not go up in value, nor cure arthritis.", []),
    ],
)
def test_families_of_claims_hold_for_every_word_of_theirs(
    reader: Reader, text: str, flagged: list[str]
) -> None:
    record = reader.read(Request("brooch, gold tone", next_looks=0))
    assert [flag.words for flag in check_text(reader.base, text, record)] == flagged
