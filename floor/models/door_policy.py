"""What the admin lets a lead do at the door, and sheets of paper that the office has still to see."""

import pghistory
from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.models import Clinic
from families.models import Child


@pghistory.track()
class DoorPolicy(models.Model):
    """The one row of rules: how a child without a current waiver may come in. With neither, not at all."""

    sign_on_phone = models.BooleanField(
        _("A guardian may sign the waiver on the lead’s phone"),
        default=True,
        help_text=_("The phone shows your waiver in the guardian’s language. It works without signal."),
    )
    sign_on_paper = models.BooleanField(
        _("A guardian may sign on paper at the door"),
        default=True,
        help_text=_("The lead keeps the sheet in the folder, and Ahead asks your office to record it."),
    )
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    changed_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="one_row_of_door_rules")]

    def __str__(self) -> str:
        return gettext("Rules at the door")

    @classmethod
    def now(cls) -> "DoorPolicy":
        """The row, or the defaults where no one has set any."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)


class PaperWaiver(models.Model):
    """A guardian signed on paper at the door, as the lead says. It is no waiver until the office has seen the sheet."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="paper_waivers")
    child = models.ForeignKey(Child, on_delete=models.CASCADE, related_name="paper_waivers")
    action = models.UUIDField(unique=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["clinic", "at", "pk"]

    def __str__(self) -> str:
        return f"paper waiver {self.pk}"
