"""Guardians whose time is up: no child of theirs is here, or only the signed waiver is left."""

import uuid
from datetime import date, timedelta

import pytest
from django.core.management import call_command

from core import clock
from families.models import (
    Child,
    FamilyRequest,
    Guardian,
    GuardianAddress,
    Guardianship,
    Retention,
    Spot,
    SpotState,
    Waiver,
)
from families.services.family_page import ask_guardian_address
from families.services.redaction import hold_child
from families.services.registering import register
from families.services.retention import purge_children
from families.services.retention_guardians import guardians_due, purge_guardians
from families.tasks import purge_due_children, purge_due_guardians
from outbox.models import Note
from people.models import Purge
from tests.families.test_retention import LATER, everything
from tests.households import confirmed, family_address

pytestmark = pytest.mark.django_db
WORDS = ("rowan@example.org", "new-rowan@example.org", "555-0188", "Rowan Thornley")


@pytest.fixture
def rowan(make_clinic, household, now):
    """Rowan, whose child Wren had a spot; a new mail address waits to be confirmed."""
    clinic = make_clinic()
    facts = household(
        ("Wren Ash", date(clinic.day.year - 8, 1, 1)),
        guardian_name="Rowan Thornley",
        signed="R. Thornley",
        email="rowan@example.org",
        phone="555-0188",
    )
    guardian = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian
    confirmed(guardian, now)
    ask_guardian_address(guardian=guardian, email="new-rowan@example.org", now=now)
    return guardian


def far(now, by=LATER):
    return {"today": clock.today() + by, "now": now + by}


def named():
    left = everything()
    return [word for word in WORDS if word in left]


def test_with_the_notes_go_the_guardians_name_mail_and_telephone_and_who_signed_stays(rowan, now, stranger):
    link = family_address(rowan)
    assert named() == list(WORDS), "what is looked for is there before"
    assert not purge_guardians(today=clock.today(), now=now)
    purge_children(**far(now))
    done = purge_guardians(**far(now))

    rowan.refresh_from_db()
    assert named() == [] and dict(done) == {"contacts": 1}
    assert rowan.forgotten_at == now + LATER and rowan.name == ""
    assert not Note.objects.about(rowan).exists() and not GuardianAddress.objects.exists()
    assert Waiver.objects.get().typed_name == "R. Thornley" and Child.objects.get().name == "Wren Ash"
    assert [str(row) for row in Purge.objects.filter(what__startswith="guardians")] == [
        "1 guardians (everything except the signature)"
    ]
    assert stranger.get(link).status_code == 410
    assert not purge_guardians(**far(now)), "twice is harmless"


def test_a_guardian_without_a_child_goes_after_the_same_months(rowan, now):
    Guardianship.objects.all().delete()
    kept = timedelta(days=300)
    assert not purge_guardians(**far(now, kept)) and Guardian.objects.exists()
    done = purge_guardians(**far(now))

    assert dict(done) == {"all": 1} and not Guardian.objects.exists() and named() == []
    assert str(Purge.objects.get()) == "1 guardians without a child"


def test_the_nightly_jobs_do_it_and_the_command_says_how_many(rowan, now, move_clock, capsys):
    move_clock(now + LATER)
    purge_due_children()
    purge_due_guardians()
    assert Guardian.objects.get().forgotten_at is not None and named() == []

    Guardian.objects.create(name="Old Bess", email="bess@example.org", registered_at=now)
    call_command("purge_children")
    assert "Deleted: the contacts of 1 guardian." in capsys.readouterr().out
    assert not Guardian.objects.filter(name="Old Bess").exists()


def test_who_has_another_child_a_coming_spot_a_hold_or_an_open_request_stays(rowan, now, make_clinic):
    later = far(now)
    purge_children(**later)
    facts = {"today": later["today"], "months": Retention.now().child_months, "now": later["now"]}
    assert [goes for _, goes in guardians_due(**facts)] == ["contacts"]

    other = Child.objects.create(name="Fern Ash", birth_date=date(2018, 1, 1), registered_at=now)
    link = Guardianship.objects.create(guardian=rowan, child=other)
    assert list(guardians_due(**facts)) == []
    link.delete()
    spot = Spot.objects.create(
        clinic=make_clinic(days=900), child=Child.objects.get(name="Wren Ash"), guardian=rowan,
        state=SpotState.HELD, age=10, asked_at=now,
    )  # fmt: skip
    assert list(guardians_due(**facts)) == []
    spot.delete()
    request = FamilyRequest.objects.create(guardian=rowan, what="copy", asked_at=now)
    assert list(guardians_due(**facts)) == []
    request.delete()
    hold_child(child=Child.objects.get(name="Wren Ash"), because="An insurer asked")
    assert list(guardians_due(**facts)) == []


def test_a_household_that_comes_again_after_that_is_a_new_one(rowan, now, make_clinic, household, move_clock):
    purge_children(**far(now))
    purge_guardians(**far(now))
    move_clock(now + LATER)
    clinic = make_clinic()
    facts = household(("Wren Ash", date(clinic.day.year - 9, 1, 1)), email="rowan@example.org")
    register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=clock.now())

    assert Guardian.objects.filter(forgotten_at=None).count() == 1
    assert Child.objects.filter(name="Wren Ash").count() == 2, "nothing known is joined to it"


def test_however_many_guardians_there_are_one_query_finds_who_is_due(rowan, now, django_assert_num_queries):
    Guardian.objects.bulk_create(
        Guardian(name=f"Guardian {number}", phone="555-0101", registered_at=now) for number in range(60)
    )
    with django_assert_num_queries(1):
        found = list(guardians_due(today=far(now)["today"], months=24, now=now + LATER))
    assert len(found) == 60
