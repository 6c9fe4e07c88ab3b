"""Looking after kits: checks as they were done, and what was damaged or lost."""

import pgtrigger
from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from clinics.models import Clinic
from kits.models.kits import Kit, KitItem

__all__ = ["KitCheck", "KitLoss"]


class KitCheck(models.Model):
    """One check done; when the next is due follows from the kind's interval."""

    class What(models.TextChoices):
        PUMP = "pump", _("pump the balls")
        CHARGE = "charge", _("charge devices")
        COUNT = "count", _("count contents")

    kit = models.ForeignKey(Kit, on_delete=models.PROTECT, related_name="checks")
    what = models.CharField(max_length=8, choices=What.choices)
    done_on = models.DateField()
    done_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    words = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["-done_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kit", "what", "done_on"],
                name="one_check_of_a_sort_a_day",
                violation_error_message=_("This was already recorded today."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.kit}: {self.get_what_display()}"


class KitLoss(models.Model):
    """So many of an item damaged or lost; put right it is closed, and stays in the history."""

    class How(models.TextChoices):
        DAMAGED = "damaged", _("damaged")
        LOST = "lost", _("lost")

    class Righted(models.TextChoices):
        REPAIRED = "repaired", _("repaired")
        REPLACED = "replaced", _("replaced")
        FOUND = "found", _("found")

    item = models.ForeignKey(KitItem, on_delete=models.PROTECT, related_name="losses")
    count = models.PositiveSmallIntegerField()
    how = models.CharField(max_length=8, choices=How.choices)
    happened_on = models.DateField()
    clinic = models.ForeignKey(Clinic, null=True, blank=True, on_delete=models.SET_NULL, related_name="kit_losses")
    words = models.CharField(max_length=300, blank=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    recorded_at = models.DateTimeField()
    righted = models.CharField(max_length=8, choices=Righted.choices, blank=True)
    righted_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    righted_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-happened_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(count__gte=1, count__lte=999),
                name="kit_loss_of_1_to_999",
                violation_error_message=_("Enter a number from 1 to 999."),
            ),
            models.CheckConstraint(
                condition=Q(righted="", righted_at__isnull=True) | (~Q(righted="") & Q(righted_at__isnull=False)),
                name="kit_loss_put_right_has_its_moment",
            ),
        ]
        triggers = [pgtrigger.Protect(name="kit_losses_stay", operation=pgtrigger.Delete)]

    def __str__(self) -> str:
        return f"{self.count} {self.item.name} {self.how}"
