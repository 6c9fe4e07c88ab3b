"""Centers and their spaces."""

from datetime import date
from zoneinfo import available_timezones

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row, Submit
from django import forms

from clinics.models import Center, Clinic, Space
from clinics.rules.supervision import RATIO_TABLES
from core import clock

__all__ = ["CenterForm", "SpaceForm"]


def zones() -> list[tuple[str, str]]:
    """Places by name, without the abbreviations and offsets that nobody lives in."""
    return [(name, name.replace("_", " ")) for name in sorted(available_timezones()) if "/" in name[1:]]


class CenterForm(forms.ModelForm):
    time_zone = forms.ChoiceField(choices=zones, initial="America/New_York")

    ratio_table = forms.ChoiceField(
        label="Asks for the adults of",
        required=False,
        choices=[("", "No table of its own"), *((code, table.name) for code, table in RATIO_TABLES.items())],
        help_text="Holds here beside each clinic's own supervision table; the stricter one counts.",
    )

    class Meta:
        model = Center
        widgets = {"plan_seen_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        fields = [
            "name",
            "time_zone",
            "address",
            "arrival",
            "latitude",
            "longitude",
            "contact_name",
            "contact_email",
            "contact_phone",
            "place",
            "ratio_table",
            "asks_agreement",
            "asks_insurance",
            "defibrillator",
            "first_aid_kit",
            "hospital",
            "assembly_point",
            "plan_seen_on",
            "active",
        ]

    def __init__(self, *args: object, **more: object) -> None:
        super().__init__(*args, **more)  # type: ignore[arg-type]
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Fieldset("Where", "name", "address", "arrival", "time_zone", Row(Column("latitude"), Column("longitude"))),
            Fieldset("Who answers", "contact_name", Row(Column("contact_email"), Column("contact_phone"))),
            Fieldset("Clearances and adults", "place", "ratio_table"),
            Fieldset("Agreements", "asks_agreement", "asks_insurance"),
            Fieldset("Safety sheet", "defibrillator", "first_aid_kit", "hospital", "assembly_point", "plan_seen_on"),
            "active",
            Submit("save", "Save the center"),
        )

    def clean_plan_seen_on(self) -> date | None:
        day: date | None = self.cleaned_data["plan_seen_on"]
        if day is not None and day > clock.today():
            raise forms.ValidationError("That day has not come yet. Write when the plan was seen.")
        return day

    def clean_time_zone(self) -> str:
        """A clinic is kept as a moment, so under another zone its hour on the wall would change unseen."""
        zone: str = self.cleaned_data["time_zone"]
        if self.instance.pk and "time_zone" in self.changed_data:
            ahead = Clinic.objects.filter(center=self.instance).ahead(clock.now()).live().count()
            if ahead:
                many = f"{ahead} clinics ahead are" if ahead > 1 else "1 clinic ahead is"
                raise forms.ValidationError(
                    f"{many} set by the clock of {self.initial['time_zone']} and would start at another hour. "
                    "Cancel what lies ahead or wait until it is over, then change the zone."
                )
        return zone


class SpaceForm(forms.ModelForm):
    class Meta:
        model = Space
        fields = [
            "name",
            "hoops",
            "capacity",
            "lowest_rim_ft",
            "highest_rim_ft",
            "sockets",
            "tables",
            "wifi",
            "indoors",
            "active",
        ]

    def __init__(self, *args: object, center: Center, **more: object) -> None:
        super().__init__(*args, **more)  # type: ignore[arg-type]
        self.instance.center = center
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Fieldset("Floor", "name", Row(Column("hoops"), Column("capacity"), Column("sockets"))),
            Fieldset("Rims", Row(Column("lowest_rim_ft"), Column("highest_rim_ft"))),
            Fieldset("For the STEM part", "tables", "wifi"),
            "indoors",
            "active",
            Submit("save", "Save the space"),
        )

    def _get_validation_exclusions(self) -> set[str]:
        # The center is fixed by the page, and a name must be new within it.
        excluded: set[str] = super()._get_validation_exclusions()  # type: ignore[misc]
        return excluded - {"center"}
