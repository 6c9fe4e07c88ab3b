"""A spot comes free, and a guardian takes it from a phone, in Spanish. In Chromium, with a real mail server."""

import uuid

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from core import clock, links
from families.models import Child, Spot
from families.services.registering import register
from families.services.spots import end_spot
from outbox.services.sending import send_due
from tests.households import confirmed, eight, family_address
from tests.mailbox import link_in

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.fixture
def offered(make_clinic, household):
    """Wrenna waits for a spot at a full clinic, and then one comes free."""
    clinic, now = make_clinic(children=1), clock.now()
    make_clinic(days=17)
    first = register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now).spots[0]
    facts = household(
        ("Wrenna Thornapple", eight(clinic)),
        guardian_name="Perdita Ash",
        email="perdita@example.org",
        language="es",
    )
    spot = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).spots[0]
    send_due()
    end_spot(spot=first, because="ill", now=now)
    send_due()
    return spot


@pytest.fixture
def phone(open_page):
    return open_page(390, bypass_csp=True)


def narrow(page):
    return page.evaluate("document.documentElement.scrollWidth") <= 390


def nothing_found(page):
    found = Axe().run(page).response["violations"]
    assert found == [], [(one["id"], [node["html"] for node in one["nodes"]]) for one in found]


def test_a_spot_that_came_free_is_taken_from_the_mailed_link_in_spanish(box, console, open_page, offered):
    phone = open_page(390)
    mail = box.wait_for("perdita@example.org", 2)
    assert str(mail["Subject"]).strip().startswith("Se liberó un lugar") and "Wrenna" not in str(mail["Subject"])
    phone.goto(link_in(mail))
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Se liberó un lugar para Wrenna el")
    assert Spot.objects.get(pk=offered.pk).answer_by is not None and narrow(phone)
    phone.get_by_role("button", name="Sí, Wrenna va a venir").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Wrenna tiene un lugar.")
    assert Spot.objects.get(pk=offered.pk).answer_by is None
    send_due()
    assert "tiene un lugar" in box.wait_for("perdita@example.org", 3).get_body(("plain",)).get_content()

    # The page of the family from the same mails: who it is, then another day in one press.
    guardian = offered.guardian
    phone.goto(family_address(guardian))
    phone.get_by_role("button", name="Sí, soy yo").click()
    expect(phone.get_by_role("heading", name="Próximos encuentros")).to_be_visible()
    phone.get_by_role("button", name="Inscribir a Wrenna").click()
    expect(phone.get_by_role("status")).to_contain_text("¡Listo!")
    assert Spot.objects.filter(child=offered.child).count() == 2 and narrow(phone)
    phone.get_by_role("button", name="Switch to English").click()
    expect(phone.get_by_role("heading", name="Upcoming clinics")).to_be_visible()
    phone.get_by_text("Wrenna can’t come").first.click()
    phone.get_by_role("button", name="Yes, give up the spot").first.click()
    expect(phone.get_by_role("status")).to_contain_text("Another child can have it")
    assert console == []


def test_axe_finds_nothing_on_the_pages_of_a_family(box, phone, offered, make_clinic):
    token = links.make(
        "spot", subject=offered.pk, counter=Spot.objects.get(pk=offered.pk).link_counter,
        expires_at=offered.clinic.starts_at,
    )  # fmt: skip
    phone.goto(family_address(offered.guardian))
    nothing_found(phone)
    guardian = confirmed(offered.guardian, clock.now())
    child, clinic = Child.objects.get(name="Wrenna Thornapple"), make_clinic(days=20)
    for where in (
        f"/spot/{token}/",
        family_address(guardian),
        family_address(guardian, route="family-child", args=[child.pk]),
        family_address(guardian, route="family-child-new"),
        family_address(guardian, route="family-clinic", args=[clinic.pk]),
        family_address(guardian, route="family-signed", args=[child.waivers.get().pk]),
        "/spot/made-up/",
    ):
        phone.goto(where)
        nothing_found(phone)
        assert narrow(phone), where
