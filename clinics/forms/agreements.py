"""Adding a center's agreement or insurance certificate."""

from datetime import date
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Layout, Row, Submit
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.models import AgreementKind
from clinics.rules.papers import MOST_PAPER_BYTES, paper_name, paper_type
from clinics.services.agreements import Paper
from clinics.words.files import file_words
from core.fields import DayField
from core.rules.refused import Refused

__all__ = ["AgreementForm"]

EARLIEST, LATEST = date(1990, 1, 1), date(2099, 12, 31)


class AgreementForm(forms.Form):
    kind = forms.ChoiceField(label=_("Type of agreement"), choices=AgreementKind.choices)
    from_day = DayField(label=_("First day"))
    until_day = DayField(label=_("Last day"))
    reference = forms.CharField(
        label=_("Reference"), max_length=80, required=False, help_text=_("The number or name on the document.")
    )
    # The message for an empty file is Django's own unless we take it here.
    file = forms.FileField(
        label=_("Document"),
        required=False,
        allow_empty_file=True,
        help_text=_("A PDF, or a JPEG or PNG photo, up to 5 MB."),
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = FormHelper()
        self.helper.layout = Layout(
            "kind",
            Row(Column("from_day"), Column("until_day")),
            "reference",
            "file",
            Submit("save", gettext("Save the agreement")),
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
        except Refused as problem:
            raise forms.ValidationError(file_words(problem)) from problem
        return Paper(raw, paper_name(sent.name, content_type), content_type)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        first, last = data.get("from_day"), data.get("until_day")
        if first and last and last < first:
            self.add_error("until_day", gettext("The last day is before the first day. Check both dates."))
        return data


def _near(day: date) -> date:
    if not EARLIEST <= day <= LATEST:
        raise forms.ValidationError(
            gettext("Enter a year from %(earliest)d through %(latest)d.")
            % {"earliest": EARLIEST.year, "latest": LATEST.year}
        )
    return day
