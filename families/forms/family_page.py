"""The small forms of the family's own page. Each stands alone, so that one can be sent without the others."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from core.fields import DayField
from families.forms.allergies import AsksAllergies
from families.services.households import ChildFacts, PickupPersonFacts

__all__ = [
    "AddressForm",
    "CareForm",
    "ChildForm",
    "EmergencyForm",
    "InviteForm",
    "NewChildForm",
    "PickupPersonForm",
    "SignForm",
    "WhoForm",
]

WHOLE_ADDRESS = _("Enter a full email address, such as name@example.org.")
EXPERIENCE = [("new", _("New to basketball")), ("some", _("Has played a little")), ("team", _("Plays on a team"))]


class SmallForm(forms.Form):
    """One of several forms on a page: its name keeps the ids of its fields apart, not the names that are sent."""

    kind = ""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **({"auto_id": f"{self.kind}-%s"} | more))

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        return {name: " ".join(value.split()) if self._one_line(name, value) else value for name, value in data.items()}

    def _one_line(self, name: str, value: object) -> bool:
        return isinstance(value, str) and not isinstance(self.fields[name].widget, forms.Textarea)


class WhoForm(SmallForm):
    kind = "who"
    name = forms.CharField(label=_("Name"), max_length=120)
    phone = forms.CharField(label=_("Phone"), max_length=40, required=False)


class AddressForm(SmallForm):
    kind = "address"
    email = forms.EmailField(
        label=_("Email"),
        help_text=_("We’ll email the new address to confirm it before we use it."),
        error_messages={"invalid": WHOLE_ADDRESS},
    )


class ChildForm(SmallForm):
    kind = "child"
    name = forms.CharField(label=_("Child’s name"), max_length=120)
    birth_date = DayField(
        label=_("Date of birth"),
        error_messages={"invalid": _("Enter the date as year-month-day, such as 2018-12-05.")},
    )
    experience = forms.ChoiceField(label=_("Basketball experience"), choices=EXPERIENCE)
    school_year = forms.CharField(label=_("Grade in school"), max_length=20, required=False)

    def facts(self) -> ChildFacts:
        data = self.cleaned_data
        return ChildFacts(
            name=data["name"],
            birth_date=data["birth_date"],
            experience=data["experience"],
            school_year=data["school_year"],
            allergies=data.get("allergies", ""),
            allergies_answer=data.get("allergies_answer", ""),
            care_notes=data.get("care_notes", ""),
        )


class CareForm(AsksAllergies, SmallForm):
    kind = "care"
    field_order = ["allergies_answer", "allergies", "care_notes"]
    care_notes = forms.CharField(
        label=_("What helps us care for your child"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class EmergencyForm(SmallForm):
    kind = "emergency"
    emergency_name = forms.CharField(label=_("Emergency contact’s name"), max_length=120)
    emergency_phone = forms.CharField(label=_("Emergency contact’s phone"), max_length=40)


class PickupPersonForm(SmallForm):
    kind = "pickup_person"
    name = forms.CharField(label=_("Pickup person’s name"), max_length=120)
    phone = forms.CharField(label=_("Phone"), max_length=40, required=False)
    relation = forms.CharField(label=_("Relationship to the child"), max_length=60, required=False)

    def facts(self) -> PickupPersonFacts:
        data = self.cleaned_data
        return PickupPersonFacts(name=data["name"], phone=data["phone"], relation=data["relation"])


class SignForm(SmallForm):
    kind = "sign"
    signed = forms.CharField(label=_("Type your full name to sign"), max_length=120)


class InviteForm(SmallForm):
    kind = "invite"
    name = forms.CharField(label=_("Their name"), max_length=120)
    email = forms.EmailField(label=_("Their email"), error_messages={"invalid": WHOLE_ADDRESS})


class NewChildForm(AsksAllergies, ChildForm):
    kind = "new"
    field_order = ["name", "birth_date", "experience", "school_year", "allergies_answer", "allergies"]
    care_notes = CareForm.base_fields["care_notes"]
    emergency_name = EmergencyForm.base_fields["emergency_name"]
    emergency_phone = EmergencyForm.base_fields["emergency_phone"]
    photos = forms.BooleanField(label=_("You may take and share photos of my child"), required=False)
    signed = forms.CharField(
        label=_("Type your full name to sign"),
        max_length=120,
        required=False,
        help_text=_("You can sign later, but you must sign before the first clinic."),
    )
