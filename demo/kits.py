"""The demo's bags and crates: two kinds, what is in each kit, a check that is overdue, and something lost."""

from datetime import date, datetime, timedelta

from clinics.models import Clinic
from kits.models import KindLine, Kit, KitCheck, KitItem, KitKind, KitLoss
from kits.services.kit_care import record_check, record_loss
from people.models import User

__all__ = ["looked_after", "make_kits"]

_KITS = (
    ("Bag 1", "full bag", "Balls size 5 and 6, cones, pinnies, first-aid pouch"),
    ("Bag 2", "full bag", "Balls size 6 and 7, cones, pinnies, first-aid pouch"),
    ("Crate 3", "STEM crate", "Laptops, circuit sets for 8 groups, some balls, first-aid pouch"),
)

# kit, item, how many, good for so many days (0: for ever). One pouch runs out before the last clinic of its crate.
_ITEMS = (
    ("Bag 1", "ball, size 5", 14, 0), ("Bag 1", "ball, size 6", 14, 0), ("Bag 1", "cone", 24, 0),
    ("Bag 1", "pinnie", 30, 0), ("Bag 1", "hand pump", 1, 0), ("Bag 1", "first-aid pouch", 1, 300),
    ("Bag 2", "ball, size 6", 16, 0), ("Bag 2", "ball, size 7", 9, 0), ("Bag 2", "cone", 20, 0),
    ("Bag 2", "pinnie", 25, 0), ("Bag 2", "hand pump", 1, 0), ("Bag 2", "first-aid pouch", 1, 200),
    ("Crate 3", "ball, size 3", 4, 0), ("Crate 3", "ball, size 5", 6, 0), ("Crate 3", "ball, size 6", 14, 0),
    ("Crate 3", "ball, size 7", 4, 0), ("Crate 3", "circuit set", 8, 0), ("Crate 3", "laptop", 15, 0),
    ("Crate 3", "power strip", 2, 0), ("Crate 3", "cone", 30, 0), ("Crate 3", "first-aid pouch", 1, 28),
    ("Crate 3", "strip of foil", 20, 0), ("Crate 3", "roll of sticky tape", 2, 0), ("Crate 3", "paper cup", 80, 0),
)  # fmt: skip


def make_kits(today: date) -> dict[str, Kit]:
    """Make the kinds and their kits; returns the kits by name."""
    kinds = _kinds()
    kits = {name: Kit.objects.create(name=name, kind=kinds[kind], contents=words) for name, kind, words in _KITS}
    KitItem.objects.bulk_create(
        KitItem(kit=kits[name], name=item, count=count, last_day=today + timedelta(days=days) if days else None)
        for name, item, count, days in _ITEMS
    )
    KitItem.objects.filter(kit=kits["Bag 1"], name="pinnie").update(condition="worn")
    return kits


def _kinds() -> dict[str, KitKind]:
    bag = KitKind.objects.create(
        name="full bag", words="Everything for one clinic in one bag.", children=24, youngest=7, oldest=12,
        pump_days=14, count_days=30,
    )  # fmt: skip
    crate = KitKind.objects.create(
        name="STEM crate", words="The hands-on part, with balls to throw in turns.", children=24, youngest=8, oldest=13,
        pump_days=30, charge_days=7, count_days=30,
    )  # fmt: skip
    lines = [
        KindLine(kind=bag, item="ball", sized=True, per_children=1, spare_percent=10, must_have=True),
        KindLine(kind=bag, item="cone", per_children=2, number=10),
        KindLine(kind=bag, item="pinnie", per_children=1, spare_percent=10),
        KindLine(kind=bag, item="hand pump", number=1),
        KindLine(kind=bag, item="first-aid pouch", number=1, must_have=True, needs_last_day=True),
        KindLine(kind=crate, item="ball", sized=True, per_children=2, spare_percent=10),
        KindLine(kind=crate, item="laptop", per_children=2, stem_only=True),
        KindLine(kind=crate, item="circuit set", per_children=4, stem_only=True),
        KindLine(kind=crate, item="power strip", number=2, must_have=True),
        KindLine(kind=crate, item="cone", per_children=2, number=10),
        KindLine(kind=crate, item="first-aid pouch", number=1, must_have=True, needs_last_day=True),
    ]
    KindLine.objects.bulk_create(lines)
    return {"full bag": bag, "STEM crate": crate}


def looked_after(kits: dict[str, Kit], by: User, now: datetime, today: date) -> None:
    """Record checks as they were done, with Bag 1's pumping overdue, and three balls lost at Bag 1's last clinic."""
    done = (
        ("Bag 1", KitCheck.What.PUMP, 19), ("Bag 1", KitCheck.What.COUNT, 4), ("Bag 2", KitCheck.What.PUMP, 5),
        ("Bag 2", KitCheck.What.COUNT, 12), ("Crate 3", KitCheck.What.PUMP, 9), ("Crate 3", KitCheck.What.CHARGE, 2),
        ("Crate 3", KitCheck.What.COUNT, 9),
    )  # fmt: skip
    for name, what, days in done:
        then = timedelta(days=days)
        record_check(kit=kits[name], what=what, today=today - then, by=by, now=now - then)
    clinic = Clinic.objects.filter(kit_bookings__kit=kits["Bag 1"], ends_at__lt=now).order_by("-starts_at").first()
    day = clinic.day if clinic else today - timedelta(days=4)
    record_loss(
        item=KitItem.objects.get(kit=kits["Bag 1"], name="ball, size 5"), count=3, how=KitLoss.How.LOST,
        happened_on=day, today=today, clinic=clinic, words="Over the fence, and the yard next door was locked.",
        by=by, now=now,
    )  # fmt: skip
