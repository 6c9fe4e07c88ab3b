"""Opening hours by weekday, closed days, and a calendar file of them."""

from datetime import date, time
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.models import Center, OpenHours
from clinics.models.hours import WEEKDAYS
from core.fields import DayField, TimeField

__all__ = ["ClosedForm", "HoursForm"]


class HoursForm(forms.Form):
    def __init__(self, *args: Any, center: Center, **more: Any) -> None:
        known = {row.weekday: row for row in OpenHours.objects.filter(center=center)}
        initial = {f"opens_{day}": row.opens for day, row in known.items()}
        initial |= {f"closes_{day}": row.closes for day, row in known.items()}
        more["initial"] = initial
        super().__init__(*args, **more)
        for day, name in WEEKDAYS:
            self.fields[f"opens_{day}"] = TimeField(label=gettext("%(day)s from") % {"day": name}, required=False)
            self.fields[f"closes_{day}"] = TimeField(label=gettext("%(day)s until") % {"day": name}, required=False)

    @property
    def weekdays(self) -> list[tuple[Any, Any]]:
        return [(self[f"opens_{day}"], self[f"closes_{day}"]) for day, _ in WEEKDAYS]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        for day, name in WEEKDAYS:
            names = {f"opens_{day}", f"closes_{day}"}
            if not names & set(self.errors) and (data.get(f"opens_{day}") is None) != (
                data.get(f"closes_{day}") is None
            ):
                both = gettext("Enter both times for %(day)s, or leave both empty.")
                self.add_error(f"opens_{day}", both % {"day": name})
        return data

    def hours(self) -> dict[int, tuple[time, time]]:
        data = self.cleaned_data
        return {day: (data[f"opens_{day}"], data[f"closes_{day}"]) for day, _ in WEEKDAYS if data[f"opens_{day}"]}


class ClosedForm(forms.Form):
    first_day = DayField(label=_("First closed day"), required=False)
    last_day = DayField(label=_("Last closed day"), required=False)
    why = forms.CharField(label=_("Reason"), max_length=120, required=False)
    file = forms.FileField(
        label=_("Or upload the center’s calendar file"),
        required=False,
        help_text=_("An .ics file, up to 1 MB."),
        error_messages={"empty": _("This file is empty. Export the closed days again.")},
    )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if not data.get("first_day") and not data.get("file") and not self.errors:
            self.add_error("first_day", gettext("Enter the first closed day, or choose a file."))
        return data

    def stretch(self) -> tuple[date, date, str]:
        data = self.cleaned_data
        return data["first_day"], data["last_day"] or data["first_day"], data["why"]
