"""Who never answered about allergies is marked wherever somebody could read none: at the door, in mail, on Ahead."""

import uuid
from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from core import clock
from families.letters.families import WAIVER_ASK
from families.models import Child
from families.services.care import care_mark, write_care
from families.services.registering import register
from families.services.waiver_reminders import plan_waiver_reminders
from outbox.letters import Stale, build
from outbox.models import Note
from scheduling.queries.ahead import ahead_page
from tests.floor_days import entry, send
from tests.households import confirmed, family_address, say

pytestmark = pytest.mark.django_db


@pytest.fixture
def silent(make_clinic, household, now):
    """The spot of a child of whom nobody was asked, whose waiver is signed."""

    def inner(clinic=None):
        facts = household()
        first = replace(facts.children[0], allergies_answer="")
        facts = replace(facts, children=[first])
        return register(clinic=clinic or make_clinic(), facts=facts, once=uuid.uuid4(), now=now).spots[0]

    return inner


def test_the_sign_in_sheet_marks_who_never_answered_and_shows_none_only_where_somebody_said_so(
    admin, signed_in, silent, household, now
):
    spot = silent()
    sheet = reverse("clinic-door", args=[spot.clinic_id])
    unread = signed_in(admin).post(sheet, follow=True).text
    opened = signed_in(admin).post(reverse("clinic-door-care", args=[spot.clinic_id])).text

    assert "allergies not answered: ask the guardian" in unread
    assert "allergies not answered: ask the guardian" in opened and "no known allergies" not in opened
    write_care(child=spot.child, allergies="", care_notes="", allergies_answer="none")
    opened = signed_in(admin).post(reverse("clinic-door-care", args=[spot.clinic_id])).text
    assert "not answered" not in opened and "no known allergies" in opened


def test_ahead_counts_them_by_clinic_until_they_are_answered(silent, now):
    spot = silent()

    def said():
        return [one.headline for one in ahead_page(now, clock.today()).needs if "llergies" in one.headline]

    assert said() == [f"Allergies of 1 child at {spot.clinic.center.name} are not answered"]
    write_care(child=spot.child, allergies="bees", care_notes="")
    assert said() == []


def test_a_guardian_who_signed_is_still_asked_and_a_note_drops_itself_once_answered(silent, now):
    spot = silent()
    plan_waiver_reminders(now=now)
    notes = Note.objects.filter(kind=WAIVER_ASK).order_by("due_at")
    letter = build(notes[0], now)

    assert "Does" in letter.body and "have allergies?" in letter.body
    assert "waiver" not in letter.body.replace("Turn off waiver reminders", "")
    assert letter.subject.startswith("One question before")
    write_care(child=spot.child, allergies="", care_notes="", allergies_answer="none")
    with pytest.raises(Stale):
        build(notes[0], now)


def test_the_familys_page_asks_and_takes_an_answer_without_words(stranger, silent, now):
    spot = silent()
    guardian, child = confirmed(spot.guardian, now), spot.child
    assert "allergies not answered" in stranger.get(family_address(guardian)).text
    page = stranger.get(family_address(guardian, route="family-child", args=[child.pk])).text
    assert f"Please tell us about {child.given_name}’s allergies." in page
    refused = say(stranger, guardian, "child-care-write", child, was=care_mark(child), care_notes="Likes trains")

    assert (
        refused.status_code == 422 and "Choose “No known allergies”" in refused.text and "Likes trains" in refused.text
    )
    say(stranger, guardian, "child-care-write", child, allergies_answer="none", was=care_mark(child))
    assert Child.objects.get(pk=child.pk).allergies_answer == "none"
    assert "Please tell us" not in stranger.get(family_address(guardian, route="family-child", args=[child.pk])).text


def test_the_office_may_leave_it_open_and_it_stays_marked(admin, signed_in, silent):
    child = silent().child
    sent = {"allergies_answer": "", "allergies": "", "care_notes": "Tall", "was": care_mark(child)}
    assert signed_in(admin).post(reverse("child-care-write", args=[child.pk]), sent).status_code == 302

    assert Child.objects.get(pk=child.pk).allergies_answer == ""
    assert "allergies not answered" in signed_in(admin).get(reverse("child", args=[child.pk])).text


def test_the_database_keeps_answer_and_words_together(silent):
    child = silent().child
    for wrong in ({"allergies_answer": "some"}, {"allergies": "bees", "has_care": True}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Child.objects.filter(pk=child.pk).update(**wrong)


def test_a_walk_in_is_answered_or_not_as_the_lead_said(floor, now):
    facts = {"born": "2017-01-01", "guardian": "Ida", "phone": "555-0140", "signed": "Ida"}
    send(
        floor,
        entry(1, "walk-in", now, who="w-1", name="None Known", no_allergies=True, **facts),
        entry(2, "walk-in", now, who="w-2", name="Never Asked", **facts),
        entry(3, "walk-in", now, who="w-3", name="Bee Stings", allergies="bees", **facts),
        now=now + timedelta(minutes=1),
    )

    answers = dict(Child.objects.filter(floor_actions__isnull=False).values_list("name", "allergies_answer"))
    assert answers == {"None Known": "none", "Never Asked": "", "Bee Stings": "some"}
