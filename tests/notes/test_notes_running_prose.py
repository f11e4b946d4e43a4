"""Descriptions in whole sentences, as sellers and museums write them: nothing is made of the words
that sentences are built of.
"""

from __future__ import annotations

from notes_base import lines, shipped
from together import every_case


@every_case(
    ("note", "never"),
    [
        ("This piece is in good shape, brooch", "fault=broken"),
        ("the entire piece is in a lovely state, brooch", "fault=broken"),
        ("used in this unusual piece, brooch", "fault=broken"),
        ("these earrings were made using cultured pearls", "fault=added-fitting"),
        ("necklaces were often of two strands", "fault=added-fitting"),
        ("bracelet that can be altered by a jeweler", "fault=added-fitting"),
        ("brooch with green bits", "fault=verdigris"),
        ("cameo with a white 'face', brooch", "mark=face"),
        ('bracelet, two locking "teeth" fit a slot', "mark=teeth"),
        ("earrings that are no longer gleaming silver", "no colour"),
        ("drops on a diamond design, brooch", "gem=diamond"),
        ("brooch, leaves in a curve round a stone", "mark-form=curved"),
        ("brooch in silver base metal", "metal=silver"),
        ('bangle that shows a "Pierrot" among stars', "mark=Pierrot"),
        ("stone brooch, glass cabochons made to simulate turquoise", "gem=turquoise"),
        ("ring set with glass stones like a natural carnelian", "gem=carnelian"),
        ("silver brooch with native stones", "said-origin=folk-or-tribal"),
        ("necklace of barrel beads", "motif=object-of-use"),
        ("earrings with a paddle back", "motif=object-of-use"),
        ("cameo of a lady with flowers in her hair", "organic=hair"),
        ("brooch, no irregularities in the setting, or signs of repair", "fault=repaired"),
        ("brooch with no signs of wear or other imperfections", "fault=general-wear"),
        ("necklace of twisted strands of blue beads", "fault=bent-plate"),
        ("brooch, its wire twisted perfectly round", "fault=bent-plate"),
        ("dress clip with diamond rhinestones", "gem=diamond"),
        ("pin that could be worn as a pendant", "fault=general-wear"),
        ("fur/dress clip of pot metal", "organic=leather"),
        ("copper-alloy brooch", "metal=copper"),
        ("brooch, looks like a non-descript bug", "not motif=insect"),
    ],
)
def test_words_of_running_prose_make_nothing(note: str, never: str) -> None:
    assert never not in lines(shipped(note))


@every_case(
    ("note", "told"),
    [
        ("brooch in pieces", "fault=broken"),
        ('brooch, one rhinestone near the bottom is "dead"', "fault=dead-foil: 1"),
        ('brooch, "florenza" on the back', "mark=florenza"),
        ("brooch, slight rubbing to the high points", "fault=general-wear"),
        ("brooch with a diamond design", "motif=geometric"),
        ("brooch, the pin is twisted", "fault=bent-pin"),
        ("brooch, re-pinned with a safety pin", "fault=replaced-catch"),
        ('brooch, approx.1 5/8" by 1 1/3"', "length: 41.275"),
        ("rhinestones by the clasp, one of which has been replaced", "fault=replaced-stones"),
        ("bangle, in two pieces", "fault=broken: 2"),
        ("mourning brooch made with pinchback", "metal=pinchbeck"),
        ('brooch with a "Florenza" mark', "mark=Florenza"),
        (
            "rhinestone pin in the shape of a star that resembles a starburst",
            "motif=celestial ~fair",
        ),
        ("brooch, I see a spot of solder", "fault=soft-solder-mend"),
        ("brooch without any irregularities", "not fault=general-wear"),
    ],
)
def test_what_is_told_among_them_is_understood(note: str, told: str) -> None:
    assert told in lines(shipped(note))


@every_case(
    ("note", "measures"),
    [
        ("Length: 9cm Width: 6cm Height: 2.5cm", {"length": 90, "width": 60, "depth": 25}),
        ("width 27 mm x height 36 mm x depth 5.5 mm", {"width": 27, "length": 36, "depth": 5.5}),
        ("5 cm wide 3 cm high", {"width": 50, "length": 30}),
        ("4 cm long, width 3 cm", {"length": 40, "width": 30}),
    ],
)
def test_a_measure_belongs_to_the_name_before_it_where_all_do(
    note: str, measures: dict[str, float]
) -> None:
    told = {each.feature: each.number for each in shipped(f"brooch. {note}").observations}
    units = {"length": 1, "width": 1, "depth": 1}
    for name, millimetres in measures.items():
        assert told[name] in (millimetres * units[name], millimetres / 10), (name, told)


@every_case(
    ("note", "told"),
    [
        ("bar pin, quarter inch wide", "width: 6.35"),
        ("brooch an inch and a half across", "width: 38.1"),
        ("brooch, three quarters of an inch long", "length: 19.05"),
        ("brooch, two and a quarter inches long", "length: 57.15"),
        ("earrings, an inch and a half drop", "length: 38.1"),
        ("quarter size brooch", ""),
        ("ring, half eternity", ""),
    ],
)
def test_a_measure_may_be_told_without_figures(note: str, told: str) -> None:
    measures = [
        line for line in lines(shipped(note)) if line.startswith(("length", "width", "weight"))
    ]
    assert measures == ([told] if told else [])


@every_case(
    ("note", "told"),
    [
        ("brooch, C or trombone catch", {"catch=c-catch ~guess", "catch=trombone ~guess"}),
        ("necklace of jet and glass beads", {"bead=jet-bead", "bead=glass-bead"}),
        (
            "screw or clip back earrings",
            {"earring-back=screw-back ~guess", "earring-back=spring-clip ~guess"},
        ),
        ("earring, single, clip", {"fault=single-of-pair", "earring-back=spring-clip"}),
        ("earrings, one clip bent", {"earring-back=spring-clip", "fault=bent-earring-back: 1"}),
        ("pendant, plaque fell off", {"fault=missing-part"}),
        ("brooch, pot metal maybe? c catch", {"metal=pot-metal ~guess", "catch=c-catch"}),
    ],
)
def test_words_take_their_noun_from_what_stands_beside(note: str, told: set[str]) -> None:
    assert set(lines(shipped(note))) == told


@every_case(
    "note",
    [
        "brooch that will make your heart sing",
        "brooch, add it to your cart before it is gone",
        "brooch, gone in a flash",
        "brooch, a real gem of a find",
        "brooch, a pearl of a piece",
        "brooch, worn once to a ball",
        "brooch, in mint state",
        "brooch, in apple pie order",
        "brooch, crystal clear photos above",
        "would look stunning on a little black dress, brooch",
        "brooch, larger than it looks in the photo",
        "brooch, cleaned with a soft cloth only",
        "brooch, ships in a padded envelope",
        "it will light up any outfit, brooch",
        "a one of a kind brooch",
        "takes you from day to night, brooch",
        "brooch, shown next to a tape measure",
        "a better view of the clasp, brooch",
        "gift box still available, brooch",
        "brooch, I have had it for ages",
        "brooch that works well with a suit",
    ],
)
def test_what_sellers_say_beside_it_shows_nothing(note: str) -> None:
    told = [line for line in lines(shipped(note)) if not line.startswith("packaging")]
    assert told == []


@every_case(
    ("note", "told"),
    [
        ("brooch, very light wear to the plating", ["fault=worn-plating"]),
        ("brooch, light wear to the edges", ["fault=general-wear"]),
        ("brooch, slight wear on the gilding", ["finish=gilt", "fault=worn-plating"]),
        ("ring, very light blue stones", ["colour=blue"]),
        ("brooch, very light in weight", ["heft=light-in-hand"]),
        ("earrings, day to night ones, the drops detach", ["technique=detachable"]),
    ],
)
def test_very_light_is_said_of_what_stands_behind(note: str, told: list[str]) -> None:
    assert lines(shipped(note)) == told
