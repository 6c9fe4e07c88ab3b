"""What the office writes after an incident."""

from datetime import datetime, time
from typing import Any

from django import forms
from django.utils.translation import gettext, gettext_lazy

from clinics.models import Clinic
from core.fields import DayField, TimeField
from core.rules.local_time import TimeDoesNotExist, localize
from core.words import skipped_time
from floor.models import Incident, IncidentFollowUp, Outcome
from floor.rules.incidents import HEAD, FollowUpFacts

__all__ = ["FollowUpForm"]


class FollowUpForm(forms.Form):
    """Everything may stay empty: what is known today is saved today."""

    was = forms.CharField(required=False, widget=forms.HiddenInput)
    told_by = forms.CharField(label=gettext_lazy("Who told the guardian"), max_length=120, required=False)
    told_on = DayField(label=gettext_lazy("Day"), required=False)
    told_time = TimeField(label=gettext_lazy("Time"), required=False)
    outcome = forms.ChoiceField(
        label=gettext_lazy("May they play again?"),
        choices=[("", gettext_lazy("Not cleared yet")), *Outcome.choices],
        widget=forms.RadioSelect,
        required=False,
    )
    provider = forms.CharField(
        label=gettext_lazy("Health care provider: name and practice"),
        max_length=200,
        required=False,
        help_text=gettext_lazy("Needed for a clearance, and if the head was not injured."),
    )
    cleared_on = DayField(
        label=gettext_lazy("Cleared on"), required=False, help_text=gettext_lazy("Needed for a clearance.")
    )
    seen = forms.CharField(
        label=gettext_lazy("What you saw"),
        max_length=300,
        required=False,
        help_text=gettext_lazy("Needed for a clearance, such as a signed note or a letter. Leave out diagnoses."),
    )
    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        max_length=300,
        required=False,
        help_text=gettext_lazy("Needed if they won’t come back, or if the head was not injured."),
    )

    def __init__(self, *args: Any, incident: Incident, clinic: Clinic, **more: Any) -> None:
        super().__init__(*args, **more)
        self.clinic = clinic
        if incident.child is None:
            self.fields["told_by"].label = gettext("Who told their guardian or emergency contact")
        if incident.sort != HEAD:
            for name in ("outcome", "provider", "cleared_on", "seen", "reason"):
                del self.fields[name]

    @classmethod
    def known(cls, row: IncidentFollowUp | None, clinic: Clinic) -> dict[str, Any]:
        """What the form shows of what is saved."""
        if row is None:
            return {}
        told = row.told_at.astimezone(clinic.center.tz) if row.told_at else None
        return {
            "told_by": row.told_by,
            "told_on": told.date() if told else None,
            "told_time": told.time().replace(second=0, microsecond=0) if told else None,
            "outcome": row.outcome,
            "provider": row.provider,
            "cleared_on": row.cleared_on,
            "seen": row.seen,
            "reason": row.reason,
        }

    def clean(self) -> dict[str, Any]:
        """Add ``told_at``, the moment at the clinic's center."""
        facts: dict[str, Any] = super().clean() or {}
        day, wall = facts.get("told_on"), facts.get("told_time")
        facts["told_at"] = None
        if wall and not day and "told_on" not in self.errors:
            self.add_error("told_on", gettext("Enter the day, too."))
        if day and not wall and "told_time" not in self.errors:
            self.add_error("told_time", gettext("Enter the time, too."))
        if day and wall:
            facts["told_at"] = self._moment(day, wall)
        return facts

    def _moment(self, day: Any, wall: time) -> datetime | None:
        try:
            return localize(day, wall, self.clinic.center.tz)
        except TimeDoesNotExist as problem:
            self.add_error("told_time", skipped_time(problem))
            return None

    def facts(self) -> FollowUpFacts:
        names = ("told_on", "told_by", "outcome", "provider", "cleared_on", "seen", "reason")
        return FollowUpFacts(**{name: self.cleaned_data[name] for name in names if name in self.fields})
