"""A guardian's address that the mail server refuses: nobody else waits, and people are told."""

import uuid

import pytest
from django.test import Client

from core import clock
from families.models import Guardian
from families.services.family_page import (
    ask_guardian_address,
    confirm_guardian_address,
    send_family_link,
)
from families.services.registering import register
from outbox.models import Note, NoteState
from outbox.services.sending import send_due
from scheduling.queries.ahead import ahead_page
from tests.households import confirmed, eight, family_address
from tests.mailbox import Mailbox

pytestmark = pytest.mark.django_db(transaction=True)


def refuse(address: str) -> str | None:
    return "550 5.1.1 Nobody of that name here" if address == "gone@example.org" else None


def headlines():
    return [need.headline for need in ahead_page(clock.now(), clock.today()).needs]


def test_a_refused_address_is_named_on_ahead_and_on_the_family_page_until_another_one_works(
    make_clinic, household, post
):
    clinic = make_clinic()
    for name, email in (("Perdita Ash", "gone@example.org"), ("Rowan Birch", "rowan@example.org")):
        facts = household(("Wrenna Thornapple", eight(clinic)), guardian_name=name, email=email, phone="555-0144")
        register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=clock.now())
    with Mailbox(refuse=refuse) as box:
        post(box.port)
        report = send_due()
        assert (report.sent, report.stuck) == (1, 1)
        assert Note.objects.about(Guardian.objects.get(name="Perdita Ash")).get().state == NoteState.STUCK

        assert "Perdita Ash can’t be reached by email" in headlines()
        assert not any("Wrenna" in line or "Rowan" in line for line in headlines())
        guardian = confirmed(Guardian.objects.get(name="Perdita Ash"), clock.now())
        assert "aren’t getting through" in Client().get(family_address(guardian)).content.decode()

        change = ask_guardian_address(guardian=guardian, email="here@example.org", now=clock.now())
        confirm_guardian_address(change=change, now=clock.now())
        guardian.refresh_from_db()
        send_family_link(guardian=guardian, now=clock.now())
        send_due()
        assert box.to("here@example.org")

    assert "Perdita Ash can’t be reached by email" not in headlines()
    assert "aren’t getting through" not in Client().get(family_address(guardian)).content.decode()
