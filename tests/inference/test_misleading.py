"""What misleads is told when it holds, with the right chance, and vetoes what does not count."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from engine_numbers import NUMBERS, setting_entries
from together import every_case

from markrules.inference.engine import Model, read
from markrules.inference.reading import Reading
from markrules.knowledge.loading import load
from markrules.knowledge.observation import Observation
from markrules.telling.misleading import against, misleading_words, to_bear_in_mind

RULES = """
trust strong
    misread 6%
setting first-year
    value 1800
    why   "x"
piece ornament
piece brooch
    under ornament
piece bangle
    under ornament
family years
    overlap 50%
feature style
    ask   "Style?"
    value deco
    value gothic
feature plastic
    ask   "Plastic?"
    value acrylic
    value casein
feature back
    ask   "Back?"
    value bar
    value loop
feature engraved-year
    kind   year
    ask    "A year cut in?"
    dates  engraved
feature assay-year
    kind   year
    ask    "A date letter?"
    dates  assayed
feature said-year
    kind   year
    ask    "What was said?"
    describes
clue acrylic
    when  plastic is acrylic
    made  from 1931, mostly 1970 to 1990
    trust strong
    why   "x"
    cite  from-memory
clue casein
    when  plastic is casein
    made  mostly 1910 to 1930
    trust strong
    why   "x"
    cite  from-memory
clue engraved
    when  engraved-year is seen
    made  from year, mostly year to year + 2
    trust strong
    why   "x"
    cite  from-memory
type deco-acrylic
    title "deco bangle in acrylic"
    when  style is deco and plastic is acrylic
    made  from 1975
    trust strong
    why   "x"
    cite  from-memory
misleading deco-revival
    kind   revival
    on     ornament
    when   style is deco and plastic is acrylic
    taken  "a piece of the 1930s"
    is     "a revival of the 1980s"
    part   plastic
    look   "Mould seams."
    settle back
    chance 30%
    chance 80% on bangle
    cite   from-memory
misleading known-by-the-date
    kind   look-alike
    when   back is bar
    known  said-year over 1980 or style is gothic
    taken  "x"
    is     "y"
    look   "z"
    chance 90%
    cite   from-memory
misleading not-where-looped
    kind   replaced
    when   plastic is acrylic
    unless back is loop
    taken  "x"
    is     "y"
    look   "z"
    chance 10%
    cite   from-memory
misleading by-type
    kind   copy
    when   found type deco-acrylic
    taken  "x"
    is     "y"
    look   "z"
    cite   from-memory
misleading cut-in-before
    kind   other-year
    when   engraved before assayed by 3
    taken  "the year of making"
    is     "the year of an event"
    part   engraved-year
    look   "The letter."
    chance 90%
    never  engraved-year
    cite   from-memory
misleading said-too-early
    kind   told-claim
    told   said-year under 1920
    dated  from 1940
    taken  "as old as was said"
    is     "newer"
    look   "All else."
    chance 70%
    cite   from-memory
"""


LOOPED = """
clue looped
    when  back is loop
    made  mostly 1880 to 1900
    trust strong
    why   "x"
    cite  from-memory
"""


WITH_YEARS = """
misleading of-the-eighties
    kind   copy
    when   style is deco and plastic is acrylic
    taken  "x"
    is     "y"
    look   "z"
    chance 80%
    common 1978 1985 1995, background 1%
    cite   from-memory
"""


def model_of(folder: Path, rules: str) -> Model:
    """Rules made ready, up to 2020."""
    (folder / "all.rules").write_text(rules, encoding="utf-8")
    base, problems = load([folder], cache_folder=None)
    assert [each for each in problems if each.severity == "error"] == []
    return Model(replace(base, settings={**setting_entries(), **base.settings}), 2020)


@pytest.fixture(scope="module")
def model(tmp_path_factory: pytest.TempPathFactory) -> Model:
    """The rules above, made ready."""
    return model_of(tmp_path_factory.mktemp("rules"), RULES)


def year(feature: str, number: int, *, heard: bool = False) -> Observation:
    """A year read off a piece, or told of it."""
    return Observation(
        feature, str(number), number=float(number), years=(number, number), heard=heard
    )


def told(model: Model, *seen: Observation, piece: str = "brooch") -> Reading:
    """The reading of these observations."""
    return read(model, seen, piece_type=piece)


def test_the_chance_is_that_of_the_piece_type(model: Model) -> None:
    seen = (Observation("style", "deco"), Observation("plastic", "acrylic"))
    brooch = told(model, *seen)
    bangle = told(model, *seen, piece="bangle")

    assert [(each.name, each.probability, each.stated) for each in bangle.misleading] == [
        ("deco-revival", 0.8, True),
        ("by-type", 0.5, True),
        ("not-where-looped", 0.1, False),
    ]
    assert ("deco-revival", 0.3, False) in [
        (each.name, each.probability, each.stated) for each in brooch.misleading
    ]
    assert "revival of the 1980s (80%)" in against(bangle)[0]
    assert against(replace(bangle, contradictions=("x",)))[-1] == "x"
    noted = ("style", "plastic")
    assert to_bear_in_mind(brooch) == [
        misleading_words(each, noted) for each in brooch.misleading[1:]
    ]


@every_case(
    ("part", "noted", "heading"),
    [
        (("catch", "hinge"), ("catch", "finish"), "Revival (catch): "),
        (("catch", "hinge", "mark"), ("mark", "catch"), "Revival (catch, mark): "),
        (("pin-stem", "hinge", "mark"), (), "Revival (pin stem, hinge, mark): "),
        (("catch", "hinge", "mark", "gem"), (), "Revival: "),
        ((), ("catch",), "Revival: "),
    ],
)
def test_of_what_it_blames_that_is_named_which_was_noted(
    model: Model, part: tuple[str, ...], noted: tuple[str, ...], heading: str
) -> None:
    one = told(model, Observation("style", "deco"), Observation("plastic", "acrylic"))

    words = misleading_words(replace(one.misleading[0], part=part, heading="revival"), noted)

    assert words.startswith(heading + "taken for ")


def test_a_near_miss_is_not_named(model: Model) -> None:
    assert (
        told(model, Observation("style", "deco"), Observation("plastic", "casein")).misleading == ()
    )
    assert told(model, Observation("style", "deco")).misleading == ()


def test_unless_hinders_only_where_it_is_known_to_hold(model: Model) -> None:
    """`not back is loop` would ask for another back to be seen."""
    acrylic = Observation("plastic", "acrylic")

    assert "not-where-looped" in _names(told(model, acrylic))
    assert "not-where-looped" not in _names(told(model, acrylic, Observation("back", "loop")))


def _names(reading: Reading) -> list[str]:
    return [each.name for each in reading.misleading]


@pytest.mark.parametrize(("said", "stated"), [(1990, False), (1950, True), (None, True)])
def test_who_dates_it_rightly_is_not_misled(model: Model, said: int | None, stated: bool) -> None:
    said_of_it = [year("said-year", said, heard=True)] if said else []

    reading = told(model, Observation("back", "bar"), *said_of_it)

    assert [(each.name, each.probability, each.stated) for each in reading.misleading] == [
        ("known-by-the-date", 0.9, stated)
    ]


@every_case("words", [0, 10, 25, 50, 100, 1000])
def test_in_a_long_note_more_is_met_by_accident(model: Model, words: int) -> None:
    """The odds fall with the length beyond 25 words, to a fifth of them: numbers of the tests."""
    reading = read(model, (Observation("back", "bar"),), piece_type="bangle", words=words)

    odds = 0.9 / 0.1 * max(min(1.0, 25 / max(words, 1)), 0.2)
    (found,) = reading.misleading
    assert found.probability == pytest.approx(odds / (1 + odds))
    assert found.stated == (odds >= 1)


@every_case("words", [25, 50, 100, 1000])
def test_what_is_met_beside_others_is_less_by_accident(model: Model, words: int) -> None:
    """Two that rest on things of their own share the length; what rests on the same does not."""
    deco = (Observation("style", "deco"), Observation("plastic", "acrylic"))
    both = (*deco, Observation("back", "bar"))

    def probability(name: str, seen: tuple[Observation, ...]) -> float:
        found = read(model, seen, piece_type="bangle", words=words).misleading
        return next(each.probability for each in found if each.name == name)

    def shared(odds: float, found: int) -> float:
        left = odds * max(min(1.0, 25 * found / words), 0.2)
        return left / (1 + left)

    assert probability("deco-revival", deco) == pytest.approx(shared(0.8 / 0.2, 1))
    assert probability("deco-revival", both) == pytest.approx(shared(0.8 / 0.2, 2))
    assert probability("known-by-the-date", both) == pytest.approx(shared(0.9 / 0.1, 2))


def test_what_is_known_is_no_accident_of_a_long_note(model: Model) -> None:
    """It was told openly, and so is told back whatever the length, and is no reproach."""
    said = year("said-year", 1990, heard=True)
    seen = (Observation("back", "bar"), said)

    (found,) = read(model, seen, piece_type="brooch", words=1000).misleading

    assert (found.probability, found.stated, found.openly_told) == (0.9, False, True)
    assert misleading_words(found) == "Looks like another's work: as told, y. Look: z"


def test_whoever_says_what_was_seen_knows_of_it(model: Model) -> None:
    """`known` is asked of what was seen as of what was told."""
    loop = told(model, Observation("back", "bar"), Observation("style", "gothic"))
    plain = told(model, Observation("back", "bar"))

    assert [each.stated for each in loop.misleading] == [False]
    assert [each.stated for each in plain.misleading] == [True]


def test_years_are_compared_by_what_they_date(model: Model) -> None:
    apart = told(model, year("engraved-year", 1868), year("assay-year", 1882))
    close = told(model, year("engraved-year", 1880), year("assay-year", 1882))

    assert [each.name for each in apart.misleading] == ["cut-in-before"]
    assert close.misleading == ()


def test_what_is_vetoed_does_not_count(model: Model) -> None:
    """The engraved year is then no evidence of the making, as if it had not been looked at."""
    casein = Observation("plastic", "casein")
    vetoed = told(model, casein, year("engraved-year", 1868), year("assay-year", 1882))
    without = told(model, casein, year("assay-year", 1882))
    alone = told(model, casein, year("engraved-year", 1868))

    assert vetoed.date.curve == pytest.approx(without.date.curve)
    assert alone.date.curve != pytest.approx(without.date.curve)


def test_what_was_told_is_held_against_what_all_else_says(model: Model) -> None:
    newer = told(model, Observation("plastic", "acrylic"), year("said-year", 1900, heard=True))
    older = told(model, Observation("plastic", "casein"), year("said-year", 1900, heard=True))

    assert "said-too-early" in _names(newer)
    assert older.misleading == ()
    seen = told(model, Observation("plastic", "acrylic"), year("said-year", 1900))
    assert "said-too-early" not in _names(seen), "it asks for what was told, and this was seen"


def test_the_next_look_is_what_would_settle_it(model: Model) -> None:
    """The back says nothing of the years here, so that nothing else would bring it forward."""
    seen = (Observation("style", "deco"), Observation("plastic", "acrylic"))

    assert told(model, *seen).next[0].feature == "back"
    assert "back" not in [each.feature for each in told(model, seen[1]).next]


def test_years_of_its_own_are_mixed_in_by_its_chance(model: Model, tmp_path: Path) -> None:
    """With nothing else seen the posterior is the chance's mixture of both, worked out apart."""
    weighed = model_of(tmp_path, RULES + WITH_YEARS)
    (tmp_path / "copy").mkdir()
    only = model_of(
        tmp_path / "copy",
        """setting first-year
    value 1800
    why   "x"
prior years
    common 1978 1985 1995, background 1%
    why    "x"
    cite   from-memory
""",
    )
    seen = (Observation("style", "deco"), Observation("plastic", "acrylic"))
    sound, mixed = told(model, *seen), told(weighed, *seen)
    copies = read(only, ()).date.curve

    expected = [0.2 * a + 0.8 * b for a, b in zip(sound.date.curve, copies, strict=True)]
    assert mixed.date.curve == pytest.approx(expected, abs=1e-9)
    (named,) = [each for each in mixed.misleading if each.name == "of-the-eighties"]
    assert named.probability == pytest.approx(0.8)


def test_other_evidence_weighs_for_and_against_it(tmp_path: Path) -> None:
    weighed = model_of(tmp_path, RULES + WITH_YEARS)
    seen = (Observation("style", "deco"), Observation("plastic", "acrylic"))

    def chance(*more: Observation) -> float:
        found = told(weighed, *seen, *more).misleading
        return next(each.probability for each in found if each.name == "of-the-eighties")

    assert chance(year("engraved-year", 1935)) < 0.8 < chance(year("engraved-year", 1984))


def test_what_a_later_piece_imitates_speaks_less_against_it(tmp_path: Path) -> None:
    """A look beside those asked for may be imitated, and then says nothing: worked out apart."""
    trusting = """setting imitated
    value 0%
    why   "x"
"""
    texts = {"plain": LOOPED, "weighed": LOOPED + WITH_YEARS}
    texts["trusting"] = texts["weighed"] + trusting
    models = {}
    for name, text in texts.items():
        (tmp_path / name).mkdir()
        models[name] = model_of(tmp_path / name, RULES + text)
    seen = (Observation("style", "deco"), Observation("plastic", "acrylic"))
    looped = Observation("back", "loop")

    def odds(name: str) -> float:
        found = told(models[name], *seen, looped).misleading
        chance = next(each.probability for each in found if each.name == "of-the-eighties")
        return chance / (1 - chance)

    before = told(models["plain"]).date.curve
    says = [a / b for a, b in zip(told(models["plain"], looped).date.curve, before, strict=True)]
    says = [each * len(says) / sum(says) for each in says]  # its mean is 1 over a flat reference
    sound = told(models["plain"], *seen).date.curve
    of_sound = sum(p * each for p, each in zip(sound, says, strict=True))
    imitated = NUMBERS["imitated"]

    # The chance is 80%, so odds of 4 where nothing else was seen.
    assert odds("weighed") == pytest.approx(
        (1 - imitated) * odds("trusting") + imitated * 4.0 / of_sound, rel=1e-6
    )


CLAIMED = """
misleading claimed
    kind   told-claim
    when   style is deco and plastic is acrylic
    taken  "a"
    is     "b"
    look   "c"
    chance 60%
    cite   from-memory
setting doubted-share
    value 50%
    why   "x"
setting doubted-misread
    value 100%
    why   "x"
"""


def test_beside_what_misleads_all_else_is_less_sure(tmp_path: Path) -> None:
    """Half of the chance that something misleads goes to a piece of which no clue tells: the years
    of such pieces in general, here mixed in apart. A year that was read stays as it was."""
    models = {}
    for name, text in {"plain": LOOPED, "doubted": LOOPED + CLAIMED}.items():
        (tmp_path / name).mkdir()
        models[name] = model_of(tmp_path / name, RULES + text)
    seen = (Observation("style", "deco"), Observation("plastic", "acrylic"))
    looped = Observation("back", "loop")
    general = read(models["plain"], ()).date.curve

    for more in ((), (looped,)):
        sure = told(models["plain"], *seen, *more).date.curve
        mixed = told(models["doubted"], *seen, *more).date.curve
        expected = [0.7 * a + 0.3 * b for a, b in zip(sure, general, strict=True)]
        assert mixed == pytest.approx(expected, abs=1e-6)
    alone = told(models["doubted"], seen[0], looped).date.curve
    assert alone == told(models["plain"], seen[0], looped).date.curve, "nothing misleads there"


MEANT = """
remark meant
    words  "on purpose"
    leaves 25%
    cite   from-memory
"""


def test_a_remark_leaves_a_share_of_the_odds(tmp_path: Path) -> None:
    model = model_of(tmp_path, RULES + MEANT)
    seen = (Observation("style", "deco"), Observation("plastic", "acrylic"))
    plain = {each.name: each.probability for each in told(model, *seen).misleading}
    meant = told(model, *seen, Observation("remark", "meant")).misleading

    assert plain
    for each in meant:
        before = plain[each.name] / (1 - plain[each.name])
        assert each.probability / (1 - each.probability) == pytest.approx(before / 4)
        assert each.stated == (each.probability >= 0.5)


FATES = """
clue barred
    when  back is bar
    made  mostly 1880 to 1900
    trust strong
    why   "x"
    cite  from-memory
feature mended
    ask   "Mended?"
    value so
    value thus
    value said
misleading with-another-back
    kind   replaced
    when   mended is so
    taken  "x"
    is     "y"
    part   back
    look   "z"
    chance 70%
    cite   from-memory
misleading with-an-old-back
    kind   old-part
    when   mended is thus
    taken  "x"
    is     "y"
    part   back
    look   "z"
    chance 55%
    cite   from-memory
misleading with-a-back-that-says-nothing
    kind   finding-mark
    when   mended is said
    taken  "x"
    is     "y"
    part   back
    look   "z"
    chance 60%
    cite   from-memory
"""


@pytest.mark.parametrize(("mended", "chance"), [("so", 0.7), ("thus", 0.55), ("said", 0.6)])
def test_what_is_likely_of_a_part_moves_the_years(
    tmp_path: Path, mended: str, chance: float
) -> None:
    """The part's likelihood is mixed with what it says if later, older or of nothing: by hand."""
    model = model_of(tmp_path, RULES + FATES)
    before = told(model).date.curve
    sound = told(model, Observation("back", "bar")).date.curve
    says = [a / b for a, b in zip(sound, before, strict=True)]
    scale = len(says) / sum(says)  # its mean is 1 over a flat reference
    says = [each * scale for each in says]
    later = [sum(says[at:]) / len(says[at:]) for at in range(len(says))]
    older = [sum(says[: at + 1]) / (at + 1) for at in range(len(says))]
    other = {"so": later, "thus": older, "said": [1.0] * len(says)}[mended]
    mixed = [
        b * ((1 - chance) * s + chance * o) for b, s, o in zip(before, says, other, strict=True)
    ]

    found = told(model, Observation("back", "bar"), Observation("mended", mended)).date.curve

    assert found == pytest.approx([each / sum(mixed) for each in mixed], rel=1e-6)


ORDERED = """
misleading plastic-after-the-rest
    kind   replaced
    when   plastic is seen
    order  plastic after rest by 10
    taken  "x"
    is     "y"
    part   plastic
    look   "z"
    chance 80%
    cite   from-memory
misleading engraved-before-plastic
    kind   other-year
    when   engraved-year is seen
    order  engraved-year before plastic by 10
    taken  "x"
    is     "y"
    look   "z"
    chance 60%
    cite   from-memory
"""


@pytest.fixture(scope="module")
def ordering(tmp_path_factory: pytest.TempPathFactory) -> Model:
    """The rules above, and what hangs on an order of years."""
    return model_of(tmp_path_factory.mktemp("ordered"), RULES + ORDERED)


@every_case("cut_in", [1850, 1925, 1945, 1960, 1995])
def test_an_order_of_years_counts_as_often_as_it_stands(ordering: Model, cut_in: int) -> None:
    """Against two years drawn apart, summed pair by pair, each side read by itself."""
    acrylic, engraved = Observation("plastic", "acrylic"), year("engraved-year", cut_in)
    found = told(ordering, acrylic, engraved)
    rest = told(ordering, engraved).date.curve
    own = _as_read_off_sound_parts(ordering, "acrylic")

    after = sum(
        a * b for at, a in enumerate(own) for other, b in enumerate(rest) if at >= other + 10
    )
    prior = read(ordering, (), piece_type="brooch").date.curve
    agreement = sum(a * b / q for a, b, q in zip(own, rest, prior, strict=True) if q > 0)
    counts = after * min(1.0, NUMBERS["at-odds"] / agreement)
    named = [each for each in found.misleading if each.name == "plastic-after-the-rest"]
    assert [each.probability for each in named] == (
        [pytest.approx(0.8 * counts, rel=1e-3)] if after >= 0.75 else []
    )


def _as_read_off_sound_parts(model: Model, clue: str) -> list[float]:
    """The years that a clue gives by its emission alone, over those of all pieces."""
    (reading,) = told(model, Observation("plastic", clue)).clues
    prior = read(model, (), piece_type="brooch").date.curve
    weights = [a * b for a, b in zip(prior, reading.suits, strict=True)]
    return [each / sum(weights) for each in weights]


def test_two_named_sides_are_compared(ordering: Model) -> None:
    acrylic = Observation("plastic", "acrylic")

    assert "engraved-before-plastic" in _names(told(ordering, acrylic, year("engraved-year", 1880)))
    assert "engraved-before-plastic" not in _names(
        told(ordering, acrylic, year("engraved-year", 1985))
    )


def test_an_order_needs_both_sides(ordering: Model) -> None:
    """Where nothing else speaks, nothing is said to lie after it."""
    assert _names(told(ordering, Observation("plastic", "acrylic"))) == ["not-where-looped"]


COUNTED = """
misleading newer-than-told
    kind   copy
    told   said-year is seen
    dated  from year + 30
    taken  "x"
    is     "y"
    look   "z"
    chance 65%
    cite   from-memory
"""


def test_years_count_from_what_was_told(tmp_path: Path) -> None:
    counting = model_of(tmp_path, RULES + COUNTED)
    acrylic = Observation("plastic", "acrylic")

    early = told(counting, acrylic, year("said-year", 1905, heard=True))
    late = told(counting, acrylic, year("said-year", 1975, heard=True))
    assert "newer-than-told" in _names(early)
    assert "newer-than-told" not in _names(late)
    assert "newer-than-told" not in _names(told(counting, acrylic))
