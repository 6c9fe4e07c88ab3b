"""Where two phones still differ when the floor page is wiped, the office settles it and loses nothing."""

from datetime import UTC, time, timedelta

import pytest
from django.urls import reverse

from core import clock
from core.refusal import Refusal
from core.rules.local_time import localize
from floor.models import FloorAction, FloorDay, SignIn
from floor.queries.conflicts import open_conflicts
from floor.queries.floor_hours import LOG_KEPT, wipe_at
from floor.queries.log import floor_state
from floor.services.phones import open_phone
from floor.services.retention import purge_logs
from floor.services.settling import close_later, settle_later, sign_out_later
from scheduling.queries.ahead import ahead_page
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def differing(floor, now):
    """A clinic of the day before yesterday: two phones name different pickup people, one child was signed out alone."""
    clinic = floor.clinic
    day = now.astimezone(clinic.center.tz).date() - timedelta(days=2)
    # In UTC, or adding days would go by the wall and be an hour off where the clocks change.
    clinic.starts_at = localize(day, time(8), clinic.center.tz).astimezone(UTC)
    clinic.ends_at = clinic.starts_at + timedelta(hours=2)
    clinic.save()
    other, _ = open_phone(
        clinic=clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=clinic.starts_at - timedelta(hours=1)
    )
    for phone in (floor.phone, other):
        phone.opened_at = clinic.starts_at - timedelta(hours=1)
        phone.save()
    one, two = (f"c{child.pk}" for child in floor.children[:2])
    send(floor, entry(1, "in", clinic.starts_at, who=one), entry(2, "out", clinic.ends_at, who=one, pickup="Bram"))
    later = clinic.ends_at + timedelta(minutes=1)
    send(
        floor,
        entry(1, "out", later, who=one, pickup="Petra"),
        entry(2, "out", later, who=two, pickup="Uncle Bram"),
        phone=other,
    )
    return clinic


def conflict_of(clinic, name):
    return next(one for one in open_conflicts(floor_state(clinic)) if one.words.startswith(name))


def settle(client, clinic, **typed):
    return client.post(reverse("clinic-day-settle", args=[clinic.pk]), typed, follow=True)


def test_the_office_says_which_of_two_phones_is_right(floor, differing, now, signed_in, coordinator):
    client, page = signed_in(coordinator), reverse("clinic-day", args=[differing.pk])
    assert f"Two phones have different records for {differing.center.name}" in [
        need.headline for need in ahead_page(now, clock.today()).needs
    ]
    words = client.get(page).content.decode()
    assert "Wren Ash was signed out to two different people." in words and "with Petra" in words
    assert "Sign-in time" in words and "No, remove this sign-out" in words
    said = next(one for one in conflict_of(differing, "Wren Ash").versions if one.pickup == "Petra")

    assert "Fixed." in settle(client, differing, right=said.id).content.decode()
    assert SignIn.objects.get(child=floor.children[0]).pickup == "Petra"
    assert [one.words for one in open_conflicts(floor_state(differing))] == [
        "Fern Moss was signed out but never signed in."
    ]
    # What the other phone said is still in the log.
    assert FloorAction.objects.filter(kind="out").count() == 3
    assert "Someone already fixed that." in settle(client, differing, right=said.id).content.decode()
    assert FloorAction.objects.filter(kind="undo").count() == 1


def test_somebody_signed_out_and_never_in_was_here_since_a_time_or_was_not_here(
    floor, differing, signed_in, coordinator
):
    client = signed_in(coordinator)
    number = conflict_of(differing, "Fern Moss").actions[0]
    tz = differing.center.tz
    late = differing.ends_at.astimezone(tz) + timedelta(minutes=2)
    for typed, sentence in (
        (f"{late:%H:%M}", "Enter an earlier time."),
        ("8 o'clock", "such as 11:40"),
        ("", "Enter the"),
    ):
        answer = settle(client, differing, right=number, came="yes", at=typed)
        assert answer.status_code == 422 and sentence in answer.content.decode()
        assert "8 o&#x27;clock" in answer.content.decode() or typed != "8 o'clock"
    assert not SignIn.objects.filter(child=floor.children[1]).exists()

    settle(client, differing, right=number, came="yes", at="08:05")
    row = SignIn.objects.get(child=floor.children[1])
    assert row.in_at == localize(differing.day, time(8, 5), tz) and row.pickup == "Uncle Bram"
    assert row.out_at == differing.ends_at + timedelta(minutes=1)


def test_taken_back_leaves_nobody_in_and_then_the_day_can_be_closed(floor, differing, now, coordinator):
    facts = {"clinic": differing, "by": coordinator, "now": now, "came_from": ""}
    with pytest.raises(Refusal) as refused:
        close_later(**facts)
    assert refused.value.codes == {"conflicts"}
    settle_later(right=conflict_of(differing, "Fern Moss").actions[0], in_at=None, **facts)
    settle_later(right=conflict_of(differing, "Wren Ash").actions[0], in_at=None, **facts)

    assert FloorDay.objects.get().conflicts == [] and SignIn.objects.get().pickup == "Bram"
    close_later(**facts)
    assert FloorDay.objects.get().closed_at == now


def test_while_the_lead_can_settle_it_the_office_does_not(floor, differing, coordinator, signed_in):
    with pytest.raises(Refusal) as refused:
        settle_later(
            clinic=differing, right=conflict_of(differing, "Wren Ash").actions[0], in_at=None, by=coordinator,
            now=wipe_at(differing) - timedelta(minutes=1), came_from="",
        )  # fmt: skip
    assert refused.value.codes == {"too early"}


def test_once_the_entries_have_gone_both_stay_and_nothing_asks(floor, differing, now, signed_in, coordinator):
    later = differing.ends_at + LOG_KEPT + timedelta(seconds=1)
    purge_logs(now=later)
    words = signed_in(coordinator).get(reverse("clinic-day", args=[differing.pk])).content.decode()
    assert "have been deleted, so both stay" in words and "Keep this one" not in words
    headlines = [need.headline for need in ahead_page(later, later.date()).needs]
    assert not [one for one in headlines if "differ" in one]
    assert f"The clinic day at {differing.center.name} hasn’t been closed" in headlines
    close_later(clinic=differing, by=coordinator, now=later, came_from="")
    assert FloorDay.objects.get().closed_at == later


def test_only_who_keeps_children_settles(floor, differing, signed_in, floor_lead, stranger):
    address = reverse("clinic-day-settle", args=[differing.pk])
    assert stranger.post(address).status_code == 302
    assert signed_in(floor_lead).post(address, {"right": "x"}).status_code == 403
    assert FloorAction.objects.count() == 4


def test_what_the_office_writes_keeps_its_own_time_in_whatever_order(floor, differing, now, coordinator):
    """The last child to leave may be written down first."""
    start = differing.starts_at
    send(floor, *(entry(n + 10, "in", start, who=f"c{child.pk}") for n, child in enumerate(floor.children[1:])))
    facts = {"clinic": differing, "by": coordinator, "now": now, "came_from": ""}
    settle_later(right=conflict_of(differing, "Wren Ash").actions[0], in_at=None, **facts)
    send(floor, entry(20, "in", differing.ends_at + timedelta(minutes=5), who=f"c{floor.children[1].pk}"))
    for child, minutes in ((floor.children[2], 20), (floor.children[1], 10)):
        row = SignIn.objects.get(child=child, out_at=None)
        out_at = differing.ends_at + timedelta(minutes=minutes)
        done = sign_out_later(sign_in=row.pk, pickup="Petra Moss", out_at=out_at, **facts)
        assert done.out_at == out_at
