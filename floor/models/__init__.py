from floor.models.books import AdultHours, FloorAction, FloorDay, FloorPhone, Incident, MergedNumber, Score, SignIn
from floor.models.stand_ins import FloorStandIn

__all__ = [
    "AdultHours",
    "FloorAction",
    "FloorDay",
    "FloorPhone",
    "FloorStandIn",
    "Incident",
    "MergedNumber",
    "Score",
    "SignIn",
]
