"""What changes meanwhile, the page afterwards, the limits and the way back."""

import uuid
from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from clinics.models import AgeBand, Status
from core import clock, links
from families.letters.families import FAMILY_LINK
from families.models import Child, Guardian, Registration, Spot, SpotState, WaiverText
from families.services.merge import confirm_household
from families.services.placeholder_texts import publish_placeholder_if_none
from families.services.registering import register
from families.services.spots import end_spot
from outbox.models import Note
from scheduling.services.cancelling import cancel_clinic
from tests.families.register.typed import second, years

pytestmark = pytest.mark.django_db


def test_a_clinic_cancelled_meanwhile_is_said_and_what_was_typed_stays(clinic, send, now):
    cancel_clinic(clinic=clinic, because="The heating failed", now=now)
    page = send()

    assert page.status_code == 422 and "This clinic is cancelled." in page.text and 'value="Wren Ash"' in page.text
    assert not Child.objects.exists()


def test_a_clinic_that_filled_up_meanwhile_has_the_child_wait(clinic, household, send, now):
    for _ in range(2):
        register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now)

    assert "number 1 on the waiting list" in send().text


@pytest.mark.parametrize(
    ("changes", "status", "sentence"),
    [
        ({"status": Status.CANCELLED}, 410, "This clinic is cancelled"),
        ({"takes_families": False}, 410, "This clinic isn’t open for registration"),
        ({"status": Status.TENTATIVE}, 410, "This clinic isn’t open for registration"),
    ],
)
def test_the_code_on_an_old_poster_says_how_things_stand(clinic, stranger, changes, status, sentence):
    type(clinic).objects.filter(pk=clinic.pk).update(**changes)
    page = stranger.get(reverse("register-clinic", args=[clinic.pk]))

    assert page.status_code == status and sentence in page.content.decode()
    assert clinic.center.name not in page.content.decode()
    assert stranger.get(reverse("register-clinic", args=[clinic.pk + 999])).status_code == 404


def test_a_clinic_that_has_begun_takes_nobody(clinic, stranger, send):
    type(clinic).objects.filter(pk=clinic.pk).update(starts_at=clock.now() - timedelta(minutes=1))

    assert stranger.get(reverse("register-clinic", args=[clinic.pk])).status_code == 410
    assert "has started" in send().text and not Child.objects.exists()


def test_the_page_follows_what_becomes_of_the_spots(clinic, send, stranger, now):
    done = send(**second(clinic)).redirect_chain[-1][0]
    third = send(email="ivy@example.org", children__0__name="Ivy Moss").redirect_chain[-1][0]
    end_spot(spot=Spot.objects.filter(state=SpotState.HELD)[0], because="ill", now=now)

    assert "no longer registered" in stranger.get(done).content.decode()
    assert "a spot opened up" in stranger.get(third).content.decode()


@pytest.mark.parametrize(
    ("language", "sentence"), [("en", "This link is incomplete"), ("es", "Este enlace está incompleto")]
)
def test_an_altered_link_says_what_to_do_in_the_browsers_language(send, stranger, language, sentence):
    done = send().redirect_chain[-1][0].split("?")[0]
    page = stranger.get(f"{done[:-3]}xx/", headers={"accept-language": language})

    assert page.status_code == 404 and sentence in page.content.decode()


def test_an_old_link_has_run_out_and_one_for_another_question_opens_nothing(clinic, send, stranger, now):
    send()
    row = Registration.objects.get()

    def status(purpose, expires_at):
        token = links.make(purpose, subject=row.pk, counter=0, expires_at=expires_at)
        return stranger.get(reverse("register-done", args=[token])).status_code

    assert status("registered", now - timedelta(seconds=1)) == 410
    assert status("family", now + timedelta(days=1)) == 404
    assert status("registered", now + timedelta(days=1)) == 200


def test_twenty_one_sendings_an_hour_from_one_place_are_too_many_and_nothing_typed_is_lost(clinic, send):
    AgeBand.objects.filter(clinic=clinic).update(children=100)
    for number in range(20):
        assert send(email=f"guardian{number}@example.org", follow=False).status_code == 302
    page = send(email="last@example.org")

    assert page.status_code == 429 and "You’ve sent this several times" in page.text and 'value="Wren Ash"' in page.text
    assert Registration.objects.count() == 20


def test_six_sendings_a_day_for_one_mail_address_are_too_many(clinic, send):
    for _ in range(5):
        assert send(follow=False).status_code == 302

    assert send(email="Rowan@Example.org").status_code == 429


def test_what_is_refused_is_not_counted(clinic, send):
    for _ in range(6):
        assert send(children__0__birth_date=years(3, clinic).isoformat()).status_code == 422

    assert send(follow=False).status_code == 302


def test_a_family_asks_for_its_link_and_everybody_reads_the_same(send, stranger, now):
    send()
    confirm_household(guardian=Guardian.objects.get(), now=now)
    known = stranger.post(reverse("register"), {"email": "ROWAN@example.org", "in": "es"}, follow=True)
    unknown = stranger.post(reverse("register"), {"email": "nobody@example.org", "in": "es"}, follow=True)

    assert known.content == unknown.content and "Revise su correo" in known.content.decode()
    note = Note.objects.get(kind=FAMILY_LINK)
    assert note.to_email == "rowan@example.org" and note.number_of(Guardian) == Guardian.objects.get().pk


def test_an_address_nobody_confirmed_gets_no_link(send, stranger):
    send()
    stranger.post(reverse("register"), {"email": "rowan@example.org"})

    assert not Note.objects.filter(kind=FAMILY_LINK).exists()


def test_asking_for_a_link_is_limited_alike_for_known_and_unknown_addresses(clinic, stranger):
    answers = [stranger.post(reverse("register"), {"email": "nobody@example.org"}).status_code for _ in range(6)]

    assert answers == [302] * 5 + [429]
    assert stranger.post(reverse("register"), {"email": "nobody"}).status_code == 422


def test_the_shipped_text_is_published_once_and_says_that_a_lawyer_must_replace_it(db, now):
    assert len(publish_placeholder_if_none(now=now)) == 2
    assert publish_placeholder_if_none(now=now) == []
    assert all(text.placeholder for text in WaiverText.objects.all())
    assert "licensed lawyer" in WaiverText.objects.get(language="en").body
    assert "abogado con licencia" in WaiverText.objects.get(language="es").body


def test_a_birthday_is_judged_on_the_clinics_day(clinic, send):
    day = clinic.day
    seven = date(day.year - 7, day.month, day.day)

    assert send(children__0__birth_date=(seven + timedelta(days=1)).isoformat()).status_code == 422
    assert send(children__0__birth_date=seven.isoformat()).status_code == 200


def test_somebody_whose_browser_keeps_no_cookies_reads_it_in_their_language(clinic, typed):
    strict = Client(enforce_csrf_checks=True)
    page = strict.post(reverse("register-clinic", args=[clinic.pk]), typed("es"))

    assert page.status_code == 403 and "Por favor, envíelo de nuevo" in page.content.decode()


def test_families_register_while_redis_is_away(send, settings):
    settings.CACHES = {"default": settings.CACHES["default"] | {"LOCATION": "redis://127.0.0.1:9/0"}}

    assert "has a spot" in send().text
