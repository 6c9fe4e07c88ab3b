"""Kinds of kits: what each asks a head, what a kit of it is short of, and what it must not go without."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from core import clock
from core.refusal import Refusal
from kits.models import KindLine, Kit, KitBooking, KitItem, KitKind
from kits.queries.kit_care_needs import TIME_TO_BUY, kit_short_needs
from kits.queries.packing import ages_to_pack_for
from kits.services.holds import hold_kit
from kits.services.kit_plans import ask_kit_plan, find_kit_plan


@pytest.fixture
def bag_kind(db):
    kind = KitKind.objects.create(name="full bag", children=10, youngest=7, oldest=8)
    KindLine.objects.create(kind=kind, item="ball", sized=True, per_children=1, must_have=True)
    KindLine.objects.create(kind=kind, item="cone", per_children=2)
    KindLine.objects.create(kind=kind, item="first-aid pouch", number=1, must_have=True, needs_last_day=True)
    return kind


@pytest.fixture
def bag(bag_kind):
    """Whole for ten children of 7 and 8."""
    kit = Kit.objects.create(name="Kit 7", kind=bag_kind)
    later = clock.today() + timedelta(days=300)
    for item, count, last in (("ball, size 5", 10, None), ("cone", 5, None), ("first-aid pouch", 1, later)):
        KitItem.objects.create(kit=kit, name=item, count=count, last_day=last)
    return kit


def kind_form(**more):
    return {
        "name": "STEM crate", "words": "The hands-on part", "children": "20", "youngest": "8", "oldest": "12",
        "pump_days": "", "charge_days": "7", "count_days": "30",
        "lines-TOTAL_FORMS": "2", "lines-INITIAL_FORMS": "0", "lines-MIN_NUM_FORMS": "0", "lines-MAX_NUM_FORMS": "60",
        "lines-0-item": "laptop", "lines-0-per_children": "2", "lines-0-stem_only": "on",
        "lines-1-item": "first-aid pouch", "lines-1-number": "1", "lines-1-must_have": "on",
        "lines-1-needs_last_day": "on",
    } | more  # fmt: skip


def test_a_kind_is_written_down_changed_and_shown_with_what_it_asks(coordinator, signed_in):
    client = signed_in(coordinator)
    client.post(reverse("kit-kind-new"), kind_form())

    kind = KitKind.objects.get()
    assert kind.intervals == {"charge": 7, "count": 30}
    page = client.get(reverse("kit-kinds")).content.decode()
    assert "one for every 2 children, only if there is a STEM activity" in page and "laptop: 10" in page
    assert "required: kit can’t be used without it" in page and "Charge every 7 days" in page

    laptop, pouch = kind.lines.all()
    client.post(
        reverse("kit-kind-change", args=[kind.pk]),
        kind_form(**{
            "lines-INITIAL_FORMS": "2", "lines-0-id": laptop.pk, "lines-0-per_children": "3",
            "lines-1-id": pouch.pk, "lines-1-DELETE": "on",
        }),
    )  # fmt: skip
    assert [(line.item, line.per_children) for line in kind.lines.all()] == [("laptop", 3)]


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"lines-0-per_children": "-2"}, "Enter a whole number from 1 to 500."),
        ({"lines-0-per_children": ""}, "Enter children per item, or a fixed number"),
        ({"lines-1-number": "100000"}, "Enter a whole number from 0 to 999."),
        ({"lines-1-spare_percent": "101"}, "Enter a whole number from 0 to 100."),
        ({"lines-0-from_age": "12", "lines-0-to_age": "9"}, "The ages are in the wrong order"),
        ({"lines-1-sized": "on"}, "counted per child"),
        ({"lines-1-item": "Laptop "}, "Laptop is listed twice"),
        ({"children": "0"}, "Enter a whole number from 1 to 500."),
        ({"youngest": "12", "oldest": "8"}, "The oldest age must be from the youngest age"),
        ({"pump_days": "0"}, "Enter a whole number from 1 to 730."),
    ],
)
def test_a_kind_that_cannot_be_is_told_and_what_was_typed_stays(coordinator, signed_in, more, sentence):
    answer = signed_in(coordinator).post(reverse("kit-kind-new"), kind_form(**more))

    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text and "The hands-on part" in text
    assert not KitKind.objects.exists()


def test_the_database_keeps_a_line_that_asks_for_nothing_out(bag_kind):
    for facts in ({}, {"per_children": 0}, {"number": 1000}, {"sized": True, "number": 3}):
        with pytest.raises(IntegrityError), transaction.atomic():
            KindLine.objects.create(kind=bag_kind, item="whistle", **facts)


def test_the_page_says_what_a_kit_is_short_of_for_so_many_children(bag, coordinator, signed_in):
    client, address = signed_in(coordinator), reverse("kit", args=[bag.pk])

    first = " ".join(client.get(address).content.decode().split())
    assert "For 10 children aged 7 to 8 with a STEM activity, it has everything" in first
    page = " ".join(client.get(address, {"children": "13"}).content.decode().split())
    assert "it’s missing 3 balls size 5 and 2 cones." in page


@pytest.mark.parametrize("typed", ["0", "-4", "100000", "many", "1e3", "٣٣٣٣٣"])
def test_a_number_of_children_that_cannot_be_is_said_and_stays(bag, coordinator, signed_in, typed):
    answer = signed_in(coordinator).get(reverse("kit", args=[bag.pk]), {"children": typed})

    assert answer.status_code == 422
    assert "Enter a whole number from 1 to 500." in answer.content.decode() and typed in answer.content.decode()


def test_a_kit_without_a_kind_has_its_page_all_the_same(coordinator, signed_in):
    kit = Kit.objects.create(name="Old bag")

    assert "This kit has no type yet" in signed_in(coordinator).get(reverse("kit", args=[kit.pk])).content.decode()


def test_the_ages_of_a_clinic_are_its_bands_spread(make_clinic):
    assert ages_to_pack_for(make_clinic(children=5, ages=(7, 8))) == [7, 7, 7, 8, 8]


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"count": 0}, "it has no first-aid pouch"),
        ({"condition": "repair"}, "its first-aid pouch is damaged, missing, or expired"),
        ({"condition": "missing"}, "its first-aid pouch is damaged, missing, or expired"),
    ],
)
def test_a_kit_without_its_first_aid_is_not_packed(bag, make_clinic, change, why):
    KitItem.objects.filter(name="first-aid pouch").update(**change)

    with pytest.raises(Refusal, match=why) as refusal:
        hold_kit(make_clinic(), bag)
    assert refusal.value.codes == {"kit unfit"}
    assert not KitBooking.objects.exists()


@pytest.mark.parametrize(("condition", "why"), [("repair", "the kit needs repair"), ("missing", "the kit is missing")])
def test_a_kit_that_needs_repair_or_is_missing_as_a_whole_is_not_packed(bag, make_clinic, condition, why):
    Kit.objects.update(condition=condition)

    with pytest.raises(Refusal, match=why):
        hold_kit(make_clinic(), bag)


def test_a_kit_without_another_must_have_is_packed_and_the_booking_says_so(bag, coordinator, signed_in, make_space):
    KitItem.objects.filter(name="ball, size 5").delete()
    space = make_space()
    day = clock.today() + timedelta(days=12)
    page = signed_in(coordinator).post(
        reverse("clinic-new"),
        {
            "center": space.center_id, "space": space.pk, "day": day.isoformat(), "starts": "09:30", "ends": "11:30",
            "youngest_1": "7", "oldest_1": "8", "children_1": "10", "ratio_table": "aca_day_camp", "kit": bag.pk,
        },
        follow=True,
    )  # fmt: skip

    assert "Kit 7 is booked, but it has no ball." in page.content.decode()
    assert KitBooking.objects.get().kit == bag


def test_booking_through_the_page_refuses_a_bag_without_first_aid_and_keeps_what_was_typed(
    bag, coordinator, signed_in, make_space
):
    KitItem.objects.filter(name="first-aid pouch").delete()
    space = make_space()
    day = clock.today() + timedelta(days=12)
    answer = signed_in(coordinator).post(
        reverse("clinic-new"),
        {
            "center": space.center_id, "space": space.pk, "day": day.isoformat(), "starts": "09:30", "ends": "11:30",
            "youngest_1": "7", "oldest_1": "8", "children_1": "10", "ratio_table": "aca_day_camp", "kit": bag.pk,
            "theme": "Paper bridges",
        },
    )  # fmt: skip

    text = answer.content.decode()
    assert answer.status_code == 422 and "it has no first-aid pouch" in text and "Paper bridges" in text


def test_ahead_names_what_cannot_go_what_it_lacks_and_what_it_is_short_of(bag, make_clinic, now):
    clinic = make_clinic(days=10, children=13, ages=(7, 8))
    hold_kit(clinic, bag)

    (need,) = kit_short_needs(now)
    assert need.headline == "Kit 7 is missing 3 balls size 5 and 1 more"
    assert "3 balls size 5 and 2 cones" in need.detail and clinic.center.name in need.detail
    assert need.action_href == reverse("clinic-pack", args=[clinic.pk])

    KitItem.objects.filter(name="ball, size 5").update(condition="repair")
    (need,) = kit_short_needs(now)
    assert need.headline == "Kit 7 is missing a required item" and "Its ball is damaged" in need.detail

    KitItem.objects.filter(name="first-aid pouch").update(last_day=clinic.day - timedelta(days=1))
    (need,) = kit_short_needs(now)
    assert need.headline == f"Kit 7 can’t be used at {clinic.center.name}" and need.rank == 1
    assert need.action_href == reverse("kit", args=[bag.pk])


def test_a_first_aid_pouch_without_a_last_day_is_said_and_goes(bag, make_clinic, now):
    KitItem.objects.filter(name="first-aid pouch").update(last_day=None)
    hold_kit(make_clinic(children=10, ages=(7, 8)), bag)

    (need,) = kit_short_needs(now)
    assert "Its first-aid pouch has no expiration date on file" in need.detail


def test_a_must_have_of_the_stem_part_is_missed_only_with_one(bag, bag_kind, make_clinic, now):
    KindLine.objects.create(kind=bag_kind, item="laptop", number=1, stem_only=True, must_have=True)
    hold_kit(make_clinic(days=5, children=10, ages=(7, 8)), bag)
    assert list(kit_short_needs(now)) == []

    hold_kit(make_clinic(days=8, children=10, ages=(7, 8), theme="Simple circuits"), bag)
    (need,) = kit_short_needs(now)
    assert "It has no laptop" in need.detail


def test_a_shortfall_is_named_from_three_weeks_before_and_not_earlier(bag, make_clinic, now):
    clinic = make_clinic(days=30, children=13, ages=(7, 8))
    hold_kit(clinic, bag)

    assert list(kit_short_needs(now)) == []
    assert list(kit_short_needs(clinic.starts_at - TIME_TO_BUY)) == []
    assert len(list(kit_short_needs(clinic.starts_at - TIME_TO_BUY + timedelta(minutes=1)))) == 1


def test_what_is_called_off_or_given_back_is_not_named(bag, make_clinic, now):
    clinic = make_clinic(children=13, ages=(7, 8))
    hold_kit(clinic, bag)
    hold_kit(clinic, None)

    assert list(kit_short_needs(now)) == []


def test_the_needs_cost_the_same_however_many_clinics(bag_kind, make_clinic, now, django_assert_num_queries):
    for number in range(3):
        hold_kit(make_clinic(), self_sufficient(bag_kind, number))
    with django_assert_num_queries(7):
        list(kit_short_needs(now))
    for number in range(3, 12):
        hold_kit(make_clinic(), self_sufficient(bag_kind, number))
    with django_assert_num_queries(7):
        list(kit_short_needs(now))


def self_sufficient(kind, number):
    kit = Kit.objects.create(name=f"Kit {number}", kind=kind)
    KitItem.objects.create(kit=kit, name="first-aid pouch", last_day=clock.today() + timedelta(days=99))
    return kit


def test_the_pack_list_asks_what_the_kind_asks_and_has_boxes_to_tick(bag, coordinator, signed_in, make_clinic):
    clinic = make_clinic(children=13, ages=(7, 8))
    hold_kit(clinic, bag)

    page = " ".join(signed_in(coordinator).get(reverse("clinic-pack", args=[clinic.pk])).content.decode().split())

    assert "For 13 children. Kit 7 is booked for this clinic. 2 items are short." in page
    assert page.count("tick-box") == 3 and "kit type “full bag”" in page


def test_the_plan_of_trips_leaves_out_a_bag_without_first_aid(bag, bag_kind, coordinator, make_clinic):
    KitItem.objects.filter(name="first-aid pouch").delete()
    make_clinic(days=4)
    row = ask_kit_plan(first=clock.today(), last=clock.today() + timedelta(days=9), by=coordinator, now=clock.now())
    find_kit_plan(pk=row.pk)
    row.refresh_from_db()

    assert row.result["served"] == {}
    assert {"code": "left out", "facts": {"kits": ["Kit 7"]}} in row.result["notes"]


def test_a_last_day_that_has_gone_by_on_a_new_item_is_saved_and_said(coordinator, signed_in):
    gone = (clock.today() - timedelta(days=1)).isoformat()
    page = signed_in(coordinator).post(
        reverse("kit-new"),
        {
            "name": "Bag 4", "items-TOTAL_FORMS": "1", "items-INITIAL_FORMS": "0",
            "items-MIN_NUM_FORMS": "0", "items-MAX_NUM_FORMS": "60",
            "items-0-name": "first-aid pouch", "items-0-count": "1", "items-0-last_day": gone,
        },
        follow=True,
    ).content.decode()  # fmt: skip

    assert "Already expired: first-aid pouch." in page and KitItem.objects.get().count == 1


def test_a_stranger_sees_no_kinds(stranger, bag_kind):
    for address in (reverse("kit-kinds"), reverse("kit-kind-new"), reverse("kit-kind-change", args=[bag_kind.pk])):
        assert stranger.get(address)["Location"].startswith("/log-in/")
    assert stranger.post(reverse("kit-kind-new"), kind_form())["Location"].startswith("/log-in/")
    assert KitKind.objects.count() == 1
