"""Which duties a clinic needs filled."""

from collections import Counter

import pytest

from clinics.rules.cover_needs import MOST_CHILDREN, duties_needed
from clinics.rules.supervision import RATIO_TABLES, NoRatio
from core.rules.refused import Refused

DAY_CAMP = RATIO_TABLES["aca_day_camp"]


def test_a_small_clinic_needs_four_people() -> None:
    assert duties_needed([(6, 8, 10)], DAY_CAMP, stem=False) == ["lead", "coach", "first_aider", "door"]


def test_a_stem_lead_is_added_last_when_there_is_stem() -> None:
    assert duties_needed([(6, 8, 10)], DAY_CAMP, stem=True)[-1] == "stem_lead"


def test_the_lead_is_one_adult_of_the_ratio_and_the_coaches_are_the_rest() -> None:
    # 25 at 1:8 need 4 adults.
    assert Counter(duties_needed([(6, 8, 25)], DAY_CAMP, stem=True)) == {
        "lead": 1, "coach": 3, "first_aider": 1, "door": 1, "stem_lead": 1,
    }  # fmt: skip


def test_the_youngest_band_sets_the_ratio_for_all() -> None:
    # 12 + 12 at the 1:8 of age 6: 3 adults. At 1:10 for the older ones it would be 4 in two groups.
    assert duties_needed([(9, 12, 12), (6, 8, 12)], DAY_CAMP, stem=False).count("coach") == 2


def test_every_child_counts_at_the_youngest_age_of_its_band() -> None:
    # 8 to 14 counts as age 8: 40 at 1:8 is 5 adults.
    assert duties_needed([(8, 14, 40)], DAY_CAMP, stem=False).count("coach") == 4


@pytest.mark.parametrize("bands", [[], [(6, 8, 0)]])
def test_a_clinic_without_children_yet_still_has_a_lead_and_a_coach(
    bands: list[tuple[int, int, int]],
) -> None:
    assert duties_needed(bands, DAY_CAMP, stem=False) == ["lead", "coach", "first_aider", "door"]


def test_an_empty_band_does_not_set_the_ratio() -> None:
    assert duties_needed([(4, 5, 0), (15, 18, 24)], DAY_CAMP, stem=False).count("coach") == 1


@pytest.mark.parametrize(
    ("bands", "code"),
    [
        ([(8, 6, 10)], "ages backwards"),
        ([(6, 8, -1)], "negative children"),
        ([(6, 8, MOST_CHILDREN), (9, 10, 1)], "too many children"),
    ],
)
def test_bands_that_make_no_sense_are_refused(bands: list[tuple[int, int, int]], code: str) -> None:
    with pytest.raises(Refused) as refused:
        duties_needed(bands, DAY_CAMP, stem=False)

    assert refused.value.codes == {code}


def test_an_age_outside_the_table_is_refused_with_the_ages_inside() -> None:
    with pytest.raises(NoRatio) as refused:
        duties_needed([(3, 8, 10)], DAY_CAMP, stem=False)

    assert (refused.value.lowest, refused.value.highest, refused.value.age) == (4, 18, 3)
