"""Notes read with the shipped rules: the trade's words, and the share of words understood."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from notes_base import lines, shipped, shipped_vocabulary
from samples import some_of
from together import every_case

from markrules.notes.onephrase import one_phrase
from markrules.notes.segment import said

CASES = Path(
    os.environ.get(
        "MARKRULES_CASES", Path(__file__).parents[2] / ".." / "shared" / "cases_dev.jsonl"
    )
)


def test_the_whole_road() -> None:
    told = shipped(
        "brooch, safety catch, snap rivets, AB stones, marked AUSTRIA, some plating bubbling, "
        "2 stones missing, 5.5 cm, 23 g"
    )

    assert told.piece_type == "brooch"
    assert told.not_understood == ()
    assert told.words_understood == told.words_total
    assert {
        "catch=safety-catch",
        "assembly=snap-rivets",
        "stone-coating=aurora-borealis",
        "mark=AUSTRIA",
        "fault=blistered-plating",
        "fault=missing-stones: 2",
        "length: 55",
        "weight: 23",
    } <= set(lines(told))


@every_case(
    ("note", "expected"),
    [
        ("brooch, no catch mark, not signed", {"no catch", "no mark"}),
        ("unmarked ring, maybe sterling?", {"no mark", "metal=sterling ~guess"}),
        ("necklace, lobster clasp, 16 inches", {"length: 406.4"}),
        ("brooch, open c catch, gilt metal", {"catch=c-catch"}),
        ("earrings stamped Germany and Sterling", {"mark=Germany", "mark=Sterling"}),
        ("necklace, Czechoslovakia stamped on the jump ring", {"mark=Czechoslovakia"}),
        ("brooch, original paper label for Japan", {"label=Japan"}),
        ("bracelet marked 1/20th 12kt gold filled", {"mark=1/20th 12kt gold filled"}),
        ("brooch, © TRIFOLD 1985", {"mark=© TRIFOLD 1985", "copyright-year: 1985"}),
        ("brooch, Birmingham hallmark for 1900", {"hallmark-year: 1900"}),
        (
            "brooch, lion passant, anchor, date letter a",
            {"hallmark-office=birmingham", "date-letter=a"},
        ),
        ("anchor brooch in silver", {"motif=object-of-use"}),
        ("brooch, back is textured", {"back-texture=textured"}),
        ("brooch, no loss of black enamel", {"enamel=black-enamel"}),
        ("aluminium brooch, moulded glass, grey enamel", {"metal=aluminium"}),
        ("aluminum brooch, molded glass, gray enamel", {"metal=aluminium"}),
        ("brooch said to be gold, circa 1960", {"metal=gold heard", "told-date: 1960 heard"}),
        ("grandmother's silver brooch with a C catch", {"metal=silver", "catch=c-catch"}),
        ('bracelet, engraved "M.B. 1943"', {"inscription=M.B. 1943", "inscribed-year: 1943"}),
        ("ring, 333", {"metal=gold-8ct"}),
        ("ring, emer. cut stone", {"stone-cut=emerald-cut"}),
        ("necklace, faux pearls, coating peeling", {"fault=peeling-pearls"}),
        ("sweater clip, japan sticker", {"label=japan"}),
    ],
)
def test_words_of_the_trade(note: str, expected: set[str]) -> None:
    assert expected <= set(lines(shipped(note)))


@every_case(
    ("note", "never"),
    [
        ("brooch, gold worn off the edges", "metal=gold"),
        ("brooch, could be Trifari, not signed", "mark=Trifari"),
        ("buckle, hook broken", "fault=missing-earring-back"),
        ("dress clip, clip snapped", "fault=missing-pin"),
        ("earrings, french hooks, surgical steel", "earring-back=steel-post"),
        ("brooch from a button tin", "metal=pewter"),
        ("necklace, jet black beads", "organic=jet"),
        ("brooch without rollover catch without rhinestones", "catch=rollover"),
    ],
)
def test_what_must_not_be_read(note: str, never: str) -> None:
    assert never not in {line.split(" ~")[0] for line in lines(shipped(note))}


def test_a_name_that_was_only_guessed_is_told_where_no_mark_is_found() -> None:
    told = shipped("brooch, could be Trifari, not signed")

    assert "no mark" in lines(told)
    assert any(each.feature == "told-maker" for each in told.observations)


@every_case(
    ("note", "piece"),
    [
        ("leaf pin, gold tone", "brooch"),
        ("15ct gold hinged bangle with an applied buckle", "bangle"),
        ("long hat pin, glass head", "hatpin"),
        ("hatpin? no, stick pin with a horseshoe", "stickpin"),
        ("necklace? no, belt", "belt"),
        ("political button, tin", "badge"),
        ("brooch made from a buckle", "brooch"),
        ("pair of clip earrings", "earrings"),
        ("diamond set locket", "locket"),
        ("mourning brooch, black enamel", "brooch"),
        ("not a brooch, glass", ""),
    ],
)
def test_piece_types(note: str, piece: str) -> None:
    assert shipped(note).piece_type == piece


def test_the_short_way_says_what_the_long_way_says() -> None:
    vocabulary = shipped_vocabulary()
    texts = [
        text
        for feature in vocabulary.base.features.values()
        for value in feature.values
        for text in (value.name.replace("-", " "), *value.also)
    ]
    short = {text: quick for text in texts if (quick := one_phrase(vocabulary, text)) is not None}

    assert len(short) > 5_000
    for text in some_of(short):  # the long way takes most of the time
        assert short[text] == said(vocabulary, text, after_mark=False, shouting=False), text


# Ordinary descriptions, invented, in the words of dealers and museums: none is tuned for.
ORDINARY = [
    "Victorian gold locket back brooch, plaited hair under glass, rope twist border, C catch, "
    "pin extends beyond the edge, slight dent to the reverse",
    "1950s gold tone necklace and clip on earrings, faux pearls and aurora borealis beads, hook "
    "clasp with extender chain, signed on the clasp, some wear to the pearls",
    "silver and marcasite ring in the form of a panther with emerald green eyes, stamped STERLING "
    "inside the shank, size N, one marcasite missing",
    "Art Deco dress clip, pot metal with pave set rhinestones and baguettes, hinged clip with "
    "pointed teeth, unsigned, two dark stones",
    "oval shell cameo of a lady facing left in a gilt metal frame with scalloped edge, tube hinge, "
    "hairline crack to the shell, 4.5 x 3.5 cm, 12.6 g",
    "enamelled copper bangle, abstract pattern in turquoise and black, foil under the enamel, "
    "hallmarked Birmingham 1972",
    "pair of nine carat rose gold cufflinks, engine turned, chain links, engraved initials JM, "
    "some rubbing, boxed",
    "carved Bakelite bracelet in butterscotch, deeply cut leaves and flowers, 2.5 cm wide, "
    "no cracks",
]


def test_ordinary_descriptions_are_understood() -> None:
    told = [shipped(note) for note in ORDINARY]
    share = sum(each.words_understood for each in told) / sum(each.words_total for each in told)

    assert share >= 0.95, [each.not_understood for each in told]


@pytest.mark.skipif(not CASES.is_file(), reason=f"no dated pieces at {CASES.name}")
def test_nine_words_in_ten_of_published_descriptions_are_understood(
    capsys: pytest.CaptureFixture[str],
) -> None:
    total = understood = 0
    for line in CASES.read_text(encoding="utf-8").splitlines():
        case = json.loads(line)
        told = shipped(", ".join([case["piece_type"], *case["observations"]]))
        total += told.words_total
        understood += told.words_understood
    with capsys.disabled():
        print(f"\nwords understood: {understood} of {total}, {understood / total:.1%}")

    assert understood / total >= 0.90


@pytest.mark.parametrize(
    ("note", "free_of"),
    [
        ("brooch, no chips and no missing stones", ("chipped", "missing")),
        ("brooch, no missing stones, not bent, no cracks", ("missing", "bent", "crack")),
        ("brooch without chips or cracks", ("chip", "crack")),
    ],
)
def test_a_second_denial_counts_like_the_first(note: str, free_of: tuple[str, ...]) -> None:
    seen = [line for line in lines(shipped(note)) if line.startswith("fault=")]

    assert not [line for line in seen for word in free_of if word in line]


@pytest.mark.parametrize(
    ("note", "count"),
    [("brooch, 3 stones missing", 3), ("brooch, rhinestones, 2 missing", 2)],
)
def test_a_number_before_what_is_missing_is_kept(note: str, count: int) -> None:
    assert f"fault=missing-stones: {count}" in lines(shipped(note))


@every_case(
    ("note", "mark"),
    [
        ("earrings mkd Montel c1950s", "Montel"),
        ("mkd Montel 1950s brooch", "Montel"),
        ("marked Montel 1970's", "Montel"),
        ("signed Montel '60s necklace", "Montel"),
        ("Marked Montel AB stones necklace", "Montel"),
        ("signed MONTEL Gold Tone Clip Earrings", "MONTEL"),
        ("mkd Montel gold tone earrings", "Montel"),
        ("marked Montel Made in Usa", "Montel Made in Usa"),
        ("bracelet marked 1/20th 12kt gold filled", "1/20th 12kt gold filled"),
        ("mkd 10K Gold Filled", "10K Gold Filled"),
    ],
)
def test_a_mark_ends_where_words_of_years_or_of_the_piece_begin(note: str, mark: str) -> None:
    assert [line for line in lines(shipped(note)) if line.startswith("mark=")] == [f"mark={mark}"]


@every_case(
    ("note", "expected"),
    [
        ("mkd 10K 60s ring", {"mark=10K"}),
        ("ring marked 14k 1970s", {"mark=14k"}),
        ("brooch, the mark starts with FEN", {"mark=FEN..."}),
        ("brooch, mark ending in WICK", {"mark=...WICK"}),
        ("brooch, mark begins with FEN...", {"mark=FEN..."}),
        ("ring by Fenwick", {"mark=Fenwick ~fair"}),
        ("maker: Fenwick, brooch", {"mark=Fenwick ~fair"}),
        ("bracelet by Fenwick & Pellow, Boston", {"mark=Fenwick & Pellow ~fair"}),
        ("ring marked FW & 925", {"mark=FW", "mark=925"}),
    ],
)
def test_marks_as_people_write_them(note: str, expected: set[str]) -> None:
    told = set(lines(shipped(note)))

    assert expected <= told
    assert len([line for line in told if line.startswith("mark=")]) == len(
        [line for line in expected if line.startswith("mark=")]
    )


@pytest.mark.parametrize(
    "note", ["brooch worn by Queen Mary", "brooch given by Jane", "brooch bought by Aunt May"]
)
def test_who_wore_or_gave_a_piece_is_not_its_maker(note: str) -> None:
    assert not [line for line in lines(shipped(note)) if line.startswith("mark=")]


def test_a_name_that_was_only_told_is_kept_though_no_list_has_it() -> None:
    told = shipped("brooch, the seller says it's by Fenwick")

    assert "Fenwick" not in told.not_understood
    assert [each.value for each in told.observations if each.feature == "told-maker"] == ["Fenwick"]


@every_case(
    ("note", "fault"),
    [
        ("brooch, cracks: none", "cracked-part"),
        ("brooch, chips none", "chipped-part"),
        ("brooch, missing nothing", "missing-part"),
        ("brooch, damage none", "broken"),
    ],
)
def test_a_denial_right_behind_damage_denies_it(note: str, fault: str) -> None:
    assert f"not fault={fault}" in lines(shipped(note))
    assert f"fault={fault}" in lines(shipped(note.rsplit(" ", 1)[0].rstrip(":")))


def test_one_earring_only_is_one_of_a_pair() -> None:
    assert "fault=single-of-pair: 1" in lines(shipped("one earring only"))


@pytest.mark.parametrize("note", ["brooch, a wire on the back", "brooch, plastic pearl on front"])
def test_a_place_of_something_else_is_no_place_of_a_mark(note: str) -> None:
    assert not [line for line in lines(shipped(note)) if line.startswith("mark-position")]


@every_case(
    "note", ["brooch marked on the back", "AUSTRIA on the back", "Novak on the back", "on the back"]
)
def test_a_place_beside_a_mark_or_by_itself_is_a_place_of_a_mark(note: str) -> None:
    assert "mark-position=on-back" in lines(shipped(note))


def test_a_letter_with_a_device_is_echoed_as_written() -> None:
    told = shipped("T with a crown above it")

    assert " ".join(each.words for each in told.account).startswith("T ")
    assert "mark=T" in lines(told)


def test_a_name_that_is_taken_for_the_mark_is_shown_as_guessed() -> None:
    told = {each.words: each for each in shipped("brooch, Novak on the back").account}

    assert told["Novak"].fate == "guessed"
    assert told["Novak"].meaning == "mark: Novak"


def test_shades_that_are_joined_before_rhinestones_are_both_shades() -> None:
    both = lines(shipped("brooch, olivine and amethyst rhinestones"))

    assert not [line for line in both if line.startswith("gem=")]
    assert "colour=green" in both
    assert "gem=peridot" in lines(shipped("brooch, olivine stones and rhinestones"))


@every_case(
    ("note", "look"),
    [
        ("pale gold tone bracelet", "gold-tone"),
        ("pale gold colour bracelet", "gold-tone"),
        ("9ct gold tone ring", "gold-tone"),
        ("sterling silver tone bracelet", "silver-tone"),
        ("white gold tone ring", "silver-tone"),
        ("rose gold tone ring", "rose-gold-tone"),
    ],
)
def test_a_metal_tone_is_no_metal(note: str, look: str) -> None:
    told = lines(shipped(note))

    assert f"finish={look}" in told
    assert not [line for line in told if line.startswith("metal=")]


def test_a_metal_without_a_word_of_likeness_stays_one() -> None:
    assert "metal=low-gold" in lines(shipped("pale gold ring, blue tone"))


@pytest.mark.parametrize(
    "note", ["cameo brooch, shell", "brooch, shell, cameo", "cameo brooch carved in shell"]
)
def test_shell_beside_a_cameo_is_what_it_is_cut_in(note: str) -> None:
    told = lines(shipped(note))

    assert "stone-kind=shell-cameo" in told
    assert not [line for line in told if line.startswith(("motif", "organic"))]


def test_shell_without_a_cameo_is_pictured_or_a_shell() -> None:
    assert "motif=water-animal" in lines(shipped("enamel shell brooch"))
    assert "stone-kind=shell-cameo" not in lines(shipped("cameo brooch, not shell"))


@pytest.mark.parametrize(
    "note", ["bracelet and earring set", "necklace & bracelet", "brooch and bracelet set"]
)
def test_two_pieces_joined_are_half_a_set(note: str) -> None:
    assert shipped(note).piece_type == "demi-parure"


def test_a_tail_is_that_of_the_animal_that_was_named() -> None:
    assert not [x for x in lines(shipped("bird brooch, long tail")) if "farm" in x or "wild" in x]


def test_earrings_clip_are_earrings() -> None:
    told = shipped("made in hong kong earrings clip")

    assert told.piece_type == "earrings"
    assert "earring-back=spring-clip" in lines(told)


@every_case(
    ("note", "kept"),
    [
        ("screw back earrings", "earring-back=screw-back"),
        ("pair of screw backs", "earring-back=screw-back"),
        ("pair of hoops", "earring-form=hoop-form"),
        ("string of pearls", "pearl=pearl-unnamed"),
        ("mesh purse", "metal=mesh"),
        ("gold cross pendant", "motif=religious-or-symbol"),
        ("3 strand beads", "necklace-form=multi-strand"),
        ("silver cuff bracelet", "bracelet-form=open-cuff"),
    ],
)
def test_a_phrase_that_names_a_piece_keeps_what_else_it_tells(note: str, kept: str) -> None:
    assert kept in lines(shipped(note))


@pytest.mark.parametrize(
    "note", ["ring, 1842 inside the band", "inside the band 1842", "brooch, 1842 on the back"]
)
def test_a_year_at_a_place_for_marks_stands_on_the_piece_and_is_guessed(note: str) -> None:
    years = [each for each in shipped(note).observations if each.number == 1842]
    assert [(each.feature, each.heard) for each in years] == [("inscribed-year", False)]
    assert years[0].assumed


def test_a_year_at_the_back_of_something_else_does_not_stand_on_the_piece() -> None:
    found = shipped("bracelet, 1960 on the back of the box").observations
    assert all(each.heard for each in found if each.number == 1960)


@every_case("country", ["japan", "hong kong", "france", "england"])
def test_a_country_at_a_place_for_marks_is_a_mark(country: str) -> None:
    assert f"mark={country}" in lines(shipped(f"earrings, {country} on the clip"))
    assert not any(each.startswith("mark=") for each in lines(shipped(f"earrings, {country}")))


@pytest.mark.parametrize("metal", ["silver", "sterling", "gold"])
def test_a_metal_on_the_back_is_the_metal(metal: str) -> None:
    found = lines(shipped(f"brooch, {metal} on the back"))
    assert any(each.startswith("metal=") for each in found)


@every_case(
    ("note", "kept", "never"),
    [
        ("my mother's ring, 9ct", "metal=gold-9ct", "ring-form"),
        ("mothers ring with birthstones", "ring-form=mothers-ring", "motif"),
        ("men's signet ring", "ring-form=signet-ring", "motif"),
        ("native american bracelet", "style=native-american", "motif"),
        ("celtic knot brooch", "style=celtic-revival", "motif"),
        ("hatpin with a glass head", "stone-kind=glass", "motif"),
        ("fox brooch, ruby eyes", "gem=ruby", "motif=person"),
        ("shell necklace", "organic=sea-shell", "motif"),
        ("earrings on gold hooks", "earring-back=shepherd-hook", "clasp"),
        ("wedgwood blue jasper brooch", "stone-kind=jasperware", "gem"),
        ("silver coloured brooch", "finish=silver-tone", "colour"),
        ("black stone ring", "colour=black-or-grey", "gem"),
        ("ring in a velvet box", "packaging=plain-box", "organic"),
        ("pendant watch, winds but doesn't run", "fault=stopped-watch", "fault=scratched"),
        ("watch brooch, glass is scratched", "fault=scratched-watch-glass", "fault=cloudy"),
        ("says Made in Hong Kong on the back", "mark=Made in Hong Kong", "said-origin"),
    ],
)
def test_everyday_words_are_taken_in_the_sense_they_have_there(
    note: str, kept: str, never: str
) -> None:
    told = lines(shipped(note))
    assert kept in told
    assert not [each for each in told if each.startswith(never)]


COATS = ["plated", "gold plate", "gold plated", "rolled gold", "gf", "gold filled", "rgp", "hge"]
COATS += ["gold overlay", "vermeil", "gold wash", "gold shell", "gold front", "layered", "tone"]


@every_case("coat", COATS)
@every_case("karat", ["9ct", "10k", "14kt", "15ct", "18ct", "18k", "22ct", "24k"])
def test_a_karat_before_a_coat_is_no_metal_of_the_piece(karat: str, coat: str) -> None:
    told = lines(shipped(f"{karat} {coat} chain"))
    assert not [each for each in told if each.startswith("metal=")]


@pytest.mark.parametrize(
    "note", ["9ct chain", "silver chain, gilt clasp", "18k gold ring, 2 fronts"]
)
def test_a_metal_with_no_coat_behind_it_is_that_of_the_piece(note: str) -> None:
    assert any(each.startswith("metal=") for each in lines(shipped(note)))


@pytest.mark.parametrize(
    ("note", "imitated"),
    [
        ("black plastic looks like jet", "organic=jet"),
        ("glass that looks like jade", "gem=jade"),
        ("resin made to look like ivory", "organic=ivory"),
    ],
)
def test_what_another_material_looks_like_is_imitated(note: str, imitated: str) -> None:
    assert not [each for each in lines(shipped(note)) if each.startswith(imitated)]
    hedged = lines(shipped(f"looks like {imitated.partition('=')[2]}"))
    assert f"{imitated} ~fair" in hedged


def test_imitation_pearls_lack_no_stones() -> None:
    assert "pearl=imitation-pearl" in lines(shipped("artificial grey pearl drops"))
    assert not [each for each in lines(shipped("artificial pearls")) if each.startswith("fault")]


@pytest.mark.parametrize("note", ["locket, worn thin", "wedding band, worn thin"])
def test_worn_thin_is_a_fault_of_whatever_it_is_said(note: str) -> None:
    assert any(each.startswith("fault=") for each in lines(shipped(note)))


@every_case(
    ("note", "kept"),
    [
        ("locket, engraved Susan", "inscription=Susan"),
        ("brooch, monogram JM", "inscription=JM"),
        ("bracelet engraved Robert", "inscription=Robert"),
        ("ID bracelet engraved with Gloria and 1943", "inscription=Gloria"),
        ("ring engraved inside JB to MK", "inscription=JB"),
        ("locket hand engraved with initials RB", "inscription=RB"),
        ("bangle inscribed Ruth", "inscription=Ruth"),
        ("cufflinks engraved with initials RGB", "inscription=RGB"),
        ("locket engraved inside Ann", "inscription=Ann"),
    ],
)
def test_what_is_cut_in_for_an_owner_is_no_signature(note: str, kept: str) -> None:
    told = lines(shipped(note))
    assert kept in told
    assert not [each for each in told if each.startswith("mark=")]


def test_words_cut_in_are_no_engraved_ornament() -> None:
    ornament = "technique=engraved"

    assert ornament not in lines(shipped("bracelet engraved Mary"))
    assert ornament in lines(shipped("bracelet engraved with scrolls, monogram EB"))
    assert ornament in lines(shipped("silver locket hand engraved with scrolls"))


@every_case(
    ("note", "mark"),
    [
        ("brooch, engraved TRIFARI", "mark=TRIFARI"),
        ("engraved bangle marked CH", "mark=CH"),
        ("maker's initials engraved JH", "mark=JH"),
        ("ring engraved 925", "mark=925"),
        ("signed Trifari, monogram JM", "mark=Trifari"),
    ],
)
def test_a_makers_mark_may_be_engraved(note: str, mark: str) -> None:
    assert mark in lines(shipped(note))


@every_case("before", ["", "brooch ", "red ", "oval red brooch, ", "old oval red "])
def test_a_measure_is_of_what_is_named_right_behind_it(before: str) -> None:
    """However many words stand before it, and also where another measure does."""
    for name, word in (("width", "wide"), ("length", "long")):
        found = {each.feature: each.number for each in shipped(f"{before}5 cm {word}").observations}
        assert found.get(name) == 50.0, (before, word)
    both = shipped(f"{before}necklace 40 cm long and 5 cm wide").observations
    assert {(each.feature, each.number) for each in both if each.number} == {
        ("length", 400.0),
        ("width", 50.0),
    }


@pytest.mark.parametrize(
    "note", ["rhinestones all present but several missing", "rhinestones all present but 3 missing"]
)
def test_a_count_before_missing_goes_back_to_what_was_named(note: str) -> None:
    told = [line for line in lines(shipped(note)) if line.startswith("fault=")]

    assert [line.partition(":")[0] for line in told] == ["fault=missing-stones"]
