"""What a run sheet is planned from, and what is different on the day."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.formats import listed
from runsheets.models import Activity
from runsheets.queries.run_sheet_facts import SheetChild
from runsheets.rules.sheet_groups import LETTERS

__all__ = ["FITS", "IN", "OUT", "RestForm", "SheetForm"]

OUT, IN, FITS = "", "in", "fits"


def _select() -> forms.Select:
    return forms.Select(attrs={"class": "form-select"})


class SheetForm(forms.Form):
    """Activities, what groups are made by, and each child's group. Every part may be sent again and again."""

    changeover = forms.IntegerField(
        label=_("Minutes to switch stations"),
        min_value=0,
        max_value=10,
        initial=1,
        help_text=_("Time to move between stations."),
    )
    water_every = forms.IntegerField(
        label=_("Water break at least every (minutes)"),
        min_value=10,
        max_value=60,
        initial=25,
        help_text=_("20 to 30 is typical."),
    )
    advanced_apart = forms.BooleanField(
        label=_("Put advanced players in their own groups"),
        required=False,
        help_text=_("Advanced means their guardian said they play on a team."),
    )
    siblings = forms.BooleanField(label=_("Keep siblings together"), required=False, initial=True)
    number = forms.IntegerField(
        label=_("Number of groups"),
        required=False,
        min_value=1,
        max_value=26,
        help_text=_("Leave empty for as few groups as possible."),
    )

    def __init__(
        self,
        data: Mapping[str, Any] | None,
        *,
        activities: Sequence[Activity],
        children: Sequence[SheetChild],
        initial: Mapping[str, Any],
    ) -> None:
        pairs = [str(pair) for pair in initial.get("pairs", [])]
        if data is not None:
            pairs += [pair for pair in data.getlist("pairs") if pair not in pairs]  # type: ignore[attr-defined]
        super().__init__(data, initial=dict(initial))
        self.activities, self.children = activities, children
        names = {child.pk: child.name for child in children}
        for one in activities:
            choices = [
                (OUT, gettext("don’t use")),
                (IN, gettext("every group does it once") if one.station else gettext("yes")),
            ]
            if one.station:
                choices.append((FITS, gettext("only if there’s time left")))
            self.fields[f"a_{one.code}"] = forms.ChoiceField(
                label=one.name, choices=choices, required=False, widget=_select()
            )
        # Two more letters than are in use: a child can be moved to a group of its own.
        values = [(data or initial).get(f"g_{child.pk}") or "" for child in children]
        used = max((LETTERS.find(code) for code in values if len(code) == 1), default=-1)
        letters = LETTERS[: min(len(children), used + 3)]
        for child in children:
            self.fields[f"g_{child.pk}"] = forms.ChoiceField(
                label=gettext("Group for %(name)s") % {"name": child.name},
                choices=[(letter, letter) for letter in letters],
                widget=_select(),
                error_messages={
                    "required": gettext("Choose a group for %(name)s.") % {"name": child.name},
                    "invalid_choice": gettext("Choose one of the groups for %(name)s.") % {"name": child.name},
                },
            )
        known = [pair for pair in pairs if _pair(pair) and all(pk in names for pk in _pair(pair))]
        self.fields["pairs"] = forms.MultipleChoiceField(
            label=gettext("Kept together"),
            required=False,
            choices=[(pair, listed(names[pk] for pk in _pair(pair))) for pair in known],
            widget=forms.CheckboxSelectMultiple,
            error_messages={"invalid_choice": gettext("One of the children you kept together no longer has a spot.")},
        )
        people = [("", gettext("Choose a child")), *((str(pk), name) for pk, name in names.items())]
        for name, label in (("pair_a", gettext("Keep")), ("pair_b", gettext("together with"))):
            self.fields[name] = forms.ChoiceField(label=label, choices=people, required=False, widget=_select())

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        one, other = data.get("pair_a"), data.get("pair_b")
        if bool(one) != bool(other) or (one and one == other):
            self.add_error("pair_b", gettext("Choose two children to keep together, or leave both empty."))
        return data

    @property
    def chosen(self) -> list[str]:
        """Codes of the activities of the sheet, in their order."""
        return [one.code for one in self.activities if self.cleaned_data.get(f"a_{one.code}")]

    @property
    def optional(self) -> list[str]:
        return [one.code for one in self.activities if self.cleaned_data.get(f"a_{one.code}") == FITS]

    @property
    def together(self) -> list[tuple[int, int]]:
        data = self.cleaned_data
        pairs = [_pair(pair) for pair in data.get("pairs", [])]
        if data.get("pair_a") and data.get("pair_b"):
            pairs.append((int(data["pair_a"]), int(data["pair_b"])))
        return [(min(pair), max(pair)) for pair in dict.fromkeys(pairs) if pair]

    @property
    def by_hand(self) -> dict[int, str]:
        return {child.pk: self.cleaned_data[f"g_{child.pk}"] for child in self.children}

    def activity_fields(self) -> list[tuple[Activity, forms.BoundField]]:
        return [(one, self[f"a_{one.code}"]) for one in self.activities]


def _pair(text: str) -> tuple[int, ...]:
    one, _, other = text.partition("-")
    numbers = [part for part in (one, other) if part.isascii() and part.isdigit() and len(part) < 12]
    return (int(numbers[0]), int(numbers[1])) if len(numbers) == 2 else ()


class RestForm(forms.Form):
    """What is different on the day."""

    done = forms.ChoiceField(label=_("Finished so far"))
    late = forms.IntegerField(
        label=_("Minutes lost"), min_value=0, max_value=600, initial=0, help_text=_("Such as a late start.")
    )
    hoops_out = forms.IntegerField(label=_("Hoops out of use"), min_value=0, max_value=40, initial=0)
    missing = forms.MultipleChoiceField(
        label=_("Adults who are missing"), required=False, widget=forms.CheckboxSelectMultiple, choices=[]
    )

    def __init__(
        self,
        data: Mapping[str, Any] | None,
        *,
        slots: Sequence[tuple[int, str]],
        adults: Sequence[tuple[int, str]],
        initial: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(data, initial=dict(initial or {}))
        self.fields["done"].choices = slots  # type: ignore[attr-defined]
        self.fields["missing"].choices = adults  # type: ignore[attr-defined]
