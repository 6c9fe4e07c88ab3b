"""Kinds of clearance, and a change of what a duty needs."""

from typing import Any

from django import forms
from django.utils.text import slugify

from core.fields import DayField
from people.models import ClearanceKind, Duty, duties
from people.models.duties import BUILT_IN
from people.services.policy import PolicyChange

__all__ = ["DutyForm", "KindForm", "NoticeScheduleForm", "PolicyChangeForm"]


class KindForm(forms.ModelForm):
    class Meta:
        model = ClearanceKind
        fields = ["name", "source", "renew"]
        widgets = {"renew": forms.Textarea(attrs={"rows": 3})}

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        code = slugify(name).replace("-", "_")[:40]
        if not code:
            raise forms.ValidationError("Write a name with letters in it.")
        others = ClearanceKind.objects.exclude(pk=self.instance.pk)
        if others.filter(name__iexact=name).exists() or (not self.instance.pk and others.filter(code=code).exists()):
            raise forms.ValidationError("There is a clearance of that name already.")
        if not self.instance.pk:
            self.instance.code = code
        return name


class DutyForm(forms.ModelForm):
    like = forms.ChoiceField(
        label="Needs the same as",
        choices=lambda: duties().choices,
        help_text="From today it asks for the clearances of this duty; change that afterwards under the policy.",
    )

    class Meta:
        model = Duty
        fields = ["name", "ask", "missing", "letter", "counts", "rank", "retired"]

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        if self.instance.pk:
            del self.fields["like"]
        else:
            del self.fields["retired"]

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if Duty.objects.exclude(pk=self.instance.pk).filter(name__iexact=name).exists():
            raise forms.ValidationError("There is a duty of that name already.")
        return name

    def clean_letter(self) -> str:
        letter: str = self.cleaned_data["letter"].upper()
        if not letter.isalpha():
            raise forms.ValidationError("Give one letter.")
        return letter

    def clean_retired(self) -> bool:
        retired: bool = self.cleaned_data["retired"]
        if retired and self.instance.code in BUILT_IN:
            raise forms.ValidationError("The program asks for this duty by name: reword it, but it can't be retired.")
        return retired

    def clean_counts(self) -> bool:
        counts: bool = self.cleaned_data["counts"]
        if counts and self.instance.code == "helper":
            raise forms.ValidationError("Helpers may be under 18 and never count as an adult.")
        return counts


class PolicyChangeForm(forms.Form):
    duty = forms.ChoiceField(choices=lambda: duties().choices)
    kind = forms.ModelChoiceField(ClearanceKind.objects.all(), label="Clearance", empty_label="Choose a clearance")
    required = forms.BooleanField(label="is needed from that day", required=False, initial=True)
    from_day = DayField(label="From")
    months = forms.IntegerField(
        label="Good for, in calendar months", required=False, min_value=1, help_text="Empty for no limit."
    )
    notice_days = forms.IntegerField(label="Shows as lapsing, days before", min_value=0, initial=60)
    overlap = forms.BooleanField(
        label="a renewal before the last day counts on from that day",
        required=False,
        help_text="Otherwise it counts from its own day of issue.",
    )
    place = forms.CharField(
        label="Only at",
        max_length=60,
        required=False,
        help_text="Empty for everywhere; else the name a center asks for its own clearances as.",
    )

    def change(self) -> PolicyChange:
        return PolicyChange(**self.cleaned_data)


class NoticeScheduleForm(forms.Form):
    days = forms.CharField(
        label="Days before the last day",
        max_length=100,
        help_text="Numbers with commas, such as 60, 30, 14, 7, 0. Nought is the last day itself.",
    )

    def clean_days(self) -> list[int]:
        words = [word.strip() for word in self.cleaned_data["days"].replace(";", ",").split(",") if word.strip()]
        if not words or not all(word.isascii() and word.isdigit() and len(word) < 5 for word in words):
            raise forms.ValidationError("Write whole numbers of days with commas, such as 60, 30, 14, 7, 0.")
        return [int(word) for word in words]

    def numbers(self) -> list[int]:
        found: list[int] = self.cleaned_data["days"]
        return found


def notice_schedule_sentence(days: list[Any]) -> str:
    return ", ".join(str(one) for one in days)
