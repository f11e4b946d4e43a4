"""Sentences of somebody or something else add nothing; those of the piece are read."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from notes_base import lines, shipped
from samples import samples
from together import every_case

NOTES = (
    "Leaf brooch, gold tone, rollover catch, signed Trifari",
    "bakelite bangle, carved, 2 cm wide",
    "pot metal dress clip, pave rhinestones, no mark",
)
OF_OTHERS = (
    "I didn't clean the silver.",
    "The lady who sold it me wore the most enormous pearls.",
    "There were also two enamel compacts and a gold ring in the lot.",
    "Postage is by a courier signed for.",
    "The earlier one I listed had a c clasp and went for forty pounds.",
    "Our cat sleeps on the velvet cushion.",
    "The lining of the bag is torn.",
    "The clasp of my own necklace snapped.",
    "There was a lot of broken jewellery in that tin.",
    "Every Sunday the ladies wore marcasite.",
    "He always said real amber floats.",
    "We are closed on Mondays.",
    "The neighbours upstairs have a lovely silver teapot.",
    "Looking for a cameo ring in exchange.",
    # of people: what they do else
    "My neighbour keeps her silver thimbles in a glass cabinet.",
    "I bought a pair of clip earrings and a gold chain on the same day.",
    "The previous owner was a dancer and loved rhinestones.",
    "My grandmother was born in 1921 and married in 1946.",
    "An old man at the flea market had enamel badges and medals.",
    "I was hoping for ruby but got a bargain anyway.",
    "You get a free gold coloured chain with every order.",
    "She kept it beside her ivory hairbrush.",
    "An expert on television showed a similar one with emeralds.",
    "Would love to sell my coral earrings and some jade.",
    # of things that are no piece, with all that a list of theirs holds
    "The receipt is from 1988 and the shop has closed.",
    "The bag has a worn handle and a bent zip.",
    "The jar held buttons, hooks, a thimble and two pearl beads.",
    "The window behind it is cracked.",
    "The dish it is lying on is blue Wedgwood.",
    "In the same tin there was a silver sixpence from 1943.",
    "Picture taken on an old silver tray.",
    "My hands are stained so excuse the picture.",
    # of another piece
    "My other necklace is signed and has turquoise.",
    "The ring beside it is for sale too and is 18ct gold.",
    "I do have the gold plated version as well.",
)
OF_IT = (
    ("I couldn't close the catch", "fault"),
    ("The lady I got it from told me that the stones are glass", "stone-kind"),
    ("There is also a safety chain", "fitting"),
    ("The photo shows that a stone is missing", "fault"),
    ("I noticed a small chip on the edge", "fault"),
    ("My friend says the stones are glass", "stone-kind"),
    ("The seller thought it was silver but it is stamped EPNS", "mark"),
    ("The box is fine but the brooch has lost a stone", "fault"),
    ("I had the clasp replaced last year", "clasp"),
    ("My mother lost one of the stones in 1960", "fault"),
    ("She kept it in a drawer and the pin is bent", "fault"),
    ("Grandma bought it in Venice and it is made of glass beads", "bead"),
    ("They are clip earrings and one clip is weak", "fault"),
    ("My daughter wore it and the clip snapped", "fault"),
    ("When we unpacked it one rhinestone was missing", "fault"),
    ("You can see the hinge is loose", "fault"),
    ("The lady I got it from told me it is Scottish agate", "gem"),
    ("I got it with two stones gone", "fault"),
    ("My thumb covers the mark but it is stamped Sterling", "mark"),
    ("Everything is fine except the hinge which is bent", "fault"),
    ("Someone has mended the red one", "fault"),
    ("A stone (see photo) is missing", "fault"),
    ("I would have expected another catch", "remark"),
)
SUBJECTS = ("my aunt", "the seller", "I", "our neighbour", "the lady next door")
DOINGS = ("sold", "collects", "inherited", "treasured", "wore")
THINGS = ("coral beads", "a bakelite bangle", "silver filigree earrings", "some jet")


@every_case(
    ("note", "feature"),
    [
        ("ship brooch. The ship is enamelled in blue", "enamel"),
        ("car brooch. The car has rhinestone wheels", "stone-kind"),
        ("house brooch. The house is ceramic", "stone-kind"),
        ("book locket. The book opens and has two photos inside", "keepsake"),
        ("clown pin. The hat is chipped", "fault"),
        ("lady brooch. The dress is enamel", "enamel"),
        ("enamel dog pin. The dog is missing an eye", "fault"),
        ("silver ring. The gallery is pierced", "technique"),
        ("brooch. The house was full of silver", ""),
        ("brooch. The shop is closed and had rings of silver", ""),
    ],
)
def test_what_a_piece_pictures_is_of_it_where_it_was_named(note: str, feature: str) -> None:
    told = {line.partition("=")[0].partition(":")[0] for line in lines(shipped(note))}
    assert (feature in told) if feature else told <= {"piece"}, sorted(told)


@every_case(("note", "sentence"), [(note, each) for note in NOTES for each in OF_OTHERS])
def test_what_others_are_and_do_adds_nothing(note: str, sentence: str) -> None:
    assert lines(shipped(f"{note}. {sentence}")) == lines(shipped(f"{note}."))
    assert lines(shipped(f"{note}. {sentence} One stone missing.")) == lines(
        shipped(f"{note}. One stone missing.")
    )


@every_case(("sentence", "feature"), OF_IT)
def test_what_is_told_of_the_piece_is_read(sentence: str, feature: str) -> None:
    before = set(lines(shipped("Brooch, gold tone.")))
    told = set(lines(shipped(f"Brooch, gold tone. {sentence}."))) - before
    assert any(feature in each for each in told), told


@settings(max_examples=samples(60))
@given(st.sampled_from(SUBJECTS), st.sampled_from(DOINGS), st.sampled_from(THINGS))
def test_whoever_does_whatever_with_whatever(subject: str, doing: str, thing: str) -> None:
    sentence = f"{subject} {doing} {thing}."
    note = "Leaf brooch, gold tone, rollover catch."
    told = shipped(f"{note} {sentence[0].upper()}{sentence[1:]}")
    assert lines(told) == lines(shipped(note))
    assert {each.fate for each in told.account[4:]} <= {"neutral"}


def test_a_first_sentence_that_names_the_piece_is_of_it() -> None:
    told = lines(shipped("My aunt gave me a brooch with a C catch and seed pearls. It is gold."))
    assert "catch=c-catch" in " ".join(told)


def test_a_sentence_behind_a_torn_mark_is_none_of_its_letters() -> None:
    alone = shipped("brooch, gilt, mark ?RIF...")
    assert shipped("brooch, gilt, mark ?RIF.... The receipt is from 1988.").marks == alone.marks
