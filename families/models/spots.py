"""A child's spot at a clinic, and the form by which a household asked for spots."""

import uuid

import pghistory
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from clinics.models import Clinic
from families.models.children import Child
from families.models.guardians import Guardian


class SpotState(models.TextChoices):
    HELD = "held", _("has a spot")
    WAITING = "waiting", _("on the waiting list")
    GIVEN_UP = "given up", _("spot ended")


class Registration(models.Model):
    """One sending of the public form. ``once`` was made with the page, so sending it twice registers once."""

    once = models.UUIDField(unique=True, default=uuid.uuid4)
    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="registrations")
    guardian = models.ForeignKey(Guardian, on_delete=models.CASCADE, related_name="registrations")
    sent_at = models.DateTimeField()

    class Meta:
        ordering = ["-sent_at", "-pk"]

    def __str__(self) -> str:
        return f"registration {self.pk}"


class SpotQuerySet(models.QuerySet["Spot"]):
    def live(self) -> "SpotQuerySet":
        return self.exclude(state=SpotState.GIVEN_UP)

    def held(self) -> "SpotQuerySet":
        """Held ones, those that wait for the guardian's yes among them: no one else can have them."""
        return self.filter(state=SpotState.HELD)

    def asked_in(self, registration: Registration) -> "SpotQuerySet":
        """Those that one sending of the form asked for, and no other of the same household.

        Whoever sent a form under someone else's address must not see that household's spots afterwards.
        """
        return self.filter(
            clinic=registration.clinic_id, guardian=registration.guardian_id, asked_at=registration.sent_at
        )

    def waiting(self) -> "SpotQuerySet":
        """First come, first served."""
        return self.filter(state=SpotState.WAITING).order_by("asked_at", "pk")


@pghistory.track()
class Spot(models.Model):
    """``answer_by``: the spot came free for this child, and is theirs if the guardian says yes by then."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="spots")
    child = models.ForeignKey(Child, on_delete=models.CASCADE, related_name="spots")
    guardian = models.ForeignKey(
        Guardian, null=True, blank=True, on_delete=models.SET_NULL, related_name="spots",
        help_text=_("Who asked for the spot, and gets emails about it."),
    )  # fmt: skip
    state = models.CharField(max_length=10, choices=SpotState.choices)
    age = models.PositiveSmallIntegerField(help_text=_("The child’s age on the day of the clinic."))
    asked_at = models.DateTimeField()
    answer_by = models.DateTimeField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)
    because = models.CharField(max_length=120, blank=True)
    link_counter = models.PositiveIntegerField(default=0, editable=False)

    objects = SpotQuerySet.as_manager()

    class Meta:
        ordering = ["clinic", "asked_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["clinic", "child"],
                condition=~Q(state="given up"),
                name="one_live_spot_per_child_and_clinic",
            ),
            models.CheckConstraint(
                condition=Q(answer_by__isnull=True) | ~Q(state="waiting"), name="only_a_held_spot_waits_for_a_yes"
            ),
            models.CheckConstraint(
                condition=Q(given_up_at__isnull=True) | Q(given_up_at__gte=F("asked_at")), name="given_up_after_asked"
            ),
        ]
        indexes = [
            models.Index(fields=["clinic", "state"], name="spots_of_a_clinic"),
            models.Index(fields=["answer_by"], name="spots_to_answer", condition=Q(answer_by__isnull=False)),
        ]

    def __str__(self) -> str:
        return f"spot {self.pk}"

    @property
    def who_answers(self) -> "models.Model":
        """Who acts by a link of this row."""
        return self.guardian or self
