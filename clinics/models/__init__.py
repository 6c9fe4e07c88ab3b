from clinics.models.activities import Activity, ActivityQuerySet
from clinics.models.centers import Center, Space
from clinics.models.clinics import AgeBand, Clinic, ClinicQuerySet, HandNeed, Status
from clinics.models.floor import AdultHours, FloorAction, FloorDay, FloorPhone, Incident, Score, SignIn
from clinics.models.hours import ClosedDays, OpenHours
from clinics.models.places import Place, PlaceState, Registration
from clinics.models.run_sheets import RunSheetPlan, RunSheetQuerySet

__all__ = [
    "Activity",
    "ActivityQuerySet",
    "AdultHours",
    "AgeBand",
    "Center",
    "Clinic",
    "ClinicQuerySet",
    "ClosedDays",
    "FloorAction",
    "FloorDay",
    "FloorPhone",
    "HandNeed",
    "Incident",
    "OpenHours",
    "Place",
    "PlaceState",
    "Registration",
    "RunSheetPlan",
    "RunSheetQuerySet",
    "Score",
    "SignIn",
    "Space",
    "Status",
]
