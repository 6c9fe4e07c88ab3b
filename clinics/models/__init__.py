from clinics.models.activities import Activity, ActivityQuerySet
from clinics.models.activity_tables import ActivityTable
from clinics.models.agreements import Agreement, AgreementKind
from clinics.models.centers import Center, Reach, Space
from clinics.models.clinics import BE_THERE_BEFORE, STAY_AFTER, AgeBand, Clinic, ClinicQuerySet, HandNeed, Status
from clinics.models.contacts import CenterContact
from clinics.models.floor import AdultHours, FloorAction, FloorDay, FloorPhone, Incident, JoinedNumber, Score, SignIn
from clinics.models.hours import ClosedDays, OpenHours
from clinics.models.photos import SpacePhoto
from clinics.models.places import Place, PlaceState, Registration
from clinics.models.run_sheets import RunSheetPlan, RunSheetQuerySet

__all__ = [
    "BE_THERE_BEFORE",
    "STAY_AFTER",
    "Activity",
    "ActivityQuerySet",
    "ActivityTable",
    "AdultHours",
    "AgeBand",
    "Agreement",
    "AgreementKind",
    "Center",
    "CenterContact",
    "Clinic",
    "ClinicQuerySet",
    "ClosedDays",
    "FloorAction",
    "FloorDay",
    "FloorPhone",
    "HandNeed",
    "Incident",
    "JoinedNumber",
    "OpenHours",
    "Place",
    "PlaceState",
    "Reach",
    "Registration",
    "RunSheetPlan",
    "RunSheetQuerySet",
    "Score",
    "SignIn",
    "Space",
    "SpacePhoto",
    "Status",
]
