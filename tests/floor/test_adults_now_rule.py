"""How many adults must be with the children who are inside at this moment."""

import pytest

from clinics.rules.supervision import RatioRow, RatioTable
from floor.rules.adults_now import adults_now

LOOSE = RatioTable(
    "loose", "Loose", "ours", None, (RatioRow(6, 8, 8, None, "ours"), RatioRow(12, 14, 10, None, "ours"))
)
STRICT = RatioTable("strict", "Strict", "ours", None, (RatioRow(4, 17, 4, None, "ours"),))


@pytest.mark.parametrize(
    ("ages", "loose", "strict"),
    [
        ([], 2, 2),
        ([7], 2, 2),
        ([7] * 8, 2, 2),
        ([7] * 9, 2, 3),
        ([7] * 16, 2, 4),
        ([7] * 17, 3, 5),
        # The youngest child's row counts for all, and an older one's for none.
        ([13] * 30, 3, 8),
        ([7, *[13] * 29], 4, 8),
        # Below the table, in its gap and above it: the nearest row that it has.
        ([3] * 17, 3, 5),
        ([10] * 17, 3, 5),
        ([18] * 21, 3, 6),
    ],
)
def test_the_strictest_table_says_how_many_and_never_fewer_than_two(ages: list[int], loose: int, strict: int) -> None:
    assert adults_now(ages, [LOOSE]) == loose and adults_now(ages, [STRICT]) == strict
    assert adults_now(ages, [LOOSE, STRICT]) == adults_now(ages, [STRICT, LOOSE]) == max(loose, strict)


@pytest.mark.parametrize("ages", [[], [7]])
def test_without_a_table_nobody_can_say(ages: list[int]) -> None:
    with pytest.raises(ValueError, match="Name at least one supervision table"):
        adults_now(ages, [])
