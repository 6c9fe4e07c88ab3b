"""Which policy rows hold on a day, at a place, in whatever order they are handed in."""

import itertools
from datetime import date, timedelta

import pytest

from people.rules.evidence import PolicyRow
from people.rules.policy import DatedRow, in_force

FIRST, LATER = date(2026, 1, 1), date(2027, 1, 1)
DAY = timedelta(days=1)


def row(months: int, place: str, from_day: date, required: bool = True, kind: str = "screening") -> DatedRow:
    return DatedRow(PolicyRow("coach", kind, months), place, from_day, required)


FOUR = [row(24, "", FIRST), row(12, "", LATER), row(6, "school", FIRST), row(3, "school", LATER)]


@pytest.mark.parametrize(
    ("on", "place", "months"),
    [
        (FIRST - DAY, "school", None),
        (FIRST, "", 24),
        (FIRST, "school", 6),
        (LATER - DAY, "", 24),
        (LATER - DAY, "school", 6),
        (LATER, "", 12),
        (LATER, "school", 3),
        (LATER, "elsewhere", 12),
    ],
)
def test_the_order_of_the_rows_changes_nothing(on: date, place: str, months: int | None) -> None:
    for rows in itertools.permutations(FOUR):
        found = in_force(rows, on, place)
        assert [one.months for one in found.get("coach", [])] == ([] if months is None else [months])


def test_what_ends_everywhere_stays_asked_where_a_place_asks_for_its_own() -> None:
    for rows in itertools.permutations([*FOUR, row(24, "", LATER + DAY, required=False)]):
        assert in_force(rows, LATER + DAY) == {}
        assert in_force(rows, LATER + DAY, "school") == {"coach": [FOUR[3].row]}


def test_a_place_that_gives_up_its_own_row_falls_back_to_the_general_one() -> None:
    for rows in itertools.permutations([*FOUR, row(24, "school", LATER + DAY, required=False)]):
        assert in_force(rows, LATER, "school") == {"coach": [FOUR[3].row]}
        assert in_force(rows, LATER + DAY, "school") == {"coach": [FOUR[1].row]}


def test_of_two_rows_of_one_day_the_one_written_last_holds() -> None:
    """A preview lays the change that is asked about after the rows that are written."""
    written, asked_about = row(24, "", FIRST), row(6, "", FIRST)

    assert in_force([written, asked_about], FIRST) == {"coach": [asked_about.row]}


def test_duties_and_kinds_each_have_rows_of_their_own() -> None:
    lead = DatedRow(PolicyRow("lead", "screening", 36), "", FIRST)
    conduct = row(12, "", FIRST, kind="conduct")

    assert in_force([FOUR[0], lead, conduct], FIRST) == {"coach": [FOUR[0].row, conduct.row], "lead": [lead.row]}
