"""Named types and the curves of the modern box, against dates fixed outside the trade.

Sources stand beside each check: laws, patents, launches of products and institutions as told by
encyclopedias and by those who launched them.
"""

from __future__ import annotations

from shipped_base import shipped_base
from together import every_case

from markrules.language.windows import Spread, Wave, Year

MODERN_FROM = 1960


def number(year: Year) -> int:
    """A stated year as a number; `now` is as late as can be."""
    return 9999 if year.now else year.number


def main_wave(spread: Spread) -> Wave:
    """The wave that holds most of the pieces."""
    rest = 1.0 - sum(wave.share or 0.0 for wave in spread.waves)
    return max(spread.waves, key=lambda wave: rest if wave.share is None else wave.share)


def middle(spread: Spread) -> int:
    """The year by which half of the main wave had been made."""
    wave = main_wave(spread)
    if wave.middle is not None:
        return number(wave.middle)
    return (number(wave.early) + number(wave.late)) // 2


# What could not be worn before: the name of the type or clue, the year, and who says so.
NOT_BEFORE = [
    (
        "mood-stone-ring",
        1975,
        "press accounts: on sale from the autumn of 1975",
    ),
    ("modular-italian-steel", 1987, "Italian firm's own account of its first modular link, 1987"),
    ("silicone-slogan", 2004, "the yellow band of a cancer foundation was launched in May 2004"),
    ("loom-band-bracelet", 2010, "encyclopedias: the loom was devised in 2010"),
    ("cz-925", 1976, "cubic zirconia has been sold as a gem since 1976 (gemmological manuals)"),
    ("many-zirconias-set-close", 1976, "as above"),
    ("aurora-gilt", 1953, "first vapour-coated stones of 1953 to 1956 (the maker's history)"),
    ("toll-free-888", 1996, "FCC: 888 in service on 1 March 1996"),
    ("toll-free-877", 1998, "FCC: 877 in service on 4 April 1998"),
    ("toll-free-866", 2000, "FCC: 866 in service on 29 July 2000"),
    ("toll-free-855", 2010, "FCC: 855 in service on 9 October 2010"),
    ("p65warnings-address", 2018, "California: clear and reasonable warnings of 30 August 2018"),
    ("qr-code", 1994, "the code was devised in 1994 (ISO/IEC 18004)"),
    ("green-dot", 1991, "German packaging ordinance of 12 June 1991"),
    ("ce-mark", 1993, "Council Directive 93/68/EEC"),
    ("cause-ribbon", 1991, "red ribbon of Visual AIDS, New York 1991"),
    ("red-hat", 1998, "the society was founded on 25 April 1998"),
    (
        "plastic-code",
        1988,
        "resin identification code of the plastics trade, 1988",
    ),
    ("cast-stone-cameo", 1964, "the maker's own account of its foundation"),
]


@every_case(("name", "year", "source"), NOT_BEFORE)
def test_nothing_is_common_before_it_could_be(name: str, year: int, source: str) -> None:
    base = shipped_base()
    entry = base.types.get(name) or base.clues[name]
    assert source
    if entry.common is not None:
        assert number(entry.common.waves[0].early) >= year - 1
    limit = entry.made.first if entry.made is not None else None
    if limit is not None:
        assert year - 4 <= number(limit) <= year + 5


def test_each_type_has_a_piece_that_is_one_and_a_near_miss() -> None:
    base = shipped_base()
    assert len(base.types) >= 150
    for name, kind in base.types.items():
        assert kind.common is not None, name
        assert kind.why, name
        assert kind.cites, name
        assert f"{name}-is-one" in base.cases, name
        assert f"{name}-near-miss" in base.cases, name


def test_the_modern_box_is_known() -> None:
    """At least two hundred clues and types whose middle lies in 1960 or later."""
    base = shipped_base()
    modern = [
        name
        for name, entry in [*base.clues.items(), *base.types.items()]
        if entry.common is not None and middle(entry.common) >= MODERN_FROM
    ]
    assert len(modern) >= 200


def test_curves_rise() -> None:
    base = shipped_base()
    for name, entry in [*base.clues.items(), *base.types.items()]:
        for wave in entry.common.waves if entry.common is not None else ():
            years = [year for year in (wave.early, wave.middle, wave.late) if year is not None]
            if any(year.relative for year in years):
                continue
            told = [number(year) for year in years]
            assert told == sorted(told), name
