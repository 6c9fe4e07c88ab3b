"""Who else has reserved a space, with what is still free; and whether a center is closed."""

from datetime import datetime, time, timedelta

from clinics.models import Center, Clinic, ClosedDays, OpenHours, Space
from core.formats import span
from core.refusal import Refusal
from core.rules.local_time import shifted_past_gap
from scheduling.models import SET_UP, TAKE_DOWN, Booking
from scheduling.words.conflicts import Closed, closed_days, closed_weekday, open_only, space_taken
from shifts.rules.free_time import free_gaps

__all__ = ["closed_at_our_records", "closed_then", "closed_words", "space_conflict"]

Period = tuple[datetime, datetime]
# The part of a day in which another hour is offered, where the center has given no hours of its own.
OFFER_FROM, OFFER_UNTIL = time(8), time(21)
LAST_MINUTE = time(23, 59)


def space_conflict(space: Space, period: Period, but_for: Clinic | None = None) -> Refusal | None:
    """A Refusal that names the other clinic and what is free that day, or None when the space is free."""
    tz = space.center.tz
    others = Booking.objects.live().filter(space=space).select_related("clinic__center")
    if but_for is not None and but_for.pk:
        others = others.exclude(clinic=but_for)
    other = others.filter(period__overlap=period).order_by("period").first()
    if other is None:
        return None
    day = period[0].astimezone(tz).date()
    own = OpenHours.objects.filter(center=space.center_id, weekday=day.weekday()).first()
    hours = (own.opens, own.closes) if own is not None else (OFFER_FROM, OFFER_UNTIL)
    opens, closes = (shifted_past_gap(day, at, tz) for at in hours)
    held = [(booking.period.lower, booking.period.upper) for booking in others.filter(period__overlap=(opens, closes))]
    need = period[1] - period[0]
    gaps = [
        span((start + SET_UP).astimezone(tz), (end - TAKE_DOWN).astimezone(tz))
        for start, end in free_gaps(held, opens, closes, need)
    ]
    held_from, held_until = other.period.lower.astimezone(tz), other.period.upper.astimezone(tz)
    return Refusal.because("space taken", space_taken(space, other.clinic, (held_from, held_until), day, gaps), "space")


def closed_at_our_records(center: Center, begins: datetime, ends: datetime) -> str:
    """Tell the center itself, which knows better, what our records say of its hours then; "" when they say nothing."""
    closed = _closed(center, begins, ends)
    return "" if closed is None else closed.to_the_center


def closed_words(booking: Booking) -> str:
    """The same for the time that the center suggested; "" when it suggested none."""
    if booking.suggested_start is None or booking.suggested_end is None:
        return ""
    begins, ends = booking.suggested_start - SET_UP, booking.suggested_end + TAKE_DOWN
    return closed_at_our_records(booking.clinic.center, begins, ends)


def closed_then(center: Center, begins: datetime, ends: datetime) -> Refusal | None:
    """A Refusal when the center is closed for some of the hold; None when it is open or has told us nothing.

    A hold that ends at midnight does not touch the next day. One that reaches over it must be open on both.
    """
    closed = _closed(center, begins, ends)
    return None if closed is None else Refusal.because("closed", closed.to_us, closed.field)


def _closed(center: Center, begins: datetime, ends: datetime) -> Closed | None:
    starts, until = begins.astimezone(center.tz), ends.astimezone(center.tz)
    first, last = starts.date(), (ends - timedelta(microseconds=1)).astimezone(center.tz).date()
    row = ClosedDays.objects.filter(center=center, first_day__lte=last, last_day__gte=first).first()
    if row is not None:
        return closed_days(center.name, max(first, row.first_day), row.why)
    hours = {one.weekday: one for one in OpenHours.objects.filter(center=center)}
    if not hours:
        return None
    for day in dict.fromkeys((first, last)):
        own = hours.get(day.weekday())
        if own is None:
            return closed_weekday(center.name, day.weekday())
        needs_from = starts.time() if day == first else time()
        # Nobody can write 24:00: hours that end at 23:59 are open until midnight.
        too_long = until.time() > own.closes if day == until.date() else own.closes < LAST_MINUTE
        if needs_from < own.opens or too_long:
            return open_only(center.name, day.weekday(), (own.opens, own.closes), (starts, until))
    return None
