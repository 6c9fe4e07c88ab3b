"""Who may take a child home, and who must not."""

import pghistory
from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from core.secret_text import EncryptedTextField
from families.models.children import Child
from families.models.guardians import Guardian


class PickupPersonQuerySet(models.QuerySet["PickupPerson"]):
    def in_force(self) -> "PickupPersonQuerySet":
        return self.filter(ended_at__isnull=True)


class PickupPersonManager(models.Manager["PickupPerson"]):
    def get_queryset(self) -> PickupPersonQuerySet:
        # A list of people must not fetch and open a photo of each; what shows photos asks for them.
        return PickupPersonQuerySet(self.model, using=self._db).defer("photo")

    def in_force(self) -> PickupPersonQuerySet:
        return self.get_queryset().in_force()


# What is encrypted stays out of the history: a deleted photo must not live on beside its row.
@pghistory.track(exclude=["description", "photo", "has_photo"])
class PickupPerson(models.Model):
    """``must_not`` marks a person whom the child is not handed to. Only the office writes it, with what was seen.

    It is shown at the door in words, with what they look like where the office knows it, and never in a mail, nor to
    any guardian.
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
    description = EncryptedTextField(_("what they look like"), blank=True, default="")
    # A small JPEG made by us (``clinics/rules/pictures.py``) in base64.
    photo = EncryptedTextField(blank=True, default="")
    has_photo = models.BooleanField(default=False, editable=False)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    recorded_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = PickupPersonManager()

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
            models.CheckConstraint(
                condition=Q(must_not=True) | Q(description="", photo=""), name="looks_of_those_who_must_not_pick_up"
            ),
            models.CheckConstraint(
                condition=Q(has_photo=True) | Q(photo=""), name="a_photo_is_marked_where_there_is_one"
            ),
        ]

    def __str__(self) -> str:
        return self.name
