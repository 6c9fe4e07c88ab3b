"""The outbox page: what it calls each note, and where a note leads."""

import pytest
from django.urls import reverse

from outbox.models import Note
from outbox.services.writing import write_note
from scheduling.letters.bookings import BOOKING_ASK

pytestmark = pytest.mark.django_db


@pytest.fixture
def write(now):
    def inner(key, kind=BOOKING_ASK, about=(), **facts):
        return write_note(
            key=key, kind=kind, to_name="Maude", to_email="maude@example.org", summary=f"Note {key}", due_at=now,
            about=about, **facts,
        )  # fmt: skip

    return inner


def test_a_note_leads_to_the_clinic_that_it_is_about_and_is_called_by_its_letter(
    write, make_clinic, make_center, coordinator, signed_in
):
    clinic = make_clinic()
    write("one", about=[clinic], step="7 days")
    write("two", about=[make_center()])

    page = signed_in(coordinator).get(reverse("outbox")).content.decode()

    assert f'<a href="{reverse("clinic", args=[clinic.pk])}">Note one</a>' in page and "<td>Note two<br>" in page
    assert "space request, 7 days" in page


def test_notes_are_found_by_kind_and_one_of_an_unknown_letter_is_shown_as_it_is(write, coordinator, signed_in):
    write("one")
    Note.objects.filter(pk=write("two").pk).update(kind="gone-letter")
    client = signed_in(coordinator)

    assert "gone-letter" in client.get(reverse("outbox")).content.decode()
    page = client.get(reverse("outbox"), {"kind": BOOKING_ASK}).content.decode()
    assert "Note one" in page and "Note two" not in page
    # What is no letter of ours narrows nothing.
    page = client.get(reverse("outbox"), {"kind": "gone-letter"}).content.decode()
    assert "Note one" in page and "Note two" in page
