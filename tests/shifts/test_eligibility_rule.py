"""May this person take this shift that day: each reason at its edge, in words, and the same answer wherever asked."""

import random
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.formats import long_day, short_date, short_day
from people.rules.timeline import State
from shifts.rules import eligibility as rule
from shifts.rules.availability import Availability
from shifts.rules.eligibility import (
    NEVER,
    TELL,
    Candidacy,
    Engagement,
    Kind,
    Reason,
    Wanted,
    reasons_against,
)
from shifts.rules.matching import Options, Person, Plan, Position, Requirement, Stay, blocks
from shifts.rules.matching.facts import Placement
from shifts.rules.matching.near import blocks_in_plan
from shifts.rules.matching.network import build_network
from shifts.rules.matching.pairs import can, reachable
from shifts.words.eligibility import sentence, words
from tests.reference.matching_facts import PLACES, problem

# A Saturday.
DAY, LATER = date(2026, 11, 28), date(2027, 1, 3)
NINE = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
NOON = NINE + timedelta(hours=3)
COACH = Wanted(1, "coach", NINE, NOON, "coach")
FREE = Candidacy(frozenset({"coach"}))
MINUTE = timedelta(minutes=1)


def against(person: Candidacy, wanted: Wanted = COACH) -> list[str]:
    return [reason.code for reason in reasons_against(wanted, person)]


def shift(begins: datetime, ends: datetime, clinic: int | None = 2, **more: object) -> Engagement:
    return Engagement(clinic, begins, ends, where="Quarry Lane", **more)  # type: ignore[arg-type]


def test_nothing_is_against_somebody_free_who_holds_the_duty() -> None:
    assert against(FREE) == []


@pytest.mark.parametrize("ends", [NINE, NINE - MINUTE])
def test_a_shift_that_does_not_end_after_it_starts_is_refused(ends: datetime) -> None:
    with pytest.raises(ValueError, match="A shift ends after it starts"):
        reasons_against(replace(COACH, ends=ends), FREE)

    assert against(FREE, replace(COACH, ends=NINE + MINUTE)) == []


def test_who_left_is_out_whatever_the_day() -> None:
    assert against(replace(FREE, left_on=DAY + timedelta(days=90))) == ["left"]


def test_who_is_under_18_helps_and_does_nothing_else() -> None:
    young = Candidacy(frozenset({"helper"}), adult=False)

    assert against(young, replace(COACH, duty="helper")) == []
    assert against(young) == ["under 18", "duty not held"]
    assert against(replace(FREE, adult=False)) == ["under 18"]


@pytest.mark.parametrize(
    ("state", "codes"),
    [
        ("current", []),
        ("expires soon", []),
        ("expired", ["standing"]),
        ("missing", ["standing"]),
        ("awaiting", ["standing"]),
        ("refused", ["standing"]),
    ],
)
def test_each_clearance_is_current_on_the_day_or_a_reason(state: State, codes: list[str]) -> None:
    assert against(replace(FREE, kinds=[Kind("c", "conduct training", state)])) == codes


def test_each_clearance_that_is_missing_is_a_reason_of_its_own() -> None:
    assert against(replace(FREE, kinds=[Kind("a", "a", "missing"), Kind("b", "b", "refused")])) == ["standing"] * 2


@pytest.mark.parametrize(
    ("begins", "ends", "minutes", "codes"),
    [
        (NOON - MINUTE, NOON + MINUTE, 0, ["elsewhere"]),
        (NINE - MINUTE, NINE + MINUTE, 0, ["elsewhere"]),
        (NOON, NOON + MINUTE, 0, []),
        (NINE - MINUTE, NINE, 0, []),
        (NOON, NOON + MINUTE, 1, ["too late"]),
        (NOON + 39 * MINUTE, NOON + 60 * MINUTE, 39, []),
        (NOON + 39 * MINUTE, NOON + 60 * MINUTE, 39.1, ["too late"]),
        (NINE - 60 * MINUTE, NINE - 39 * MINUTE, 39, []),
        (NINE - 60 * MINUTE, NINE - 38 * MINUTE, 39, ["too late"]),
    ],
)
def test_another_shift_may_touch_this_one_with_the_drive_between(
    begins: datetime, ends: datetime, minutes: float, codes: list[str]
) -> None:
    assert against(replace(FREE, engagements=[shift(begins, ends, minutes=minutes)])) == codes


def test_one_person_has_one_duty_at_a_clinic_whatever_the_hours() -> None:
    assert against(replace(FREE, engagements=[shift(NINE, NOON, clinic=1)])) == ["already there"]
    assert against(replace(FREE, engagements=[shift(NOON, NOON + MINUTE, clinic=1)])) == ["already there"]
    assert against(replace(FREE, engagements=[shift(NINE, NOON, clinic=None)])) == ["elsewhere"]


def test_a_bar_is_named_before_what_is_told() -> None:
    late, there = shift(NOON, NOON + MINUTE, minutes=5), shift(NINE, NOON)

    assert against(replace(FREE, engagements=[late, there])) == ["elsewhere", "too late"]


@pytest.mark.parametrize(
    ("known", "codes"),
    [
        (Availability(away=[(DAY, DAY)]), ["away"]),
        (Availability(away=[(DAY - timedelta(days=9), DAY - timedelta(days=1))]), []),
        (Availability(away=[(DAY + timedelta(days=1), DAY + timedelta(days=9))]), []),
        (Availability(windows={5: (time(9), time(12))}), []),
        (Availability(windows={5: (time(9, 1), time(12))}), ["window"]),
        (Availability(windows={5: (time(9), time(11, 59))}), ["window"]),
        (Availability(windows={4: (time(9), time(12))}), ["window"]),
        (Availability(shifts_a_month=3), []),
        (Availability(shifts_a_month=2), ["shifts"]),
        (Availability(hours_a_month=9), []),
        (Availability(hours_a_month=8.99), ["hours"]),
        (Availability(farthest_km=12.4), []),
        (Availability(farthest_km=12.3), ["too far"]),
    ],
)
def test_what_they_told_us_holds_to_its_edge(known: Availability, codes: list[str]) -> None:
    assert against(replace(FREE, known=known, shifts=2, hours=5.5, takes=3.5, km=12.4)) == codes


def test_a_way_that_is_not_known_is_held_against_nobody() -> None:
    assert against(replace(FREE, known=Availability(farthest_km=0))) == []


def test_who_is_kept_apart_from_two_who_are_there_has_two_reasons() -> None:
    assert against(replace(FREE, apart=["Una Fell", "Ned Ash"])) == ["apart", "apart"]


def test_who_said_no_to_the_clinic_is_told() -> None:
    assert against(replace(FREE, declined=True)) == ["declined"]


@pytest.mark.parametrize(
    ("may_ask", "asked", "here", "codes"),
    [
        (None, 9, False, []),
        (1, 0, False, []),
        (0, 0, False, ["asked enough"]),
        (1, 1, False, ["asked enough"]),
        (2, 1, False, []),
        (0, 0, True, []),
    ],
)
def test_nobody_has_more_open_questions_than_one_may(may_ask: int, asked: int, here: bool, codes: list[str]) -> None:
    assert against(replace(FREE, may_ask=may_ask, asked=asked, asked_here=here)) == codes


def test_nobody_counts_as_asked_here_unless_it_is_said() -> None:
    assert against(replace(FREE, may_ask=0)) == ["asked enough"]


def test_what_the_office_may_override_is_what_they_told_us_and_what_we_ask_of_ourselves() -> None:
    by_severity = {kind.code: kind.severity for kind in get_args(Reason)}

    assert {code for code, severity in by_severity.items() if severity == NEVER} == {
        "left", "under 18", "duty not held", "standing", "already there", "elsewhere",
    }  # fmt: skip
    assert {code for code, severity in by_severity.items() if severity == TELL} == {
        "too late", "away", "window", "shifts", "hours", "too far", "apart", "declined", "asked enough",
    }  # fmt: skip


EVERY_WORD = [
    (rule.Left(DAY), f"left on {short_date(DAY)}", f"Imara left on {short_date(DAY)}."),
    (rule.UnderAge(), "under 18, so a helper only", "Imara is under 18, so a helper only."),
    (rule.DutyNotHeld("coach"), "doesn’t have this duty: coach", "Imara doesn’t have this duty: coach."),
    (rule.DutyNotHeld(""), "doesn’t have this duty", "Imara doesn’t have this duty."),
    (
        rule.NotCleared(Kind("c", "conduct training", "missing"), DAY),
        "no conduct training on file for that day",
        f"Imara isn’t cleared on {long_day(DAY)}: no conduct training on file for that day.",
    ),
    (
        rule.AlreadyThere(shift(NINE, NOON, duty="lead", reply="asked")),
        "already on this clinic as lead (asked)",
        "Imara is already on this clinic as lead (asked).",
    ),
    (
        rule.AlreadyThere(shift(NINE, NOON, planned=True)),
        "already on this clinic, in this plan",
        "Imara is already on this clinic, in this plan.",
    ),
    (
        rule.Elsewhere(shift(NINE, NOON, duty="coach", reply="accepted")),
        "at Quarry Lane, as coach (accepted)",
        "Imara is at Quarry Lane, as coach (accepted).",
    ),
    (rule.Elsewhere(Engagement(2, NINE, NOON)), "at another clinic", "Imara is at another clinic."),
    (
        rule.TooLate(shift(NINE, NOON, minutes=38.2)),
        "can’t get here in time from Quarry Lane (39 minutes by road)",
        "Imara: can’t get here in time from Quarry Lane (39 minutes by road).",
    ),
    (
        rule.TooLate(shift(NINE, NOON, minutes=1, planned=True)),
        "can’t get here in time from Quarry Lane (1 minute by road), in this plan",
        "Imara: can’t get here in time from Quarry Lane (1 minute by road), in this plan.",
    ),
    (rule.Away(DAY, DAY), f"away {short_day(DAY)}", f"Imara: away {short_day(DAY)}."),
    (rule.Away(DAY, LATER), f"away {short_day(DAY)} through {short_day(LATER)}", None),
    (rule.Window(0, None), "not available on Mondays", "Imara: not available on Mondays."),
    (
        rule.Window(6, (time(9), time(12, 30))),
        "available on Sundays only from 09:00 to 12:30",
        "Imara: available on Sundays only from 09:00 to 12:30.",
    ),
    (
        rule.Shifts(1, 1),
        "already has 1 shift that month (limit 1)",
        "Imara: already has 1 shift that month (limit 1).",
    ),
    (
        rule.Hours(9.5, 8.5),
        "would go over 8.5 hours that month, travel included",
        "Imara: would go over 8.5 hours that month, travel included.",
    ),
    (rule.Hours(2, 1), "would go over 1 hour that month, travel included", None),
    (rule.TooFar(10.6, 10), "11 km away (limit 10 km)", "Imara: 11 km away (limit 10 km)."),
    (rule.Apart("Una Fell"), "set to be kept apart from Una Fell", "Imara: set to be kept apart from Una Fell."),
    (rule.Declined(), "said no to this clinic", "Imara: said no to this clinic."),
    (
        rule.AskedEnough(0),
        "already has the most unanswered requests allowed",
        "Imara: already has the most unanswered requests allowed.",
    ),
    (rule.AskedEnough(2), "already has the most unanswered requests allowed, in this plan", None),
]


@pytest.mark.parametrize(("reason", "line", "whole"), EVERY_WORD)
def test_each_reason_is_a_line_and_a_sentence(reason: Reason, line: str, whole: str | None) -> None:
    assert words(reason, DAY) == line
    assert whole is None or sentence("Imara", [reason], DAY) == whole


def test_every_reason_there_is_has_its_words() -> None:
    assert {type(reason) for reason, _, _ in EVERY_WORD} == set(get_args(Reason))


def test_several_clearances_are_one_sentence_and_several_shifts_one_each() -> None:
    gone = [rule.NotCleared(Kind(code, code, "missing"), DAY) for code in ("a", "b")]

    assert sentence("Imara", gone) == (
        f"Imara isn’t cleared on {long_day(DAY)}: no a on file for that day; no b on file for that day."
    )
    there = [rule.Elsewhere(shift(NINE, NOON, planned=True)) for _ in range(2)]
    assert sentence("Imara", there) == "Imara is at Quarry Lane, in this plan. Imara is at Quarry Lane, in this plan."


def test_a_clearance_is_said_to_be_over_once_its_last_day_is() -> None:
    last = DAY - timedelta(days=3)
    expired = rule.NotCleared(Kind("c", "conduct training", "expired", last), DAY)

    assert words(expired) == words(expired, last) == "conduct training expires 3 days before this clinic"
    assert words(expired, last + timedelta(days=1)) == f"conduct training expired on {short_day(last)}"


# The search has a quick answer of its own. It is the rule's.


def season(seed: int) -> tuple[list[Position], list[Person], Options]:
    """Clinics of one weekend and people with every kind of fact, most of them near an edge."""
    rng = random.Random(seed)
    positions, people, options = problem(rng, clinics=4, people=7)
    positions = [
        replace(one, accepted=rng.choice([p.id for p in people]), asked=None) if rng.random() < 0.25 else one
        for one in positions
    ]
    return positions, [_more(rng, person, positions) for person in people], options


def _more(rng: random.Random, person: Person, positions: list[Position]) -> Person:
    near = rng.choice(positions)
    gap = timedelta(minutes=rng.choice((-30, 0, 20, 90)))
    stay = Stay(near.ends + gap, near.ends + gap + timedelta(hours=1), rng.choice([*PLACES, None]), "Quarry Lane")
    first = min(one.day for one in positions)
    troubles: tuple[State, ...] = ("missing", "awaiting", "refused")
    states = ((first, rng.choice(troubles)),) if rng.random() < 0.5 else ()
    needs = {
        key: (
            *rows,
            Requirement(
                "s",
                "screening check",
                rng.choice((((date(2026, 1, 1), None),), ((date(2026, 1, 1), first),), ())),
                first,
                rng.choice((date.max, first + timedelta(days=1))),
                states,
            ),
        )
        for key, rows in person.needs.items()
    }
    return replace(
        person,
        needs=needs,
        stays=(stay,) if rng.random() < 0.4 else (),
        adult=rng.random() < 0.9,
        left_on=first if rng.random() < 0.1 else None,
        may_ask=rng.choice((None, 0, 1)),
    )


@given(seed=st.integers(0, 10**6))
def test_the_quick_answer_of_the_search_is_the_rule_s(seed: int) -> None:
    positions, people, options = season(seed)

    for person in people:
        for position in positions:
            assert can(person, position, options) == (blocks(person, position, options) == [])


@given(seed=st.integers(0, 10**6))
def test_the_search_may_use_a_pair_when_the_rule_finds_nothing_beside_those_who_accepted(seed: int) -> None:
    positions, people, options = season(seed)
    accepted = {p.id: Placement(p.id, p.accepted, None, True) for p in positions if p.accepted is not None}
    plan = Plan(accepted, [], [], "", 0.0, 0)

    net = build_network(positions, people, options)

    arcs = {(arc.group, net.people[arc.person].id) for arc in net.arcs}
    for number, group in enumerate(net.groups):
        first = group.positions[0]
        for person in people:
            alone = [b.reason.code for b in blocks(person, first, options)]
            beside = {b.reason.code for b in blocks_in_plan(person, first, positions, people, options, plan)}
            # What a month holds is counted over the whole plan, by limits beside the pairs.
            free = not alone and not beside - {"shifts", "hours", "asked enough"}
            assert ((number, person.id) in arcs) == free


@given(seed=st.integers(0, 10**6))
def test_two_positions_are_within_reach_when_the_rule_finds_time_for_both(seed: int) -> None:
    positions, people, options = season(seed)
    one, other = random.Random(seed).sample(positions, 2)
    them = replace(people[0], needs={}, known=Availability(), stays=(), declined=frozenset(), may_ask=None, adult=True)
    them = replace(them, duties=frozenset({one.duty, other.duty}), left_on=None, apart=frozenset())
    plan = Plan({other.id: Placement(other.id, them.id, None, False)}, [], [], "", 0.0, 0)

    found = {b.reason.code for b in blocks_in_plan(them, one, positions, [them], options, plan)}

    assert (not found) == (reachable(one, other, options) and one.clinic != other.clinic)
