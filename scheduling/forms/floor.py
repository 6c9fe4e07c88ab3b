"""Who took a child home, written in the office after the clinic."""

from datetime import datetime, time
from typing import Any

from django import forms

from clinics.models import Clinic
from scheduling.rules.local_time import localize

__all__ = ["SignOutForm"]


class SignOutForm(forms.Form):
    sign_in = forms.IntegerField(widget=forms.HiddenInput)
    collector = forms.CharField(
        label="Who took them home", max_length=120, error_messages={"required": "Write who took the child home."}
    )
    at = forms.TimeField(
        label="At",
        input_formats=["%H:%M"],
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"required": "Give the time.", "invalid": "Give the time as hours and minutes, such as 11:40."},
    )

    def __init__(self, *args: Any, clinic: Clinic, row: int, **more: Any) -> None:
        super().__init__(*args, **(more | {"auto_id": f"out-{row}-%s"}))
        self.clinic = clinic
        for name in ("collector", "at"):
            self.fields[name].widget.attrs |= {"class": "form-control", "autocomplete": "off"}
            if name in (self.errors if self.is_bound else {}):
                self.fields[name].widget.attrs["class"] += " is-invalid"

    def clean_at(self) -> datetime:
        """The moment on the clinic's day at its center."""
        wall: time = self.cleaned_data["at"]
        try:
            return localize(self.clinic.day, wall, self.clinic.center.tz)
        except ValueError as problem:
            raise forms.ValidationError(str(problem)) from problem
