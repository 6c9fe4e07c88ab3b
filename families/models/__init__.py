from families.models.addresses import GuardianAddress
from families.models.children import Child, Experience
from families.models.guardians import Guardian, Guardianship, Language
from families.models.pickup_people import PickupPerson
from families.models.readings import CareReading, DoorReading, FamilyRequest
from families.models.retention import Retention
from families.models.spots import Registration, Spot, SpotState
from families.models.waivers import PhotoAnswer, Waiver, WaiverText

__all__ = [
    "CareReading",
    "Child",
    "DoorReading",
    "Experience",
    "FamilyRequest",
    "Guardian",
    "GuardianAddress",
    "Guardianship",
    "Language",
    "PhotoAnswer",
    "PickupPerson",
    "Registration",
    "Retention",
    "Spot",
    "SpotState",
    "Waiver",
    "WaiverText",
]
