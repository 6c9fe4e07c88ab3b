"""Looking after kits: when a check is due, recorded in one press, and a count that notes what is missing."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from core import clock
from core.refusal import Refusal
from kits.models import Kit, KitCheck, KitItem, KitKind, KitLoss
from kits.queries.kit_care_needs import kit_check_needs
from kits.rules.kit_state import check_state, due_on
from kits.services.holds import hold_kit
from kits.services.kit_care import count_kit, put_right, record_check, record_loss


@pytest.fixture
def kit(db):
    kind = KitKind.objects.create(name="full bag", pump_days=14, count_days=30)
    kit = Kit.objects.create(name="Kit 7", kind=kind)
    KitItem.objects.create(kit=kit, name="ball, size 5", count=12)
    KitItem.objects.create(kit=kit, name="cone", count=20)
    return kit


def done(kit, what, days_ago, by):
    then = timedelta(days=days_ago)
    return record_check(kit=kit, what=what, today=clock.today() - then, by=by, now=clock.now() - then)


TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("last", "next_needed", "state"),
    [
        (date(2026, 11, 10), None, "overdue"),  # due on the 24th
        (date(2026, 11, 11), None, "due"),  # due today
        (date(2026, 11, 12), None, "fine"),
        (date(2026, 11, 14), date(2026, 11, 28), "due"),  # due on the day it is needed
        (date(2026, 11, 15), date(2026, 11, 28), "fine"),  # the day after
        (None, None, "due"),
    ],
)
def test_a_check_of_every_fortnight_is_due(last, next_needed, state):
    assert check_state(due_on(last, 14, TODAY), TODAY, next_needed) == state


def test_a_check_is_recorded_in_one_press_with_who_and_when(kit, coordinator, signed_in):
    client = signed_in(coordinator)
    done(kit, "pump", 20, coordinator)
    assert "overdue" in client.get(reverse("kits")).content.decode()
    assert "overdue" in client.get(reverse("kit", args=[kit.pk])).content.decode()

    page = client.post(reverse("kit-check", args=[kit.pk]), {"what": "pump"}, follow=True).content.decode()

    assert "Recorded for Kit 7: pump the balls, done today." in page and "overdue" not in page
    row = KitCheck.objects.filter(what="pump").latest("done_on")
    assert row.done_on == clock.today() and row.by == coordinator


def test_pressing_twice_is_one_check(kit, coordinator, signed_in):
    client = signed_in(coordinator)
    for _ in range(2):
        client.post(reverse("kit-check", args=[kit.pk]), {"what": "pump"})

    assert KitCheck.objects.count() == 1


def test_looking_at_a_check_records_none(kit, coordinator, signed_in):
    assert signed_in(coordinator).get(reverse("kit-check", args=[kit.pk])).status_code == 405


def test_a_check_that_there_is_none_of_is_refused(kit, coordinator, signed_in):
    page = signed_in(coordinator).post(reverse("kit-check", args=[kit.pk]), {"what": "wash"}, follow=True)

    assert "Choose one of the checks" in page.content.decode() and not KitCheck.objects.exists()


def test_a_count_notes_what_is_missing_and_leaves_what_was_not_typed(kit, coordinator, signed_in):
    ball = kit.items.get(name="ball, size 5")
    page = signed_in(coordinator).post(
        reverse("kit-count", args=[kit.pk]), {f"item_{ball.pk}": "9"}, follow=True
    ).content.decode()  # fmt: skip

    assert "Count saved for Kit 7. 3 balls size 5 missing." in page
    loss = KitLoss.objects.get()
    assert (loss.item, loss.count, loss.how) == (ball, 3, "lost")
    assert KitCheck.objects.get().words == "3 balls size 5 missing"
    assert "9 of 12 can be used" in page


def count(kit, by, **typed):
    numbers = {kit.items.get(name__startswith=name).pk: number for name, number in typed.items()}
    return count_kit(kit=kit, counted=numbers, today=clock.today(), by=by, now=clock.now())


def usable(kit, name):
    return kit.items.get(name__startswith=name).held().usable(clock.today())


def test_a_count_that_finds_what_was_lost_closes_its_note(kit, coordinator):
    count(kit, coordinator, ball=9)
    count(kit, coordinator, ball=12)

    loss = KitLoss.objects.get()
    assert loss.righted == "found" and loss.righted_by == coordinator
    assert KitCheck.objects.get().words == "3 balls size 5 missing; 3 balls size 5 more than expected"


@pytest.mark.parametrize("there", [0, 7, 9, 10, 12, 15])
def test_after_a_count_as_many_can_be_used_as_were_there(kit, coordinator, there):
    ball = kit.items.get(name="ball, size 5")
    for how, number in (("lost", 2), ("damaged", 1)):
        record_loss(
            item=ball, count=number, how=how, happened_on=clock.today(), today=clock.today(), by=coordinator,
            now=clock.now(),
        )  # fmt: skip

    count(kit, coordinator, ball=there)

    assert usable(kit, "ball") == there and usable(kit, "cone") == 20
    # What is damaged stays so: counting finds balls, it mends none.
    assert KitLoss.objects.get(how="damaged").righted == ""


@pytest.mark.parametrize("typed", ["-1", "100000", "nine", "1.5"])
def test_a_count_that_cannot_be_is_told_and_stays(kit, coordinator, signed_in, typed):
    ball = kit.items.get(name="ball, size 5")
    answer = signed_in(coordinator).post(reverse("kit-count", args=[kit.pk]), {f"item_{ball.pk}": typed})

    text = answer.content.decode()
    assert answer.status_code == 422 and "Enter a whole number from 0 to 999." in text and f'value="{typed}"' in text
    assert not KitLoss.objects.exists() and not KitCheck.objects.exists()


def test_a_count_of_another_kits_item_is_refused(kit, coordinator):
    other = KitItem.objects.create(kit=Kit.objects.create(name="Kit 8"), name="cone", count=4)

    with pytest.raises(Refusal, match="no longer in the kit"):
        count_kit(kit=kit, counted={other.pk: 2}, today=clock.today(), by=coordinator, now=clock.now())


def test_ahead_says_what_is_due_by_the_next_clinic_and_nothing_of_what_is_not(kit, coordinator, make_clinic, now):
    done(kit, "pump", 4, coordinator)  # due in 10 days
    done(kit, "count", 4, coordinator)
    clinic = make_clinic(days=9)
    hold_kit(clinic, kit)
    assert list(kit_check_needs(now, clock.today())) == []

    KitCheck.objects.filter(what="pump").update(done_on=clock.today() - timedelta(days=5))
    (need,) = kit_check_needs(now, clock.today())
    assert need.headline == "Kit 7: pump the balls" and clinic.center.name in need.detail
    assert need.day == clock.today() + timedelta(days=9)
    assert need.action_href == reverse("kit", args=[kit.pk])

    KitCheck.objects.filter(what="pump").update(done_on=clock.today() - timedelta(days=20))
    (need,) = kit_check_needs(now, clock.today())
    assert "overdue since" in need.detail and need.day == clock.today()


def test_kits_and_the_needs_cost_the_same_however_many_kits(
    kit, coordinator, signed_in, make_clinic, now, django_assert_num_queries, django_assert_max_num_queries
):
    client = signed_in(coordinator)

    def more(numbers):
        for number in numbers:
            one = Kit.objects.create(name=f"Bag {number}", kind=kit.kind)
            KitItem.objects.create(kit=one, name="cone", count=4)
            done(one, "pump", 20, coordinator)
            hold_kit(make_clinic(days=5), one)

    more(range(2))
    with django_assert_max_num_queries(15) as page:
        client.get(reverse("kits"))
    with django_assert_max_num_queries(6) as needs:
        assert len(list(kit_check_needs(now, clock.today()))) == 2
    more(range(2, 12))
    with django_assert_num_queries(len(page)):
        client.get(reverse("kits"))
    with django_assert_num_queries(len(needs)):
        assert len(list(kit_check_needs(now, clock.today()))) == 12


def test_a_kit_that_no_clinic_needs_soon_is_not_on_ahead(kit, make_clinic, now):
    hold_kit(make_clinic(days=20), kit)

    assert list(kit_check_needs(now, clock.today())) == []


def test_a_stranger_checks_and_counts_nothing(kit, stranger):
    for address in (reverse("kit-check", args=[kit.pk]), reverse("kit-count", args=[kit.pk])):
        assert stranger.post(address, {"what": "pump"})["Location"].startswith("/log-in/")
    assert not KitCheck.objects.exists()


def test_a_ball_found_of_three_lost_leaves_two_lost_and_the_list_as_long_as_it_was(kit, coordinator):
    count(kit, coordinator, ball=9)
    count(kit, coordinator, ball=10)

    ball = kit.items.get(name="ball, size 5")
    assert (ball.count, ball.away) == (12, 2)
    assert sorted(KitLoss.objects.values_list("count", "righted")) == [(1, "found"), (2, "")]
    for loss in KitLoss.objects.filter(righted=""):
        put_right(loss=loss, righted="found", by=coordinator, now=clock.now())
    assert usable(kit, "ball") == 12, "as many as there ever were"


def test_balls_found_of_several_losses_close_the_latest_first(kit, coordinator):
    ball = kit.items.get(name="ball, size 5")
    for days, number in ((9, 2), (2, 3)):
        record_loss(
            item=ball, count=number, how="lost", happened_on=clock.today() - timedelta(days=days), today=clock.today(),
            by=coordinator, now=clock.now(), words=f"{days} days ago",
        )  # fmt: skip

    count(kit, coordinator, ball=11)

    told = KitLoss.objects.values_list("words", "count", "righted")
    assert sorted(told) == [("2 days ago", 3, "found"), ("9 days ago", 1, ""), ("9 days ago", 1, "found")]
    assert usable(kit, "ball") == 11 and kit.items.get(pk=ball.pk).count == 12
