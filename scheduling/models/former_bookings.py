"""A space that a clinic left, kept so that the calendar of the center it left can say so."""

from django.db import models
from django.db.models import F, Q

from clinics.models import Clinic, Space


class FormerBooking(models.Model):
    """Where and when a hold was before it moved with its clinic to another center.

    ``sequence`` is above every SEQUENCE that the center's feed gave the clinic before (RFC 5545 section 3.8.7.4).
    """

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="former_bookings")
    space = models.ForeignKey(Space, on_delete=models.CASCADE, related_name="left_by")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    sequence = models.PositiveIntegerField()
    left_at = models.DateTimeField()

    class Meta:
        ordering = ["clinic", "-left_at", "-pk"]
        indexes = [models.Index(fields=["space", "ends_at"], name="former_bookings_of_a_space")]
        constraints = [
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="former_booking_ends_after_its_start"),
        ]

    def __str__(self) -> str:
        return f"{self.space}, left by {self.clinic}"
