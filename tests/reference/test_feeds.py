"""Feeds against RFC 5545, by a reader of its own beside the icalendar library.

Sources: RFC 5545 section 3.1 (unfolding: CRLF and one space go; 75 octets), 3.3.5 (form 2, UTC ends in Z), 3.6.1,
3.8.1.11 (STATUS of a VEVENT), 3.3.11 (escapes); RFC 5546 section 3.2.1 (PUBLISH has no ATTENDEE).
"""

import re
from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from outbox.rules.calendar_part import FeedEvent, calendar_feed

BEGIN = datetime(2026, 11, 28, 14, 0, tzinfo=UTC)
TEXT = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=200)


def by_hand(raw: bytes) -> list[dict[str, str]]:
    """Events read by the grammar's own words and no library."""
    lines = raw.decode().replace("\r\n ", "").split("\r\n")
    events: list[dict[str, str]] = []
    for line in lines:
        if line == "BEGIN:VEVENT":
            events.append({})
        elif events and ":" in line and line != "END:VEVENT":
            name, value = line.split(":", 1)
            if line.startswith("END:"):
                continue
            events[-1][name] = re.sub(r"\\([\\;,nN])", lambda found: "\n" if found[1] in "nN" else found[1], value)
    return events


@given(
    summary=TEXT,
    description=TEXT,
    status=st.sampled_from(["TENTATIVE", "CONFIRMED", "CANCELLED"]),
    sequence=st.integers(0, 10_000),
    hours=st.integers(1, 24 * 300),
)
def test_what_was_put_in_is_what_two_readers_take_out(summary, description, status, sequence, hours):
    event = FeedEvent(
        uid="1f0e@clinics.example.org", sequence=sequence, stamped_at=BEGIN, starts_at=BEGIN + timedelta(hours=hours),
        ends_at=BEGIN + timedelta(hours=hours + 2), summary=summary, location="Hall", description=description,
        status=status,
    )  # fmt: skip
    raw = calendar_feed("Lantern Court", [event])

    (mine,) = by_hand(raw)
    (theirs,) = Calendar.from_ical(raw).walk("VEVENT")
    assert mine["SUMMARY"] == str(theirs["SUMMARY"]) == summary
    assert mine["DESCRIPTION"] == str(theirs["DESCRIPTION"]) == description
    assert mine["STATUS"] == theirs["STATUS"] == status and int(mine["SEQUENCE"]) == sequence
    assert re.fullmatch(r"\d{8}T\d{6}Z", mine["DTSTART"])
    assert datetime.strptime(mine["DTSTART"], "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC) == event.starts_at
    assert theirs.decoded("DTEND") == event.ends_at
    assert b"METHOD:PUBLISH" in raw and b"ATTENDEE" not in raw
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
