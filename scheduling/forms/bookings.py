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
from django.utils.text import capfirst
from django.utils.translation import gettext, gettext_lazy

from clinics.models import Center, Clinic, Space
from clinics.rules.supervision import RATIO_TABLES
from core.fields import DayField, TimeField
from core.formats import counted
from kits.models import Kit, KitBooking
from people.models import duties
from scheduling.models import Answer, Booking
from scheduling.rules.series import MOST_DAYS, series_days
from scheduling.services.bookings import ClinicFacts
from scheduling.words.series import PATTERN_CHOICES

__all__ = ["BookingAnswerForm", "CancelForm", "ClinicForm", "NeedsForm", "RepeatForm"]

BANDS = 3
TABLE_CHOICES = [(code, table.name) for code, table in RATIO_TABLES.items()]


def spaces_by_center(spaces: Iterable[Space]) -> list[tuple[str, list[tuple[int, str]]]]:
    """Spaces under the name of their center, so that the list itself says what belongs together."""
    grouped: dict[str, list[tuple[int, str]]] = {}
    for space in spaces:
        label = gettext("%(space)s (%(hoops)s, up to %(people)s)") % {
            "space": space.name,
            "hoops": counted(space.hoops, "hoop"),
            "people": counted(space.capacity, "person"),
        }
        grouped.setdefault(space.center.name, []).append((space.pk, label))
    return list(grouped.items())


class ClinicForm(forms.Form):
    center = forms.ModelChoiceField(
        Center.objects.none(), label=gettext_lazy("Center"), empty_label=gettext_lazy("Choose a center")
    )
    space = forms.ModelChoiceField(Space.objects.none(), label=gettext_lazy("Space"))
    day = DayField(label=gettext_lazy("Day"))
    starts = TimeField(label=gettext_lazy("Starts"))
    ends = TimeField(label=gettext_lazy("Ends"))
    theme = forms.CharField(
        label=gettext_lazy("STEM activity"),
        max_length=120,
        required=False,
        help_text=gettext_lazy("The hands-on activity, such as paper bridges. Leave empty if there isn’t one."),
    )
    ratio_table = forms.ChoiceField(
        label=gettext_lazy("Supervision table"),
        choices=TABLE_CHOICES,
        help_text=gettext_lazy("Sets how many adults you need. Local law or the center may require more."),
    )
    funder_table = forms.ChoiceField(
        label=gettext_lazy("Funder’s supervision table"),
        required=False,
        choices=[("", gettext_lazy("No funder table")), *TABLE_CHOICES],
        help_text=gettext_lazy(
            "Used along with the table above (and the center’s, if it has one). We use the strictest."
        ),
    )
    offer_next = forms.BooleanField(
        label=gettext_lazy("Ask the next person automatically"),
        required=False,
        help_text=gettext_lazy(
            "If someone declines, doesn’t answer in time, or comes off because a clearance expired."
        ),
    )
    kit = forms.ModelChoiceField(
        Kit.objects.none(), label=gettext_lazy("Kit"), required=False, empty_label=gettext_lazy("None yet")
    )

    def __init__(self, *args: Any, clinic: Clinic | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        lent, used = Q(active=True, center__active=True), Q(active=True)
        if clinic is not None:
            # Who comes and what with is changed without moving a clinic off a space that is no longer lent.
            lent |= Q(pk__in=Booking.objects.live().filter(clinic=clinic).values("space"))
            used |= Q(pk=clinic.center_id)
        spaces = Space.objects.filter(lent).select_related("center")
        self._choices("center").queryset = Center.objects.filter(used)
        self._choices("kit").queryset = Kit.objects.all()
        field = self._choices("space")
        field.queryset = spaces
        field.choices = [("", gettext("Choose a space")), *spaces_by_center(spaces)]
        self.has_space = bool(spaces)
        if clinic is not None and clinic.series is not None:
            self.fields["rest"] = forms.BooleanField(
                label=gettext("Also move later clinics in this series by the same amount"),
                required=False,
                help_text=gettext(
                    "They move by the same number of hours, and to the new space if you changed it. Ages, STEM "
                    "activity, and kit don’t change."
                ),
            )
        for number in range(1, BANDS + 1):
            first = number == 1
            for part, label in (
                ("youngest", gettext("From age")),
                ("oldest", gettext("To age")),
                ("children", gettext("Children expected")),
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
            Fieldset(gettext("Date and time"), Row(Column("day"), Column("starts"), Column("ends"))),
            Submit("again", gettext("Preview the change"))
            if clinic
            else Submit("save", gettext("Book and email the center")),
        )

    def laid_out(self, when: Fieldset, press: Submit) -> Layout:
        bands = [
            Row(Column(f"youngest_{n}"), Column(f"oldest_{n}"), Column(f"children_{n}")) for n in range(1, BANDS + 1)
        ]
        return Layout(
            Fieldset(gettext("Center and space"), Row(Column("center"), Column("space"))),
            when,
            Fieldset(gettext("Children and adults"), *bands, "ratio_table", "funder_table"),
            Fieldset(gettext("STEM activity and kit"), Row(Column("theme"), Column("kit"))),
            Fieldset(gettext("If a volunteer can’t come"), "offer_next"),
            *([Fieldset(gettext("The series"), "rest")] if "rest" in self.fields else []),
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
                self.add_error(
                    names[0],
                    gettext("Fill in all three (from age, to age, and children), or leave all three empty."),
                )
            elif oldest < youngest:
                self.add_error(
                    names[1],
                    gettext("%(oldest)d is less than %(youngest)d. Enter the older age here.")
                    % {"oldest": oldest, "youngest": youngest},
                )
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
                label=capfirst(name),
                initial=now_asked[code],
                min_value=0,
                help_text=gettext("The supervision tables require at least %(n)d.") % {"n": least[code]}
                if least[code]
                else gettext("Not required by the supervision tables."),
            )

    def people(self) -> dict[str, int]:
        return {code: self.cleaned_data[code] for code in self.fields}


class RepeatForm(forms.Form):
    """How often a clinic is repeated, until when, and which days are left out."""

    pattern = forms.ChoiceField(label=gettext_lazy("How often"), choices=PATTERN_CHOICES)
    until = DayField(label=gettext_lazy("Last date"), required=False)
    count = forms.IntegerField(
        label=gettext_lazy("Or total number of clinics"),
        required=False,
        min_value=2,
        max_value=MOST_DAYS,
        help_text=gettext_lazy("Count this one too."),
    )
    skip = forms.CharField(
        label=gettext_lazy("Dates to skip"),
        required=False,
        max_length=400,
        help_text=gettext_lazy("Dates separated by commas, such as 2026-12-26, 2027-01-02."),
    )

    def clean_skip(self) -> set[date]:
        try:
            words = self.cleaned_data["skip"].replace(",", " ").split()
            return {date.fromisoformat(word) for word in words}
        except ValueError as problem:
            raise forms.ValidationError(gettext("Enter each date as year-month-day, such as 2026-12-26.")) from problem

    def days(self, first: date) -> list[date]:
        data = self.cleaned_data
        return series_days(first, data["pattern"], until=data["until"], count=data["count"], skip=data["skip"])


class CancelForm(forms.Form):
    because = forms.CharField(
        label=gettext_lazy("Reason"),
        max_length=200,
        help_text=gettext_lazy("One sentence. Everyone you asked will see it in the email."),
        error_messages={"required": gettext_lazy("Enter a short reason. People who planned on this day will read it.")},
    )
    rest = forms.BooleanField(label=gettext_lazy("Also cancel all later clinics in this series"), required=False)

    def __init__(self, *args: Any, in_row: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        if not in_row:
            del self.fields["rest"]


class BookingAnswerForm(forms.Form):
    """The center contact's answer. Day and times are needed for another time only."""

    answer = forms.ChoiceField(
        choices=[(a.value, a.label) for a in (Answer.AGREED, Answer.NOT_POSSIBLE, Answer.ANOTHER_TIME)],
        error_messages={
            "required": gettext_lazy("Choose one of the three answers."),
            "invalid_choice": gettext_lazy("Choose one of the three answers."),
        },
    )
    day = DayField(label=gettext_lazy("Day"), required=False)
    starts = TimeField(label=gettext_lazy("From"), required=False)
    ends = TimeField(label=gettext_lazy("To"), required=False)
    words = forms.CharField(label=gettext_lazy("Anything we should know"), max_length=300, required=False)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("answer") == Answer.ANOTHER_TIME:
            for name, missing in (
                ("day", gettext("Enter the day that works for you.")),
                ("starts", gettext("Enter the start time that works for you.")),
                ("ends", gettext("Enter the end time that works for you.")),
            ):
                if not data.get(name) and name not in self.errors:
                    self.add_error(name, missing)
        return data

    def suggested(self) -> Any:
        data = self.cleaned_data
        if data["answer"] != Answer.ANOTHER_TIME:
            return None
        return data["day"], data["starts"], data["ends"]
