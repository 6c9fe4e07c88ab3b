"""Which of a center's contacts is asked for the floor, and who stands on the clinic's page."""

from django.urls import reverse

from clinics.models import CenterContact
from core import clock
from outbox.models import Note
from outbox.services.sending import send_due
from scheduling.letters.bookings import BOOKING_ASK
from scheduling.models import Booking
from scheduling.services.bookings import ask_center_again


def contact(center, **more):
    facts = {"name": "Hesper Coyle", "email": "hesper@example.org", "phone": "555-0116"} | more
    return CenterContact.objects.create(center=center, **facts)


def test_the_floor_is_asked_of_who_answers_for_hours(make_clinic, mailoutbox):
    clinic = make_clinic(status="tentative")
    contact(clinic.center, answers_bookings=True)

    ask_center_again(booking=Booking.objects.get(), now=clock.now())
    send_due()

    assert Note.objects.get(kind=BOOKING_ASK).to_email == "hesper@example.org"
    assert mailoutbox[0].to == ["Hesper Coyle <hesper@example.org>"]
    assert "Hello Hesper Coyle" in mailoutbox[0].body


def test_a_mail_greets_whom_it_goes_to_when_the_contact_has_changed_since(make_clinic, mailoutbox):
    clinic = make_clinic(status="tentative")
    row = contact(clinic.center, answers_bookings=True)
    ask_center_again(booking=Booking.objects.get(), now=clock.now())
    row.active = False
    row.save()

    send_due()

    assert "Hello Hesper Coyle" in mailoutbox[0].body


def test_who_opens_the_door_stands_on_the_clinics_page(floor_lead, signed_in, make_clinic):
    clinic = make_clinic()
    contact(clinic.center, opens_door=True)

    page = signed_in(floor_lead).get(reverse("clinic", args=[clinic.pk])).content.decode()

    assert "Hesper Coyle" in page and 'href="tel:555-0116"' in page


def test_the_clinics_page_costs_the_same_however_many_contacts(
    coordinator, signed_in, make_clinic, django_assert_max_num_queries, django_assert_num_queries
):
    clinic = make_clinic()
    client = signed_in(coordinator)
    address = reverse("clinic", args=[clinic.pk])
    client.get(address)  # what every process learns once
    with django_assert_max_num_queries(40) as few:
        client.get(address)
    contact(clinic.center, answers_bookings=True)
    contact(clinic.center, name="Ambrose Tully", opens_door=True)

    with django_assert_num_queries(len(few)):
        client.get(address)
