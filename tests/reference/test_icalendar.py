"""Calendar parts against RFC 5545, 5546 and 6047, read back by the icalendar library and by their octets.

Sources: RFC 5545 section 3.1 (75 octets, CRLF), 3.6.1 (required properties), 3.8.1.11 (STATUS), 3.2.12 (PARTSTAT),
3.3.11 (escapes); RFC 5546 section 3.2.2 (REQUEST), 3.2.5 (CANCEL), 2.1.4 (SEQUENCE, from memory); RFC 6047 section
2.4 (the method parameter, from memory).
"""

from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from icalendar import Calendar

from outbox.rules.calendar_part import CalendarPart, FeedEvent, calendar_feed, calendar_part

FACTS = CalendarPart(
    method="REQUEST",
    uid="1f0e@clinics.example.org",
    sequence=0,
    stamped_at=datetime(2026, 11, 25, 9, 0, tzinfo=UTC),
    starts_at=datetime(2026, 11, 28, 9, 30, tzinfo=ZoneInfo("America/New_York")),
    ends_at=datetime(2026, 11, 28, 11, 30, tzinfo=ZoneInfo("America/New_York")),
    summary="Lantern Court: coach at Saint Orla's Hall",
    location="Saint Orla's Hall, 9 Fenner Row, Larkmoor",
    description="Be there at 09:00. Bring: water; indoor shoes, badge\nSide door",
    organizer_email="clinics@example.org",
    organizer_name="Lantern Court",
    attendee_email="imara@example.org",
    attendee_name="Imara Venn",
    confirmed=True,
)


def read(facts: CalendarPart) -> tuple[Calendar, dict[str, object]]:
    calendar = Calendar.from_ical(calendar_part(facts))
    (event,) = calendar.walk("VEVENT")
    return calendar, event


def test_a_request_has_every_property_that_the_standards_require() -> None:
    calendar, event = read(FACTS)

    assert calendar["VERSION"] == "2.0" and calendar["PRODID"] and calendar["METHOD"] == "REQUEST"
    for name in ("UID", "DTSTAMP", "DTSTART", "DTEND", "ORGANIZER", "ATTENDEE", "SEQUENCE", "SUMMARY"):
        assert name in event, name


def test_the_hours_are_the_same_instants_in_utc() -> None:
    _, event = read(FACTS)

    assert event["DTSTART"].dt == FACTS.starts_at and event["DTEND"].dt == FACTS.ends_at  # type: ignore[attr-defined]
    assert b"DTSTART:20261128T143000Z" in calendar_part(FACTS)


@pytest.mark.parametrize(
    ("method", "confirmed", "status"),
    [("REQUEST", True, "CONFIRMED"), ("REQUEST", False, "TENTATIVE"), ("CANCEL", True, "CANCELLED")],
)
def test_status_is_one_of_the_three_words(method: str, confirmed: bool, status: str) -> None:
    calendar, event = read(replace(FACTS, method=method, confirmed=confirmed))

    assert event["STATUS"] == status and calendar["METHOD"] == method


def test_a_cancellation_keeps_the_uid_and_carries_the_higher_sequence() -> None:
    _, asked = read(FACTS)
    _, cancelled = read(replace(FACTS, method="CANCEL", sequence=1))

    assert cancelled["UID"] == asked["UID"]
    assert cancelled["SEQUENCE"] > asked["SEQUENCE"]  # type: ignore[operator]


def test_the_person_asked_needs_action_and_answers_by_link() -> None:
    _, event = read(FACTS)
    attendee = event["ATTENDEE"]

    assert str(attendee) == "mailto:imara@example.org"
    assert attendee.params["PARTSTAT"] == "NEEDS-ACTION"  # type: ignore[attr-defined]
    assert attendee.params["RSVP"] == "FALSE"  # type: ignore[attr-defined]


@given(
    text=st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=300),
    name=st.text(st.characters(categories=["L"]), min_size=1, max_size=60),
)
@example(text="\\N", name="A")
@example(text="Bring C:\\New, \\n and \\\\N; then \\", name="A")
def test_lines_end_crlf_hold_75_octets_and_split_no_character(text: str, name: str) -> None:
    raw = calendar_part(replace(FACTS, description=text, attendee_name=name, summary=text[:80] or "x"))

    assert raw.endswith(b"\r\n") and b"\n" not in raw.replace(b"\r\n", b"")
    for line in raw.split(b"\r\n"):
        assert len(line) <= 75
        line.decode()  # a line that split a character in two would not decode
    _, event = read(replace(FACTS, description=text))
    assert str(event["DESCRIPTION"]) == text


@pytest.mark.parametrize(
    ("text", "written"),
    [("\\N", b"\\\\N"), ("\\n", b"\\\\n"), ("C:\\New", b"C:\\\\New"), ("one\ntwo", b"one\\ntwo"), ("a\r\nb", b"a\\nb")],
)
def test_a_backslash_is_doubled_before_any_letter_and_only_a_line_break_is_written_as_one(
    text: str, written: bytes
) -> None:
    """RFC 5545 section 3.3.11: a backslash is written as two; "\\n" or "\\N" stands for an intentional line break."""
    at = FACTS.starts_at
    feed = calendar_feed(text, [FeedEvent("1", 0, at, at, at, text, text, text, "CONFIRMED")])
    part = calendar_part(replace(FACTS, summary=text, location=text, description=text))

    for raw in (part, feed):
        lines = raw.split(b"\r\n")
        for name in (b"SUMMARY", b"LOCATION", b"DESCRIPTION"):
            assert name + b":" + written in lines
    assert b"NAME:" + written in feed.split(b"\r\n")


def test_commas_semicolons_and_new_lines_survive() -> None:
    _, event = read(FACTS)

    assert str(event["DESCRIPTION"]) == FACTS.description
    assert b"water\\; indoor shoes\\, badge" in calendar_part(FACTS).replace(b"\r\n ", b"")


def test_an_unknown_method_and_a_time_without_a_zone_are_refused() -> None:
    with pytest.raises(ValueError, match="REQUEST or a CANCEL"):
        calendar_part(replace(FACTS, method="PUBLISH"))
    with pytest.raises(ValueError, match="zone"):
        calendar_part(replace(FACTS, starts_at=datetime(2026, 11, 28, 9, 30)))
