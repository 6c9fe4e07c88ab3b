"""The public form of somebody who would like to help."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Submit
from django import forms

from people.models import Application, duties

__all__ = ["ApplicationForm", "DecisionForm"]


class ApplicationForm(forms.ModelForm):
    duties = forms.MultipleChoiceField(
        label="What would you like to do?",
        choices=lambda: duties().choices,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one; you can change it later."},
    )
    under_18 = forms.BooleanField(label="I am under 18", required=False)
    # Left empty by people, filled in by programs; hidden by the stylesheet, not by its type.
    website = forms.CharField(label="Leave this empty", required=False)

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
            "first_referee",
            "second_referee",
            "words",
        ]
        labels = {
            "home_area": "Where do you live, roughly?",
            "guardian_name": "Parent or guardian",
            "guardian_contact": "Their telephone or e-mail",
            "first_referee": "Somebody who knows you",
            "second_referee": "Somebody else who knows you",
            "words": "Anything you would like to say",
        }
        help_texts = {
            "home_area": "A neighbourhood or town, never a street address.",
            "first_referee": "Name and how to reach them; not family.",
            "languages": "Those you speak with children.",
        }
        widgets = {"words": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Fieldset("You", "name", "email", "phone", "home_area", "languages"),
            Fieldset("Helping", "duties", "words"),
            Fieldset("Under 18", "under_18", "guardian_name", "guardian_contact"),
            Fieldset("Two people we may ask about you", "first_referee", "second_referee"),
            "website",
            Submit("save", "Send", css_class="big"),
        )
        self.helper.attrs = {"novalidate": ""}

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        young = data.get("under_18")
        self.instance.adult = not young
        if young:
            for name in ("guardian_name", "guardian_contact"):
                if not data.get(name) and name not in self.errors:
                    self.add_error(name, "Somebody under 18 needs a parent or guardian whom we can reach.")
            if data.get("duties") and data["duties"] != ["helper"]:
                self.add_error("duties", "Under 18 you can help: choose helper alone.")
        first, second = data.get("first_referee", ""), data.get("second_referee", "")
        if first and first.strip().lower() == second.strip().lower():
            self.add_error("second_referee", "Name two different people.")
        return data


class DecisionForm(forms.Form):
    words = forms.CharField(
        label="In words",
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What you still need to know, or why not. It goes into the mail as it stands.",
    )
