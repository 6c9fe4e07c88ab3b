"""Who stands by for a clinic, who was called when somebody dropped out late, and shifts handed from one to another."""

from django.db import models
from django.db.models import Q

from clinics.models import Clinic
from people.models import Duty, Volunteer, duties
from shifts.models.shifts import Assignment, Shift


class Standby(models.Model):
    """Somebody who said they would come to a clinic if one of a duty drops out."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="standbys")
    duty = models.ForeignKey(Duty, to_field="code", db_column="duty", on_delete=models.PROTECT, related_name="+")
    volunteer = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="standbys")
    since = models.DateTimeField()
    link_counter = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["since", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["clinic", "duty", "volunteer"], name="one_standby_per_clinic_and_duty"),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer} stands by: {duties().name(self.duty_id)} at {self.clinic}"

    @property
    def who_answers(self) -> Volunteer:
        """Who acts by a link of this row."""
        return self.volunteer

    @property
    def words(self) -> str:
        return f"as {duties().name(self.duty_id)}, called at once after a late drop-out"


class StandbyCall(models.Model):
    """One of those who stand by, asked together with the others; the first yes takes the shift."""

    shift = models.ForeignKey(Shift, on_delete=models.CASCADE, related_name="calls")
    volunteer = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="calls")
    asked_at = models.DateTimeField()
    answer = models.CharField(
        max_length=8, blank=True, choices=[("took it", "took it"), ("no", "no"), ("too late", "too late")]
    )
    answered_at = models.DateTimeField(null=True)
    link_counter = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-asked_at", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(answer="") | Q(answered_at__isnull=False), name="a_call_has_its_time"),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer} called for {self.shift}"

    @property
    def who_answers(self) -> Volunteer:
        """Who acts by a link of this row."""
        return self.volunteer


class Swap(models.Model):
    """One volunteer asks another to take a shift over."""

    class State(models.TextChoices):
        ASKED = "asked", "asked"
        AGREED = "agreed", "both agree, waits for the office"
        DONE = "done", "handed over"
        DECLINED = "declined", "declined"
        REFUSED = "refused", "not possible"

    assignment = models.ForeignKey(Assignment, on_delete=models.CASCADE, related_name="swaps")
    to = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="swaps_offered")
    state = models.CharField(max_length=8, choices=State.choices, default=State.ASKED)
    asked_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True)
    words = models.CharField(max_length=300, blank=True, help_text="Why it could not be.")
    link_counter = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["assignment"], condition=Q(state__in=["asked", "agreed"]), name="one_open_swap_per_shift"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.assignment.volunteer} to {self.to}: {self.assignment.shift}"

    @property
    def who_answers(self) -> Volunteer:
        """Who acts by a link of this row."""
        return self.to
