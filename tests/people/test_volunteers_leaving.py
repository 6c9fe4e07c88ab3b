"""Who has left: the day that is believed, where they are found, and what two people saving at once meet."""

from datetime import timedelta

import pytest
from django.urls import reverse

from core import clock
from people.models import PolicyRow, Volunteer
from people.queries.volunteers import duty_lines
from people.services.retention import due_to_go
from tests.meanwhile import meanwhile


def details(person, **more):
    return {"name": person.name, "email": person.email, "duties": person.duties, "adult": "on"} | more


def leave(client, person, day):
    return client.post(reverse("volunteer-change", args=[person.pk]), details(person, left_on=day))


@pytest.mark.parametrize("day", ["0001-01-01", "1926-11-25"])
def test_a_mistyped_year_does_not_get_somebody_forgotten_tonight(day, coordinator, signed_in, make_volunteer, settings):
    person = make_volunteer()

    answer = leave(signed_in(coordinator), person, day)

    assert answer.status_code == 422 and "Check the year" in answer.content.decode()
    person.refresh_from_db()
    assert person.left_on is None
    assert due_to_go(today=clock.today(), months=settings.RETENTION_MONTHS) == []


def test_nobody_has_left_on_a_day_to_come(coordinator, signed_in, make_volunteer):
    person = make_volunteer()

    answer = leave(signed_in(coordinator), person, (clock.today() + timedelta(days=1)).isoformat())

    assert answer.status_code == 422 and "This date is in the future" in answer.content.decode()


def test_who_has_left_is_found_again_and_can_come_back(coordinator, signed_in, make_volunteer):
    person = make_volunteer("Tobiah Quill")
    client = signed_in(coordinator)
    assert leave(client, person, clock.today().isoformat()).status_code == 302

    link = f'href="{reverse("volunteer", args=[person.pk])}"'
    assert link not in client.get(reverse("volunteers")).content.decode()
    gone = client.get(reverse("volunteers") + "?who=left").content.decode()
    assert link in gone and "1 former volunteer." in gone

    leave(client, person, "")

    assert link in client.get(reverse("volunteers")).content.decode()


def test_the_forgotten_are_not_among_those_who_left(coordinator, signed_in, make_volunteer):
    former = make_volunteer("Former volunteer", left_on=clock.today(), forgotten=True)

    page = signed_in(coordinator).get(reverse("volunteers") + "?who=left").content.decode()
    assert reverse("volunteer", args=[former.pk]) not in page


def test_the_coming_half_year_knows_of_a_policy_that_starts_in_it(make_volunteer, policy):
    person, today = make_volunteer(), clock.today()
    PolicyRow.objects.create(duty_id="coach", kind=policy["first_aid"], months=24, from_day=today + timedelta(days=30))
    PolicyRow.objects.create(
        duty_id="coach", kind=policy["first_aid"], required=False, from_day=today + timedelta(days=60)
    )

    (line,) = duty_lines(person, today)

    assert line.standing.state == "current"
    assert line.changes == [(today + timedelta(days=30), "missing"), (today + timedelta(days=60), "current")]


@pytest.mark.django_db(transaction=True)
def test_two_who_add_the_same_person_at_once_get_one_volunteer_and_a_sentence(coordinator, signed_in):
    client = signed_in(coordinator)
    form = {"name": "Imara Venn", "email": "imara@example.org", "duties": ["coach"], "adult": "on"}

    with meanwhile(lambda: Volunteer.objects.create(name="Imara Venn", email="IMARA@example.org", duties=["coach"])):
        answer = client.post(reverse("volunteer-new"), form)

    assert answer.status_code == 422 and "already on file" in answer.content.decode()
    assert Volunteer.objects.count() == 1
