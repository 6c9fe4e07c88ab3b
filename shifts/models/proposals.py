"""A cover plan: what was searched for, how far the search is, and what it found."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from clinics.models import Clinic
from people.models import Volunteer
from shifts.models.shifts import Shift


class ProposalState(models.TextChoices):
    WAITING = "waiting", gettext_lazy("in line to start")
    RUNNING = "running", gettext_lazy("searching")
    READY = "ready", gettext_lazy("ready")
    FAILED = "failed", gettext_lazy("no plan found")


class Proposal(models.Model):
    first_day = models.DateField()
    last_day = models.DateField()
    clinic = models.ForeignKey(Clinic, null=True, on_delete=models.CASCADE, related_name="proposals")
    # What is supposed for the sake of trying: renewals, absences, more children, another time. Empty for no "what if".
    what_if = models.JSONField(default=list)
    keep_asked = models.BooleanField(
        default=False,
        help_text=gettext_lazy("Only open shifts are filled. People who were asked stay put."),
    )
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    asked_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=ProposalState.choices, default=ProposalState.WAITING)
    stop_asked = models.BooleanField(default=False)
    claim = models.UUIDField(null=True)
    seen_at = models.DateTimeField(null=True, help_text="When the worker last said that it is at it.")
    tries = models.PositiveSmallIntegerField(default=0)
    progress = models.JSONField(default=dict)
    result = models.JSONField(default=dict)
    trouble = models.CharField(max_length=300, blank=True)
    finished_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(last_day__gte=F("first_day")), name="proposal_days_in_order"),
            models.CheckConstraint(
                condition=~Q(state="running") | Q(claim__isnull=False), name="a_running_search_is_claimed"
            ),
        ]

    def __str__(self) -> str:
        return f"cover from {self.first_day} to {self.last_day}"

    @property
    def busy(self) -> bool:
        return self.state in (ProposalState.WAITING, ProposalState.RUNNING)


class ProposalLine(models.Model):
    """What the proposal would do with one shift."""

    class Kind(models.TextChoices):
        ADDED = "added", gettext_lazy("newly filled")
        MOVED = "moved", gettext_lazy("moved")
        FREED = "freed", gettext_lazy("taken off")
        UNTOUCHED = "untouched", gettext_lazy("unchanged")

    proposal = models.ForeignKey(Proposal, on_delete=models.CASCADE, related_name="lines")
    # Empty for a shift that only a "what if" would make; then the words say which.
    shift = models.ForeignKey(Shift, null=True, on_delete=models.CASCADE, related_name="+")
    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="+")
    duty = models.CharField(max_length=20)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    volunteer = models.ForeignKey(Volunteer, null=True, on_delete=models.CASCADE, related_name="+")
    was = models.ForeignKey(Volunteer, null=True, on_delete=models.CASCADE, related_name="+")
    km = models.FloatField(null=True)
    outcome = models.CharField(max_length=300, blank=True)
    taken_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["clinic__starts_at", "clinic", "shift__position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["proposal", "shift"], name="one_line_per_shift_of_a_proposal"),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.duty} at {self.clinic}"


class AskingRules(models.Model):
    """How people are asked; one row, which the coordinator edits."""

    most_open = models.PositiveSmallIntegerField(
        gettext_lazy("unanswered requests per person"),
        default=3,
        help_text=gettext_lazy("Most unanswered requests one person can have at a time."),
    )
    silence_hours = models.PositiveSmallIntegerField(
        gettext_lazy("hours to wait for an answer"),
        default=48,
        help_text=gettext_lazy("After this long with no answer, we ask the next person."),
    )
    late_hours = models.PositiveSmallIntegerField(
        gettext_lazy("late dropout: hours before the clinic"),
        default=24,
        help_text=gettext_lazy("If someone drops out within this time, we ask all backups at once."),
    )
    swaps_by_themselves = models.BooleanField(
        gettext_lazy("volunteers can swap shifts on their own"),
        default=True,
        help_text=gettext_lazy(
            "Only if both are cleared and free. If unchecked, each swap waits for your approval on Ahead."
        ),
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="one_row_of_asking_rules"),
            models.CheckConstraint(condition=Q(most_open__gte=1), name="at_least_one_open_question"),
        ]

    def __str__(self) -> str:
        return "how people are asked"

    @classmethod
    def current(cls) -> "AskingRules":
        return cls.objects.first() or cls(pk=1)


class KeptApart(models.Model):
    """Two people who are not put on the same clinic. The reason stays between them and the office."""

    one = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="kept_apart")
    other = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(one__lt=F("other")), name="kept_apart_in_order"),
            models.UniqueConstraint(fields=["one", "other"], name="kept_apart_once"),
        ]

    def __str__(self) -> str:
        return f"{self.one} and {self.other}"
