"""The fingerprint covers all evidence and nothing else, and is plain SHA-256 (FIPS 180-4)."""

from __future__ import annotations

import subprocess
from dataclasses import replace

import pytest

from markrules.knowledge.observation import Observation
from markrules.sheets.fingerprint import agrees, fingerprint, short
from markrules.sheets.matter import SeenLine, SheetMatter


def test_it_is_the_sha256_of_the_canonical_text(make_matter) -> None:
    """Against coreutils: the text is written here by hand, as RFC 8785 has it."""
    matter = make_matter("", told="x", seen=(SeenLine(Observation("width", "5 cm", number=50.0)),))
    text = (
        '{"note":"","owners":[],"photos":[],"schema":"markrules-evidence/1","seen":'
        '[{"certainty":"sure","feature":"width","number":50.0,"state":"seen","value":"5 cm",'
        '"when":"","who":""}],"told":"x","uid":""}'
    )
    summed = subprocess.run(
        ["sha256sum"], input=text.encode(), capture_output=True, check=True
    ).stdout.decode()
    assert fingerprint(matter) == summed.split()[0]


def test_every_part_of_the_evidence_counts(whole: SheetMatter) -> None:
    line = whole.seen[0]
    others = [
        replace(whole, told=whole.told + " "),
        replace(whole, note=whole.note + "."),
        replace(whole, uid="other"),
        replace(whole, photos=whole.photos[:1]),
        replace(whole, photos=(replace(whole.photos[0], digest="0" * 64), *whole.photos[1:])),
        replace(whole, owners=whole.owners[:1]),
        replace(whole, seen=whole.seen[1:]),
        replace(whole, seen=(replace(line, who="somebody else"), *whole.seen[1:])),
        replace(whole, seen=(replace(line, when="2020-01-01"), *whole.seen[1:])),
    ]
    digests = {fingerprint(each) for each in (whole, *others)}
    assert len(digests) == len(others) + 1


def test_what_was_concluded_does_not_count(whole: SheetMatter, make_matter) -> None:
    other = replace(whole, reading=make_matter("ring").reading, metals=(), made_on="1999-01-01")
    assert fingerprint(other) == fingerprint(whole)


def test_it_is_checked_as_people_type_it(whole: SheetMatter) -> None:
    digest = fingerprint(whole)
    for typed in (digest, short(digest), short(digest).upper().replace("-", " "), digest[:8]):
        assert agrees(digest, typed)
    wrong = ("0" if digest[0] != "0" else "1") + short(digest)[1:]
    assert not agrees(digest, wrong)
    for nonsense in ("", "abc", "not-a-fingerprint", "a" * 65):
        with pytest.raises(ValueError, match="no fingerprint"):
            agrees(digest, nonsense)
