"""Damage and loss: what can be used sinks, the history stays, and putting right closes it."""

from datetime import timedelta

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from django.db.models import ProtectedError
from django.urls import reverse

from core import clock
from core.refusal import Refusal
from kits.models import Kit, KitBooking, KitItem, KitLoss
from kits.queries.condition import booked_kits
from kits.services.holds import hold_kit
from kits.services.kit_care import put_right, record_loss
from kits.services.kit_plans import ask_kit_plan, find_kit_plan


@pytest.fixture
def kit(db):
    kit = Kit.objects.create(name="Kit 7")
    KitItem.objects.create(kit=kit, name="ball, size 5", count=12)
    return kit


@pytest.fixture
def ball(kit):
    return kit.items.get()


@pytest.fixture
def lose(ball, coordinator):
    def inner(count=3, how="lost", **more):
        facts = {"item": ball, "happened_on": clock.today(), "today": clock.today(), "by": coordinator}
        return record_loss(count=count, how=how, now=clock.now(), **(facts | more))

    return inner


def usable(ball):
    return KitItem.objects.get(pk=ball.pk).held().usable(clock.today())


def typed(ball, **more):
    return {
        "item": ball.pk, "count": "3", "how": "damaged", "happened_on": clock.today().isoformat(),
        "words": "Left in the rain",
    } | more  # fmt: skip


def test_damage_is_recorded_with_clinic_and_words_and_lowers_what_can_be_used(
    kit, ball, coordinator, signed_in, make_clinic
):
    clinic = make_clinic(days=3)
    hold_kit(clinic, kit)
    page = signed_in(coordinator).post(
        reverse("kit-loss", args=[kit.pk]), typed(ball, clinic=clinic.pk), follow=True
    ).content.decode()  # fmt: skip

    assert "Report saved: 3 balls size 5 damaged." in page and "9 of 12 can be used" in page
    assert "Left in the rain" in page and clinic.center.name in page and coordinator.name in page
    assert usable(ball) == 9 and KitLoss.objects.get().clinic == clinic


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"count": "0"}, "Enter a whole number from 1 to 999."),
        ({"count": "-3"}, "Enter a whole number from 1 to 999."),
        ({"count": "100000"}, "Enter a whole number from 1 to 999."),
        ({"count": "13"}, "Only 12 balls size 5 are left of 12 balls size 5"),
        ({"item": ""}, "required"),
        ({"item": "999999"}, "Select a valid choice"),
        ({"how": "eaten"}, "Select a valid choice"),
        ({"happened_on": "yesterday"}, "Enter the date as year-month-day"),
    ],
)
def test_a_loss_that_cannot_be_is_told_and_what_was_typed_stays(kit, ball, coordinator, signed_in, more, sentence):
    answer = signed_in(coordinator).post(reverse("kit-loss", args=[kit.pk]), typed(ball, **more))

    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text and "Left in the rain" in text
    assert not KitLoss.objects.exists()


def test_a_day_still_to_come_is_refused(lose):
    with pytest.raises(Refusal, match="in the future"):
        lose(happened_on=clock.today() + timedelta(days=1))


def test_no_more_is_lost_than_is_left(lose, ball):
    lose(10)
    with pytest.raises(Refusal, match="Only 2 balls size 5 are left"):
        lose(3)
    lose(2)
    with pytest.raises(Refusal, match="None of the 12 balls size 5 are left"):
        lose(1)
    assert usable(ball) == 0


@pytest.mark.parametrize(("how", "righted"), [("damaged", "repaired"), ("lost", "replaced"), ("lost", "found")])
def test_putting_right_closes_it_and_it_stays_in_the_history(kit, ball, lose, coordinator, signed_in, how, righted):
    loss = lose(how=how)
    client = signed_in(coordinator)
    page = client.post(reverse("kit-loss-right", args=[loss.pk]), {"righted": righted}, follow=True).content.decode()

    loss.refresh_from_db()
    assert loss.righted == righted and loss.righted_by == coordinator and usable(ball) == 12
    assert f"3 balls size 5 {how}" in page and loss.get_righted_display() in page


def test_closing_twice_changes_nothing(lose, coordinator):
    loss = lose()
    first = put_right(loss=loss, righted="found", by=coordinator, now=clock.now())
    again = put_right(loss=loss, righted="replaced", by=coordinator, now=clock.now())

    assert again.righted == "found" and again.righted_at == first.righted_at


def test_a_way_of_putting_right_that_there_is_none_of_is_refused(lose, coordinator, signed_in):
    loss = lose()
    page = signed_in(coordinator).post(reverse("kit-loss-right", args=[loss.pk]), {"righted": "prayed"}, follow=True)

    assert "Choose repaired, replaced, or found." in page.content.decode()
    loss.refresh_from_db()
    assert loss.righted == ""


def test_nothing_is_ever_struck_from_the_history(lose, ball):
    loss = lose()
    with pytest.raises(DatabaseError, match="Cannot delete"), transaction.atomic():
        loss.delete()
    with pytest.raises(ProtectedError):
        ball.delete()
    assert KitLoss.objects.count() == 1


def test_an_item_with_a_history_is_not_taken_out_of_the_list(kit, ball, lose, coordinator, signed_in):
    lose()
    answer = signed_in(coordinator).post(
        reverse("kit-change", args=[kit.pk]),
        {
            "name": "Kit 7", "items-TOTAL_FORMS": "1", "items-INITIAL_FORMS": "1", "items-MIN_NUM_FORMS": "0",
            "items-MAX_NUM_FORMS": "60", "items-0-id": ball.pk, "items-0-name": "ball, size 5", "items-0-count": "12",
            "items-0-DELETE": "on",
        },
    )  # fmt: skip

    assert answer.status_code == 422 and "Set its number to 0 instead" in answer.content.decode()
    assert KitItem.objects.filter(pk=ball.pk).exists()


def test_the_database_keeps_a_closed_loss_whole(lose):
    loss = lose()
    for change in ({"righted": "found"}, {"righted_at": clock.now()}, {"count": 0}, {"count": 1000}):
        with pytest.raises(IntegrityError), transaction.atomic():
            KitLoss.objects.filter(pk=loss.pk).update(**change)


def test_a_stranger_records_and_closes_nothing(kit, ball, lose, stranger):
    loss = lose()
    for address in (reverse("kit-loss", args=[kit.pk]), reverse("kit-loss-right", args=[loss.pk])):
        assert stranger.post(address, typed(ball) | {"righted": "found"})["Location"].startswith("/log-in/")
    loss.refresh_from_db()
    assert KitLoss.objects.count() == 1 and loss.righted == ""


@pytest.mark.parametrize("gone", ["lost", "set to 0"])
def test_what_is_gone_from_the_kit_keeps_it_nowhere_when_its_day_is_past(kit, lose, coordinator, make_clinic, gone):
    """A pouch with a history can't be taken out of the list; the page says to set its number to 0."""
    clinic = make_clinic(days=3)
    pouch = KitItem.objects.create(kit=kit, name="first-aid pouch", count=1, last_day=clinic.day - timedelta(days=1))
    with pytest.raises(Refusal, match="will be expired"):
        hold_kit(clinic, kit)
    if gone == "lost":
        lose(1, item=pouch)
    else:
        pouch.count = 0
        pouch.save()
    KitItem.objects.create(kit=kit, name="first-aid pouch B", last_day=clinic.day)

    hold_kit(clinic, kit)

    (booked,) = booked_kits(KitBooking.objects.filter(clinic=clinic))
    assert booked.blocks == []
    plan = ask_kit_plan(first=clinic.day, last=clinic.day, by=coordinator, now=clock.now())
    find_kit_plan(pk=plan.pk)
    plan.refresh_from_db()
    assert plan.result["served"] == {str(clinic.pk): kit.pk}


def test_what_is_partly_lost_still_keeps_the_kit_when_its_day_is_past(kit, lose, make_clinic):
    clinic = make_clinic(days=3)
    pouch = KitItem.objects.create(kit=kit, name="first-aid pouch", count=2, last_day=clinic.day - timedelta(days=1))
    lose(1, item=pouch)

    with pytest.raises(Refusal, match="will be expired"):
        hold_kit(clinic, kit)
