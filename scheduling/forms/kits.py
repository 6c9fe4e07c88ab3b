"""A kit: its name, what is in it, and where it is now."""

from typing import Any

from django import forms

from clinics.models import Center
from config.fields import DayField
from scheduling.models import Kit, KitItem

__all__ = ["KitForm", "KitItems", "KitMoveForm", "KitPlanForm"]


class KitMoveForm(forms.Form):
    now_at = forms.ModelChoiceField(
        Center.objects.active(), required=False, label="It is at", empty_label="no center, but with a person"
    )
    with_whom = forms.CharField(label="Or with whom", max_length=120, required=False)


class KitForm(forms.ModelForm):
    class Meta:
        model = Kit
        fields = ["name", "contents"]
        labels = {"contents": "In a few words"}
        help_texts = {"name": "As it is written on the bag, such as Bag 4."}


class ItemForm(forms.ModelForm):
    last_day = DayField(label="Good until", required=False)

    class Meta:
        model = KitItem
        fields = ["name", "count", "last_day"]


KitItems: Any = forms.inlineformset_factory(Kit, KitItem, form=ItemForm, extra=3, can_delete=True, max_num=60)


class KitPlanForm(forms.Form):
    first_day = DayField(label="From")
    last_day = DayField(label="Through")
