"""Listing text follows the evidence, and passes the check that others' texts must pass."""

from __future__ import annotations

import csv
import random
import re
from dataclasses import replace
from typing import Any

import pytest
from samples import samples, some_of
from sheets_notes import NOTES
from together import every_case

from markrules.inference.reading import DateRange, MakerShare
from markrules.marks.metal import find_metal_marks
from markrules.reading.reader import Reader, Request
from markrules.sheets.attribution import attribution, date_words
from markrules.sheets.claims import check_text
from markrules.sheets.content import content
from markrules.sheets.drawing import date_drawing
from markrules.sheets.listing import LENGTHS, listing
from markrules.tasks.demo import demo_folder
from markrules.telling.limits import firm_limits, limits_of_parts, mass_of_years


@every_case("note", NOTES)
@every_case("length", [20, 33, 60, 80, 200])
def test_a_title_keeps_its_length(make_matter, note: str, length: int) -> None:
    made = listing(make_matter(note), length)
    assert 0 < len(made.title) <= length


def test_a_title_of_no_length_is_refused(make_matter) -> None:
    with pytest.raises(ValueError, match="20 characters or more"):
        listing(make_matter("brooch"), 5)


@every_case("note", NOTES)
def test_the_text_passes_the_claims_check(make_matter, note: str) -> None:
    matter = make_matter(note)
    made = listing(matter)
    for length in LENGTHS:
        left = check_text(matter.base, made.text(length), matter.reading)
        assert [flag.words for flag in left] == []


def test_every_demo_piece_passes_the_claims_check(make_matter) -> None:
    with (demo_folder() / "box.csv").open(encoding="utf-8", newline="") as handle:
        notes = [row["note"] for row in csv.DictReader(handle)]
    failed = {note: left for note in some_of(notes) if (left := _left(make_matter(note)))}
    assert len(notes) >= 40
    assert failed == {}


def test_generated_pieces_pass_the_claims_check(make_matter, reader) -> None:
    """Two hundred pieces put together at random from the words of the rules themselves."""
    chance = random.Random(20261128)
    failed = {}
    for _ in range(samples(200)):
        note = _random_note(chance, reader.base)
        if left := _left(make_matter(note)):
            failed[note] = left
    assert failed == {}


def _left(matter) -> list[str]:
    made = listing(matter)
    found = [check_text(matter.base, made.text(length), matter.reading) for length in LENGTHS]
    return [flag.words for flags in found for flag in flags]


def _random_note(chance: random.Random, base) -> str:
    """A type, some values of features, a fault, and sometimes a mark and a size."""
    features = [each for each in base.features.values() if each.kind in ("choice", "many")]
    parts = [chance.choice(list(base.pieces.values())).name.replace("-", " ")]
    for feature in chance.sample([each for each in features if each.values], chance.randint(1, 6)):
        value = chance.choice(feature.values)
        words = [each for each in (*value.also, value.name.replace("-", " ")) if "{" not in each]
        parts.append(chance.choice(words))
    if chance.random() < 0.5:
        parts.append(chance.choice(list(base.faults)).replace("-", " "))
    if chance.random() < 0.5:
        maker = chance.choice([each for each in base.makers.values() if each.marks])
        parts.append(f"marked {chance.choice(maker.marks).text or maker.title}".replace(" / ", " "))
    if chance.random() < 0.3:
        parts.append(chance.choice(["marked STERLING", "marked 14K", "marked 1/20 12K GF"]))
    if chance.random() < 0.3:
        parts.append(f"{chance.randint(1, 9)}.5 cm")
    return ", ".join(parts)


@pytest.mark.parametrize(
    ("note", "false"),
    [("brooch, CHANEL plate is a fake, misspelt", True), ("brooch, mark CHANEL", False)],
)
def test_a_false_mark_is_in_no_title_and_is_called_so(make_matter, note: str, false: bool) -> None:
    made = listing(make_matter(note))
    assert ("CHANEL" in made.title.upper()) is not false
    assert ("likely false" in made.text()) is false


def test_nothing_is_claimed_of_a_metal_by_a_mark_that_is_called_false(make_matter) -> None:
    made = listing(make_matter("gold chain marked 14K, copper shows, 5 g"))
    assert "likely false" in made.text()
    assert "karat gold" not in made.description


def test_letters_are_a_signature_where_they_were_told_as_one(make_matter) -> None:
    for told, head in (("signed B.D.", "Signed"), ("sgd B.D.", "Signed"), ("mark B.D.", "Marked")):
        assert f"{head} “B.D.”" in listing(make_matter(f"brooch, {told}")).text()


def test_hallmarks_in_a_list_are_told_in_the_words_of_the_note(make_matter) -> None:
    note = "watch chain, hallmarked each link, lion and anchor, letter p, silver, 30 g"
    made = listing(make_matter(note))
    assert "Marks: lion, anchor and letter p." in made.text()
    assert "silver, marks: lion, anchor and letter p" in made.title
    assert "\N{WORD JOINER}" not in repr(make_matter(note).reading)


def test_a_listing_tells_what_a_buyer_asks(make_matter) -> None:
    text = listing(
        make_matter(
            "earrings, clip backs, gold tone, red rhinestones, signed ZORVAK, 2.5 cm,"
            " some plating bubbling, one stone missing"
        ),
        100,
    )
    assert "signed “ZORVAK”" in text.title
    assert "clip backs" in text.description
    assert "not pierced" in text.description
    assert "Signed “ZORVAK”." in text.description
    assert "red" in text.description.casefold()
    assert "bubbling" in text.condition
    assert "stone missing" in text.condition.casefold()
    assert text.measurements == ("length 2.5 cm (0.98 in)",)
    assert len(text.text("short")) < len(text.text("medium")) <= len(text.text("long"))


@pytest.mark.parametrize(
    ("note", "told", "not_told"),
    [
        ("locket, engraved, initials JM", "Marked “JM”", "igned"),
        ("brooch marked ZQ, enamel", "Marked “ZQ”", "igned"),
        ("brooch signed B.D., enamel", "Signed “B.D.”", ""),
        ("bangle, bakelite, hot water smell, no cracks", "No cracks.", "racked,"),
        ("necklace, ivory looking beads", "vory looking", ". Looking"),
    ],
)
def test_a_listing_says_what_was_noted_and_nothing_else(
    make_matter, note: str, told: str, not_told: str
) -> None:
    text = listing(make_matter(note)).text()

    assert told in text
    assert not not_told or not_told not in text


def test_titles_fill_the_length_asked_for(make_matter) -> None:
    note = "brooch, gold tone, red rhinestones, bird, rollover catch, signed NAPIER, 5 cm"
    lengths = [len(listing(make_matter(note), most).title) for most in (40, 60, 80, 120)]
    assert lengths == sorted(lengths)
    assert lengths[-1] >= 80


def test_measures_stand_in_both_systems(make_matter) -> None:
    """1 in = 2.54 cm and 1 oz = 28.349523125 g, exactly (agreement of 1959; NIST SP 811)."""
    made = listing(make_matter("brooch, 50.8 mm long, 28.35 g"))
    assert made.measurements == ("length 5.1 cm (2 in)", "weight 28.4 g (1.00 oz)")


def test_wording_follows_the_share_of_the_maker(make_matter) -> None:
    signed = make_matter("earrings, clip backs, signed TRIFARI with crown")
    assert attribution(signed.base, signed.reading).strength == "by"
    unsigned = make_matter("brooch, rhinestones, unsigned")
    assert attribution(unsigned.base, unsigned.reading).words == "unsigned"
    unknown = make_matter("brooch, marked QXZVWJ")
    assert attribution(unknown.base, unknown.reading).strength == "marked"
    silent = make_matter("brooch")
    assert attribution(silent.base, silent.reading).strength == "unknown"


@every_case(
    ("share", "words"),
    [
        (0.96, "by Invented House"),
        (0.94, "attributed to Invented House"),
        (0.71, "attributed to Invented House"),
        (0.69, "in the manner of Invented House"),
        (0.26, "in the manner of Invented House"),
        (0.24, "maker not known"),
    ],
)
def test_each_threshold_of_the_rules_parts_two_wordings(make_matter, share, words) -> None:
    """The figures are the settings maker-by-share, maker-attributed-share, maker-manner-share."""
    matter = make_matter("brooch")
    maker = MakerShare("invented", "Invented House", "", "", share, None, None)
    assert attribution(matter.base, replace(matter.reading, makers=(maker,))).words == words


@every_case(
    ("first", "last", "not_before", "not_after", "words"),
    [
        (1955, 1965, None, None, "circa 1955–1965"),
        (1911, 1965, 1911, 1965, "1911–1965"),
        (1911, 1999, 1911, None, "no earlier than 1911"),
        (1850, 1950, None, 1950, "no later than 1950"),
        (1850, 1950, None, None, "circa 1850–1950"),
        (1868, 1868, 1868, 1868, "1868"),
    ],
)
def test_years_in_words(make_matter, first, last, not_before, not_after, words) -> None:
    reading = make_matter("brooch, AB rhinestones").reading
    start, end = reading.date.first_year, reading.date.first_year + len(reading.date.curve)
    held = range(not_before or start, (not_after or end) + 1)
    date = replace(
        reading.date,
        curve=tuple((year in held) / len(held) for year in range(start, end)),
        range=DateRange(first, last, 0.8),
        not_before=not_before,
        not_after=not_after,
    )
    base = make_matter("brooch").base
    assert date_words(base, replace(reading, date=date)) == words


def test_a_limit_that_a_part_alone_bears_is_told_of_the_part(make_matter) -> None:
    reading = make_matter("brooch, C catch, maybe celluloid, AB stones").reading
    date = replace(reading.date, not_before=1953, not_before_clue="late-stones")
    older = tuple(
        0.5 if year == 1900 else 0.5 if year == 1960 else 0.0
        for year in range(date.first_year, date.first_year + len(date.curve))
    )
    told = replace(reading, date=replace(date, curve=older, range=DateRange(1900, 1960, 1.0)))

    assert firm_limits(told) == (None, None)
    assert limits_of_parts(told) == ("late stones: no earlier than 1953",)
    base = make_matter("brooch").base
    assert "1953" not in date_words(base, told)


def test_years_as_a_set_are_told_as_a_set(make_matter) -> None:
    matter = make_matter("brooch, AB rhinestones")
    runs = (DateRange(1925, 1940, 0.5), DateRange(1988, 2005, 0.3))
    date = replace(matter.reading.date, years=runs, range=runs[0])
    reading = replace(matter.reading, date=date)

    assert date_words(matter.base, reading) == "circa 1925–1940 or 1988–2005"
    assert mass_of_years(reading.date) == pytest.approx(0.8)
    drawing = date_drawing(reading)
    assert "When it was made: 1925–1940 or 1988–2005" in drawing
    assert ">or 1988–2005<" in drawing


def test_what_is_sure_stands_before_what_is_perhaps_so(make_matter) -> None:
    said = listing(make_matter("brooch, maybe celluloid, gilt")).description
    assert "Gilt, perhaps celluloid." in said


@every_case(
    ("note", "told", "untold"),
    [
        ("pendant, marked 925", "Marked “925”. By the mark, sterling silver.", "Stamped"),
        ("tie pin, marked 15ct", "Marked “15ct”.", "tamped 15"),
        ("necklace, crystal AB beads, hook clasp", "Crystal AB beads.", "and beads"),
        ("earrings, screw back, plastic, carved", "Plastic, carved.", "and carved"),
        ("cameo brooch, shell, lady in profile", "Lady in profile.", ". In profile"),
        ("brooch, enamel, no chips", "No chips.", "Looked for"),
        ("brooch, gold tone, not repaired", "Not repaired.", "Looked for"),
        ("brooch, gold tone, not bent", "Not bent.", "No bent"),
        ("brooch, marked 9ct", "Marked “9ct”.", "tamped 9"),
        ("ring, marked 14K", "Marked “14K”. By the mark, 14 karat gold.", "Stamped"),
    ],
)
def test_a_buyer_reads_each_thing_once_and_plainly(
    make_matter: Any, note: str, told: str, untold: str
) -> None:
    text = listing(make_matter(note)).text()
    assert told in text
    assert untold not in text


def test_a_piece_of_a_set_is_told_as_one(make_matter) -> None:
    matter = make_matter("necklace, AB stones", of_set="blue set", mates=("earrings", "bracelet"))
    assert "It is one of a set: the others are earrings and bracelet." in (
        listing(matter).description
    )
    assert "one of a set with earrings and bracelet" in content(matter)["subheading"].lower()


def test_years_are_told_as_sure_as_they_are(make_matter) -> None:
    range_words = date_words(*_parts(make_matter("brooch, AB rhinestones, snap rivets")))
    assert re.fullmatch(r"circa 19\d\d–19\d\d", range_words)
    assert date_words(*_parts(make_matter("brooch"))) == "date not known"


def test_faults_are_said_and_none_is_claimed_where_nobody_looked(make_matter) -> None:
    assert "stones" in listing(make_matter("brooch, missing stones")).condition
    assert "not stated" in listing(make_matter("brooch")).condition


def _parts(matter):
    return matter.base, matter.reading


def test_what_may_be_said_of_a_mark_of_metal_stands_unchanged(reader: Reader) -> None:
    """A listing says it word for word: nothing in it goes too far where the mark was read."""
    tried = 0
    for mark in reader.base.metal_marks.values():
        text = mark.reads[0]
        found = find_metal_marks(text, reader.base)
        if "{" in text or len(found) != 1 or found[0].mark != mark.name:
            continue
        tried += 1
        claim = found[0].claim
        reading = reader.read(Request(note="ring", marks=(text,), next_looks=0))
        flagged = [each.words for each in check_text(reader.base, claim, reading)]
        assert flagged == [], (mark.name, claim)
    assert tried > 60


@every_case(
    ("note", "told", "untold"),
    [
        ("single earring, clip on, gold tone", "One only of a pair.", "pair of"),
        ("bracelet, silver tone, fold over clasp, missing safety chain", "fold over", "and safety"),
        ("bracelet, silver tone, fold over clasp, safety chain", "safety chain", "Missing"),
        ("necklace, faux pearls, box clasp", "Imitation pearls.", "aux pearl"),
    ],
)
def test_a_listing_tells_nothing_that_its_condition_takes_back(
    make_matter, note: str, told: str, untold: str
) -> None:
    made = listing(make_matter(note))

    assert told in made.description
    assert untold not in made.description
    assert untold not in made.title


def test_a_name_that_only_stood_before_the_piece_is_not_called_a_mark(make_matter) -> None:
    """`Georg Jensen brooch` tells who is said to have made it, and not that it is signed."""
    matter = make_matter("Georg Jensen silver leaf brooch")
    text = listing(matter).text("long")
    assert "attributed to Georg Jensen" in text
    assert "igned" not in text
    assert "arked" not in text
    claimed = 'Leaf brooch, signed "Georg Jensen".'
    assert [each.words for each in check_text(matter.base, claimed, matter.reading)]
    made = content(matter)
    assert "Georg Jensen" not in str(made["seen"]["rows"])
    assert "Georg Jensen" in str(made["told"]["lines"])
    read = make_matter('silver leaf brooch, marked "GEORG JENSEN"')
    assert not check_text(read.base, 'Leaf brooch, signed "GEORG JENSEN".', read.reading)


@every_case(
    ("note", "told", "untold"),
    [
        ("compact, gold tone, mirror cracked", "Condition: Mirror cracked.", "\nCracked"),
        ("chain, rolled gold, dog clip spring gone", "Condition: Dog clip spring gone.", "!"),
        ("earrings, gold tone, one clip bent", "Condition: One clip bent.", "gone"),
        ("single screw back earring, mate lost", "Single screw back.", "Condition: Lost"),
        ("brooch, signed NOVAK", "Signed “NOVAK”. Who made it is not known.", "rules"),
        ("single earring, screw back, gold tone", "Single earring, circa", "Earrings"),
        ("brooch, gold tone, 2 1/4 in", "length 5.7 cm (2.25 in)", "2.2 in"),
        ("brooch, gold tone, 57 mm", "length 5.7 cm (2.2 in)", "2.24"),
        ("ring, tests as 18K gold, red stone", "Tests as 18K gold.", "not tested"),
        ("cufflinks, silver, hallmarked Birmingham 1978", "Hallmarked Birmingham 1978.", "colour"),
        ("brooch, lion passant, anchor, enamel", "Marks: lion passant and anchor.", "Anchor."),
        ("brooch, marked with a name I can't read", "A mark is on it and was not read", "I can't"),
        ("earrings, pierced, hoops, silver tone", "For pierced ears.", "and pierced"),
        (
            "necklace and clip earrings set, blue rhinestones",
            "Set of necklace and clip earrings",
            "Fastening: clip earrings",
        ),
        (
            "necklace and matching screw back earrings, lucite",
            "Set of necklace and",
            "Necklace, circa",
        ),
        ("brooch, bakelite, one stone missing", "One stone missing.", "fumes"),
        ("brooch, celluloid, carved", "Celluloid catches fire", "Dust"),
        ("beads, plastic or amber, untested", "Perhaps plastic, perhaps amber.", "Plastic and"),
        ("bangle, bakelite or lucite", "Perhaps", "and lucite"),
        ("brooch signed Novak, glass", "Signed “Novak”.", "Brooch signed"),
        ("necklace, tag marked 925", "Tag marked “925”.", "Necklace marked"),
        ("brooch, clasp replaced?, glass", "Perhaps clasp replaced.", ": Clasp replaced"),
        ("brooch, definitely glass, rollover catch", "Glass.", "erhaps glass"),
        ("ring, maybe gold, red stones", "Ring. Perhaps gold.", "Ring, circa"),
    ],
)
def test_a_buyer_reads_what_the_seller_has_in_hand(
    make_matter, note: str, told: str, untold: str
) -> None:
    """Flaws with their thing, tests and hallmarks as noted, inches as measured, no bench work."""
    text = listing(make_matter(note)).text("long")
    assert told in text
    assert untold not in text


@every_case(
    ("note", "tells", "not_told"),
    [
        ("necklace, celluloid beads", ["Celluloid beads."], ["Celluloid.", "Celluloid and"]),
        ("necklace, amber beads", ["Amber-coloured beads."], ["Amber-coloured."]),
        ("charm bracelet, sterling, 11 charms, 17 cm", ["11 charms"], ["17 cm and", "17 cms"]),
        ("watch, 17 jewels, does not run", ["17 jewels"], []),
        ("chatelaine, three chains", ["Three chains."], []),
        ("brooch, two stones missing", ["Two stones missing."], ["Two stones. "]),
        ("earrings, screw backs, aurora borealis beads", ["Aurora borealis beads."], ["and beads"]),
        ("pendant, locket, gold tone", ["Locket."], []),
        ("ring, one prong bent", ["One prong bent."], ["Prong.", "Fastening"]),
        ("brooch, cat, green eyes", ["Green eyes."], ["Colour: green"]),
        ("buckle, Bohemian glass, gilt", ["Glass."], ["place not known", "Bohemian"]),
        ("cameo brooch, shell", ["Shell cameo."], ["Cameo shell"]),
        ("earring, single, gold tone", ["Single earring,"], ["Earrings"]),
        ("dress clips, pair, pot metal", ["Dress clips, circa"], ["Dress clip,"]),
        ("sweetheart brooch, gilt brass, pin bent", ["Sweetheart brooch, circa"], ["Pin, circa"]),
        ("bracelet, filigree, silver tone", ["iligree"], []),
        ("necklace, snake chain, gold tone", ["Snake chain."], []),
        ("necklace, paste, foil backed", ["Foil backed."], ["and foil"]),
        ("tie bar, gold tone, monogram", ["Monogram."], []),
        ("locket, glazed compartment behind", ["Glazed compartment"], []),
        ("necklace, peeling pearls", ["Peeling pearl-coloured beads."], ["pearl-coloured."]),
        ("ring, tests as 585", ["Tests as 585."], []),
        ("hatpin, faux pearl", ["Imitation pearl."], ["pearls"]),
        ("hatpin, faux pearls", ["Imitation pearls."], []),
        ("earrings, clip on, signed NAPIER", ["by Napier Co., circa"], ["Bliss"]),
    ],
)
def test_each_detail_is_told_once_and_in_full(
    make_matter, note: str, tells: list[str], not_told: list[str]
) -> None:
    made = listing(make_matter(note))
    text = f"{made.description} {made.condition}"

    assert [each for each in tells if each not in text] == []
    assert [each for each in not_told if each in text] == []


@every_case(
    "note",
    [
        "earrings, clip on, signed NAPIER, silver tone",
        "scarf clip, gold tone, signed MONET",
        "parure: necklace, bracelet and clip earrings, signed KRAMER, ab rhinestones",
        "set: brooch and clip earrings, signed LISNER, leaves, plastic stones",
        "earring, single, clip on, signed TRIFARI",
        "buckle, Bohemian glass, gilt, green",
    ],
)
def test_a_title_of_any_length_is_cut_between_its_parts(make_matter, note: str) -> None:
    """Whatever the length, each part between commas is one of those of the longest title, or the
    name with less of its maker or pieces.
    """
    matter = make_matter(note)
    whole = listing(matter, 400).title
    for most in range(20, 140, 3):
        title = listing(matter, most).title
        assert len(title) <= most
        head, *parts = title.split(", ")
        assert whole.startswith(head)
        assert whole[len(head) :][:1] in ("", ",", " ")
        assert [part for part in parts if f", {part}" not in whole] == []
        assert not head.endswith((" and", " of", " by", " &"))


def test_a_fault_that_breaks_off_at_an_article_goes_on_to_its_place_or_ends_before(
    make_matter,
) -> None:
    made = listing(make_matter("brooch, there is glue behind the third leaf from the left"))
    assert "Glue behind the third leaf." in made.text()
    made = listing(make_matter("brooch, gold tone, one stone missing on the"))
    assert " the." not in made.text()


def test_a_name_of_who_had_it_throws_no_doubt_on_a_mark(make_matter) -> None:
    """What belonged to my neighbour bears its maker's mark still, and the title says so."""
    told = make_matter("brooch, signed TRIFARI, gold tone. Belonged to my neighbour")
    assert attribution(told.base, told.reading).strength == "by"
    assert "signed “TRIFARI”" in listing(told).title


def test_a_mark_in_doubt_is_no_manner_and_stands_in_the_title(make_matter) -> None:
    doubted = make_matter("brooch, engraved MONET to my darling, gold tone")
    found = attribution(doubted.base, doubted.reading)
    assert found.strength == "manner"
    assert found.words.startswith("marked “MONET”, perhaps by ")
    assert listing(doubted).title.startswith("Brooch, marked “MONET”")


@every_case(
    ("note", "said"),
    [
        ("ring, marked 18K, tests 18K", "leaves its years open"),
        ("brooch, AB rhinestones", "Dated "),
    ],
)
def test_years_of_more_than_a_century_date_nothing(make_matter, note: str, said: str) -> None:
    assert said in listing(make_matter(note)).basis


def test_what_the_name_tells_is_not_told_again(make_matter) -> None:
    told = listing(make_matter("pair of clip-on earrings, gold tone")).description
    assert told.casefold().count("clip-on earrings") == 1


@every_case("length", range(20, 141, 10))
def test_a_title_names_a_firm_whole_or_not_at_all(make_matter, length: int) -> None:
    matter = make_matter("brooch, longship, marked CAI, words SCOTLAND and STERLING, impressed DB")
    title = listing(matter, length).title
    assert len(title) <= length
    assert "Celtic Art" not in title or "Celtic Art Industries" in title
    assert not title.endswith((" to", " by"))


def test_the_head_of_the_condition_is_no_grade(reader) -> None:
    reading = reader.read(Request("locket, gold tone", next_looks=0))
    assert check_text(reader.base, "Condition: A locket's glass is gone.", reading) == ()


@every_case(
    ("note", "title"),
    (
        (
            "necklace, bracelet and earrings set, blue rhinestones, one earring glued",
            "Set of necklace, bracelet and earrings",
        ),
        ("brooch and earring set, pink glass", "Brooch and earring set"),
        ("parure of necklace, bracelet and clip earrings", "Parure of necklace, bracelet and clip"),
    ),
)
def test_a_set_is_called_by_all_its_pieces(make_matter, note: str, title: str) -> None:
    assert listing(make_matter(note), 100).title.startswith(title)


def test_one_glued_earring_is_a_fault_and_glued_stones_are_how_it_was_made(make_matter) -> None:
    assert "One earring glued" in listing(make_matter("earrings, one earring glued")).condition
    assert "glued" not in listing(make_matter("earrings, stones glued")).condition


def test_a_mark_that_was_read_is_no_manner(make_matter) -> None:
    matter = make_matter("brooch, date letter k, Birmingham anchor, lion, maker's mark CH")
    words = attribution(matter.base, matter.reading).words
    assert "manner" not in words
    assert "CH" in words


@every_case("said", ("as is", "for parts", "for spares or repair", "project piece", "for repair"))
@pytest.mark.parametrize("part", ["rhinestones", "enamel", "pearls", "gold tone"])
def test_words_of_a_sale_harm_no_part(reader, part: str, said: str) -> None:
    reading = reader.read(Request(f"brooch, {part}, {said}", next_looks=0))
    assert [each.fault for each in reading.faults] == ["broken"]


@every_case(
    ("note", "title"),
    [
        (
            "demi parure of necklace and clip earrings, one earring lacks a stone",
            "Demi parure of necklace and clip earrings",
        ),
        ("brooch and earrings set, the brooch is bent", "Brooch and earrings set"),
        (
            "parure: tiara missing, necklace, earrings and brooch",
            "Parure of necklace, earrings and",
        ),
        ("parure, tiara is missing, necklace and earrings", "Parure of necklace and earrings"),
        (
            "set of necklace and earrings, without the bracelet",
            "Set of necklace and earrings",
        ),
        (
            "parure of necklace, bracelet, brooch, brooch lost its pin",
            "Parure of necklace, bracelet and",
        ),
        (
            "demi parure: bracelet and earrings, not signed, brooch",
            "Demi parure of bracelet, earrings",
        ),
        (
            "necklace, two bracelets and a pair of earrings",
            "Set of necklace, bracelets and pair of earrings",
        ),
    ],
)
def test_a_set_names_each_piece_once_and_none_that_is_lost(
    make_matter, note: str, title: str
) -> None:
    found = listing(make_matter(note)).title
    assert found.startswith(title)
    assert not re.search(r"tiara|bracelet" if "without" in note else "tiara", found.casefold())


def test_the_last_of_a_set_promises_no_others(make_matter) -> None:
    matter = replace(make_matter("brooch, gold tone"), of_set="leaf set")
    assert "It is one of a set: it comes alone." in listing(matter).text("long")
