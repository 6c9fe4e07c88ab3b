"""A kit: its name, what is in it, where it is now, and the code on it."""

from typing import Any

from django import forms
from django.utils.functional import lazy
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.models import Center
from core.fields import DayField
from core.rules.refused import Refused
from kits.models import Condition, Kit, KitItem
from kits.models.kit_kinds import MOST_OF_ONE_ITEM
from kits.rules.kit_codes import read_kit_code
from kits.words.kits import code_words

__all__ = ["KitCodeForm", "KitForm", "KitItems", "KitMoveForm", "KitPlanForm", "Rows", "number_field"]


def _whole_number_said(least: int, most: int) -> str:
    return gettext("Enter a whole number from %(least)d to %(most)d.") % {"least": least, "most": most}


_whole_number = lazy(_whole_number_said, str)


def number_field(least: int, most: int, **more: Any) -> forms.IntegerField:
    """A whole number whose refusal says which numbers will do."""
    sentence = _whole_number(least, most)
    return forms.IntegerField(
        min_value=least,
        max_value=most,
        error_messages={"min_value": sentence, "max_value": sentence, "invalid": sentence},
        **more,
    )


class KitMoveForm(forms.Form):
    now_at = forms.ModelChoiceField(
        Center.objects.active(), required=False, label=_("Center"), empty_label=_("no center (it’s with a person)")
    )
    with_whom = forms.CharField(label=_("Or who has it"), max_length=120, required=False)


class KitCodeForm(forms.Form):
    code = forms.CharField(
        label=_("Kit code"),
        max_length=40,
        error_messages={"required": _("Enter the code under the square on the bag, such as K7-4FN.")},
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
    )

    def clean_code(self) -> str:
        typed: str = self.cleaned_data["code"]
        try:
            self.number, self.own = read_kit_code(typed)
        except Refused as problem:
            raise forms.ValidationError(code_words(problem)) from problem
        return typed


class _WithCondition(forms.ModelForm):
    """What says nothing of its condition keeps the one it has."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["condition"].required = False

    def clean_condition(self) -> str:
        return self.cleaned_data.get("condition") or self.instance.condition or Condition.READY


class KitForm(_WithCondition):
    class Meta:
        model = Kit
        fields = ["name", "kind", "condition", "contents"]
        labels = {"contents": _("Short description"), "condition": _("Condition of the bag")}
        help_texts = {
            "name": _("The name on the bag, such as Bag 4."),
            "kind": _("Sets what goes in it and how often to check it."),
            "condition": _("If it needs repair or is missing, it can’t be used for a clinic."),
        }


class ItemForm(_WithCondition):
    count = number_field(0, MOST_OF_ONE_ITEM, label=_("Number that should be in it"), initial=1)
    last_day = DayField(label=_("Expires on"), required=False)

    class Meta:
        model = KitItem
        fields = ["name", "count", "condition", "last_day"]


class Rows(forms.BaseInlineFormSet):
    """Rows of a list, each with a box that removes it."""

    def add_fields(self, form: Any, index: int | None) -> None:
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = _("Remove this item")


class _Items(Rows):
    def clean(self) -> None:
        super().clean()
        for form in self.deleted_forms:
            if form.instance.pk and form.instance.losses.exists():
                raise forms.ValidationError(
                    gettext(
                        "%(item)s has a damage or loss history, so you can’t remove it. Set its number to 0 instead."
                    )
                    % {"item": capfirst(form.instance.name)}
                )


KitItems: Any = forms.inlineformset_factory(
    Kit, KitItem, form=ItemForm, formset=_Items, extra=3, can_delete=True, max_num=60
)


class KitPlanForm(forms.Form):
    first_day = DayField(label=_("From"))
    last_day = DayField(label=_("Through"))
