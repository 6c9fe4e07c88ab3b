"""The public form of someone who wants to volunteer, and the office's answers to it."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Submit
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from people.models import Application, duties

__all__ = ["ApplicationForm", "DecisionForm", "QuestionForm"]


class ApplicationForm(forms.ModelForm):
    duties = forms.MultipleChoiceField(
        label=_("How would you like to help?"),
        choices=lambda: duties().choices,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Choose at least one. You can change this later.")},
    )
    under_18 = forms.BooleanField(label=_("I am under 18"), required=False)
    # Left empty by people, filled in by programs; hidden by the stylesheet, not by its type.
    website = forms.CharField(label=_("Leave this empty"), required=False)

    class Meta:
        model = Application
        fields = [
            "name",
            "email",
            "phone",
            "duties",
            "languages",
            "home_area",
            "guardian_name",
            "guardian_contact",
            "first_reference",
            "second_reference",
            "words",
        ]
        labels = {
            "home_area": _("What area do you live in?"),
            "guardian_name": _("Parent or guardian"),
            "guardian_contact": _("Their phone or email"),
            "words": _("Anything else you’d like us to know"),
        }
        help_texts = {
            "home_area": _("Just a neighborhood or town, not a street address."),
            "first_reference": _("Name and phone or email. Not a family member."),
            "languages": _("Languages you can speak with children."),
        }
        widgets = {"words": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Fieldset(gettext("About you"), "name", "email", "phone", "home_area", "languages"),
            Fieldset(gettext("How you’d like to help"), "duties", "words"),
            Fieldset(gettext("Under 18"), "under_18", "guardian_name", "guardian_contact"),
            Fieldset(gettext("Two references"), "first_reference", "second_reference"),
            "website",
            Submit("save", gettext("Send application"), css_class="big"),
        )
        self.helper.attrs = {"novalidate": ""}

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        young = data.get("under_18")
        self.instance.adult = not young
        if young:
            for name in ("guardian_name", "guardian_contact"):
                if not data.get(name) and name not in self.errors:
                    self.add_error(name, gettext("If you’re under 18, add a parent or guardian we can reach."))
            if data.get("duties") and data["duties"] != ["helper"]:
                self.add_error("duties", gettext("If you’re under 18, choose helper only."))
        first, second = data.get("first_reference", ""), data.get("second_reference", "")
        if first and first.strip().lower() == second.strip().lower():
            self.add_error("second_reference", gettext("Enter two different people."))
        return data


class QuestionForm(forms.Form):
    question = forms.CharField(
        label=_("Your question"),
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("We’ll include it in the email word for word."),
    )


class DecisionForm(forms.Form):
    reason = forms.CharField(
        label=_("Your reason for declining"),
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("We’ll include it in the email word for word."),
    )
