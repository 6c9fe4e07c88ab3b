from floor.models.books import (
    AdultHours,
    FloorAction,
    FloorDay,
    FloorPhone,
    Incident,
    MergedNumber,
    Score,
    SignIn,
    Sort,
)
from floor.models.follow_up import IncidentFollowUp, Outcome

__all__ = [
    "AdultHours",
    "FloorAction",
    "FloorDay",
    "FloorPhone",
    "Incident",
    "IncidentFollowUp",
    "MergedNumber",
    "Outcome",
    "Score",
    "SignIn",
    "Sort",
]
