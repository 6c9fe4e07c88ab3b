from people.models.accounts import User
from people.models.clearances import Clearance, ClearanceKind, ClearanceState, PolicyRow
from people.models.volunteers import Duty, Volunteer

__all__ = ["Clearance", "ClearanceKind", "ClearanceState", "Duty", "PolicyRow", "User", "Volunteer"]
