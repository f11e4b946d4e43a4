"""Readings as a person meets them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from inference_building import HILL, base_of, clue, feature, maker, seen, sees, window
from samples import samples
from together import every_case

from markrules.inference.engine import NO_EVIDENCE, Model, read
from markrules.inference.reading import Citation, Reading
from markrules.knowledge.observation import MarkEvidence, MarkHypothesis, Observation
from markrules.language.spans import Named
from markrules.language.tree import Cite, Family, Piece, Prior, Source, Trust
from markrules.language.windows import Spread, Wave, Window, Year
from markrules.telling.words import window_years

ROLLOVER = window(1911, 1925)
BEFORE_THE_YEAR_READ = Window(Year(1700), Year(0, relative=True), Year(12, relative=True))
FASTENINGS = base_of(
    HILL,
    Source("patent-1911", "A safety catch for pins", "patent"),
    feature("catch", "rollover", "open-c", refit=0.12),
    feature("hinge", "tube", "round"),
    feature("glass", "uranium", "plain"),
    feature("stones", "aurora", "foiled"),
    clue(
        "rollover-catch",
        sees("catch", "rollover"),
        ROLLOVER,
        cites=(Cite(Named("patent-1911"), "p. 2"),),
    ),
    clue("tube-hinge", sees("hinge", "tube"), window(None, 1850, 1890, 1905), "strong"),
    clue("uranium-glass", sees("glass", "uranium"), window(None, 1840, 1890), "moderate"),
    clue("aurora-stones", sees("stones", "aurora"), window(1955), "hard"),
    feature("patent"),
    clue("patented", sees("patent", "number"), BEFORE_THE_YEAR_READ, "hard"),
)
MODEL = Model(FASTENINGS, 2026)


def reading(*observations: Observation, **how) -> Reading:
    return read(MODEL, observations, **how)


def test_without_observations_the_prior_is_given_and_said() -> None:
    found = reading()

    assert found.evidence is False
    assert found.notes == (NO_EVIDENCE,)
    assert found.date.likeliest in range(1950, 1969)
    assert sum(found.date.curve) == pytest.approx(1)


def test_a_flat_prior_makes_all_years_alike() -> None:
    curve = reading(flat_prior=True).date.curve

    assert curve == pytest.approx([1 / 277] * 277)


def test_a_piece_type_has_its_own_prior_or_its_broader_types() -> None:
    base = base_of(
        Prior("years", ((1900, 1),)),
        Prior("rings", ((1750, 0), (1900, 0), (1901, 1)), on=(Named("ring"),)),
        Piece("ring"),
        Piece("signet", under=Named("ring")),
        Piece("brooch"),
    )
    model = Model(base, 2026)

    first = {
        kind: read(model, [], piece_type=kind).date.range.first
        for kind in ("", "brooch", "ring", "signet", "unheard-of")
    }

    assert first["ring"] == first["signet"] > 1900
    assert first[""] == first["brooch"] == first["unheard-of"] < 1800


def test_a_clue_says_what_it_gave_and_why() -> None:
    (found,) = reading(seen("catch", "rollover")).clues

    assert (found.clue, found.feature, found.words) == ("rollover-catch", "catch", "rollover")
    assert found.bits > 0.2
    assert found.last == 2026
    assert 1911 < found.first < 1925
    assert max(found.window) == 1
    assert found.why == "why rollover-catch"
    assert found.cites == (Citation("patent-1911", "A safety catch for pins", "p. 2", "patent"),)


def test_a_window_is_told_from_where_it_stands_at_half_its_height() -> None:
    """From nothing in 1911 to all in 1926 in a straight line: above one half from 1919 on."""
    rising = clue("tin", sees("metal", "tin"), window(1911, 1926))
    base = base_of(HILL, feature("metal", "tin"), rising)

    (told,) = read(Model(base, 2026), [seen("metal", "tin")]).clues

    assert (told.first, told.last) == (1919, 2026)


def test_a_sure_terminus_is_a_hard_limit() -> None:
    date = reading(seen("catch", "rollover")).date

    assert (date.not_before, date.not_before_clue) == (1911, "rollover-catch")
    assert date.not_after is None


@pytest.mark.parametrize("certainty", ["fair", "guess"])
def test_an_unsure_observer_sets_no_hard_limit(certainty: str) -> None:
    assert reading(seen("catch", "rollover", certainty)).date.not_before is None


def test_limits_from_both_sides() -> None:
    base = base_of(
        HILL,
        feature("law", "word"),
        feature("state", "name"),
        clue("a", sees("law", "word"), window(1891), "hard"),
        clue("b", sees("state", "name"), window(None, None, None, 1918), "hard"),
    )

    date = read(Model(base, 2026), [seen("law", "word"), seen("state", "name")]).date

    assert (date.not_before, date.not_after) == (1891, 1918)
    assert 1891 <= date.range.first < date.range.last <= 1918
    assert date.edtf == "1891/1918" or date.edtf.count("~") < 2


REPLACED = (seen("catch", "rollover"), seen("hinge", "tube"), seen("glass", "uranium"))


def test_a_replaced_catch_is_said_in_words_and_sets_no_limit() -> None:
    found = reading(*REPLACED)

    assert found.date.range.last < 1911
    assert found.date.not_before is None
    catch = next(each for each in found.clues if each.clue == "rollover-catch")
    assert catch.branches.refit > 0.5
    said = found.contradictions[0]
    rest = reading(*REPLACED, without=("rollover-catch",)).date.range
    assert said.startswith(f"catch: 1911 or later, all else says before {rest.last + 1}: ")
    assert said.endswith(f"the catch was probably replaced ({catch.branches.refit:.0%})")


def test_hard_limits_that_cross_are_said() -> None:
    found = reading(*REPLACED)

    assert any(
        "catch: not before 1911, hinge: not after 1905" in each for each in found.contradictions
    )
    assert (found.date.not_before, found.date.not_after) == (None, 1905)


def test_limits_of_what_may_well_mislead_cross_nothing() -> None:
    """Only a clue that is seldom wrong sets a limit, on either side, and only where none lies
    between: limits of one and the same year cross nothing.
    """

    def crossing(first: str, second: str, last: int = 1905) -> bool:
        base = base_of(
            HILL,
            feature("catch", "rollover"),
            feature("hinge", "tube"),
            clue("new", sees("catch", "rollover"), window(1911), first),
            clue("old", sees("hinge", "tube"), window(None, None, None, last), second),
        )
        told = read(Model(base, 2026), [seen("catch", "rollover"), seen("hinge", "tube")])
        return any("limits cross" in each for each in told.contradictions)

    assert crossing("hard", "strong")
    assert not crossing("moderate", "hard")
    assert not crossing("hard", "weak")
    assert not crossing("hard", "hard", 1911)
    assert crossing("hard", "hard", 1910)


def test_an_older_part_used_again_is_said() -> None:
    base = base_of(
        HILL,
        feature("cameo", "shell", reuse=0.3),
        feature("pin", "new"),
        feature("plating", "new"),
        clue("old-cameo", sees("cameo", "shell"), window(None, 1830, 1870, 1890)),
        clue("new-pin", sees("pin", "new"), window(1955), "hard"),
        clue("new-plating", sees("plating", "new"), window(1950), "hard"),
    )

    found = read(
        Model(base, 2026), [seen("cameo", "shell"), seen("pin", "new"), seen("plating", "new")]
    )

    assert found.date.not_before == 1955
    assert found.contradictions[0].startswith("cameo: about 1830 to 1890, all else says after 19")
    assert "the cameo is probably an older part, used again" in found.contradictions[0]


def test_nothing_is_said_where_nothing_disagrees() -> None:
    assert reading(seen("hinge", "tube"), seen("glass", "uranium")).contradictions == ()


def test_a_weak_guess_alone_is_no_contradiction() -> None:
    assert reading(seen("catch", "rollover", "guess")).contradictions == ()


def test_hearsay_is_kept_and_never_counts() -> None:
    told = seen("glass", "uranium", heard=True)

    found = reading(told)

    assert found.evidence is False
    assert found.observations == (told,)
    assert found.date == reading().date
    assert "Told and not seen, so not counted: uranium." in found.notes


def test_a_feature_or_a_clue_can_be_left_out() -> None:
    both = seen("catch", "rollover"), seen("hinge", "tube")

    alone = reading(both[1])

    assert reading(*both, without=("catch",)).date == alone.date
    assert reading(*both, without=("rollover-catch",)).date == alone.date


def test_the_same_thing_noted_twice_counts_once() -> None:
    once = reading(seen("hinge", "tube"))
    twice = reading(seen("hinge", "tube"), seen("hinge", "tube"))

    assert twice.date == once.date
    assert [each.bits for each in twice.clues] == [each.bits for each in once.clues]


def test_of_one_thing_noted_twice_the_surer_counts() -> None:
    twice = reading(seen("hinge", "tube", "guess"), seen("hinge", "tube"))

    assert twice.date == reading(seen("hinge", "tube")).date


def test_two_clues_on_one_observation_are_no_sharper_than_one() -> None:
    made = window(None, 1850, 1890, 1905)
    one = base_of(HILL, feature("hinge", "tube"), clue("a", sees("hinge", "tube"), made))
    two = base_of(
        HILL,
        feature("hinge", "tube"),
        clue("a", sees("hinge", "tube"), made),
        clue("b", sees("hinge", "tube"), made),
    )

    single = read(Model(one, 2026), [seen("hinge", "tube")]).date
    double = read(Model(two, 2026), [seen("hinge", "tube")]).date

    assert double.curve == pytest.approx(single.curve, abs=1e-12)


def test_a_clue_that_says_nothing_changes_nothing() -> None:
    base = base_of(
        HILL,
        feature("hinge", "tube"),
        feature("back", "plain"),
        clue("a", sees("hinge", "tube"), window(None, 1850, 1890, 1905)),
        clue("b", sees("back", "plain"), window()),
    )
    model = Model(base, 2026)

    found = read(model, [seen("hinge", "tube"), seen("back", "plain")])

    expected = read(model, [seen("hinge", "tube")])
    assert found.date.curve == pytest.approx(expected.date.curve, abs=1e-15)
    assert next(each for each in found.clues if each.clue == "b").bits == pytest.approx(0)


def test_a_clue_that_says_nothing_changes_nothing_in_its_family_either() -> None:
    base = base_of(
        HILL,
        Family("fastening", 0.9),
        feature("hinge", "tube"),
        feature("back", "plain"),
        clue("a", sees("hinge", "tube"), window(None, 1850, 1890, 1905), family="fastening"),
        clue("b", sees("back", "plain"), window(), family="fastening"),
    )
    model = Model(base, 2026)

    found = read(model, [seen("hinge", "tube"), seen("back", "plain")])

    expected = read(model, [seen("hinge", "tube")])
    assert found.date.curve == pytest.approx(expected.date.curve, abs=1e-12)


def test_a_window_off_the_grid_is_told_and_not_counted() -> None:
    base = base_of(
        HILL,
        feature("ring", "roman"),
        clue("old", sees("ring", "roman"), window(None, 100, 400, 500)),
    )

    found = read(Model(base, 2026), [seen("ring", "roman")])

    assert found.clues == ()
    assert found.evidence is False
    assert any("old" in note and "1750" in note for note in found.notes)


def test_a_register_gives_the_year_its_window_counts_from() -> None:
    made = Window(Year(0, relative=True), Year(0, relative=True), Year(12, relative=True), None)
    base = base_of(HILL, feature("patent"), clue("used", sees("patent", "1"), made, "hard"))
    number = Observation("patent", "1", years=(1931, 1932))

    found = read(Model(base, 2026), [number]).date

    assert found.not_before == 1931
    assert 1931 <= found.range.first < found.range.last < 1960


def test_two_numbers_speak_one_by_one() -> None:
    made = Window(Year(0, relative=True), Year(0, relative=True), Year(12, relative=True))
    base = base_of(HILL, feature("patent"), clue("used", sees("patent", "1"), made, "hard"))
    older, newer = (Observation("patent", "1", years=(year, year)) for year in (1931, 1937))

    found = read(Model(base, 2026), [older, newer])

    assert len(found.clues) == 2
    assert found.date.not_before == 1937
    assert read(Model(base, 2026), [older, older]).date == read(Model(base, 2026), [older]).date


def test_a_letter_of_several_years_apart_gives_two_ranges() -> None:
    made = Window(
        Year(0, relative=True),
        Year(0, relative=True),
        Year(1, relative=True),
        Year(2, relative=True),
    )
    base = base_of(
        Prior("years", ((1750, 1),)),
        feature("letter"),
        clue("dated", sees("letter", "a"), made, "hard"),
    )
    letter = Observation("letter", "a", years=(1830, 1905), weights=((1830, 4.0), (1905, 1.0)))

    date = read(Model(base, 2026), [letter], mass=0.7).date

    assert (date.range.first, date.range.last) == (1830, 1832)
    assert date.second is not None
    assert date.second.first == 1905


MARKED = base_of(
    HILL,
    feature("catch", "rollover", "open-c", refit=0.12),
    feature("hinge", "tube"),
    feature("glass", "uranium"),
    clue("rollover-catch", sees("catch", "rollover"), ROLLOVER),
    clue("tube-hinge", sees("hinge", "tube"), window(None, 1850, 1890, 1905), "strong"),
    clue("uranium-glass", sees("glass", "uranium"), window(None, 1840, 1890), "moderate"),
    clue("own-clip", sees("clip", "own"), None, "strong", points=("young",)),
    feature("clip", "own"),
    maker("old", None, window(1870, 1880, 1890, 1900), common="often"),
    maker("young", None, window(1930, 1935, 1950, 1960), common="often"),
)
ALIKE = MarkEvidence(
    "T…",
    (MarkHypothesis("old", "a", -1.0), MarkHypothesis("young", "a", -1.0)),
    -4.0,
)


def shares(found: Reading) -> dict[str, float]:
    return {each.maker: each.probability for each in found.makers}


def test_a_mark_that_fits_two_makers_is_settled_by_the_construction() -> None:
    alone = read(Model(MARKED, 2026), [], marks=ALIKE)
    with_catch = read(Model(MARKED, 2026), [seen("catch", "rollover")], marks=ALIKE)

    assert shares(alone)["old"] == pytest.approx(shares(alone)["young"])
    assert shares(with_catch)["young"] > 0.7
    assert shares(with_catch)["old"] < 0.2
    assert with_catch.makers[0].title == "Young"
    assert 1925 < with_catch.makers[0].first < with_catch.makers[0].last < 1965


def test_without_a_mark_the_maker_is_unknown() -> None:
    found = read(Model(MARKED, 2026), [seen("catch", "rollover")])

    assert [(each.maker, each.probability) for each in found.makers] == [("", 1.0)]


def test_a_clue_that_points_to_a_maker_makes_it_likelier() -> None:
    found = read(Model(MARKED, 2026), [seen("clip", "own")])

    # strong and sure: m = 1 - 0.94 * 0.99, so the odds go from 8 : 30 up by (1 - m) / m.
    odds = 8 / 30 * (0.94 * 0.99) / (1 - 0.94 * 0.99)
    assert shares(found)["young"] == pytest.approx(odds / (1 + odds))
    assert found.clues[0].bits > 1


def test_a_mark_against_the_make_is_said() -> None:
    surely_young = MarkEvidence("YOUNG", (MarkHypothesis("young", "a", -0.1),), -12.0)

    found = read(
        Model(MARKED, 2026), [seen("hinge", "tube"), seen("glass", "uranium")], marks=surely_young
    )

    assert any(each.startswith("mark: Young, 193") for each in found.contradictions)


def test_a_maker_that_the_rules_do_not_know_is_carried_along() -> None:
    own = MarkEvidence("MINE", (MarkHypothesis("my-own-list", "1", -0.1),), -12.0)

    found = read(Model(MARKED, 2026), [], marks=own)

    assert found.makers[0].maker == found.makers[0].title == "my-own-list"


@every_case("mass", [0.0, -1.0, 1.5, float("nan")])
def test_a_mass_that_is_no_share_is_refused(mass: float) -> None:
    with pytest.raises(ValueError, match="mass"):
        reading(mass=mass)


def test_a_grid_without_years_is_refused() -> None:
    with pytest.raises(ValueError, match="1700"):
        Model(base_of(HILL), 1700)


def test_a_rule_that_is_never_wrong_still_leaves_every_year_possible() -> None:
    base = base_of(
        HILL,
        Trust("certain", 0.0),
        feature("a", "v"),
        feature("b", "v"),
        clue("old", sees("a", "v"), window(None, None, None, 1800), "certain"),
        clue("new", sees("b", "v"), window(1990), "certain"),
    )

    date = read(Model(base, 2026), [seen("a", "v"), seen("b", "v")]).date

    assert min(date.curve) > 0
    assert sum(date.curve) == pytest.approx(1)


@settings(max_examples=samples(80))
@given(
    st.tuples(st.integers(1760, 1860), *[st.integers(1, 60)] * 3),
    st.sampled_from(["hard", "strong", "moderate", "weak"]),
    st.floats(0.6, 0.95),
)
def test_contradiction_widens_the_range(years, trust, mass) -> None:
    """Two equally trusted clues for years apart: about half the probability goes to each.

    With s the indicator of disjoint windows A and B of prior mass a and b, the posterior of
    A stands to that of B as 1 - m + m a to 1 - m + m b. So neither holds 60 %, and a range with
    more mass than that reaches into both and covers all the years between.
    """
    start, length, gap, other = years
    first = start, start + length
    second = start + length + gap, start + length + gap + other
    base = base_of(
        HILL,
        feature("a", "v"),
        feature("b", "v"),
        clue("one", sees("a", "v"), window(first[0], None, None, first[1]), trust),
        clue("two", sees("b", "v"), window(second[0], None, None, second[1]), trust),
    )
    model = Model(base, 2026)
    looked = seen("a", "v"), seen("b", "v")

    both = read(model, looked, mass=mass, next_looks=0).date.range

    assert both.first <= first[1] < second[0] <= both.last


texts = st.text(max_size=20)


@settings(max_examples=samples(150))
@given(
    st.lists(
        st.builds(
            Observation,
            st.sampled_from(["catch", "hinge", "glass", "patent", "mark", ""]) | texts,
            st.sampled_from(["rollover", "tube", "uranium", "number", ""]) | texts,
            st.sampled_from(["seen", "absent", "ruled-out"]),
            st.none() | st.floats(),
            st.none() | st.tuples(st.integers(-(10**9), 10**9), st.integers(-(10**9), 10**9)),
            st.sampled_from(["sure", "fair", "guess"]) | texts,
            st.booleans(),
            texts,
        ),
        max_size=12,
    ),
    texts,
)
def test_no_input_crashes_or_gives_anything_but_a_distribution(observations, piece_type) -> None:
    found = reading(*observations, piece_type=piece_type)

    assert sum(found.date.curve) == pytest.approx(1)
    assert min(found.date.curve) >= 0
    assert found.date.range.first <= found.date.range.last
    assert found.date.range.mass >= 0.8 - 1e-9
    for each in found.clues:
        share = each.branches
        assert share.original + share.refit + share.reuse + share.misread == pytest.approx(1)
        assert each.bits >= 0


def test_a_thousand_contradicting_clues_stay_in_range() -> None:
    features = [feature(f"f{n}", "v") for n in range(1000)]
    clues = [
        clue(
            f"c{n}", sees(f"f{n}", "v"), window(1760 + n % 250, None, None, 1765 + n % 250), "hard"
        )
        for n in range(1000)
    ]
    base = base_of(HILL, *features, *clues)

    found = read(Model(base, 2026), [seen(f"f{n}", "v") for n in range(1000)])

    assert sum(found.date.curve) == pytest.approx(1)
    assert len(found.clues) == 1000


def test_a_gap_in_a_window_is_told_in_data_and_in_words() -> None:
    gap = Window(Year(1920), Year(1920), Year(1960), Year(1960), gaps=((Year(1942), Year(1945)),))
    base = base_of(HILL, feature("metal", "tin"), clue("tin", sees("metal", "tin"), gap))

    (told,) = read(Model(base, 2026), [seen("metal", "tin")]).clues

    assert (told.first, told.last, told.gaps) == (1920, 1960, ((1942, 1945),))
    assert window_years(told) == "1920–1960 but not 1942–1945"
    assert reading(seen("catch", "rollover")).clues[0].gaps == ()


@pytest.mark.parametrize("gap", [(1938, 1938), (1936, 1939), (1930, 1945)])
def test_years_that_a_rule_excepts_are_told_of_a_curve_too(gap: tuple[int, int]) -> None:
    """However few they are; without an exception the curve has none to tell."""
    curve = Spread((Wave(Year(1925), Year(1945), Year(1965)),))
    told = []
    for gaps in ((gap,), ()):
        made = window(1920, gaps=gaps)
        entry = clue("tin", sees("metal", "tin"), made, common=curve)
        base = base_of(HILL, feature("metal", "tin"), entry)
        told += read(Model(base, 2026), [seen("metal", "tin")]).clues
    assert [each.gaps for each in told] == [(gap,), ()]
