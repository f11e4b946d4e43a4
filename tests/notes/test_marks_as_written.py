"""Marks as people tell of them: pictures, letters that were not read, what a hand cut in."""

from __future__ import annotations

from shipped_base import shipped_reader
from together import every_case

from markrules.knowledge.observation import Observation
from markrules.reading.reader import Request


def told(note: str) -> set[str]:
    """All that was understood, `feature=value`; `no feature` where it was looked for."""
    seen = shipped_reader().understand(note).observations
    return {
        f"{'told ' if each.heard else ''}{each.feature}={each.value}"
        if each.state == "seen"
        else f"no {each.feature}"
        for each in seen
    }


@every_case(
    ("note", "meant", "never"),
    [
        # A code, or a register's number, with the place where it stands and no word for a mark.
        ("silver brooch with T9 on the back and a rose", "mark=T9", "motif=flower"),
        ("silver brooch with 9.375 on the back", "mark=9.375", "length=9.375"),
        ("earrings with 01 A on the plaque", "mark=01 A", "mark=A"),
        ("earrings with 95 P on the plaque", "mark=95 P", "mark=P"),
        ("silver brooch with Rd No 123456 on the back", "mark=Rd No 123456", "colour=red"),
        ("rose brooch with 12 stones on the back row", "motif=flower", "mark=12"),
        ("silver locket with 2 photos inside and a rose", "motif=flower", "mark=2"),
        # A small share of gold by itself is a coat; a larger one is the weight of a stone.
        ("gold filled bangle, 1/20 14K", "mark=1/20 14K", "metal=gold-14k"),
        ("diamond ring with a 1/4 14K gold band", "metal=gold-14k", "mark=1/4 14K"),
        ("diamond ring with 1/10 ct 14k gold band", "metal=gold-14k", "mark=ct 14k"),
        # A fineness is a mark where a word for marks stands behind it, a verb too.
        ("damascene dragon pin, K24 marked", "mark=K24", "metal=gold-22k"),
        ("ring 18K stamped inside", "mark=18K", "metal=gold-18k"),
        ("bangle in 9ct gold marked", "mark=9ct gold", "mark=marked"),
        ("silver stamped bangle", "metal=silver", "mark=silver"),
        ("bracelet 7 inch stamped", "length=7 inch", "mark=7 inch"),
        # What stands behind a second word for marks is no size and no letter of a year.
        ("ring size 7 stamped 925", "mark=925", "ring-size=925"),
        ("size 7 ring marked 14K", "ring-size=7", "ring-size=14K"),
        ("date letter L marked CH", "mark=CH", "date-letter=CH"),
        ("date letter stamped L", "date-letter=L", "mark=L"),
        # Words of law before a piece are no maker's name.
        ("Dépose brooch with a rose", "mark=Dépose", "told maybe-maker=Dépose"),
        # What stands between `stamped` and `with` is the mark.
        ("brooch stamped 800 with a crescent and crown", "mark=800", "mark=800 with"),
        ("ring marked A with a crown over it", "mark=A", "motif=religious-or-symbol"),
        ("ring, mark of a bell", "mark-device=bell", "motif=object-of-use"),
        ("pendant, mark in the shape of a horse", "mark-device=animal-device", "motif=horse"),
        # What a marked piece lies in bears no mark, what the mark is on does.
        ("brooch marked NOVAK in a box", "mark=NOVAK", "label=NOVAK"),
        ("necklace marked NOVAK, in its original box", "mark=NOVAK", "label=NOVAK"),
        ("necklace, the box says Ciro Pearls", "label=Ciro", "mark=Ciro"),
        ("necklace, box says Novak", "label=Novak", "mark=Novak"),
        ("necklace, box says 1955", "label-year=1955", "label=1955"),
        ("studs on original cardboard with the name NEMO", "label=NEMO", "mark=NEMO"),
        ("necklace marked NOVAK on the box", "label=NOVAK", "mark=NOVAK"),
        ("pendant signed NOVAK on the original card", "label=NOVAK", "mark=NOVAK"),
        # A letter that is spoken of stands on nothing.
        ("brooch signed Fahrner, the F is fancy", "mark=Fahrner", "mark=F"),
        (
            "clips, a patent number and I suspect a copy",
            "mark-kind=registration-mark",
            "mark=I",
        ),
        ("brooch marked I on the back", "mark=I", "no mark"),
        ("brooch mkd B.S.K. with the copyright sign", "mark-sign=copyright-sign", "mark=sign"),
        ("tag marked Monet and a copyright C", "mark-sign=copyright-sign", "mark=C"),
        ("brooch, TANVALE scratched on the back", "mark=TANVALE", "fault=scratches"),
        ("brooch marked TANVALE, scratched", "fault=scratches", "no mark"),
        ("a Whiting Davis mesh bracelet", "mark=Whiting Davis", "no mark"),
        # A mark that cannot be read is a mark.
        ("brooch signed but can't read it", "mark-state=worn", "no mark"),
        ("brooch, cannot read the signature", "mark-state=worn", "no mark"),
        ("brooch, mark I can't make out", "mark-state=worn", "mark=I"),
        ("brooch, can't tell what it says", "mark-state=worn", "no mark"),
        ("brooch 'Jomaz', second letter unclear", "mark=Jomaz", "oddity=letter-and-shield"),
        ("bracelet, the hallmark was filed off", "fault=mark-worn-away", "fault=broken"),
        ("brooch with marks of a former catch", "fault=trace-of-an-older-fitting", "mark=a"),
        ("the clip bears the number 1852188", "mark=1852188", "motif=farm-or-wild-animal"),
        ("bakelite pin no marks at all", "no mark", "fault=missing-pin"),
        ("bakelite pin no chips", "plastic=bakelite", "fault=missing-pin"),
        ("brooch, a capital R inside a diamond", "mark-form=lozenge-frame", "gem=diamond"),
        ('clasp stamped "Japan" in tiny letters', "mark=Japan", "mark-form=lower-case"),
        # Nobody strikes a decade.
        ("bangle, gilt, I'd say 1960s", "finish=gilt", "mark=1960s"),
        ("bangle, gilt, you'd say 1960s studio", "finish=gilt", "mark=1960s"),
        # What was cut in for an owner, though its initials may be those of a listed maker.
        ("ring, engraved J.R. to M.K. 6-14-22", "inscription=J.R.", "mark=J.R."),
        ("ring inscribed A.L. to P.D. June 1934", "inscription=A.L.", "mark=A.L."),
        ("locket, gold filled, inscribed M. to J.", "inscription=M.", "mark=M."),
        ("bangle engraved from Mother to Ella 1915", "inscription=Ella 1915", "mark=Ella 1915"),
        ("brooch hand engraved H.K. 1924", "inscription=H.K. 1924", "mark=H.K. 1924"),
        ("silver brooch with a hand-engraved H.K. on the back", "inscription=H.K.", "motif=person"),
        # What somebody says, told behind it.
        ("it's a Haskell, I'm told, necklace", "told told-maker=Miriam Haskell", "mark=Haskell"),
        ("brooch, Haskell, or so she said", "told told-maker=Miriam Haskell", "mark=Haskell"),
        ("gold brooch, supposedly", "told metal=gold", "metal=gold"),
        # A hand that writes, and a box that is whole.
        ("cufflinks stamped SWANK in cursive", "mark=SWANK", "remark=name-of-a-person-or-place"),
        ("earrings in the box with 1975 on the flap", "remark=year-on-it", "fault=faded-label"),
        (
            "brooch, number 4032 scratched in",
            "mark-method=scratched-mark",
            "remark=name-that-looks-forged",
        ),
        # A device over a letter, whatever stands first and whether or not a word says mark.
        ("brooch, crown above a T", "mark=T", "motif=religious-or-symbol"),
        ("brooch, the T has a crown over it", "mark=T", "motif=religious-or-symbol"),
        ("brooch, T topped by a crown", "mark=T", "motif=religious-or-symbol"),
        ("brooch, T beneath a crown", "mark=T", "motif=religious-or-symbol"),
        ("brooch, back has a crown over a T", "mark-device=crown", "motif=religious-or-symbol"),
        ("brooch stamped crown T", "mark=T", "no mark"),
        ("brooch, flower above a C catch", "catch=c-catch", "mark=C"),
        ("brooch, a bird over a V shape", "motif=bird", "mark=V"),
        # Letters one by one, small or wide apart; stones of several letters are no word.
        ("brooch, n o v a k", "mark=NOVAK", "no mark"),
        ("brooch, N  O  V  A  K", "mark=NOVAK", "mark=N"),
        ("brooch, t.r.i.f.a.r.i on the back", "mark=T.R.I.F.A.R.I", "no mark"),
        ("m.o.p. w/ chain cuff links", "organic=mother-of-pearl", "mark=M.O.P. W"),
        # Initials of a firm that begin with one letter.
        ("brooch, W & SB", "mark=W & SB", "mark=SB"),
        ("brooch, J & Co on the back", "mark=J & Co", "mark=J"),
        ("silver brooch with C & S curls", "metal=silver", "mark=C & S"),
        # A bracket that was forgotten.
        ("brooch marked [CG", "mark=[CG]", "mark=[CG"),
        ("brooch marked TRI[FP on the back", "mark=TRI[FP]", "mark=TRI[FP"),
        ("brooch marked CG]INER", "mark=[CG]INER", "mark=CG]INER"),
        ("brooch marked TRI[F]ARI and [CG]", "mark=TRI[F]ARI", "mark=TRI[F]ARI and [CG]"),
        # A mark is no label because its piece lies in a box.
        ("cuff, mark B.B. in a box", "mark=B.B.", "label=B.B."),
        # What a hallmark shows.
        ("gold locket, hallmark: squirrel", "hallmark-mark=swiss-squirrel", "motif=bird"),
        ("gold pin hallmarked with a squirrel", "hallmark-mark=swiss-squirrel", "motif=bird"),
        ("gold pin, Mercury head with 4", "hallmark-mark=mercury-export", "hallmark-mark=mercury"),
        ("a squirrel pin, hallmarked", "subject=friendly-animal", "hallmark-mark=swiss-squirrel"),
        # What hallmarks show, in a list behind the word; one thing alone may be what is pictured.
        (
            "watch chain, hallmarked each link, lion and anchor",
            "hallmark-mark=lion-passant",
            "motif=farm-or-wild-animal",
        ),
        (
            "silver fob, hallmarks on back, lion, leopard head",
            "hallmark-office=london",
            "motif=farm-or-wild-animal",
        ),
        ("silver brooch, hallmarked, anchor, lion", "hallmark-office=birmingham", "motif=bird"),
        (
            "silver brooch, hallmarked, lion motif",
            "motif=farm-or-wild-animal",
            "hallmark-mark=lion-passant",
        ),
    ],
)
def test_a_mark_is_taken_as_it_is_told(note: str, meant: str, never: str) -> None:
    found = told(note)
    assert meant in found
    assert never not in found


@every_case(
    ("note", "certainty"),
    [
        # A land by itself may be stamped on the piece, or be where somebody says it comes from.
        ("Brooch. Coral beads. Italy", "guess"),
        ("clip earrings, glass, Austria", "guess"),
        ("coral brooch, ITALY", "sure"),
        ("coral brooch marked Italy", "sure"),
        ("coral brooch, 'Italy'", "sure"),
        ("coral brooch, Made in Italy", "sure"),
        ("glass brooch, West Germany", "sure"),
    ],
)
def test_a_land_by_itself_is_a_guess(note: str, certainty: str) -> None:
    marks = [
        each for each in shipped_reader().understand(note).observations if each.feature == "mark"
    ]
    assert [each.certainty for each in marks] == [certainty]


def test_a_land_by_itself_leaves_the_years_wider_than_a_stamp() -> None:
    reader = shipped_reader()

    def before_1890(note: str) -> float:
        date = reader.read(Request(note=note, next_looks=0)).date
        return sum(date.curve[: 1890 - date.first_year])

    alone, stamped = (before_1890(f"brooch, coral beads, {how}Italy") for how in ("", "marked "))
    assert alone > 1.5 * stamped


@every_case("lead", ["marked", "stamped", "signed"])
@every_case(("text", "size"), [("925", "7"), ("14K", "6"), ("NF", "9")])
def test_a_mark_before_a_size_is_no_size(lead: str, text: str, size: str) -> None:
    for note in (f"ring {lead} {text} size {size}", f"ring size {size} {lead} {text}"):
        assert {f"mark={text}", f"ring-size={size}"} <= told(note), note
        assert f"ring-size={text}" not in told(note)


def test_a_text_before_a_size_of_its_own_is_a_mark() -> None:
    assert {"mark=STERLING", "ring-size=7"} <= told("ring STERLING and a size 7")


@every_case("note", ["ring marked size 7", "ring, size marked 7"])
def test_a_size_may_be_marked(note: str) -> None:
    assert "ring-size=7" in told(note)
    assert "mark=7" not in told(note)


@every_case(
    ("note", "mark", "measured"),
    [
        ("bracelet marked 925 7 inches", "925", "length"),
        ("necklace marked 14K 18 inches long", "14K", "length"),
        ("brooch marked PAT 1933576 2 inches wide", "PAT 1933576", "width"),
    ],
)
def test_a_measure_behind_a_mark_is_none_of_it(note: str, mark: str, measured: str) -> None:
    assert f"mark={mark}" in told(note)
    assert any(each.startswith(f"{measured}=") for each in told(note))


@every_case(
    ("note", "kept"),
    [
        ("bracelet marked ITALY 925 box clasp", "mark=ITALY 925 box clasp"),
        ("necklace in original box marked Trifari", "label=Trifari"),
        ("necklace marked Trifari in original box", "mark=Trifari"),
    ],
)
def test_a_box_clasp_is_no_box_with_words_on_it(note: str, kept: str) -> None:
    assert kept in told(note)


def test_a_doubt_behind_a_year_is_of_that_year_alone() -> None:
    seen = shipped_reader().understand("Gorham sterling cuff, crossed ribbon 1977?").observations
    sure = shipped_reader().understand("Gorham sterling cuff, crossed ribbon 1977").observations

    def certainties(found: tuple[Observation, ...]) -> dict[str, str]:
        return {each.feature: each.certainty for each in found if each.feature != "told-date"}

    assert certainties(seen) == certainties(sure)
    assert [each.certainty for each in seen if each.feature == "told-date"] == ["guess"]


@every_case("decade", ["1950s?", "1950s", "50s?", "c1950s"])
def test_a_decade_is_no_part_of_a_mark(decade: str) -> None:
    assert "mark=TRIFARI" in told(f"brooch marked TRIFARI {decade}")


@every_case(
    ("note", "mark"),
    [
        ("brooch stamped sterling germany", "sterling germany"),
        ("brooch marked sterling mexico taxco", "sterling mexico taxco"),
        ("brooch marked germany sterling", "germany sterling"),
        ("brooch stamped sterling denmark and maker initials not identified", "sterling denmark"),
        ("bracelet marked gold filled usa", "gold filled usa"),
    ],
)
def test_texts_in_small_letters_go_on_with_one_another(note: str, mark: str) -> None:
    assert f"mark={mark}" in told(note)


@every_case(
    "note",
    [
        "stamped sterling brooch",
        "marked silver germany brooch",
        "hallmarked silver english brooch",
        "stamped west germany glass beads",
    ],
)
def test_texts_that_tell_of_a_thing_behind_them_are_none(note: str) -> None:
    assert not [each for each in told(note) if each.startswith("mark=")]


@every_case(
    "note",
    [
        "The 'crown jewels' of the collection: dragonfly pin, en tremblant",
        "bracelet with the 'broken eggshell' lacquer",
    ],
)
def test_what_is_only_so_called_is_no_mark(note: str) -> None:
    assert not [each for each in told(note) if each.startswith("mark=")]


@every_case(
    ("note", "mark"),
    [
        ('brooch, "made in austria", glass', "made in austria"),
        ("brooch with the 'made in england' stamp", "made in england"),
        ('ring, "love forever" inside', "love forever"),
    ],
)
def test_what_stands_in_quotes_is_one(note: str, mark: str) -> None:
    assert f"mark={mark}" in told(note)


@every_case(
    ("note", "mark"),
    [
        ("brooch marked -BODA", "...BODA"),
        ("brooch, signed TRIF-", "TRIF..."),
        ("brooch signed -RB", "-RB"),
        ("brooch signed Hattie C...", "Hattie C..."),
        ("brooch, ...parelli is all I see", "...parelli"),
        ("brooch, STERLING is all I can read", "STERLING"),
    ],
)
def test_a_torn_word_is_read_as_one(note: str, mark: str) -> None:
    assert f"mark={mark}" in told(note)


@every_case(
    "note",
    [
        "brooch, unsigned, mum says it's Haskell",
        "brooch, gran always called it Haskell",
        "brooch, my aunt says it is Haskell",
    ],
)
def test_what_somebody_says_is_told_and_not_seen(note: str) -> None:
    assert not [each for each in told(note) if each.startswith("mark=")]


@every_case(
    ("note", "kept"),
    [
        ("initials JHB on a signet ring", "inscription=JHB"),
        ("signet ring marked JHB", "mark=JHB"),
    ],
)
def test_initials_on_a_signet_are_its_owners(note: str, kept: str) -> None:
    assert kept in told(note)
