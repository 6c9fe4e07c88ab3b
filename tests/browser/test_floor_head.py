"""A hit to the head, reported by thumb: the next clinic's phone marks the child and asks, until there is a note."""

from datetime import date
from types import SimpleNamespace

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from core import clock
from families.models import Spot, SpotState
from floor.models import FloorAction, Incident, IncidentFollowUp, SignIn
from floor.services.phones import open_phone
from tests.browser.floor_page import all_sent, at_part, line, load

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.fixture
def next_floor(floor, make_clinic, make_shift, make_assignment):
    """Tomorrow's clinic with the same children and lead, its floor page already on a phone."""
    clinic = make_clinic(days=1)
    for child in floor.children:
        guardian = child.guardianships.all()[0].guardian
        Spot.objects.create(
            clinic=clinic, child=child, guardian=guardian, state=SpotState.HELD, age=9, asked_at=clock.now()
        )
    make_assignment(make_shift(clinic, "lead"), floor.lead.volunteer)
    _, secret = open_phone(clinic=clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.9", now=clock.now())
    return SimpleNamespace(clinic=clinic, secret=secret)


@pytest.fixture
def by_thumb(new_context, live_server):
    def inner(floor):
        context = new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
        context.set_default_timeout(10_000)
        name = f"floor{floor.clinic.pk}"
        context.add_cookies([{"name": name, "value": floor.secret, "url": f"{live_server.url}/floor/"}])
        return context

    return inner


def report(page, sort, who, what):
    at_part(page, "Incident")
    page.get_by_role("button", name=sort).tap()
    page.locator("#happened-who").select_option(label=who)
    page.get_by_label("What happened").fill(what)
    page.get_by_role("button", name="Save the report").tap()
    expect(page.locator("#happened-list")).to_contain_text(what)


def test_a_head_injury_goes_on_until_the_office_has_a_providers_note(by_thumb, floor, next_floor, sign_in, coordinator):
    page = load(by_thumb(floor), floor)
    for name in ("Wren Ash", "Fern Moss"):
        line(page, name).get_by_role("button", name="Sign in").tap()
    report(page, "Hit to the head", "Wren Ash", "Ran into the wall")
    all_sent(page)
    assert Incident.objects.get().sort == "head"

    later = load(by_thumb(next_floor), next_floor)
    expect(line(later, "Wren Ash")).to_contain_text("not to play until cleared")
    expect(line(later, "Fern Moss")).not_to_contain_text("not to play")
    expect(later.locator("body")).not_to_contain_text("Ran into the wall")
    line(later, "Wren Ash").get_by_role("button", name="Sign in").tap()
    box = line(later, "Wren Ash").locator(".coming")
    expect(box).to_contain_text("was hit on the head on")
    expect(box).to_contain_text("They may watch; no play until a health care provider clears them.")
    box.get_by_role("button", name="Not coming in").tap()
    expect(box).to_have_count(0)
    assert not SignIn.objects.filter(clinic=next_floor.clinic).exists()
    line(later, "Wren Ash").get_by_role("button", name="Sign in").tap()
    box.get_by_role("button", name="Sign in to watch, not play").tap()
    expect(line(later, "Wren Ash").get_by_role("button", name="sign out")).to_be_visible()
    all_sent(later)
    assert '"despite": "not cleared"' in FloorAction.objects.get(clinic=next_floor.clinic).facts

    office = sign_in(coordinator)
    office.goto(reverse("ahead"))
    office.get_by_role("link", name="Record follow-up").click()
    expect(office.locator("main")).to_contain_text("Your state’s law and your league’s rules come first.")
    today: date = floor.clinic.day
    office.get_by_label("Who told the guardian").fill("Oswin Tarrant")
    office.get_by_label("Day", exact=True).fill(f"{today}")
    office.get_by_label("Time", exact=True).fill("08:00")
    office.get_by_label("Cleared to return by a health care provider").check()
    office.get_by_role("button", name="Save follow-up").click()
    expect(office.locator("main")).to_contain_text("Enter the health care provider’s name and practice.")
    office.get_by_label("Health care provider: name and practice").fill("Ada Fenn, Larkmoor Pediatrics")
    office.get_by_label("Cleared on").fill(f"{today}")
    office.get_by_label("What you saw").fill("Signed note")
    office.get_by_role("button", name="Save follow-up").click()
    expect(office.locator("main")).to_contain_text("Nothing is left to do.")
    assert IncidentFollowUp.objects.get().cleared_on == today

    # The phone hears of it with its next sending, without being opened again.
    line(later, "Fern Moss").get_by_role("button", name="Sign in").tap()
    expect(line(later, "Wren Ash")).not_to_contain_text("not to play until cleared")


def test_each_kind_says_what_to_mind_and_a_serious_one_must_say_who(by_thumb, floor):
    page = load(by_thumb(floor), floor)
    line(page, "Wren Ash").get_by_role("button", name="Sign in").tap()
    at_part(page, "Incident")
    page.get_by_role("button", name="Save the report").tap()
    expect(page.get_by_text("Choose what kind of incident it was.")).to_be_visible()
    for kind, words in (
        ("Hit to the head", "Take them out of play now"),
        ("Trouble breathing", "their own inhaler"),
        ("Seizure", "Put nothing in their mouth"),
        ("Allergic reaction", "epinephrine auto-injector"),
        ("Heavy bleeding", "Push down hard on the wound"),
        ("Something else", "Stay with them"),
    ):
        page.get_by_role("button", name=kind).tap()
        expect(page.locator("#blow")).to_contain_text(words)
        expect(page.locator("#blow")).to_contain_text(
            "Call 911 for:" if kind != "Allergic reaction" else "Call 911 at once for:"
        )
        expect(page.locator("#blow")).to_contain_text("Your local emergency plan comes first.")
        key = page.get_by_role("button", name=kind).bounding_box()
        assert key is not None and key["height"] >= 44
    page.get_by_role("button", name="Seizure").tap()
    page.get_by_label("What happened").fill("Fell asleep afterward")
    page.get_by_role("button", name="Save the report").tap()
    expect(page.get_by_text("Choose who it happened to")).to_be_visible()
    page.locator("#happened-who").select_option(label="No one on the list")
    page.get_by_role("button", name="Save the report").tap()
    expect(page.locator("#happened-list")).to_contain_text("Fell asleep afterward")
    all_sent(page)
    row = Incident.objects.get()
    assert (row.sort, row.head, row.child) == ("seizure", False, None)


def test_a_child_hurt_today_is_asked_about_before_coming_in_again(by_thumb, floor):
    page = load(by_thumb(floor), floor)
    line(page, "Wren Ash").get_by_role("button", name="Sign in").tap()
    report(page, "Hit to the head", "Wren Ash", "Ran into the wall")
    at_part(page, "Door")
    expect(line(page, "Wren Ash")).to_contain_text("sitting out today")
    line(page, "Wren Ash").get_by_role("button", name="sign out").tap()
    line(page, "Wren Ash").get_by_role("button", name="Uncle Bram").tap()
    line(page, "Wren Ash").get_by_role("button", name="sign in again").tap()
    expect(line(page, "Wren Ash").locator(".coming")).to_contain_text("isn’t cleared to play")
