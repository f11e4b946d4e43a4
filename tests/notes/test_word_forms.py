"""How words are written and folded, and texts read in part: the smallest steps, each by itself."""

from __future__ import annotations

import pytest
from little_base import little_vocabulary
from together import every_case

from markrules.notes.chunks import chunks_of
from markrules.notes.folding import Folding, plain, singular, verb_forms
from markrules.notes.halfread import as_one, both_ends
from markrules.notes.quantities import number_of, years_at
from markrules.notes.spelling import corrected
from markrules.notes.tokens import folded_number, phrase_of, tokens_of


@every_case(
    ("word", "looks"),
    [
        ("flurb", "plain"),
        ("Flurb", "name"),
        ("FLURB", "capitals"),
        ("F", "letter"),
        ("F.", "letter"),
        ("F.G", "capitals"),
        ("FLurb", "name"),
        ("FLUrb", "capitals"),
        ("FLUrbs", "name"),
        ("fLURB", "capitals"),
        ("flUR", "plain"),
        ("flURB", "capitals"),
        ("éLAN", "capitals"),
        ("12", "figures"),
        ("1,2", "figures"),
        ("18c", "mixed"),
        ("18C", "mixed"),
        ("18CT", "capitals"),
        ("A1", "mixed"),
        ("Ab1", "mixed"),
        ("...", "signs"),
        ("&", "signs"),
        ("-rb", "name"),
        ("–rb", "name"),
        ("*rb", "name"),
        ("~rb", "name"),
        ("?rb", "name"),
        ("[rb", "name"),
        ("..rb", "name"),
        (".rb", "plain"),
        ("…rb", "name"),
        ("don't", "plain"),
        ('"a b"', "quoted"),
        ("(Flurb),", "name"),
        (";flurb:", "plain"),
    ],
)
def test_how_a_word_is_written(word: str, looks: str) -> None:
    tokens = tokens_of(word, Folding())
    assert chunks_of(tokens, [None] * len(tokens), shouting=False)[0].look == looks


@every_case(
    ("text", "bounds"),
    [
        ("a b", [(0, 1, 0, 1), (2, 3, 1, 2)]),
        ("(ab) cd", [(1, 3, 0, 1), (5, 7, 1, 2)]),
        ("a-b c", [(0, 3, 0, 2), (4, 5, 2, 3)]),
        ('a "b c" d', [(0, 1, 0, 1), (2, 7, 1, 2), (8, 9, 2, 3)]),
        ('a"b c', [(0, 3, 0, 2), (4, 5, 2, 3)]),
        ("a ... b", [(0, 1, 0, 1), (2, 5, 1, 1), (6, 7, 1, 2)]),
        ('("b c")', [(1, 6, 0, 1)]),
        ("  a  ", [(2, 3, 0, 1)]),
    ],
)
def test_where_chunks_stand(text: str, bounds: list[tuple[int, int, int, int]]) -> None:
    tokens = tokens_of(text, Folding())
    found = [chunk[:4] for chunk in chunks_of(tokens, [None] * len(tokens), shouting=False)]
    assert [each for each in found if each[0] < each[1]] == bounds


@every_case(
    ("word", "forms"),
    [
        ("wobble", ("wobbled", "wobbling")),
        ("wobbles", ("wobbled", "wobbling")),
        ("scratched", ("scratching",)),
        ("bending", ("bended",)),
        ("rip", ("ripped", "ripping", "riped", "riping")),
        ("rips", ("ripped", "ripping", "riped", "riping")),
        ("strip", ("stripped", "stripping", "striped", "striping")),
        ("rivet", ("rivetted", "rivetting", "riveted", "riveting")),
        ("blister", ("blistered", "blistering")),
        ("crack", ("cracked", "cracking")),
        ("fix", ("fixed", "fixing")),
        ("bow", ("bowed", "bowing")),
        ("fray", ("frayed", "fraying")),
        ("buzz", ("buzzed", "buzzing")),
        ("is", ()),
        ("no1", ()),
        ("é", ()),
        ("emaillé", ()),
    ],
)
def test_forms_of_a_verb(word: str, forms: tuple[str, ...]) -> None:
    assert verb_forms(word) == forms


@every_case(
    ("word", "one"),
    [
        ("gas", "gas"),
        ("gems", "gem"),
        ("ties", "tie"),
        ("pies", "pie"),
        ("flies", "fly"),
        ("brooches", "brooch"),
        ("brushes", "brush"),
        ("glasses", "glass"),
        ("boxes", "box"),
        ("buzzes", "buzz"),
        ("roses", "rose"),
        ("glass", "glass"),
        ("citrus", "citrus"),
        ("iris", "iris"),
        ("rose", "rose"),
    ],
)
def test_one_of_many(word: str, one: str) -> None:
    assert singular(word) == one


@every_case(
    ("word", "fold"),
    [
        ("&", "and"),
        ("AND", "and"),
        ("Œuvre", "oeuvre"),
        ("Łódź", "lodz"),
        ("Đ", "d"),
        ("maker's", "maker"),
        ("makers'", "makers"),
        ("o'clock", "oclock"),
        ("'s", ""),
        ("straße", "strasse"),
    ],
)
def test_plain_letters(word: str, fold: str) -> None:
    assert plain(word) == fold


def test_words_that_fold_to_another_beginning_are_known() -> None:
    folding = Folding({"feet": "foot", "grey": "gray", "jewellery": "jewelry"}, {"two": "2"})
    assert folding.moving == {"fe", "tw"}
    assert (folding["Feet"], folding["greys"], folding["Two"]) == ("foot", "gray", "2")


@every_case(
    ("one", "other", "both"),
    [
        ("TRIF...", "...SNER", "TRIF...SNER"),
        ("...SNER", "TRIF...", "TRIF...SNER"),
        ("TRIF...", "SNER", ""),
        ("TRIF", "...SNER", ""),
        ("...TRIF...", "...SNER", ""),
        ("TRIF...", "...SNER...", ""),
        ("TRIF...", "SNER...", ""),
    ],
)
def test_beginning_and_end_of_one_mark(one: str, other: str, both: str) -> None:
    assert both_ends(one, other) == both


@every_case(
    ("one", "other", "choice"),
    [
        ("COVA", "CODA", "CO[VD]A"),
        ("A", "B", "[AB]"),
        ("AB", "CB", "[AC]B"),
        ("AB", "CD", ""),
        ("ABCD", "ABXY", "AB[CX][DY]"),
        ("ABCD", "AXYZ", ""),
        ("Cova", "CODA", "Co[vD]a"),
        ("COVA", "COVAS", ""),
        ("COVA", "cova", ""),
        ("A1", "A2", ""),
        ("A1", "B1", "[AB]1"),
        ("A-B", "A-C", ""),
        ("", "", ""),
    ],
)
def test_two_readings_of_one_mark(one: str, other: str, choice: str) -> None:
    assert as_one(one, other) == choice


@every_case(
    ("text", "number"),
    [
        ("5", 5.0),
        ("5,5", 5.5),
        ("5,55", 5.55),
        ("5,555", 5555.0),
        ("1,234,567", 1234567.0),
        ("5.5", 5.5),
        (".5", 0.5),
        ("5½", 5.5),
        ("½", 0.5),
        ("⅞", 0.875),
        ("3/4", 0.75),
        ("3/0", None),
        ("1/2/3", None),
        ("", None),
    ],
)
def test_what_a_number_stands_for(text: str, number: float | None) -> None:
    assert number_of(text, text) == number


@every_case(
    ("text", "years"),
    [
        ("1600", (1, 1600, 1600, True)),
        ("1599", None),
        ("2099", (1, 2099, 2099, True)),
        ("2100", None),
        ("1950s", (2, 1950, 1959, False)),
        ("1950 s", (2, 1950, 1959, False)),
        ("1950  s", (1, 1950, 1950, True)),
        ("1955s", (2, 1955, 1964, False)),
        ("1900s", (2, 1900, 1999, False)),
        ("1955-60", (2, 1955, 1960, False)),
        ("1955-55", (1, 1955, 1955, True)),
        ("1955-56", (2, 1955, 1956, False)),
        ("1955-2099", (2, 1955, 2099, False)),
        ("1955-2100", (1, 1955, 1955, True)),
        ("1955-6", (1, 1955, 1955, True)),
        ("1955/60", (1, 1955, 1960, False)),
        ("1955/55", None),
        ("1955/5", None),
        ("'62", (1, 1962, 1962, True)),
        ("'30", (1, 1930, 2030, False)),
        ("'31", (1, 1931, 1931, True)),
        ("a'62", None),
        ("50s", (2, 1950, 1959, False)),
        ("55s", None),
        ("c1950", (2, 1950, 1950, True)),
        ("c. 1950s", (3, 1950, 1959, False)),
        ("c 195", None),
        ("c - 1950", None),
        ("C19th", (3, 1800, 1899, False)),
        ("C17th", (3, 1600, 1699, False)),
        ("C16th", None),
        ("C 19th", None),
        ("4.10.1887", (1, 1887, 1887, True)),
        ("17/10/1868", (1, 1868, 1868, True)),
        ("10/17/1868", (1, 1868, 1868, True)),
        ("13/13/1868", None),
        ("0/13/1868", None),
        ("1/31/1868", (1, 1868, 1868, True)),
        ("1/32/1868", None),
        ("12/12/1599", None),
        ("1887.10.4", (1, 1887, 1887, True)),
        (".1950", None),
        ("1,950", None),
    ],
)
def test_what_years_stand_at_the_beginning(
    text: str, years: tuple[int, int, int, bool] | None
) -> None:
    found = years_at(tokens_of(text, Folding()), 0)
    assert (None if found is None else (found.end, found.first, found.last, found.exact)) == years


@every_case(
    ("text", "folded", "numeric"),
    [
        ("two C clasps", ["2", "c", "clasp"], [True, False, False]),
        ('a "b c" d', ["a", '"', "d"], [False, False, False]),
        ("2½ in.", ["2½", "in"], [True, False]),
        (".925", ["925"], [True]),
        ("1,234", ["1234"], [True]),
        ("don't", ["dont"], [False]),
        ("2.5\" 'x y' z", ["2.5", '"', "z"], [True, False, False]),
        ("R&B", ["r", "and", "b"], [False, False, False]),
        ("a_b", ["a", "b"], [False, False]),
        ("«x»", ['"'], [False]),
        ("„x“", ['"'], [False]),
        ("‘x’", ['"'], [False]),
        ("it's 'x", ["it", "x"], [False, False]),
    ],
)
def test_tokens_of_a_text(text: str, folded: list[str], numeric: list[bool]) -> None:
    tokens = tokens_of(text, Folding(numbers={"two": "2"}))
    assert (tokens.folded, tokens.numeric, len(tokens)) == (folded, numeric, len(folded))
    assert all(
        text[a:b] == tokens.raw(at)
        for at, (a, b) in enumerate(zip(tokens.starts, tokens.ends, strict=True))
    )


def test_a_quote_of_two_hundred_signs_is_one_and_a_longer_is_none() -> None:
    assert tokens_of(f'"{"a" * 200}"', Folding()).folded == ['"']
    assert tokens_of(f'"{"a" * 201}"', Folding()).folded == ["a" * 201]


@pytest.mark.parametrize(
    ("text", "phrase"),
    [("PAT # {x} C", ["pat", "#", "#", "c"]), ("1,000 & .5", ["1000", "and", "5"]), ("½", [])],
)
def test_phrases_of_the_rules(text: str, phrase: list[str]) -> None:
    assert phrase_of(text, Folding()) == phrase


@pytest.mark.parametrize(("text", "fold"), [("..925", "925"), ("1,2,3", "123"), ("9.5", "9.5")])
def test_folded_numbers(text: str, fold: str) -> None:
    assert folded_number(text) == fold


@every_case(
    ("word", "meant"),
    [
        ("rhinestone", "rhinestone"),
        ("rhinestne", "rhinestone"),
        ("rhinestonee", "rhinestone"),
        ("rhinestoen", "rhinestone"),
        ("rhinestome", "rhinestone"),
        ("rhinettome", ""),
        ("xhinestone", ""),
        ("opall", "opal"),
        ("opl", ""),
        ("opsl", ""),
        ("coril", ""),
        ("corlal", "coral"),
        ("trombon", "trombone"),
        ("trombane", "trombone"),
        ("clip1", ""),
        ("cloisonneeeee", ""),
        ("a" * 25, ""),
    ],
)
def test_slips_of_the_pen(word: str, meant: str) -> None:
    assert corrected(little_vocabulary(), word) == meant
