"""The calendar part of a mail: RFC 5545 objects in RFC 5546 messages, sent as RFC 6047 asks."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from icalendar import Calendar, Event, vCalAddress, vText

__all__ = ["CalendarPart", "FeedEvent", "calendar_feed", "calendar_part"]

METHODS = {"REQUEST", "CANCEL"}


class Words(vText):
    """A text as RFC 5545 section 3.3.11 writes it, so that a reader gets back the same letters.

    icalendar 7.3.2 does not write it so (parser/string.py, _escape_char): a backslash before a capital N becomes a line
    break, since both are how a line break is *written*. It writes a property without a type, such as NAME, as it is.
    """

    def to_ical(self) -> bytes:
        lines = str(self).replace("\r\n", "\n").replace("\r", "\n")
        for sign in ("\\", ";", ","):  # the backslash first, so that none of ours is doubled
            lines = lines.replace(sign, "\\" + sign)
        return lines.replace("\n", "\\n").encode()


@dataclass(frozen=True)
class CalendarPart:
    """What one person's calendar should say. Times are aware; ``sequence`` never falls for one ``uid``."""

    method: str  # REQUEST or CANCEL
    uid: str
    sequence: int
    stamped_at: datetime
    starts_at: datetime
    ends_at: datetime
    summary: str
    location: str
    description: str
    organizer_email: str
    organizer_name: str
    attendee_email: str
    attendee_name: str
    confirmed: bool
    partstat: str = "NEEDS-ACTION"


def calendar_part(facts: CalendarPart) -> bytes:
    """The part as bytes: CRLF, folded at 75 octets, times in UTC. Raises ValueError for an unknown method."""
    if facts.method not in METHODS:
        raise ValueError(f"A calendar part is a REQUEST or a CANCEL, not {facts.method!r}.")
    for moment in (facts.stamped_at, facts.starts_at, facts.ends_at):
        if moment.tzinfo is None:
            raise ValueError("Calendar times must know their zone.")
    calendar = _calendar(facts.method)
    event = _event(facts, _status(facts))
    organizer = vCalAddress(f"mailto:{facts.organizer_email}")
    organizer.params["CN"] = vText(facts.organizer_name)
    event.add("organizer", organizer)
    attendee = vCalAddress(f"mailto:{facts.attendee_email}")
    attendee.params["CN"] = vText(facts.attendee_name)
    attendee.params["ROLE"] = vText("REQ-PARTICIPANT")
    attendee.params["PARTSTAT"] = vText(facts.partstat)
    # Answers come through the link in the mail; nobody reads calendar replies.
    attendee.params["RSVP"] = vText("FALSE")
    event.add("attendee", attendee, encode=False)
    calendar.add_component(event)
    return bytes(calendar.to_ical())


@dataclass(frozen=True)
class FeedEvent:
    """One shift or clinic in a feed that a calendar program fetches. Times are aware."""

    uid: str
    sequence: int
    stamped_at: datetime
    starts_at: datetime
    ends_at: datetime
    summary: str
    location: str
    description: str
    status: str  # TENTATIVE, CONFIRMED or CANCELLED


def calendar_feed(name: str, events: Iterable[FeedEvent]) -> bytes:
    """A feed: METHOD PUBLISH without attendees (RFC 5546 section 3.2.1), named for programs that show a name."""
    calendar = _calendar("PUBLISH")
    calendar.add("name", Words(name))  # RFC 7986 section 5.1
    calendar.add("refresh-interval", timedelta(hours=1))  # RFC 7986 section 5.7
    for facts in events:
        calendar.add_component(_event(facts, facts.status))
    return bytes(calendar.to_ical())


def _calendar(method: str) -> Calendar:
    calendar = Calendar()
    calendar.add("prodid", "-//Whistlestop//Clinics//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", method)
    return calendar


def _event(facts: CalendarPart | FeedEvent, status: str) -> Event:
    event = Event()
    event.add("uid", facts.uid)
    event.add("sequence", facts.sequence)
    event.add("dtstamp", facts.stamped_at.astimezone(UTC))
    event.add("dtstart", facts.starts_at.astimezone(UTC))
    event.add("dtend", facts.ends_at.astimezone(UTC))
    event.add("summary", Words(facts.summary))
    event.add("location", Words(facts.location))
    event.add("description", Words(facts.description))
    event.add("status", status)
    return event


def _status(facts: CalendarPart) -> str:
    if facts.method == "CANCEL":
        return "CANCELLED"
    return "CONFIRMED" if facts.confirmed else "TENTATIVE"
