"""What the office writes of a floor's day after the clinic."""

from datetime import datetime, time
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from clinics.models import Clinic
from core.rules.local_time import TimeDoesNotExist, localize
from core.words import skipped_time

__all__ = ["CameForm", "SignOutForm"]


def _time(label: Any) -> forms.TimeField:
    return forms.TimeField(
        label=label,
        input_formats=["%H:%M"],
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={
            "required": gettext_lazy("Enter the time."),
            "invalid": gettext_lazy("Enter a time such as 11:40."),
        },
    )


class OnTheDay(forms.Form):
    """A form beside others of its kind on one page, with a time on the clinic's day. ``row`` keeps their ids apart."""

    prefix_of_ids = "row"
    at = _time(gettext_lazy("Time"))

    def __init__(self, *args: Any, clinic: Clinic, row: object, **more: Any) -> None:
        super().__init__(*args, **(more | {"auto_id": f"{self.prefix_of_ids}-{row}-%s"}))
        self.clinic = clinic
        for field in self.visible_fields():
            field.field.widget.attrs |= {"class": "form-control", "autocomplete": "off"}
            if field.name in (self.errors if self.is_bound else {}):
                field.field.widget.attrs["class"] += " is-invalid"

    def clean_at(self) -> datetime:
        """The moment on the clinic's day at its center."""
        wall: time = self.cleaned_data["at"]
        try:
            return localize(self.clinic.day, wall, self.clinic.center.tz)
        except TimeDoesNotExist as problem:
            raise forms.ValidationError(skipped_time(problem)) from problem


class SignOutForm(OnTheDay):
    """Who took a child home."""

    prefix_of_ids = "out"
    field_order = ["sign_in", "pickup", "at"]
    sign_in = forms.IntegerField(widget=forms.HiddenInput)
    pickup = forms.CharField(
        label=gettext_lazy("Picked up by"),
        max_length=120,
        error_messages={"required": gettext_lazy("Enter who picked up the child.")},
    )


class CameForm(OnTheDay):
    """When somebody came in who was only signed out."""

    prefix_of_ids = "came"
    at = _time(gettext_lazy("Sign-in time"))
