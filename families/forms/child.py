"""Forms of a child's page."""

from datetime import date
from typing import Any, cast

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.rules.pictures import MOST_PHOTO_BYTES, make_portrait
from clinics.words.files import file_words
from core import clock
from core.fields import DayField
from core.rules.refused import Refused
from families.forms.allergies import AsksAllergies, OpenQuestion
from families.models import Child, Experience, Guardian, Language, WaiverText
from people.rules.ages import OLDEST_CHILD

__all__ = [
    "CareRecordForm",
    "ChildRecordForm",
    "GuardianForm",
    "KeepAwayForm",
    "LooksForm",
    "PaperForm",
    "PickupPersonRecordForm",
]


class ChildRecordForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=120)
    birth_date = DayField(label=_("Date of birth"))
    experience = forms.ChoiceField(label=_("Basketball experience"), choices=Experience.choices)
    school_year = forms.CharField(label=_("Grade"), max_length=20, required=False)

    def clean_birth_date(self) -> date:
        day: date = self.cleaned_data["birth_date"]
        today = clock.today()
        if day > today:
            raise forms.ValidationError(gettext("That date is in the future. Check the date of birth."))
        if today.year - day.year > OLDEST_CHILD:
            raise forms.ValidationError(
                gettext("A person born in %(year)s is an adult. Check the date of birth.") % {"year": day.year}
            )
        return day

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())


class CareRecordForm(AsksAllergies):
    """The office may not have asked yet: the answer can stay open, and then stays marked as never answered."""

    must_answer = False
    field_order = ["allergies_answer", "allergies", "care_notes"]
    allergies_answer = OpenQuestion(
        label=_("Allergies, as a guardian answered"),
        choices=[("", _("Not answered yet")), ("none", _("No known allergies")), ("some", _("Has allergies"))],
        widget=forms.RadioSelect,
        required=False,
    )
    allergies = forms.CharField(
        label=_("Which allergies"), max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    care_notes = forms.CharField(
        label=_("Care notes (anything that helps us care for them)"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class PickupPersonRecordForm(forms.Form):
    prefix = "may"
    name = forms.CharField(label=_("Name"), max_length=120)
    relation = forms.CharField(label=_("Relationship to the child"), max_length=60, required=False)
    phone = forms.CharField(label=_("Phone"), max_length=40, required=False)


class LooksFields(forms.Form):
    """What somebody looks like, for the lead at the door."""

    description = forms.CharField(
        label=_("What they look like"),
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("For example, height, hair, glasses, tattoos, and their car. The floor lead sees it."),
    )
    photo = forms.FileField(
        label=_("Photo"),
        required=False,
        allow_empty_file=True,
        help_text=_("A JPEG, PNG, or WebP, up to 10 MB. The floor lead sees it, even without a signal."),
    )

    def clean_photo(self) -> bytes | None:
        sent = self.cleaned_data["photo"]
        if sent is None:
            return None
        try:
            # One byte more than is allowed says that it is too large, whatever the browser said.
            return make_portrait(sent.read(MOST_PHOTO_BYTES + 1))
        except Refused as problem:
            raise forms.ValidationError(file_words(problem)) from problem


class LooksForm(LooksFields):
    remove_photo = forms.BooleanField(label=_("Remove the photo on file"), required=False)

    def __init__(self, *args: Any, has_photo: bool, **more: Any) -> None:
        super().__init__(*args, **more)
        if not has_photo:
            del self.fields["remove_photo"]


class KeepAwayForm(LooksFields):
    prefix = "away"
    field_order = ("name", "relation", "seen", "description", "photo")
    name = forms.CharField(label=_("Name"), max_length=120)
    relation = forms.CharField(label=_("Relationship to the child"), max_length=60, required=False)
    seen = forms.CharField(
        label=_("Reason (what you saw)"),
        max_length=200,
        required=False,
        help_text=_("For example, a court order and its date."),
    )


class GuardianForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=120)
    email = forms.EmailField(label=_("Email"), required=False)
    phone = forms.CharField(
        label=_("Phone"),
        max_length=40,
        required=False,
        help_text=_("Enter an email or a phone number. You only need one."),
    )
    language = forms.ChoiceField(label=_("Language"), choices=Language.choices)
    emergency_name = forms.CharField(label=_("Emergency contact"), max_length=120)
    emergency_phone = forms.CharField(label=_("Emergency contact’s phone number"), max_length=40)
    seen = forms.BooleanField(
        label=_("I’ve met or talked with this guardian"),
        required=False,
        help_text=_("If not, they can’t see the child’s information until they confirm their email."),
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors and not data.get("email") and not data.get("phone"):
            self.add_error("email", gettext("Enter an email or a phone number so we can reach someone."))
        return data


class PaperForm(forms.Form):
    text = forms.ModelChoiceField(label=_("Waiver version signed"), queryset=WaiverText.objects.none())
    guardian = forms.ModelChoiceField(label=_("Guardian who signed"), queryset=Guardian.objects.none())
    typed_name = forms.CharField(label=_("Name exactly as signed"), max_length=120)
    signed_on = DayField(label=_("Date signed"))
    saw = forms.BooleanField(
        label=_("I have the signed paper waiver"),
        error_messages={"required": _("Record a paper waiver only after you’ve seen it.")},
    )

    def __init__(self, *args: Any, child: Child, **more: Any) -> None:
        super().__init__(*args, **more)
        texts = cast(forms.ModelChoiceField, self.fields["text"])
        texts.queryset = WaiverText.objects.published()
        texts.empty_label = gettext("Choose the waiver version")
        guardians = cast(forms.ModelChoiceField, self.fields["guardian"])
        guardians.queryset = Guardian.objects.filter(guardianships__child=child, forgotten_at__isnull=True)
        guardians.empty_label = gettext("Choose the guardian")
