"""The log of the floor: the same state whatever order, however often, from however many phones."""

import itertools
import random
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floor.rules.floor_log import Action, FloorState, fold, in_order, present_at
from tests.floor.floor_acts import START, act, ids


def test_in_and_out_make_one_stay_with_who_picked_up() -> None:
    state = fold([act(1, "in", 0, who="c1"), act(2, "out", 90, who="c1", pickup="Uncle Bram")])

    (stay,) = state.stays["c1"]
    assert stay.out_at == START + timedelta(minutes=90) and stay.pickup == "Uncle Bram"
    assert state.inside == set() and state.conflicts == []


def test_a_second_tap_on_another_phone_changes_nothing() -> None:
    state = fold([act(1, "in", 0, who="c1"), act(1, "in", 1, "b", who="c1")])

    assert len(state.stays["c1"]) == 1 and state.conflicts == []


def test_two_pickup_people_are_both_kept_and_shown_to_the_lead() -> None:
    state = fold(
        [
            act(1, "in", 0, who="c1"),
            act(2, "out", 90, who="c1", pickup="Uncle Bram"),
            act(1, "out", 91, "b", who="c1", pickup="Aunt Petra"),
        ]
    )

    (conflict,) = state.conflicts
    assert conflict.code == "two pickup people" and conflict.actions == ("a2", "b1")


def test_going_out_without_having_come_in_is_shown_and_makes_no_stay() -> None:
    state = fold([act(1, "out", 5, who="c9", pickup="")])

    assert state.conflicts[0].code == "out without in" and state.stays["c9"] == []


def test_here_on_one_phone_just_after_gone_on_another_is_shown_and_later_is_a_return() -> None:
    gone = [act(1, "in", 0, who="c1"), act(2, "out", 60, who="c1", pickup="Uncle Bram")]

    assert fold([*gone, act(1, "in", 61, "b", who="c1")]).conflicts[0].code == "out and still here"
    assert fold([*gone, act(1, "in", 75, "b", who="c1")]).conflicts == []
    assert fold([*gone, act(3, "in", 61, who="c1")]).conflicts == []


def test_undo_takes_back_even_when_it_arrives_first() -> None:
    state = fold([act(2, "undo", 1, of="a1"), act(1, "in", 0, who="c1")])

    assert state.inside == set()


def test_the_same_tap_of_two_phones_is_taken_back_as_one_and_the_child_is_still_in() -> None:
    came, gone = act(1, "in", 0, who="c1"), act(2, "out", 60, who="c1", pickup="Uncle Bram")
    same = act(1, "out", 61, "b", who="c1", pickup="uncle  bram")
    back = act(3, "undo", 65, of="a2")

    for rows in itertools.permutations([came, gone, same, back]):
        assert fold(rows).inside == {"c1"} and fold(rows).conflicts == []
    # Another pickup person, a tap some time later, and one after the taking back each say something of their own.
    for other in (
        act(1, "out", 61, "b", who="c1", pickup="Aunt Petra"),
        act(1, "out", 63, "b", who="c1", pickup="Uncle Bram"),
        act(4, "out", 66, who="c1", pickup="Uncle Bram"),
    ):
        assert fold([came, gone, other, back]).inside == set()


def test_who_is_taken_back_on_one_phone_and_was_seen_by_another_is_still_looked_for() -> None:
    rows = [act(1, "in", 0, who="c1"), act(1, "in", 1, "b", who="c1"), act(2, "undo", 5, of="a1")]

    assert fold(rows).inside == {"c1"}


def test_a_slot_of_the_sheet_planned_last_counts_and_none_of_the_sheet_before() -> None:
    first = [act(1, "slot", 12, slot=1, sheet=4), act(2, "slot", 40, slot=2, sheet=4)]
    second = [act(3, "slot", 50, slot=2, sheet=7), act(1, "slot", 55, "b", slot=3, sheet=4)]

    assert fold(first).slots == {1: START + timedelta(minutes=12), 2: START + timedelta(minutes=40)}
    for rows in itertools.permutations(first + second):
        assert (fold(rows).sheet, fold(rows).slots) == (7, {2: START + timedelta(minutes=50)})
    back = act(4, "undo", 60, of="a3")
    assert fold([*first, *second, back]).slots[3] == START + timedelta(minutes=55)


def test_a_walk_in_taken_back_stays_known_to_what_names_it() -> None:
    facts = {"who": "w-1", "name": "Juno Reed"}
    rows = [act(1, "walk-in", 0, **facts), act(2, "undo", 5, of="a1")]

    assert fold(rows).walk_ins == {} and fold(rows).stays == {}
    again = fold([*rows, act(3, "in", 10, who="w-1")])
    assert again.walk_ins["w-1"].id == "a1" and again.stays["w-1"][0].in_at == START + timedelta(minutes=10)


def test_a_phone_whose_clock_jumps_back_keeps_its_own_order() -> None:
    rows = [act(1, "in", 10, who="c1"), act(2, "out", -600, who="c1", pickup="x")]

    assert [row.kind for row in in_order(rows)] == ["in", "out"]
    assert fold(rows).stays["c1"][0].out_at == START + timedelta(minutes=10)


def test_who_was_there_at_a_moment() -> None:
    state = fold([act(1, "in", 0, who="c1"), act(2, "in", 5, who="c2"), act(3, "out", 7, who="c1", pickup="x")])

    assert present_at(state, START - timedelta(seconds=1)) == set() and present_at(state, START) == {"c1"}
    assert present_at(state, START + timedelta(minutes=6)) == {"c1", "c2"}
    assert present_at(state, START + timedelta(minutes=7)) == {"c2"}


def test_a_slot_that_names_no_sheet_counts_until_one_is_named() -> None:
    first, again, other = act(1, "slot", 10, slot=1), act(2, "slot", 20, slot=1), act(3, "slot", 30, slot=2, sheet=True)
    state = fold([first, again, other])

    assert (state.sheet, state.slots) == (0, {1: first.at, 2: other.at})
    assert ids(state.said) == ["a1", "a2", "a3"]
    later = fold([first, again, other, act(4, "slot", 40, slot=2, sheet=1)])
    assert (later.sheet, later.slots) == (1, {2: START + timedelta(minutes=40)})


def test_hours_are_those_said_last_the_close_is_the_first_and_all_of_it_is_kept() -> None:
    rows = [
        act(1, "hours", 90, who="v1", minutes=90),
        act(2, "hours", 95, who="v1", minutes=0),
        act(3, "close", 100),
        act(1, "close", 110, "b"),
        act(4, "slot", 120, slot=3),
    ]
    state = fold(rows)

    assert state.minutes == {"v1": 0} and state.closed_at == START + timedelta(minutes=100)
    assert ids(state.said) == ["a1", "a2", "a3", "b1", "a4"]


def test_scores_incidents_and_notes_are_each_listed_in_their_order() -> None:
    rows = [
        act(3, "note", 9),
        act(1, "score", 5),
        act(2, "incident", 7),
        act(4, "score", 11),
        act(5, "undo", 12, of="a1"),
    ]
    state = fold(rows)

    assert (ids(state.scores), ids(state.incidents), ids(state.notes)) == (["a4"], ["a2"], ["a3"])


def test_a_second_coming_in_is_kept_beside_the_first() -> None:
    state = fold([act(1, "in", 0, who="c1"), act(1, "in", 1, "b", who="c1"), act(2, "in", 40, who="c1")])

    (stay,) = state.stays["c1"]
    assert (stay.in_by, stay.in_at, ids(stay.in_again)) == ("a1", START, ["b1", "a2"])
    assert fold([]) == FloorState() and FloorState(stays={"c1": []}).inside == set()


def test_at_one_moment_the_phones_come_in_order_and_each_phone_by_its_numbers() -> None:
    rows = [act(2, "in", 0, "b"), act(10, "in", 0), act(9, "in", 0), act(1, "in", 0, "b"), act(8, "in", -1)]

    for mixed in itertools.permutations(rows):
        assert ids(in_order(mixed)) == ["a8", "a9", "a10", "b1", "b2"]
    # Of one entry that came twice with other words, the first that we heard of stands.
    assert in_order([act(1, "in", 5), act(1, "out", 3)]) == [act(1, "in", 5)]
    # A clock that jumps back: the entry takes the time of the one before it, and keeps all else.
    assert in_order([act(1, "in", 10), act(2, "note", 4, words="w")])[1] == act(2, "note", 10, words="w")


KIND = st.sampled_from(["in", "out", "undo", "score", "slot", "note", "close", "hours", "walk-in"])


@st.composite
def logs(draw: st.DrawFn) -> list[Action]:
    rows = []
    for phone in ("a", "b", "c"):
        for number in range(1, draw(st.integers(0, 12)) + 1):
            facts = {
                "who": draw(st.sampled_from(["c1", "c2", "v1"])),
                "pickup": draw(st.sampled_from(["Bram", "Petra"])),
                "of": f"{draw(st.sampled_from('abc'))}{draw(st.integers(1, 12))}",
                "what": "ladder", "made": 1, "tried": 2, "slot": draw(st.integers(0, 3)), "words": "w", "minutes": 90,
            }  # fmt: skip
            rows.append(act(number, draw(KIND), draw(st.integers(-5, 120)), phone, **facts))
    return rows


@pytest.mark.thorough
@given(logs(), st.randoms(use_true_random=False))
@settings(max_examples=200, deadline=None)
def test_any_order_and_any_repeats_give_the_same_state(rows: list[Action], luck: random.Random) -> None:
    mixed = rows + luck.choices(rows, k=len(rows)) if rows else rows
    luck.shuffle(mixed)

    assert fold(mixed) == fold(rows)


@pytest.mark.thorough
@given(logs())
@settings(max_examples=200, deadline=None)
def test_stays_of_one_person_never_overlap_and_end_after_they_begin(rows: list[Action]) -> None:
    for stays in fold(rows).stays.values():
        for stay in stays:
            assert stay.out_at is None or stay.out_at >= stay.in_at
        for before, after in itertools.pairwise(stays):
            assert before.out_at is not None and before.out_at <= after.in_at
