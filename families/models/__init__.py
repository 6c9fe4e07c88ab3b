from families.models.addresses import GuardianAddress
from families.models.children import Child, Experience
from families.models.collectors import Collector
from families.models.guardians import Guardian, Guardianship, Language
from families.models.places import Place, PlaceState, Registration
from families.models.readings import CareReading, FamilyRequest
from families.models.retention import Retention
from families.models.waivers import PhotoAnswer, Waiver, WaiverText

__all__ = [
    "CareReading",
    "Child",
    "Collector",
    "Experience",
    "FamilyRequest",
    "Guardian",
    "GuardianAddress",
    "Guardianship",
    "Language",
    "PhotoAnswer",
    "Place",
    "PlaceState",
    "Registration",
    "Retention",
    "Waiver",
    "WaiverText",
]
