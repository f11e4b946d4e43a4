"""Pieces that are not what they seem, against a written key: the right kind, the right part.

The notes are invented, in words of our own, after what guides for buyers and jewelers' accounts of
altered pieces tell (named in rules/sources/misleading.rules), and from general knowledge. They were
written before the rules on what misleads. A third was laid aside: no note of it was looked at
again while rules were written, but both came from one hand, so that pieces of other origin are the
harder trial (MARKRULES_CASES, `markrules rules audit`). Everyday notes of ordinary pieces tell how
often something is said to mislead where nothing does.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from samples import some_of
from shipped_base import shipped_reader
from together import every_case

from markrules.auditing.doubts import named_rightly
from markrules.inference.reading import Reading
from markrules.language.tree import MISLEADING_KINDS
from markrules.reading.reader import Request

pytestmark = pytest.mark.slow

DATA = Path(__file__).parent / "data"
NAMED_AT_LEAST = 0.65
NAMED_OF_NEVER_READ = 0.33
"""The second set was written before anyone looked at what the rules hold. Its third was never
looked at: this is what was reached there, a floor that must not sink, and no aim."""
NAMED_OF_UNREAD_OBSERVATIONS = 0.50
"""The last set tells only what was observed, in the manner of catalogues and letters, and calls
nothing odd. Of its kept-aside part 40 were written last and were told like published pieces: 65%
of these were named; of those written earlier, and told as riddles, half."""
NAMED_OF_UNREAD_TOLD_WITH_THE_TRUTH = 0.65
"""Told as curators, sellers' corrections and collectors tell of them, some with the truth and some
only with what was seen. Of the kept-aside part, 65% were named before any word was added for its
other part, and 69% after."""
NAMED_OF_UNREAD_COLLECTORS = 0.45
"""After collectors' articles on fakes and conversions, and of every kind: 16 of 30 of the part that
was read were named at first, and 14 of 30 of the other, which was never looked at; 15 once the
rules were mended for the first."""
NAMED_AT_THE_BENCH = 0.45
"""Told in two or three sentences by somebody who holds the piece and does not know that it
misleads: 15 of 30 were named at first in either part, and 15 of the one that stayed unread once
words were added for the other. Its 80% sets held 15 at first, and 19 once what is likely of a part
moved the years."""
NAMED_WITHOUT_KNOWING = 0.75
"""Kept aside, and never learned from: 33 of 40. Since what all words of a note only hint at is a
note and no more it was 29, and 30 once words for a case that bears a name were learned from one of
them."""
NAMED_OF_UNREAD_ACCOUNTS = 0.60
"""After published accounts of fakes, conversions, marriages and curators' doubts, four of each
kind, half of them with no hint: 23 and 24 of 40 were named at first in the two halves, with no
part told of a quarter. The unread half had 25 once all words of a note were weighed beside each
situation, and 25 still when nearly all that is told named a part."""
ALARMS_OF_WHAT_SOUNDS_ODD = 0.3
"""Ordinary pieces in the very words of traps (a shop box, a replica as a charm, a mended shoe):
12 and 10 of 30 raised an alarm at first, and 8 of the unread half once whole notes were weighed.
What is reached, and no aim."""
NAMED_OF_UNREAD_GUIDES = 0.65
"""After dealers' and collectors' published guides to fakes, marriages, conversions and revivals,
three of each kind: 26 and 22 of 30 were named at first in the two halves."""
NAMED_OF_MANY_MAKES = 0.45
NAMED_OF_UNREAD_MAKES = 0.60
"""After sellers' and curators' warnings of fakes, marriages and conversions, four or five of each
kind: 26 of 47 and 30 of 46 were named at first in the two halves. The weights of words learned from
neither; the 80% sets of the unread half held 29 at first, and 31 since what misleads makes all else
less sure. Of its ordinary notes a third are plain, a third told as heirs tell and a third with odd
details that are sound: the unread 45 raise 10 alarms, seven of them on the last."""
NAMED_OF_MANY_HANDS = 0.55
NAMED_OF_UNREAD_HANDS = 0.65
"""Told in passing, as many hands do, four to six of each kind: 37 of 61 and 20 of 30 were named at
first in the two parts, and nothing was learned from either; the 80% sets held 48 and 21."""
ALARMS_ON_CHATTER = 0.2
"""Sound pieces with the same chatter (put away, priced in pencil): 7 of 40 and 2 of 20 raised an
alarm at first, and 1 of the unread 20 later. Several changes lay between, and which of them did it
was not measured."""
ALARMS_IN_WORDS_OF_TRAPS = 0.2
"""Ordinary pieces told with a marriage gift, a replaced battery, a copy of a receipt: 9 of 30 in
either half raised an alarm at first, and 5 of the unread half once these were passed over."""
ALARMS_AT_MOST = 0.10
"""Of the two further sets the first was read while remarks were written; the second, told plainly
and evenly over the kinds, was written after them, and scored before anything was changed for it.

Of the two sets told as in print, written together before the rules were looked at, 25 of 30 were
named at first in the one that rules were then mended for, and 13 of 30 in the other, which stayed
unread until those were mended; since then its causes were mended too, and neither is kept aside.
The notes of a desk raised alarms on 11 of 80 at first.

The set told obliquely says what was seen and draws no conclusion. Of its odd numbers 11 of 23
were named at first, and rules were mended for them; of its even ones, not looked at until then,
13 of 22. Of descriptions of sound pieces by shops and museums, which are not part of the project,
alarms were raised on 25 of 54 at first, on 5 of 34 others once orders of years asked for a
contradiction, on 9 of 24 others again, long and full of parts, before plain words of description
were taken out, and on 2 of 10 after.

Of the sixty short and long ones, half of which are told in sixty to a hundred words as sellers do,
9 and 15 of 30 were named at first, and of the thirty long ones a single one. Once the length was
shared out among what is met, 16 and 22 of 30 were; the second part stayed unread till the end.
"Alarms" on 59 long descriptions of sound pieces went from 7 to 13 by that and, once conditions were
mended for half of them, to 6: 2 of 30 of that half, and 4 of 29 of the other.

Of eighty told without knowing, or half knowing, what is wrong, and kept in two halves, 20 and 23
of 40 were named at first; words for the misses of the first half made that 27 and 24. Once the
words of a note were weighed as a whole, by weights learned from all files here but the second half
and from published descriptions of ordinary pieces, it was 33 of 40 in that half, and 32 once notes
with histories of firms and stuffs were learned from too, with alarms on 1 of its 30 ordinary notes
(1 before). Of 63 published descriptions that nothing was learned from it raised one alarm by
itself; without the published ones among what was learned, on 40 of 80. Since then all older files
are learned from, those that were kept aside among them: their figures tell nothing of unread
notes.

Of 82 things that look older than they are, 55 were named at first, and alarms raised on 7 of 82
originals.
"""


def lines(name: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (DATA / name).read_text(encoding="utf-8").splitlines()]


def reading_of(note: str) -> Reading:
    return shipped_reader().read(Request(note=note, next_looks=0))


@every_case(
    ("name", "least"),
    some_of(
        [
            ("misleading_pieces", NAMED_AT_LEAST),
            ("misleading_pieces_kept_aside", NAMED_AT_LEAST),
            ("misleading_pieces_more", NAMED_AT_LEAST),
            ("misleading_pieces_more_kept_aside", NAMED_OF_NEVER_READ),
            ("misleading_pieces_by_remarks", NAMED_AT_LEAST),
            ("misleading_pieces_plainly_told", NAMED_AT_LEAST),
            ("misleading_pieces_by_observation", NAMED_AT_LEAST),
            ("misleading_pieces_by_observation_kept_aside", NAMED_OF_UNREAD_OBSERVATIONS),
            ("misleading_pieces_told_with_the_truth", NAMED_AT_LEAST),
            (
                "misleading_pieces_told_with_the_truth_kept_aside",
                NAMED_OF_UNREAD_TOLD_WITH_THE_TRUTH,
            ),
            ("misleading_pieces_told_in_print", NAMED_AT_LEAST),
            ("misleading_pieces_told_in_print_more", NAMED_AT_LEAST),
            ("misleading_pieces_told_obliquely", NAMED_AT_LEAST),
            ("misleading_pieces_told_by_collectors", NAMED_AT_LEAST),
            ("misleading_pieces_told_by_collectors_kept_aside", NAMED_OF_UNREAD_COLLECTORS),
            ("misleading_pieces_short_and_long", NAMED_AT_LEAST),
            ("misleading_pieces_short_and_long_kept_aside", NAMED_AT_LEAST),
            ("misleading_pieces_at_the_bench", NAMED_AT_LEAST),
            ("misleading_pieces_at_the_bench_kept_aside", NAMED_AT_THE_BENCH),
            ("misleading_pieces_without_knowing", NAMED_AT_LEAST),
            ("misleading_pieces_without_knowing_kept_aside", NAMED_WITHOUT_KNOWING),
            ("misleading_pieces_from_accounts", NAMED_AT_LEAST),
            ("misleading_pieces_from_accounts_kept_aside", NAMED_OF_UNREAD_ACCOUNTS),
            ("misleading_pieces_from_guides", NAMED_AT_LEAST),
            ("misleading_pieces_from_guides_kept_aside", NAMED_OF_UNREAD_GUIDES),
            ("misleading_pieces_of_many_makes", NAMED_OF_MANY_MAKES),
            ("misleading_pieces_of_many_makes_kept_aside", NAMED_OF_UNREAD_MAKES),
            ("misleading_pieces_of_many_hands", NAMED_OF_MANY_HANDS),
            ("misleading_pieces_of_many_hands_kept_aside", NAMED_OF_UNREAD_HANDS),
        ],
        least=7,
    ),
)
def test_what_misleads_is_named_rightly(name: str, least: float) -> None:
    pieces = lines(f"{name}.jsonl")

    right = sum(
        named_rightly(reading_of(", ".join(each["observations"])), each["misleads"], each["parts"])
        for each in pieces
    )

    print(f"\n{name}: {right} of {len(pieces)} named rightly, {right / len(pieces):.0%}")
    assert right / len(pieces) >= least


@every_case(
    ("name", "most"),
    some_of(
        [
            ("everyday_notes", ALARMS_AT_MOST),
            ("ordinary_notes", ALARMS_AT_MOST),
            ("ordinary_notes_in_short", ALARMS_AT_MOST),
            ("ordinary_notes_of_all_times", ALARMS_AT_MOST),
            ("ordinary_notes_of_a_desk", ALARMS_AT_MOST),
            ("ordinary_notes_short_and_long", ALARMS_AT_MOST),
            ("ordinary_notes_short_and_long_kept_aside", ALARMS_AT_MOST),
            ("ordinary_notes_that_sound_odd", ALARMS_OF_WHAT_SOUNDS_ODD),
            ("ordinary_notes_that_sound_odd_kept_aside", ALARMS_OF_WHAT_SOUNDS_ODD),
            ("ordinary_notes_in_words_of_traps", ALARMS_OF_WHAT_SOUNDS_ODD),
            ("ordinary_notes_in_words_of_traps_kept_aside", ALARMS_IN_WORDS_OF_TRAPS),
            ("ordinary_notes_of_heirs", ALARMS_IN_WORDS_OF_TRAPS),
            ("ordinary_notes_of_heirs_kept_aside", ALARMS_OF_WHAT_SOUNDS_ODD),
            ("ordinary_notes_with_chatter", ALARMS_ON_CHATTER),
            ("ordinary_notes_with_chatter_kept_aside", ALARMS_AT_MOST),
        ],
        least=3,
    ),
)
def test_ordinary_pieces_raise_few_alarms(name: str, most: float) -> None:
    notes = [each["note"] for each in lines(f"{name}.jsonl")]
    alarmed = [note for note in notes if any(x.stated for x in reading_of(note).misleading)]

    print(f"\n{len(alarmed)} of {len(notes)} ordinary pieces: {alarmed}")
    assert len(alarmed) / len(notes) <= most


def test_the_key_is_written_in_kinds_and_features_of_the_rules() -> None:
    pieces = [
        each for path in sorted(DATA.glob("misleading_pieces*.jsonl")) for each in lines(path.name)
    ]
    base = shipped_reader().base
    features = {*base.features, *base.registers}

    assert len(pieces) >= 100
    assert {kind for each in pieces for kind in each["misleads"]} == set(MISLEADING_KINDS)
    assert {part for each in pieces for part in each["parts"]} <= features


def test_every_kind_has_entries_with_a_tell_tale() -> None:
    entries = list(shipped_reader().base.misleading.values())

    for kind in MISLEADING_KINDS:
        assert sum(each.kind == kind for each in entries) >= 2, kind
    assert all(each.look and each.cites for each in entries)


def test_things_that_look_older_are_told_from_their_originals() -> None:
    """Each told as a person tells of the later thing, with its tell-tale, and of the original."""
    things = lines("things_that_look_older.jsonl")

    named = sum(named_rightly(reading_of(each["later"]), each["kinds"], ()) for each in things)
    alarmed = sum(any(x.stated for x in reading_of(each["original"]).misleading) for each in things)

    print(f"\n{named} of {len(things)} named, alarms on {alarmed} originals")
    assert named / len(things) >= 0.8
    assert alarmed / len(things) <= ALARMS_AT_MOST


SETS_HOLD_AT_LEAST = 0.6
"""Of the pieces at the bench the sets of 80% held the stated middle for 31 of 60 at first, and for
37 once what is likely of a part, and of what imitates, moved the years."""


def test_the_years_hold_what_misleads() -> None:
    pieces = [
        each
        for name in ("at_the_bench", "at_the_bench_kept_aside")
        for each in lines(f"misleading_pieces_{name}.jsonl")
    ]

    held = 0
    for each in pieces:
        middle = (each["stated_from"] + each["stated_to"]) / 2
        years = reading_of(", ".join(each["observations"])).date.years
        held += any(run.first <= middle <= run.last for run in years)

    print(f"\n{held} of {len(pieces)} sets hold the stated middle")
    assert held / len(pieces) >= SETS_HOLD_AT_LEAST
