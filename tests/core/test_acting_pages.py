"""Pages by link, by phone and for everybody: the history of each row they change says who, how, before and after."""

import json
import uuid
from datetime import timedelta
from urllib.parse import urlsplit

import pytest
from django.test import Client
from django.urls import reverse
from pghistory.models import Context

from clinics.models import Status
from core import clock, links
from core.acting import who_did
from core.merge import history_of
from core.references import reference
from families.letters.families import FAMILY_REMINDERS
from families.models import Child, Guardian, GuardianAddress, Guardianship, Spot, SpotState
from families.services.registering import register
from families.services.spot_books import give_up_spot
from floor.models import SignIn
from people.models import Application
from scheduling.models import Booking, BookingRequest
from scheduling.services.clinic_facts import ClinicFacts
from scheduling.services.multi_date import ask_dates
from shifts.models import Assignment, BackupCall, Reply, Swap
from shifts.services.backup import make_backup
from shifts.services.cover import record_reply
from tests.floor_days import entry
from tests.histories import events_of, last_change
from tests.households import confirmed, eight, say, spot_address

pytestmark = pytest.mark.django_db


def link(purpose, route, row):
    token = links.make(purpose, subject=row.pk, counter=row.link_counter, expires_at=clock.now() + timedelta(days=2))
    return reverse(route, args=[token])


def by_link(change, row, before, after):
    """Whether the change is one that ``row`` made by link."""
    assert (change.before, change.after) == (before, after)
    assert (change.by, change.how, change.words) == (reference(row), "link", f"{row}, by link")
    return bool(change.at)


@pytest.fixture
def perdita(make_clinic, household, now):
    """A guardian whose address has answered, with one child and a spot in ten days."""
    clinic = make_clinic()
    facts = household(("Wrenna Thornapple", eight(clinic)), guardian_name="Perdita Ash", email="perdita@example.org")
    return confirmed(register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian, now)


def test_a_centers_yes_is_the_centers(make_clinic, stranger):
    booking = Booking.objects.get(clinic=make_clinic(status=Status.TENTATIVE))
    stranger.post(link("booking", "booking-answer", booking), {"answer": "agreed"})

    assert by_link(last_change(booking, "status"), booking.clinic.center, Status.TENTATIVE, Status.CONFIRMED)
    assert by_link(last_change(booking.clinic, "status"), booking.clinic.center, Status.TENTATIVE, Status.CONFIRMED)


def test_a_centers_yes_to_one_of_several_days_is_the_centers(make_space, stranger, now):
    space = make_space()
    day = clock.today(space.center.tz) + timedelta(days=20)
    hours = {"starts": now.time().replace(hour=9), "ends": now.time().replace(hour=11)}
    dates = [
        ClinicFacts(space.center, space, day + timedelta(days=more), bands=[(7, 10, 16)], **hours) for more in (0, 7)
    ]
    first, _ = ask_dates(dates=dates, now=now)
    booking = first.bookings.get()
    told = {"booking": booking.pk, "asked": booking.link_counter, f"d{booking.pk}-answer": "agreed"}
    stranger.post(link("booking_request", "booking-request", BookingRequest.objects.get()), told)

    assert by_link(last_change(booking, "status"), space.center, Status.TENTATIVE, Status.CONFIRMED)


def test_a_yes_to_a_call_and_to_a_swap_is_whose_who_takes_the_shift(
    make_assignment, make_shift, make_clinic, make_volunteer, move_clock, stranger
):
    row = make_assignment(make_shift(make_clinic(days=2)), make_volunteer("Cora Bell"))
    ned, una = make_volunteer("Ned Ash"), make_volunteer("Una Fell")
    move_clock(row.shift.clinic.starts_at - timedelta(hours=20))
    make_backup(shift=row.shift, volunteer=ned, now=clock.now())
    record_reply(assignment=row, reply=Reply.DECLINED, by="x", now=clock.now())
    stranger.post(link("call", "backup-call", BackupCall.objects.get()), {"answer": "yes"})
    called = Assignment.objects.live().get()
    assert by_link(last_change(called, "reply"), ned, None, Reply.ACCEPTED)

    stranger.post(link("shift", "swap-offer", called), {"email": una.email})
    stranger.post(link("swap", "swap-answer", Swap.objects.get()), {"answer": "yes"})
    assert by_link(last_change(Assignment.objects.live().get(), "volunteer_id"), una, None, una.pk)
    assert last_change(called, "released_at").by == reference(una)


def test_what_a_guardian_writes_on_the_familys_page_is_theirs(stranger, perdita):
    child = Child.objects.get()
    say(stranger, perdita, "who", name="Perdita Rowe", phone="")
    perdita.refresh_from_db()
    assert by_link(last_change(perdita, "name"), perdita, "Perdita Ash", "Perdita Rowe")

    say(stranger, perdita, "child-emergency", child, emergency_name="Aunt Tansy", emergency_phone="555-0166")
    assert by_link(last_change(Guardianship.objects.get(), "emergency_name"), perdita, "Aunt Sorrel", "Aunt Tansy")


def test_a_spot_that_came_free_is_taken_by_its_guardian(stranger, make_clinic, household, now):
    clinic = make_clinic(children=1)
    first, second = (register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now).spots[0] for _ in range(2))
    confirmed(Guardian.objects.get(spots=second), now)
    give_up_spot(spot=first, because="ill", now=now)
    second.refresh_from_db()
    offered = second.answer_by
    stranger.post(spot_address(second), {"answer": "yes"})

    assert by_link(last_change(second, "answer_by"), second.guardian, offered, None)
    assert events_of(second)[-1].state == SpotState.HELD


def test_a_new_address_is_confirmed_by_its_guardian(stranger, perdita):
    say(stranger, perdita, "new-address", email="new@example.org")
    stranger.post(link("family-address", "family-address", GuardianAddress.objects.get()))

    assert by_link(last_change(perdita, "email"), perdita, "perdita@example.org", "new@example.org")


def test_mail_that_a_mail_program_ends_in_one_press_is_ended_by_its_reader(perdita, now):
    """It posts without a cookie, as RFC 8058 has it."""
    address = urlsplit(FAMILY_REMINDERS.address(perdita, perdita.link_counter, now)).path
    Client(enforce_csrf_checks=True).post(address, {"List-Unsubscribe": "One-Click"})

    assert by_link(last_change(perdita, "reminders"), perdita, True, False)


def test_what_a_phone_sends_from_the_floor_is_the_leads(stranger, floor, now):
    stranger.cookies[f"floor{floor.clinic.pk}"] = floor.secret
    child = floor.children[0]
    for number, kind, facts in ((1, "in", {}), (2, "out", {"pickup": "Uncle Bram"})):
        said = {"phone_now": now.isoformat(), "actions": [entry(number, kind, now, who=f"c{child.pk}", **facts)]}
        stranger.post(
            reverse("floor-sync", args=[floor.clinic.pk]),
            json.dumps(said),
            content_type="application/json",
            headers={"X-Floor": "1"},
        )

    # A stay is written anew when it changes.
    assert by_link(last_change(SignIn.objects.get(), "pickup"), floor.lead.volunteer, None, "Uncle Bram")
    written = history_of(SignIn)._default_manager.order_by("pgh_id")
    assert list(written.values_list("pgh_label", "pickup", "pgh_context__metadata__by")) == [
        (label, pickup, reference(floor.lead.volunteer))
        for label, pickup in (("insert", ""), ("delete", ""), ("insert", "Uncle Bram"))
    ]


def typed(clinic, text):
    return {
        "in": "en", "once": str(uuid.uuid4()), "text": text.pk, "children": 1, "others": 0,
        "guardian_name": "Rowan Ash", "email": "rowan@example.org", "phone": "", "children-0-name": "Wren Ash",
        "children-0-birth_date": eight(clinic).isoformat(), "children-0-experience": "new",
        "children-0-allergies_answer": "none",
        "emergency_name": "Aunt Sorrel", "emergency_phone": "555-0123", "picks_up": "on", "photos": "no",
        "signed": "Rowan Ash", "website": "",
    }  # fmt: skip


def test_a_registration_is_of_whoever_typed_it_and_then_of_the_household_it_is_joined_with(
    stranger, perdita, make_clinic, waiver_text
):
    clinic = make_clinic(days=17)
    stranger.post(
        reverse("register-clinic", args=[clinic.pk]),
        typed(clinic, waiver_text) | {"email": perdita.email, "phone": "555-0199"},
    )
    rowan = Guardian.objects.get(name="Rowan Ash")
    wren, spot = Child.objects.get(name="Wren Ash"), Spot.objects.get(clinic=clinic)
    for row, field, value in ((rowan, "name", "Rowan Ash"), (wren, "name", "Wren Ash"), (spot, "state", "held")):
        change = last_change(row, field)
        assert (change.before, change.after, change.by, change.how) == (None, value, reference(rowan), "page")
        assert change.words == "Rowan Ash, on a public page"

    say(stranger, rowan, "confirm")
    assert not Guardian.objects.filter(pk=rowan.pk).exists()
    typed_here, joined = events_of(wren)[0], events_of(perdita)[-1]
    assert typed_here.pgh_context.metadata["by"] == joined.pgh_context.metadata["by"] == reference(perdita)
    say_who = who_did([typed_here, joined])
    assert (joined.phone, say_who(typed_here), say_who(joined)) == (
        "555-0199", "Perdita Ash, on a public page", "Perdita Ash, by link",
    )  # fmt: skip


def test_a_guardians_first_press_confirms_the_address_as_theirs(stranger, make_clinic, household, now):
    made = register(clinic=make_clinic(), facts=household(), once=uuid.uuid4(), now=now)
    guardian = made.registration.guardian
    say(stranger, guardian, "confirm")

    change = last_change(guardian, "confirmed_at")
    assert change.before is None and change.after is not None and change.by == reference(guardian)


def test_an_application_writes_no_row_that_has_a_history(stranger):
    """Once it does, its public form has to say whose it is, as the registration's does."""
    known = set(Context.objects.all())
    told = {
        "name": "Imara Venn", "email": "imara@example.org", "phone": "555-0121", "duties": ["coach"],
        "languages": "English", "home_area": "Mill Green",
        "first_reference": "Maude Ferriby, 555-0111", "second_reference": "Ambrose Tully, 555-0112",
    }  # fmt: skip
    stranger.post(reverse("join"), told)
    stranger.post(link("apply", "join-link", Application.objects.get()))

    assert Application.objects.get().state == Application.State.NEW
    assert set(Context.objects.all()) == known


def test_a_registration_that_the_office_types_for_a_family_is_the_offices(
    signed_in, coordinator, make_clinic, waiver_text
):
    clinic = make_clinic()
    signed_in(coordinator).post(reverse("register-clinic", args=[clinic.pk]), typed(clinic, waiver_text))

    change = last_change(Spot.objects.get(), "state")
    assert (change.after, change.by, change.how, change.words) == (
        "held",
        reference(coordinator),
        "page",
        coordinator.name,
    )
