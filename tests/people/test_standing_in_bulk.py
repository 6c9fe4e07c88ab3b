"""Standing of many, read in three queries, is what the rule says of each alone."""

import random
from datetime import date, timedelta

import pytest

from people.models import Clearance, ClearanceKind, PolicyRow, Volunteer
from people.queries.standing import open_book
from people.rules import standing as rule

pytestmark = pytest.mark.django_db

DUTIES = ("lead", "coach", "door")
DAY = date(2026, 11, 28)


@pytest.mark.slow
def test_bulk_equals_single_for_ten_thousand_random_people(django_assert_num_queries):
    rng = random.Random(7)
    kinds = [ClearanceKind.objects.create(code=f"kind{n}", name=f"kind {n}") for n in range(6)]
    rows = [
        PolicyRow(duty_id=duty, kind=kind, months=rng.choice([None, 6, 12, 24, 60]), overlap=rng.random() < 0.5)
        for duty in DUTIES
        for kind in rng.sample(kinds, 4)
    ]
    PolicyRow.objects.bulk_create(rows)
    people = Volunteer.objects.bulk_create(
        Volunteer(name=f"Person {n}", email=f"person{n}@example.org", duties=["coach"]) for n in range(10_000)
    )
    records = []
    for person in people:
        for _ in range(rng.randrange(0, 7)):
            state = rng.choices(["clear", "awaiting", "refused", "withdrawn"], [8, 1, 1, 1])[0]
            issued = DAY - timedelta(days=rng.randrange(-200, 1500))
            expires = issued + timedelta(days=rng.randrange(0, 900)) if rng.random() < 0.4 else None
            records.append(
                Clearance(volunteer=person, kind=rng.choice(kinds), state=state, issued_on=issued, expires_on=expires)
            )
    Clearance.objects.bulk_create(records, batch_size=5000)
    policy = [rule.PolicyRow(r.duty_id, r.kind.code, r.months, r.notice_days, r.overlap) for r in rows]
    alone: dict[int, list[rule.Clearance]] = {}
    for record in records:
        alone.setdefault(record.volunteer_id, []).append(record.fact())

    with django_assert_num_queries(3):
        book = open_book(person.pk for person in people)

    for person in people:
        duty = rng.choice(DUTIES)
        assert book.on(person.pk, duty, DAY) == rule.standing(duty, alone.get(person.pk, []), policy, DAY)
