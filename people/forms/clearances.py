"""Recording a clearance."""

from django import forms
from django.utils.translation import gettext_lazy as _

from people.models import Clearance
from people.services.clearances import ClearanceFacts

__all__ = ["ClearanceForm"]

BAD_DAY = _("Enter the date as year-month-day, such as 2026-12-05.")


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class ClearanceForm(forms.ModelForm):
    class Meta:
        model = Clearance
        fields = ["kind", "state", "issued_on", "expires_on", "reference", "issuer"]
        labels = {"kind": _("Clearance type"), "state": _("Result"), "issued_on": _("Date issued")}
        widgets = {"issued_on": day_input(), "expires_on": day_input()}
        error_messages = {"issued_on": {"invalid": BAD_DAY}, "expires_on": {"invalid": BAD_DAY}}

    def _post_clean(self) -> None:
        """The service checks and answers in sentences of its own, and the constraints stand behind it."""

    def facts(self) -> ClearanceFacts:
        return ClearanceFacts(**self.cleaned_data)
