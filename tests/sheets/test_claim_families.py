"""Ways of saying by families: what is claimed in many words, and what doubt leaves unclaimed."""

from __future__ import annotations

import pytest
from samples import some_of
from together import every_case

from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.reading.reader import Reader, Request
from markrules.sheets.claims import check_text
from markrules.sheets.phrases import FoundPhrase, PhrasesOfOwners, TextToken

RECORD = (
    "brooch, gold tone, red glass stones, unsigned, one stone missing, pin stem replaced,"
    " scratches, restrung"
)

# Said of a piece of which the record above is all that is known. Reasons: 16 CFR 23.1 (nothing
# misleading of kind, quality, quantity, origin, age or worth), 23.3 to 23.6 (metals), 23.17 to
# 23.25 (stones).
TOO_FAR = """
It must be real gold because it is so heavy. | You can feel the weight of real silver.
All precious metal, nothing base. | Gold through and through.
The charms are all solid silver too. | The rubies are certainly natural. | No heat, no oil.
From the Sleeping Beauty mine. | It passes the salt-water test.
A jeweller has tested it as 18ct. | I ran the test and it passed. | It's gold, not plated.
Every last stone is there. | Not one stone has been lost in all these years.
Has all of its original stones. | The foils are as bright as the day they were made.
Every stone still sparkles like the day it left the shop. | Has never been opened up or mended.
It has never once been cleaned, polished or resized. | Nobody has ever tampered with it.
All its parts are period. | The pin has never been changed. | Every bead is original.
No solder, no glue, nothing added. | Complete matching parure.
It's the full set as sold by the shop. | Both earrings started life together.
In its original presentation case. | The price ticket is still on the string. | Boxed from new.
They don't come up often. | You could search for years and not find another.
One of only a handful that survive. | Limited run of fifty.
The kind of piece that never comes up. | A grail for collectors. | Should be in a museum.
A piece that can only go up in price. | Prices for these are climbing fast.
Better than money in the bank. | Trade value 180. | I had it valued at 900.
The same one made 400 at auction last year. | A steal. | Once belonged to a countess.
From the hoard of a former film star. | By descent in the family of a general. | Carved by monks.
Individually mouth-blown. | Made one at a time in a small studio. | Entirely handwrought.
Won't tarnish, won't turn your skin green. | Safe for the most sensitive ears.
Free from lead and nickel. | 100% the real deal.
Comes with a lifetime guarantee of authenticity. | Certificate supplied on request.
The jeweller confirmed it. | Signed on the back by the artist. | Maker's mark on the reverse.
From the thirties. | At least four generations old. | Over a century old.
Made before World War One. | Never been on a finger. | Bought and never taken out.
Still has its tags. | Not a day's wear. | In an untouched state. | No fault to find.
It wants for nothing. | Better than new. | In impeccable order.
"""
CLAIMS = [each.strip() for line in TOO_FAR.strip().splitlines() for each in line.split("|")]

NAMED = """
gold | solid gold | sterling silver | 14K gold | platinum | a ruby | a diamond | genuine jade
Baltic amber | cultured pearls | Bakelite | Victorian | Art Deco | antique | handmade
hand carved | Trifari | signed | original | rare | one of a kind | never worn | museum quality
untreated | tested | certified | from an estate | a limited edition | hypoallergenic | worth 200
authentic | from the thirties | Murano glass | Swarovski | the real thing | in mint condition
all original | a complete set
"""
THINGS = [each.strip() for line in NAMED.strip().splitlines() for each in line.split("|")]
UNSAID = """
I can't say whether it is {}. | I cannot promise that it is {}. | I don't claim that this is {}.
It isn't {}. | It is not {}. | This is not {}, so please don't buy it as such.
I would not call it {}. | Nobody has told me that it is {}. | It may well be {}.
It could be {} for all I know. | I doubt that it is {}. | I have no way of knowing if it is {}.
Whether it's {} I leave to you. | I suspect it is {}. | My aunt always said it was {}.
The seller described it as {}. | It was sold to me as {}. | I couldn't tell you if it's {}.
It looks like {} to me. | I wouldn't like to say it is {}. | It's {}, I think.
There's nothing to say that it is {}. | I won't pretend it is {}. | It's neither new nor {}.
I never said it was {}. | Can't guarantee it's {}. | Not {} as far as I can tell.
It does not seem to be {}.
"""
DOUBTS = [each.strip() for line in UNSAID.strip().splitlines() for each in line.split("|")]


@pytest.fixture(scope="module")
def reading(reader: Reader) -> Reading:
    return reader.read(Request(note=RECORD, next_looks=0))


@every_case("text", some_of(CLAIMS))
def test_what_goes_too_far_is_marked(base: KnowledgeBase, reading: Reading, text: str) -> None:
    assert check_text(base, text, reading)


@every_case("doubt", DOUBTS)
def test_doubt_and_denial_claim_nothing(base: KnowledgeBase, reading: Reading, doubt: str) -> None:
    texts = [doubt.format(thing) for thing in some_of(THINGS)]
    assert [text for text in texts if check_text(base, text, reading)] == []


@every_case(
    ("text", "flagged"),
    [
        ("It isn't really made of gold.", []),
        ("It isn't signed. Solid gold, though.", ["Solid gold"]),
        ("The name isn't on it. Rare.", ["Rare"]),
        ("Set in 14 ct. gold.", ["14 ct. gold"]),
        ("Not only gold but rare.", ["gold", "rare"]),
        ("No doubt gold.", ["gold"]),
        ("Without a doubt gold.", ["gold"]),
        ("Not the gold kind.", []),
        ("Not as heavy as you would think, gold.", ["gold"]),
        ("Pure gold, I think.", []),
        ("Pure gold, I think it was bought new.", ["Pure gold"]),
        ("Rare. Pure gold, I think.", ["Rare"]),
        ("Rare but gold, I think.", ["Rare"]),
    ],
)
def test_how_far_doubt_and_denial_reach(
    base: KnowledgeBase, reading: Reading, text: str, flagged: list[str]
) -> None:
    assert [flag.words for flag in check_text(base, text, reading)] == flagged


def _tokens(text: str) -> list[TextToken]:
    tokens, at = [], 0
    for word in text.split(" "):
        tokens.append(TextToken(word, at, at + len(word), large=False))
        at += len(word) + 1
    return tokens


def _found(phrase: str, text: str) -> list[tuple[int, int]]:
    families = {"every": [("all", "the"), ("all",), ("every",)], "really": [("quite",), ("very",)]}
    phrases = PhrasesOfOwners([(tuple(phrase.split(" ")), 7)], {}, frozenset(), families)
    found = list(phrases.find(text, _tokens(text)))
    assert all(owner == 7 and isinstance(each, FoundPhrase) for owner, each in found)
    return sorted({(each.first, each.after) for _, each in found})


@every_case(
    ("phrase", "text", "places"),
    [
        ("{every} stone", "all the stone", [(0, 3)]),
        ("{every} stone", "has every stone", [(1, 3)]),
        ("{every} stone", "stone", []),
        ("{every?} stone", "all stone", [(0, 2), (1, 2)]),
        ("{every?} stone", "stone", [(0, 1)]),
        ("stone {really?} gone", "stone gone and stone very gone", [(0, 2), (3, 6)]),
        ("stone {really} gone", "stone gone", []),
        ("{every?} {really?} old stone", "quite old stone", [(0, 3), (1, 3)]),
        ("{every} {really} stone", "all the quite stone", [(0, 4)]),
        ("{really} # {every}", "very 7 all the", [(0, 3), (0, 4)]),
        ("{really?}", "stone", []),
    ],
)
def test_places_for_a_family(phrase: str, text: str, places: list[tuple[int, int]]) -> None:
    assert _found(phrase, text) == places


FIELDS = "ring, sterling silver, tests as sterling, purple stone"
SHOP = [
    ("Hallmarks: none.", []),
    ("Maker's mark: none found.", []),
    ("Hallmarks: clear, London.", ["Hallmarks"]),
    ("Not stamped or signed.", []),
    ("Origin: Bohemia.", ["Origin: Bohemia"]),
    ("Origin: not known.", []),
    ("Sterling silver, tested.", []),
    ("The citrine glass drops and the ruby paste.", []),
    ("Simulated freshwater pearls and real freshwater pearls.", ["freshwater pearls"]),
    ("Rose gold plated, not rose gold.", []),
    ("A costume version of the real thing.", []),
    ("It is possible that the catch is platinum.", []),
    ("A ring, possibly Scottish, Victorian red and green enamel.", ["Victorian"]),
    ("A Victorian (?) ring.", []),
    ("Out of a Palm Beach estate.", ["Out of a Palm Beach estate"]),
    ("Bought at an estate sale.", []),
    ("From a local estate agent.", []),
    ("It just needs a battery.", ["just needs a battery"]),
    ("It needs a new battery and perhaps more.", []),
    ("Thought to date from the 1820s, said to have belonged to a countess.", []),
    ("It appears to have been carved by hand.", []),
    ("Bought in 1998; given to me at Christmas 1999.", []),
    ("Traditionally worn by Victorian ladies.", []),
    ("Somebody tested it for solid gold.", []),
    ("A picture is worth 1000 words.", []),
    ("A picture says that it is worth 1000 dollars.", ["worth 1000"]),
    ("No chips, cracks, or flaws of any kind.", ["flaws of any kind"]),
    ("It never left the drawer.", ["never left the drawer"]),
    ("Ask a gemmologist before you buy.", []),
    ("An Arts and Crafts ring of the Arts and Crafts style.", ["Arts and Crafts"]),
]


@every_case(("text", "flagged"), SHOP)
def test_what_shops_say_in_fields_and_asides(reader: Reader, text: str, flagged: list[str]) -> None:
    """16 CFR 23.1: what is said of kind, quality, origin and age must not mislead; no more."""
    reading = reader.read(Request(FIELDS, next_looks=0))
    assert [flag.words for flag in check_text(reader.base, text, reading)] == flagged
