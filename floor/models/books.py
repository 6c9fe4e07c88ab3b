"""The floor on the day: phones that may write, what they wrote, and what it amounts to."""

import uuid
from datetime import date

import pghistory
from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import DateTimeRangeField, RangeBoundary, RangeOperators
from django.db import models
from django.db.models import F, Func, Q
from django.utils.translation import gettext_lazy

from clinics.models import Clinic
from core.secret_text import EncryptedTextField
from families.models import Child
from floor.rules.incidents import FOLLOWED, HEAD, OUTCOMES, SORTS, may_play
from people.models import Volunteer


class TsTzRange(Func):
    function = "TSTZRANGE"
    output_field = DateTimeRangeField()


class FloorPhone(models.Model):
    """A phone on which the lead opened the floor page; ``secret`` is the hash of what its cookie holds."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="phones")
    volunteer = models.ForeignKey(Volunteer, null=True, on_delete=models.CASCADE, related_name="phones")
    opened_by = models.CharField(max_length=120)
    # How the person is called on the floor's pages, and which of their phones this is; "" for what no phone wrote.
    called = models.CharField(max_length=120, blank=True, default="")
    number = models.PositiveSmallIntegerField(default=1)
    # The emailed link that opened it, as a reference to the link's row; "" when an account did.
    link = models.CharField(max_length=60, blank=True, default="")
    secret = models.CharField(max_length=64, unique=True)
    came_from = models.GenericIPAddressField("address it was last heard from")
    opened_at = models.DateTimeField()
    heard_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    released_by = models.CharField(max_length=120, blank=True, default="", help_text="Who ended it in the office.")

    class Meta:
        ordering = ["clinic", "opened_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["link"],
                condition=Q(ended_at__isnull=True) & ~Q(link=""),
                name="a_link_is_open_on_one_phone",
            ),
            models.UniqueConstraint(
                fields=["clinic", "called", "number"],
                condition=Q(ended_at__isnull=True) & ~Q(called=""),
                name="open_phones_of_a_clinic_have_names_of_their_own",
            ),
        ]

    def __str__(self) -> str:
        return f"phone {self.pk} of {self.opened_by}"

    @property
    def who_answers(self) -> "models.Model":
        """Who acts by a link of this row."""
        return self.volunteer or self


class FloorAction(models.Model):
    """One tap, as the phone wrote it. Never changed: what it amounts to is worked out anew from all of them."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="floor_actions")
    phone = models.ForeignKey(FloorPhone, on_delete=models.CASCADE, related_name="actions")
    seq = models.PositiveIntegerField(help_text="The phone's own count.")
    kind = models.CharField(max_length=12)
    facts = EncryptedTextField(help_text="JSON; names of children and what happened to them may stand in it.")
    phone_at = models.DateTimeField(help_text="By the phone's clock.")
    at = models.DateTimeField(help_text="By ours: the phone's time and the difference when it was sent.")
    received_at = models.DateTimeField()
    # The child that a walk-in became, so that the same action never makes a second one; forgotten with the child.
    child = models.ForeignKey(Child, null=True, blank=True, on_delete=models.CASCADE, related_name="floor_actions")

    class Meta:
        ordering = ["clinic", "at", "phone", "seq"]
        constraints = [
            models.UniqueConstraint(fields=["phone", "seq"], name="a_phone_counts_each_action_once"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.id}"


@pghistory.track()
class SignIn(models.Model):
    """Somebody came in and, once ``out_at`` is set, went out. ``pickup`` took a child home."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="sign_ins")
    child = models.ForeignKey(Child, null=True, blank=True, on_delete=models.CASCADE, related_name="sign_ins")
    volunteer = models.ForeignKey(Volunteer, null=True, blank=True, on_delete=models.CASCADE, related_name="sign_ins")
    in_at = models.DateTimeField()
    out_at = models.DateTimeField(null=True, blank=True)
    pickup = models.CharField(max_length=120, blank=True)
    in_action = models.UUIDField()
    out_action = models.UUIDField(null=True, blank=True)

    class Meta:
        ordering = ["clinic", "in_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(child__isnull=True, volunteer__isnull=False)
                | Q(child__isnull=False, volunteer__isnull=True),
                name="sign_in_of_a_child_or_an_adult",
            ),
            models.CheckConstraint(condition=Q(out_at__isnull=True) | Q(out_at__gte=F("in_at")), name="out_after_in"),
            ExclusionConstraint(
                name="a_child_is_signed_in_once_at_a_time",
                # Within one clinic: its books come out of its own log, and a child whom nobody signed out last week
                # must not keep today's from being written.
                expressions=[
                    ("clinic", RangeOperators.EQUAL),
                    ("child", RangeOperators.EQUAL),
                    (TsTzRange("in_at", "out_at", RangeBoundary()), RangeOperators.OVERLAPS),
                ],
                condition=Q(child__isnull=False),
            ),
            ExclusionConstraint(
                name="an_adult_is_signed_in_once_at_a_time",
                expressions=[
                    ("clinic", RangeOperators.EQUAL),
                    ("volunteer", RangeOperators.EQUAL),
                    (TsTzRange("in_at", "out_at", RangeBoundary()), RangeOperators.OVERLAPS),
                ],
                condition=Q(volunteer__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"sign-in {self.pk}"


class Sort(models.TextChoices):
    """Of an incident; the codes are those of the rules."""

    HEAD = HEAD, gettext_lazy("hit to the head")
    BREATHING = "breathing", gettext_lazy("trouble breathing")
    SEIZURE = "seizure", gettext_lazy("seizure")
    ALLERGY = "allergy", gettext_lazy("allergic reaction")
    BLEEDING = "bleeding", gettext_lazy("heavy bleeding")
    OTHER = "other", gettext_lazy("something else")


class IncidentQuerySet(models.QuerySet["Incident"]):
    def followed(self) -> "IncidentQuerySet":
        """After which the office has something to do: not deleted, nor of a child who is no longer on file."""
        return self.filter(undone=False, sort__in=FOLLOWED, child__forgotten_at__isnull=True)

    def unsettled(self) -> "IncidentQuerySet":
        """Where something is left to do, as ``left_to_do`` of the rules says of one."""
        told = Q(follow_up__told_at__isnull=False)
        return self.followed().exclude(told & (~Q(sort=HEAD) | Q(follow_up__outcome__in=OUTCOMES)))

    def keep_from_play(self) -> "IncidentQuerySet":
        """Hits to the head of children whom no one has cleared yet."""
        cleared = [outcome for outcome in OUTCOMES if may_play(HEAD, outcome)]
        rows = self.followed().filter(sort=HEAD, child__isnull=False)
        return rows.exclude(follow_up__outcome__in=cleared)

    def without_words(self) -> "IncidentQuerySet":
        """Without what is encrypted, here and with the people: whoever lists incidents need not open it."""
        rows = self.select_related("child", "volunteer", "follow_up")
        return rows.defer(
            "what", "first_aid", "told", "witness", "child__allergies", "child__care_notes",
            "follow_up__told_by", "follow_up__provider", "follow_up__seen", "follow_up__reason",
        )  # fmt: skip


@pghistory.track(exclude=["what", "first_aid", "told", "witness"])
class Incident(models.Model):
    """Something that went wrong on the floor, and what was done. The words are encrypted."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="incidents")
    action = models.UUIDField(unique=True)
    at = models.DateTimeField()
    child = models.ForeignKey(Child, null=True, blank=True, on_delete=models.SET_NULL, related_name="incidents")
    volunteer = models.ForeignKey(Volunteer, null=True, blank=True, on_delete=models.SET_NULL, related_name="incidents")
    what = EncryptedTextField(gettext_lazy("what happened"))
    first_aid = EncryptedTextField(gettext_lazy("first aid given"), blank=True, default="")
    told = EncryptedTextField(gettext_lazy("guardian notified: by whom and when"), blank=True, default="")
    witness = EncryptedTextField(gettext_lazy("witnesses"), blank=True, default="")
    sort = models.CharField(max_length=10, choices=Sort.choices, default=Sort.OTHER)
    head = models.BooleanField(gettext_lazy("a hit to the head or body"), default=False)
    written_by = models.CharField(max_length=120)
    undone = models.BooleanField(default=False)

    objects = IncidentQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(head=True, sort=HEAD) | Q(head=False) & ~Q(sort=HEAD), name="head_is_the_sort_head"
            ),
            models.CheckConstraint(condition=Q(sort__in=SORTS), name="incident_of_a_known_sort"),
        ]

    def __str__(self) -> str:
        return f"incident {self.pk}"

    @property
    def day(self) -> date:
        """The day at the center."""
        return self.at.astimezone(self.clinic.center.tz).date()


class Score(models.Model):
    """Shots made of shots tried by one child or one group at one activity. Never shown as a ranking of children."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="scores")
    action = models.UUIDField(unique=True)
    at = models.DateTimeField()
    child = models.ForeignKey(Child, null=True, blank=True, on_delete=models.CASCADE, related_name="scores")
    group = models.CharField(max_length=20, blank=True)
    what = models.CharField(max_length=40)
    level = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Steps back from the hoop.")
    made = models.PositiveIntegerField()
    tried = models.PositiveIntegerField()

    class Meta:
        ordering = ["clinic", "at", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(made__lte=F("tried")), name="no_more_made_than_tried"),
            models.CheckConstraint(condition=~Q(group="") | Q(child__isnull=False), name="score_of_a_child_or_a_group"),
        ]

    def __str__(self) -> str:
        return f"{self.made} of {self.tried}"


class FloorDay(models.Model):
    """What the lead closed: attendance as it stands, open conflicts, notes for next time."""

    clinic = models.OneToOneField(Clinic, on_delete=models.CASCADE, related_name="floor_day")
    closed_at = models.DateTimeField(null=True, blank=True)
    conflicts = models.JSONField(default=list)
    settled = models.JSONField(default=list, help_text="Conflicts that the lead has looked at, by their actions.")
    notes = EncryptedTextField(blank=True, default="")
    released = models.JSONField(
        default=list,
        help_text="Entries by which a child went home with someone whose name is like that of one who must not.",
    )
    slots = models.JSONField(default=dict, help_text="When each slot of the run sheet began.")
    twins = models.JSONField(default=list, help_text="Pairs of children who may be one, still to be settled.")

    def __str__(self) -> str:
        return f"floor of {self.clinic}"


class AdultHours(models.Model):
    """Minutes that an adult gave, as the lead confirmed them."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="adult_hours")
    volunteer = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="hours_given")
    minutes = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["clinic", "volunteer"]
        constraints = [
            models.UniqueConstraint(fields=["clinic", "volunteer"], name="hours_once_per_adult_and_clinic"),
            models.CheckConstraint(condition=Q(minutes__lte=24 * 60), name="at_most_a_day_of_minutes"),
        ]

    def __str__(self) -> str:
        return f"{self.minutes} minutes"


class MergedNumber(models.Model):
    """Two records of one child or adult became one: what the floor's log says of ``was`` it says of ``is_now``.

    The log itself is never changed, and a phone that has the old number still sends it. Numbers as in the log: c12, v3.
    """

    was = models.CharField(max_length=24, unique=True)
    is_now = models.CharField(max_length=24, db_index=True)
    merged_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.was} is {self.is_now}"
