"""Who stands where: shifts, who was asked, and every answer that was given."""

import uuid
from collections.abc import Iterable
from datetime import datetime

import pghistory
from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import DateTimeRangeField, RangeOperators
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from clinics.models import Clinic, Status
from people.models import Duty, Volunteer, duties

# Why somebody was taken off, where nobody could help it.
CALLED_OFF = "the clinic was cancelled"


class Reply(models.TextChoices):
    """RFC 5545 section 3.2.12, PARTSTAT."""

    NEEDS_ACTION = "needs-action", gettext_lazy("asked")
    ACCEPTED = "accepted", gettext_lazy("accepted")
    DECLINED = "declined", gettext_lazy("declined")


class Shift(models.Model):
    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="shifts")
    duty = models.ForeignKey(Duty, to_field="code", db_column="duty", on_delete=models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["clinic", "position"]
        constraints = [
            models.UniqueConstraint(fields=["clinic", "position"], name="one_shift_per_position"),
        ]

    def __str__(self) -> str:
        return f"{self.duty_name} at {self.clinic}"

    @property
    def duty_name(self) -> str:
        return duties().name(self.duty_id)

    @property
    def duty_ask(self) -> str:
        """The duty as a verb, for a question."""
        return duties().ask(self.duty_id)


class AssignmentQuerySet(models.QuerySet["Assignment"]):
    LIVE = Q(released_at__isnull=True) & ~Q(reply="declined")

    def live(self) -> "AssignmentQuerySet":
        return self.filter(self.LIVE)

    def unanswered(self, now: datetime) -> "AssignmentQuerySet":
        """Questions about coming clinics that wait for a reply."""
        return self.live().filter(reply=Reply.NEEDS_ACTION, shift__clinic__starts_at__gt=now)

    def accepted(self) -> "AssignmentQuerySet":
        return self.live().filter(reply=Reply.ACCEPTED)

    def on_floor(self) -> "AssignmentQuerySet":
        """Who accepted; where the clinic was called off, who had until then: they are still with the children."""
        until_then = Q(shift__clinic__status=Status.CANCELLED, released_because=CALLED_OFF)
        return self.filter(self.LIVE | until_then, reply=Reply.ACCEPTED)

    def locked(self, pk: int) -> "Assignment":
        """One row, locked, with its person and shift; raises DoesNotExist."""
        return self.locked_in([pk]).get(pk=pk)

    def locked_in(self, pks: Iterable[int]) -> "AssignmentQuerySet":
        """Those rows with their people and shifts, by number, locked in that order; in two steps as clinics are."""
        numbers = list(pks)
        list(self.filter(pk__in=numbers).select_for_update(no_key=True).order_by("pk").values_list("pk"))
        return self.filter(pk__in=numbers).select_related("volunteer", "shift").order_by("pk")


@pghistory.track()
class Assignment(models.Model):
    """One person asked to take one shift. Live until declined or released."""

    shift = models.ForeignKey(Shift, on_delete=models.CASCADE, related_name="assignments")
    volunteer = models.ForeignKey(Volunteer, on_delete=models.PROTECT, related_name="assignments")
    period = DateTimeRangeField(help_text="From being there to going home.")
    reply = models.CharField(max_length=12, choices=Reply.choices, default=Reply.NEEDS_ACTION)
    asked_at = models.DateTimeField()
    replied_at = models.DateTimeField(null=True, blank=True)
    released_at = models.DateTimeField(null=True, blank=True)
    released_because = models.CharField(max_length=200, blank=True)
    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    # Rises with each calendar part sent for this person; never falls (RFC 5546 section 2.1.4).
    sequence = models.PositiveIntegerField(default=0, editable=False)
    link_counter = models.PositiveIntegerField(default=0, editable=False)

    objects = AssignmentQuerySet.as_manager()

    class Meta:
        ordering = ["shift", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["shift"],
                condition=Q(released_at__isnull=True) & ~Q(reply="declined"),
                name="one_live_assignment_per_shift",
            ),
            ExclusionConstraint(
                name="one_place_at_a_time_per_volunteer",
                expressions=[("volunteer", RangeOperators.EQUAL), ("period", RangeOperators.OVERLAPS)],
                condition=Q(released_at__isnull=True) & ~Q(reply="declined"),
            ),
            models.CheckConstraint(
                condition=Q(reply="needs-action") | Q(replied_at__isnull=False), name="a_reply_has_its_time"
            ),
            models.CheckConstraint(condition=Q(period__isempty=False), name="assignment_period_holds_some_time"),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer}: {self.shift}"

    @property
    def who_answers(self) -> Volunteer:
        """Who acts by a link of this row."""
        return self.volunteer

    @property
    def live(self) -> bool:
        return self.released_at is None and self.reply != Reply.DECLINED


class ReplyRecord(models.Model):
    """Every answer that was given, in order; nothing here is ever changed."""

    assignment = models.ForeignKey(Assignment, on_delete=models.CASCADE, related_name="replies")
    reply = models.CharField(max_length=12, choices=Reply.choices)
    at = models.DateTimeField()
    by = models.CharField(max_length=120, help_text="Who answered: the volunteer by link, or a name.")

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.assignment}: {self.reply}"
