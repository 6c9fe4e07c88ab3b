"""Who may take a child home, and who must not."""

import pghistory
from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from families.models.children import Child
from families.models.guardians import Guardian


class PickupPersonQuerySet(models.QuerySet["PickupPerson"]):
    def in_force(self) -> "PickupPersonQuerySet":
        return self.filter(ended_at__isnull=True)


@pghistory.track()
class PickupPerson(models.Model):
    """``must_not`` marks a person whom the child is not handed to. Only the office writes it, with what was seen.

    It is shown at the door in words and never in a mail, nor to any guardian.
    """

    child = models.ForeignKey(Child, on_delete=models.CASCADE, related_name="pickup_people")
    name = models.CharField(max_length=120)
    phone = models.CharField(_("phone"), max_length=40, blank=True)
    relation = models.CharField(_("relationship to the child"), max_length=60, blank=True)
    named_by = models.ForeignKey(
        Guardian, null=True, blank=True, on_delete=models.CASCADE, related_name="pickup_people_named"
    )
    must_not = models.BooleanField(_("must not pick up"), default=False)
    seen = models.CharField(
        max_length=200, blank=True, help_text=_("What your office saw, such as a court order and its date.")
    )
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    recorded_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = PickupPersonQuerySet.as_manager()

    class Meta:
        ordering = ["child", "-must_not", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(must_not=False) | ~Q(seen=""),
                name="must_not_pick_up_says_what_was_seen",
                violation_error_message=_(
                    "Enter the reason (such as a court order) before you add someone who must not pick up."
                ),
            ),
            models.CheckConstraint(
                condition=Q(must_not=False) | Q(named_by__isnull=True), name="only_the_office_keeps_somebody_away"
            ),
        ]

    def __str__(self) -> str:
        return self.name
