"""Two guardians of one child in two homes, and pages that were left open while something changed."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse

from core import languages
from families.letters.family_requests import copy_link
from families.models import (
    CareReading,
    Child,
    FamilyRequest,
    Guardian,
    Guardianship,
    PhotoAnswer,
    Spot,
    SpotState,
    Waiver,
    WaiverText,
)
from families.queries.door import door_lines
from families.queries.waivers import photos_allowed
from families.services.care import write_care
from families.services.family_records import keep_away
from families.services.office import give_spot
from families.services.registering import register
from families.services.retention import decide_request
from families.services.spot_books import take_spot
from families.services.spots import tell_families_cancelled
from outbox.models import Note
from tests.households import confirmed, eight, family_address, say

pytestmark = pytest.mark.django_db


@pytest.fixture
def perdita(make_clinic, household, now):
    clinic = make_clinic()
    facts = household(
        ("Wrenna Thornapple", eight(clinic)), email="perdita@example.org", guardian_name="Perdita Ash", photos=True
    )
    return confirmed(register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian, now)


@pytest.fixture
def rowan(perdita, now):
    """Answers for Wrenna as well, and has said nothing yet."""
    rowan = Guardian.objects.create(
        name="Rowan Thornapple", email="rowan@example.org", registered_at=now, confirmed_at=now
    )
    Guardianship.objects.create(guardian=rowan, child=Child.objects.get())
    return rowan


def child_page(client, guardian):
    return client.get(family_address(guardian, route="family-child", args=[Child.objects.get().pk])).content.decode()


def test_a_copy_does_not_say_where_the_child_is_with_the_other_guardian(
    stranger, perdita, rowan, admin, make_clinic, now
):
    child, theirs, office = Child.objects.get(), make_clinic(days=20), make_clinic(days=30)
    take_spot(clinic=theirs, child=child, guardian=rowan, now=now)
    take_spot(clinic=office, child=child, guardian=None, now=now)
    request = FamilyRequest.objects.create(guardian=rowan, what="copy", asked_at=now)
    address = copy_link(decide_request(request=request, grant=True, reason="", by=admin, now=now))
    page = stranger.get(address[address.index("/copy/") :]).content.decode()

    hers = Spot.objects.get(guardian=perdita).clinic
    assert theirs.center.name in page and office.center.name in page and hers.center.name not in page


def test_who_was_never_asked_about_photos_is_not_told_that_they_said_no_and_can_say_it(stranger, perdita, rowan):
    child = Child.objects.get()
    page = child_page(stranger, rowan)
    assert "You said no" not in page and "You haven’t told us yet" in page
    assert photos_allowed([child.pk]) == {child.pk}
    assert 'name="allowed" value="no"' in page and 'name="allowed" value="yes"' in page
    say(stranger, rowan, "child-photos", child, allowed="no")

    assert photos_allowed([child.pk]) == set() and not PhotoAnswer.objects.get(guardian=rowan).allowed
    assert "You said yes" in child_page(stranger, perdita), "neither is told what the other said"


def mark(page):
    return page.split('name="was" value="')[1].split('"')[0]


def test_a_page_that_was_left_open_does_not_take_the_others_allergy_away(stranger, perdita, rowan):
    child = Child.objects.get()
    was = mark(child_page(stranger, rowan))
    write_care(child=child, allergies="Hazelnuts", care_notes="")
    answer = say(
        stranger,
        rowan,
        "child-care-write",
        child,
        allergies_answer="none",
        allergies="",
        care_notes="Likes trains",
        was=was,
    )

    page = answer.content.decode()
    assert answer.status_code == 422 and Child.objects.get().allergies == "Hazelnuts"
    assert "Someone changed this" in page and "Hazelnuts" in page and "Likes trains" in page
    say(stranger, rowan, "child-care-write", child, allergies="Hazelnuts", care_notes="Likes trains", was=mark(page))
    assert (Child.objects.get().allergies, Child.objects.get().care_notes) == ("Hazelnuts", "Likes trains")


def test_the_same_is_said_in_spanish(stranger, perdita):
    languages.write_words()
    Guardian.objects.update(language="es")
    child = Child.objects.get()
    was = mark(child_page(stranger, perdita))
    write_care(child=child, allergies="Hazelnuts", care_notes="")
    page = say(
        stranger,
        perdita,
        "child-care-write",
        child,
        allergies_answer="none",
        care_notes="Le gustan los trenes",
        was=was,
    ).content.decode()

    assert "Alguien cambió esto" in page and "Versión actual" in page and "Current version" not in page


def test_the_offices_page_does_not_take_it_away_either_and_seeing_it_is_written_down(admin, signed_in, perdita):
    child, client = Child.objects.get(), signed_in(admin)
    was = mark(client.post(reverse("child-care", args=[child.pk])).content.decode())
    write_care(child=child, allergies="Hazelnuts", care_notes="")
    typed = {"allergies": "", "care_notes": "Likes trains", "was": was}
    answer = client.post(reverse("child-care-write", args=[child.pk]), typed)

    page = answer.content.decode()
    assert answer.status_code == 409 and "Hazelnuts" in page and "Likes trains" in page
    assert Child.objects.get().allergies == "Hazelnuts" and CareReading.objects.count() == 1
    typed |= {"allergies": "Hazelnuts", "was": mark(page)}
    assert client.post(reverse("child-care-write", args=[child.pk]), typed).status_code == 302
    assert Child.objects.get().care_notes == "Likes trains"


def test_taking_one_of_two_signatures_back_says_that_the_other_holds(stranger, perdita, rowan):
    child = Child.objects.get()
    say(stranger, rowan, "child-sign", child, signed="Rowan Thornapple", text=WaiverText.objects.get().pk)
    mine = Waiver.objects.get(guardian=rowan)
    answer = stranger.post(
        family_address(rowan, route="family-waiver-withdraw", args=[child.pk, mine.pk]),
        follow=True,
    )
    assert "Another signature for your child is still valid." in answer.content.decode()
    hers = Waiver.objects.get(guardian=perdita)
    answer = stranger.post(
        family_address(perdita, route="family-waiver-withdraw", args=[child.pk, hers.pk]),
        follow=True,
    )
    assert (
        "Signature withdrawn. Your child can’t take part" in answer.content.decode()
        and "still valid" not in answer.content.decode()
    )


@pytest.mark.parametrize("action", ["spot-give-up", "spot-no"])
def test_a_spot_of_a_clinic_that_is_over_stays_as_it_was(stranger, perdita, move_clock, action):
    spot = Spot.objects.get()
    move_clock(spot.clinic.ends_at + timedelta(hours=1))
    answer = say(stranger, perdita, action, spot)

    assert answer.status_code == 409 and "This clinic is over" in answer.content.decode()
    spot.refresh_from_db()
    assert spot.state == SpotState.HELD


def test_a_yes_to_a_spot_of_a_cancelled_clinic_hears_that_it_is_cancelled(stranger, perdita, now):
    spot = Spot.objects.get()
    spot.clinic.status = "cancelled"
    spot.clinic.save()
    tell_families_cancelled(clinic=spot.clinic, now=now)
    page = say(stranger, perdita, "spot-yes", spot).content.decode()

    assert "This clinic is cancelled." in page and "went to another child" not in page


def test_the_office_gives_a_spot_to_the_guardian_who_may_hear_of_it(perdita, rowan, coordinator, make_clinic, now):
    child = Child.objects.get()
    keep_away(child=child, name="perdita ash", relation="", seen="Order of 3 May", by=coordinator, now=now)
    spot = give_spot(clinic=make_clinic(days=20), child=child, now=now)
    assert spot.guardian == rowan
    assert Note.objects.about(spot.clinic).get().to_email == "rowan@example.org"

    Guardian.objects.filter(pk=perdita.pk).update(name="Perdita Moss", confirmed_at=None)
    assert give_spot(clinic=make_clinic(days=30), child=child, now=now).guardian == rowan


def test_who_must_not_pick_up_is_shown_whichever_home_registered_the_child(
    perdita, household, coordinator, make_clinic, now, django_assert_num_queries
):
    """A second home, perhaps of that very person, registers the child anew under an address of its own."""
    child, clinic = Child.objects.get(), make_clinic(days=20)
    keep_away(child=child, name="Tobias Ash", relation="", seen="Order of 3 May", by=coordinator, now=now)
    for name, born in (
        ("wrenna thornapple", child.birth_date),
        ("Wrenna Thornapple", child.birth_date - timedelta(days=1)),
        ("Fern Moss", child.birth_date),
    ):
        facts = household((name, born), guardian_name="Tobias Ash")
        register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now)
    with django_assert_num_queries(8):
        lines = door_lines(clinic, with_care=False)

    marked = {line.child.name: [one.name for one in line.kept_away] for line in lines}
    assert marked == {"wrenna thornapple": ["Tobias Ash"], "Wrenna Thornapple": [], "Fern Moss": []}
    line = next(line for line in lines if line.kept_away)
    assert line.handed_to == [], "nor is the child handed to him as its guardian"


@pytest.mark.parametrize(("born", "words"), [("1918-03-04", "18 and under"), ("2199-01-01", "in the future")])
def test_a_slip_in_the_year_is_said_when_a_day_of_birth_is_changed(stranger, perdita, born, words):
    child = Child.objects.get()
    Spot.objects.all().delete()
    typed = {"name": "Wrenna Thornapple", "birth_date": born, "experience": "new"}
    answer = say(stranger, perdita, "child-change", child, **typed)

    assert answer.status_code == 422 and words in answer.content.decode() and born in answer.content.decode()
    assert Child.objects.get().birth_date == child.birth_date
