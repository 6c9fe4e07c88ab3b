"""Kits in full: what is in them, what is short, what is past its day, and the plan of trips, booked in one press."""

from datetime import timedelta

import pytest
from django.urls import reverse

from clinics.models import Clinic
from core import clock
from core.formats import long_day
from core.refusal import Refusal
from kits.models import Kit, KitBooking, KitItem, KitPlan
from kits.services.holds import hold_kit
from kits.services.kit_plans import (
    ask_kit_plan,
    book_kit_plan,
    find_kit_plan,
    find_waiting_kit_plans,
)
from tests.meanwhile import meanwhile


def form(**more):
    return {
        "name": "Bag 4", "contents": "Balls and cones",
        "items-TOTAL_FORMS": "2", "items-INITIAL_FORMS": "0", "items-MIN_NUM_FORMS": "0", "items-MAX_NUM_FORMS": "60",
        "items-0-name": "ball, size 5", "items-0-count": "20",
        "items-1-name": "first-aid pouch", "items-1-count": "1", "items-1-last_day": "2027-06-30",
    } | more  # fmt: skip


def test_a_kit_is_added_with_what_is_in_it_and_has_a_code_that_opens_its_page(coordinator, signed_in):
    client = signed_in(coordinator)
    client.post(reverse("kit-new"), form())

    kit = Kit.objects.get()
    assert [str(item) for item in kit.items.all()] == ["20 ball, size 5", "1 first-aid pouch"]
    page = client.get(reverse("kit", args=[kit.pk])).content.decode()
    last_day = kit.items.get(name="first-aid pouch").last_day
    assert "<svg" in page and last_day is not None and long_day(last_day) in page
    item = kit.items.get(name="ball, size 5")
    client.post(
        reverse("kit-change", args=[kit.pk]),
        form(**{"items-INITIAL_FORMS": "1", "items-TOTAL_FORMS": "1", "items-0-id": item.pk, "items-0-DELETE": "on"}),
    )
    assert [item.name for item in kit.items.all()] == ["first-aid pouch"]


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"name": ""}, "required"),
        ({"items-0-count": "-1"}, "Enter a whole number from 0 to 999."),
        ({"items-0-count": "100000"}, "Enter a whole number from 0 to 999."),
        ({"items-1-last_day": "soon"}, "Enter the date as year-month-day"),
        ({"items-1-name": "ball, size 5"}, "duplicate"),
    ],
)
def test_a_kit_that_cannot_be_is_told_and_what_was_typed_stays(coordinator, signed_in, more, sentence):
    answer = signed_in(coordinator).post(reverse("kit-new"), form(**more))

    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text and "Balls and cones" in text
    assert not Kit.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_two_who_add_the_same_kit_at_once_get_one_and_a_sentence(coordinator, signed_in):
    with meanwhile(lambda: Kit.objects.create(name="Bag 4")):
        answer = signed_in(coordinator).post(reverse("kit-new"), form())

    text = answer.content.decode()
    assert answer.status_code == 422 and "already exists" in text and "Balls and cones" in text
    assert Kit.objects.count() == 1 and not KitItem.objects.exists()


def test_a_kit_with_a_first_aid_item_past_its_day_is_not_packed(make_clinic):
    clinic = make_clinic(days=10)
    kit = Kit.objects.create(name="Bag 1")
    item = KitItem.objects.create(kit=kit, name="first-aid pouch", last_day=clinic.day - timedelta(days=1))

    with pytest.raises(Refusal, match="will be expired by then: first-aid pouch"):
        hold_kit(clinic, kit)

    item.last_day = clinic.day
    item.save()
    hold_kit(clinic, kit)
    assert KitBooking.objects.get().kit == kit


def test_the_pack_list_says_what_is_short(coordinator, signed_in, make_clinic):
    clinic = make_clinic(children=20, ages=(7, 8), theme="Paper bridges")
    kit = Kit.objects.create(name="Bag 1")
    KitItem.objects.create(kit=kit, name="ball, size 5", count=30)
    hold_kit(clinic, kit)

    page = signed_in(coordinator).get(reverse("clinic-pack", args=[clinic.pk])).content.decode()

    assert "Bag 1 is booked for this clinic" in page and "4 items are short" in page and "Laptop" in page


@pytest.fixture
def season(make_clinic, make_center, make_space):
    """Three clinics on a line, 0, 10 and 20 km north; two kits, each at the wrong end."""
    centers = [make_center(f"Center {n}", latitude=41.5 + n * 0.07, longitude=-77.5) for n in range(3)]
    clinics = [make_clinic(make_space(center), days=4 + n) for n, center in enumerate(centers)]
    north = Kit.objects.create(name="North", now_at=centers[2])
    south = Kit.objects.create(name="South", now_at=centers[0])
    return clinics, north, south


def plan_for(by, days=20):
    row = ask_kit_plan(first=clock.today(), last=clock.today() + timedelta(days=days), by=by, now=clock.now())
    assert find_kit_plan(pk=row.pk)
    row.refresh_from_db()
    return row


def test_the_plan_drives_least_names_who_carries_and_is_booked_in_one_press(
    season, coordinator, signed_in, make_assignment, make_shift, make_volunteer
):
    clinics, north, south = season
    hold_kit(clinics[0], north)  # today's plan: the far one first
    hold_kit(clinics[2], south)
    going = make_volunteer("Imara Venn")
    make_assignment(make_shift(clinics[1]), going)
    row = plan_for(coordinator)

    assert row.state == "ready" and row.result["unserved"] == [] and row.result["enough"] == 1
    assert row.result["km"] == pytest.approx(0.07 * 111.19 * 1.3, abs=0.2)
    assert row.result["today_km"] == pytest.approx(4 * 0.07 * 111.19 * 1.3, abs=0.2)
    (trip,) = row.result["trips"]
    assert trip["who"] == "Imara Venn" and trip["clinic"] == clinics[1].pk
    client = signed_in(coordinator)
    page = client.get(reverse("kit-plan", args=[row.pk])).content.decode()
    assert "1 kit is enough; you have 2" in page and "Imara Venn is already going there" in page

    client.post(reverse("kit-plan-book", args=[row.pk]))

    held = dict(KitBooking.objects.exclude(status="cancelled").values_list("clinic_id", "kit_id"))
    assert held[clinics[0].pk] == south.pk and held[clinics[2].pk] == north.pk and len(held) == 3
    assert book_kit_plan(plan=row, now=clock.now()) == 0


def test_a_kit_that_was_taken_meanwhile_leaves_all_as_it_was(season, coordinator, make_clinic, make_space, signed_in):
    clinics, *_ = season
    row = plan_for(coordinator)
    space = make_space()
    other = make_clinic(space, days=4)
    hold_kit(other, Kit.objects.get(pk=row.result["served"][str(clinics[0].pk)]))

    page = signed_in(coordinator).post(reverse("kit-plan-book", args=[row.pk]), follow=True).content.decode()

    assert "Nothing was changed" in page and "is already booked for" in page
    assert KitBooking.objects.count() == 1 and not KitPlan.objects.get().booked_at


def test_too_few_kits_an_old_pouch_and_no_clinics_are_said(season, coordinator, signed_in, make_clinic):
    clinics, north, south = season
    for kit in (north, south):
        KitItem.objects.create(kit=kit, name="first-aid pouch", last_day=clock.today())
    row = plan_for(coordinator)
    assert sorted(row.result["unserved"]) == sorted(clinic.pk for clinic in clinics)
    page = signed_in(coordinator).get(reverse("kit-plan", args=[row.pk])).content.decode()
    assert "Clinics without a kit" in page and "Not used, because" in page

    empty = plan_for(coordinator, days=1)
    assert empty.result["trips"] == [] and empty.result["km"] == 0


def test_a_plan_no_worker_took_up_is_found_by_the_next_look(season, coordinator):
    ask_kit_plan(first=clock.today(), last=clock.today() + timedelta(days=9), by=coordinator, now=clock.now())

    assert find_waiting_kit_plans() == 1 and find_waiting_kit_plans() == 0


def test_days_that_cannot_be_are_refused(coordinator, signed_in):
    answer = signed_in(coordinator).post(reverse("kit-plans"), {"first_day": "2027-02-02", "last_day": "2027-01-01"})

    assert answer.status_code == 422 and not KitPlan.objects.exists()


def test_who_may_not_keep_kits_sees_no_plan(stranger, season, coordinator, signed_in, floor_lead):
    row = plan_for(coordinator)
    assert stranger.get(reverse("kit-plan", args=[row.pk])).status_code == 302
    assert stranger.get(reverse("kit-new")).status_code == 302
    assert signed_in(floor_lead).get(reverse("kit-plans")).status_code == 200


def test_a_plan_that_leaves_a_clinic_without_a_kit_can_be_booked(season, coordinator, make_clinic, make_space):
    clinics, north, _ = season
    Kit.objects.exclude(pk=north.pk).delete()
    # Two at one hour want the only kit: whichever the plan serves, the other has it today.
    twin = make_clinic(make_space(clinics[2].center), days=6)
    row = plan_for(coordinator)
    (without,) = row.result["unserved"]
    hold_kit(Clinic.objects.get(pk=without), north)

    assert without in (twin.pk, clinics[2].pk) and book_kit_plan(plan=row, now=clock.now()) == 4, (
        "three get it, one gives it up"
    )

    held = dict(KitBooking.objects.exclude(status="cancelled").values_list("clinic_id", "kit_id"))
    assert held == {int(pk): kit for pk, kit in row.result["served"].items()}


def test_a_kit_that_the_plan_does_not_use_stays_where_it_is_booked(season, coordinator, make_clinic):
    """Left out of the plan, since its pouch is too old for the last clinic, and good for the first."""
    clinics, north, south = season
    KitItem.objects.create(kit=south, name="first-aid pouch", last_day=clinics[0].day)
    hold_kit(clinics[0], south)
    Kit.objects.exclude(pk__in=[north.pk, south.pk]).delete()
    twin = make_clinic(days=4)
    row = plan_for(coordinator)
    unserved = set(row.result["unserved"])
    book_kit_plan(plan=row, now=clock.now())

    held = dict(KitBooking.objects.exclude(status="cancelled").values_list("clinic_id", "kit_id"))
    assert len(unserved & {clinics[0].pk, twin.pk}) == 1
    assert held[clinics[0].pk] == (south.pk if clinics[0].pk in unserved else north.pk)


def test_the_trips_begin_where_a_clinic_before_the_plan_leaves_the_kit(season, coordinator):
    clinics, north, south = season
    south.delete()
    hold_kit(clinics[0], north)  # the kit stands in the north today, and is at the south end before the plan begins
    row = ask_kit_plan(first=clinics[1].day, last=clinics[2].day, by=coordinator, now=clock.now())
    find_kit_plan(pk=row.pk)
    row.refresh_from_db()

    first, second = row.result["trips"]
    assert (first["from"], first["to"]) == (clinics[0].center.name, clinics[1].center.name)
    assert (second["from"], second["to"]) == (clinics[1].center.name, clinics[2].center.name)
    assert row.result["km"] == pytest.approx(2 * 0.07 * 111.19 * 1.3, abs=0.2)
    assert row.result["today_km"] == 0
    hold_kit(clinics[2], north)
    again = ask_kit_plan(first=clinics[1].day, last=clinics[2].day, by=coordinator, now=clock.now())
    find_kit_plan(pk=again.pk)
    again.refresh_from_db()
    assert again.result["today_km"] == pytest.approx(2 * 0.07 * 111.19 * 1.3, abs=0.2), "from where it will be then"
