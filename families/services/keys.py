"""What becomes of the rows of families that point at a child or a guardian, when two are one or one is forgotten."""

from collections.abc import Sequence

from core.merge import Forgotten, Joined, Key, history_of
from families.models import (
    CareReading,
    Child,
    Collector,
    FamilyRequest,
    Guardian,
    GuardianAddress,
    Guardianship,
    PhotoAnswer,
    Place,
    Registration,
    Waiver,
)

__all__ = ["child_keys", "guardian_keys"]

SEAT = "that a place was taken stays, for counting"


def child_keys() -> Sequence[Key]:
    """Answers ``families.hooks.child_keys``."""
    return (
        Key(CareReading, "child", Joined.MOVES, Forgotten.GOES),
        Key(history_of(Child), "pgh_obj", Joined.MOVES, Forgotten.GOES),
        Key(Collector, "child", Joined.FREED, Forgotten.GOES),
        Key(history_of(Collector), "child", Joined.MOVES, Forgotten.GOES),
        Key(Guardianship, "child", Joined.SETTLED, Forgotten.GOES),
        Key(history_of(Guardianship), "child", Joined.MOVES, Forgotten.GOES),
        Key(PhotoAnswer, "child", Joined.MOVES, Forgotten.GOES),
        Key(history_of(PhotoAnswer), "child", Joined.MOVES, Forgotten.GOES),
        Key(Place, "child", Joined.FREED, Forgotten.STAYS, SEAT),
        Key(history_of(Place), "child", Joined.MOVES, Forgotten.STAYS, SEAT),
        Key(Waiver, "child", Joined.MOVES, Forgotten.GOES),
        Key(history_of(Waiver), "child", Joined.MOVES, Forgotten.GOES),
    )


def guardian_keys() -> Sequence[Key]:
    """Answers ``families.hooks.guardian_keys``."""
    return (
        Key(Collector, "named_by", Joined.MOVES, Forgotten.GOES),
        Key(history_of(Collector), "named_by", Joined.MOVES, Forgotten.GOES),
        Key(FamilyRequest, "guardian", Joined.FREED, Forgotten.GOES),
        Key(GuardianAddress, "guardian", Joined.FREED, Forgotten.GOES),
        Key(history_of(Guardian), "pgh_obj", Joined.MOVES, Forgotten.GOES),
        Key(Guardianship, "guardian", Joined.SETTLED, Forgotten.GOES),
        Key(history_of(Guardianship), "guardian", Joined.MOVES, Forgotten.GOES),
        Key(PhotoAnswer, "guardian", Joined.MOVES, Forgotten.GOES),
        Key(history_of(PhotoAnswer), "guardian", Joined.MOVES, Forgotten.GOES),
        Key(Place, "guardian", Joined.MOVES, Forgotten.UNBOUND, SEAT),
        Key(history_of(Place), "guardian", Joined.MOVES, Forgotten.STAYS, SEAT),
        Key(Registration, "guardian", Joined.MOVES, Forgotten.GOES),
        Key(Waiver, "guardian", Joined.MOVES, Forgotten.UNBOUND, "the signature belongs to the child's waiver"),
        Key(history_of(Waiver), "guardian", Joined.MOVES, Forgotten.STAYS, "a number; it goes with the waiver's child"),
    )
