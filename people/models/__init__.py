from people.models.accounts import User
from people.models.addresses import AddressChange
from people.models.applications import Application
from people.models.clearances import Clearance, ClearanceEvent, ClearanceKind, ClearanceState, NoticeRung, PolicyRow
from people.models.duties import Duty, DutyBook, duties
from people.models.families import (
    CareReading,
    Child,
    Collector,
    Experience,
    FamilyRequest,
    Guardian,
    GuardianAddress,
    Guardianship,
    Language,
    PhotoAnswer,
    Waiver,
    WaiverText,
)
from people.models.imports import Import
from people.models.purges import Purge
from people.models.retention import Keeping
from people.models.volunteers import Volunteer

__all__ = [
    "AddressChange",
    "Application",
    "CareReading",
    "Child",
    "Clearance",
    "ClearanceEvent",
    "ClearanceKind",
    "ClearanceState",
    "Collector",
    "Duty",
    "DutyBook",
    "Experience",
    "FamilyRequest",
    "Guardian",
    "GuardianAddress",
    "Guardianship",
    "Import",
    "Keeping",
    "Language",
    "NoticeRung",
    "PhotoAnswer",
    "PolicyRow",
    "Purge",
    "User",
    "Volunteer",
    "Waiver",
    "WaiverText",
    "duties",
]
