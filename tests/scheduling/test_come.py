"""The public registration: the list, the form, what is said against it, and what became of it."""

import re
import uuid
from datetime import date, timedelta

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from clinics.models import AgeBand, Place, PlaceState, Registration, Status
from config import clock, languages, links
from people.models import Child, Collector, Guardian, PhotoAnswer, Waiver, WaiverText
from people.services.placeholder_texts import publish_placeholder_if_none
from scheduling.models import Note, NoteKind
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.families.joining import confirm_household
from scheduling.services.families.places import end_place
from scheduling.services.families.registering import register

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nothing_counted():
    """What an earlier test sent from the same address does not count here."""
    cache.clear()


@pytest.fixture(scope="module", autouse=True)
def spanish():
    languages.write_words()


@pytest.fixture
def texts(db):
    return publish_placeholder_if_none(now=clock.now())


@pytest.fixture
def waiver_text(texts):
    """What the cast's households sign is the shipped text."""
    return next(text for text in texts if text.language == "en")


@pytest.fixture
def clinic(texts, make_clinic):
    return make_clinic(children=2, theme="Paper bridges")


def years(count, clinic):
    return clinic.day.replace(year=clinic.day.year - count, day=1)


@pytest.fixture
def typed(clinic):
    """What a guardian types for one child of eight; fields are given as ``name=words``, or None to leave one out."""

    def inner(language="en", **changes):
        facts = {
            "in": language,
            "once": str(uuid.uuid4()),
            "text": WaiverText.objects.filter(language=language).latest("version").pk,
            "children": 1,
            "others": 0,
            "guardian_name": "Rowan Ash",
            "email": "rowan@example.org",
            "phone": "",
            "children-0-name": "Wren Ash",
            "children-0-birth_date": years(8, clinic).isoformat(),
            "children-0-experience": "new",
            "emergency_name": "Aunt Sorrel",
            "emergency_phone": "555-0123",
            "collects": "on",
            "photos": "no",
            "signed": "Rowan Ash",
            "website": "",
        }
        changed = facts | {key.replace("__", "-"): value for key, value in changes.items()}
        return {key: value for key, value in changed.items() if value is not None}

    return inner


@pytest.fixture
def send(stranger, clinic, typed):
    """Send the form and follow; ``page.text`` is what the page says."""

    def inner(to=None, language="en", follow=True, **changes):
        page = stranger.post(
            reverse("come-clinic", args=[(to or clinic).pk]), typed(language, **changes), follow=follow
        )
        page.text = page.content.decode()
        return page

    return inner


def second(clinic, name="Fern Ash", age=9):
    return {"children": 2, "children__1__name": name, "children__1__experience": "team",
            "children__1__birth_date": years(age, clinic).isoformat()}  # fmt: skip


# --- the list


def test_the_list_says_when_where_for_whom_and_how_many_places_are_free(clinic, stranger):
    text = stranger.get(reverse("come")).content.decode()

    for fact in (clinic.center.name, clinic.center.address, "09:30 to 11:30", "Ages 7 to 10", "2 places free",
                 "Paper bridges"):  # fmt: skip
        assert fact in text


def test_the_list_never_names_anybody(clinic, send, stranger):
    send()
    text = stranger.get(reverse("come")).content.decode()

    assert "1 place free" in text
    assert "Wren" not in text and "Rowan" not in text and clinic.center.contact_name not in text


def test_a_full_band_says_that_one_would_wait(clinic, send, stranger):
    send(**second(clinic))

    assert "full: you would wait" in stranger.get(reverse("come")).content.decode()


def test_only_confirmed_clinics_to_come_that_take_families_are_listed(texts, make_clinic, stranger):
    make_clinic(status=Status.TENTATIVE, theme="Tentative one")
    make_clinic(takes_families=False, theme="Office only")
    make_clinic(days=-3, theme="Long over")
    make_clinic(status=Status.CANCELLED, theme="Cancelled one")
    make_clinic(theme="The open one")
    text = stranger.get(reverse("come")).content.decode()

    assert "The open one" in text
    assert not [word for word in ("Tentative one", "Office only", "Long over", "Cancelled one") if word in text]


def test_the_list_of_one_center_has_only_its_clinics(texts, make_clinic, stranger):
    here, there = make_clinic(theme="Here"), make_clinic(theme="There")
    text = stranger.get(reverse("come"), {"center": here.center_id}).content.decode()

    assert "Making: Here" in text and "Making: There" not in text
    assert stranger.get(reverse("come"), {"center": "9" * 30}).status_code == 200
    assert there.center.name in text  # still to choose


def test_the_list_asks_the_database_as_often_for_twenty_clinics_as_for_two(
    texts, make_clinic, household, stranger, django_assert_num_queries, now
):
    for _ in range(2):
        register(clinic=make_clinic(), facts=household(), once=uuid.uuid4(), now=now)
    with django_assert_num_queries(6):
        stranger.get(reverse("come"))
    for _ in range(18):
        register(clinic=make_clinic(), facts=household(), once=uuid.uuid4(), now=now)
    with django_assert_num_queries(6):
        stranger.get(reverse("come"))


def test_the_browsers_language_is_spoken_until_another_is_chosen(clinic, stranger):
    spanish = stranger.get(reverse("come"), headers={"accept-language": "es-MX,es;q=0.9"})
    english = stranger.get(reverse("come"), {"in": "en"}, headers={"accept-language": "es-MX,es;q=0.9"})

    assert '<html lang="es">' in spanish.content.decode() and "2 lugares libres" in spanish.content.decode()
    assert spanish.headers["Content-Language"] == "es"
    assert '<html lang="en">' in english.content.decode() and "2 places free" in english.content.decode()


# --- the form


def test_a_sent_form_writes_the_household_and_shows_what_became_of_it(clinic, send):
    page = send(**second(clinic), others=1, others__0__name="Uncle Bram", others__0__phone="555-0122")

    children = Child.objects.order_by("name")
    assert [child.name for child in children] == ["Fern Ash", "Wren Ash"]
    assert {c.guardianships.get().emergency_name for c in children} == {"Aunt Sorrel"}
    assert sorted(Collector.objects.filter(child=children[0]).values_list("name", flat=True)) == [
        "Rowan Ash",
        "Uncle Bram",
    ]
    assert set(PhotoAnswer.objects.values_list("allowed", flat=True)) == {False}
    assert Waiver.objects.filter(typed_name="Rowan Ash", came_from="127.0.0.1").count() == 2
    assert "Wren</b>" in page.text and page.text.count("has a place") == 2
    assert "We have sent you a mail" in page.text and clinic.center.address in page.text
    assert Note.objects.get().kind == NoteKind.PLACES


def test_no_address_on_the_way_says_anything_of_a_child(send):
    page = send()

    addresses = [address for address, _ in page.redirect_chain]
    assert addresses and not re.search("wren|rowan|ash", " ".join(addresses), re.IGNORECASE)


def test_the_child_after_the_last_place_reads_its_number(clinic, send):
    send(**second(clinic))
    send(email="hazel@example.org", children__0__name="Hazel Moss")
    page = send(email="ivy@example.org", children__0__name="Ivy Moss")

    assert "waits as number 2" in page.text and "has a place" not in page.text


def test_pressing_twice_and_sending_again_after_going_back_registers_once(send):
    once = str(uuid.uuid4())
    first, again = send(once=once), send(once=once, guardian_name="Rowan A. Ash")

    assert first.redirect_chain == again.redirect_chain
    assert Registration.objects.count() == Child.objects.count() == Note.objects.count() == 1


def test_opening_pages_changes_nothing(clinic, send, stranger):
    done = send().redirect_chain[-1][0]
    before = Place.objects.count(), Guardian.objects.get().confirmed_at
    for address in (done, reverse("come"), reverse("come-clinic", args=[clinic.pk])):
        assert stranger.get(address).status_code == stranger.head(address).status_code == 200

    assert (Place.objects.count(), Guardian.objects.get().confirmed_at) == before


def test_a_known_address_reads_the_same_as_a_new_one_and_sees_nothing_of_the_other(clinic, send, stranger, now):
    new = send(children__0__name="Wren Ash")
    confirm_household(guardian=Guardian.objects.get(), now=now)
    known = send(children__0__name="Robin Ash")

    def plain(page):
        return re.sub(r"Wren|Robin|/come/done/[^/]+/", "", page.text)

    assert plain(new) == plain(known)
    # After the real owner used the link too, the sender's page shows the sender's child alone.
    confirm_household(guardian=Guardian.objects.get(confirmed_at__isnull=True), now=now)
    assert "Wren" not in stranger.get(known.redirect_chain[-1][0]).content.decode()


def test_somebody_with_a_telephone_alone_reads_that_we_call(send):
    page = send(email="", phone="+1 (570) 555-0133")

    assert "We have your telephone" in page.text and "We have sent you a mail" not in page.text
    assert Guardian.objects.get().phone == "+1 (570) 555-0133" and not Note.objects.exists()


def test_somebody_with_a_telephone_alone_gets_the_address_of_their_page_until_the_office_replaces_it(
    send, stranger, settings
):
    settings.ROOT_URLCONF = "tests.scheduling.urls_with_family_page"
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

    assert "tiene lugar" in page.text and Guardian.objects.get().language == "es"
    assert Waiver.objects.get().text.language == "es"


def test_the_form_says_which_version_of_the_text_is_signed(clinic, stranger):
    text = stranger.get(reverse("come-clinic", args=[clinic.pk]), {"in": "es"}).content.decode()

    assert "Participación en nuestras clínicas" in text and "Versión 1 de este texto." in text
    assert "checked" not in re.findall(r'<input[^>]*name="photos"[^>]*>', text)[0]


def test_a_text_that_changed_meanwhile_is_not_signed_unread(send, typed):
    old = typed()["text"]
    WaiverText.objects.create(version=2, language="en", title="New", body="New words.", published_at=clock.now())
    page = send(text=old)

    assert page.status_code == 422 and "has changed since you opened this page" in page.text
    assert "New words." in page.text and not Waiver.objects.exists()


def test_without_a_published_text_the_page_gives_the_telephone(make_clinic, stranger, settings):
    clinic = make_clinic()
    page = stranger.get(reverse("come-clinic", args=[clinic.pk]))

    assert "Registration by web isn’t open yet" in page.content.decode()
    assert settings.ORGANISATION_PHONE in page.content.decode() and b"<form" not in page.content


# --- adding and taking away, with everything typed kept


def test_another_child_is_added_and_taken_away_with_everything_typed_kept(clinic, stranger, typed):
    address = reverse("come-clinic", args=[clinic.pk])
    facts = typed(**second(clinic), children__0__allergies="Peanuts", photos="yes")
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
    page = stranger.post(reverse("come-clinic", args=[clinic.pk]), facts)
    text = page.content.decode()

    assert page.status_code == 200 and '<html lang="es">' in text and "Inscribir a mi niño o niña" in text
    assert 'value="Wren Ash"' in text and facts["once"] in text and not Registration.objects.exists()


# --- what is said against it


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"guardian_name": ""}, "guardian_name", "Write your name."),
        ({"email": "", "phone": ""}, "email", "Give a mail address or a telephone."),
        ({"email": "rowan@"}, "email", "Write a whole mail address"),
        ({"phone": "call my sister"}, "phone", "Write the telephone in digits"),
        ({"phone": "555-01"}, "phone", "Write the telephone in digits"),
        ({"guardian_name": "R" * 121}, "guardian_name", "at most 120 letters; these are 121"),
        ({"children__0__name": "W" * 4000}, "children-0-name", "at most 120 letters; these are 4000"),
        ({"children__0__name": ""}, "children-0-name", "Write the child’s name."),
        ({"children__0__birth_date": ""}, "children-0-birth_date", "Write the child’s date of birth."),
        ({"children__0__birth_date": "30/02/2018"}, "children-0-birth_date", "as year-month-day"),
        ({"children__0__birth_date": "2999-01-01"}, "children-0-birth_date", "has not come yet"),
        ({"children__0__care_notes": "n" * 10_000}, "children-0-care_notes", "at most 2000 letters; these are 10000"),
        ({"emergency_name": ""}, "emergency_name", "Write whom we call"),
        ({"emergency_phone": ""}, "emergency_phone", "Write the telephone of whoever we call"),
        ({"collects": None}, "collects", "Name at least one person who may collect"),
        ({"others": 1, "others__0__name": "", "others__0__phone": ""}, "others-0-name", "or take this person away"),
        ({"photos": None}, "photos", "Choose yes or no about photos."),
        ({"signed": "  "}, "signed", "Type your name under the text to sign it."),
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

    for sentence in ("Por favor, revise 3 puntos", "Escriba su nombre debajo del texto para firmarlo.",
                     "Escriba el teléfono con números", "Elija sí o no sobre las fotos."):  # fmt: skip
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
    words = {"en": "On its day this child is 13.", "es": "Ese día este niño o esta niña tendrá 13."}
    assert words[language] in beside
    assert reverse("come-clinic", args=[fits.pk]) in beside
    assert reverse("come-clinic", args=[full.pk]) not in beside
    assert page.text.count('class="note fits"') == 1


def test_where_no_clinic_fits_the_telephone_is_given(clinic, send):
    assert (
        "No coming clinic with a free place takes this age"
        in send(children__0__birth_date=years(3, clinic).isoformat()).text
    )


def test_a_grown_up_is_not_a_child(clinic, send):
    AgeBand.objects.filter(clinic=clinic).update(oldest=60)

    assert "is grown up" in send(children__0__birth_date="1985-05-05").text


def test_forty_children_by_hand_are_too_many(clinic, send):
    forty = {f"children__{n}__{key}": value for n in range(40) for key, value in (
        ("name", f"Child {n}"), ("birth_date", years(8, clinic).isoformat()), ("experience", "new"))}  # fmt: skip
    for count in (40, 6, "x", ""):
        page = send(children=count, **forty)
        assert page.status_code == 422 and "One form takes up to 6 children" in page.text
    assert not Child.objects.exists()


@pytest.mark.parametrize(
    "name", ["<script>alert(1)</script>", "Robert'); drop table people_child;--", "מרים كوثر", "Zoë 🏀👩‍👧", "&amp;"]
)
def test_any_name_is_kept_byte_for_byte_and_shown_as_words(send, name):
    page = send(children__0__name=name)

    assert Child.objects.get().name == name
    assert "<script>alert" not in page.text and Child.objects.get().given_name


def test_a_field_that_people_do_not_see_keeps_nothing_and_says_so(send):
    page = send(website="https://example.org")

    assert page.status_code == 422 and "Please send the form again" in page.text
    assert not Registration.objects.exists() and "https://example.org" not in page.text


# --- what changes meanwhile


def test_a_clinic_cancelled_meanwhile_is_said_and_what_was_typed_stays(clinic, send, coordinator, now):
    cancel_clinic(clinic=clinic, because="The heating failed", by=coordinator, now=now)
    page = send()

    assert page.status_code == 422 and "This clinic is cancelled." in page.text and 'value="Wren Ash"' in page.text
    assert not Child.objects.exists()


def test_a_clinic_that_filled_up_meanwhile_has_the_child_wait(clinic, household, send, now):
    for _ in range(2):
        register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now)

    assert "waits as number 1" in send().text


@pytest.mark.parametrize(
    ("changes", "status", "sentence"),
    [
        ({"status": Status.CANCELLED}, 410, "This clinic is cancelled"),
        ({"takes_families": False}, 410, "Families can’t register for this clinic"),
        ({"status": Status.TENTATIVE}, 410, "Families can’t register for this clinic"),
    ],
)
def test_the_code_on_an_old_poster_says_how_things_stand(clinic, stranger, changes, status, sentence):
    type(clinic).objects.filter(pk=clinic.pk).update(**changes)
    page = stranger.get(reverse("come-clinic", args=[clinic.pk]))

    assert page.status_code == status and sentence in page.content.decode()
    assert clinic.center.name not in page.content.decode()
    assert stranger.get(reverse("come-clinic", args=[clinic.pk + 999])).status_code == 404


def test_a_clinic_that_has_begun_takes_nobody(clinic, stranger, send):
    type(clinic).objects.filter(pk=clinic.pk).update(starts_at=clock.now() - timedelta(minutes=1))

    assert stranger.get(reverse("come-clinic", args=[clinic.pk])).status_code == 410
    assert "has begun" in send().text and not Child.objects.exists()


# --- the page afterwards


def test_the_page_follows_what_becomes_of_the_places(clinic, send, stranger, now):
    done = send(**second(clinic)).redirect_chain[-1][0]
    third = send(email="ivy@example.org", children__0__name="Ivy Moss").redirect_chain[-1][0]
    end_place(place=Place.objects.filter(state=PlaceState.HELD)[0], because="ill", now=now)

    assert "no place any more" in stranger.get(done).content.decode()
    assert "a place came free" in stranger.get(third).content.decode()


@pytest.mark.parametrize(
    ("language", "sentence"), [("en", "This link is not complete"), ("es", "Este enlace no está completo")]
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
        return stranger.get(reverse("come-done", args=[token])).status_code

    assert status("registered", now - timedelta(seconds=1)) == 410
    assert status("family", now + timedelta(days=1)) == 404
    assert status("registered", now + timedelta(days=1)) == 200


# --- limits and the way back


def test_twenty_one_sendings_an_hour_from_one_place_are_too_many_and_nothing_typed_is_lost(clinic, send):
    AgeBand.objects.filter(clinic=clinic).update(children=100)
    for number in range(20):
        assert send(email=f"guardian{number}@example.org", follow=False).status_code == 302
    page = send(email="last@example.org")

    assert page.status_code == 429 and "many times in a short while" in page.text and 'value="Wren Ash"' in page.text
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
    known = stranger.post(reverse("come"), {"email": "ROWAN@example.org", "in": "es"}, follow=True)
    unknown = stranger.post(reverse("come"), {"email": "nobody@example.org", "in": "es"}, follow=True)

    assert known.content == unknown.content and "Busque nuestro correo" in known.content.decode()
    note = Note.objects.get(kind=NoteKind.FAMILY_LINK)
    assert note.to_email == "rowan@example.org" and note.guardian == Guardian.objects.get()


def test_an_address_nobody_confirmed_gets_no_link(send, stranger):
    send()
    stranger.post(reverse("come"), {"email": "rowan@example.org"})

    assert not Note.objects.filter(kind=NoteKind.FAMILY_LINK).exists()


def test_asking_for_a_link_is_limited_alike_for_known_and_unknown_addresses(clinic, stranger):
    answers = [stranger.post(reverse("come"), {"email": "nobody@example.org"}).status_code for _ in range(6)]

    assert answers == [302] * 5 + [429]
    assert stranger.post(reverse("come"), {"email": "nobody"}).status_code == 422


# --- the text that is shipped


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
    page = strict.post(reverse("come-clinic", args=[clinic.pk]), typed("es"))

    assert page.status_code == 403 and "Por favor, envíelo una vez más" in page.content.decode()


def test_families_register_while_redis_is_away(send, settings):
    settings.CACHES = {"default": settings.CACHES["default"] | {"LOCATION": "redis://127.0.0.1:9/0"}}

    assert "has a place" in send().text
