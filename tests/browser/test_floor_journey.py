"""A whole day on the lead's phone in a hall without signal: all that was tapped arrives, once."""

import re

import pytest
from playwright.sync_api import expect

from families.models import Child, Spot
from floor.models import AdultHours, FloorAction, FloorDay, Incident, Score, SignIn
from tests.browser.floor_page import (
    all_sent,
    at_part,
    find_signal,
    fresh,
    in_store,
    line,
    load,
    lose_signal,
    more_children,
    sign_in,
    sign_out,
    soon,
)

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


def test_a_day_without_signal_arrives_exactly_once(
    floor_phone, floor, household, make_shift, make_assignment, make_volunteer, console
):
    names = ["Wren Ash", "Fern Moss", "Bryn Vale", *more_children(floor, household, 27)]
    adults = ["Oswin Tarrant", floor.coach.volunteer.name]
    for name in ("Petra Lang", "Ambrose Tully"):
        make_assignment(make_shift(floor.clinic, "coach"), make_volunteer(name=name))
        adults.append(name)
    context = floor_phone()
    page = load(context, floor)
    lose_signal(context)
    alarm = page.get_by_role("alert")

    sign_in(page, names[0])
    expect(alarm).to_contain_text("No adult is signed in")
    expect(alarm).to_contain_text("You need 2 adults here.")
    sign_in(page, *adults[:2])
    expect(alarm).to_be_empty()
    sign_in(page, *names[1:])
    # 30 children, the youngest 9: one adult for ten.
    expect(alarm).to_contain_text("1 more adult needed now")
    expect(alarm).to_contain_text("You need 3 adults for children from age 9; 2 are here.")
    expect(page.locator("#tally")).to_contain_text("30 of 30 children here")
    sign_in(page, adults[2])
    expect(alarm).to_be_empty()
    sign_in(page, adults[3])

    at_part(page, "Scores")
    page.locator("#score-who").select_option(label="Fern Moss")
    for key in ("Made", "Missed", "Made", "Made"):
        page.get_by_role("button", name=key, exact=True).click()
    expect(page.get_by_text("step-back ladder, level 1: 3 of 4")).to_be_visible()
    page.get_by_role("button", name="Par-zero").click()
    for key in ("Clean", "Off the rim", "Miss +1", "Clean"):
        page.get_by_role("button", name=key).click()
    page.get_by_role("button", name="Undo last shot").click()
    expect(page.locator(".running")).to_contain_text("Total 0")
    page.get_by_role("button", name="Save this round (3 shots)").click()

    at_part(page, "Incident")
    page.locator("#happened-who").select_option(label="Bryn Vale")
    page.get_by_label("What happened").fill("Fell on the back of the head.")
    page.get_by_role("button", name="Hit to the head").click()
    expect(page.get_by_text("until a health care provider clears them")).to_be_visible()
    page.get_by_label("Who told the guardian").fill("Oswin")
    page.get_by_label("Time", exact=True).fill("10:20")
    page.get_by_role("button", name="Save the report").click()
    expect(page.get_by_text("out until cleared by a health care provider")).to_be_visible()

    at_part(page, "Door")
    expect(line(page, "Bryn Vale")).to_contain_text("sitting out today")
    sign_out(page, "Wren Ash", "Uncle Bram")
    entries = 34 + 2 + 1 + 1
    saved = f"{entries} entries are saved on this phone and will be sent automatically."
    waiting = re.compile(rf"^No signal since \d\d:\d\d\.( What you see is \d+ minutes? old\.)? {saved}$")
    expect(page.locator("#kept")).to_have_text(waiting)
    assert not FloorAction.objects.exists()
    page.close()

    page = context.new_page()
    page.goto(f"/floor/{floor.clinic.pk}/")
    expect(page.locator("#kept")).to_have_text(waiting)
    expect(line(page, "Wren Ash").get_by_role("button", name="sign in again")).to_be_visible()
    expect(page.locator("#tally")).to_contain_text("29 of 30 children here")
    assert not FloorAction.objects.exists()
    find_signal(context)
    all_sent(page)

    assert FloorAction.objects.count() == entries
    assert sorted(FloorAction.objects.values_list("seq", flat=True)) == list(range(1, entries + 1))
    assert SignIn.objects.count() == 34 and SignIn.objects.filter(out_at=None).count() == 33
    assert SignIn.objects.get(child=floor.children[0]).pickup == "Uncle Bram"
    assert sorted(Score.objects.values_list("what", "level", "made", "tried")) == [
        ("par-zero free throws", None, 2, 3),
        ("step-back ladder", 1, 3, 4),
    ]
    incident = Incident.objects.get()
    assert (
        incident.head
        and incident.sort == "head"
        and incident.child == floor.children[2]
        and incident.told == "by Oswin at 10:20"
    )
    # Nothing but the cut itself was complained of.
    assert [words for words in console if "ERR_INTERNET_DISCONNECTED" not in words] == []


def test_a_child_without_a_spot_is_registered_signed_for_and_stands_at_the_door_once(floor_phone, floor):
    context = floor_phone()
    page = load(context, floor)
    lose_signal(context)
    page.get_by_role("button", name="Add a walk-in").click()
    page.get_by_role("button", name="Register and sign in").click()
    expect(page.get_by_text("Enter the child’s name.")).to_be_visible()
    page.get_by_label("Child’s name").fill("Juno Reed")
    page.get_by_label("Date of birth").fill(f"{floor.clinic.day.year - 7}-01-01")
    page.get_by_label("Guardian’s name").fill("Orla Reed")
    page.get_by_label("Guardian’s phone").fill("555-0144")
    page.get_by_label("Who else may pick up").fill("Grandpa Reed")
    page.get_by_role("button", name="Register and sign in").click()
    expect(page.get_by_text("Ask the guardian about allergies, then choose no or yes.")).to_be_visible()
    page.get_by_label("Yes", exact=True).check()
    page.get_by_role("button", name="Register and sign in").click()
    expect(page.get_by_text("Enter which allergies.")).to_be_visible()
    page.get_by_label("If yes, which ones").fill("bee stings")
    page.get_by_label("No photos").check()
    page.get_by_label("Guardian signs by typing their name").fill("Orla Reed")
    page.get_by_role("button", name="Register and sign in").click()
    expect(line(page, "Juno Reed")).to_contain_text("bee stings")
    find_signal(context)
    all_sent(page)
    page.reload()
    fresh(page)

    expect(line(page, "Juno Reed")).to_have_count(1)
    expect(line(page, "Juno Reed")).to_contain_text("allergy: bee stings")
    expect(line(page, "Juno Reed")).to_contain_text("no photos")
    sign_out(page, "Juno Reed", "Grandpa Reed")
    all_sent(page)
    child = Child.objects.get(name="Juno Reed")
    assert SignIn.objects.get(child=child).pickup == "Grandpa Reed"
    assert child.waivers.get().typed_name == "Orla Reed"
    assert Spot.objects.filter(child=child, clinic=floor.clinic).count() == 1


def test_the_day_is_closed_when_nobody_is_left_and_minutes_and_notes_are_kept(floor_phone, floor):
    page = load(floor_phone(), floor)
    sign_in(page, "Wren Ash", "Oswin Tarrant")
    at_part(page, "Close the day")
    expect(page.get_by_text("1 child is not signed out.")).to_be_visible()
    expect(page.get_by_role("button", name="Close the day")).to_be_disabled()
    page.get_by_role("button", name="Sign out Wren Ash").click()
    line(page, "Wren Ash").get_by_role("button", name="Uncle Bram").click()
    at_part(page, "Close the day")
    page.get_by_label("Oswin Tarrant").fill("125")
    page.get_by_role("button", name="Save these minutes").click()
    expect(page.get_by_text("125 minutes saved", exact=True)).to_be_visible()
    page.get_by_label("What should the next lead know?").fill("The left door sticks.")
    page.get_by_role("button", name="Save this note").click()
    page.get_by_role("button", name="Close the day").click()
    expect(page.get_by_text("You can still add entries.")).to_be_visible()
    all_sent(page)

    assert AdultHours.objects.get().minutes == 125
    day = FloorDay.objects.get()
    assert day.closed_at is not None and day.notes == "The left door sticks."


def test_a_wrong_tap_is_taken_back(floor_phone, floor):
    page = load(floor_phone(), floor)
    sign_in(page, "Fern Moss")
    all_sent(page)
    page.get_by_role("button", name="Undo: Fern signed in").click()
    expect(line(page, "Fern Moss").get_by_role("button", name="Sign in")).to_be_visible()
    all_sent(page)

    assert not SignIn.objects.exists() and FloorAction.objects.count() == 2


def test_a_mistake_found_later_is_taken_back_at_the_childs_line(floor_phone, floor):
    page = load(floor_phone(), floor)
    sign_in(page, "Fern Moss", "Wren Ash")
    sign_out(page, "Wren Ash", "Uncle Bram")
    all_sent(page)
    page.reload()
    fresh(page)
    for name, words in (("Fern Moss", "Undo sign-in"), ("Wren Ash", "Undo sign-out")):
        line(page, name).locator("summary").click()
        line(page, name).get_by_role("button", name=words).click()
    expect(line(page, "Fern Moss").get_by_role("button", name="Sign in Fern")).to_be_visible()
    expect(line(page, "Wren Ash").get_by_role("button", name="sign out")).to_be_visible()
    all_sent(page)
    row = SignIn.objects.get()
    assert row.child == floor.children[0] and row.out_at is None


def test_what_the_server_does_not_take_is_shown_with_its_sentence_and_stays(floor_phone, floor):
    context = floor_phone()
    page = load(context, floor)
    Spot.objects.filter(child=floor.children[1]).delete()
    sign_in(page, "Wren Ash")
    # The server may answer before anybody could see the child marked as in.
    line(page, "Fern Moss").get_by_role("button", name="Sign in").click()
    expect(page.locator("#kept")).to_contain_text("1 entry wasn’t accepted. See Close the day.")
    page.reload()
    at_part(page, "Close the day")
    expect(page.get_by_text("That person isn’t on this clinic’s list.")).to_be_visible()
    assert SignIn.objects.count() == 1


def test_the_next_thing_that_happened_begins_with_nobody_chosen(floor_phone, floor):
    page = load(floor_phone(), floor)
    sign_in(page, "Wren Ash", "Oswin Tarrant")
    at_part(page, "Incident")
    for who, what in (("Wren Ash", "Grazed a knee"), ("", "The lights went out")):
        expect(page.locator("#happened-who")).to_have_value("")
        if who:
            page.locator("#happened-who").select_option(label=who)
        page.get_by_role("button", name="Something else").click()
        page.get_by_label("What happened").fill(what)
        page.get_by_role("button", name="Save the report").click()
        expect(page.locator("#happened-list")).to_contain_text(what)
    all_sent(page)

    assert list(Incident.objects.order_by("at").values_list("child", flat=True)) == [floor.children[0].pk, None]
    assert not Incident.objects.filter(volunteer__isnull=False).exists()


def test_what_is_half_typed_outlives_a_closed_page(floor_phone, floor):
    context = floor_phone()
    page = load(context, floor)
    at_part(page, "Incident")
    page.get_by_label("What happened").fill("A finger caught in")
    drafts = "const draft = await settled(rows('day').get('drafts')); return draft ? await unlock(draft) : {}"
    assert soon(page, lambda: "A finger caught in" in str(in_store(page, drafts)))
    page.close()
    page = context.new_page()
    page.goto(f"/floor/{floor.clinic.pk}/#happened")

    expect(page.get_by_label("What happened")).to_have_value("A finger caught in")
