"""Calendar feeds by private address: what a center's contact and the office read, and how an address is withdrawn."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from icalendar import Calendar

from clinics.models import Status
from core import clock, links
from scheduling.models import Answer, Booking, OfficeFeed
from scheduling.queries.feeds import center_feed_address, office_feed_address
from scheduling.services.bookings import answer_booking
from scheduling.services.cancelling import cancel_clinic
from shifts.models import Reply


@pytest.fixture
def clinic(make_space, make_clinic, make_shift, make_assignment, make_volunteer):
    row = make_clinic(make_space(name="Main floor"), theme="Paper bridges; bring tape, glue", status=Status.TENTATIVE)
    make_assignment(make_shift(row), make_volunteer("Imara Venn"), reply=Reply.ACCEPTED)
    make_shift(row)
    return row


def path(address, settings):
    return address.removeprefix(settings.SITE_URL)


def event(client, address):
    answer = client.get(address)
    assert answer.status_code == 200 and answer["Content-Type"].startswith("text/calendar")
    (found,) = Calendar.from_ical(answer.content).walk("VEVENT")
    return found


@pytest.fixture
def center_path(clinic, settings):
    return path(center_feed_address(clinic.center, clock.now()), settings)


@pytest.fixture
def office_path(clinic, settings):
    return path(office_feed_address(clock.now()), settings)


def test_the_center_reads_its_space_and_no_name(stranger, clinic, center_path, make_clinic):
    make_clinic()  # at another center
    found = event(stranger, center_path)
    booking = Booking.objects.get(clinic=clinic)

    assert (found["DTSTART"].dt, found["DTEND"].dt) == (booking.period.lower, booking.period.upper)
    assert found["STATUS"] == "TENTATIVE" and found["UID"] == f"{clinic.uid}@{links.host()}"
    assert "Main floor" in found["SUMMARY"] and "Paper bridges; bring tape, glue" in found["SUMMARY"]
    raw = stranger.get(center_path).content
    assert b"Imara" not in raw and b"Venn" not in raw and b"child" not in raw and b"accepted" not in raw
    assert b"Maude" not in raw and b"@example.org" not in raw.replace(found["UID"].encode(), b"")


def test_the_office_reads_cover_by_number(stranger, clinic, office_path, center_path):
    found = event(stranger, office_path)

    assert "1 of 2 shifts accepted" in found["SUMMARY"] and found["DTSTART"].dt == clinic.starts_at
    assert found["UID"] == event(stranger, center_path)["UID"]
    assert b"Imara" not in stranger.get(office_path).content


def test_status_follows_and_the_sequence_rises(stranger, clinic, center_path, office_path):
    seen = [event(stranger, center_path)]
    answer_booking(booking=Booking.objects.get(), answer=Answer.AGREED, now=clock.now())
    seen.append(event(stranger, center_path))
    cancel_clinic(clinic=clinic, because="Snow", now=clock.now())
    seen.append(event(stranger, center_path))

    assert [one["STATUS"] for one in seen] == ["TENTATIVE", "CONFIRMED", "CANCELLED"]
    numbers = [one["SEQUENCE"] for one in seen]
    assert numbers == sorted(set(numbers)) and len({one["UID"] for one in seen}) == 1
    assert event(stranger, office_path)["STATUS"] == "CANCELLED"


def test_a_space_that_was_refused_is_cancelled_for_the_center(stranger, clinic, center_path):
    answer_booking(booking=Booking.objects.get(), answer=Answer.NOT_POSSIBLE, now=clock.now())

    assert event(stranger, center_path)["STATUS"] == "CANCELLED"


def test_lines_are_folded_and_an_unchanged_calendar_is_not_sent_twice(stranger, clinic, center_path):
    first = stranger.get(center_path)
    for line in first.content.split(b"\r\n"):
        assert len(line) <= 75
        line.decode()
    assert first["Cache-Control"] == "private, no-cache" and b"DTSTART:2" in first.content

    again = stranger.get(center_path, headers={"if-none-match": first["ETag"]})
    assert again.status_code == 304 and not again.content
    answer_booking(booking=Booking.objects.get(), answer=Answer.AGREED, now=clock.now())
    assert stranger.get(center_path, headers={"if-none-match": first["ETag"]}).status_code == 200


def test_a_renewed_address_stops_the_old_one(stranger, clinic, center_path, office_path, coordinator, signed_in):
    client = signed_in(coordinator)
    pages = ((reverse("center-feed", args=[clinic.center_id]), center_path), (reverse("office-feed"), office_path))
    for page, old in pages:
        assert old in client.get(page).content.decode()  # a look changes nothing
        assert stranger.get(old).status_code == 200
        words = client.post(page, follow=True).content.decode()
        assert "The old link no longer works" in words and old not in words
        assert stranger.get(old).status_code == 410
        client.post(page)
    assert OfficeFeed.objects.get().feed_counter == 2


def test_an_address_opens_its_own_calendar_alone(stranger, clinic, center_path, office_path):
    token = center_path.removeprefix("/f/c/").removesuffix(".ics")
    for route in ("office-feed-ics", "own-feed"):
        assert stranger.get(reverse(route, args=[token])).status_code == 404
    assert stranger.get(center_path.replace(".ics", "x.ics")).status_code == 404
    assert stranger.post(center_path).status_code == 405


def test_who_guesses_addresses_is_slowed_down(stranger, clinic, settings):
    answers = [stranger.get(f"/f/{'co'[n % 2]}/guess{n}.ics", REMOTE_ADDR="192.0.2.79").status_code for n in range(31)]
    assert answers[:30] == [404] * 30 and answers[30] == 429


def test_strangers_and_the_floor_lead_are_refused(stranger, clinic, floor_lead, signed_in):
    for page in (reverse("center-feed", args=[clinic.center_id]), reverse("office-feed")):
        assert stranger.get(page).status_code == 302 and stranger.post(page).status_code == 302
        assert signed_in(floor_lead).get(page).status_code == 403
    clinic.center.refresh_from_db()
    assert clinic.center.feed_counter == 0 and not OfficeFeed.objects.exists()


def test_queries_do_not_grow_with_clinics(stranger, clinic, center_path, office_path, make_clinic, make_shift):
    def count(address):
        with CaptureQueriesContext(connection) as found:
            stranger.get(address)
        return len(found)

    stranger.get(office_path)  # what duties are called is read once for all
    before = [count(center_path), count(office_path)]
    space = Booking.objects.get().space
    for number in range(12):
        make_shift(make_clinic(space, days=20 + number))
    assert [count(center_path), count(office_path)] == before


def test_what_was_long_ago_is_gone(stranger, clinic, office_path):
    clinic.starts_at -= timedelta(days=60)
    clinic.ends_at -= timedelta(days=60)
    clinic.save()
    assert b"VEVENT" not in stranger.get(office_path).content
