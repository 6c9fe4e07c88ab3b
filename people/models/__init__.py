from people.models.accounts import User
from people.models.applications import Application
from people.models.clearances import Clearance, ClearanceEvent, ClearanceKind, ClearanceState, NoticeRung, PolicyRow
from people.models.imports import Import
from people.models.retention import Purge
from people.models.volunteers import Duty, Volunteer

__all__ = [
    "Application",
    "Clearance",
    "ClearanceEvent",
    "ClearanceKind",
    "ClearanceState",
    "Duty",
    "Import",
    "NoticeRung",
    "PolicyRow",
    "Purge",
    "User",
    "Volunteer",
]
