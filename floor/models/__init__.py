from floor.models.books import AdultHours, FloorAction, FloorDay, FloorPhone, Incident, MergedNumber, Score, SignIn

__all__ = [
    "AdultHours",
    "FloorAction",
    "FloorDay",
    "FloorPhone",
    "Incident",
    "MergedNumber",
    "Score",
    "SignIn",
]
