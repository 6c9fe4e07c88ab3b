"""A name like that of one who must not pick up: the lead releases only with a reason, and the office reads it."""

import json
from io import BytesIO

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from clinics.rules.pictures import make_portrait
from families.models import PickupPerson
from families.services.looks import change_looks
from floor.models import FloorAction, SignIn
from tests.browser.floor_page import all_sent, line, load, lose_signal, sign_in

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
BEHIND = """() => document.querySelector(".why").getBoundingClientRect().top
  < document.querySelector("#alarm").getBoundingClientRect().bottom - 1"""


@pytest.fixture
def touched(new_context, live_server, floor, console):
    """The lead's phone, worked with a thumb."""
    context = new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    context.set_default_timeout(10_000)
    address = f"{live_server.url}/floor/"
    context.add_cookies([{"name": f"floor{floor.clinic.pk}", "value": floor.secret, "url": address}])
    context.on("weberror", lambda problem: console.append(str(problem.error)))
    return context


@pytest.fixture
def barred(floor, coordinator, now):
    return PickupPerson.objects.create(
        child=floor.children[2], name="Bram Ash", must_not=True, seen="A court order", recorded_by=coordinator,
        recorded_at=now,
    )  # fmt: skip


def key(page: Page, name: str) -> Locator:
    return line(page, "Bryn Vale").get_by_role("button", name=name)


def test_a_name_like_a_barred_one_is_not_released_by_two_taps(touched, floor, barred, console):
    page = load(touched, floor)
    sign_in(page, "Bryn Vale")
    key(page, "sign out").tap()
    page.get_by_label("Someone else (name)").fill("Bram Ashe")
    key(page, "Someone else is picking up").tap()
    expect(line(page, "Bryn Vale").get_by_role("alert")).to_contain_text(
        "Bram Ashe may be Bram Ash, who must not pick up Bryn. Keep the child inside and call our office at"
    )
    # In sight, not behind the alarm.
    expect(line(page, "Bryn Vale").get_by_role("alert")).to_be_in_viewport(ratio=1)
    assert page.evaluate(BEHIND) is False
    # No second tap lets the child go, and none without words.
    key(page, "I checked: release to Bram Ashe").tap()
    expect(line(page, "Bryn Vale")).to_contain_text("Enter how you know that this is someone else.")
    page.get_by_label("Why are you sure this is someone else?").fill(" . ")
    key(page, "I checked: release to Bram Ashe").tap()
    expect(key(page, "I checked: release to Bram Ashe")).to_be_visible()
    all_sent(page)
    assert SignIn.objects.get().out_at is None
    # Without signal too.
    lose_signal(touched)
    page.get_by_label("Why are you sure this is someone else?").fill("Photo ID, it’s his brother")
    key(page, "I checked: release to Bram Ashe").tap()
    expect(key(page, "sign in again")).to_be_visible()
    assert console == []


def test_the_reason_goes_with_the_entry(touched, floor, barred):
    page = load(touched, floor)
    sign_in(page, "Bryn Vale")
    key(page, "sign out").tap()
    page.get_by_label("Someone else (name)").fill("Bram Ashe")
    key(page, "Someone else is picking up").tap()
    page.get_by_label("Why are you sure this is someone else?").fill("Photo ID, it’s his brother")
    key(page, "I checked: release to Bram Ashe").tap()
    expect(key(page, "sign in again")).to_be_visible()
    all_sent(page)
    assert SignIn.objects.get().pickup == "Bram Ashe"
    said = json.loads(FloorAction.objects.get(kind="out").facts)
    assert (said["near"], said["reason"]) == ("Bram Ash", "Photo ID, it’s his brother")


def test_who_is_on_the_list_goes_in_two_taps_unless_the_name_is_like(touched, floor, barred, coordinator, now):
    for name in ("Petra Moss", "Bram Vale"):
        PickupPerson.objects.create(child=floor.children[2], name=name, recorded_by=coordinator, recorded_at=now)
    page = load(touched, floor)
    sign_in(page, "Bryn Vale")
    key(page, "sign out").tap()
    expect(key(page, "Bram Vale")).to_contain_text("check ID: like Bram Ash")
    key(page, "Bram Vale").tap()
    expect(line(page, "Bryn Vale").get_by_role("alert")).to_contain_text("Bram Vale may be Bram Ash")
    key(page, "Back to the pickup list").tap()
    key(page, "Petra Moss").tap()
    expect(key(page, "sign in again")).to_be_visible()
    all_sent(page)
    assert SignIn.objects.get().pickup == "Petra Moss"
    assert "near" not in json.loads(FloorAction.objects.get(kind="out").facts)


def test_the_very_name_is_refused_however_it_is_written(touched, floor, barred):
    page = load(touched, floor)
    sign_in(page, "Bryn Vale")
    key(page, "sign out").tap()
    for typed in ("bram ÁSH", "Ash, Bram", "Bram-Ash"):
        page.get_by_label("Someone else (name)").fill(typed)
        for _ in range(2):
            key(page, "Someone else is picking up").tap()
            expect(line(page, "Bryn Vale")).to_contain_text("Bram Ash must not pick up Bryn. Keep the child inside")
        expect(key(page, "I checked")).to_have_count(0)
    all_sent(page)
    assert SignIn.objects.get().out_at is None


def test_what_they_look_like_shows_without_signal(touched, floor, barred, console):
    out = BytesIO()
    Image.new("RGB", (400, 500), "#7a5230").save(out, "JPEG")
    change_looks(
        pickup_person=barred, description="Gray beard, blue van", photo=make_portrait(out.getvalue()),
        remove_photo=False,
    )  # fmt: skip
    page = load(touched, floor)
    sign_in(page, "Bryn Vale")
    lose_signal(touched)
    key(page, "sign out").tap()
    box = page.locator(".going .must-not")
    expect(box).to_contain_text("Gray beard, blue van")
    photo = box.get_by_role("img", name="Photo of Bram Ash")
    assert photo.evaluate("(one) => one.decode().then(() => one.naturalWidth)") == 400
    line(page, "Bryn Vale").locator("summary").tap()
    expect(page.locator("dd", has_text="Gray beard, blue van").get_by_role("img")).to_be_visible()
    assert console == []


def test_axe_finds_nothing_in_the_step_and_no_target_is_small(floor_phone, floor, barred):
    page = load(floor_phone(bypass_csp=True), floor)
    sign_in(page, "Bryn Vale")
    key(page, "sign out").click()
    page.get_by_label("Someone else (name)").fill("Bram Ashe")
    key(page, "Someone else is picking up").click()
    key(page, "I checked: release to Bram Ashe").click()
    expect(page.get_by_label("Why are you sure this is someone else?")).to_be_focused()

    assert [one["id"] for one in Axe().run(page).response["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    sizes = page.evaluate(
        "[...document.querySelectorAll('.going button, .going input')].map((one) => one.offsetHeight)"
    )
    assert len(sizes) == 4 and min(sizes) >= 44
