"""A number with its register's words is one text, whichever words they are."""

from __future__ import annotations

from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.reading.reader import Request

NUMBERS = {
    "us-patent": "2,583,988",  # issued in January 1952 (USPTO table of issue years)
    "us-design-patent": "151,552",  # issued in November 1948 (the same)
    "uk-registered-design": "654321",  # 1916 (National Archives, BT 51 and BT 53)
}


@every_case("register", NUMBERS)
@every_case("frame", ["brooch, {}", "brooch with {}", "brooch, {}, 9ct"])
def test_each_spelling_of_a_register_gives_its_number(register: str, frame: str) -> None:
    lost = []
    for spelling in shipped_base().registers[register].reads:
        if "{" in spelling:
            continue
        written = spelling.lower().replace("#", NUMBERS[register])
        reading = shipped_reader().read(Request(frame.format(written), next_looks=0))
        if not any(written in each.value.lower() for each in reading.observations):
            lost.append(written)
    assert lost == []
