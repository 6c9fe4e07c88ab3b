from clinics.models.agreements import Agreement, AgreementKind
from clinics.models.centers import Center, Reach, Space
from clinics.models.clinics import BE_THERE_BEFORE, STAY_AFTER, AgeBand, Clinic, ClinicQuerySet, HandNeed, Status
from clinics.models.contacts import CenterContact
from clinics.models.hours import ClosedDays, OpenHours
from clinics.models.photos import SpacePhoto

__all__ = [
    "BE_THERE_BEFORE",
    "STAY_AFTER",
    "AgeBand",
    "Agreement",
    "AgreementKind",
    "Center",
    "CenterContact",
    "Clinic",
    "ClinicQuerySet",
    "ClosedDays",
    "HandNeed",
    "OpenHours",
    "Reach",
    "Space",
    "SpacePhoto",
    "Status",
]
