"""When a center is open to us: hours by weekday, and days on which it is closed."""

from django.db import models
from django.db.models import F, Q

from clinics.models.centers import Center
from core.formats import clock_time

WEEKDAYS = [
    (0, "Monday"),
    (1, "Tuesday"),
    (2, "Wednesday"),
    (3, "Thursday"),
    (4, "Friday"),
    (5, "Saturday"),
    (6, "Sunday"),
]


class OpenHours(models.Model):
    """The hours of one weekday.

    A center without any hours may be asked for any hour; one with some is closed on the other weekdays.
    """

    center = models.ForeignKey(Center, on_delete=models.CASCADE, related_name="open_hours")
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    opens = models.TimeField()
    closes = models.TimeField()

    class Meta:
        ordering = ["center", "weekday"]
        constraints = [
            models.UniqueConstraint(fields=["center", "weekday"], name="one_opening_per_weekday"),
            models.CheckConstraint(condition=Q(closes__gt=F("opens")), name="closes_after_it_opens"),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {clock_time(self.opens)} to {clock_time(self.closes)}"


class ClosedDays(models.Model):
    center = models.ForeignKey(Center, on_delete=models.CASCADE, related_name="closed_days")
    first_day = models.DateField()
    last_day = models.DateField()
    why = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["center", "first_day"]
        constraints = [
            models.UniqueConstraint(fields=["center", "first_day", "last_day"], name="closed_days_once"),
            models.CheckConstraint(condition=Q(last_day__gte=F("first_day")), name="closed_days_in_order"),
        ]

    def __str__(self) -> str:
        return f"{self.center} closed {self.first_day} to {self.last_day}"
