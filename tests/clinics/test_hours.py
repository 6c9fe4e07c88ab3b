"""When a center is open: hours, closed days, public holidays offered, a calendar file read with care."""

from datetime import date, time, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from clinics.models import ClosedDays, OpenHours
from clinics.rules.closed_days import read_closed_days
from clinics.services.hours import add_closed_days, public_holidays, set_hours
from clinics.words.files import file_words, skipped_words
from core import clock
from core.formats import long_day
from core.refusal import Refusal
from core.rules.refused import Refused

TODAY = date(2026, 11, 25)


def skipped(found):
    """Code and name of every event that closes no day; each has words that name it."""
    assert all(skipped_words(one).startswith(one.facts["name"]) for one in found.left_out)
    return [(one.code, one.facts["name"]) for one in found.left_out]


def ics(*events):
    body = "".join(f"BEGIN:VEVENT\r\n{event}\r\nEND:VEVENT\r\n" for event in events)
    return f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\n{body}END:VCALENDAR\r\n".encode()


def test_whole_days_are_taken_and_the_rest_is_named():
    """RFC 5545 section 3.6.1: DTEND of an all-day event is the day after its last."""
    found = read_closed_days(
        ics(
            "DTSTART;VALUE=DATE:20261224\r\nDTEND;VALUE=DATE:20261227\r\nSUMMARY:Winter break",
            "DTSTART;VALUE=DATE:20270118\r\nSUMMARY:One day",
            "DTSTART:20270105T090000Z\r\nSUMMARY:A meeting",
            "DTSTART;VALUE=DATE:20270101\r\nRRULE:FREQ=DAILY\r\nSUMMARY:For ever",
            "DTSTART;VALUE=DATE:20200101\r\nSUMMARY:Long ago",
            "SUMMARY:No day at all",
        ),
        TODAY,
    )

    assert found.days == [
        (date(2026, 12, 24), date(2026, 12, 26), "Winter break"),
        (date(2027, 1, 18), date(2027, 1, 18), "One day"),
    ]
    assert skipped(found) == [
        ("not all day", "A meeting"),
        ("repeats", "For ever"),
        ("not all day", "No day at all"),
    ]


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        (b"%PDF-1.7 not a calendar", "no calendar"),
        (b"", "no calendar"),
        (b"x" * 20_000_000, "large calendar"),
        (ics(*["DTSTART;VALUE=DATE:20270118"] * 401), "many events"),
        (b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n", "no calendar"),
    ],
)
def test_a_file_that_is_no_list_of_closed_days_is_refused_and_each_code_has_words(raw, code):
    with pytest.raises(Refused) as refused:
        read_closed_days(raw, TODAY)

    assert refused.value.codes == {code} and file_words(refused.value)


@pytest.mark.parametrize(
    "event",
    [
        "DTSTART;VALUE=DATE:99999999",
        "DTSTART;VALUE=DATE:20270101\r\nDTSTART;VALUE=DATE:20270102",
        "DTSTART;VALUE=DATE:20270101\r\nDTEND;VALUE=DATE:20261231",
        "DTSTART;VALUE=DATE:20270101\r\nDTEND;VALUE=DATE:nonsense",
        "DTSTART;VALUE=DATE:20270101\r\nRRULE:FREQ=SECONDLY",
        "DTSTART;VALUE=DATE:20270101\r\nRRULE:FREQ=DAILY;INTERVAL=0",
        "DTSTART;VALUE=DATE:20270101\r\nRDATE;VALUE=DATE:20270102",
    ],
)
def test_an_event_that_is_no_stretch_of_days_is_left_out_with_a_word(event):
    found = read_closed_days(ics(event), TODAY)

    assert found.days == [] and len(found.left_out) == 1
    assert skipped_words(found.left_out[0]).startswith("An event ")


def test_days_at_the_very_edge_and_odd_signs_break_nothing():
    found = read_closed_days(
        ics(
            "DTSTART;VALUE=DATE:00010101\r\nDTEND;VALUE=DATE:00010101",
            "DTSTART;VALUE=DATE:20270101\r\nDTEND;VALUE=DATE:20270101\r\nSUMMARY:Wa\x00ter\x07",
        ),
        TODAY,
    )

    assert found.days == [(date(2027, 1, 1), date(2027, 1, 1), "Water")]


def test_a_stretch_given_by_its_length_is_whole_and_what_was_cancelled_closes_nothing():
    """RFC 5545 section 3.6.1: an event ends by DTEND or by DURATION; section 3.8.1.11: STATUS may be CANCELLED."""
    found = read_closed_days(
        ics(
            "DTSTART;VALUE=DATE:20261224\r\nDURATION:P3D\r\nSUMMARY:Winter break",
            "DTSTART;VALUE=DATE:20270201\r\nDURATION:P1W\r\nSUMMARY:Painting",
            "DTSTART;VALUE=DATE:20270301\r\nDURATION:PT4H\r\nSUMMARY:Odd",
            "DTSTART;VALUE=DATE:20270302\r\nDURATION:-P2D\r\nSUMMARY:Backwards",
            "DTSTART;VALUE=DATE:20270303\r\nDURATION:soon\r\nSUMMARY:No length",
            "DTSTART;VALUE=DATE:20270401\r\nSTATUS:CANCELLED\r\nSUMMARY:Fair",
            "DTSTART;VALUE=DATE:99991231\r\nDURATION:P9999999D\r\nSUMMARY:For ever",
        ),
        TODAY,
    )

    assert found.days == [
        (date(2026, 12, 24), date(2026, 12, 26), "Winter break"),
        (date(2027, 2, 1), date(2027, 2, 7), "Painting"),
    ]
    assert skipped(found) == [
        ("not all day", "Odd"),
        ("backwards", "Backwards"),
        ("not all day", "No length"),
        ("cancelled", "Fair"),
        ("not all day", "For ever"),
    ]


def test_events_nested_without_end_are_refused():
    with pytest.raises(Refused) as refused:
        read_closed_days(
            b"BEGIN:VCALENDAR\r\n" + b"BEGIN:VEVENT\r\n" * 30_000 + b"END:VEVENT\r\n" * 30_000 + b"END:VCALENDAR\r\n",
            TODAY,
        )

    assert refused.value.codes == {"many events"}


@pytest.fixture
def page(make_center):
    center = make_center("Quarry Lane Library")
    return center, reverse("center-hours", args=[center.pk])


def action(page, name):
    return reverse(name, args=[page[0].pk])


def test_hours_closed_days_and_a_file_are_kept(page, coordinator, signed_in):
    _, address = page
    client = signed_in(coordinator)
    client.post(action(page, "center-hours-save"), {"opens_5": "08:00", "closes_5": "14:00"})
    assert str(OpenHours.objects.get()) == "Saturday 08:00 to 14:00"
    first = clock.today() + timedelta(days=30)
    client.post(action(page, "closed-add"), {"first_day": first, "last_day": first + timedelta(days=2), "why": "Floor"})
    file = SimpleUploadedFile("closed.ics", ics(f"DTSTART;VALUE=DATE:{first + timedelta(days=40):%Y%m%d}"))
    client.post(action(page, "closed-add"), {"file": file})
    assert ClosedDays.objects.count() == 2

    text = client.get(address).content.decode()
    assert "Floor" in text and 'value="08:00"' in text
    client.post(reverse("closed-remove", args=[ClosedDays.objects.all()[0].pk]))
    assert ClosedDays.objects.count() == 1


def test_public_holidays_are_offered_and_not_imposed(page, coordinator, signed_in):
    client = signed_in(coordinator)
    offered = public_holidays(clock.today())
    assert len(offered) >= 10 and not ClosedDays.objects.exists()

    client.post(action(page, "holidays-add"), {"day": [offered[0][0].isoformat(), "2020-01-01", "nonsense"]})

    assert ClosedDays.objects.get().why == offered[0][1]


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("center-hours-save", {"opens_5": "14:00", "closes_5": "08:00"}, "closing time is before the opening time"),
        ("center-hours-save", {"opens_5": "22:00", "closes_5": "02:00"}, "end this day at 23:59"),
        ("center-hours-save", {"opens_5": "18:00", "closes_5": "00:00"}, "end this day at 23:59"),
        ("center-hours-save", {"opens_5": "14:00"}, "Enter both times for Saturday"),
        ("closed-add", {}, "Enter the first closed day, or choose a file"),
        ("closed-add", {"first_day": "2027-02-02", "last_day": "2027-01-01"}, "The last day is before the first"),
        ("closed-add", {"first_day": "soon"}, "year-month-day"),
    ],
)
def test_what_cannot_be_is_said(page, coordinator, signed_in, name, typed, sentence):
    answer = signed_in(coordinator).post(action(page, name), typed)

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert not OpenHours.objects.exists() and not ClosedDays.objects.exists()


@pytest.mark.parametrize(
    ("raw", "name", "sentence"),
    [
        (b"%PDF-1.7", "closed.ics", "not a calendar file"),
        (b"", "closed.ics", "This file is empty"),
        (b"x" * 20_000_000, "closed.ics", "over 1 MB"),
        (b"\x00\xff", "../../etc/passwd\r\n.ics", "not a calendar file"),
    ],
)
def test_a_file_that_is_no_calendar_is_refused_on_the_page(page, coordinator, signed_in, raw, name, sentence):
    file = SimpleUploadedFile(name, raw)

    answer = signed_in(coordinator).post(action(page, "closed-add"), {"file": file})

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert not ClosedDays.objects.exists()


def test_an_event_that_repeats_for_ever_is_named_on_the_page(page, coordinator, signed_in):
    file = SimpleUploadedFile("closed.ics", ics("DTSTART;VALUE=DATE:20270101\r\nRRULE:FREQ=DAILY\r\nSUMMARY:Swim"))

    answer = signed_in(coordinator).post(action(page, "closed-add"), {"file": file}, follow=True)

    assert "Swim is a repeating event" in answer.content.decode()
    assert not ClosedDays.objects.exists()


def test_every_event_that_is_left_out_is_at_least_counted(page, coordinator, signed_in):
    events = [f"DTSTART;VALUE=DATE:20270101\r\nRRULE:FREQ=DAILY\r\nSUMMARY:Swim {n}" for n in range(8)]

    answer = signed_in(coordinator).post(
        action(page, "closed-add"), {"file": SimpleUploadedFile("closed.ics", ics(*events))}, follow=True
    )

    text = answer.content.decode()
    assert "Swim 4 is a repeating" in text and "Swim 5 is a repeating" not in text
    assert "3 more events in the file were skipped" in text


def test_days_typed_beside_a_file_are_kept_with_those_of_the_file(page, coordinator, signed_in):
    first = clock.today() + timedelta(days=30)
    file = SimpleUploadedFile("closed.ics", ics(f"DTSTART;VALUE=DATE:{first + timedelta(days=40):%Y%m%d}"))

    signed_in(coordinator).post(action(page, "closed-add"), {"first_day": first, "why": "Floor", "file": file})

    assert list(ClosedDays.objects.order_by("first_day").values_list("first_day", "why")) == [
        (first, "Floor"),
        (first + timedelta(days=40), ""),
    ]


def test_a_file_of_many_days_is_read_twice_and_days_gone_by_do_not_fill_the_list(page):
    center, _ = page
    days = [(TODAY + timedelta(days=2 * n), TODAY + timedelta(days=2 * n), "") for n in range(300)]
    assert add_closed_days(center=center, days=days, today=TODAY) == 300

    assert add_closed_days(center=center, days=days, today=TODAY) == 0, "the same file a second time adds nothing"
    later = [(day + timedelta(days=601), day + timedelta(days=601), "") for day, _, _ in days]
    with pytest.raises(Refusal) as refused:
        add_closed_days(center=center, days=later, today=TODAY)
    assert refused.value.codes == {"too many"}
    assert add_closed_days(center=center, days=later, today=TODAY + timedelta(days=601)) == 300


@pytest.mark.parametrize("by_file", [False, True])
def test_closing_over_a_confirmed_clinic_says_so_and_moves_nothing(coordinator, signed_in, make_clinic, by_file):
    clinic = make_clinic(days=20)
    day = clinic.day
    typed = {"first_day": day - timedelta(days=1), "last_day": day + timedelta(days=1)}
    if by_file:
        typed = {"file": SimpleUploadedFile("c.ics", ics(f"DTSTART;VALUE=DATE:{day:%Y%m%d}"))}

    answer = signed_in(coordinator).post(reverse("closed-add", args=[clinic.center_id]), typed, follow=True)

    assert f"still a clinic booked here on {long_day(day)}" in answer.content.decode()
    clinic.refresh_from_db()
    assert clinic.status == "confirmed" and clinic.day == day


def booked(client, space, day, starts="09:30", ends="11:30"):
    return client.post(
        reverse("clinic-new"),
        {
            "center": space.center_id, "space": space.pk, "day": day, "starts": starts, "ends": ends,
            "youngest_1": 7, "oldest_1": 10, "children_1": 12, "ratio_table": "aca_day_camp",
        },
    )  # fmt: skip


def test_no_clinic_is_booked_when_the_center_is_closed(coordinator, signed_in, make_space):
    space = make_space()
    client = signed_in(coordinator)
    day = clock.today() + timedelta(days=20)
    add_closed_days(center=space.center, days=[(day, day, "Elections")], today=clock.today())
    assert "is closed on" in booked(client, space, day).content.decode()
    other = day + timedelta(days=1)
    set_hours(center=space.center, hours={other.weekday(): (time(9, 15), time(18))})

    text = booked(client, space, other).content.decode()
    assert "only from 09:15 to 18:00. With setup and cleanup, this needs 09:00 to 12:00" in text
    assert "days. Choose another day." in booked(client, space, other + timedelta(days=1)).content.decode()
    assert booked(client, space, other, "10:00", "12:00").status_code == 302


def test_a_day_closed_over_a_clinic_is_told_on_ahead(coordinator, signed_in, make_clinic):
    clinic = make_clinic(days=5)
    add_closed_days(center=clinic.center, days=[(clinic.day, clinic.day, "Water damage")], today=clock.today())

    page = signed_in(coordinator).get(reverse("ahead")).content.decode()

    assert "is closed on a clinic day" in page and "Water damage" in page


def test_only_who_keeps_centers_changes_hours(page, floor_lead, stranger, signed_in):
    assert signed_in(floor_lead).get(page[1]).status_code == 403
    assert stranger.get(page[1]).status_code == 302


@pytest.mark.parametrize("name", ["center-hours-save", "closed-add", "holidays-add"])
def test_a_get_of_what_changes_the_hours_is_sent_on_to_them_and_others_may_not(
    page, coordinator, floor_lead, signed_in, stranger, name
):
    client, typed = signed_in(coordinator), {"opens_5": "08:00", "closes_5": "14:00", "first_day": "2027-02-02"}
    typed["day"] = public_holidays(clock.today())[0][0].isoformat()
    answer = client.get(action(page, name), typed)
    assert answer.status_code == 302 and answer["Location"] == page[1]
    assert client.post(page[1], typed).status_code == 405
    assert signed_in(floor_lead).post(action(page, name), typed).status_code == 403
    assert stranger.post(action(page, name), typed)["Location"].startswith("/log-in/")
    assert not OpenHours.objects.exists() and not ClosedDays.objects.exists()
    assert client.post(action(page, name), typed)["Location"] == page[1]
    assert OpenHours.objects.exists() or ClosedDays.objects.exists()


def test_what_was_refused_stays_typed(page, coordinator, signed_in):
    client = signed_in(coordinator)
    text = client.post(action(page, "center-hours-save"), {"opens_4": "09:10", "opens_5": "14:00"}).content.decode()
    assert 'value="09:10"' in text and 'value="14:00"' in text
    typed = {"first_day": "soon", "why": "Kept as typed"}
    assert 'value="Kept as typed"' in client.post(action(page, "closed-add"), typed).content.decode()


def test_holidays_over_the_most_that_a_center_keeps_are_said_and_stay_ticked(page, coordinator, signed_in):
    center, today = page[0], clock.today()
    far = [today + timedelta(days=2000 + 2 * n) for n in range(500)]
    add_closed_days(center=center, days=[(day, day, "") for day in far], today=today)
    day = public_holidays(today)[0][0].isoformat()

    answer = signed_in(coordinator).post(action(page, "holidays-add"), {"day": day})

    text = answer.content.decode()
    assert answer.status_code == 422 and "up to 500 sets" in text and ClosedDays.objects.count() == 500
    assert f'value="{day}" checked>' in text and text.count(" checked>") == 1
