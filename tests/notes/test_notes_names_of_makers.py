"""Names of listed makers in notes, where no word says that they stand on the piece."""

from __future__ import annotations

from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.marks.entries import names_of
from markrules.reading.reader import Request


def told(note: str) -> set[str]:
    """All that was seen, `feature=value`."""
    seen = shipped_reader().understand(note).observations
    return {f"{each.feature}={each.value}" for each in seen if each.state == "seen"}


@every_case(
    ("note", "meant", "never"),
    [
        # A name of several words in capitals goes before what its words mean elsewhere.
        ("Laurel Burch cat earrings", "mark=Laurel Burch", "motif=leaf-or-plant"),
        ("gold tone Park Lane necklace", "mark=Park Lane", ""),
        ("brooch, Running Bear, turquoise", "mark=Running Bear", "motif=farm-or-wild-animal"),
        ("a Nine West necklace", "mark=Nine West", ""),
        # In small letters, or in a title, the words mean what they say.
        ("silver brooch with a running bear", "motif=farm-or-wild-animal", "mark=running bear"),
        ("Silver Arrow Brooch With Blue Stones", "motif=object-of-use", "mark=Silver Arrow"),
        # A phrase of the rules that holds the whole name goes before it.
        ("Fred Harvey bracelet", "style=native-american", "mark=Fred Harvey"),
        # A listed name is no slip of the pen for another word.
        ("Chanel clip earrings", "mark=Chanel", ""),
        ("chanel pin", "mark=chanel", ""),
        ("Lampl pin", "mark=Lampl", "motif=object-of-use"),
        ("brooch with two robbins", "motif=bird", "mark=robbins"),
        # The sign between partners is written out by people.
        ("Butler and Wilson brooch", "mark=Butler & Wilson", "mark=Butler and Wilson"),
        ("brooch signed Butler and Wilson", "mark=Butler & Wilson", "mark=Butler and Wilson"),
        # What stands in brackets behind a title only explains it.
        ("Christian Lacroix pin", "mark=Christian Lacroix", ""),
        ("Juicy Couture charm bracelet", "mark=Juicy Couture", "style=statement"),
        # Words and places that are a name, or part of one, too: in small letters no maker is meant.
        ("religious medal, aluminium, italy", "metal=aluminium", "mark=religious"),
        ("freedom pendant, eagle", "motif=bird", "mark=freedom"),
        ("salisbury cathedral souvenir brooch", "motif=religious-or-symbol", "mark=salisbury"),
        ("staffordshire pottery brooch", "stone-kind=ceramic", "mark=staffordshire"),
        ("crown staffordshire brooch", "mark=crown staffordshire", "mark=staffordshire"),
        ("brooch marked SHETLAND", "mark=SHETLAND", ""),
        # Right behind `by` a listed name in capitals is its maker's, whatever the word means.
        ("pretty silver earrings by Guess", "mark=Guess", ""),
        ("brooch by Sphinx, a flower", "mark=Sphinx", "motif=fabulous-creature"),
        ("earrings worn by Star at the fair", "motif=celestial", "mark=Star"),
        ("brooch by Star Lake", "motif=celestial", "mark=Star"),
        ("hinged bracelet, plate by plate", "bracelet-form=hinged-bangle", "mark=plate"),
        # A hyphen joins the name to the word that says it is signed; a place ends the mark.
        ("Grandstaff-signed brooch", "mark=Grandstaff", "mark=..."),
        ("Trifari-marked clip", "mark=Trifari", ""),
        ("brooch marked MONET to the back", "mark=MONET", "mark=to"),
        ("brooch mkd GRANDSTAFF to reverse", "mark-position=on-back", "mark=to"),
        # By itself between commas a name may be a maker's, and is asked about.
        ("brooch, Grandstaff, rhinestones", "maybe-maker=Grandstaff", "mark=Grandstaff"),
        ("Hello, my gold tone brooch", "finish=gold-tone", "maybe-maker=Hello"),
        # A mark that was looked for and is not there names nobody.
        ("gold tone brooch, no Trifari mark", "finish=gold-tone", "mark=Trifari"),
        ("gold tone brooch, Trifari? no Trifari mark", "finish=gold-tone", "mark=Trifari"),
        ("gold tone brooch, no visible Chanel stamp", "finish=gold-tone", "mark=Chanel"),
        ("brooch, no mark on the clasp, Trifari on the back", "mark=Trifari", ""),
        ("brooch marked Trifari, no other mark", "mark=Trifari", ""),
        # Whose it was and who sold it made it not, unless the piece or a word for marks follows.
        ("gilt ring belonged to Mrs Boucher next door", "finish=gilt", "mark=Boucher"),
        ("gilt brooch, gift from Kramer family", "finish=gilt", "mark=Kramer"),
        ("gilt brooch left by old Mrs Eisenberg", "finish=gilt", "mark=Eisenberg"),
        ("gilt brooch from the estate of Joan Hollycraft", "finish=gilt", "mark=Hollycraft"),
        ("earrings purchased at Monet, gilt", "finish=gilt", "mark=Monet"),
        ("gift from nan Trifari brooch", "mark=Trifari", ""),
        ("gift from grandma TRIFARI, gilt", "finish=gilt", "mark=TRIFARI"),
        ("grandma's TRIFARI brooch", "mark=TRIFARI", ""),
        ("gilt earrings, Monet thinks they are old", "finish=gilt", "mark=Monet"),
        ("gilt brooch from the KRAMER family next door", "finish=gilt", "mark=KRAMER"),
        ("gilt brooch, belonged to NOVAK", "finish=gilt", "mark=NOVAK"),
        ("gilt brooch, ask Boucher about it", "finish=gilt", "mark=Boucher"),
        # What a piece is likened to is not on it, in capitals no more than else.
        ("gilt pin in the style of AUGUSTE BONAZ", "finish=gilt", "mark=BONAZ"),
        ("gilt brooch, TRIFARI style", "finish=gilt", "mark=TRIFARI"),
        ("gilt brooch, copy of a TRIFARI", "finish=gilt", "mark=TRIFARI"),
        ("gilt brooch marked TRIFARI style", "mark=TRIFARI", ""),
        ("mark looks like TRIFARI", "mark=TRIFARI", ""),
        ("brooch bought with Trifari tag", "mark=Trifari", ""),
        ("mum's Trifari brooch", "mark=Trifari", ""),
        # A number word may begin a name.
        ("necklace marked NINE WEST", "mark=NINE WEST", "mark=WEST"),
        ("MARKED 925, ONE STONE CHIPPED", "mark=925", "mark=ONE"),
    ],
)
def test_names_are_heard_and_words_are_words(note: str, meant: str, never: str) -> None:
    seen = told(note)
    assert meant in seen, sorted(seen)
    assert never not in seen, sorted(seen)


def test_a_name_of_one_word_is_heard_behind_by_of_nearly_every_maker() -> None:
    """Names of one word, whatever else it means, as they stand in the rules."""
    names = sorted(
        {
            text
            for maker in shipped_base().makers.values()
            for text in names_of(maker)
            if len(text) > 3 and text.isalpha() and text[0].isupper() and not text.isupper()
        }
    )
    deaf = [text for text in names if f"mark={text}" not in told(f"gold tone brooch by {text}")]
    assert len(names) > 400
    assert len(deaf) <= 0.02 * len(names), deaf


def test_a_name_of_two_words_in_capitals_is_heard_of_nearly_every_maker() -> None:
    """Names of two words, as they stand in the rules, in a note of small letters."""
    reader = shipped_reader()
    names = [
        (maker.title, text)
        for maker in shipped_base().makers.values()
        for text in names_of(maker)
        if len(text.split()) == 2 and all(word[0].isupper() for word in text.split())
        if all(len(word) > 2 and word.isalpha() for word in text.split())
    ]
    deaf = [text for _, text in names if not any(text in seen for seen in told(f"pin, {text}"))]
    assert len(names) > 400
    assert len(deaf) <= 0.06 * len(names), deaf
    read = reader.read(Request("Trifari pin, T with a crown above it", next_looks=0))
    assert read.makers[0].title.startswith("Trifari")
