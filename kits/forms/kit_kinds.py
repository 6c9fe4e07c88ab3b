"""A kit type and what it requires per child."""

from typing import Any

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from kits.forms.kits import Rows, number_field
from kits.models import KindLine, KitKind
from kits.models.kit_kinds import MOST_OF_ONE_ITEM, OLDEST

__all__ = ["KindLines", "KitKindForm"]


class KitKindForm(forms.ModelForm):
    children = number_field(1, 500, label=_("Number of children"), initial=20)
    youngest = number_field(0, OLDEST, label=_("From age"), initial=7)
    oldest = number_field(0, OLDEST, label=_("To age"), initial=12)
    pump_days = number_field(1, 730, label=_("Pump balls every (days)"), required=False)
    charge_days = number_field(1, 730, label=_("Charge devices every (days)"), required=False)
    count_days = number_field(1, 730, label=_("Count contents every (days)"), required=False)

    class Meta:
        model = KitKind
        fields = ["name", "words", "children", "youngest", "oldest", "pump_days", "charge_days", "count_days"]


class LineForm(forms.ModelForm):
    per_children = number_field(1, 500, label=_("Children per item"), required=False)
    number = number_field(0, MOST_OF_ONE_ITEM, label=_("Fixed number, or minimum"), required=False)
    from_age = number_field(0, OLDEST, label=_("From age"), required=False)
    to_age = number_field(0, OLDEST, label=_("To age"), required=False)
    spare_percent = number_field(0, 100, label=_("Spares (percent)"), required=False)
    spare_count = number_field(0, MOST_OF_ONE_ITEM, label=_("Spares (number)"), required=False)

    class Meta:
        model = KindLine
        fields = [
            "item", "sized", "per_children", "number", "from_age", "to_age", "spare_percent", "spare_count",
            "stem_only", "must_have", "needs_last_day",
        ]  # fmt: skip
        # Said once above the lines instead of in each.
        help_texts = {"item": "", "sized": "", "must_have": ""}

    def clean_number(self) -> int:
        return self.cleaned_data.get("number") or 0

    def clean_spare_percent(self) -> int:
        return self.cleaned_data.get("spare_percent") or 0

    def clean_spare_count(self) -> int:
        return self.cleaned_data.get("spare_count") or 0

    def clean_item(self) -> str:
        return str(self.cleaned_data["item"]).strip()


class _Lines(Rows):
    def clean(self) -> None:
        """Two new lines of one item and no ages: the formset's own look passes over what is empty."""
        super().clean()
        seen = set()
        for form in self.forms:
            data = getattr(form, "cleaned_data", None)
            if not data or not data.get("item") or form in self.deleted_forms:
                continue
            own = (data["item"].casefold(), data.get("from_age"), data.get("to_age"))
            if own in seen:
                raise forms.ValidationError(
                    gettext("%(item)s is listed twice for the same ages. Remove one, or change the ages.")
                    % {"item": capfirst(data["item"])}
                )
            seen.add(own)


KindLines: Any = forms.inlineformset_factory(
    KitKind, KindLine, form=LineForm, formset=_Lines, extra=2, can_delete=True, max_num=60
)
