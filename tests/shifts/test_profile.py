"""What a volunteer changes of who they are: name and home area at once, the address once it has answered."""

import pytest
from django.urls import reverse

from core import clock
from core.references import reference
from outbox.models import Note, NoteState
from outbox.services.sending import send_due
from people.models import AddressChange, ClearanceKind, Volunteer
from shifts.letters.own_page import ADDRESS_CHANGED, OWN_PAGE
from shifts.services.profile import ask_new_address, confirm_new_address
from tests.shifts.test_own_page import address

NEW = "imara.new@example.org"


def typed(person, **more):
    return {"name": person.name, "email": person.email, "home_area": person.home_area} | more


def details(person):
    return address(person, route="own-page-details")


def link_in(mail):
    return next(word for word in mail.body.split() if "/a/" in word).split("testserver", 1)[1]


def test_a_new_name_and_area_are_hers_at_once_and_the_place_is_that_of_her_neighbours(stranger, make_volunteer):
    make_volunteer(home_area="Fenmarch", latitude=41.6, longitude=-77.4)
    make_volunteer(home_area="fenmarch", latitude=41.8, longitude=-77.6)
    imara = make_volunteer("Imara Venn", home_area="Larkmoor", latitude=41.5, longitude=-77.5)

    stranger.post(details(imara), typed(imara, name=" Imara  Venn-Oake ", home_area="Fenmarch"))

    imara.refresh_from_db()
    assert (imara.name, imara.home_area) == ("Imara Venn-Oake", "Fenmarch")
    assert imara.home == pytest.approx((41.7, -77.5))
    stranger.post(details(imara), typed(imara, home_area="Nobody Lives There"))
    imara.refresh_from_db()
    assert imara.home is None
    assert not Note.objects.exists()


def test_a_new_address_counts_once_it_has_answered_and_the_old_one_is_told(stranger, make_volunteer, mailoutbox):
    imara = make_volunteer("Imara Venn", email="imara@example.org")
    page = stranger.post(details(imara), typed(imara, email=NEW), follow=True).content.decode()
    assert "Open that email to confirm" in page
    send_due()
    (asked,) = mailoutbox
    assert asked.to == [f"Imara Venn <{NEW}>"]

    assert "Should we use" in stranger.get(link_in(asked)).content.decode()
    assert Volunteer.objects.get(pk=imara.pk).email == "imara@example.org"
    Note.objects.create(
        key="waits", kind=OWN_PAGE, to_name="x", to_email="imara@example.org", about=[reference(imara)],
        due_at=clock.now(), message_id="<x@y>",
    )  # fmt: skip
    page = stranger.post(link_in(asked), follow=True).content.decode()

    assert f"We’ll email you at {NEW} from now on" in page
    assert Volunteer.objects.get(pk=imara.pk).email == NEW
    assert Note.objects.get(key="waits").to_email == NEW
    send_due()
    told = next(mail for mail in mailoutbox if "imara@example.org" in mail.to[0])
    assert "has changed" in told.subject and NEW not in told.body


def test_another_address_ends_the_first_link(stranger, make_volunteer, mailoutbox):
    imara = make_volunteer()
    ask_new_address(volunteer=imara, email="first@example.org", now=clock.now())
    send_due()
    ask_new_address(volunteer=imara, email="second@example.org", now=clock.now())

    assert stranger.get(link_in(mailoutbox[0])).status_code == 410
    assert AddressChange.objects.get().email == "second@example.org"


def test_an_address_that_somebody_else_has_is_refused_now_and_when_it_answers(stranger, make_volunteer, mailoutbox):
    other = make_volunteer(email="taken@example.org")
    imara = make_volunteer()

    answer = stranger.post(details(imara), typed(imara, email="TAKEN@example.org", name="Kept as typed"))
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "Someone else already uses that email" in text and "Kept as typed" in text

    ask_new_address(volunteer=imara, email=NEW, now=clock.now())
    send_due()
    Volunteer.objects.filter(pk=other.pk).update(email=NEW)
    answer = stranger.post(link_in(mailoutbox[-1]))
    assert answer.status_code == 409 and "Someone else already uses that email" in answer.content.decode()
    assert Volunteer.objects.get(pk=imara.pk).email != NEW


def test_confirming_twice_changes_nothing_more(make_volunteer):
    imara = make_volunteer()
    change = ask_new_address(volunteer=imara, email=NEW, now=clock.now())
    confirm_new_address(change=change, now=clock.now())
    confirm_new_address(change=change, now=clock.now())

    assert Note.objects.filter(kind=ADDRESS_CHANGED).count() == 1


def test_a_letter_to_an_address_given_up_since_is_dropped(make_volunteer):
    imara = make_volunteer()
    ask_new_address(volunteer=imara, email="first@example.org", now=clock.now())
    AddressChange.objects.update(email="second@example.org")

    send_due()

    assert Note.objects.get().state == NoteState.DROPPED


@pytest.mark.parametrize(
    ("more", "sentence"), [({"name": " "}, "required"), ({"email": "not one"}, "valid email address")]
)
def test_details_that_cannot_be_are_said(stranger, make_volunteer, more, sentence):
    imara = make_volunteer()

    answer = stranger.post(details(imara), typed(imara) | more)

    assert answer.status_code == 422 and sentence in answer.content.decode()


def test_how_to_renew_stands_on_the_page_and_in_the_mail(stranger, admin, signed_in, make_volunteer, policy):
    kind = policy["conduct"]
    words = "Sign in at the training site; it takes an hour and we pay."
    signed_in(admin).post(reverse("kind-change", args=[kind.pk]), {"name": kind.name, "renew": words})
    imara = make_volunteer(cleared=("screening",))

    assert ClearanceKind.objects.get(pk=kind.pk).renew == words
    assert words in stranger.get(address(imara)).content.decode()
