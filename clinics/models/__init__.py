from clinics.models.centers import Center, Space
from clinics.models.clinics import AgeBand, Clinic, ClinicQuerySet, HandNeed, Status
from clinics.models.hours import ClosedDays, OpenHours

__all__ = [
    "AgeBand",
    "Center",
    "Clinic",
    "ClinicQuerySet",
    "ClosedDays",
    "HandNeed",
    "OpenHours",
    "Space",
    "Status",
]
