"""Taps that say the same again, and what a taking-back takes along."""

import itertools
from datetime import timedelta

import pytest

from floor.rules.floor_log import fold
from tests.floor.floor_acts import START, act, ids


def test_the_same_pickup_person_some_minutes_later_says_the_same_again_and_is_kept() -> None:
    gone = [act(1, "in", 0, who="c1"), act(2, "out", 60, who="c1", pickup="Uncle Bram")]

    for minute, kept in ((61.9, []), (62, ["b1"]), (63, ["b1"])):
        state = fold([*gone, act(1, "out", minute, "b", who="c1", pickup=" uncle BRAM")])
        (stay,) = state.stays["c1"]
        assert state.conflicts == [] and stay.out_by == "a2" and ids(stay.out_again) == kept
        assert stay.out_at == START + timedelta(minutes=60)


def test_two_minutes_between_two_phones_are_no_longer_the_same_moment() -> None:
    came, gone = act(1, "in", 0, who="c1"), act(2, "out", 60, who="c1", pickup="Uncle Bram")
    here, back = act(1, "in", 62, "b", who="c1"), act(3, "undo", 65, of="a2")

    assert fold([came, gone, here]).conflicts == [] and len(fold([came, gone, here]).stays["c1"]) == 2
    assert fold([came, gone, act(1, "out", 62, "b", who="c1", pickup="Uncle Bram"), back]).inside == set()
    (conflict,) = fold([came, gone, act(1, "in", 61.9, "b", who="c1")]).conflicts
    assert (conflict.who, conflict.actions) == ("c1", ("a2", "b1"))


def test_a_coming_in_that_was_taken_back_takes_back_no_going_out() -> None:
    rows = [
        act(1, "in", -1, "b", who="c1"),
        act(1, "in", 0, who="c1"),
        act(2, "out", 1, "b", who="c1", pickup=""),
        act(2, "undo", 5, of="a1"),
    ]

    for mixed in itertools.permutations(rows):
        assert fold(mixed).inside == set() and fold(mixed).stays["c1"][0].out_by == "b2"


@pytest.mark.parametrize("kind", ["in", "walk-in"])
def test_who_came_in_again_between_two_taps_went_out_a_second_time(kind: str) -> None:
    came, gone = act(1, "in", 0, who="w-1"), act(2, "out", 60, who="w-1", pickup="Uncle Bram")
    here, gone_again = act(1, kind, 60.5, "b", who="w-1"), act(2, "out", 61, "b", who="w-1", pickup="Uncle Bram")
    back = act(3, "undo", 65, of="a2")

    for rows in itertools.permutations([came, gone, here, gone_again, back]):
        assert fold(rows).inside == set()
    # Taken back as well, the coming in between never was: the two taps are one again.
    for rows in itertools.permutations([came, gone, here, gone_again, back, act(3, "undo", 66, "b", of="b1")]):
        assert fold(rows).inside == {"w-1"}


def test_a_tap_right_after_the_taking_back_is_a_new_word() -> None:
    came, gone = act(1, "in", 0, who="c1"), act(2, "out", 60, who="c1", pickup="Uncle Bram")
    again = act(4, "out", 61, who="c1", pickup="Uncle Bram")

    for rows in itertools.permutations([came, gone, act(3, "undo", 60.5, of="a2"), again]):
        assert fold(rows).inside == set() and fold(rows).stays["c1"][0].out_by == "a4"


def test_what_is_written_of_a_child_between_two_taps_is_no_coming_in() -> None:
    rows = [
        act(1, "in", 0, who="c1"),
        act(2, "out", 60, who="c1", pickup="Uncle Bram"),
        act(1, "score", 60.5, "b", who="c1"),
        act(2, "out", 61, "b", who="c1", pickup="Uncle Bram"),
        act(3, "undo", 65, of="a2"),
    ]

    for mixed in itertools.permutations(rows):
        assert fold(mixed).inside == {"c1"}


def test_the_same_tap_of_one_child_takes_back_nothing_of_another() -> None:
    rows = [act(number, "in", 0, who=f"c{number}") for number in (1, 2)]
    rows += [act(number + 2, "out", 60, who=f"c{number}", pickup="Uncle Bram") for number in (1, 2)]

    assert fold([*rows, act(5, "undo", 61, of="a3")]).inside == {"c1"}
