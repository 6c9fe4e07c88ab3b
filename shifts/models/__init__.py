from shifts.models.availability import Away, Limits, Weekday, WeeklyWindow
from shifts.models.backup_swaps import Backup, BackupCall, Swap
from shifts.models.proposals import AskingRules, KeptApart, Proposal, ProposalLine, ProposalState
from shifts.models.shifts import Assignment, AssignmentQuerySet, Reply, ReplyRecord, Shift

__all__ = [
    "AskingRules",
    "Assignment",
    "AssignmentQuerySet",
    "Away",
    "Backup",
    "BackupCall",
    "KeptApart",
    "Limits",
    "Proposal",
    "ProposalLine",
    "ProposalState",
    "Reply",
    "ReplyRecord",
    "Shift",
    "Swap",
    "Weekday",
    "WeeklyWindow",
]
