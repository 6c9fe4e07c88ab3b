"""Packed bags and crates: where each is now, and which clinic it goes to next."""

from datetime import timedelta

from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import DateTimeRangeField, RangeOperators
from django.db import models
from django.db.models import Q

from clinics.models import Center, Clinic, Status

KIT_BEFORE = timedelta(hours=1)
KIT_AFTER = timedelta(hours=1)


class Kit(models.Model):
    name = models.CharField(max_length=60, unique=True)
    contents = models.CharField(max_length=300, blank=True)
    now_at = models.ForeignKey(
        Center, null=True, blank=True, on_delete=models.PROTECT, related_name="kits_here",
        help_text="Empty while it is with a person.",
    )  # fmt: skip
    with_whom = models.CharField(max_length=120, blank=True)
    moved_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class KitBooking(models.Model):
    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="bookings")
    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="kit_bookings")
    period = DateTimeRangeField()
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.CONFIRMED)

    class Meta:
        ordering = ["period"]
        constraints = [
            ExclusionConstraint(
                name="one_clinic_per_kit_at_a_time",
                expressions=[("kit", RangeOperators.EQUAL), ("period", RangeOperators.OVERLAPS)],
                condition=~Q(status="cancelled"),
            ),
            models.CheckConstraint(condition=Q(period__isempty=False), name="kit_period_holds_some_time"),
        ]

    def __str__(self) -> str:
        return f"{self.kit} for {self.clinic}"
