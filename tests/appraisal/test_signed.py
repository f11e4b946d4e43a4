"""Whether a piece counts as signed by what was read of a mark."""

from __future__ import annotations

from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.appraisal.likeness import signed
from markrules.marks.kept import kept_vocabulary
from markrules.marks.reading_variants import letters_of_a_name
from markrules.reading.reader import Request


@every_case(
    ("mark", "expected"),
    [
        ("KADOLPH", True),
        ("G?R?RD", True),  # four letters and more of a name are a maker's
        ("KA?F...", None),  # three may be an owner's
        ("JAP?N", None),
        ("MADE IN JAP...", None),
        ("JAPAN", False),
    ],
)
def test_a_mark_read_in_part_signs_as_one_read_in_full(mark: str, expected: bool | None) -> None:
    reading = shipped_reader().read(Request(note=f'brooch, marked "{mark}"', next_looks=0))
    assert signed(shipped_base(), reading) is expected


@every_case(
    ("text", "letters"),
    [("KADOLPH", 7), ("G?R?RD", 4), ("JAP?N", 0), ("MADE IN JAP...", 3), ("[", 0)],
)
def test_letters_of_a_name(text: str, letters: int) -> None:
    assert letters_of_a_name(text, kept_vocabulary(shipped_base())) == letters
