"""The open question about allergies: none known, or which. Leaving it out is an error: silence never reads as none."""

from typing import Any

from django import forms
from django.core.validators import MaxLengthValidator
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from families.rules.allergies import NONE_KNOWN, SOME

__all__ = ["CARE_LENGTH", "AsksAllergies", "OpenQuestion", "short"]

CARE_LENGTH = 2000


def short(length: int) -> MaxLengthValidator:
    """A sentence rather than the browser's silent cut: what is cut off an allergy is not missed until it matters."""
    return MaxLengthValidator(
        length,
        ngettext_lazy(
            "Use %(limit_value)d character at most. You’ve used %(show_value)d.",
            "Use %(limit_value)d characters or fewer. You’ve used %(show_value)d.",
            "limit_value",
        ),
    )


class OpenQuestion(forms.ChoiceField):
    """Shown as one that must be answered; the form says what is missing, since words beside it answer it too."""

    def clean(self, value: Any) -> str:
        return str(super().clean(value)) if value else ""


class AsksAllergies(forms.Form):
    """Two fields of a form. Words alone answer the question too: nothing that was typed is lost."""

    allergies_answer = OpenQuestion(
        label=gettext_lazy("Does your child have allergies?"),
        choices=[(NONE_KNOWN, gettext_lazy("No known allergies")), (SOME, gettext_lazy("Yes"))],
        widget=forms.RadioSelect,
    )
    allergies = forms.CharField(
        label=gettext_lazy("If yes, which ones, and what to do if there’s a reaction"),
        required=False,
        validators=[short(CARE_LENGTH)],
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    # The office may not know yet; a guardian who is asked does.
    must_answer = True

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if {"allergies", "allergies_answer"} & set(self.errors):
            return data
        answer, words = data.get("allergies_answer", ""), data.get("allergies", "").strip()
        if words and answer == NONE_KNOWN:
            self.add_error(
                "allergies_answer",
                _("You chose “No known allergies” and described some below. Choose “Yes”, or clear the box."),
            )
        elif answer == SOME and not words:
            self.add_error("allergies", _("Tell us which allergies."))
        elif not answer and not words and self.must_answer:
            self.add_error("allergies_answer", _("Choose “No known allergies”, or choose “Yes” and tell us which."))
        elif words:
            data["allergies_answer"] = SOME
        return data
