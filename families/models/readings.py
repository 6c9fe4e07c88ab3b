"""Who read what is locked, and what a guardian asked us to hand over or forget."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from clinics.models import Clinic
from families.models.children import Child
from families.models.guardians import Guardian


class CareReading(models.Model):
    """Someone opened a child's allergies and care notes. Goes with the child."""

    child = models.ForeignKey(Child, on_delete=models.CASCADE, related_name="readings")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    by_name = models.CharField(max_length=120)
    at = models.DateTimeField()
    where = models.CharField(max_length=60, help_text=_("On which page, such as: sign-in sheet of clinic 12."))

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.by_name}, {self.where}"


class DoorReading(models.Model):
    """Someone opened a clinic's sign-in sheet. Goes when the notes of the clinic's children would."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="door_readings")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    by_name = models.CharField(max_length=120)
    at = models.DateTimeField()
    what = models.CharField(max_length=60)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["clinic", "by", "at"], name="door_readings_of_an_account")]

    def __str__(self) -> str:
        return f"{self.by_name}, {self.what}"


class FamilyRequest(models.Model):
    """A guardian asks for a copy of what we keep, or for it to be forgotten. A person decides."""

    class What(models.TextChoices):
        COPY = "copy", _("a copy of my data")
        ERASURE = "erasure", _("delete my data")

    class State(models.TextChoices):
        WAITING = "waiting", _("open")
        DONE = "done", _("done")
        DECLINED = "declined", _("declined")

    guardian = models.ForeignKey(Guardian, on_delete=models.CASCADE, related_name="requests")
    what = models.CharField(max_length=10, choices=What.choices)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    asked_at = models.DateTimeField()
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    reason = models.CharField(max_length=300, blank=True)
    link_counter = models.PositiveIntegerField(default=0, editable=False)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["guardian", "what"], condition=Q(state="waiting"), name="one_waiting_request_of_a_kind"
            ),
            models.CheckConstraint(
                condition=~Q(state="declined") | ~Q(reason=""), name="a_declined_request_has_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.guardian}: {self.get_what_display()}"

    @property
    def who_answers(self) -> "models.Model":
        """Who acts by a link of this row."""
        return self.guardian
