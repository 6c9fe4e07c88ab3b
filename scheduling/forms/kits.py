"""Where a kit is now."""

from django import forms

from clinics.models import Center

__all__ = ["KitMoveForm"]


class KitMoveForm(forms.Form):
    now_at = forms.ModelChoiceField(
        Center.objects.active(), required=False, label="It is at", empty_label="no center, but with a person"
    )
    with_whom = forms.CharField(label="Or with whom", max_length=120, required=False)
