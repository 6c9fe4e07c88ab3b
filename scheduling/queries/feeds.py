"""What the calendar feeds of a center and of the organization hold. Times are in UTC.

A clinic's UID is the same in both and for its whole life. SEQUENCE rises with the clinic's revision and with each
new hold. A cancelled clinic stays in the feed as cancelled, so that calendars take it out. So does a clinic that
went to another center, until its time is over.
"""

from collections import defaultdict
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from django.conf import settings
from django.utils.translation import gettext, ngettext

from clinics.models import Center, Clinic, Status
from core import links
from core.formats import span
from outbox.rules.calendar_part import FeedEvent
from scheduling.models import Booking, FormerBooking, OfficeFeed
from shifts.queries.strips import Strip, strips

__all__ = [
    "center_event",
    "center_events",
    "center_feed_address",
    "feed_sequence",
    "former_booking_event",
    "office_events",
    "office_feed_address",
]

# How long after its day a clinic is still in the feed, cancelled or held.
KEPT = timedelta(days=30)
YEARS = 10


def center_feed_address(center: Center, now: datetime) -> str:
    return _address("center-feed", center.pk, center.feed_counter, now)


def office_feed_address(now: datetime) -> str:
    return _address("office-feed", 1, OfficeFeed.current().feed_counter, now)


def _address(purpose: str, subject: int, counter: int, now: datetime) -> str:
    # The first day of a year, so that the address reads the same each time it is shown.
    until = datetime(now.year + YEARS, 1, 1, tzinfo=UTC)
    token = links.make(purpose, subject=subject, counter=counter, expires_at=until)
    return links.address(f"{purpose}-ics", token)


def _clinics(now: datetime) -> list[Clinic]:
    rows = Clinic.objects.filter(ends_at__gt=now - KEPT).select_related("center")
    return list(rows.order_by("starts_at", "pk"))


def _bookings(clinics: Iterable[Clinic]) -> dict[int, list[Booking]]:
    """All holds of each clinic, earliest first."""
    found: dict[int, list[Booking]] = defaultdict(list)
    for booking in Booking.objects.filter(clinic__in=clinics).select_related("space").order_by("pk"):
        found[booking.clinic_id].append(booking)
    return found


def _current(rows: list[Booking]) -> Booking | None:
    return next((row for row in rows if row.status != Status.CANCELLED), rows[-1] if rows else None)


def feed_sequence(clinic: Clinic) -> int:
    """The SEQUENCE that feeds give the clinic as it stands."""
    return _sequence(clinic, _bookings([clinic])[clinic.pk])


def _sequence(clinic: Clinic, rows: list[Booking]) -> int:
    """Rises with every move, hold, answer and cancellation, and never falls.

    Holds are never deleted. A new question takes an answer and a confirmation back, so its counter weighs more.
    """
    own = sum(3 * (row.link_counter + 1 + (row.status == Status.CANCELLED)) + bool(row.answer) for row in rows)
    return clinic.revision + own + (clinic.status == Status.CONFIRMED)


def _stamp(clinic: Clinic, rows: list[Booking]) -> datetime:
    moments = [clinic.created_at, *(row.asked_at for row in rows), *(row.answered_at for row in rows)]
    return max(moment for moment in moments if moment is not None)


def center_events(center: Center, now: datetime) -> list[FeedEvent]:
    """List the events for a center's contact: which space is held when, and nobody's name. Three queries."""
    clinics = _clinics_of(center, now)
    bookings = _bookings(clinics)
    found = [_held_event(clinic, center, bookings[clinic.pk]) for clinic in clinics]
    events = [event for event in found if event is not None]
    here = {event.uid for event in events}
    return events + [event for event in _left_events(center, now) if event.uid not in here]


def center_event(clinic: Clinic, center: Center) -> FeedEvent | None:
    """The clinic's event in the center's feed now; None when no floor of the center was held for it. One query."""
    return _held_event(clinic, center, _bookings([clinic])[clinic.pk])


def _held_event(clinic: Clinic, center: Center, rows: list[Booking]) -> FeedEvent | None:
    held = _current([row for row in rows if row.space.center_id == center.pk])
    if held is None:
        return None
    local = span(clinic.starts_at.astimezone(center.tz), clinic.ends_at.astimezone(center.tz))
    over = not clinic.live or held.status == Status.CANCELLED or clinic.center_id != center.pk
    status = "CANCELLED" if over else held.status.upper()
    where = {"organization": settings.ORGANISATION, "space": held.space.name, "theme": clinic.theme}
    title = gettext("%(organization)s at %(space)s: %(theme)s") if clinic.theme else _at_space()
    return FeedEvent(
        uid=f"{clinic.uid}@{links.host()}",
        sequence=_sequence(clinic, rows),
        stamped_at=_stamp(clinic, rows),
        starts_at=held.period.lower,
        ends_at=held.period.upper,
        summary=title % where,
        location=f"{held.space.name}, {center.name}, {center.address}",
        description=gettext("Clinic from %(hours)s, with setup before and cleanup after. Space: %(status)s.")
        % {"hours": local, "status": Status(status.lower()).label},
        status=status,
    )


def _left_events(center: Center, now: datetime) -> list[FeedEvent]:
    """Clinics that went to another center, cancelled here at the time they would have been. One query."""
    rows = FormerBooking.objects.filter(space__center=center, ends_at__gt=now).select_related("clinic", "space__center")
    # Who went, came back and went again is said once, as it was last.
    last = rows.order_by("clinic_id", "-left_at", "-pk").distinct("clinic_id")
    return [former_booking_event(row) for row in last]


def former_booking_event(row: FormerBooking) -> FeedEvent:
    """The clinic's event for the center that it left; ``row`` needs its clinic and its space's center."""
    center = row.space.center
    return FeedEvent(
        uid=f"{row.clinic.uid}@{links.host()}",
        sequence=row.sequence,
        stamped_at=row.left_at,
        starts_at=row.starts_at,
        ends_at=row.ends_at,
        summary=_at_space() % {"organization": settings.ORGANISATION, "space": row.space.name},
        location=f"{row.space.name}, {center.name}, {center.address}",
        description=gettext("No longer at this center. We’ve released the space."),
        status="CANCELLED",
    )


def _at_space() -> str:
    return gettext("%(organization)s at %(space)s")


def _clinics_of(center: Center, now: datetime) -> list[Clinic]:
    rows = Clinic.objects.filter(bookings__space__center=center, ends_at__gt=now - KEPT).distinct()
    return list(rows.order_by("starts_at", "pk"))


def office_events(now: datetime) -> list[FeedEvent]:
    """List the events for staff: every clinic with how many shifts are accepted, by number and never by name."""
    clinics = _clinics(now)
    bookings = _bookings(clinics)
    found, _ = strips([clinic for clinic in clinics if clinic.live])
    events = []
    for clinic in clinics:
        held = _current(bookings[clinic.pk])
        strip = found.get(clinic.pk)
        cover = _cover(strip) if strip and strip.total else gettext("no shifts")
        space = gettext("no space reserved")
        if held and held.status != Status.CANCELLED:
            space = gettext("space: %(space)s") % {"space": held.space.name}
        parts = [cover, space, *([clinic.theme] if clinic.theme else [])]
        if not clinic.live:
            parts = [gettext("Cancelled")]
        events.append(
            FeedEvent(
                uid=f"{clinic.uid}@{links.host()}",
                sequence=_sequence(clinic, bookings[clinic.pk]),
                stamped_at=_stamp(clinic, bookings[clinic.pk]),
                starts_at=clinic.starts_at,
                ends_at=clinic.ends_at,
                summary=f"{clinic.center.name} ({cover})" if clinic.live else clinic.center.name,
                location=f"{clinic.center.name}, {clinic.center.address}",
                description="\n".join(parts),
                status=clinic.status.upper(),
            )
        )
    return events


def _cover(strip: Strip) -> str:
    return ngettext("%(accepted)d of %(n)d shift accepted", "%(accepted)d of %(n)d shifts accepted", strip.total) % {
        "accepted": strip.accepted,
        "n": strip.total,
    }
