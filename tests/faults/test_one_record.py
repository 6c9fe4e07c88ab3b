"""Two records become one, and nothing that hangs on either is lost: not a sign-in, not an hour, not a warning."""

import uuid
from datetime import time, timedelta

import pytest

from core.rules.local_time import localize
from families.models import CareReading, Child, Guardian, PickupPerson, Spot
from families.queries.door import door_lines
from families.services.merge import confirm_household
from families.services.registering import register
from floor.models import (
    AdultHours,
    FloorAction,
    FloorDay,
    FloorPhone,
    Incident,
    MergedNumber,
    Score,
    SignIn,
)
from floor.queries.floor_hours import LOG_KEPT
from floor.queries.log import floor_state
from floor.queries.page_state import state_data
from floor.services.phones import log_readings, open_phone
from floor.services.retention import purge_logs
from floor.services.settling import sign_out_later
from people.models import Volunteer
from people.services.merge import merge_volunteers
from shifts.models import Assignment, Backup, KeptApart
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def known(floor, household, now):
    """Wren's guardian is confirmed under an address since before."""
    guardian = floor.children[0].guardianships.get().guardian
    guardian.email, guardian.confirmed_at = "ash@example.org", now
    guardian.save()
    return guardian


@pytest.fixture
def again(floor, known, household, now, make_clinic):
    """The same household registers Wren anew for another clinic, which was yesterday, and has not used its link yet."""
    tz = floor.clinic.center.tz
    day = now.astimezone(tz).date() - timedelta(days=1)
    clinic = make_clinic(days=3)
    born = floor.children[0].birth_date
    spot = register(
        clinic=clinic, facts=household(("Wren Ash", born), email="ash@example.org"), once=uuid.uuid4(), now=now
    ).spots[0]
    clinic.starts_at = localize(day, time(8), tz)
    clinic.ends_at = clinic.starts_at + timedelta(hours=2)
    clinic.save()
    floor.clinic = clinic
    return spot


def kept_by(floor, make_shift, make_assignment, clinic):
    lead = make_assignment(make_shift(clinic, "lead"), floor.lead.volunteer)
    phone, _ = open_phone(
        clinic=clinic, volunteer=lead.volunteer, came_from="192.0.2.8", now=clinic.starts_at - timedelta(hours=1)
    )
    return phone


def test_a_child_who_came_before_the_household_was_confirmed_keeps_having_been_there(
    floor, known, again, now, make_shift, make_assignment, coordinator
):
    clinic, child, twin = again.clinic, again.child, floor.children[0]
    clinic.refresh_from_db()
    phone = kept_by(floor, make_shift, make_assignment, clinic)
    who = f"c{child.pk}"
    send(
        floor,
        entry(1, "in", clinic.starts_at, who=who),
        entry(2, "score", clinic.starts_at + timedelta(minutes=40), who=who, what="free throws", made=3, tried=9),
        entry(
            3, "incident", clinic.starts_at + timedelta(minutes=50), who=who, what="Grazed a knee", first_aid="Plaster",
            told="", witness="", head=False,
        ),
        phone=phone,
    )  # fmt: skip
    child.allergies = "peanuts"
    child.save()
    log_readings(phone=phone, children=[child], now=now)
    confirm_household(guardian=again.guardian, now=now)

    assert not Child.objects.filter(pk=child.pk).exists() and not Guardian.objects.filter(pk=again.guardian_id).exists()
    assert SignIn.objects.get(clinic=clinic).child == twin
    assert Score.objects.get().child == twin and Incident.objects.get().child == twin
    assert CareReading.objects.get().child == twin and twin.spots.count() == 2
    # The log stays as it was said, and a phone goes on with the number that it knows.
    assert FloorAction.objects.filter(clinic=clinic).count() == 3
    out = send(floor, entry(4, "out", clinic.ends_at, who=who, pickup="Uncle Bram"), phone=phone)
    assert out.refused == [] and out.state.stays[f"c{twin.pk}"][0].pickup == "Uncle Bram"
    assert SignIn.objects.get(clinic=clinic).pickup == "Uncle Bram"
    assert list(state_data(clinic, floor_state(clinic))["stays"]) == [f"c{twin.pk}"]


def test_the_office_signs_out_a_child_whose_record_became_another(
    floor, known, again, now, make_shift, make_assignment, coordinator
):
    clinic = again.clinic
    clinic.refresh_from_db()
    phone = kept_by(floor, make_shift, make_assignment, clinic)
    send(floor, entry(1, "in", clinic.starts_at, who=f"c{again.child_id}"), phone=phone)
    confirm_household(guardian=again.guardian, now=now)
    row = sign_out_later(
        clinic=clinic, sign_in=SignIn.objects.get(clinic=clinic).pk, pickup="Uncle Bram", out_at=clinic.ends_at,
        by=coordinator, now=now, came_from="",
    )  # fmt: skip
    assert row.child == floor.children[0] and row.out_at == clinic.ends_at


def test_written_down_under_both_numbers_is_there_once(floor, known, household, now, make_shift, make_assignment):
    """Both rows of the list were tapped for the one child."""
    twin = floor.children[0]
    facts = household(("Wren Ash", twin.birth_date), email="ash@example.org")
    second = register(clinic=floor.clinic, facts=facts, once=uuid.uuid4(), now=now)
    ids = (f"c{twin.pk}", f"c{second.spots[0].child_id}")
    send(floor, *(entry(n, "in", now, who=who) for n, who in enumerate(ids, 1)))
    assert SignIn.objects.count() == 2
    confirm_household(guardian=second.registration.guardian, now=now)

    assert SignIn.objects.get().child == twin
    assert [spot.state for spot in Spot.objects.live().filter(child=twin)] == ["held"]


def test_the_spot_that_is_held_stays_whichever_record_has_it(known, floor, household, now, make_clinic):
    clinic = make_clinic(days=8, children=1)
    other = register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now).spots[0]
    born = floor.children[0].birth_date
    waiting = Spot.objects.create(
        clinic=clinic, child=floor.children[0], guardian=known, state="waiting", age=9, asked_at=now
    )
    Spot.objects.filter(pk=other.pk).delete()
    again = register(
        clinic=clinic, facts=household(("Wren Ash", born), email="ash@example.org"), once=uuid.uuid4(), now=now
    )
    held = again.spots[0]
    Spot.objects.filter(pk=held.pk).update(state="held")
    Spot.objects.filter(pk=waiting.pk).update(state="waiting")
    confirm_household(guardian=again.registration.guardian, now=now)

    (spot,) = Spot.objects.live().filter(clinic=clinic)
    assert spot.child == floor.children[0] and spot.pk == held.pk and spot.state == "held"


@pytest.mark.parametrize("marked", ["the new record", "the old record"])
def test_who_must_not_pick_up_stays_so(floor, known, again, now, marked):
    """The office marked one of the two records; the other one's list may name the same person as a pickup person."""
    twin, child = floor.children[0], again.child
    with_mark, without = (child, twin) if marked == "the new record" else (twin, child)
    PickupPerson.objects.create(
        child=with_mark, name="Tobias Ash", must_not=True, seen="Order of a court, 3 March", recorded_at=now
    )
    PickupPerson.objects.create(
        child=without, name="tobias ash", named_by=without.guardianships.get().guardian, recorded_at=now
    )
    confirm_household(guardian=again.guardian, now=now)

    rows = PickupPerson.objects.in_force().filter(child=twin, name__iexact="tobias ash")
    assert [row.must_not for row in rows if row.must_not] == [True]
    line = next(one for one in door_lines(again.clinic, with_care=False) if one.child == twin)
    assert [one.name for one in line.kept_away] == ["Tobias Ash"]


def test_a_volunteers_floor_hours_and_warnings_go_along(
    floor, now, make_volunteer, make_shift, make_assignment, make_clinic, coordinator
):
    """The lead has a second record; the one that opened the floor page goes."""
    gone, kept = floor.lead.volunteer, make_volunteer(duties=("lead",), name="O. Tarrant")
    third = make_volunteer()
    first, second = sorted((gone.pk, third.pk))
    KeptApart.objects.create(one_id=first, other_id=second)
    Backup.objects.create(clinic=make_clinic(days=9), volunteer=gone, duty_id="coach", since=now)
    who = f"v{gone.pk}"
    send(
        floor,
        entry(1, "in", now, who=who),
        entry(2, "hours", now, who=who, minutes=95),
        entry(3, "in", now, who=f"c{floor.children[0].pk}"),
    )
    merge_volunteers(keep=kept, other=gone, now=now)

    assert not Volunteer.objects.filter(pk=gone.pk).exists()
    assert FloorPhone.objects.get().volunteer == kept and FloorAction.objects.count() == 3
    assert SignIn.objects.get(child=None).volunteer == kept
    assert AdultHours.objects.get().volunteer == kept and AdultHours.objects.get().minutes == 95
    assert Assignment.objects.get(pk=floor.lead.pk).volunteer == kept
    assert {KeptApart.objects.get().one_id, KeptApart.objects.get().other_id} == {kept.pk, third.pk}
    assert Backup.objects.get().volunteer == kept
    # The phone goes on, with the number that it knows.
    floor.phone.refresh_from_db()
    out = send(floor, entry(4, "out", now, who=who, pickup=""))
    assert out.refused == [] and out.state.stays[f"v{kept.pk}"][0].out_at is not None
    assert FloorDay.objects.get().conflicts == []


def test_numbers_that_no_log_can_name_any_more_go(floor, now, make_volunteer):
    merge_volunteers(keep=make_volunteer(), other=floor.coach.volunteer, now=now)
    assert MergedNumber.objects.count() == 1
    purge_logs(now=now + 2 * LOG_KEPT - timedelta(minutes=1))
    assert MergedNumber.objects.count() == 1
    purge_logs(now=now + 2 * LOG_KEPT + timedelta(minutes=1))
    assert MergedNumber.objects.count() == 0


def test_joined_twice_is_the_last_number(floor, now, make_volunteer):
    first, second, third = floor.coach.volunteer, make_volunteer(), make_volunteer()
    old = f"v{first.pk}"
    send(floor, entry(1, "in", now, who=old))
    merge_volunteers(keep=second, other=first, now=now)
    merge_volunteers(keep=third, other=second, now=now)

    assert SignIn.objects.get().volunteer == third
    assert dict(MergedNumber.objects.values_list("was", "is_now"))[old] == f"v{third.pk}"
