"""A volunteer's details."""

from datetime import date
from typing import Any, cast

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row, Submit
from django import forms
from django.conf import settings
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core import clock
from people.models import Volunteer, duties
from people.rules.evidence import expires_on

__all__ = ["VolunteerForm"]


class VolunteerForm(forms.ModelForm):
    duties = forms.MultipleChoiceField(
        label=_("Duties"),
        choices=lambda: duties().choices,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Choose at least one duty.")},
    )

    class Meta:
        model = Volunteer
        fields = [
            "name",
            "email",
            "phone",
            "duties",
            "adult",
            "home_area",
            "latitude",
            "longitude",
            "reminders",
            "left_on",
        ]
        widgets = {"left_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        error_messages = {"left_on": {"invalid": _("Enter the date as year-month-day, such as 2026-12-05.")}}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        offered = cast(forms.MultipleChoiceField, self.fields["duties"])
        offered.choices = duties().choices_with(self.instance.duties)
        self.helper = FormHelper()
        leaving = [Fieldset(gettext("Leaving date"), "left_on")] if self.instance.pk else []
        if not self.instance.pk:
            del self.fields["left_on"]
        self.helper.layout = Layout(
            Fieldset(gettext("Name and contact"), "name", Row(Column("email"), Column("phone")), "adult"),
            Fieldset(gettext("Duties"), "duties"),
            Fieldset(gettext("Home area"), "home_area", Row(Column("latitude"), Column("longitude"))),
            Fieldset(gettext("Email"), "reminders"),
            *leaving,
            Submit("save", gettext("Save the volunteer")),
        )

    def clean_left_on(self) -> date | None:
        day: date | None = self.cleaned_data["left_on"]
        if day is None or "left_on" not in self.changed_data:
            return day
        today = clock.today()
        if day > today:
            raise forms.ValidationError(gettext("This date is in the future. Enter it after they’ve left."))
        kept_until = expires_on(day, settings.RETENTION_MONTHS)
        if kept_until is not None and kept_until < today:
            raise forms.ValidationError(
                gettext("Someone who left that long ago would be deleted tonight. Check the year.")
            )
        return day

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if not name:
            raise forms.ValidationError(gettext("Enter the name."))
        return name
