"""No row takes its notes along by itself any more: whoever forgets, undoes or joins does."""

from datetime import timedelta

import pytest

from core import clock
from families.letters.families import FAMILY_LINK
from families.models import Child, Guardian, Guardianship
from families.services.family_facts import save_language
from families.services.family_page import send_family_link
from families.services.redaction import forget_guardian
from outbox.letters import build
from outbox.models import Note
from people.models import Application, Clearance, Import, Volunteer
from people.services.applications import apply, confirm_address, decline
from people.services.imports import undo
from people.services.retention import purge_leavers
from shifts.services.own_page import send_own_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def guardian(now):
    return Guardian.objects.create(
        name="Perdita Ash", email="perdita@example.org", registered_at=now, confirmed_at=now, language="en"
    )


@pytest.fixture
def other(now):
    """A guardian whose notes nobody may touch."""
    row = Guardian.objects.create(name="Rowan Thornley", email="rowan@example.org", registered_at=now)
    send_family_link(guardian=row, now=now)
    return row


def left(*rows):
    return {note.pk for note in Note.objects.all()} == {note.pk for row in rows for note in Note.objects.about(row)}


def test_a_guardian_who_is_forgotten_takes_the_notes_along(guardian, other, now):
    send_family_link(guardian=guardian, now=now)
    assert Note.objects.count() == 2

    forget_guardian(guardian=guardian)

    assert Note.objects.count() == 1 and left(other)


def test_a_volunteer_who_left_long_ago_takes_notes_and_those_of_the_application_along(make_volunteer, other, now):
    gone, stays = make_volunteer(), make_volunteer()
    for person in (gone, stays):
        send_own_page(volunteer=person, now=now)
    # Written before anybody knew that it would be this volunteer's.
    row = apply(application=Application(name="Imara Venn", email="imara@example.org", home_area="Larkmoor"), now=now)
    row.volunteer = gone
    row.save()
    stranger = apply(application=Application(name="Ned Ash", email="ned@example.org", home_area="Fenmarch"), now=now)
    assert Note.objects.count() == 5
    Volunteer.objects.filter(pk=gone.pk).update(left_on=clock.today() - timedelta(days=2000))

    assert purge_leavers(today=clock.today(), months=24, now=now) == 1

    assert Note.objects.count() == 3 and left(other, stays, stranger)
    assert not Note.objects.filter(to_email="imara@example.org").exists()


def test_who_was_declined_keeps_the_answer_that_waits(admin, now):
    row = confirm_address(
        application=apply(
            application=Application(name="Imara Venn", email="imara@example.org", home_area="Larkmoor"), now=now
        ),
    )
    decline(application=row, reason="We have enough coaches.", by=admin, now=now)

    assert Note.objects.about(row).count() == 2


def test_volunteers_of_a_table_that_is_undone_take_their_notes_along(make_volunteer, other, now):
    made, stays = make_volunteer(), make_volunteer()
    for person in (made, stays):
        send_own_page(volunteer=person, now=now)
    Clearance.objects.filter(volunteer=made).delete()
    table = Import.objects.create(what="volunteers", state="taken", file_name="a.csv", made=[made.pk], read_at=now)

    assert undo(table=table) == 1

    assert Note.objects.count() == 2 and left(other, stays)


def test_guardians_of_a_table_that_is_undone_take_their_notes_along(guardian, other, now):
    Guardian.objects.filter(pk=guardian.pk).update(confirmed_at=None)
    child = Child.objects.create(name="Wren Ash", birth_date="2018-01-01", registered_at=now)
    Guardianship.objects.create(guardian=guardian, child=child, emergency_name="", emergency_phone="")
    send_family_link(guardian=guardian, now=now)
    table = Import.objects.create(what="households", state="taken", file_name="a.csv", made=[child.pk], read_at=now)

    assert undo(table=table) == 1

    assert not Guardian.objects.filter(pk=guardian.pk).exists()
    assert Note.objects.count() == 1 and left(other)


def test_what_waits_is_written_in_the_language_that_the_guardian_chose_since(guardian, now):
    send_family_link(guardian=guardian, now=now)
    english = build(Note.objects.get(kind=FAMILY_LINK), now)

    save_language(guardian=guardian, language="es")

    spanish = build(Note.objects.get(kind=FAMILY_LINK), now)
    assert "only for you" in str(english.body) and "solo para usted" in str(spanish.body)
