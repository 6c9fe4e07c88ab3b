"""One event at one center."""

import uuid
from collections.abc import Iterable
from datetime import date, datetime, timedelta

import pghistory
from django.contrib.postgres.constraints import ExclusionConstraint
from django.db import models
from django.db.models import F, Func, Q, Value
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.models.centers import Center
from clinics.rules.supervision import RATIO_TABLES, RatioTable
from core import clock
from core.formats import short_day
from people.models import Duty

# Around their clinic people are at its center.
BE_THERE_BEFORE = timedelta(minutes=30)
STAY_AFTER = timedelta(minutes=15)


class Status(models.TextChoices):
    """RFC 5545 section 3.8.1.11, for clinics and bookings."""

    TENTATIVE = "tentative", _("tentative")
    CONFIRMED = "confirmed", _("confirmed")
    CANCELLED = "cancelled", _("cancelled")


class ClinicQuerySet(models.QuerySet["Clinic"]):
    def live(self) -> "ClinicQuerySet":
        return self.exclude(status=Status.CANCELLED)

    def ahead(self, now: datetime) -> "ClinicQuerySet":
        return self.filter(ends_at__gt=now)

    def locked(self, pk: int) -> "Clinic":
        """Lock the clinic's row until the transaction ends, and return it with its center. Raises DoesNotExist."""
        return self.locked_in([pk]).get(pk=pk)

    def locked_in(self, pks: Iterable[int]) -> "ClinicQuerySet":
        """Lock the rows of those clinics by number, and return them with their centers.

        It takes two steps, because a join beside the lock would use the center that a clinic had before the wait: a
        clinic that went to another center meanwhile would be missing (PostgreSQL re-reads only the locked row).
        """
        numbers = list(pks)
        list(self.filter(pk__in=numbers).select_for_update(no_key=True).order_by("pk").values_list("pk"))
        return self.filter(pk__in=numbers).select_related("center").order_by("pk")

    def between(self, start: datetime, end: datetime) -> "ClinicQuerySet":
        return self.filter(starts_at__gte=start, starts_at__lt=end)


@pghistory.track()
class Clinic(models.Model):
    center = models.ForeignKey(Center, on_delete=models.PROTECT, related_name="clinics")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    theme = models.CharField(
        _("STEM activity"),
        max_length=120,
        blank=True,
        help_text=_("The hands-on activity. Leave empty if there isn’t one."),
    )
    bring = models.CharField(_("what to bring"), max_length=200, default="Water, indoor shoes, your badge")
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.TENTATIVE)
    ratio_table = models.CharField(max_length=40, default="aca_day_camp")
    funder_table = models.CharField(
        _("funder’s supervision table"),
        max_length=40,
        blank=True,
        help_text=_("Used along with the table above. We use the stricter one."),
    )
    takes_families = models.BooleanField(
        _("registration open"),
        default=True,
        help_text=_(
            "Yes: families can register online once the clinic is confirmed. No: only your office gives out spots."
        ),
    )
    offer_next = models.BooleanField(
        _("ask the next person automatically"),
        default=False,
        help_text=_("If someone declines, doesn’t answer in time, or comes off because they’re no longer cleared."),
    )
    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    series = models.UUIDField(null=True, editable=False, db_index=True, help_text=_("Shared by clinics of one series."))
    # Rises with each change that calendars must follow: RFC 5545's SEQUENCE.
    revision = models.PositiveIntegerField(default=0, editable=False)
    cancelled_because = models.CharField(max_length=200, blank=True)
    created_at = models.DateTimeField(default=clock.now, editable=False)

    objects = ClinicQuerySet.as_manager()

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="clinic_ends_after_it_starts"),
        ]
        indexes = [models.Index(fields=["starts_at"]), models.Index(fields=["ends_at"])]

    def __str__(self) -> str:
        return gettext("%(center)s, %(day)s") % {"center": self.center.name, "day": short_day(self.day)}

    @property
    def local_start(self) -> datetime:
        return self.starts_at.astimezone(self.center.tz)

    @property
    def local_end(self) -> datetime:
        return self.ends_at.astimezone(self.center.tz)

    @property
    def day(self) -> date:
        """The day at the center when the clinic starts. People must have standing on this day."""
        return self.local_start.date()

    @property
    def live(self) -> bool:
        return self.status != Status.CANCELLED

    @property
    def children(self) -> int:
        """Expected children. Needs ``bands`` prefetched where many clinics are shown."""
        return sum(band.children for band in self.bands.all())

    @property
    def ratio_tables(self) -> list[RatioTable]:
        """Every supervision table that holds here: its own, its center's and its funder's. Needs its center."""
        codes = dict.fromkeys([self.ratio_table, self.center.ratio_table, self.funder_table])
        return [RATIO_TABLES[code] for code in codes if code in RATIO_TABLES]

    @property
    def ages(self) -> tuple[int, int] | None:
        bands = list(self.bands.all())
        return (min(b.youngest for b in bands), max(b.oldest for b in bands)) if bands else None


class HandNeed(models.Model):
    """How many people of a duty the office asks for by hand at a clinic, where that is more than the tables ask."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="hand_needs")
    duty = models.ForeignKey(Duty, to_field="code", db_column="duty", on_delete=models.PROTECT, related_name="+")
    people = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["clinic", "duty_id"]
        constraints = [
            models.UniqueConstraint(fields=["clinic", "duty"], name="one_hand_need_per_duty"),
            models.CheckConstraint(condition=Q(people__lte=60), name="hand_need_at_most_60"),
        ]

    def __str__(self) -> str:
        return f"{self.people} {self.duty_id}"


class AgeBand(models.Model):
    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="bands")
    youngest = models.PositiveSmallIntegerField(_("youngest"))
    oldest = models.PositiveSmallIntegerField(_("oldest"))
    children = models.PositiveSmallIntegerField(
        _("children"),
        help_text=_("Children expected in this age group. This is also the number of spots."),
    )

    class Meta:
        ordering = ["clinic", "youngest"]
        constraints = [
            models.CheckConstraint(condition=Q(oldest__gte=F("youngest")), name="age_band_in_order"),
            models.CheckConstraint(condition=Q(children__gte=1), name="age_band_expects_somebody"),
            ExclusionConstraint(
                name="age_bands_of_a_clinic_do_not_overlap",
                expressions=[
                    ("clinic", "="),
                    (
                        Func(F("youngest"), F("oldest"), Value("[]"), function="int4range"),
                        "&&",
                    ),
                ],
            ),
        ]

    def __str__(self) -> str:
        return f"{self.children} aged {self.youngest} to {self.oldest}"
