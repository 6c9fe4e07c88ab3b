from floor.models.books import AdultHours, FloorAction, FloorDay, FloorPhone, Incident, MergedNumber, Score, SignIn
from floor.models.door_policy import DoorPolicy, PaperWaiver

__all__ = [
    "AdultHours",
    "DoorPolicy",
    "FloorAction",
    "FloorDay",
    "FloorPhone",
    "Incident",
    "MergedNumber",
    "PaperWaiver",
    "Score",
    "SignIn",
]
