"""Whether a child's waiver holds on a day, and until when a signature would."""

import itertools
from datetime import date, timedelta

import pytest

from families.rules.waivers import (
    Signature,
    WaiverStanding,
    photo_allowed,
    signed_until,
    waiver_on,
)

SIGNED, UNTIL = date(2026, 3, 9), date(2027, 3, 9)
DAY = timedelta(days=1)


def signature(version: int = 2, until: date = UNTIL, withdrawn_on: date | None = None) -> Signature:
    return Signature(version, SIGNED, until, withdrawn_on)


@pytest.mark.parametrize(
    ("season_ends", "last"),
    [
        (None, UNTIL),
        (UNTIL + DAY, UNTIL),
        (UNTIL, UNTIL),
        (UNTIL - DAY, UNTIL - DAY),
        # Signed on the season's last day, it holds for that day.
        (SIGNED, SIGNED),
    ],
)
def test_a_signature_holds_for_its_months_or_to_the_end_of_the_season(season_ends: date | None, last: date) -> None:
    assert signed_until(SIGNED, 12, season_ends) == last


def test_a_text_whose_season_is_over_is_not_signed() -> None:
    with pytest.raises(ValueError, match="season of this text is over"):
        signed_until(SIGNED, 12, SIGNED - DAY)


@pytest.mark.parametrize(
    ("one", "day", "state"),
    [
        (signature(), UNTIL, "current"),
        (signature(), UNTIL + DAY, "expired"),
        # Made after the day: a clinic to come is signed for before it.
        (signature(), SIGNED - DAY, "current"),
        (signature(version=1), UNTIL, "older text"),
        (signature(version=1), UNTIL + DAY, "older text"),
        (signature(withdrawn_on=UNTIL), UNTIL - DAY, "current"),
        (signature(withdrawn_on=UNTIL), UNTIL, "withdrawn"),
        (signature(version=1, withdrawn_on=SIGNED), UNTIL, "withdrawn"),
    ],
)
def test_what_became_of_one_signature(one: Signature, day: date, state: str) -> None:
    assert waiver_on([one], day, least_version=2) == WaiverStanding(state, one.until)
    assert waiver_on([one], day, least_version=2).ok is (state == "current")


def test_any_version_holds_where_none_is_asked_for() -> None:
    assert waiver_on([signature(version=0)], SIGNED).state == "current"
    assert waiver_on([signature(version=1)], SIGNED, least_version=1).state == "current"


def test_of_several_the_best_counts_and_of_two_that_hold_the_longer() -> None:
    best_first = [
        signature(until=UNTIL + 20 * DAY),
        signature(until=UNTIL + 10 * DAY),
        signature(until=UNTIL - DAY),
        signature(version=1, until=UNTIL + 90 * DAY),
        signature(until=UNTIL + 99 * DAY, withdrawn_on=SIGNED),
    ]
    states = ["current", "current", "expired", "older text", "withdrawn"]

    for known in range(len(best_first)):
        for rows in itertools.permutations(best_first[known:]):
            expected = WaiverStanding(states[known], best_first[known].until)
            assert waiver_on(rows, UNTIL, least_version=2) == expected
    assert waiver_on([], UNTIL) == WaiverStanding("missing", None) and not waiver_on([], UNTIL).ok


@pytest.mark.parametrize(
    ("answers", "allowed"),
    [
        ([], False),
        ([True], True),
        ([False], False),
        ([True, True], True),
        ([True, False], False),
        ([False, True], False),
    ],
)
def test_a_photo_needs_a_yes_and_no_no(answers: list[bool], allowed: bool) -> None:
    assert photo_allowed(iter(answers)) is allowed
