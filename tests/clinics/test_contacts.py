"""A center's contacts: who may answer what, and who answers when nobody else does."""

import pytest
from django.urls import reverse

from clinics.models import Center, CenterContact


def typed(**more):
    return {"name": "Hesper Coyle", "email": "hesper@example.org", "phone": "555-0116"} | more


@pytest.fixture
def page(make_center):
    center = make_center("Saint Orla's Hall", contact_name="Cuthbert Vane", contact_phone="555-0114")
    return center, reverse("center-contacts", args=[center.pk])


def test_the_main_contact_answers_for_what_nobody_else_does(page, coordinator, signed_in):
    center, address = page
    client = signed_in(coordinator)
    assert client.post(address, typed(answers_bookings="on")).status_code == 302

    center = Center.objects.get(pk=center.pk)
    assert center.booking_contact.email == "hesper@example.org"
    assert center.agreement_contact.name == "Cuthbert Vane"
    assert [who.name for who in center.door_contacts] == ["Cuthbert Vane"]
    assert "Answers our booking requests" in client.get(reverse("center", args=[center.pk])).content.decode()


def test_several_may_open_the_door(page):
    center, _ = page
    for name in ("Hesper Coyle", "Ambrose Tully"):
        CenterContact.objects.create(center=center, name=name, phone="555-0117", opens_door=True)

    assert [who.name for who in center.door_contacts] == ["Ambrose Tully", "Hesper Coyle"]


def test_a_prefetch_serves_every_question_about_contacts(page, django_assert_num_queries):
    CenterContact.objects.create(center=page[0], name="Hesper Coyle", email="h@example.org", answers_bookings=True)
    center = Center.objects.prefetch_related("contacts").get()

    with django_assert_num_queries(0):
        assert center.booking_contact.name == "Hesper Coyle" and center.agreement_contact.name == "Cuthbert Vane"
        assert center.door_contacts[0].phone == "555-0114"


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({}, "Check at least one thing"),
        ({"email": "", "answers_bookings": "on"}, "Enter an email"),
        ({"email": "", "looks_after_agreements": "on"}, "Enter an email"),
        ({"phone": "", "opens_door": "on"}, "Enter a phone number"),
        ({"email": "no", "answers_bookings": "on"}, "valid email address"),
        ({"name": "", "answers_bookings": "on"}, "This field is required"),
    ],
)
def test_a_contact_that_cannot_be_reached_is_refused_in_words(page, coordinator, signed_in, more, sentence):
    answer = signed_in(coordinator).post(page[1], typed(**more))

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert not CenterContact.objects.exists()


def test_two_cannot_answer_for_the_same_hours_and_what_was_typed_stays(page, coordinator, signed_in):
    center, address = page
    CenterContact.objects.create(center=center, name="Ambrose Tully", email="a@example.org", answers_bookings=True)

    answer = signed_in(coordinator).post(address, typed(answers_bookings="on"))

    assert answer.status_code == 422
    assert "Another contact already answers booking requests" in answer.content.decode()
    assert 'value="hesper@example.org"' in answer.content.decode()


def test_who_is_retired_answers_nothing_until_taken_up_again(page, coordinator, signed_in):
    center, _ = page
    row = CenterContact.objects.create(center=center, name="Hesper Coyle", email="h@example.org", answers_bookings=True)
    client = signed_in(coordinator)
    client.post(reverse("contact-retire", args=[row.pk]))
    assert center.booking_contact.name == "Cuthbert Vane"
    other = CenterContact.objects.create(
        center=center, name="Ambrose Tully", email="a@example.org", answers_bookings=True
    )

    refused = client.post(reverse("contact-take-up", args=[row.pk]), follow=True).content.decode()
    assert "Someone else now handles" in refused and center.booking_contact.name == "Ambrose Tully"

    client.post(reverse("contact-retire", args=[other.pk]))
    client.post(reverse("contact-take-up", args=[row.pk]))
    assert center.booking_contact.name == "Hesper Coyle"


def test_a_contact_is_changed(page, coordinator, signed_in):
    row = CenterContact.objects.create(center=page[0], name="Hesper", email="h@example.org", answers_bookings=True)

    signed_in(coordinator).post(reverse("contact-change", args=[row.pk]), typed(opens_door="on"))

    row.refresh_from_db()
    assert (row.name, row.answers_bookings, row.opens_door) == ("Hesper Coyle", False, True)


def test_only_who_keeps_centers_keeps_contacts(page, floor_lead, stranger, signed_in):
    row = CenterContact.objects.create(center=page[0], name="Hesper", phone="555-0116", opens_door=True)
    client = signed_in(floor_lead)
    change = reverse("contact-change", args=[row.pk])
    for answer in (client.get(page[1]), client.get(change), client.post(reverse("contact-retire", args=[row.pk]))):
        assert answer.status_code == 403
    assert client.post(reverse("contact-take-up", args=[row.pk])).status_code == 403
    assert stranger.get(page[1]).status_code == 302 and stranger.get(change).status_code == 302
