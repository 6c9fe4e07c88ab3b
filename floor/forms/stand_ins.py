"""Naming a stand-in for a clinic's lead."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from people.models import Volunteer
from shifts.queries.link_pages import LEAD

__all__ = ["StandInForm"]


class StandInForm(forms.Form):
    volunteer = forms.ModelChoiceField(
        label=gettext_lazy("Stand-in"),
        queryset=Volunteer.objects.none(),
        empty_label=gettext_lazy("Choose a volunteer"),
        help_text=gettext_lazy("Volunteers with the lead duty. They must be cleared on the day of the clinic."),
        error_messages={"required": gettext_lazy("Choose a volunteer.")},
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["volunteer"].queryset = Volunteer.objects.active().holding(LEAD)  # type: ignore[attr-defined]
