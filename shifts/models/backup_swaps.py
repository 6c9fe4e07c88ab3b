"""The backups of a clinic, who of them was asked when somebody dropped out late, and shifts swapped with another."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from clinics.models import Clinic
from people.models import Duty, Volunteer, duties
from shifts.models.shifts import Assignment, Shift


class Backup(models.Model):
    """Somebody who said they would come to a clinic if one of a duty drops out."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="backups")
    duty = models.ForeignKey(Duty, to_field="code", db_column="duty", on_delete=models.PROTECT, related_name="+")
    volunteer = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="backups")
    since = models.DateTimeField()
    link_counter = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["since", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["clinic", "duty", "volunteer"], name="one_backup_per_clinic_and_duty"),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer}, backup: {duties().name(self.duty_id)} at {self.clinic}"

    @property
    def who_answers(self) -> Volunteer:
        """Who acts by a link of this row."""
        return self.volunteer

    @property
    def duty_name(self) -> str:
        return duties().name(self.duty_id)


# What a backup answered who was asked to step in.
ANSWERS = [("took it", gettext_lazy("took it")), ("no", gettext_lazy("no")), ("too late", gettext_lazy("too late"))]


class BackupCall(models.Model):
    """A backup, asked together with the others; the first yes takes the shift."""

    shift = models.ForeignKey(Shift, on_delete=models.CASCADE, related_name="calls")
    volunteer = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="calls")
    asked_at = models.DateTimeField()
    answer = models.CharField(max_length=8, blank=True, choices=ANSWERS)
    answered_at = models.DateTimeField(null=True)
    link_counter = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-asked_at", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(answer="") | Q(answered_at__isnull=False), name="a_call_has_its_time"),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer}, backup asked for {self.shift}"

    @property
    def who_answers(self) -> Volunteer:
        """Who acts by a link of this row."""
        return self.volunteer


class Swap(models.Model):
    """One volunteer asks another to take a shift of theirs."""

    class State(models.TextChoices):
        ASKED = "asked", gettext_lazy("asked")
        AGREED = "agreed", gettext_lazy("both agreed, needs approval")
        DONE = "done", gettext_lazy("swap done")
        DECLINED = "declined", gettext_lazy("declined")
        REFUSED = "refused", gettext_lazy("didn’t work out")

    assignment = models.ForeignKey(Assignment, on_delete=models.CASCADE, related_name="swaps")
    to = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="swaps_offered")
    state = models.CharField(max_length=8, choices=State.choices, default=State.ASKED)
    asked_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True)
    words = models.CharField(max_length=300, blank=True, help_text=gettext_lazy("Why it didn’t work out."))
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
