"""The small forms of which the public form is made: the guardian, a child, somebody who may pick up; and the link."""

import re
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from families.forms.allergies import CARE_LENGTH, AsksAllergies, short

__all__ = ["FamilyLinkForm", "HouseholdForm", "RegisteringChildForm", "RegisteringPickupPersonForm"]

DIGITS = re.compile(r"[0-9+()\[\]./\- ]*(?:(?:ext\.?|x|#)[0-9 ]*)?", re.IGNORECASE)
PHONE = {"type": "tel", "inputmode": "tel"}


class Line(forms.CharField):
    """One line of text; ``missing`` is the sentence when it is empty."""

    def __init__(self, label: Any, missing: Any = "", *, length: int = 120, attrs: Any = None, **more: Any) -> None:
        more.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off", **(attrs or {})}))
        super().__init__(
            label=label,
            required=bool(missing),
            error_messages={"required": missing} if missing else None,
            validators=[short(length)],
            **more,
        )


class PhoneLine(Line):
    def __init__(self, label: Any, missing: Any = "", *, attrs: Any = None, **more: Any) -> None:
        super().__init__(label, missing, length=40, attrs=PHONE | (attrs or {}), **more)

    def clean(self, value: Any) -> str:
        text = str(super().clean(value))
        if text and (DIGITS.fullmatch(text) is None or sum(letter.isdecimal() for letter in text) < 7):
            raise forms.ValidationError(_("Enter a phone number with at least seven digits, such as 555-0100."))
        return text


class HouseholdForm(forms.Form):
    guardian_name = Line(
        gettext_lazy("Your name"),
        gettext_lazy("Enter your name."),
        attrs={"autocomplete": "name", "dir": "auto"},
    )
    email = forms.EmailField(
        label=gettext_lazy("Email"),
        required=False,
        max_length=254,
        error_messages={"invalid": gettext_lazy("Enter a full email address, such as name@example.org.")},
        widget=forms.EmailInput(attrs={"autocomplete": "email", "inputmode": "email"}),
    )
    phone = PhoneLine(gettext_lazy("Phone"), attrs={"autocomplete": "tel"})
    emergency_name = Line(
        gettext_lazy("Name"),
        gettext_lazy("Enter the name of an emergency contact."),
        attrs={"dir": "auto"},
    )
    emergency_phone = PhoneLine(gettext_lazy("Phone"), gettext_lazy("Enter a phone number for your emergency contact."))
    picks_up = forms.BooleanField(label=gettext_lazy("I will pick them up myself"), required=False)
    photos = forms.ChoiceField(
        label=gettext_lazy("May we take photos that show your children’s faces?"),
        choices=[("yes", gettext_lazy("Yes, photos are OK")), ("no", gettext_lazy("No photos, please"))],
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose yes or no for photos. Either answer is OK.")},
    )
    signed = Line(
        gettext_lazy("Type your full name to sign"),
        gettext_lazy("Type your name below the waiver to sign it."),
        attrs={"autocomplete": "name", "dir": "auto"},
    )
    # Left empty by people, filled in by programs; hidden by the stylesheet, not by its type.
    website = forms.CharField(
        label=gettext_lazy("Leave this empty"),
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "tabindex": "-1"}),
    )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if not data.get("email") and not data.get("phone") and not {"email", "phone"} & set(self.errors):
            self.add_error("email", _("Enter an email or a phone number."))
        return data


class RegisteringChildForm(AsksAllergies):
    field_order = ["name", "birth_date", "experience", "allergies_answer", "allergies", "care_notes", "school_year"]
    name = Line(gettext_lazy("Name"), gettext_lazy("Enter the child’s name."), attrs={"dir": "auto"})
    birth_date = forms.DateField(
        label=gettext_lazy("Date of birth"),
        widget=forms.DateInput(attrs={"type": "date", "autocomplete": "off"}, format="%Y-%m-%d"),
        input_formats=["%Y-%m-%d"],
        error_messages={
            "required": gettext_lazy("Enter the child’s date of birth."),
            "invalid": gettext_lazy("Enter the date of birth as year-month-day, such as 2017-05-30."),
        },
    )
    experience = forms.ChoiceField(
        label=gettext_lazy("Basketball experience"),
        error_messages={"required": gettext_lazy("Choose a level of basketball experience.")},
        initial="new",
        choices=[
            ("new", gettext_lazy("New to basketball")),
            ("some", gettext_lazy("Has played a little")),
            ("team", gettext_lazy("Plays on a team")),
        ],
    )
    school_year = Line(gettext_lazy("Grade in school"), length=20)
    care_notes = forms.CharField(
        label=gettext_lazy("What helps us care for your child"),
        help_text=gettext_lazy("Medicine, what calms or upsets them, or how they communicate."),
        required=False,
        validators=[short(CARE_LENGTH)],
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, today: date, **more: Any) -> None:
        super().__init__(*args, **more)
        self.today = today
        self.fields["birth_date"].widget.attrs["max"] = today.isoformat()
        # The soonest clinic where this child fits and has a spot, once this one does not take it.
        self.fits_at: Any = None
        self.fits_nowhere = False

    def clean_birth_date(self) -> date:
        born: date = self.cleaned_data["birth_date"]
        if born > self.today:
            raise forms.ValidationError(_("That date is in the future. Check the date of birth."))
        return born

    @property
    def unfolded(self) -> bool:
        """Whether something stands, or is wrong, under the fold."""
        names = ("care_notes", "school_year")
        return any(self[name].value() or self[name].errors for name in names)


class RegisteringPickupPersonForm(forms.Form):
    name = Line(gettext_lazy("Name"), gettext_lazy("Enter their name, or remove this person."), attrs={"dir": "auto"})
    phone = PhoneLine(gettext_lazy("Phone"))


class FamilyLinkForm(forms.Form):
    email = forms.EmailField(
        label=gettext_lazy("Your email"),
        max_length=254,
        error_messages={
            "required": gettext_lazy("Enter your email."),
            "invalid": gettext_lazy("Enter a full email address, such as name@example.org."),
        },
        widget=forms.EmailInput(attrs={"autocomplete": "email", "inputmode": "email"}),
    )
