"""How many adults a number of children needs."""

from collections.abc import Callable

import pytest

from clinics.rules.supervision import (
    RATIO_TABLES,
    NoRatio,
    RatioRow,
    RatioTable,
    adults_for_counts,
    adults_needed,
    nearest_age,
)

NSPCC = RATIO_TABLES["nspcc"]


def test_a_clinic_without_children_yet_still_has_two_adults() -> None:
    assert adults_needed([], NSPCC) == 2
    assert adults_needed([], NSPCC, grouped=True) == 2


def test_groups_by_age_are_each_rounded_up_and_added() -> None:
    # 12 at 1:6, 9 at 1:8 and 1 at 1:10: 2 + 2 + 1.
    ages = [6] * 12 + [10] * 9 + [15]

    assert adults_needed(ages, NSPCC, grouped=True) == 5
    # All 22 at 1:6.
    assert adults_needed(ages, NSPCC) == 4


def test_grouping_spares_adults_when_most_children_are_older() -> None:
    ages = [4] * 6 + [14] * 40

    assert adults_needed(ages, NSPCC) == 8
    assert adults_needed(ages, NSPCC, grouped=True) == 5


def test_children_in_the_overlap_of_two_rows_join_the_stricter_group() -> None:
    # Three aged 2 belong with the children aged 1 (1:3), not with those aged 3 (1:4).
    assert adults_needed([1] * 3 + [2] * 3 + [3] * 4, NSPCC, grouped=True) == 3


@pytest.mark.parametrize(
    ("age", "code", "span"),
    [
        (19, "nspcc", "0 to 18"),
        (-1, "nspcc", "0 to 18"),
        (3, "aca_day_camp", "4 to 18"),
        (13, "caring_for_our_children", "0 to 12"),
    ],
)
@pytest.mark.parametrize("grouped", [False, True])
def test_an_age_outside_the_table_is_refused_with_its_name_and_span(
    age: int, code: str, span: str, grouped: bool
) -> None:
    table = RATIO_TABLES[code]

    with pytest.raises(NoRatio, match=f"{table.name} covers ages {span}, so it has no ratio for age {age}"):
        adults_needed([8, age], table, grouped)


def test_an_age_in_a_gap_between_rows_is_refused() -> None:
    table = RatioTable(
        "own", "Our own", "ours", None, (RatioRow(6, 8, 8, None, "ours"), RatioRow(10, 12, 10, None, "ours"))
    )

    with pytest.raises(ValueError, match="no ratio for age 9"):
        adults_needed([9], table)


YOUNGER, OLDER = RatioRow(6, 8, 8, None, "ours"), RatioRow(12, 14, 10, None, "ours")


@pytest.mark.parametrize("rows", [(YOUNGER, OLDER), (OLDER, YOUNGER)], ids=["in order", "out of order"])
@pytest.mark.parametrize(
    ("age", "nearest"),
    [
        # Below the table, its youngest.
        (-1, 6),
        (5, 6),
        (6, 6),
        (7, 7),
        (8, 8),
        # In the gap, the age below it: fewer adults are never asked.
        (9, 8),
        (11, 8),
        (12, 12),
        (14, 14),
        # Above the table, its oldest.
        (15, 14),
        (40, 14),
    ],
)
def test_an_age_without_a_row_counts_as_the_nearest_below_that_has_one(
    rows: tuple[RatioRow, ...], age: int, nearest: int
) -> None:
    assert nearest_age(age, RatioTable("own", "Our own", "ours", None, rows)) == nearest


def test_the_strictest_of_the_rows_that_an_age_has_is_its_row() -> None:
    loose, strict = RatioRow(6, 9, 10, None, "ours"), RatioRow(9, 12, 8, None, "ours")

    for rows in ((loose, strict), (strict, loose)):
        table = RatioTable("own", "Our own", "ours", None, rows)
        assert [table.row_for(age) for age in (8, 9, 10)] == [loose, strict, strict]


def test_counts_by_age_give_the_same_answer_and_bear_large_numbers() -> None:
    assert adults_for_counts({7: 23}, RATIO_TABLES["aca_day_camp"]) == adults_needed(
        [7] * 23, RATIO_TABLES["aca_day_camp"]
    )
    assert adults_for_counts({7: 8 * 10**12 + 1}, RATIO_TABLES["aca_day_camp"]) == 10**12 + 1


def test_an_age_with_no_children_does_not_count_as_the_youngest() -> None:
    assert adults_for_counts({4: 0, 14: 30}, NSPCC) == 3


@pytest.mark.parametrize(
    ("build", "sentence"),
    [
        (lambda: RatioRow(9, 6, 8, None, ""), "Ages 9 to 6 are not in order"),
        (lambda: RatioRow(-1, 6, 8, None, ""), "not in order"),
        (lambda: RatioRow(6, 9, 0, None, ""), "at least 1 child, not 0"),
        (lambda: RatioRow(6, 9, 8, 0, ""), "group holds at least 1 child, not 0"),
        (lambda: RatioTable("own", "Our own", "ours", None, ()), "Our own needs at least one row"),
        (lambda: adults_for_counts({7: -1}, NSPCC), "can't be -1 children aged 7"),
    ],
)
def test_a_table_that_makes_no_sense_is_refused_with_a_sentence(build: Callable[[], object], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        build()
