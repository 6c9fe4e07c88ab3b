"""What becomes of the rows of families that point at a child or a guardian, when two are one or one is forgotten."""

from collections.abc import Sequence

from core.merge import Forgotten, Key, Merged, history_of
from families.models import (
    CareReading,
    Child,
    FamilyRequest,
    Guardian,
    GuardianAddress,
    Guardianship,
    PhotoAnswer,
    PickupPerson,
    Registration,
    Spot,
    Waiver,
)

__all__ = ["child_keys", "guardian_keys"]

SEAT = "that a place was taken stays, for counting"


def child_keys() -> Sequence[Key]:
    """Answers ``families.hooks.child_keys``."""
    return (
        Key(CareReading, "child", Merged.MOVES, Forgotten.GOES),
        Key(history_of(Child), "pgh_obj", Merged.MOVES, Forgotten.GOES),
        Key(PickupPerson, "child", Merged.FREED, Forgotten.GOES),
        Key(history_of(PickupPerson), "child", Merged.MOVES, Forgotten.GOES),
        Key(Guardianship, "child", Merged.SETTLED, Forgotten.GOES),
        Key(history_of(Guardianship), "child", Merged.MOVES, Forgotten.GOES),
        Key(PhotoAnswer, "child", Merged.MOVES, Forgotten.GOES),
        Key(history_of(PhotoAnswer), "child", Merged.MOVES, Forgotten.GOES),
        Key(Spot, "child", Merged.FREED, Forgotten.STAYS, SEAT),
        Key(history_of(Spot), "child", Merged.MOVES, Forgotten.STAYS, SEAT),
        Key(Waiver, "child", Merged.MOVES, Forgotten.GOES),
        Key(history_of(Waiver), "child", Merged.MOVES, Forgotten.GOES),
    )


def guardian_keys() -> Sequence[Key]:
    """Answers ``families.hooks.guardian_keys``."""
    return (
        Key(PickupPerson, "named_by", Merged.MOVES, Forgotten.GOES),
        Key(history_of(PickupPerson), "named_by", Merged.MOVES, Forgotten.GOES),
        Key(FamilyRequest, "guardian", Merged.FREED, Forgotten.GOES),
        Key(GuardianAddress, "guardian", Merged.FREED, Forgotten.GOES),
        Key(history_of(Guardian), "pgh_obj", Merged.MOVES, Forgotten.GOES),
        Key(Guardianship, "guardian", Merged.SETTLED, Forgotten.GOES),
        Key(history_of(Guardianship), "guardian", Merged.MOVES, Forgotten.GOES),
        Key(PhotoAnswer, "guardian", Merged.MOVES, Forgotten.GOES),
        Key(history_of(PhotoAnswer), "guardian", Merged.MOVES, Forgotten.GOES),
        Key(Spot, "guardian", Merged.MOVES, Forgotten.UNBOUND, SEAT),
        Key(history_of(Spot), "guardian", Merged.MOVES, Forgotten.STAYS, SEAT),
        Key(Registration, "guardian", Merged.MOVES, Forgotten.GOES),
        Key(Waiver, "guardian", Merged.MOVES, Forgotten.UNBOUND, "the signature belongs to the child's waiver"),
        Key(history_of(Waiver), "guardian", Merged.MOVES, Forgotten.STAYS, "a number; it goes with the waiver's child"),
    )
