"""What is said against a form, with nothing typed lost."""

import uuid

import pytest
from django.urls import reverse

from clinics.models import AgeBand
from families.models import Child, Registration
from families.services.registering import register
from tests.families.register.typed import second, years

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"guardian_name": ""}, "guardian_name", "Enter your name."),
        ({"email": "", "phone": ""}, "email", "Enter an email or a phone number."),
        ({"email": "rowan@"}, "email", "Enter a full email address"),
        ({"phone": "call my sister"}, "phone", "Enter a phone number with at least seven digits"),
        ({"phone": "555-01"}, "phone", "Enter a phone number with at least seven digits"),
        ({"guardian_name": "R" * 121}, "guardian_name", "120 characters or fewer. You’ve used 121"),
        ({"children__0__name": "W" * 4000}, "children-0-name", "120 characters or fewer. You’ve used 4000"),
        ({"children__0__name": ""}, "children-0-name", "Enter the child’s name."),
        ({"children__0__birth_date": ""}, "children-0-birth_date", "Enter the child’s date of birth."),
        ({"children__0__birth_date": "30/02/2018"}, "children-0-birth_date", "as year-month-day"),
        ({"children__0__birth_date": "2999-01-01"}, "children-0-birth_date", "date is in the future"),
        ({"children__0__allergies_answer": None}, "children-0-allergies_answer", "Choose “No known allergies”, or"),
        ({"children__0__allergies_answer": "some"}, "children-0-allergies", "Tell us which allergies."),
        (
            {"children__0__allergies_answer": "none", "children__0__allergies": "hazelnuts"},
            "children-0-allergies_answer",
            "You chose “No known allergies” and described some below.",
        ),
        ({"children__0__care_notes": "n" * 10_000}, "children-0-care_notes", "You’ve used 10000"),
        ({"emergency_name": ""}, "emergency_name", "Enter the name of an emergency contact"),
        ({"emergency_phone": ""}, "emergency_phone", "Enter a phone number for your emergency contact"),
        ({"picks_up": None}, "picks_up", "Enter at least one person who may pick up"),
        ({"others": 1, "others__0__name": "", "others__0__phone": ""}, "others-0-name", "or remove this person"),
        ({"photos": None}, "photos", "Choose yes or no for photos."),
        ({"signed": "  "}, "signed", "Type your name below the waiver to sign it."),
    ],
)  # fmt: skip
def test_what_is_missing_or_odd_is_said_beside_its_field_and_at_the_top_and_nothing_typed_is_lost(
    send, changes, field, sentence
):
    page = send(**changes)
    summary = page.text[page.text.index('role="alert"') : page.text.index("<h1>")]
    beside = page.text[page.text.index("<h1>") :]

    assert page.status_code == 422 and not Registration.objects.exists() and not Child.objects.exists()
    assert f'href="#id_{field}' in summary and sentence in summary and sentence in beside
    assert f'id="id_{field}' in beside
    for name, words in changes.items():
        if words and isinstance(words, str) and name != "children__0__birth_date":
            assert words in beside or not words.strip()
    assert 'value="Aunt Sorrel"' in beside or field == "emergency_name"


def test_a_long_care_note_stays_in_the_form_whole(send):
    note = "One thing. " * 1000

    assert note.strip() in send(children__0__care_notes=note).text


def test_the_one_sending_survives_a_mistake(send):
    once = str(uuid.uuid4())
    assert once in send(once=once, signed="").text
    send(once=once)
    send(once=once)

    assert Registration.objects.get().once == uuid.UUID(once)


def test_a_once_that_was_tampered_with_is_replaced(send):
    assert send(once="' or 1=1").status_code == 200 and Registration.objects.count() == 1


def test_the_sentences_are_spanish_where_the_page_is(send):
    page = send(language="es", signed="", phone="llame a mi hermana", photos=None)

    for sentence in ("Por favor, corrija 3 puntos", "Escriba su nombre debajo de la autorización para firmarla.",
                     "Escriba un teléfono de al menos siete dígitos", "Elija sí o no sobre las fotos."):  # fmt: skip
        assert sentence in page.text


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_child_who_does_not_fit_reads_it_beside_the_birth_date_with_the_next_clinic_that_fits(
    clinic, make_clinic, household, send, now, language
):
    full = make_clinic(days=11, ages=(12, 14), children=1)
    register(
        clinic=full, facts=household(("Full", years(13, full))), once=uuid.uuid4(), now=now
    )  # the sooner one is full
    fits = make_clinic(days=17, ages=(12, 14))
    page = send(language=language, **second(clinic, age=13))
    beside = page.text[page.text.index("div_id_children-1-birth_date") :]

    assert page.status_code == 422 and Registration.objects.count() == 1
    words = {"en": "The child will be 13 that day.", "es": "Ese día la niña o el niño tendrá 13."}
    assert words[language] in beside
    assert reverse("register-clinic", args=[fits.pk]) in beside
    assert reverse("register-clinic", args=[full.pk]) not in beside
    assert page.text.count('class="callout fits"') == 1


def test_where_no_clinic_fits_the_telephone_is_given(clinic, send):
    assert (
        "No upcoming clinic has a spot for this age" in send(children__0__birth_date=years(3, clinic).isoformat()).text
    )


def test_a_grown_up_is_not_a_child(clinic, send):
    AgeBand.objects.filter(clinic=clinic).update(oldest=60)

    assert "is an adult" in send(children__0__birth_date="1985-05-05").text


def test_forty_children_by_hand_are_too_many(clinic, send):
    forty = {f"children__{n}__{key}": value for n in range(40) for key, value in (
        ("name", f"Child {n}"), ("birth_date", years(8, clinic).isoformat()), ("experience", "new"),
        ("allergies_answer", "none"))}  # fmt: skip
    for count in (40, 6, "x", ""):
        page = send(children=count, **forty)
        assert page.status_code == 422 and "One form takes up to 6 children" in page.text
    assert not Child.objects.exists()


@pytest.mark.parametrize(
    "name", ["<script>alert(1)</script>", "Robert'); drop table families_child;--", "מרים كوثر", "Zoë 🏀👩‍👧", "&amp;"]
)
def test_any_name_is_kept_byte_for_byte_and_shown_as_words(send, name):
    page = send(children__0__name=name)

    assert Child.objects.get().name == name
    assert "<script>alert" not in page.text and Child.objects.get().given_name


def test_a_field_that_people_do_not_see_keeps_nothing_and_says_so(send):
    page = send(website="https://example.org")

    assert page.status_code == 422 and "Please send the form again" in page.text
    assert not Registration.objects.exists() and "https://example.org" not in page.text


def test_the_clinic_that_fits_opens_with_everything_typed(clinic, make_clinic, stranger, typed):
    fits = make_clinic(days=17, ages=(12, 14))
    facts = typed(**second(clinic, age=13), children__0__allergies="Peanuts", children__0__allergies_answer="some") | {
        "add": "there"
    }
    page = stranger.post(reverse("register-clinic", args=[fits.pk]), facts)
    text = page.content.decode()

    assert page.status_code == 200 and f'action="{reverse("register-clinic", args=[fits.pk])}"' in text
    assert 'value="Fern Ash"' in text and "Peanuts" in text and facts["once"] in text
    assert not Registration.objects.exists()
