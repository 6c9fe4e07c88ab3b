"""Who else holds a floor, in words, with what is still free."""

from datetime import datetime, time, timedelta

from clinics.formatting import clinic_words
from clinics.models import Center, Clinic, ClosedDays, OpenHours, Space
from core.formats import clock_time, long_day, span, weekday
from core.refusal import Refusal
from core.rules.local_time import shifted_past_gap
from scheduling.models import SET_UP, TAKE_DOWN, Booking
from shifts.rules.free_time import free_gaps

__all__ = ["as_we_know", "closed_then", "closed_words", "space_conflict"]

Period = tuple[datetime, datetime]
# The part of a day in which another hour is offered, where the center has given no hours of its own.
OFFER_FROM, OFFER_UNTIL = time(8), time(21)
LAST_MINUTE = time(23, 59)


def space_conflict(space: Space, period: Period, but_for: Clinic | None = None) -> Refusal | None:
    """A Refusal that names the other clinic and what is free that day, or None when the floor is free."""
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
    lower, upper = other.period.lower.astimezone(tz), other.period.upper.astimezone(tz)
    clinic = other.clinic
    sentence = (
        f"{space.name} is taken: {clinic_words(clinic)}, {span(clinic.local_start, clinic.local_end)} "
        f"({clinic.status}), holds it from {clock_time(lower)} to {clock_time(upper)} with set-up and take-down."
    )
    if gaps:
        sentence += f" A clinic this long still fits on {long_day(day)} within {' or '.join(gaps)}."
    else:
        sentence += f" Nothing this long is free there on {long_day(day)}: choose another day or space."
    return Refusal.because("space taken", sentence, "space")


def as_we_know(closed: Refusal) -> str:
    """Tell the center itself, which knows better, what our books say of its hours."""
    return " ".join(f"{reason.text.split('. ')[0].rstrip('.')}, as far as we know." for reason in closed.reasons)


def closed_words(booking: Booking) -> str:
    """Say that our books have the center closed at the time that it named; "" when they don't, or it named none."""
    if booking.suggested_start is None or booking.suggested_end is None:
        return ""
    begins, ends = booking.suggested_start - SET_UP, booking.suggested_end + TAKE_DOWN
    closed = closed_then(booking.clinic.center, begins, ends)
    return "" if closed is None else as_we_know(closed)


def closed_then(center: Center, begins: datetime, ends: datetime) -> Refusal | None:
    """A Refusal when the center is closed for some of the hold; None when it is open or has told us nothing.

    A hold that ends at midnight does not touch the next day. One that reaches over it must be open on both.
    """
    starts, until = begins.astimezone(center.tz), ends.astimezone(center.tz)
    first, last = starts.date(), (ends - timedelta(microseconds=1)).astimezone(center.tz).date()
    row = ClosedDays.objects.filter(center=center, first_day__lte=last, last_day__gte=first).first()
    if row is not None:
        why = f": {row.why}" if row.why else ""
        on = long_day(max(first, row.first_day))
        return Refusal.because("closed", f"{center.name} is closed on {on}{why}. Choose another day.", "day")
    hours = {one.weekday: one for one in OpenHours.objects.filter(center=center)}
    if not hours:
        return None
    for day in dict.fromkeys((first, last)):
        own = hours.get(day.weekday())
        if own is None:
            return Refusal.because("closed", f"{center.name} is closed on a {weekday(day)}. Choose another day.", "day")
        needs_from = starts.time() if day == first else time()
        # Nobody can write 24:00: hours that end at 23:59 are open until midnight.
        too_long = until.time() > own.closes if day == until.date() else own.closes < LAST_MINUTE
        if needs_from < own.opens or too_long:
            return Refusal.because(
                "closed",
                f"{center.name} is open on a {weekday(day)} from {_hours_of(own)} only; with set-up and take-down this "
                f"needs {clock_time(starts)} to {clock_time(until)}.",
                "starts",
            )
    return None


def _hours_of(own: OpenHours) -> str:
    return f"{clock_time(own.opens)} to {clock_time(own.closes)}"
