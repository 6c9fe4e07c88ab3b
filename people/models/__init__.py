from people.models.accounts import User
from people.models.addresses import AddressChange
from people.models.applications import Application
from people.models.clearances import Clearance, ClearanceEvent, ClearanceKind, ClearanceState, NoticeStep, PolicyRow
from people.models.duties import Duty, DutyBook, duties
from people.models.imports import Import
from people.models.purges import Purge
from people.models.volunteers import Volunteer

__all__ = [
    "AddressChange",
    "Application",
    "Clearance",
    "ClearanceEvent",
    "ClearanceKind",
    "ClearanceState",
    "Duty",
    "DutyBook",
    "Import",
    "NoticeStep",
    "PolicyRow",
    "Purge",
    "User",
    "Volunteer",
    "duties",
]
