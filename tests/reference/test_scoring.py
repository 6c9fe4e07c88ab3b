"""Scores against scipy, the published rows of Wilson's interval, and worked examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest, nbinom

from floor.rules.scoring import Level, growth, ladder, ladder_shots_expected, make_rate, par_zero

# Newcombe, Statistics in Medicine 17 (1998), 857-872, method 3 (from memory; agrees with scipy), then rows computed
# with the standard formula and one worked example of a public calculator (23 of 60).
PUBLISHED = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0, 0.1611),
    (1, 29, 0.0061, 0.1718),
    (29, 29, 0.8830, 1),
    (23, 60, 0.2709, 0.5098),
    (5, 10, 0.2366, 0.7634),
]

# Newcombe, Statistics in Medicine 17 (1998), 873-890, method 10 (from memory): 56/70 less 48/80, 9/10 less 3/10,
# 6/7 less 2/7, 5/56 less 0/29, 10/10 less 0/10.
DIFFERENCES = [
    ((48, 80), (56, 70), 0.0524, 0.3339),
    ((3, 10), (9, 10), 0.1705, 0.8090),
    ((2, 7), (6, 7), 0.0582, 0.8062),
    ((0, 29), (5, 56), -0.0381, 0.1926),
    ((0, 10), (10, 10), 0.6075, 1.0),
]


def test_the_worked_round_of_par_zero_comes_out_level():
    # Common practice, no source.
    assert par_zero(["clean", "clean", "miss", "miss", "rim"]) == 0


@given(st.lists(st.sampled_from(["clean", "rim", "miss"]), max_size=18))
def test_par_zero_is_misses_less_clean_makes(shots):
    assert par_zero(shots) == shots.count("miss") - shots.count("clean")


@pytest.mark.parametrize("shots", [["swish"], ["clean", ""], "clean"])
def test_a_shot_that_is_none_of_the_three_is_refused(shots):
    with pytest.raises(ValueError, match="clean"):
        par_zero(shots)


@pytest.mark.parametrize(("made", "tried", "low", "high"), PUBLISHED)
def test_the_published_limits_come_out(made, tried, low, high):
    rate = make_rate(made, tried)

    assert (round(rate.low, 4), round(rate.high, 4)) == (low, high)


@given(st.integers(1, 400), st.data(), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_limits_are_those_of_scipy(tried, data, confidence):
    made = data.draw(st.integers(0, tried))
    other = binomtest(made, tried).proportion_ci(confidence, method="wilson")

    rate = make_rate(made, tried, confidence)

    assert rate.low == pytest.approx(other.low, abs=1e-9)
    assert rate.high == pytest.approx(other.high, abs=1e-9)
    assert 0 <= rate.low <= rate.value <= rate.high <= 1


@pytest.mark.parametrize(("made", "tried"), [(0, 0), (-1, 5), (6, 5)])
def test_shots_that_cannot_be_have_no_rate(made, tried):
    with pytest.raises(ValueError):
        make_rate(made, tried)


def test_fewer_than_ten_shots_are_too_few_to_say():
    # Advice, no source.
    assert not make_rate(5, 9).enough
    assert make_rate(5, 10).enough


@given(st.floats(0.02, 1), st.integers(1, 20))
def test_the_expected_shots_are_the_mean_of_the_negative_binomial(rate, makes):
    # scipy counts the misses before the last make; the makes themselves are shots too.
    assert ladder_shots_expected(rate, makes) == pytest.approx(makes + nbinom(makes, rate).mean())


def test_three_makes_at_three_in_five_take_five_shots():
    assert ladder_shots_expected(0.6) == pytest.approx(5)


@pytest.mark.parametrize(("rate", "makes"), [(0, 3), (1.1, 3), (float("nan"), 3), (0.5, 0)])
def test_an_expectation_of_nothing_is_refused(rate, makes):
    with pytest.raises(ValueError):
        ladder_shots_expected(rate, makes)


@pytest.mark.parametrize(("before", "after", "low", "high"), DIFFERENCES)
def test_a_change_has_newcombe_s_limits(before, after, low, high):
    change = growth(before, after)

    assert (round(change.low, 4), round(change.high, 4)) == (low, high)


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ((48, 80), (56, 70), "more"),
        ((56, 70), (48, 80), "fewer"),
        ((30, 60), (31, 60), "no clear change"),
        ((1, 9), (60, 60), "too few to say"),
    ],
)
def test_growth_is_said_only_when_it_is_clear(before, after, said):
    assert growth(before, after).said == said


def test_a_ladder_stops_where_form_breaks_and_counts_shots_per_level():
    record = ladder([Level(4, 3), Level(6, 3), Level(9, 3, form_held=False), Level(3, 3)])

    assert record.shots == (4, 6, 9)
    assert record.done == 2
    assert record.stopped == "form broke at level 3"
    assert record.rate == make_rate(9, 19)


@given(st.lists(st.tuples(st.integers(3, 12), st.booleans()), min_size=1, max_size=6), st.integers(3, 12))
def test_going_farther_after_form_broke_changes_nothing(levels, shots):
    some = [Level(many, 3, held) for many, held in levels]
    broken = [*some, Level(shots, 3, form_held=False)]

    assert ladder([*broken, Level(3, 3)]) == ladder(broken)


@pytest.mark.parametrize(
    ("levels", "says"),
    [
        ([Level(5, 2), Level(3, 3)], "which has fewer"),
        ([Level(9, 4)], "can't have 4"),
        ([Level(2, 3)], "can't be"),
        ([Level(0, 0)], "no shots"),
    ],
)
def test_a_ladder_that_cannot_be_is_refused(levels, says):
    with pytest.raises(ValueError, match=says):
        ladder(levels)


def test_a_ladder_nobody_has_begun_has_no_rate():
    assert ladder([]).rate is None
