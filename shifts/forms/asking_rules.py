"""The rules for asking volunteers, and who is kept apart."""

from typing import Any

from django import forms
from django.utils.translation import gettext, gettext_lazy

from people.models import Volunteer
from shifts.models import AskingRules

__all__ = ["ApartForm", "AskingRulesForm"]


class AskingRulesForm(forms.ModelForm):
    class Meta:
        model = AskingRules
        fields = ["most_open", "silence_hours", "late_hours", "swaps_by_themselves"]

    def clean_most_open(self) -> int:
        most: int = self.cleaned_data["most_open"]
        if not 1 <= most <= 50:
            raise forms.ValidationError(gettext("Enter 1 to 50 unanswered requests."))
        return most

    def clean_silence_hours(self) -> int:
        hours: int = self.cleaned_data["silence_hours"]
        if not 1 <= hours <= 24 * 60:
            raise forms.ValidationError(gettext("Enter 1 to 1,440 hours."))
        return hours

    def clean_late_hours(self) -> int:
        hours: int = self.cleaned_data["late_hours"]
        if not 1 <= hours <= 24 * 14:
            raise forms.ValidationError(gettext("Enter 1 to 336 hours."))
        return hours


class ApartForm(forms.Form):
    one = forms.ModelChoiceField(
        Volunteer.objects.none(), label=gettext_lazy("Volunteer"), empty_label=gettext_lazy("Choose a volunteer")
    )
    other = forms.ModelChoiceField(
        Volunteer.objects.none(), label=gettext_lazy("Other volunteer"), empty_label=gettext_lazy("Choose a volunteer")
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for name in ("one", "other"):
            self.fields[name].queryset = Volunteer.objects.active()  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("one") and data.get("one") == data.get("other"):
            self.add_error("other", gettext("Choose two different people."))
        return data
