"""People at a center and what each may answer."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row, Submit
from django import forms

from clinics.models import Center, CenterContact

__all__ = ["ContactForm"]


class ContactForm(forms.ModelForm):
    class Meta:
        model = CenterContact
        fields = ["name", "email", "phone", "answers_bookings", "looks_after_agreements", "opens_door"]
        help_texts = {
            "answers_bookings": "Gets the question whether we can use the floor.",
            "looks_after_agreements": "Is reminded before an agreement or a certificate ends.",
            "opens_door": "Stands on the clinic's page with telephone.",
        }

    def __init__(self, *args: Any, center: Center, **more: Any) -> None:
        super().__init__(*args, **more)
        self.instance.center = center
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Fieldset("Who", "name", Row(Column("email"), Column("phone"))),
            Fieldset("May answer", "answers_bookings", "looks_after_agreements", "opens_door"),
            Submit("save", "Save the contact"),
        )

    def _get_validation_exclusions(self) -> set[str]:
        # The center is fixed by the page, and one contact of a kind is asked of each center.
        excluded: set[str] = super()._get_validation_exclusions()  # type: ignore[misc]
        return excluded - {"center", "active"}
