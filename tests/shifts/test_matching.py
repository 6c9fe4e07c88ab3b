"""Matching seen from outside: what is refused in words, what helps an open position, what is said, when it stops."""

import random
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.formats import long_day
from core.rules.local_time import after_quiet
from shifts.rules.availability import Availability
from shifts.rules.matching import Note, Options, Person, Position, Requirement, Stay, apply, match
from shifts.rules.matching.near import frees, near_misses, why_not_asked
from shifts.words.plan import change_words, note_words, plan_words, why_words
from tests.reference.matching_facts import problem

SATURDAY = datetime(2027, 3, 13, 9, 0, tzinfo=UTC)
HERE, THERE = (41.5, -77.5), (41.7, -77.5)  # 22 km apart in a straight line, 29 by road


def position(number=1, clinic=1, duty="coach", at=SATURDAY, **more):
    return Position(
        id=number, clinic=clinic, duty=duty, starts=at, ends=at + timedelta(hours=2), point=HERE,
        title=f"Clinic {clinic}", **more,
    )  # fmt: skip


def person(number=100, duties=("coach",), runs=((date(2026, 1, 1), None),), home=HERE, **more):
    needs = {(duty, ""): (Requirement("conduct", "conduct training", tuple(runs)),) for duty in duties}
    return Person(id=number, name=f"P{number}", duties=frozenset(duties), home=home, needs=needs, **more)


@pytest.mark.parametrize(
    ("positions", "people", "options", "sentence"),
    [
        ([position(), position()], [], Options(), "is there twice"),
        ([], [person(), person()], Options(), "is there twice"),
        ([position(duty="")], [], Options(), "has no duty"),
        ([replace(position(), ends=SATURDAY)], [], Options(), "ends before it starts"),
        ([replace(position(), ends=SATURDAY + timedelta(days=1))], [], Options(), "longer than 16 hours"),
        ([replace(position(), starts=datetime(2027, 3, 13, 9))], [], Options(), "without a time zone"),
        ([replace(position(), point=(91.0, 0.0))], [], Options(), "not on the globe"),
        ([], [person(home=(0.0, 200.0))], Options(), "not on the globe"),
        ([], [person(known=Availability(hours_a_month=-1))], Options(), "at most -1 hours"),
        ([], [person(known=Availability(shifts_a_month=10**7))], Options(), "at most 1e\\+07 shifts"),
        ([], [person(used={(2027, 3): (-1, 0.0)})], Options(), "can't have given -1 shifts"),
        ([], [person(load=-1)], Options(), "below 0"),
        ([], [], Options(seconds=0), "more than 0 seconds"),
        ([], [], Options(workers=0), "at least one worker"),
        ([], [], Options(road_factor=0.5), "as long as the straight line"),
    ],
)
def test_what_cannot_be_matched_is_said_in_a_sentence(positions, people, options, sentence):
    with pytest.raises(ValueError, match=sentence):
        match(positions, people, options)


def test_no_positions_no_volunteers_and_an_unknown_duty_have_answers():
    assert match([], [], Options()).status == "proven best"
    empty = match([position()], [], Options())
    assert empty.unfilled == [1] and [note.code for note in empty.notes] == ["no volunteers"]
    assert plan_words(empty, [position()])[0] == "1 of 1 shifts is still open. No other plan fills more."
    assert match([position(duty="juggler")], [person()], Options()).unfilled == [1]


def test_a_place_that_is_not_on_the_map_counts_as_a_stated_way():
    plan = match([replace(position(), point=None)], [person()], Options(unknown_km=25))

    assert plan.placements[1].km is None and plan.objective("travel").value == 25
    assert plan.notes == [Note("centers off the map", 1, 25)]
    assert note_words(plan.notes[0]).startswith("1 center isn’t on the map, so we assume 25 km each way.")


def test_who_accepted_stays_and_who_was_asked_stays_unless_more_is_filled():
    asked_far = person(100, home=THERE)
    near = person(101)
    kept = match([position(asked=100)], [asked_far, near], Options())
    assert kept.placements[1].person == 100 and kept.objective("moved").value == 0

    # Only 100 can lead, and can't be at both: filling the lead is worth letting the coach's question go.
    lead = position(2, clinic=2, duty="lead", rank=10)
    both = replace(asked_far, duties=frozenset({"coach", "lead"}), needs={})
    plan = match([position(asked=100), lead], [both, near], Options())
    assert {pk: p.person for pk, p in plan.placements.items()} == {1: 101, 2: 100}
    assert plan.objective("moved").value == 1

    accepted = match([position(accepted=100), lead], [both, near], Options())
    assert accepted.placements[1].person == 100 and accepted.unfilled == [2]


def test_the_drive_between_two_centers_of_one_day_is_counted():
    later = position(2, clinic=2, at=SATURDAY + timedelta(hours=2, minutes=30))
    one = person(100, known=Availability())
    assert len(match([position(), later], [one], Options()).placements) == 2
    far = replace(later, point=THERE)  # 29 km by road, 39 minutes: half an hour is not enough
    assert len(match([position(), far], [one], Options()).placements) == 1


def test_an_under_way_stay_elsewhere_keeps_somebody_away():
    there = Stay(SATURDAY - timedelta(hours=3), SATURDAY - timedelta(minutes=20), THERE, "Quarry Lane")
    plan = match([position()], [person(stays=(there,))], Options())

    assert plan.unfilled == [1]
    ((_, why),) = why_not_asked(person(stays=(there,)), [position()], [person(stays=(there,))], Options(), plan)
    assert isinstance(why, list) and [reason.code for reason in why] == ["too late"]
    assert why_words(why) == ["can’t get here in time from Quarry Lane (39 minutes by road)"]


@pytest.mark.parametrize(
    ("who", "blocked", "change"),
    [
        (person(runs=((date(2026, 1, 1), date(2027, 3, 10)),)), "standing",
         f"ask P100 to renew their conduct training by {long_day(date(2027, 3, 10))}"),
        (person(runs=()), "standing", f"record conduct training for P100 by {long_day(SATURDAY.date())}"),
        (person(known=Availability(shifts_a_month=1), used={(2027, 3): (1, 2.0)}),
         "shifts", "ask P100 to take one more shift in March 2027"),
        (person(known=Availability(hours_a_month=3), used={(2027, 3): (1, 2.0)}), "hours",
         "ask P100 to give 1 hour more in March 2027"),
        (person(home=THERE, known=Availability(farthest_km=20)), "too far",
         "ask P100 to travel 9 km farther"),
        (person(known=Availability(windows={6: (time(8), time(20))})), "window",
         f"ask P100 if {long_day(SATURDAY.date())}, 09:00 to 11:00, would work just this once"),
        (person(known=Availability(away=[(date(2027, 3, 12), date(2027, 3, 14))])), "away",
         "ask P100 to come even though they’re away"),
        (person(declined=frozenset({1})), "declined", "ask P100 again"),
        (person(may_ask=0), "asked enough", "send P100 one more request"),
        (replace(person(duties=("door", "coach")), duties=frozenset({"door"})), "duty not held",
         "ask P100 if they’d take this duty"),
    ],
)  # fmt: skip
def test_one_reason_against_comes_with_the_smallest_change_that_lifts_it(who, blocked, change):
    plan = match([position()], [who], Options())
    assert plan.unfilled == [1]

    (miss,) = near_misses([position()], [who], Options(), plan, 1)

    assert miss.block.reason.code == blocked and change_words(miss.change, who.name) == change
    assert match([position()], [apply(who, miss.change)], Options()).unfilled == []


def test_two_reasons_at_once_are_no_near_miss():
    who = person(runs=(), declined=frozenset({1}))

    assert near_misses([position()], [who], Options(), match([position()], [who], Options()), 1) == []


@given(seed=st.integers(0, 10**6))
@settings(max_examples=40, deadline=None)
def test_each_change_that_is_named_fills_one_more_and_without_it_no_plan_does(seed):
    positions, people, options = problem(random.Random(seed), clinics=3, people=5)
    plan = match(positions, people, options)
    assert plan.objectives[0].proven  # so without a change no plan fills more

    for opened in plan.unfilled[:2]:
        target = next(p for p in positions if p.id == opened)
        for miss in near_misses(positions, people, options, plan, opened):
            changed = [apply(p, miss.change) if p.id == miss.person else p for p in people]
            after = match(positions, changed, options)
            assert after.objectives[0].value < plan.objectives[0].value
            assert frees(positions, people, options, plan, target, miss.change)


def test_cheapest_first():
    people = [
        person(100, runs=((date(2026, 1, 1), date(2027, 3, 10)),)),
        person(101, known=Availability(shifts_a_month=1), used={(2027, 3): (1, 2.0)}),
        person(102, home=THERE, known=Availability(farthest_km=28)),
    ]
    plan = match([position()], people, Options())

    assert [miss.person for miss in near_misses([position()], people, Options(), plan, 1)] == [101, 102, 100]


def test_a_search_that_is_stopped_keeps_the_best_so_far():
    positions, people, options = problem(random.Random(5), clinics=6, people=12)
    seen = []

    def watch(progress):
        seen.append(progress.aim)
        return False

    plan = match(positions, people, options, watch=watch)

    assert seen and plan.status in ("stopped", "proven best")


def test_words_say_what_is_proven():
    plan = match([position(), position(2, clinic=2, duty="lead")], [person()], Options(adults_needed={1: 2}))
    words = plan_words(plan, [position(), position(2, clinic=2, duty="lead")])

    assert words[0] == "1 of 2 shifts is still open. No other plan fills more."
    assert words[1] == "1 clinic still doesn’t have enough adults. No other plan has fewer."
    assert words[2].startswith("No one drives more than") and words[2].endswith(
        "No equally full plan has less driving."
    )


@pytest.mark.parametrize(
    ("moment", "sent"),
    [
        (datetime(2027, 3, 13, 12, tzinfo=UTC), datetime(2027, 3, 13, 12, tzinfo=UTC)),
        (datetime(2027, 3, 13, 21, tzinfo=UTC), datetime(2027, 3, 14, 7, tzinfo=UTC)),
        (datetime(2027, 3, 13, 6, 59, tzinfo=UTC), datetime(2027, 3, 13, 7, tzinfo=UTC)),
        (datetime(2027, 3, 13, 7, tzinfo=UTC), datetime(2027, 3, 13, 7, tzinfo=UTC)),
    ],
)
def test_quiet_hours_end_in_the_morning(moment, sent):
    from zoneinfo import ZoneInfo

    assert after_quiet(moment, (time(21), time(7)), ZoneInfo("UTC")) == sent


def test_pages_do_not_load_the_solver():
    code = (
        "import django, sys; django.setup(); import scheduling.urls, scheduling.tasks;"
        "print([m for m in sys.modules if m.startswith('ortools')])"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert answer.stdout.strip() == "[]"
