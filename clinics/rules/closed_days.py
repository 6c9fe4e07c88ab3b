"""Reads closed days from a center's own calendar file, with care, since somebody else made it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from icalendar import Calendar, Component

from core.rules.refused import Reason, Refused

__all__ = ["MOST_BYTES", "Found", "read_closed_days"]

MOST_BYTES = 1_000_000
MOST_EVENTS = 400
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Found:
    """What a file holds. ``days``: (first, last, why), soonest first. ``left_out``: why events are left out.

    The codes of ``left_out`` are "not all day", "cancelled", "repeats" and "backwards", each with the event's ``name``.
    """

    days: list[tuple[date, date, str]]
    left_out: list[Reason]


def read_closed_days(raw: bytes, today: date, horizon: timedelta = timedelta(days=731)) -> Found:
    """Read the all-day events from ``today`` until ``horizon`` later.

    Raises Refused "no calendar", "large calendar" or "many events".

    RFC 5545 section 3.6.1: an all-day event's DTEND is the day after its last; a DURATION of days or weeks may stand
    instead of it. Events that repeat by a rule are left out, since a rule may never end.
    """
    if len(raw) > MOST_BYTES:
        raise Refused.because("large calendar")
    try:
        calendar = Calendar.from_ical(raw)
    except (ValueError, IndexError, KeyError) as problem:
        raise Refused.because("no calendar") from problem
    events = calendar.walk("VEVENT")
    if len(events) > MOST_EVENTS:
        raise Refused.because("many events", most=MOST_EVENTS)
    days: list[tuple[date, date, str]] = []
    left_out: list[Reason] = []
    for event in events:
        # A database keeps no NUL, and a page has no use for any other sign that is not printed.
        name = "".join(sign for sign in str(event.get("SUMMARY", "")) if sign.isprintable()).strip()[:120]
        found = _span(event, name, left_out)
        if found is not None and found[1] >= today and found[0] <= today + horizon:
            days.append((*found, name))
    each_once = [one for number, one in enumerate(left_out) if one not in left_out[:number]]
    return Found(sorted(set(days)), each_once)


def _span(event: Component, name: str, left_out: list[Reason]) -> tuple[date, date] | None:
    begins = event.decoded("DTSTART", None)
    ends = event.decoded("DTEND", None)
    if ends is None and "DURATION" in event and type(begins) is date:
        ends = _end_by_length(begins, event.decoded("DURATION", None))
        if ends is None:
            left_out.append(Reason("not all day", {"name": name}))
            return None
    if str(event.get("STATUS", "")).upper() == "CANCELLED":
        left_out.append(Reason("cancelled", {"name": name}))
    elif "RRULE" in event or "RDATE" in event:
        left_out.append(Reason("repeats", {"name": name}))
    elif type(begins) is not date:
        # A moment, no day at all, two of them, or letters where a day should be.
        left_out.append(Reason("not all day", {"name": name}))
    elif ends is not None and (type(ends) is not date or ends < begins):
        left_out.append(Reason("backwards", {"name": name}))
    else:
        return begins, ends - DAY if ends is not None and ends > begins else begins
    return None


def _end_by_length(begins: date, length: object) -> date | None:
    """The day after the last, or nothing for a length that is not of whole days or reaches beyond the calendar."""
    if not isinstance(length, timedelta) or length % DAY:
        return None
    try:
        return begins + length
    except OverflowError:
        return None
