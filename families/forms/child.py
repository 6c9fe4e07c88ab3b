"""Forms of a child's page."""

from datetime import date
from typing import Any, cast

from django import forms

from core import clock
from core.fields import DayField
from families.models import Child, Experience, Guardian, Language, WaiverText
from people.rules.ages import OLDEST_CHILD

__all__ = ["CareRecordForm", "ChildRecordForm", "CollectorRecordForm", "GuardianForm", "KeepAwayForm", "PaperForm"]


class ChildRecordForm(forms.Form):
    name = forms.CharField(max_length=120)
    birth_date = DayField(label="Date of birth")
    experience = forms.ChoiceField(choices=Experience.choices)
    school_year = forms.CharField(max_length=20, required=False)

    def clean_birth_date(self) -> date:
        day: date = self.cleaned_data["birth_date"]
        today = clock.today()
        if day > today:
            raise forms.ValidationError("That day has not come yet. Check the date of birth.")
        if today.year - day.year > OLDEST_CHILD:
            raise forms.ValidationError(f"Somebody born in {day.year} is grown up. Check the date of birth.")
        return day

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())


class CareRecordForm(forms.Form):
    allergies = forms.CharField(max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    care_notes = forms.CharField(
        label="What we should know to look after them",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class CollectorRecordForm(forms.Form):
    prefix = "may"
    name = forms.CharField(max_length=120)
    relation = forms.CharField(label="Who they are to the child", max_length=60, required=False)
    phone = forms.CharField(label="Telephone", max_length=40, required=False)


class KeepAwayForm(forms.Form):
    prefix = "away"
    name = forms.CharField(max_length=120)
    relation = forms.CharField(label="Who they are to the child", max_length=60, required=False)
    seen = forms.CharField(
        label="What you saw", max_length=200, required=False, help_text="Such as an order of a court and its day."
    )


class GuardianForm(forms.Form):
    name = forms.CharField(max_length=120)
    email = forms.EmailField(label="E-mail", required=False)
    phone = forms.CharField(
        label="Telephone", max_length=40, required=False, help_text="A mail address or a telephone: one is enough."
    )
    language = forms.ChoiceField(choices=Language.choices)
    emergency_name = forms.CharField(label="In an emergency, call", max_length=120)
    emergency_phone = forms.CharField(label="Their telephone", max_length=40)
    seen = forms.BooleanField(
        label="I have met this guardian or spoken with them",
        required=False,
        help_text="If not, nothing of the child is shown to them before their mail address has answered.",
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors and not data.get("email") and not data.get("phone"):
            self.add_error("email", "Give a mail address or a telephone, so that somebody can be reached.")
        return data


class PaperForm(forms.Form):
    text = forms.ModelChoiceField(label="The text that was signed", queryset=WaiverText.objects.none())
    guardian = forms.ModelChoiceField(label="Who signed", queryset=Guardian.objects.none())
    typed_name = forms.CharField(label="The name as it is signed", max_length=120)
    signed_on = DayField(label="Signed on")
    saw = forms.BooleanField(
        label="I have the signed paper in my hand",
        error_messages={"required": "Record a paper only once you have seen it."},
    )

    def __init__(self, *args: Any, child: Child, **more: Any) -> None:
        super().__init__(*args, **more)
        texts = cast(forms.ModelChoiceField, self.fields["text"])
        texts.queryset = WaiverText.objects.published()
        texts.empty_label = "Choose the text"
        guardians = cast(forms.ModelChoiceField, self.fields["guardian"])
        guardians.queryset = Guardian.objects.filter(guardianships__child=child, forgotten_at__isnull=True)
        guardians.empty_label = "Choose the guardian"
