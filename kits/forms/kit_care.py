"""What was damaged or lost, and what is there when a kit is counted."""

from typing import Any

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.formatting import clinic_words
from clinics.models import Clinic, Status
from core.fields import DayField
from kits.forms.kits import number_field
from kits.models import Kit, KitBooking, KitItem, KitLoss
from kits.models.kit_kinds import MOST_OF_ONE_ITEM
from kits.rules.kit_state import GONE
from kits.words.items import amount_words

__all__ = ["CountForm", "LossForm"]

RECENT = 12


class _ClinicChoice(forms.ModelChoiceField):
    def label_from_instance(self, obj: Any) -> str:
        return clinic_words(obj)


class _ItemChoice(forms.ModelChoiceField):
    def label_from_instance(self, obj: Any) -> str:
        return amount_words(obj.count, obj.name)


class LossForm(forms.Form):
    item = _ItemChoice(KitItem.objects.none(), label=_("Item"), empty_label=_("Choose an item"))
    count = number_field(1, MOST_OF_ONE_ITEM, label=_("How many"), initial=1)
    how = forms.ChoiceField(label=_("Damaged or lost"), choices=KitLoss.How.choices, widget=forms.RadioSelect)
    happened_on = DayField(label=_("When"))
    clinic = _ClinicChoice(
        Clinic.objects.none(),
        required=False,
        label=_("Clinic where it happened"),
        empty_label=_("not at a clinic, or not known"),
    )
    words = forms.CharField(label=_("What happened"), max_length=300, required=False)

    def __init__(self, *args: Any, kit: Kit, **more: Any) -> None:
        super().__init__(*args, **more)
        item, clinic = self.fields["item"], self.fields["clinic"]
        assert isinstance(item, forms.ModelChoiceField) and isinstance(clinic, forms.ModelChoiceField)
        item.queryset = KitItem.objects.filter(kit=kit).exclude(condition__in=GONE)
        was_at = KitBooking.objects.exclude(status=Status.CANCELLED).filter(kit=kit).values("clinic")
        recent = Clinic.objects.filter(pk__in=was_at).order_by("-starts_at").values_list("pk", flat=True)[:RECENT]
        clinic.queryset = Clinic.objects.filter(pk__in=list(recent)).select_related("center").order_by("-starts_at")


class CountForm(forms.Form):
    """A number for each item; what is left empty is taken to be whole."""

    def __init__(self, *args: Any, kit: Kit, **more: Any) -> None:
        super().__init__(*args, **more)
        self.items = [item for item in kit.items.prefetch_related("losses") if item.condition not in GONE]
        for item in self.items:
            self.fields[f"item_{item.pk}"] = number_field(
                0, MOST_OF_ONE_ITEM, required=False, label=capfirst(item.name),
                help_text=gettext("Expected: %(n)d usable.") % {"n": max(0, item.count - item.away)},
            )  # fmt: skip

    def counted(self) -> dict[int, int]:
        """Item to the number typed for it."""
        typed = ((item.pk, self.cleaned_data.get(f"item_{item.pk}")) for item in self.items)
        return {pk: count for pk, count in typed if count is not None}
