"""Somebody whose name is like that of one who must not pick up: released only with a reason, and the office reads it."""

import json

import pytest
from playwright.sync_api import Page, expect

from families.models import PickupPerson
from floor.models import FloorAction, SignIn
from tests.browser.floor_page import all_sent, line, load, lose_signal, sign_in

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


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


def key(page: Page, name: str):
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
