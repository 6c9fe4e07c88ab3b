"""The booking form, and the center's answer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import fields
from datetime import date
from typing import Any, cast

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row, Submit
from django import forms
from django.db.models import Q

from clinics.models import Center, Clinic, Space
from clinics.rules.supervision import RATIO_TABLES
from core.fields import DayField, TimeField
from kits.models import Kit, KitBooking
from people.models import duties
from scheduling.models import Answer, Booking
from scheduling.rules.series import MOST_DAYS, PATTERNS, series_days
from scheduling.services.bookings import ClinicFacts

__all__ = ["BookingAnswerForm", "CancelForm", "ClinicForm", "NeedsForm", "RepeatForm"]

BANDS = 3
TABLE_CHOICES = [(code, table.name) for code, table in RATIO_TABLES.items()]


def spaces_by_center(spaces: Iterable[Space]) -> list[tuple[str, list[tuple[int, str]]]]:
    """Spaces under the name of their center, so that the list itself says what belongs together."""
    grouped: dict[str, list[tuple[int, str]]] = {}
    for space in spaces:
        label = f"{space.name} ({space.hoops} hoops, holds {space.capacity})"
        grouped.setdefault(space.center.name, []).append((space.pk, label))
    return list(grouped.items())


class ClinicForm(forms.Form):
    center = forms.ModelChoiceField(Center.objects.none(), empty_label="Choose a center")
    space = forms.ModelChoiceField(Space.objects.none())
    day = DayField()
    starts = TimeField(label="Starts")
    ends = TimeField(label="Ends")
    theme = forms.CharField(
        label="STEM part",
        max_length=120,
        required=False,
        help_text="What the hands make, such as paper bridges. Leave empty when there is none.",
    )
    ratio_table = forms.ChoiceField(
        label="Supervision table",
        choices=TABLE_CHOICES,
        help_text="How many adults are asked for. Your local law or the center may want more.",
    )
    funder_table = forms.ChoiceField(
        label="A funder asks for the adults of",
        required=False,
        choices=[("", "No funder's table"), *TABLE_CHOICES],
        help_text="Holds beside the table above, as a center's own does: the stricter one counts.",
    )
    offer_next = forms.BooleanField(
        label="Ask the next best by itself",
        required=False,
        help_text="When somebody declines, stays silent too long, or is taken off because a clearance fell.",
    )
    kit = forms.ModelChoiceField(Kit.objects.none(), required=False, empty_label="None yet")

    def __init__(self, *args: Any, clinic: Clinic | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        lent, used = Q(active=True, center__active=True), Q(active=True)
        if clinic is not None:
            # Who comes and what with is changed without moving a clinic off a floor that is no longer lent.
            lent |= Q(pk__in=Booking.objects.live().filter(clinic=clinic).values("space"))
            used |= Q(pk=clinic.center_id)
        spaces = Space.objects.filter(lent).select_related("center")
        self._choices("center").queryset = Center.objects.filter(used)
        self._choices("kit").queryset = Kit.objects.all()
        field = self._choices("space")
        field.queryset = spaces
        field.choices = [("", "Choose a space"), *spaces_by_center(spaces)]
        self.has_space = bool(spaces)
        if clinic is not None and clinic.series is not None:
            self.fields["rest"] = forms.BooleanField(
                label="Move the later ones of this row by the same difference",
                required=False,
                help_text="They take the difference of hours, and the floor where it is a new one; ages, theme and kit "
                "stay their own.",
            )
        for number in range(1, BANDS + 1):
            first = number == 1
            for part, label in (
                ("youngest", "From age"),
                ("oldest", "To age"),
                ("children", "Children expected"),
            ):
                self.fields[f"{part}_{number}"] = forms.IntegerField(
                    label=label,
                    required=first,
                    min_value=1 if part == "children" else 0,
                    max_value=500 if part == "children" else 18,
                )
        self.helper = FormHelper()
        self.helper.form_id = "clinic-form"
        self.helper.layout = self.laid_out(
            Fieldset("When", Row(Column("day"), Column("starts"), Column("ends"))),
            Submit("again", "See what this does") if clinic else Submit("save", "Book and ask the center"),
        )

    def laid_out(self, when: Fieldset, press: Submit) -> Layout:
        bands = [
            Row(Column(f"youngest_{n}"), Column(f"oldest_{n}"), Column(f"children_{n}")) for n in range(1, BANDS + 1)
        ]
        return Layout(
            Fieldset("Where", Row(Column("center"), Column("space"))),
            when,
            Fieldset("Who for", *bands, "ratio_table", "funder_table"),
            Fieldset("What with", Row(Column("theme"), Column("kit"))),
            Fieldset("If somebody falls out", "offer_next"),
            *([Fieldset("The row", "rest")] if "rest" in self.fields else []),
            press,
        )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        data["bands"] = []
        for number in range(1, BANDS + 1):
            names = [f"{part}_{number}" for part in ("youngest", "oldest", "children")]
            if any(name in self.errors for name in names):
                continue
            youngest, oldest, children = (data.get(name) for name in names)
            if youngest is None and oldest is None and children is None:
                continue
            if youngest is None or oldest is None or children is None:
                self.add_error(names[0], "Fill in all three of this row, or none: from age, to age and children.")
            elif oldest < youngest:
                self.add_error(names[1], f"{oldest} is below {youngest}. Give the older age here.")
            else:
                data["bands"].append((youngest, oldest, children))
        return data

    def _choices(self, name: str) -> forms.ModelChoiceField[Any]:
        return cast("forms.ModelChoiceField[Any]", self.fields[name])

    def facts(self) -> ClinicFacts:
        return ClinicFacts(**{field.name: self.cleaned_data[field.name] for field in fields(ClinicFacts)})


def clinic_initial(clinic: Clinic) -> dict[str, Any]:
    """What the booking form shows for a clinic that exists."""
    booking = Booking.objects.filter(clinic=clinic).order_by("-pk").first()
    kit = KitBooking.objects.exclude(status="cancelled").filter(clinic=clinic).first()
    facts: dict[str, Any] = {
        "center": clinic.center_id,
        "space": booking.space_id if booking else None,
        "day": clinic.day,
        "starts": clinic.local_start.time(),
        "ends": clinic.local_end.time(),
        "theme": clinic.theme,
        "offer_next": clinic.offer_next,
        "ratio_table": clinic.ratio_table,
        "funder_table": clinic.funder_table,
        "kit": kit.kit_id if kit else None,
    }
    for number, band in enumerate(clinic.bands.all()[:BANDS], start=1):
        facts |= {
            f"youngest_{number}": band.youngest,
            f"oldest_{number}": band.oldest,
            f"children_{number}": band.children,
        }
    return facts


class NeedsForm(forms.Form):
    """A number of people for each duty."""

    def __init__(self, *args: Any, least: Counter[str], now_asked: Counter[str], **more: Any) -> None:
        super().__init__(*args, **more)
        for code, name in duties().choices:
            self.fields[code] = forms.IntegerField(
                label=name.capitalize(),
                initial=now_asked[code],
                min_value=0,
                help_text=f"The table asks for {least[code]}." if least[code] else "Not asked for by the table.",
            )

    def people(self) -> dict[str, int]:
        return {code: self.cleaned_data[code] for code in self.fields}


class RepeatForm(forms.Form):
    """How often a clinic is repeated, until when, and which days are left out."""

    pattern = forms.ChoiceField(label="How often", choices=list(PATTERNS.items()))
    until = DayField(label="Through", required=False)
    count = forms.IntegerField(
        label="Or how many in all", required=False, min_value=2, max_value=MOST_DAYS, help_text="This one included."
    )
    skip = forms.CharField(
        label="Leave out",
        required=False,
        max_length=400,
        help_text="Days with commas, such as 2026-12-26, 2027-01-02.",
    )

    def clean_skip(self) -> set[date]:
        try:
            words = self.cleaned_data["skip"].replace(",", " ").split()
            return {date.fromisoformat(word) for word in words}
        except ValueError as problem:
            raise forms.ValidationError("Write each day as year-month-day, such as 2026-12-26.") from problem

    def days(self, first: date) -> list[date]:
        data = self.cleaned_data
        return series_days(first, data["pattern"], until=data["until"], count=data["count"], skip=data["skip"])


class CancelForm(forms.Form):
    because = forms.CharField(
        label="Why",
        max_length=200,
        help_text="One sentence; everybody who was asked reads it in the mail.",
        error_messages={"required": "Say why in a few words: the people who planned for this day will read it."},
    )
    rest = forms.BooleanField(label="and every later clinic of its row", required=False)

    def __init__(self, *args: Any, in_row: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        if not in_row:
            del self.fields["rest"]


class BookingAnswerForm(forms.Form):
    """The center contact's answer. Day and times are needed for another time only."""

    answer = forms.ChoiceField(
        choices=[(a.value, a.label) for a in (Answer.AGREED, Answer.NOT_POSSIBLE, Answer.ANOTHER_TIME)],
        error_messages={
            "required": "Choose one of the three answers.",
            "invalid_choice": "Choose one of the three answers.",
        },
    )
    day = DayField(required=False)
    starts = TimeField(label="From", required=False)
    ends = TimeField(label="To", required=False)
    words = forms.CharField(label="Anything we should know", max_length=300, required=False)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("answer") == Answer.ANOTHER_TIME:
            for name, label in (("day", "day"), ("starts", "start"), ("ends", "end")):
                if not data.get(name) and name not in self.errors:
                    self.add_error(name, f"Give the {label} that would suit you.")
        return data

    def suggested(self) -> Any:
        data = self.cleaned_data
        if data["answer"] != Answer.ANOTHER_TIME:
            return None
        return data["day"], data["starts"], data["ends"]
