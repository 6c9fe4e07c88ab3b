"""What a run sheet is planned from, and what is different on the day."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

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
        label="Minutes to change over", min_value=0, max_value=10, initial=1, help_text="Between two whistles."
    )
    water_every = forms.IntegerField(
        label="Water at least every", min_value=10, max_value=60, initial=25, help_text="Minutes; 20 to 30 is usual."
    )
    advanced_apart = forms.BooleanField(
        label="Advanced children in groups of their own",
        required=False,
        help_text="Advanced: those who play in a team, as their guardian said.",
    )
    siblings = forms.BooleanField(label="Brothers and sisters together", required=False, initial=True)
    number = forms.IntegerField(
        label="Number of groups", required=False, min_value=1, max_value=26, help_text="Empty: as few as can be."
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
            choices = [(OUT, "leave out"), (IN, "every group once" if one.station else "yes")]
            if one.station:
                choices.append((FITS, "where a slot is left over"))
            self.fields[f"a_{one.code}"] = forms.ChoiceField(
                label=one.name, choices=choices, required=False, widget=_select()
            )
        # Two more letters than are in use: a child can be moved to a group of its own.
        values = [(data or initial).get(f"g_{child.pk}") or "" for child in children]
        used = max((LETTERS.find(code) for code in values if len(code) == 1), default=-1)
        letters = LETTERS[: min(len(children), used + 3)]
        for child in children:
            self.fields[f"g_{child.pk}"] = forms.ChoiceField(
                label=f"Group of {child.name}",
                choices=[(letter, letter) for letter in letters],
                widget=_select(),
                error_messages={
                    "required": f"Choose a group for {child.name}.",
                    "invalid_choice": f"Choose one of the groups for {child.name}.",
                },
            )
        known = [pair for pair in pairs if _pair(pair) and all(pk in names for pk in _pair(pair))]
        self.fields["pairs"] = forms.MultipleChoiceField(
            label="Kept together",
            required=False,
            choices=[(pair, " and ".join(names[pk] for pk in _pair(pair))) for pair in known],
            widget=forms.CheckboxSelectMultiple,
            error_messages={"invalid_choice": "One of those who were kept together has no place any more."},
        )
        people = [("", "choose a child"), *((str(pk), name) for pk, name in names.items())]
        for name, label in (("pair_a", "Keep"), ("pair_b", "together with")):
            self.fields[name] = forms.ChoiceField(label=label, choices=people, required=False, widget=_select())

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        one, other = data.get("pair_a"), data.get("pair_b")
        if bool(one) != bool(other) or (one and one == other):
            self.add_error("pair_b", "Choose two children to keep together, or neither.")
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

    done = forms.ChoiceField(label="Done so far")
    late = forms.IntegerField(
        label="Minutes lost after that", min_value=0, max_value=600, initial=0, help_text="Such as a late start."
    )
    hoops_out = forms.IntegerField(label="Hoops that can’t be used", min_value=0, max_value=40, initial=0)
    missing = forms.MultipleChoiceField(
        label="Not there", required=False, widget=forms.CheckboxSelectMultiple, choices=[]
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
