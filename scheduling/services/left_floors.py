"""Writing down that a clinic went to another center, for the calendar of the one it left."""

from datetime import datetime

from clinics.models import Clinic, Space
from scheduling.models import Booking, LeftFloor
from scheduling.queries.feeds import feed_sequence

__all__ = ["keep_left_floor", "leaves"]


def leaves(booking: Booking | None, space: Space) -> Booking | None:
    """The hold as it stands, when holding ``space`` instead would take it to another center."""
    if booking is None or booking.pk is None or booking.space.center_id == space.center_id:
        return None
    return Booking.objects.select_related("space").get(pk=booking.pk)


def keep_left_floor(*, left: Booking | None, clinic: Clinic, now: datetime) -> LeftFloor | None:
    """Keep where ``left`` was. Called after the clinic and its hold are written, inside the move's transaction."""
    if left is None:
        return None
    return LeftFloor.objects.create(
        clinic=clinic,
        space=left.space,
        starts_at=left.period.lower,
        ends_at=left.period.upper,
        sequence=feed_sequence(clinic),
        left_at=now,
    )
