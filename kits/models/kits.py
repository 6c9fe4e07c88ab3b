"""Packed bags and crates: where each is now, and which clinic it goes to next."""

import secrets
from datetime import timedelta

from django.conf import settings
from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import DateTimeRangeField, RangeOperators
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from clinics.models import Center, Clinic, Status
from kits.models.kit_kinds import KitKind
from kits.rules.kit_codes import ALPHABET, kit_code
from kits.rules.kit_state import Held

KIT_BEFORE = timedelta(hours=1)
KIT_AFTER = timedelta(hours=1)


class Condition(models.TextChoices):
    READY = "ready", _("ready")
    WORN = "worn", _("worn, still usable")
    REPAIR = "repair", _("needs repair")
    MISSING = "missing", _("missing")


def own_signs() -> str:
    """Two signs that make a bag's code its own, so that another house's bag of that number is not taken for it."""
    return "".join(secrets.choice(ALPHABET) for _ in range(2))


class Kit(models.Model):
    name = models.CharField(_("name"), max_length=60, unique=True)
    kind = models.ForeignKey(
        KitKind, null=True, blank=True, on_delete=models.PROTECT, related_name="kits", verbose_name=_("kit type")
    )
    condition = models.CharField(_("condition"), max_length=8, choices=Condition.choices, default=Condition.READY)
    own_signs = models.CharField(max_length=2, default=own_signs, editable=False)
    contents = models.CharField(_("short description"), max_length=300, blank=True)
    now_at = models.ForeignKey(
        Center, null=True, blank=True, on_delete=models.PROTECT, related_name="kits_here",
        help_text=_("Empty while it is with a person."),
    )  # fmt: skip
    with_whom = models.CharField(max_length=120, blank=True)
    moved_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def code(self) -> str:
        """What is printed on it for phones without a scanner: K7-4FN."""
        return kit_code(self.pk, self.own_signs)


class KitItem(models.Model):
    """What is in a kit, counted; what helps an injured child has a last good day."""

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="items")
    name = models.CharField(_("item"), max_length=60, help_text=_("Such as ball, size 5; cone; first-aid pouch."))
    count = models.PositiveSmallIntegerField(_("number that should be in it"), default=1)
    condition = models.CharField(_("condition"), max_length=8, choices=Condition.choices, default=Condition.READY)
    last_day = models.DateField(
        _("expires on"), null=True, blank=True, help_text=_("The last good day. After that, the kit can’t be used.")
    )

    class Meta:
        ordering = ["kit", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["kit", "name"],
                name="one_line_per_item_of_a_kit",
                violation_error_message=_("This item is already in the kit."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.name}"

    @property
    def away(self) -> int:
        """How many are damaged or lost at present. Needs ``losses`` prefetched where many are shown."""
        return sum(loss.count for loss in self.losses.all() if not loss.righted)

    def held(self) -> Held:
        return Held(self.name, self.count, self.away, self.condition, self.last_day)


class KitPlan(models.Model):
    """A search for the least driving: which kit to which clinic, and every trip between."""

    first_day = models.DateField()
    last_day = models.DateField()
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    asked_at = models.DateTimeField()
    state = models.CharField(
        max_length=8,
        default="waiting",
        choices=[("waiting", _("in line to start")), ("ready", _("ready")), ("failed", _("no plan found"))],
    )
    result = models.JSONField(default=dict)
    trouble = models.CharField(max_length=300, blank=True)
    booked_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(last_day__gte=F("first_day")), name="kit_plan_days_in_order"),
        ]

    def __str__(self) -> str:
        return f"kits from {self.first_day} to {self.last_day}"


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
