"""When a volunteer can come: one stretch a weekday, times away, and the most they want to give."""

from datetime import date, time
from typing import Any

from django import forms
from django.utils.translation import gettext, gettext_lazy

from core.fields import DayField, TimeField
from people.models import Volunteer
from shifts.models import Away, Limits, Weekday, WeeklyWindow
from shifts.services.own_page import TimeFacts

__all__ = ["ProfileForm", "TimeForm", "time_initial"]


class ProfileForm(forms.Form):
    name = forms.CharField(label=gettext_lazy("Name"), max_length=120)
    email = forms.EmailField(
        label=gettext_lazy("Email"),
        help_text=gettext_lazy("We’ll email the new address to confirm it before we use it."),
    )
    home_area = forms.CharField(
        label=gettext_lazy("Area where you live"),
        max_length=120,
        required=False,
        help_text=gettext_lazy("Just a neighborhood or town, not a street address."),
    )

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())

    def clean_home_area(self) -> str:
        return " ".join(self.cleaned_data["home_area"].split())


class TimeForm(forms.Form):
    phone = forms.CharField(label=gettext_lazy("Phone"), max_length=40, required=False)
    away_from = DayField(label=gettext_lazy("First day away"), required=False)
    away_until = DayField(label=gettext_lazy("Last day away"), required=False)
    shifts_a_month = forms.IntegerField(
        label=gettext_lazy("Most shifts per month"), required=False, min_value=0, max_value=60
    )
    hours_a_month = forms.IntegerField(
        label=gettext_lazy("Most hours per month"), required=False, min_value=0, max_value=400
    )
    farthest_km = forms.IntegerField(
        label=gettext_lazy("Farthest you’ll travel from home (km)"), required=False, min_value=0, max_value=2000
    )
    reminders = forms.BooleanField(label=gettext_lazy("Send me email reminders"), required=False)

    def __init__(self, *args: Any, away: list[Away] | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        self.away = away or []
        for day, name in Weekday.choices:
            self.fields[f"from_{day}"] = TimeField(label=gettext("%(day)s from") % {"day": name}, required=False)
            self.fields[f"until_{day}"] = TimeField(label=gettext("%(day)s until") % {"day": name}, required=False)

    @property
    def weekdays(self) -> list[tuple[str, Any, Any]]:
        return [(str(name), self[f"from_{day}"], self[f"until_{day}"]) for day, name in Weekday.choices]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        for day, name in Weekday.choices:
            starts, ends = data.get(f"from_{day}"), data.get(f"until_{day}")
            if (starts is None) != (ends is None) and not {f"from_{day}", f"until_{day}"} & set(self.errors):
                text = gettext("Enter both times for %(day)s, or leave both empty.") % {"day": name}
                self.add_error(f"from_{day}", text)
        first, last = data.get("away_from"), data.get("away_until")
        if last and not first and "away_from" not in self.errors:
            self.add_error("away_from", gettext("Enter the first day you’re away, too."))
        return data

    def facts(self, keep: set[str]) -> TimeFacts:
        """``keep`` holds the numbers of the times away that stay."""
        data = self.cleaned_data
        windows: dict[int, tuple[time, time]] = {
            day: (data[f"from_{day}"], data[f"until_{day}"]) for day in Weekday.values if data[f"from_{day}"]
        }
        away: list[tuple[date, date]] = [(row.first_day, row.last_day) for row in self.away if str(row.pk) in keep]
        if data["away_from"]:
            away.append((data["away_from"], data["away_until"] or data["away_from"]))
        return TimeFacts(
            windows=windows,
            away=away,
            shifts_a_month=data["shifts_a_month"],
            hours_a_month=data["hours_a_month"],
            farthest_km=data["farthest_km"],
            reminders=data["reminders"],
            phone=data["phone"],
        )


def time_initial(volunteer: Volunteer) -> dict[str, Any]:
    found: dict[str, Any] = {"phone": volunteer.phone, "reminders": volunteer.reminders}
    for window in WeeklyWindow.objects.filter(volunteer=volunteer):
        found |= {f"from_{window.weekday}": window.starts, f"until_{window.weekday}": window.ends}
    limits = Limits.objects.filter(volunteer=volunteer).first()
    if limits is not None:
        found |= {
            "shifts_a_month": limits.shifts_a_month,
            "hours_a_month": limits.hours_a_month,
            "farthest_km": limits.farthest_km,
        }
    return found
