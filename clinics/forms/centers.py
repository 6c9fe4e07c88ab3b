"""Centers and their spaces."""

from datetime import date
from zoneinfo import available_timezones

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row, Submit
from django import forms
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from clinics.models import Center, Clinic, Space
from clinics.rules.supervision import RATIO_TABLES
from core import clock

__all__ = ["CenterForm", "SpaceForm"]


def zones() -> list[tuple[str, str]]:
    """Places by name, without the abbreviations and offsets that nobody lives in."""
    return [(name, name.replace("_", " ")) for name in sorted(available_timezones()) if "/" in name[1:]]


class CenterForm(forms.ModelForm):
    time_zone = forms.ChoiceField(label=_("Time zone"), choices=zones, initial="America/New_York")

    ratio_table = forms.ChoiceField(
        label=_("Extra supervision table"),
        required=False,
        choices=[("", _("No extra table")), *((code, table.name) for code, table in RATIO_TABLES.items())],
        help_text=_("Applies here along with each clinic’s own table. We use the stricter one."),
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
            Fieldset(
                gettext("Location"),
                "name",
                "address",
                "arrival",
                "time_zone",
                Row(Column("latitude"), Column("longitude")),
            ),
            Fieldset(gettext("Main contact"), "contact_name", Row(Column("contact_email"), Column("contact_phone"))),
            Fieldset(gettext("Clearances and adults"), "place", "ratio_table"),
            Fieldset(gettext("Agreements"), "asks_agreement", "asks_insurance"),
            Fieldset(
                gettext("Safety sheet"),
                "defibrillator",
                "first_aid_kit",
                "hospital",
                "assembly_point",
                "plan_seen_on",
            ),
            "active",
            Submit("save", gettext("Save the center")),
        )

    def clean_plan_seen_on(self) -> date | None:
        day: date | None = self.cleaned_data["plan_seen_on"]
        if day is not None and day > clock.today():
            raise forms.ValidationError(gettext("This date is in the future. Enter the day you reviewed the plan."))
        return day

    def clean_time_zone(self) -> str:
        """A clinic is kept as a moment, so under another zone its hour on the wall would change unseen."""
        zone: str = self.cleaned_data["time_zone"]
        if self.instance.pk and "time_zone" in self.changed_data:
            ahead = Clinic.objects.filter(center=self.instance).ahead(clock.now()).live().count()
            if ahead:
                words = ngettext(
                    "You can’t change the time zone yet: %(n)d upcoming clinic uses %(zone)s and would start at a "
                    "different hour. Cancel it or wait until it’s over, then change the time zone.",
                    "You can’t change the time zone yet: %(n)d upcoming clinics use %(zone)s and would start at a "
                    "different hour. Cancel them or wait until they’re over, then change the time zone.",
                    ahead,
                )
                raise forms.ValidationError(words % {"n": ahead, "zone": self.initial["time_zone"]})
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
            Fieldset(gettext("Space"), "name", Row(Column("hoops"), Column("capacity"), Column("sockets"))),
            Fieldset(gettext("Rims"), Row(Column("lowest_rim_ft"), Column("highest_rim_ft"))),
            Fieldset(gettext("For the STEM activity"), "tables", "wifi"),
            "indoors",
            "active",
            Submit("save", gettext("Save the space")),
        )

    def _get_validation_exclusions(self) -> set[str]:
        # The center is fixed by the page, and a name must be new within it.
        excluded: set[str] = super()._get_validation_exclusions()  # type: ignore[misc]
        return excluded - {"center"}
