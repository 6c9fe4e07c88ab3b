"""What a center's page by link reads when the center answers for several days."""

from datetime import datetime

from django.db.models import QuerySet

from clinics.models import Status
from scheduling.models import Booking, BookingRequest

__all__ = ["asked_days"]


def asked_days(booking_request: BookingRequest, now: datetime) -> QuerySet[Booking]:
    """The bookings of one question to a center whose clinics are still to come, soonest first."""
    rows = Booking.objects.filter(booking_request=booking_request, clinic__starts_at__gt=now).exclude(
        clinic__status=Status.CANCELLED
    )
    rows = rows.select_related("clinic__center", "space").prefetch_related("clinic__bands")
    return rows.order_by("clinic__starts_at", "pk")
