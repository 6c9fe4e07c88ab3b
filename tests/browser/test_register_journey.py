"""A guardian on a phone, in Spanish, without JavaScript: two children, one of whom waits until a spot comes free.

The note about it arrives by a real mail server and is answered, and the sign-in sheet says whose waiver expired.
"""

import uuid
from datetime import date, timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.cache import cache
from django.utils import translation
from playwright.sync_api import expect

from clinics.models import AgeBand
from core import clock, languages
from core.formats import long_day
from families.letters.families import SPOT_OFFER
from families.models import Child, Spot, SpotState, Waiver
from families.services.placeholder_texts import publish_placeholder_if_none
from families.services.registering import register
from families.services.spots import end_spot
from outbox.models import Note
from outbox.services.sending import send_due
from tests.mailbox import link_in

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.fixture
def texts(db):
    cache.clear()
    languages.write_words()
    return publish_placeholder_if_none(now=clock.now())


@pytest.fixture
def waiver_text(texts):
    return next(text for text in texts if text.language == "en")


@pytest.fixture
def phone(new_context, live_server, settings):
    """390 px wide, Spanish, no JavaScript; axe is run from outside on a copy that may run it."""
    settings.SITE_URL = live_server.url
    settings.CSRF_TRUSTED_ORIGINS = [live_server.url]
    context = new_context(viewport={"width": 390, "height": 844}, locale="es-MX", java_script_enabled=False)
    context.set_default_timeout(15_000)
    return context.new_page()


@pytest.fixture
def clean(new_context, live_server):
    """Whether axe finds something in the page as it stands, and whether it needs sideways scrolling."""
    context = new_context(viewport={"width": 390, "height": 844}, bypass_csp=True)

    def inner(page):
        copy = context.new_page()
        copy.goto(live_server.url + "/health/alive")
        copy.set_content(page.content().replace("<head>", f'<head><base href="{live_server.url}/">'))
        copy.wait_for_load_state("load")
        found = Axe().run(copy).response["violations"]
        wide = copy.evaluate("document.documentElement.scrollWidth")
        assert copy.evaluate("getComputedStyle(document.querySelector('h1')).fontWeight") == "700"
        copy.close()
        return [(v["id"], [node["html"] for node in v["nodes"]]) for v in found], wide

    return inner


def years(count, clinic):
    return date(clinic.day.year - count, 1, 15).isoformat()


def test_two_children_register_in_spanish_and_the_one_who_waits_gets_the_spot_that_comes_free(
    phone, clean, make_clinic, household, now, box, sign_in, coordinator, console
):
    clinic = make_clinic(ages=(7, 8), children=2, theme="Puentes de papel")
    AgeBand.objects.create(clinic=clinic, youngest=9, oldest=12, children=1)
    first = register(
        clinic=clinic,
        facts=household(("Hazel Moss", date(clinic.day.year - 10, 1, 15))),
        once=uuid.uuid4(),
        now=now,
    ).spots[0]

    phone.goto("/register/")
    title = "Baloncesto y taller de ciencias gratis para niñas y niños"
    expect(phone.get_by_role("heading", level=1)).to_have_text(title)
    expect(phone.get_by_text("Cupo lleno: quedaría en lista de espera")).to_be_visible()
    assert clean(phone) == ([], 390)
    phone.get_by_role("link", name=clinic_day(clinic)).click()

    phone.get_by_role("button", name="Inscribir a mi niña o niño").click()
    expect(phone.get_by_role("alert")).to_contain_text("No se envió nada")
    assert clean(phone) == ([], 390)
    phone.get_by_role("alert").get_by_role("link", name="Escriba su nombre.", exact=True).click()
    phone.get_by_role("textbox", name="Su nombre", exact=True).fill("María Peña")
    phone.get_by_label("Correo electrónico").fill("maria@example.org")
    child = phone.get_by_role("group", name="Su niña o niño")
    child.get_by_label("Nombre").fill("Iñaki Peña")
    child.get_by_label("Fecha de nacimiento").fill(years(7, clinic))
    child.get_by_label("Ninguna alergia conocida").check()
    phone.get_by_role("button", name="Agregar otra niña u otro niño").click()

    child = phone.get_by_role("group", name="Niña o niño 2")
    child.get_by_label("Nombre").fill("Lucía Peña")
    child.get_by_label("Fecha de nacimiento").fill(years(10, clinic))
    child.get_by_label("Sí", exact=True).check()
    child.get_by_label("Si tiene, cuáles").fill("Cacahuetes")
    emergency = phone.get_by_role("group", name="Contacto de emergencia")
    emergency.get_by_label("Nombre").fill("Tía Rosa")
    emergency.get_by_label("Teléfono").fill("555-0123")
    phone.get_by_label("No, sin fotos, por favor").check()
    phone.get_by_label("Escriba su nombre completo para firmar").fill("María Peña")
    phone.get_by_role("button", name="Inscribir a mis niñas y niños").click()

    expect(phone.get_by_role("heading", level=1)).to_have_text("Gracias. Recibimos su inscripción")
    expect(phone.get_by_role("listitem").filter(has_text="Iñaki")).to_contain_text("tiene un lugar")
    expect(phone.get_by_role("listitem").filter(has_text="Lucía")).to_contain_text("número 1 en la lista de espera")
    assert clean(phone) == ([], 390)
    assert Child.objects.get(name="Lucía Peña").allergies == "Cacahuetes"

    end_spot(spot=first, because="ill", now=clock.now())
    phone.reload()
    expect(phone.get_by_role("listitem").filter(has_text="Lucía")).to_contain_text("se liberó un lugar")
    spot = Spot.objects.get(child__name="Lucía Peña")
    assert spot.state == SpotState.HELD and spot.answer_by is not None
    note = Note.objects.get(kind=SPOT_OFFER)
    assert note.number_of(Spot) == spot.pk and note.to_email == "maria@example.org" and "Lucía" not in note.summary

    take_the_spot_from_the_mail(phone, clean, box, spot)
    the_sign_in_sheet_says_whose_waiver_expired(clinic, sign_in, coordinator, console)


def take_the_spot_from_the_mail(phone, clean, box, spot):
    """The note arrives, in Spanish, and one press takes the spot."""
    send_due()
    mail = next(
        one for one in box.to("maria@example.org") if "lugar" in str(one["Subject"]) and "/spot/" in link_in(one)
    )
    assert str(mail["Subject"]).strip().startswith("Se liberó un lugar") and "Lucía" not in str(mail["Subject"])
    phone.goto(link_in(mail))
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Se liberó un lugar para Lucía el")
    assert clean(phone) == ([], 390)
    phone.get_by_role("button", name="Sí, Lucía va a venir").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Lucía tiene un lugar.")
    spot.refresh_from_db()
    assert spot.state == SpotState.HELD and spot.answer_by is None


def the_sign_in_sheet_says_whose_waiver_expired(clinic, sign_in, coordinator, console):
    """Iñaki's signature ran out the day before the clinic; Lucía's holds. The sign-in sheet says both in words."""
    expired = Waiver.objects.get(child__name="Iñaki Peña")
    day = clinic.day - timedelta(days=1)
    Waiver.objects.filter(pk=expired.pk).update(until=day, signed_on=day - timedelta(days=364))
    desk = sign_in(coordinator, 1280)
    desk.goto(f"/clinics/{clinic.pk}/door/")
    desk.get_by_role("button", name="Open the sign-in sheet").click()
    row = desk.locator("tr, li").filter(has_text="Iñaki Peña").first
    expect(row).to_contain_text("expired")
    other = desk.locator("tr, li").filter(has_text="Lucía Peña").first
    expect(other).to_be_visible()
    expect(other).not_to_contain_text("expired")
    expect(desk.get_by_text("1 child without a current waiver")).to_be_visible()
    assert console == []


def clinic_day(clinic):
    with translation.override("es"):
        return long_day(clinic.day).capitalize()
