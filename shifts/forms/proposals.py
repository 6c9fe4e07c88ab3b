"""Which days a cover plan is for, and what a what-if tries."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext, gettext_lazy

from clinics.models import Clinic
from core.fields import DayField, TimeField
from people.models import ClearanceKind, Volunteer

__all__ = ["DaysForm", "WhatIfForm"]

WEEK = timedelta(days=6)


class DaysForm(forms.Form):
    first_day = DayField(label=gettext_lazy("From"))
    last_day = DayField(label=gettext_lazy("Through"))

    @classmethod
    def of_week(cls, today: date) -> "DaysForm":
        return cls(initial={"first_day": today, "last_day": today + WEEK})


class WhatIfForm(forms.Form):
    """One thing to try; which fields are needed follows from ``what``."""

    what = forms.ChoiceField(
        label=gettext_lazy("What if…"),
        choices=[
            ("renew", gettext_lazy("a volunteer renews a clearance")),
            ("away", gettext_lazy("a volunteer is away")),
            ("children", gettext_lazy("a different number of children comes")),
            ("move", gettext_lazy("a clinic is at another time")),
        ],
    )
    volunteer = forms.ModelChoiceField(
        Volunteer.objects.none(),
        required=False,
        label=gettext_lazy("Volunteer"),
        empty_label=gettext_lazy("Choose a volunteer"),
    )
    kind = forms.ModelChoiceField(
        ClearanceKind.objects.all(),
        required=False,
        label=gettext_lazy("Clearance"),
        empty_label=gettext_lazy("Choose a clearance"),
    )
    clinic = forms.ModelChoiceField(
        Clinic.objects.none(),
        required=False,
        label=gettext_lazy("Clinic"),
        empty_label=gettext_lazy("Choose a clinic"),
    )
    children = forms.IntegerField(label=gettext_lazy("Children"), required=False, min_value=1, max_value=1000)
    day = DayField(label=gettext_lazy("Day (or first day away)"), required=False)
    until = DayField(label=gettext_lazy("Last day away"), required=False)
    starts = TimeField(label=gettext_lazy("Start time"), required=False)

    NEEDED = {
        "renew": ("volunteer", "kind", "day"),
        "away": ("volunteer", "day"),
        "children": ("clinic", "children"),
        "move": ("clinic", "day", "starts"),
    }

    def __init__(self, *args: Any, clinics: list[Clinic], **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["volunteer"].queryset = Volunteer.objects.active()  # type: ignore[attr-defined]
        ids = [clinic.pk for clinic in clinics]
        chosen = Clinic.objects.filter(pk__in=ids).select_related("center")
        self.fields["clinic"].queryset = chosen  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        for name in self.NEEDED.get(data.get("what", ""), ()):
            if data.get(name) in (None, "") and name not in self.errors:
                self.add_error(name, gettext("Fill this in for your what-if."))
        day, until = data.get("day"), data.get("until")
        if day and until and until < day:
            self.add_error("until", gettext("The last day away is before the first. Enter a later date."))
        return data

    def change(self) -> dict[str, Any]:
        data = self.cleaned_data
        what = data["what"]
        if what == "renew":
            return {
                "what": what, "volunteer": data["volunteer"].pk, "kind": data["kind"].code,
                "day": data["day"].isoformat(),
            }  # fmt: skip
        if what == "away":
            last = data["until"] or data["day"]
            return {
                "what": what, "volunteer": data["volunteer"].pk, "first": data["day"].isoformat(),
                "last": last.isoformat(),
            }  # fmt: skip
        if what == "children":
            return {"what": what, "clinic": data["clinic"].pk, "children": data["children"]}
        return {
            "what": what, "clinic": data["clinic"].pk, "day": data["day"].isoformat(),
            "starts": f"{data['starts']:%H:%M}",
        }  # fmt: skip
