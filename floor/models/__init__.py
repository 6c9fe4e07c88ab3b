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
from floor.models.door_policy import DoorPolicy, PaperWaiver
from floor.models.follow_up import IncidentFollowUp, Outcome
from floor.models.stand_ins import FloorStandIn

__all__ = [
    "AdultHours",
    "DoorPolicy",
    "FloorAction",
    "FloorDay",
    "FloorPhone",
    "FloorStandIn",
    "Incident",
    "IncidentFollowUp",
    "MergedNumber",
    "Outcome",
    "PaperWaiver",
    "Score",
    "SignIn",
    "Sort",
]
