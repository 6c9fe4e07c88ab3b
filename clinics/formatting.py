"""How dates and clinics read in sentences, in the clinic's own time zone."""

from clinics.models import Clinic
from core.formats import long_day

__all__ = ["children_words", "clinic_words"]


def clinic_words(clinic: Clinic) -> str:
    """Say which clinic it is: Saint Orla's Hall on Saturday 28 November."""
    return f"{clinic.center.name} on {long_day(clinic.day)}"


def children_words(clinic: Clinic) -> str:
    """Say how many children a clinic expects and of which ages: 40 children, ages 8 to 12."""
    ages = clinic.ages
    if ages is None:
        return "no children expected yet"
    span = f"age {ages[0]}" if ages[0] == ages[1] else f"ages {ages[0]} to {ages[1]}"
    return f"{clinic.children} {'child' if clinic.children == 1 else 'children'}, {span}"
