"""Households: guardians, children, who collects whom, what was signed, and who read what."""

from people.models.families.addresses import GuardianAddress
from people.models.families.children import Child, Experience
from people.models.families.collectors import Collector
from people.models.families.guardians import Guardian, Guardianship, Language
from people.models.families.readings import CareReading, FamilyRequest
from people.models.families.waivers import PhotoAnswer, Waiver, WaiverText

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
    "Waiver",
    "WaiverText",
]
