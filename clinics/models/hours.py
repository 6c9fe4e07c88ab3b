"""When a center is open to us: hours by weekday, and days on which it is closed."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.models.centers import Center
from core.formats import clock_time

WEEKDAYS = [
    (0, _("Monday")),
    (1, _("Tuesday")),
    (2, _("Wednesday")),
    (3, _("Thursday")),
    (4, _("Friday")),
    (5, _("Saturday")),
    (6, _("Sunday")),
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
        facts = {"day": self.get_weekday_display(), "opens": clock_time(self.opens), "closes": clock_time(self.closes)}
        return gettext("%(day)s %(opens)s to %(closes)s") % facts


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
