"""People at a center and what each handles."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row, Submit
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.models import Center, CenterContact

__all__ = ["ContactForm"]


class ContactForm(forms.ModelForm):
    class Meta:
        model = CenterContact
        fields = ["name", "email", "phone", "answers_bookings", "looks_after_agreements", "opens_door"]
        help_texts = {
            "answers_bookings": _("Gets our requests to use the space."),
            "looks_after_agreements": _("Gets reminders before an agreement or certificate of insurance expires."),
            "opens_door": _("Shown on the clinic’s page with a phone number."),
        }

    def __init__(self, *args: Any, center: Center, **more: Any) -> None:
        super().__init__(*args, **more)
        self.instance.center = center
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Fieldset(gettext("Name and contact"), "name", Row(Column("email"), Column("phone"))),
            Fieldset(gettext("Handles"), "answers_bookings", "looks_after_agreements", "opens_door"),
            Submit("save", gettext("Save the contact")),
        )

    def _get_validation_exclusions(self) -> set[str]:
        # The center is fixed by the page, and one contact of a kind is asked of each center.
        excluded: set[str] = super()._get_validation_exclusions()  # type: ignore[misc]
        return excluded - {"center", "active"}
