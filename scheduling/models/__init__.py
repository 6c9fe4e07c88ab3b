from clinics.models import BE_THERE_BEFORE, STAY_AFTER
from scheduling.models.asking import Standby, StandbyCall, Swap
from scheduling.models.askings import Asking
from scheduling.models.availability import Away, Limits, Weekday, WeeklyWindow
from scheduling.models.bookings import SET_UP, TAKE_DOWN, Answer, Booking
from scheduling.models.feeds import OfficeFeed
from scheduling.models.kit_care import KitCheck, KitLoss
from scheduling.models.kit_kinds import KindLine, KitKind
from scheduling.models.kits import KIT_AFTER, KIT_BEFORE, Condition, Kit, KitBooking, KitItem, KitPlan
from scheduling.models.left_floors import LeftFloor
from scheduling.models.proposals import AskingRules, KeptApart, Proposal, ProposalLine, ProposalState
from scheduling.models.shifts import (
    Assignment,
    AssignmentQuerySet,
    Reply,
    ReplyRecord,
    Shift,
)

__all__ = [
    "BE_THERE_BEFORE",
    "KIT_AFTER",
    "KIT_BEFORE",
    "SET_UP",
    "STAY_AFTER",
    "TAKE_DOWN",
    "Answer",
    "Asking",
    "AskingRules",
    "Assignment",
    "AssignmentQuerySet",
    "Away",
    "Booking",
    "Condition",
    "KeptApart",
    "KindLine",
    "Kit",
    "KitBooking",
    "KitCheck",
    "KitItem",
    "KitKind",
    "KitLoss",
    "KitPlan",
    "LeftFloor",
    "Limits",
    "OfficeFeed",
    "Proposal",
    "ProposalLine",
    "ProposalState",
    "Reply",
    "ReplyRecord",
    "Shift",
    "Standby",
    "StandbyCall",
    "Swap",
    "Weekday",
    "WeeklyWindow",
]
