from kits.models.kit_care import KitCheck, KitLoss
from kits.models.kit_kinds import KindLine, KitKind
from kits.models.kits import KIT_AFTER, KIT_BEFORE, Condition, Kit, KitBooking, KitItem, KitPlan

__all__ = [
    "KIT_AFTER",
    "KIT_BEFORE",
    "Condition",
    "KindLine",
    "Kit",
    "KitBooking",
    "KitCheck",
    "KitItem",
    "KitKind",
    "KitLoss",
    "KitPlan",
]
