"""A child whose waiver is missing is not signed in by one tap: signed on this phone, on paper, or not at all."""

import pytest
from playwright.sync_api import expect

from core import clock
from families.models import Guardian, Waiver, WaiverText
from floor.models import DoorPolicy, PaperWaiver, SignIn
from tests.browser.floor_page import all_sent, find_signal, fresh, line, load, lose_signal, wake

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.fixture
def touch(new_context, live_server, floor):
    """The lead's phone, touched by thumbs; Fern has no waiver, and her guardian reads Spanish."""
    Waiver.objects.filter(child__name="Fern Moss").delete()
    Guardian.objects.filter(guardianships__child__name="Fern Moss").update(language="es", name="Alma Moss")
    english = WaiverText.objects.get()
    WaiverText.objects.create(
        version=english.version,
        language="es",
        title="Autorización",
        body="Entiendo y acepto.",
        published_at=clock.now(),
    )
    context = new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.set_default_timeout(10_000)
    cookie = {"name": f"floor{floor.clinic.pk}", "value": floor.secret, "url": f"{live_server.url}/floor/"}
    context.add_cookies([cookie])
    return context


def key(page, name):
    return line(page, name).get_by_role("button", name="Sign in", exact=False).first


def test_one_tap_signs_nobody_in_without_a_waiver_and_not_without_leaves_them_out(touch, floor):
    page = load(touch, floor)
    key(page, "Fern Moss").tap()
    expect(page.get_by_text("Fern has no waiver on file.")).to_be_visible()
    expect(page.locator("#tally")).to_contain_text("0 of 3 children here")
    page.get_by_role("button", name="Not without a waiver").tap()
    expect(page.get_by_text("Fern has no waiver on file.")).to_have_count(0)
    key(page, "Bryn Vale").tap()
    expect(page.locator("#tally")).to_contain_text("1 of 3 children here")
    all_sent(page)

    assert list(SignIn.objects.values_list("child__name", flat=True)) == ["Bryn Vale"]


def test_a_guardian_signs_in_their_language_on_the_phone_without_signal_and_it_is_kept_once(touch, floor):
    page = load(touch, floor)
    lose_signal(touch)
    key(page, "Fern Moss").tap()
    page.get_by_role("button", name="Sign on this phone now").tap()
    expect(page.get_by_text("Entiendo y acepto.")).to_be_visible()
    page.get_by_role("button", name="English").tap()
    expect(page.get_by_role("heading", name=floor_title())).to_be_visible()
    page.get_by_role("button", name="Spanish").or_(page.get_by_role("button", name="Español")).tap()
    page.locator("#waiver-sign").tap()
    expect(page.locator("[lang=es] .invalid-feedback")).to_be_visible()
    page.locator("#waiver-name").fill("Alma Moss")
    page.locator("#waiver-sign").tap()
    expect(line(page, "Fern Moss").get_by_role("button", name="sign out")).to_be_visible()
    expect(line(page, "Fern Moss")).not_to_contain_text("waiver missing")
    page.reload()
    expect(line(page, "Fern Moss")).not_to_contain_text("waiver missing")
    find_signal(touch)
    wake(page)
    all_sent(page)
    page.reload()
    fresh(page)

    waiver = Waiver.objects.get(child__name="Fern Moss")
    assert (waiver.typed_name, waiver.text.language, str(waiver.guardian)) == ("Alma Moss", "es", "Alma Moss")
    assert "Oswin Tarrant" in waiver.signed_where and waiver.signed_on == floor.clinic.day
    assert SignIn.objects.filter(child__name="Fern Moss").count() == 1
    expect(line(page, "Fern Moss")).not_to_contain_text("waiver missing")


def test_a_sheet_of_paper_is_said_on_the_line_and_is_no_waiver_yet(touch, floor):
    page = load(touch, floor)
    key(page, "Fern Moss").tap()
    page.get_by_role("button", name="Guardian signs on paper, sheet in the folder").tap()
    expect(line(page, "Fern Moss")).to_contain_text("paper waiver in the folder")
    expect(page.locator("#tally")).to_contain_text("1 of 3 children here")
    all_sent(page)

    assert PaperWaiver.objects.get().child.name == "Fern Moss"
    assert not Waiver.objects.filter(child__name="Fern Moss").exists()


def test_what_the_admin_does_not_allow_is_not_offered(touch, floor):
    DoorPolicy.objects.create(pk=1, sign_on_phone=False, sign_on_paper=False)
    page = load(touch, floor)
    key(page, "Fern Moss").tap()
    expect(page.get_by_text("Fern can’t come in without one. Call our office at")).to_be_visible()
    expect(page.get_by_role("button", name="Sign on this phone now")).to_have_count(0)
    expect(page.get_by_role("button", name="Guardian signs on paper")).to_have_count(0)
    page.get_by_role("button", name="Not without a waiver").tap()
    expect(page.locator("#tally")).to_contain_text("0 of 3 children here")


def floor_title():
    return WaiverText.objects.get(language="en").title
