"""Holds on a space, and the center's answer."""

from datetime import timedelta

import pghistory
from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import DateTimeRangeField, RangeOperators
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from clinics.models import Center, Clinic, Space, Status
from scheduling.models.booking_requests import BookingRequest

SET_UP = timedelta(minutes=30)
TAKE_DOWN = timedelta(minutes=30)


class Answer(models.TextChoices):
    """What a center says of a hold."""

    NONE = "", gettext_lazy("no answer yet")
    AGREED = "agreed", gettext_lazy("agreed")
    NOT_POSSIBLE = "not possible", gettext_lazy("not available")
    ANOTHER_TIME = "another time", gettext_lazy("suggested another time")


class BookingQuerySet(models.QuerySet["Booking"]):
    def live(self) -> "BookingQuerySet":
        return self.exclude(status=Status.CANCELLED)


@pghistory.track()
class Booking(models.Model):
    """A hold on a space for a clinic over a period, setup and cleanup included."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="bookings")
    space = models.ForeignKey(Space, on_delete=models.PROTECT, related_name="bookings")
    booking_request = models.ForeignKey(
        BookingRequest, null=True, blank=True, on_delete=models.SET_NULL, related_name="bookings"
    )
    period = DateTimeRangeField()
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.TENTATIVE)
    asked_at = models.DateTimeField()
    answer = models.CharField(max_length=20, choices=Answer.choices, default=Answer.NONE, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answer_words = models.CharField(max_length=300, blank=True)
    suggested_start = models.DateTimeField(null=True, blank=True)
    suggested_end = models.DateTimeField(null=True, blank=True)
    link_counter = models.PositiveIntegerField(default=0, editable=False)

    objects = BookingQuerySet.as_manager()

    class Meta:
        ordering = ["clinic", "-pk"]
        constraints = [
            ExclusionConstraint(
                name="one_booking_per_space_at_a_time",
                expressions=[("space", RangeOperators.EQUAL), ("period", RangeOperators.OVERLAPS)],
                condition=~Q(status="cancelled"),
            ),
            models.UniqueConstraint(
                fields=["clinic"], condition=~Q(status="cancelled"), name="one_live_space_booking_per_clinic"
            ),
            models.CheckConstraint(
                condition=Q(answer="another time", suggested_start__isnull=False, suggested_end__isnull=False)
                | ~Q(answer="another time"),
                name="another_time_names_the_time",
            ),
            models.CheckConstraint(
                condition=Q(suggested_end__isnull=True) | Q(suggested_end__gt=models.F("suggested_start")),
                name="suggested_end_after_start",
            ),
            models.CheckConstraint(condition=Q(period__isempty=False), name="booking_period_holds_some_time"),
        ]

    def __str__(self) -> str:
        return f"{self.space} for {self.clinic}"

    @property
    def who_answers(self) -> "Center":
        """The center that acts through a link of this row."""
        return self.clinic.center
