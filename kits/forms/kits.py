"""A kit: its name, what is in it, where it is now, and the code on it."""

from typing import Any

from django import forms

from clinics.models import Center
from core.fields import DayField
from kits.models import Condition, Kit, KitItem
from kits.models.kit_kinds import MOST_OF_ONE_ITEM
from kits.rules.kit_codes import read_kit_code

__all__ = ["KitCodeForm", "KitForm", "KitItems", "KitMoveForm", "KitPlanForm", "Rows", "number_field"]


def number_field(least: int, most: int, **more: Any) -> forms.IntegerField:
    """A whole number whose refusal says which numbers will do."""
    sentence = f"Give a whole number from {least} to {most}."
    return forms.IntegerField(
        min_value=least,
        max_value=most,
        error_messages={"min_value": sentence, "max_value": sentence, "invalid": sentence},
        **more,
    )


class KitMoveForm(forms.Form):
    now_at = forms.ModelChoiceField(
        Center.objects.active(), required=False, label="To a center", empty_label="no center, but to a person"
    )
    with_whom = forms.CharField(label="Or to whom", max_length=120, required=False)


class KitCodeForm(forms.Form):
    code = forms.CharField(
        label="Type the code of the bag",
        max_length=40,
        error_messages={"required": "Type the code that stands under the picture on the bag, such as K7-4FN."},
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
    )

    def clean_code(self) -> str:
        typed: str = self.cleaned_data["code"]
        try:
            self.number, self.own = read_kit_code(typed)
        except ValueError as problem:
            raise forms.ValidationError(str(problem)) from problem
        return typed


class _WithCondition(forms.ModelForm):
    """What says nothing of its condition keeps the one it has."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["condition"].required = False

    def clean_condition(self) -> str:
        return self.cleaned_data.get("condition") or self.instance.condition or Condition.GOOD


class KitForm(_WithCondition):
    class Meta:
        model = Kit
        fields = ["name", "kind", "condition", "contents"]
        labels = {"contents": "In a few words", "condition": "Condition of the bag itself"}
        help_texts = {
            "name": "As it is written on the bag, such as Bag 4.",
            "kind": "Says what belongs in it for so many children, and how often it is looked after.",
            "condition": "Broken or lost, it is not packed for any clinic.",
        }


class ItemForm(_WithCondition):
    count = number_field(0, MOST_OF_ONE_ITEM, label="How many belong in it", initial=1)
    last_day = DayField(label="Good until", required=False)

    class Meta:
        model = KitItem
        fields = ["name", "count", "condition", "last_day"]


class Rows(forms.BaseInlineFormSet):
    """Rows of a list, where taking one out is called that."""

    def add_fields(self, form: Any, index: int | None) -> None:
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "Take it out of the list"


class _Items(Rows):
    def clean(self) -> None:
        super().clean()
        for form in self.deleted_forms:
            if form.instance.pk and form.instance.losses.exists():
                raise forms.ValidationError(
                    f"{form.instance.name[:1].upper()}{form.instance.name[1:]} has a history of damage or loss, "
                    "which stays. Set its number to 0 instead of taking it out."
                )


KitItems: Any = forms.inlineformset_factory(
    Kit, KitItem, form=ItemForm, formset=_Items, extra=3, can_delete=True, max_num=60
)


class KitPlanForm(forms.Form):
    first_day = DayField(label="From")
    last_day = DayField(label="Through")
