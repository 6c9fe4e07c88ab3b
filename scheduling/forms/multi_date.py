"""Several dates for one space in one form."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from crispy_forms.layout import Column, Fieldset, Row, Submit
from django.utils.translation import gettext

from core.fields import DayField, TimeField
from scheduling.forms.bookings import ClinicForm
from scheduling.services.clinic_facts import ClinicFacts

__all__ = ["ROWS", "MultiDateForm"]

ROWS = 8


class MultiDateForm(ClinicForm):
    """The booking form with further dates; a date without hours has those of the first."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for name in ("day", "starts", "ends"):
            del self.fields[name]
        for number in range(1, ROWS + 1):
            first = number == 1
            self.fields[f"day_{number}"] = DayField(label=gettext("Day"), required=first)
            self.fields[f"starts_{number}"] = TimeField(label=gettext("Starts"), required=first)
            self.fields[f"ends_{number}"] = TimeField(label=gettext("Ends"), required=first)
        rows = [
            Row(Column(f"day_{n}"), Column(f"starts_{n}"), Column(f"ends_{n}"), css_class="date-row")
            for n in range(1, ROWS + 1)
        ]
        self.helper.layout = self.laid_out(
            Fieldset(gettext("Dates"), *rows), Submit("look", gettext("Check these dates"))
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        for number in range(2, ROWS + 1):
            hours = [data.get(f"{part}_{number}") for part in ("starts", "ends")]
            if any(hours) and not data.get(f"day_{number}") and f"day_{number}" not in self.errors:
                self.add_error(f"day_{number}", gettext("Enter a day for these times, or leave all three empty."))
        return data

    def dates(self) -> list[tuple[int, ClinicFacts]]:
        """Number of the row and its clinic; needs a valid form."""
        data = self.cleaned_data
        names = ("center", "space", "theme", "ratio_table", "funder_table", "offer_next", "kit", "bands")
        first = ClinicFacts(
            day=data["day_1"],
            starts=data["starts_1"],
            ends=data["ends_1"],
            **{name: data[name] for name in names},
        )
        out = [(1, first)]
        for number in range(2, ROWS + 1):
            day = data.get(f"day_{number}")
            if day:
                starts, ends = data.get(f"starts_{number}") or first.starts, data.get(f"ends_{number}") or first.ends
                out.append((number, replace(first, day=day, starts=starts, ends=ends)))
        return out
