from floor.models.books import AdultHours, FloorAction, FloorDay, FloorPhone, Incident, JoinedNumber, Score, SignIn

__all__ = [
    "AdultHours",
    "FloorAction",
    "FloorDay",
    "FloorPhone",
    "Incident",
    "JoinedNumber",
    "Score",
    "SignIn",
]
