"""How dates and clinics read in sentences, in the clinic's own time zone."""

from django.utils.translation import gettext

from clinics.models import Clinic
from core.formats import counted, long_day

__all__ = ["children_words", "clinic_words"]


def clinic_words(clinic: Clinic) -> str:
    """Say which clinic it is: Saint Orla's Hall on Saturday, November 28."""
    return gettext("%(center)s on %(day)s") % {"center": clinic.center.name, "day": long_day(clinic.day)}


def children_words(clinic: Clinic) -> str:
    """Say how many children a clinic expects and of which ages: 40 children, ages 8 to 12."""
    ages = clinic.ages
    if ages is None:
        return gettext("no children expected yet")
    facts = {"children": counted(clinic.children, "child"), "youngest": ages[0], "oldest": ages[1]}
    if ages[0] == ages[1]:
        return gettext("%(children)s, age %(youngest)d") % facts
    return gettext("%(children)s, ages %(youngest)d to %(oldest)d") % facts
