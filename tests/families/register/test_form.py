"""The form: what is typed, what is kept, and what was written when it is sent."""

import base64
import re
import uuid

import pytest
from django.urls import reverse

from core import clock, links
from families.letters.families import SPOTS
from families.models import Child, Guardian, PhotoAnswer, PickupPerson, Registration, Spot, Waiver, WaiverText
from families.services.merge import confirm_household
from outbox.models import Note
from tests.families.register.typed import second

pytestmark = pytest.mark.django_db


def test_a_sent_form_writes_the_household_and_shows_what_became_of_it(clinic, send):
    page = send(**second(clinic), others=1, others__0__name="Uncle Bram", others__0__phone="555-0122")

    children = Child.objects.order_by("name")
    assert [child.name for child in children] == ["Fern Ash", "Wren Ash"]
    assert {c.guardianships.get().emergency_name for c in children} == {"Aunt Sorrel"}
    assert sorted(PickupPerson.objects.filter(child=children[0]).values_list("name", flat=True)) == [
        "Rowan Ash",
        "Uncle Bram",
    ]
    assert set(PhotoAnswer.objects.values_list("allowed", flat=True)) == {False}
    assert Waiver.objects.filter(typed_name="Rowan Ash", came_from="127.0.0.1").count() == 2
    assert "Wren</b>" in page.text and page.text.count("has a spot") == 2
    assert "We’re sending you an email" in page.text and clinic.center.address in page.text
    assert Note.objects.get().kind == SPOTS


def test_no_address_on_the_way_says_anything_of_a_child(send):
    page = send()

    # The signature of a link may hold any four letters by chance; what it signs is read.
    addresses = [re.sub(r":[\w-]{43}/", "/", address) for address, _ in page.redirect_chain]
    signed = [base64.urlsafe_b64decode(one + "==").decode() for one in re.findall(r"/done/(\w+)", " ".join(addresses))]
    assert signed and not re.search("wren|rowan|ash", " ".join([*addresses, *signed]), re.IGNORECASE)


def test_the_child_after_the_last_spot_reads_its_number(clinic, send):
    send(**second(clinic))
    send(email="hazel@example.org", children__0__name="Hazel Moss")
    page = send(email="ivy@example.org", children__0__name="Ivy Moss")

    assert "number 2 on the waiting list" in page.text and "has a spot" not in page.text


def test_pressing_twice_and_sending_again_after_going_back_registers_once(send):
    once = str(uuid.uuid4())
    first, again = send(once=once), send(once=once, guardian_name="Rowan A. Ash")

    assert first.redirect_chain == again.redirect_chain
    assert Registration.objects.count() == Child.objects.count() == Note.objects.count() == 1


def test_opening_pages_changes_nothing(clinic, send, stranger):
    done = send().redirect_chain[-1][0]
    before = Spot.objects.count(), Guardian.objects.get().confirmed_at
    for address in (done, reverse("register"), reverse("register-clinic", args=[clinic.pk])):
        assert stranger.get(address).status_code == stranger.head(address).status_code == 200

    assert (Spot.objects.count(), Guardian.objects.get().confirmed_at) == before


def test_a_known_address_reads_the_same_as_a_new_one_and_sees_nothing_of_the_other(clinic, send, stranger, now):
    new = send(children__0__name="Wren Ash")
    confirm_household(guardian=Guardian.objects.get(), now=now)
    known = send(children__0__name="Robin Ash")

    def plain(page):
        return re.sub(r"Wren|Robin|/register/done/[^/]+/", "", page.text)

    assert plain(new) == plain(known)
    # After the real owner used the link too, the sender's page shows the sender's child alone.
    confirm_household(guardian=Guardian.objects.get(confirmed_at__isnull=True), now=now)
    assert "Wren" not in stranger.get(known.redirect_chain[-1][0]).content.decode()


def test_somebody_with_a_telephone_alone_reads_that_we_call(send):
    page = send(email="", phone="+1 (570) 555-0133")

    assert "We have your phone number" in page.text and "We’re sending you an email" not in page.text
    assert Guardian.objects.get().phone == "+1 (570) 555-0133" and not Note.objects.exists()


def test_somebody_with_a_telephone_alone_gets_the_address_of_their_page_until_the_office_replaces_it(
    send, stranger, settings
):
    settings.ROOT_URLCONF = "tests.families.urls_with_family_page"
    page = send(email="", phone="555-0133")
    (token,) = set(re.findall(r"/family-of/([^/]+)/", page.text))
    guardian = Guardian.objects.get()
    assert links.read("family", token, now=clock.now()).subject == guardian.pk
    assert "/family-of/" not in send(phone="555-0133").text  # a typed mail address proves nothing

    guardian.link_counter += 1
    guardian.save()

    assert "/family-of/" not in stranger.get(page.redirect_chain[-1][0]).content.decode()


def test_in_spanish_the_spanish_text_is_signed_and_the_guardian_is_written_to_in_spanish(send):
    page = send(language="es")

    assert "tiene un lugar" in page.text and Guardian.objects.get().language == "es"
    assert Waiver.objects.get().text.language == "es"


def test_the_form_says_which_version_of_the_text_is_signed(clinic, stranger):
    text = stranger.get(reverse("register-clinic", args=[clinic.pk]), {"in": "es"}).content.decode()

    assert "Permiso para participar en nuestros encuentros" in text and "Versión 1 de esta autorización." in text
    assert "checked" not in re.findall(r'<input[^>]*name="photos"[^>]*>', text)[0]


def test_a_text_that_changed_meanwhile_is_not_signed_unread(send, typed):
    old = typed()["text"]
    WaiverText.objects.create(version=2, language="en", title="New", body="New words.", published_at=clock.now())
    page = send(text=old)

    assert page.status_code == 422 and "changed after you opened this page" in page.text
    assert "New words." in page.text and not Waiver.objects.exists()


def test_without_a_published_text_the_page_gives_the_telephone(make_clinic, stranger, settings):
    clinic = make_clinic()
    page = stranger.get(reverse("register-clinic", args=[clinic.pk]))

    assert "Online registration isn’t open yet" in page.content.decode()
    assert settings.ORGANISATION_PHONE in page.content.decode() and b"<form" not in page.content


def test_another_child_is_added_and_taken_away_with_everything_typed_kept(clinic, stranger, typed):
    address = reverse("register-clinic", args=[clinic.pk])
    facts = typed(
        **second(clinic), children__0__allergies="Peanuts", children__0__allergies_answer="some", photos="yes"
    )
    more = stranger.post(address, facts | {"add": "children"})
    fewer = stranger.post(address, facts | {"remove": "children-0"})
    text, less = more.content.decode(), fewer.content.decode()

    assert more.status_code == fewer.status_code == 200 and not Registration.objects.exists()
    assert 'name="children-2-name"' in text and 'value="Wren Ash"' in text and 'value="Fern Ash"' in text
    assert "Peanuts" in text and facts["once"] in text and 'value="Rowan Ash"' in text
    assert "is-invalid" not in text and 'role="alert"' not in text
    assert re.search(r'name="children-0-name" value="Fern Ash"', less) and "Wren" not in less
    assert "Peanuts" not in less
    assert re.search(r'<input[^>]*name="photos"[^>]*value="yes"[^>]*checked', less)


def test_the_other_language_keeps_everything_typed(clinic, stranger, typed):
    facts = typed(photos="yes") | {"in": ["en", "es"]}
    page = stranger.post(reverse("register-clinic", args=[clinic.pk]), facts)
    text = page.content.decode()

    assert page.status_code == 200 and '<html lang="es">' in text and "Inscribir a mi niña o niño" in text
    assert 'value="Wren Ash"' in text and facts["once"] in text and not Registration.objects.exists()
