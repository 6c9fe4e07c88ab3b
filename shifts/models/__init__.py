from shifts.models.availability import Away, Limits, Weekday, WeeklyWindow
from shifts.models.proposals import AskingRules, KeptApart, Proposal, ProposalLine, ProposalState
from shifts.models.shifts import Assignment, AssignmentQuerySet, Reply, ReplyRecord, Shift
from shifts.models.standby_swaps import Standby, StandbyCall, Swap

__all__ = [
    "AskingRules",
    "Assignment",
    "AssignmentQuerySet",
    "Away",
    "KeptApart",
    "Limits",
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
