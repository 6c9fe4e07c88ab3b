"""Recording a center's paper."""

from datetime import date
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Layout, Row, Submit
from django import forms

from clinics.models import AgreementKind
from clinics.rules.papers import MOST_PAPER_BYTES, paper_name, paper_type
from clinics.services.agreements import Paper
from core.fields import DayField

__all__ = ["AgreementForm"]

EARLIEST, LATEST = date(1990, 1, 1), date(2099, 12, 31)


class AgreementForm(forms.Form):
    kind = forms.ChoiceField(label="Which", choices=AgreementKind.choices)
    from_day = DayField(label="Holds from")
    until_day = DayField(label="through")
    reference = forms.CharField(
        label="Reference", max_length=80, required=False, help_text="The number or name that is written on it."
    )
    # The message for an empty file is Django's own unless we take it here.
    file = forms.FileField(
        label="The paper",
        required=False,
        allow_empty_file=True,
        help_text="A PDF, or a photo of it as JPEG or PNG, of at most 5 MB.",
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = FormHelper()
        self.helper.layout = Layout(
            "kind", Row(Column("from_day"), Column("until_day")), "reference", "file", Submit("save", "Record it")
        )

    def clean_from_day(self) -> date:
        return _near(self.cleaned_data["from_day"])

    def clean_until_day(self) -> date:
        return _near(self.cleaned_data["until_day"])

    def clean_file(self) -> Paper | None:
        sent = self.cleaned_data["file"]
        if sent is None:
            return None
        # One byte more than is allowed says that it is too large, whatever the browser said.
        raw = sent.read(MOST_PAPER_BYTES + 1)
        try:
            content_type = paper_type(raw, sent.name)
        except ValueError as problem:
            raise forms.ValidationError(str(problem)) from problem
        return Paper(raw, paper_name(sent.name, content_type), content_type)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        first, last = data.get("from_day"), data.get("until_day")
        if first and last and last < first:
            self.add_error("until_day", "Its last day is before its first. Check both days.")
        return data


def _near(day: date) -> date:
    if not EARLIEST <= day <= LATEST:
        raise forms.ValidationError(f"Write a year from {EARLIEST.year} through {LATEST.year}.")
    return day
