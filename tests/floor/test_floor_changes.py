"""What changes while the lead's page is open: spots, shifts, hours, the run sheet, and whether the clinic goes on."""

import json
from datetime import timedelta

import pytest
from django.urls import reverse

from core.merge import merge_rows
from families.models import CareReading, Child, Guardianship, Spot
from families.services.spot_books import give_up_spot
from floor.models import FloorAction, Incident, SignIn
from floor.queries.day import floor_day_page
from floor.queries.edition import edition_of
from floor.queries.log import floor_state
from floor.queries.needs import floor_needs
from floor.queries.page import day_data
from floor.queries.page_children import floor_children
from floor.services.merge import merge_numbers, write_floors_anew
from floor.services.phones import floor_address, log_readings, phone_of
from scheduling.services.cancelling import cancel_clinic
from shifts.services.moving import release
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db
AS_PAGE = {"content_type": "application/json", "headers": {"X-Floor": "1"}}
WALK_IN = {
    "who": "w-1", "name": "Juno Reed", "born": "2018-01-01", "guardian": "Orla Reed", "phone": "555-0144",
    "signed": "Orla Reed", "photo": False, "pickup": "", "allergies": "bee stings", "care_notes": "",
}  # fmt: skip


def came(row):
    return f"c{row.pk}"


def line_of(day, who):
    return next((one for one in (*day["children"], *day["adults"]) if one["who"] == who), None)


def test_a_child_who_is_in_stays_on_the_list_when_the_spot_ends_meanwhile(floor, now):
    child = floor.children[0]
    send(floor, entry(1, "in", now, who=came(child)))
    give_up_spot(spot=Spot.objects.get(child=child), because="not answered in time", now=now)

    day = day_data(floor.phone, now)
    line = line_of(day, came(child))
    assert line["allergies"] == "peanuts" and line["state"] == "given up" and line["pickup_people"]
    assert day["state"]["here_children"] == 1
    # What was read of them is written down as ever, and who never came and gave the spot up is not shown.
    log_readings(phone=floor.phone, children=floor_children(floor.clinic, floor_state(floor.clinic)), now=now)
    assert CareReading.objects.filter(child=child).count() == 1
    give_up_spot(spot=Spot.objects.get(child=floor.children[1]), because="", now=now)
    assert line_of(day_data(floor.phone, now), came(floor.children[1])) is None


def test_a_child_whose_spot_ended_and_came_back_stands_there_once(floor, now):
    child = floor.children[0]
    send(floor, entry(1, "in", now, who=came(child)))
    old = Spot.objects.get(child=child)
    give_up_spot(spot=old, because="", now=now)
    Spot.objects.create(clinic=floor.clinic, child=child, guardian=old.guardian, state="held", age=9, asked_at=now)

    lines = [one for one in day_data(floor.phone, now)["children"] if one["who"] == came(child)]
    assert [one["state"] for one in lines] == ["held"]


def test_an_adult_taken_off_meanwhile_is_no_child_and_can_still_be_signed_out(floor, now):
    who = f"v{floor.coach.volunteer_id}"
    send(floor, entry(1, "in", now, who=who))
    release(floor.coach, floor.clinic, "a clearance lapsed", now)

    day = day_data(floor.phone, now)
    assert (day["state"]["here_children"], day["state"]["here_adults"]) == (0, 0)
    assert line_of(day, who) | {"name": ""} == {
        "who": who, "name": "", "duty": "coach", "duties": ["coach"], "cleared": [], "counts": False,
        "why_not": "taken off the shift",
    }  # fmt: skip
    send(floor, entry(2, "out", now, who=who, pickup=""), entry(3, "hours", now, who=who, minutes=40))
    line = next(
        one
        for one in floor_day_page(floor.clinic, with_incidents=False).adults
        if one.volunteer == floor.coach.volunteer
    )
    assert line.minutes == 40 and line.duties == "taken off the shift" and len(line.stays) == 1


def test_a_clinic_called_off_with_children_in_the_hall_leaves_the_lead_the_page(floor, now):
    """The children are still there, and must go home with the right people."""
    then = floor.clinic.starts_at + timedelta(minutes=10)
    child = came(floor.children[0])
    send(floor, entry(1, "in", then, who=child), entry(2, "in", then, who=f"v{floor.coach.volunteer_id}"), now=then)
    before = edition_of(floor.clinic)
    cancel_clinic(clinic=floor.clinic, because="The hall is flooded.", now=then)

    phone = phone_of(floor.clinic.pk, floor.secret, then)
    assert phone is not None
    day = day_data(phone, then)
    assert day["clinic"]["called_off"] == "The hall is flooded" and day["edition"] != before
    assert line_of(day, child)["allergies"] == "peanuts"
    assert line_of(day, f"v{floor.coach.volunteer_id}")["counts"] and day["state"]["here_adults"] == 1
    later = then + timedelta(minutes=20)
    floor.phone = phone
    out = send(floor, entry(3, "out", later, who=child, pickup="Aunt Pia"), now=later)
    assert len(out.kept) == 1 and SignIn.objects.get(child=floor.children[0]).pickup == "Aunt Pia"


def test_another_phone_follows_one_that_died_in_a_clinic_called_off_on_the_floor(floor, now, stranger, move_clock):
    then = floor.clinic.starts_at + timedelta(minutes=10)
    address = floor_address(floor.lead)
    send(floor, entry(1, "in", then, who=came(floor.children[0])), now=then)
    cancel_clinic(clinic=floor.clinic, because="Flood.", now=then)
    move_clock(then, tick=False)

    assert stranger.get(address).status_code == 200
    assert stranger.post(address).status_code == 302
    assert f"floor{floor.clinic.pk}" in stranger.cookies
    move_clock(floor.clinic.ends_at + timedelta(hours=13), tick=False)
    assert stranger.post(address).status_code != 302


def test_a_clinic_called_off_before_anybody_came_opens_on_no_phone(floor, now, stranger):
    address = floor_address(floor.lead)
    cancel_clinic(clinic=floor.clinic, because="Snow.", now=now)

    answer = stranger.post(address)
    assert answer.status_code != 302 and f"floor{floor.clinic.pk}" not in stranger.cookies


def test_called_off_before_anybody_came_the_page_is_wiped_with_the_reason(floor, now, stranger):
    cancel_clinic(clinic=floor.clinic, because="Snow.", now=now)
    assert phone_of(floor.clinic.pk, floor.secret, now) is None

    stranger.cookies[f"floor{floor.clinic.pk}"] = floor.secret
    answer = stranger.post(reverse("floor-data", args=[floor.clinic.pk]), "{}", **AS_PAGE)
    assert answer.status_code == 401 and "Our office cancelled this clinic" in answer.json()["why"]


def test_a_lead_taken_off_before_the_clinic_was_called_off_gets_nothing(floor, now):
    then = floor.clinic.starts_at + timedelta(minutes=10)
    send(floor, entry(1, "in", then, who=came(floor.children[0])), now=then)
    release(floor.lead, floor.clinic, "somebody else leads", then)
    cancel_clinic(clinic=floor.clinic, because="Flood.", now=then)

    assert phone_of(floor.clinic.pk, floor.secret, then) is None


def test_who_was_never_signed_out_of_a_clinic_called_off_is_named_to_the_office(floor, now, coordinator, signed_in):
    then = floor.clinic.starts_at + timedelta(minutes=10)
    send(floor, entry(1, "in", then, who=came(floor.children[0])), now=then)
    cancel_clinic(clinic=floor.clinic, because="Flood.", now=then)

    (need,) = floor_needs(floor.clinic.ends_at + timedelta(hours=2))
    assert "Wren Ash" in need.detail
    assert (
        reverse("clinic-day", args=[floor.clinic.pk])
        in signed_in(coordinator).get(reverse("clinic", args=[floor.clinic.pk])).text
    )


def test_a_day_called_off_before_anybody_came_is_nothing_to_close(floor, now):
    send(floor)
    cancel_clinic(clinic=floor.clinic, because="Snow.", now=now)

    assert list(floor_needs(floor.clinic.ends_at + timedelta(hours=20))) == []


def test_a_clinic_moved_to_a_later_hour_is_known_at_the_next_sending_and_its_cookie_lasts(floor, now, stranger):
    stranger.cookies[f"floor{floor.clinic.pk}"] = floor.secret
    address = reverse("floor-sync", args=[floor.clinic.pk])
    said = json.dumps({"phone_now": now.isoformat(), "actions": []})
    before = stranger.post(address, said, **AS_PAGE).json()["edition"]
    floor.clinic.starts_at += timedelta(minutes=30)
    floor.clinic.ends_at += timedelta(hours=3)
    floor.clinic.save()

    assert stranger.post(address, said, **AS_PAGE).json()["edition"] != before
    answer = stranger.post(reverse("floor-data", args=[floor.clinic.pk]), "{}", **AS_PAGE)
    cookie = answer.cookies[f"floor{floor.clinic.pk}"]
    lasts = (floor.clinic.ends_at + timedelta(hours=12) - now).total_seconds()
    assert abs(cookie["max-age"] - lasts) < 60 and cookie.value == floor.secret
    assert cookie["httponly"] and cookie["samesite"] == "Strict" and cookie["path"] == "/floor/"


def test_a_walk_in_taken_back_and_signed_in_again_is_in_and_known(floor, now):
    one = entry(1, "walk-in", now, **WALK_IN)
    send(floor, one)
    # Without signal: the page still shows the line of the walk-in, and that is where the lead taps.
    send(floor, entry(2, "undo", now, of=one["id"]), entry(3, "in", now, who="w-1"))

    row = SignIn.objects.get()
    assert Child.objects.get(name="Juno Reed").pk == row.child_id and row.out_at is None
    state = day_data(floor.phone, now)["state"]
    assert [(one["who"], one["child"], one["age"]) for one in state["walk_ins"]] == [
        ("w-1", f"c{row.child_id}", Spot.objects.get(child=row.child_id).age)
    ]


def test_a_blow_to_the_head_stays_with_a_walk_in_who_was_taken_back(floor, now):
    one = entry(1, "walk-in", now, **WALK_IN)
    send(floor, one)
    facts = {"who": "w-1", "what": "fell", "first_aid": "", "told": "", "witness": "", "head": True}
    send(floor, entry(2, "incident", now, **facts), entry(3, "undo", now, of=one["id"]))

    child = Child.objects.get(name="Juno Reed")
    assert Incident.objects.get().child == child
    state = day_data(floor.phone, now)["state"]
    assert [one["child"] for one in state["walk_ins"]] == [came(child)] and state["incidents"][0]["who"] == "w-1"


def test_a_child_of_the_books_and_a_walk_in_that_are_one_have_one_stay(floor, now):
    """Registered twice at two doors, or again although there was a spot, and found to be one child since."""
    send(
        floor,
        entry(1, "walk-in", now, **WALK_IN),
        entry(2, "walk-in", now, **WALK_IN | {"who": "w-2"}),
        entry(3, "in", now, who=came(floor.children[0])),
    )
    kept = floor.children[0]
    for number in FloorAction.objects.filter(kind="walk-in").order_by("seq").values_list("child", flat=True):
        gone = Child.objects.get(pk=number)
        Spot.objects.filter(child=gone).delete()
        SignIn.objects.filter(child=gone).delete()
        merge_numbers(was=came(gone), is_now=came(kept), now=now)
        merge_rows(gone=gone, kept=kept, but=(Guardianship,))
    write_floors_anew([floor.clinic], now)

    assert SignIn.objects.get().child == kept
    later = now + timedelta(minutes=5)
    # By whichever of the three names a phone still has them.
    send(floor, entry(4, "out", later, who="w-2", pickup="Orla Reed"), now=later)
    assert SignIn.objects.get().out_at == later
    send(floor, entry(5, "in", later, who=came(kept)), now=later)
    assert SignIn.objects.filter(child=kept, out_at=None).count() == 1
    state = day_data(floor.phone, later)["state"]
    assert state["here_children"] == 1 and [one["child"] for one in state["walk_ins"]] == [came(kept)]
