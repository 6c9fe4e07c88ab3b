"""One answer in a made-up world: the list, the search and whoever asks by name say the same of everybody."""

import random
from datetime import date, time, timedelta

import pytest
from django.db import transaction

from core import clock
from core.refusal import Refusal
from people.models import Clearance, Volunteer
from shifts.models import Away, KeptApart, Limits, Reply, WeeklyWindow
from shifts.queries.candidates import candidates
from shifts.queries.eligibility import bars
from shifts.queries.eligibility import gather as gather_candidacies
from shifts.queries.facts import clinics_between, gather
from shifts.rules.eligibility import NEVER
from shifts.rules.matching import Placement, Plan
from shifts.rules.matching.near import blocks_in_plan
from shifts.services.backup import make_backup
from shifts.services.cover import ask_volunteer
from shifts.words.eligibility import words

# Said of nobody on the list: who said no is named beside it, and questions are counted by who asks by themselves.
NOT_ON_THE_LIST = {"declined", "asked enough"}


class _Undo(Exception):
    pass


@pytest.fixture
def world(request, make_center, make_space, make_clinic, make_shift, make_volunteer, make_assignment):
    """A clinic with an open shift for a coach, others around it, and twelve people with every kind of trouble."""
    rng = random.Random(request.param)
    here = make_space(make_center(latitude=41.5, longitude=-77.5))
    near = make_space(make_center(latitude=41.7, longitude=-77.5))
    clinic = make_clinic(here, days=10)
    others = [
        make_clinic(near, days=10, starts=time(12, 15), ends=time(13, 30)),
        make_clinic(make_space(near.center), days=10, starts=time(14), ends=time(15)),
        make_clinic(make_space(near.center), days=10, starts=time(10), ends=time(11)),
        make_clinic(make_space(near.center), days=12),
    ]
    shift = make_shift(clinic)
    people = []
    for number in range(12):
        person = make_volunteer(
            f"Person {number:02}",
            duties=rng.choice((("coach",), ("coach", "lead"), ("coach", "lead"), ("door",))),
            cleared=rng.choice((("screening", "conduct"), ("screening", "conduct"), ("screening",))),
            latitude=41.5 + rng.random() / 2,
            longitude=-77.5,
            left_on=clock.today() if rng.random() < 0.1 else None,
        )
        people.append(person)
        _tell(rng, person, clinic.day)
        if rng.random() < 0.4:
            make_assignment(make_shift(rng.choice(others)), person, rng.choice((Reply.ACCEPTED, Reply.NEEDS_ACTION)))
        elif rng.random() < 0.4:
            make_assignment(make_shift(clinic, "lead"), person, rng.choice(list(Reply)))
    for _ in range(6):
        one, other = sorted(rng.sample([person.pk for person in people], 2))
        KeptApart.objects.get_or_create(one_id=one, other_id=other)
    return shift


def _tell(rng: random.Random, person: Volunteer, day: date) -> None:
    if rng.random() < 0.2:
        Away.objects.create(volunteer=person, first_day=day - timedelta(days=rng.choice((0, 3))), last_day=day)
    if rng.random() < 0.3:
        WeeklyWindow.objects.create(
            volunteer=person,
            weekday=day.weekday() if rng.random() < 0.7 else (day.weekday() + 1) % 7,
            starts=rng.choice((time(9), time(9, 1))),
            ends=rng.choice((time(11, 45), time(11, 44))),
        )
    if rng.random() < 0.5:
        Limits.objects.create(
            volunteer=person,
            shifts_a_month=rng.choice((None, 0, 1, 2)),
            hours_a_month=rng.choice((None, 3, 6)),
            farthest_km=rng.choice((None, 20)),
        )
    if rng.random() < 0.3:
        conduct = Clearance.objects.filter(volunteer=person, kind__code="conduct")
        conduct.update(expires_on=day - timedelta(days=rng.choice((0, 1, 200))))
    if rng.random() < 0.2:
        kind = Clearance.objects.filter(volunteer=person).latest("pk").kind
        state = rng.choice(("refused", "withdrawn", "awaiting"))
        Clearance.objects.create(volunteer=person, kind=kind, state=state, issued_on=clock.today())


WORLDS = pytest.mark.parametrize("world", range(6), indirect=True)


@WORLDS
def test_the_list_and_the_search_say_the_same_of_everybody(world):
    clinic = world.clinic
    facts = gather([one for one in clinics_between(clinic.day, clinic.day, clock.now()) if one == clinic], clock.now())
    today = {p.id: p.accepted or p.asked for p in facts.positions}
    plan = Plan({pk: Placement(pk, who, None, True) for pk, who in today.items() if who}, [], [], "", 0.0, 0)
    (target,) = (p for p in facts.positions if p.id == world.pk)
    people = {person.id: person for person in facts.people}

    for one in candidates(world, clock.today()):
        person = people[one.volunteer.pk]
        told = blocks_in_plan(person, target, facts.positions, facts.people, facts.options, plan)
        against = [block.reason for block in told if block.reason.code not in NOT_ON_THE_LIST]
        assert [reason.code for reason in one.against] == [reason.code for reason in against]
        if "already there" not in {reason.code for reason in against}:
            assert list(one.why_not) == [words(reason, clock.today()) for reason in against]
        assert (one.declined_on is not None) == any(block.reason.code == "declined" for block in told)


@WORLDS
def test_who_asks_by_name_is_refused_what_the_rule_never_allows_and_nothing_else(world, now):
    people = list(Volunteer.objects.all())
    facts = gather_candidacies(people, "coach", world.clinic)
    asked = 0
    for person in people:
        never = [reason.code for reason in facts.against(person.pk) if reason.severity == NEVER]
        assert [reason.code for reason in bars(person, "coach", world.clinic)] == never
        for put in (ask_volunteer, make_backup):
            refused: set[str] = set()
            try:
                with transaction.atomic():
                    put(shift=world, volunteer=person, now=now)
                    raise _Undo
            except Refusal as refusal:
                refused = refusal.codes
            except _Undo:
                pass
            assert refused == set(never), person
        asked += not never
    assert 0 < asked < len(people)
