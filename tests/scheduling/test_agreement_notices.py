"""Papers that end: on Ahead, on the clinic's page, and in mail to who looks after them."""

from datetime import timedelta

import pytest
from django.urls import reverse

from clinics.models import Agreement, CenterContact
from clinics.queries.agreement_needs import agreement_needs
from clinics.services.agreements import take_back_agreement
from core import clock
from core.formats import full_date, long_day
from outbox.models import Note, NoteState
from outbox.services.sending import send_due
from scheduling.letters.agreements import AGREEMENT_ENDING
from scheduling.services.agreement_notices import plan_agreement_notices
from scheduling.tasks import plan_agreement_notes


def insured(center, days, **more):
    """A certificate whose last day is ``days`` from today."""
    today = clock.today()
    facts = {"kind": "insurance", "from_day": today - timedelta(days=300), "recorded_at": clock.now()} | more
    return Agreement.objects.create(center=center, until_day=today + timedelta(days=days), **facts)


@pytest.fixture
def asking(make_center, make_space):
    """A center that is asked for insurance, and its floor."""
    return make_space(make_center("Saint Orla's Hall", contact_name="Cuthbert Vane", asks_insurance=True))


def test_a_paper_that_ends_before_a_clinic_stands_on_ahead_once(asking, make_clinic):
    insured(asking.center, 8)
    first = make_clinic(asking, days=10)
    make_clinic(asking, days=17)

    needs = list(agreement_needs(clock.now()))

    assert [(need.day, need.headline) for need in needs] == [
        (first.day, "Saint Orla's Hall’s certificate of insurance ends before a clinic")
    ]
    assert "Ask Cuthbert Vane to send it" in needs[0].detail
    assert needs[0].action_href == f"/centers/{asking.center_id}/agreements/?kind=insurance"


def test_a_missing_paper_and_one_that_begins_too_late_stand_on_ahead(asking, make_clinic, coordinator, signed_in):
    make_clinic(asking, days=10)
    client = signed_in(coordinator)
    missing = "Missing: certificate of insurance from Saint Orla&#x27;s Hall"
    assert missing in client.get(reverse("ahead")).content.decode()

    insured(asking.center, 300, from_day=clock.today() + timedelta(days=12))
    assert "starts after a clinic" in client.get(reverse("ahead")).content.decode()

    insured(asking.center, 300)
    assert "certificate of insurance" not in client.get(reverse("ahead")).content.decode()


def test_the_clinics_page_says_what_does_not_hold_on_its_day(asking, make_clinic, coordinator, signed_in):
    clinic = make_clinic(asking, days=10)
    client = signed_in(coordinator)
    address = reverse("clinic", args=[clinic.pk])
    missing = "We have no certificate of insurance on file from Saint Orla&#x27;s Hall"
    assert missing in client.get(address).content.decode()
    insured(asking.center, 9)
    assert "before this clinic" in client.get(address).content.decode()

    insured(asking.center, 10, from_day=clock.today())

    assert "certificate of insurance" not in client.get(address).content.decode()


def test_needs_cost_the_same_however_many_centers(make_center, make_space, make_clinic, django_assert_num_queries):
    for _ in range(2):
        make_clinic(make_space(make_center(asks_insurance=True)))
    with django_assert_num_queries(3):
        assert len(list(agreement_needs(clock.now()))) == 2
    for _ in range(4):
        make_clinic(make_space(make_center(asks_insurance=True, asks_agreement=True)))
    with django_assert_num_queries(3):
        assert len(list(agreement_needs(clock.now()))) == 10


@pytest.mark.parametrize(("left", "step"), [(60, "60 days"), (30, "30 days"), (7, "7 days"), (6, "7 days")])
def test_each_step_writes_to_who_looks_after_agreements_once(asking, left, step):
    insured(asking.center, left)
    CenterContact.objects.create(
        center=asking.center, name="Hesper Coyle", email="hesper@example.org", looks_after_agreements=True
    )

    assert plan_agreement_notices(now=clock.now()) == 1
    assert plan_agreement_notices(now=clock.now() + timedelta(hours=1)) == 0

    note = Note.objects.get()
    assert (note.kind, note.facts["step"], note.to_email) == (AGREEMENT_ENDING, step, "hesper@example.org")


@pytest.mark.parametrize("left", [61, 45, 20, 0, -1])
def test_between_rungs_nobody_is_written_to(asking, left):
    insured(asking.center, left)

    assert plan_agreement_notices(now=clock.now()) == 0


def test_nobody_is_reminded_of_what_is_not_asked_or_of_a_center_no_longer_used(asking):
    insured(asking.center, 30)
    insured(asking.center, 30, kind="use")
    asking.center.asks_insurance = False
    asking.center.save()
    assert plan_agreement_notices(now=clock.now()) == 0

    asking.center.asks_insurance, asking.center.active = True, False
    asking.center.save()
    assert plan_agreement_notices(now=clock.now()) == 0


def test_the_mail_names_the_last_day_and_the_clinics_after_it(asking, make_clinic, mailoutbox):
    row = insured(asking.center, 30)
    clinic = make_clinic(asking, days=40)
    plan_agreement_notes()
    Note.objects.update(due_at=clock.now())

    send_due()

    mail = mailoutbox[0]
    assert "Hello Cuthbert Vane" in mail.body and "That’s in 30 days." in mail.body
    assert full_date(row.until_day) in mail.subject
    assert long_day(clinic.day) in mail.body
    html = mail.alternatives[0].content
    for written in (mail.subject, mail.body, html):
        assert "certificate of insurance" in written
    assert long_day(clinic.day) in html


def test_a_newer_paper_drops_the_note(asking, mailoutbox):
    insured(asking.center, 7)
    plan_agreement_notices(now=clock.now())
    insured(asking.center, 370, from_day=clock.today() + timedelta(days=8))
    Note.objects.update(due_at=clock.now())

    send_due()

    note = Note.objects.get()
    assert (note.state, note.last_answer) == (NoteState.DROPPED, "There is a newer one on file.")
    assert not mailoutbox


def test_a_paper_taken_back_drops_the_note(asking, coordinator, mailoutbox):
    row = insured(asking.center, 7)
    plan_agreement_notices(now=clock.now())
    take_back_agreement(agreement=row, by=coordinator, now=clock.now())
    Note.objects.update(due_at=clock.now())

    send_due()

    assert Note.objects.get().state == NoteState.DROPPED and not mailoutbox


def test_planning_costs_the_same_however_many_centers(make_center, django_assert_num_queries):
    insured(make_center(asks_insurance=True), 30)
    with django_assert_num_queries(7):
        plan_agreement_notices(now=clock.now())
    for _ in range(5):
        insured(make_center(asks_insurance=True), 30)
    with django_assert_num_queries(7):
        assert plan_agreement_notices(now=clock.now()) == 5
