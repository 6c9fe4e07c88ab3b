"""The public list of coming clinics."""

import uuid

import pytest
from django.urls import reverse

from clinics.models import Status
from families.services.registering import register
from tests.families.register.typed import second

pytestmark = pytest.mark.django_db


def test_the_list_says_when_where_for_whom_and_how_many_spots_are_free(clinic, stranger):
    text = stranger.get(reverse("register")).content.decode()

    for fact in (clinic.center.name, clinic.center.address, "09:30 to 11:30", "Ages 7 to 10", "2 spots open",
                 "Paper bridges"):  # fmt: skip
        assert fact in text


def test_the_list_never_names_anybody(clinic, send, stranger):
    send()
    text = stranger.get(reverse("register")).content.decode()

    assert "1 spot open" in text
    assert "Wren" not in text and "Rowan" not in text and clinic.center.contact_name not in text


def test_a_full_band_says_that_one_would_wait(clinic, send, stranger):
    send(**second(clinic))

    assert "full: join the waiting list" in stranger.get(reverse("register")).content.decode()


def test_only_confirmed_clinics_to_come_that_take_families_are_listed(texts, make_clinic, stranger):
    make_clinic(status=Status.TENTATIVE, theme="Tentative one")
    make_clinic(takes_families=False, theme="Office only")
    make_clinic(days=-3, theme="Long over")
    make_clinic(status=Status.CANCELLED, theme="Cancelled one")
    make_clinic(theme="The open one")
    text = stranger.get(reverse("register")).content.decode()

    assert "The open one" in text
    assert not [word for word in ("Tentative one", "Office only", "Long over", "Cancelled one") if word in text]


def test_the_list_of_one_center_has_only_its_clinics(texts, make_clinic, stranger):
    here, there = make_clinic(theme="Here"), make_clinic(theme="There")
    text = stranger.get(reverse("register"), {"center": here.center_id}).content.decode()

    assert "STEM activity: Here" in text and "Making: There" not in text
    assert stranger.get(reverse("register"), {"center": "9" * 30}).status_code == 200
    assert there.center.name in text  # still to choose


def test_the_list_asks_the_database_as_often_for_twenty_clinics_as_for_two(
    texts, make_clinic, household, stranger, django_assert_num_queries, now
):
    for _ in range(2):
        register(clinic=make_clinic(), facts=household(), once=uuid.uuid4(), now=now)
    with django_assert_num_queries(6):
        stranger.get(reverse("register"))
    for _ in range(18):
        register(clinic=make_clinic(), facts=household(), once=uuid.uuid4(), now=now)
    with django_assert_num_queries(6):
        stranger.get(reverse("register"))


def test_the_browsers_language_is_spoken_until_another_is_chosen(clinic, stranger):
    spanish = stranger.get(reverse("register"), headers={"accept-language": "es-MX,es;q=0.9"})
    english = stranger.get(reverse("register"), {"in": "en"}, headers={"accept-language": "es-MX,es;q=0.9"})

    assert '<html lang="es">' in spanish.content.decode() and "2 lugares disponibles" in spanish.content.decode()
    assert spanish.headers["Content-Language"] == "es"
    assert '<html lang="en">' in english.content.decode() and "2 spots open" in english.content.decode()
