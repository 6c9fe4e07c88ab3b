"""The clinic's run sheet: what was asked, from which facts, and what the search found."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from clinics.models import Clinic

__all__ = ["RunSheetPlan", "RunSheetQuerySet"]


class RunSheetQuerySet(models.QuerySet["RunSheetPlan"]):
    def ready(self) -> "RunSheetQuerySet":
        return self.filter(state=RunSheetPlan.State.READY)

    def latest_each(self) -> "RunSheetQuerySet":
        """Of these, each clinic's one that was asked for last."""
        return self.order_by("clinic_id", "-asked_at", "-pk").distinct("clinic_id")


class RunSheetPlan(models.Model):
    """One search for a run sheet. A later one takes its place on the page; this one stays readable.

    ``facts`` is everything the search needs, as it was when it was asked for, so that a printed sheet can be
    understood later and a change since can be named. ``rest_of``: planned again on the day, from that one.
    """

    class State(models.TextChoices):
        WAITING = "waiting", _("in line to start")
        READY = "ready", _("ready")
        FAILED = "failed", _("no plan found")
        CANNOT = "can't", _("not possible")

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="run_sheets")
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    groups = models.JSONField(default=list, help_text="Code, children by number, how many, ages, advanced.")
    facts = models.JSONField(default=dict)
    result = models.JSONField(default=dict)
    trouble = models.CharField(max_length=400, blank=True)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    asked_at = models.DateTimeField()
    rest_of = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="rests")
    rest = models.JSONField(default=dict, help_text="On the day: minutes done, minute it goes on, who is missing.")

    objects = RunSheetQuerySet.as_manager()

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state="ready") | Q(result__has_key="slots"), name="a_ready_run_sheet_has_slots"
            ),
            models.CheckConstraint(condition=~Q(state="failed") | ~Q(trouble=""), name="a_failed_run_sheet_says_why"),
        ]
        indexes = [models.Index(fields=["clinic", "state", "-asked_at"], name="run_sheets_of_a_clinic")]

    def __str__(self) -> str:
        return f"run sheet {self.pk}"
