"""The floor's day in the office: who took the last child home, the close that was forgotten, and what goes when."""

from datetime import time, timedelta

import pytest
from django.urls import reverse

from core import clock
from core.refusal import Refusal
from core.rules.local_time import localize
from floor.models import FloorAction, FloorDay, FloorPhone, SignIn
from floor.services.phones import phone_of
from floor.services.retention import purge_logs
from floor.services.settling import close_later, sign_out_later
from scheduling.queries.ahead import ahead_page
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def forgotten(floor, now):
    """A clinic of yesterday: one child went home, one was never signed out, and the lead closed nothing."""
    clinic = floor.clinic
    # In the morning: whatever hour this runs, no clinic goes over midnight.
    yesterday = now.astimezone(clinic.center.tz).date() - timedelta(days=1)
    clinic.starts_at = localize(yesterday, time(8), clinic.center.tz)
    clinic.ends_at = clinic.starts_at + timedelta(hours=2)
    clinic.save()
    FloorPhone.objects.update(opened_at=clinic.starts_at)
    one, two = (f"c{child.pk}" for child in floor.children[:2])
    send(
        floor,
        entry(1, "in", clinic.starts_at, who=one),
        entry(2, "in", clinic.starts_at, who=two),
        entry(3, "out", clinic.ends_at, who=one, pickup="Uncle Bram"),
    )
    return SignIn.objects.get(out_at=None)


def needs(now):
    return [need.headline for need in ahead_page(now, clock.today()).needs]


def write(client, row, **facts):
    at = row.clinic.ends_at.astimezone(row.clinic.center.tz)
    typed = {"sign_in": row.pk, "pickup": "Petra Moss", "at": f"{at:%H:%M}"} | facts
    return client.post(reverse("clinic-day-out", args=[row.clinic_id]), typed, follow=True)


def test_who_was_never_signed_out_is_named_until_the_office_writes_who_took_them(
    floor, forgotten, now, signed_in, coordinator
):
    client, page = signed_in(coordinator), reverse("clinic-day", args=[floor.clinic.pk])
    assert f"1 child was not signed out at {floor.clinic.center.name}" in needs(now)
    assert "Fern Moss" in client.get(page).content.decode()
    answer = write(client, forgotten)

    assert "Fern Moss was picked up by Petra Moss." in answer.content.decode()
    row = SignIn.objects.get(child=floor.children[1])
    assert row.pickup == "Petra Moss" and row.out_at is not None
    entries = FloorAction.objects.filter(kind="out", phone__volunteer=None)
    assert entries.get().phone.opened_by == "Perpetua Lang, office"
    assert "not signed out" not in client.get(page).content.decode()
    assert f"The clinic day at {floor.clinic.center.name} hasn’t been closed" in needs(now)
    client.post(reverse("clinic-day-close", args=[floor.clinic.pk]))
    assert FloorDay.objects.get().closed_at is not None
    assert not [words for words in needs(now) if floor.clinic.center.name in words and "closed" in words]


def test_what_is_missing_or_can_not_be_is_said_beside_its_field_and_stays_typed(
    floor, forgotten, signed_in, coordinator
):
    client = signed_in(coordinator)
    empty = write(client, forgotten, pickup=" ", at="25:00")
    assert empty.status_code == 422
    assert "Enter who picked up the child." in empty.content.decode()
    assert "Enter a time such as 11:40." in empty.content.decode() and "25:00" in empty.content.decode()
    before = (forgotten.in_at - timedelta(minutes=5)).astimezone(floor.clinic.center.tz)
    early = write(client, forgotten, at=f"{before:%H:%M}")
    assert early.status_code == 422 and "The child came in at" in early.content.decode()
    assert "Petra Moss" in early.content.decode()
    assert SignIn.objects.filter(out_at=None).count() == 1
    assert write(client, forgotten, sign_in="x").status_code == 404


def test_a_day_is_closed_later_only_when_nobody_is_in_and_the_leads_page_is_shut(floor, forgotten, now, coordinator):
    def codes(moment):
        with pytest.raises(Refusal) as refused:
            close_later(clinic=floor.clinic, by=coordinator, now=moment, came_from="")
        return refused.value.codes

    assert codes(floor.clinic.ends_at + timedelta(hours=2)) == {"too early"}
    assert codes(now) == {"still in"}
    with pytest.raises(Refusal) as refused:
        sign_out_later(
            clinic=floor.clinic, sign_in=forgotten.pk, pickup="x", out_at=now, by=coordinator,
            now=floor.clinic.ends_at - timedelta(minutes=1), came_from="",
        )  # fmt: skip
    assert refused.value.codes == {"not over"}


def test_a_stranger_and_the_floor_lead_settle_nothing(floor, forgotten, stranger, signed_in, floor_lead):
    for name in ("clinic-day-out", "clinic-day-close"):
        address = reverse(name, args=[floor.clinic.pk])
        assert stranger.post(address).status_code == 302
        refused = signed_in(floor_lead).post(address)
        assert refused.status_code == 403 and "<h1" in refused.content.decode()
        assert signed_in(floor_lead).get(address).status_code in (403, 405)
    assert SignIn.objects.filter(out_at=None).count() == 1


def test_entries_go_a_month_after_the_clinic_the_books_stay_and_the_last_child_can_still_be_settled(
    floor, forgotten, now, coordinator
):
    end = floor.clinic.ends_at
    assert purge_logs(now=end + timedelta(days=31)) == 0
    assert purge_logs(now=end + timedelta(days=31, seconds=1)) == 3 and not FloorPhone.objects.exists()
    assert not FloorAction.objects.exists() and SignIn.objects.count() == 2
    assert phone_of(floor.clinic.pk, floor.secret, now) is None
    later = end + timedelta(days=32)
    facts = {"clinic": floor.clinic, "by": coordinator, "now": later, "came_from": ""}
    row = sign_out_later(sign_in=forgotten.pk, pickup="Petra Moss", out_at=end, **facts)
    close_later(**facts)

    assert row.out_at == end and SignIn.objects.filter(out_at=None).count() == 0
    assert SignIn.objects.count() == 2 and FloorDay.objects.get().closed_at == later


def test_pages_of_a_floor_that_is_not_there_or_not_yours_say_so_in_words(
    floor, stranger, signed_in, coordinator, floor_lead
):
    missing = signed_in(coordinator).get(reverse("clinic-day", args=[999_999]))
    assert missing.status_code == 404 and "<h1" in missing.content.decode()
    not_yours = signed_in(floor_lead).get(reverse("clinic-day", args=[floor.clinic.pk]))
    assert not_yours.status_code == 403 and "<h1" in not_yours.content.decode()
    bad_link = stranger.get(reverse("floor-open", args=["made-up"]))
    assert bad_link.status_code in (404, 410) and "<h1" in bad_link.content.decode()
    assert signed_in(coordinator).post(reverse("floor-open-here", args=[999_999])).status_code == 403
    for words in (missing, not_yours, bad_link):
        assert "Traceback" not in words.content.decode() and "Forbidden" not in words.content.decode()
