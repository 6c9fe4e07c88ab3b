"""Who opens a clinic's sign-in sheet: its leads and who stands in for them, while it is their day, and the office."""

import uuid
from datetime import UTC, date, time, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from django.urls import reverse

from core.rules.local_time import localize
from families.models import CareReading, DoorReading, Retention
from families.services.door import DOOR, DOOR_WITH_CARE
from families.services.family_records import keep_away
from families.services.registering import register
from families.services.retention import purge_leftovers
from floor.models import FloorDay
from floor.queries.floor_hours import wipe_at
from floor.services.stand_ins import end_stand_in, name_stand_in
from tests.clock import at

pytestmark = pytest.mark.django_db


def door(clinic):
    return reverse("clinic-door", args=[clinic.pk])


def care(clinic):
    return reverse("clinic-door-care", args=[clinic.pk])


def opened(client, clinic):
    return client.post(door(clinic), follow=True)


@pytest.fixture
def today(make_clinic, make_shift, make_assignment, make_volunteer, household, coordinator, now):
    """A clinic of today with its lead, whose child must not go home with Ranulf Moss."""
    clinic = make_clinic(days=0)
    # Late in the evening, an hour from now is another day, on which the care notes stay shut.
    soon = now + timedelta(hours=1)
    same_day = soon.astimezone(clinic.center.tz).date() == now.astimezone(clinic.center.tz).date()
    clinic.starts_at, clinic.ends_at = soon if same_day else now + timedelta(minutes=1), now + timedelta(hours=3)
    clinic.save()
    lead = make_volunteer(duties=("lead",), name="Imara Venn", email="imara@example.org")
    make_assignment(make_shift(clinic, "lead"), lead)
    facts = household(("Wren Ash", date(clinic.day.year - 9, 1, 1)))
    child = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).spots[0].child
    keep_away(child=child, name="Ranulf Moss", relation="", seen="Order of the court", by=coordinator, now=now)
    return clinic


@pytest.fixture
def as_lead(today, floor_lead, signed_in):
    """The floor lead's account, with the address of the volunteer who leads the clinic, in other letters."""
    floor_lead.email = "Imara@example.org"
    floor_lead.save()
    return signed_in(floor_lead)


def test_a_floor_account_that_does_not_lead_the_clinic_opens_nothing_of_it(today, floor_lead, signed_in):
    client = signed_in(floor_lead)
    for answer in (client.get(door(today)), client.post(door(today)), client.post(care(today))):
        text = answer.content.decode()
        assert answer.status_code == 403
        # Who can help stands there, and no child.
        assert "Wren Ash" not in text and "Ranulf" not in text and "Imara Venn" in text and "555-" in text
        assert "different role" not in text
    assert CareReading.objects.count() == DoorReading.objects.count() == 0


def test_a_clinic_without_a_lead_says_so(make_clinic, floor_lead, signed_in):
    answer = signed_in(floor_lead).get(door(make_clinic(days=0)))
    assert answer.status_code == 403 and "No lead has accepted yet" in answer.content.decode()


def test_the_lead_opens_it_and_each_opening_is_written_down(today, as_lead, floor_lead, now):
    answer = opened(as_lead, today)

    assert answer.status_code == 200 and "MUST NOT PICK UP: Ranulf Moss" in answer.content.decode()
    assert answer["Cache-Control"] == "no-store"
    reading = DoorReading.objects.get()
    assert (reading.clinic, reading.by, reading.by_name, reading.what) == (today, floor_lead, "Oswin Tarrant", DOOR)
    as_lead.post(care(today))
    assert [row.what for row in DoorReading.objects.all()] == [DOOR_WITH_CARE, DOOR]


def test_the_lead_of_another_clinic_on_the_same_day_does_not(today, make_clinic, as_lead):
    assert as_lead.post(door(make_clinic(days=0))).status_code == 403


def test_a_lead_who_was_only_asked_or_has_left_the_shift_does_not(today, as_lead, now):
    row = today.shifts.get(duty="lead").assignments.get()
    row.reply = "needs-action"
    row.save()
    assert as_lead.post(door(today)).status_code == 403
    row.reply, row.released_at = "accepted", now
    row.save()
    assert as_lead.post(door(today)).status_code == 403


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Honolulu", "America/New_York"])
def test_it_opens_from_the_day_before_at_the_center_until_the_floor_page_closes(
    make_center, make_space, make_clinic, make_shift, make_assignment, make_volunteer, floor_lead, signed_in, zone
):
    center = make_center(time_zone=zone)
    clinic = make_clinic(make_space(center), days=3)
    lead = make_volunteer(duties=("lead",), email=floor_lead.email)
    make_assignment(make_shift(clinic, "lead"), lead)
    opens = localize(clinic.day - timedelta(days=1), time(0, 0), center.tz).astimezone(UTC)
    seen = []
    for moment in (opens - timedelta(minutes=1), opens, wipe_at(clinic) - timedelta(minutes=1), wipe_at(clinic)):
        with at(moment, tick=False):
            seen.append(signed_in(floor_lead).post(door(clinic)).status_code)
    assert seen == [403, 302, 302, 403]


def test_it_is_shut_to_the_lead_once_the_day_is_closed_and_says_so(today, as_lead, now):
    assert opened(as_lead, today).status_code == 200
    FloorDay.objects.create(clinic=today, closed_at=now)

    for answer in (as_lead.get(door(today)), as_lead.post(care(today))):
        assert answer.status_code == 403 and "day is closed" in answer.content.decode()


def test_who_stands_in_opens_it_until_the_office_ends_that(
    today, make_volunteer, floor_lead, coordinator, signed_in, now
):
    volunteer = make_volunteer(duties=("lead",), email=floor_lead.email)
    client = signed_in(floor_lead)
    assert client.post(door(today)).status_code == 403
    row = name_stand_in(clinic=today, volunteer=volunteer, by=coordinator, now=now)
    assert opened(client, today).status_code == 200 and client.post(care(today)).status_code == 200
    end_stand_in(row=row, now=now)
    assert client.get(door(today)).status_code == client.post(care(today)).status_code == 403


@pytest.mark.parametrize("role", ["admin", "coordinator"])
def test_the_office_opens_it_on_any_day_and_that_is_written_down(role, request, signed_in, today, now):
    account = request.getfixturevalue(role)
    client = signed_in(account)
    with at(now + timedelta(days=60)):
        asked = client.get(door(today))
        assert asked.status_code == 200 and "Wren Ash" not in asked.content.decode()
        assert DoorReading.objects.count() == 0, "a GET changes nothing"
        assert "Wren Ash" in opened(client, today).content.decode()
    assert [(row.by, row.what) for row in DoorReading.objects.all()] == [(account, DOOR)]


def test_a_coordinator_who_is_refused_the_notes_sees_the_sheet_and_is_written_down(today, coordinator, signed_in):
    answer = signed_in(coordinator).post(care(today))

    assert answer.status_code == 403 and "Wren Ash" in answer.content.decode()
    assert DoorReading.objects.get().what == DOOR


def test_an_opened_sheet_can_be_loaded_again_for_half_an_hour_and_by_nobody_else(
    today, admin, coordinator, signed_in, now
):
    client = signed_in(admin)
    with at(now):
        client.post(door(today))
    for minutes, shown in ((29, True), (31, False)):
        with at(now + timedelta(minutes=minutes)):
            assert ("Wren Ash" in client.get(door(today)).content.decode()) is shown
    with at(now + timedelta(minutes=5)):
        assert "Wren Ash" not in signed_in(coordinator).get(door(today)).content.decode()
    assert DoorReading.objects.count() == 1


def test_admins_read_who_has_opened_it_beside_the_clinics_children(today, admin, coordinator, signed_in):
    opened(signed_in(coordinator), today)
    page = reverse("clinic-children", args=[today.pk])

    assert "Perpetua Lang, sign-in sheet" in signed_in(admin).get(page).content.decode()
    assert "Perpetua Lang, sign-in sheet" not in signed_in(coordinator).get(page).content.decode()


def test_the_clinics_page_offers_the_sheet_only_to_whom_it_opens(today, make_clinic, as_lead, coordinator, signed_in):
    other = make_clinic(days=0)

    def offered(client, clinic):
        return f'action="{door(clinic)}"' in client.get(reverse("clinic", args=[clinic.pk])).content.decode()

    assert offered(as_lead, today) and not offered(as_lead, other)
    assert offered(signed_in(coordinator), today) and offered(signed_in(coordinator), other)


def test_who_opened_it_is_forgotten_when_the_childrens_notes_would_be(today, admin, signed_in):
    opened(signed_in(admin), today)
    Retention.objects.update_or_create(pk=Retention.now().pk, defaults={"child_months": 12})
    last = localize(today.day + relativedelta(months=12), time(12), today.center.tz)
    purge_leftovers(now=last)
    assert DoorReading.objects.count() == 1
    purge_leftovers(now=last + timedelta(days=1))
    assert DoorReading.objects.count() == 0
