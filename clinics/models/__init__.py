from clinics.models.centers import Center, Space
from clinics.models.clinics import AgeBand, Clinic, ClinicQuerySet, HandNeed, Status
from clinics.models.hours import ClosedDays, OpenHours
from clinics.models.places import Place, PlaceState, Registration

__all__ = [
    "AgeBand",
    "Center",
    "Clinic",
    "ClinicQuerySet",
    "ClosedDays",
    "HandNeed",
    "OpenHours",
    "Place",
    "PlaceState",
    "Registration",
    "Space",
    "Status",
]
