"""Clearance types, and a change of what a duty needs."""

from typing import Any

from django import forms
from django.utils.text import slugify
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

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
            raise forms.ValidationError(gettext("Enter a name that has letters in it."))
        others = ClearanceKind.objects.exclude(pk=self.instance.pk)
        if others.filter(name__iexact=name).exists() or (not self.instance.pk and others.filter(code=code).exists()):
            raise forms.ValidationError(gettext("There’s already a clearance with that name. Enter another name."))
        if not self.instance.pk:
            self.instance.code = code
        return name


class DutyForm(forms.ModelForm):
    like = forms.ChoiceField(
        label=_("Copy requirements from"),
        choices=lambda: duties().choices,
        help_text=_(
            "Starting today it will require the same clearances as this duty. You can change them later in Policy."
        ),
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
            raise forms.ValidationError(gettext("There’s already a duty with that name. Enter another name."))
        return name

    def clean_letter(self) -> str:
        letter: str = self.cleaned_data["letter"].upper()
        if not letter.isalpha():
            raise forms.ValidationError(gettext("Enter one letter."))
        return letter

    def clean_retired(self) -> bool:
        retired: bool = self.cleaned_data["retired"]
        if retired and self.instance.code in BUILT_IN:
            raise forms.ValidationError(
                gettext("The program needs this duty. You can rename it, but you can’t archive it.")
            )
        return retired

    def clean_counts(self) -> bool:
        counts: bool = self.cleaned_data["counts"]
        if counts and self.instance.code == "helper":
            raise forms.ValidationError(gettext("Helpers can be under 18, so they don’t count as adults."))
        return counts


class PolicyChangeForm(forms.Form):
    duty = forms.ChoiceField(label=_("Duty"), choices=lambda: duties().choices)
    kind = forms.ModelChoiceField(
        ClearanceKind.objects.all(), label=_("Clearance"), empty_label=_("Choose a clearance")
    )
    required = forms.BooleanField(label=_("is required from that date"), required=False, initial=True)
    from_day = DayField(label=_("From"))
    months = forms.IntegerField(
        label=_("Valid for (months)"),
        required=False,
        min_value=1,
        help_text=_("Leave empty if it doesn’t expire."),
    )
    notice_days = forms.IntegerField(label=_("Show “expires soon” this many days before"), min_value=0, initial=60)
    overlap = forms.BooleanField(
        label=_("an early renewal extends the old expiration date"),
        required=False,
        help_text=_("If not, it starts on its own issue date."),
    )
    place = forms.CharField(
        label=_("Only at"),
        max_length=60,
        required=False,
        help_text=_("Leave empty for all centers, or enter the policy name of one center or group of centers."),
    )

    def change(self) -> PolicyChange:
        return PolicyChange(**self.cleaned_data)


class NoticeScheduleForm(forms.Form):
    days = forms.CharField(
        label=_("Days before it expires"),
        max_length=100,
        help_text=_("Numbers with commas, such as 60, 30, 14, 7, 0. 0 means the last day."),
    )

    def clean_days(self) -> list[int]:
        words = [word.strip() for word in self.cleaned_data["days"].replace(";", ",").split(",") if word.strip()]
        if not words or not all(word.isascii() and word.isdigit() and len(word) < 5 for word in words):
            raise forms.ValidationError(
                gettext("Enter whole numbers of days, separated by commas, such as 60, 30, 14, 7, 0.")
            )
        return [int(word) for word in words]

    def numbers(self) -> list[int]:
        found: list[int] = self.cleaned_data["days"]
        return found


def notice_schedule_sentence(days: list[Any]) -> str:
    return ", ".join(str(one) for one in days)
