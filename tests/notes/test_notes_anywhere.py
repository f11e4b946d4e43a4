"""What a phrase says does not hang on where in the text it stands: nothing is counted from the end
or from an even place.
"""

from __future__ import annotations

from little_base import little_vocabulary
from notes_base import shipped_vocabulary
from together import every_case

from markrules.notes.folding import Folding
from markrules.notes.items import WrittenYears
from markrules.notes.quantities import LATEST, measure_at, years_at, years_told
from markrules.notes.tokens import tokens_of
from markrules.notes.understanding import understand

YEARS = (
    "1925", "1920s", "1920's", "1920-35", "1920–1935", "1920-30s", "1920s-30s", "1920s/1940s",
    "4.10.1887", "1880/90", "c1950s", "c. 1900", "C19th", "C 1900", "'62", "50s", "'60s",
)  # fmt: skip
MEASURES = ("5 cm", "5cm", "2.5 in", '2"', "1/2 in", "1 1/2 in", "2½ in", "5 to 6 cm", "5-6 cm")
BEFORE = ("", "x ", "x x ", "x, x x ", "x x x x ", "x x x x x ", "7 x ", "x x x x x x x ")


@every_case("text", YEARS)
def test_years_are_the_same_at_any_place(text: str) -> None:
    vocabulary = little_vocabulary()
    found = set()
    for before in BEFORE:
        start = len(tokens_of(before, Folding()).folded)
        tokens = tokens_of(f"{before}{text} y", Folding())
        late = tokens_of(f"{before}late {text} y", Folding())
        plain, told = years_at(tokens, start), years_told(vocabulary, late, start + 1)
        found.add((_from(plain, start), _from(told, start + 1)))
    assert len(found) == 1, found
    assert None not in next(iter(found))


def _from(years: WrittenYears | None, start: int) -> WrittenYears | None:
    return None if years is None else years._replace(end=years.end - start)


@every_case("text", MEASURES)
def test_measures_are_the_same_at_any_place(text: str) -> None:
    vocabulary = little_vocabulary()
    found = set()
    for before in BEFORE:
        start = len(tokens_of(before, Folding()).folded)
        told = measure_at(vocabulary, tokens_of(f"{before}{text} y", Folding()), start)
        found.add(None if told is None else told._replace(end=told.end - start))
    assert len(found) == 1, found
    assert found != {None}


def test_the_last_years_that_can_be_are_years() -> None:
    """A decade, a range and a day may end with the last year of all, and not beyond."""
    last = LATEST // 10 * 10

    def told(text: str) -> tuple[int, int] | None:
        found = years_at(tokens_of(text, Folding()), 0)
        return None if found is None else (found.first, found.last)

    assert told(f"{last - 20}s-{last}s") == (last - 20, last + 9)
    assert told(f"{last - 20}-{LATEST}") == (last - 20, LATEST)
    assert told(f"{last - 20}-{LATEST + 1}") == (last - 20, last - 20)
    assert told(f"{last - 20}s-{last + 10}s") == (last - 20, last - 11)


@every_case(
    ("note", "piece"),
    [
        ("necklace and matching clip earrings", "set"),
        ("matching necklace and clip earrings", "set"),
        ("necklace and clip earrings set", "set"),
        ("set of bracelet and clip earrings", "set"),
        ("a lovely set of rhinestone necklace and clip-on earrings", "set"),
        ("necklace, bracelet and clip earrings set", "set"),
        ("brooch and screw back earrings, set", "set"),
        ("set of 3 bangles", "bangle"),
        ("brooch set of paste", "brooch"),
        ("necklace and clip earrings", "necklace"),
    ],
)
def test_a_word_for_a_set_is_heard_first_in_the_middle_and_last(note: str, piece: str) -> None:
    assert understand(shipped_vocabulary(), note).piece_type == piece
