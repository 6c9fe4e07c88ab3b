"""What the office changes while the lead's page is open: the page follows at its next sending, and nothing is lost."""

from datetime import timedelta

import pytest
from playwright.sync_api import expect

from core import clock
from families.models import Spot
from families.services.spot_books import give_up_spot
from floor.models import FloorDay, SignIn
from runsheets.models import RunSheetPlan
from scheduling.services.cancelling import cancel_clinic
from tests.browser.floor_page import (
    all_sent,
    at_part,
    find_signal,
    in_store,
    line,
    load,
    lose_signal,
    sign_in,
    sign_out,
    soon,
    wake,
)

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
DAY = "return await unlock(await settled(rows('day').get('day')))"


def station(name):
    return {"code": name.lower().replace(" ", "-"), "name": name, "kind": "opener", "teaching": [], "safety": []}


def make_sheet(floor, coordinator, *slots, rest_of=None):
    """A sheet that was found; ``slots``: name, start, minutes."""
    return RunSheetPlan.objects.create(
        clinic=floor.clinic,
        state=RunSheetPlan.State.READY,
        groups=[{"code": "A", "children": [], "count": 3, "youngest": 9, "oldest": 9, "advanced": False}],
        facts={},
        result={
            "activities": [station(name) for name, _, _ in slots],
            "slots": [
                {"start": start, "minutes": minutes, "kind": "opener", "adults": {}, "spare": [],
                 "stations": {"A": station(name)["code"]}}
                for name, start, minutes in slots
            ],
        },
        rest={"done": 0} if rest_of else {},
        rest_of=rest_of,
        asked_by=coordinator,
        asked_at=clock.now(),
    )  # fmt: skip


def test_a_rest_planned_again_is_not_moved_by_what_was_tapped_on_the_sheet_before(floor_phone, floor, now, coordinator):
    floor.clinic.starts_at = now.replace(second=0, microsecond=0) - timedelta(minutes=22)
    floor.clinic.save()
    began = floor.clinic.starts_at.astimezone(floor.clinic.center.tz)
    first = make_sheet(floor, coordinator, ("Partner shooting", 0, 10), ("Paper bridges", 30, 20), ("Closer", 50, 10))
    page = load(floor_phone(), floor)
    at_part(page, "Run sheet")
    # Eight minutes early: the closer follows.
    page.get_by_role("button", name="Start this slot now").click()
    expect(page.locator("#now")).to_contain_text("Now: Paper bridges")
    all_sent(page)

    make_sheet(
        floor, coordinator, ("Partner shooting", 0, 10), ("Shot arcs", 40, 10), ("Closer", 50, 10), rest_of=first
    )
    wake(page)
    expect(page.locator("#slot-1")).to_contain_text("Shot arcs")
    expect(page.locator("#slot-1")).to_contain_text(f"{began + timedelta(minutes=40):%H:%M}")
    expect(page.locator("#slot-2")).to_contain_text(f"{began + timedelta(minutes=50):%H:%M}")
    expect(page.locator("#now")).to_contain_text("Now: Partner shooting")
    # The same number, started on the new sheet, counts.
    page.locator("#start-1").click()
    expect(page.locator("#now")).to_contain_text("Now: Shot arcs")
    all_sent(page)
    expect(page.locator("#now")).to_contain_text("Now: Shot arcs")
    assert list(FloorDay.objects.get().slots) == ["1"]


def test_another_hour_is_on_the_phone_at_its_next_sending(floor_phone, floor, now):
    floor.clinic.starts_at, floor.clinic.ends_at = now + timedelta(minutes=10), now + timedelta(minutes=100)
    floor.clinic.save()
    page = load(floor_phone(), floor)
    sign_in(page, "Wren Ash")
    at = f"{(floor.clinic.starts_at + timedelta(minutes=30)).astimezone(floor.clinic.center.tz):%H:%M}"
    expect(page.locator("#now")).not_to_contain_text(at)

    floor.clinic.starts_at += timedelta(minutes=30)
    floor.clinic.ends_at += timedelta(minutes=15)
    floor.clinic.revision += 1
    floor.clinic.save()
    wake(page)

    expect(page.locator("#now")).to_contain_text(at)
    wipes = (floor.clinic.ends_at + timedelta(hours=12)).isoformat()
    assert soon(page, lambda: in_store(page, DAY)["wipe_at"] == wipes)
    expect(line(page, "Wren Ash").get_by_role("button", name="sign out")).to_be_visible()


def test_a_clinic_called_off_with_children_in_says_so_and_they_are_signed_out(floor_phone, floor, now, console):
    floor.clinic.starts_at = now - timedelta(minutes=10)
    floor.clinic.save()
    context = floor_phone()
    page = load(context, floor)
    sign_in(page, "Wren Ash", "Oswin Tarrant")
    all_sent(page)
    lose_signal(context)
    sign_in(page, "Fern Moss")
    cancel_clinic(clinic=floor.clinic, because="The hall is flooded.", now=clock.now())
    find_signal(context)
    wake(page)

    expect(page.locator("#now")).to_contain_text("Our office cancelled this clinic")
    expect(page.locator("#now")).to_contain_text("The hall is flooded. Sign everyone out")
    all_sent(page)
    expect(line(page, "Wren Ash")).to_contain_text("allergy: peanuts")
    expect(page.get_by_text("no longer has a spot")).to_have_count(0)
    expect(page.locator("#tally")).to_contain_text("1 of 2 adults here")
    for name in ("Wren Ash", "Fern Moss"):
        sign_out(page, name, "guardian")
    all_sent(page)
    assert SignIn.objects.filter(child__isnull=False, out_at=None).count() == 0
    assert SignIn.objects.filter(child__isnull=False).count() == 2
    assert console == []


def test_a_child_in_the_hall_whose_spot_ends_stays_on_the_list_until_signed_out(floor_phone, floor, now):
    page = load(floor_phone(), floor)
    sign_in(page, "Wren Ash")
    all_sent(page)
    give_up_spot(spot=Spot.objects.get(child=floor.children[0]), because="not answered in time", now=clock.now())
    page.reload()
    page.locator("body[data-day=fresh]").wait_for()

    expect(line(page, "Wren Ash")).to_contain_text("no longer has a spot")
    expect(line(page, "Wren Ash")).to_contain_text("allergy: peanuts")
    at_part(page, "Close the day")
    expect(page.get_by_text("1 child is not signed out")).to_be_visible()
    at_part(page, "Door")
    sign_out(page, "Wren Ash", "guardian")
    all_sent(page)
    assert SignIn.objects.get().out_at is not None


def test_a_child_registered_at_the_door_by_mistake_and_signed_in_again_without_signal_is_in(floor_phone, floor):
    context = floor_phone()
    page = load(context, floor)
    page.get_by_role("button", name="Add a walk-in").click()
    for label, words in (
        ("Child’s name", "Juno Reed"), ("Date of birth", "2018-01-01"), ("Guardian’s name", "Orla Reed"),
        ("Guardian’s phone", "555-0144"),
    ):  # fmt: skip
        page.get_by_label(label).fill(words)
    page.get_by_label("No known allergies").check()
    page.get_by_label("No photos").check()
    signature = page.get_by_label("Guardian signs by typing their name")
    if signature.count():
        signature.fill("Orla Reed")
    page.get_by_role("button", name="Register and sign in").click()
    assert soon(page, SignIn.objects.exists)
    all_sent(page)
    lose_signal(context)
    line(page, "Juno Reed").locator("summary").click()
    line(page, "Juno Reed").get_by_role("button", name="Undo sign-in").click()
    line(page, "Juno Reed").get_by_role("button", name="Sign in Juno Reed").click()
    expect(line(page, "Juno Reed").get_by_role("button", name="sign out")).to_be_visible()
    find_signal(context)
    wake(page)
    all_sent(page)

    expect(line(page, "Juno Reed").get_by_role("button", name="sign out")).to_be_visible()
    expect(line(page, "Juno Reed")).to_have_count(1)
    assert SignIn.objects.filter(child__name="Juno Reed", out_at=None).count() == 1
