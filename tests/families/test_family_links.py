"""How long a family's links work, and the way to another when one does not."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse
from pghistory.models import Context

from core import clock, links
from families.letters.families import FAMILY_LINK
from families.letters.family_requests import copy_link
from families.models import Child, FamilyRequest, Guardian, GuardianAddress
from families.services.merge import confirm_household
from families.services.registering import register
from families.services.retention import decide_request
from outbox.letters import build
from outbox.models import Note
from tests.households import confirmed, eight, family_address, say

pytestmark = pytest.mark.django_db


@pytest.fixture
def perdita(make_clinic, household, now):
    clinic = make_clinic()
    facts = household(("Wrenna Thornapple", eight(clinic)), email="perdita@example.org")
    return confirmed(register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian, now)


def answer_from_new_address(client):
    change = GuardianAddress.objects.get()
    ends = clock.now() + timedelta(days=3)
    token = links.make("family-address", subject=change.pk, counter=change.link_counter, expires_at=ends)
    return client.post(reverse("family-address", args=[token]), follow=True)


def test_links_in_the_mailbox_of_an_address_that_was_given_up_stop(stranger, perdita, admin, now):
    """Who reads the old mailbox, perhaps the other guardian, must not go on reading the family's page."""
    request = FamilyRequest.objects.create(guardian=perdita, what="copy", asked_at=now)
    copy = copy_link(decide_request(request=request, grant=True, reason="", by=admin, now=now))
    old = family_address(perdita)
    say(stranger, perdita, "new-address", email="new@example.org")
    assert stranger.get(old).status_code == 200, "not before the new address has answered"
    page = answer_from_new_address(stranger)

    assert page.status_code == 200 and "We’ll email you at new@example.org from now on." in page.content.decode()
    assert stranger.get(old).status_code == 410
    assert stranger.get(copy[copy.index("/copy/") :]).status_code == 410
    note = Note.objects.get(kind=FAMILY_LINK)
    assert note.to_email == "new@example.org"
    fresh = build(note, now).body.split("http://testserver")[1].split()[0]
    assert "new@example.org" in stranger.get(fresh).content.decode()


def test_who_had_no_address_keeps_the_page_they_have(stranger, household, make_clinic, now):
    clinic = make_clinic()
    facts = household(("Wrenna Thornapple", eight(clinic)), email="", phone="555-0188")
    guardian = confirmed(register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian, now)
    say(stranger, guardian, "new-address", email="new@example.org")
    answer_from_new_address(stranger)

    assert stranger.get(family_address(guardian)).status_code == 200


def test_somebody_invited_whose_mail_got_lost_is_written_to_again(stranger, perdita, move_clock):
    child = Child.objects.get()
    say(stranger, perdita, "child-invite", child, name="Rowan", email="rowan@example.org")
    move_clock(clock.now() + timedelta(days=2))
    say(stranger, perdita, "child-invite", child, name="Rowan", email="Rowan@example.org")
    rowan = Guardian.objects.get(email="rowan@example.org")
    assert Note.objects.about(rowan).filter(kind=FAMILY_LINK).count() == 2

    confirmed(rowan, clock.now())
    move_clock(clock.now() + timedelta(days=2))
    say(stranger, perdita, "child-invite", child, name="Rowan", email="rowan@example.org")
    assert Note.objects.filter(kind=FAMILY_LINK).count() == 2, "who answered needs none"


def test_a_link_that_is_over_says_how_to_get_another(stranger, perdita, household, make_clinic, now):
    """The first mail's link ends once the household it opened has become one with the one that was known."""
    clinic = make_clinic(days=12)
    facts = household(("Wrenna Thornapple", eight(clinic)), email="perdita@example.org")
    again = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian
    address = family_address(again)
    confirm_household(guardian=again, now=now)
    answer = stranger.get(address)

    assert answer.status_code == 410 and f'href="{reverse("register")}#back"' in answer.content.decode()
    assert 'id="back"' in stranger.get(reverse("register")).content.decode()


def test_the_history_of_a_change_keeps_no_link_that_could_be_opened(stranger, perdita):
    """It says on which page, in every backup, for as long as the history is kept."""
    child = Child.objects.get()
    say(stranger, perdita, "who", name="Perdita Rowe", phone="")
    say(stranger, perdita, "child-emergency", child, emergency_name="Aunt Tansy", emergency_phone="555-0166")
    kept = [row.metadata["url"] for row in Context.objects.exclude(metadata__how="command")]

    assert set(kept) == {"/family/(link)/who/", f"/family/(link)/children/{child.pk}/emergency/"}
