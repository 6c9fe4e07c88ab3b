"""When a volunteer can come, as they told us themselves."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from core.formats import clock_time
from people.models import Volunteer


class Weekday(models.IntegerChoices):
    MONDAY = 0, gettext_lazy("Monday")
    TUESDAY = 1, gettext_lazy("Tuesday")
    WEDNESDAY = 2, gettext_lazy("Wednesday")
    THURSDAY = 3, gettext_lazy("Thursday")
    FRIDAY = 4, gettext_lazy("Friday")
    SATURDAY = 5, gettext_lazy("Saturday")
    SUNDAY = 6, gettext_lazy("Sunday")


class WeeklyWindow(models.Model):
    """A stretch of one weekday, on the wall clock of wherever the clinic is."""

    volunteer = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="windows")
    weekday = models.PositiveSmallIntegerField(choices=Weekday.choices)
    starts = models.TimeField()
    ends = models.TimeField()

    class Meta:
        ordering = ["weekday", "starts"]
        constraints = [
            models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="window_ends_after_it_starts"),
            models.CheckConstraint(condition=Q(weekday__lte=6), name="window_is_on_a_weekday"),
            models.UniqueConstraint(fields=["volunteer", "weekday"], name="one_window_per_weekday"),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {clock_time(self.starts)} to {clock_time(self.ends)}"


class Away(models.Model):
    volunteer = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="away")
    first_day = models.DateField()
    last_day = models.DateField()

    class Meta:
        ordering = ["first_day"]
        constraints = [
            models.CheckConstraint(condition=Q(last_day__gte=F("first_day")), name="away_ends_after_it_begins"),
            models.UniqueConstraint(fields=["volunteer", "first_day", "last_day"], name="away_once"),
        ]

    def __str__(self) -> str:
        return f"{self.first_day} to {self.last_day}"


class Limits(models.Model):
    """The most that somebody wants to give. Empty means no limit of their own."""

    volunteer = models.OneToOneField(Volunteer, on_delete=models.CASCADE, related_name="limits")
    shifts_a_month = models.PositiveSmallIntegerField(null=True, blank=True)
    hours_a_month = models.PositiveSmallIntegerField(null=True, blank=True)
    farthest_km = models.PositiveSmallIntegerField(null=True, blank=True)

    def __str__(self) -> str:
        return f"limits of {self.volunteer}"
